"""A blank book, what somebody types into it to have the sample's job, and whether the sample's results come out."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from pathlib import Path

import agreement
import books
import engines

from hydrocalc.measures import System
from workbook_builder.build import Built, build, save
from workbook_builder.cli import main
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.rows import Heading
from workbook_builder.table.job import blank_job
from workbook_builder.table.reader import read_job

EXCHANGER = "A liquid of its own behind an exchanger"


def blank_book(path: Path, system: System) -> list[tuple[InputLine, float | str]]:
    """Write a blank book with room for the sample's job; what is typed there, and in which of its lines."""
    blank = _blank(system)
    save(blank, path)
    return typing_into(blank, books.written(books.FULL, system).built)


def typing_into(blank: Built, job: Built) -> list[tuple[InputLine, float | str]]:
    """A job's typed values, each with the line of a blank book in which it is typed: its n-th run is the n-th there, and so on."""
    there, here = blank.context.inputs, {}
    for family, names in job.context.inputs.names.items():
        here |= {f"{family} {name}": f"{family} {place}" for name, place in zip(names, there.names[family], strict=False)}
    lines = (line for line in job.context.inputs.lines if line.typed is not None)
    return [(there.by_key[f"{here.get(line.part, line.part)}|{line.item.name}"], line.typed) for line in lines]  # type: ignore[misc]


def differences(cells: engines.Cells, system: System) -> list[str]:
    """Cells of the sizing sheets that do not show the sample's results; what is left where figures cancel says nothing.

    A blank book has rows for every kind of load and for branches that the sample does not have: each row of the sample is looked for
    under its sheet, heading and label.  On Charts, whose labels bear the runs' names, the two have the same rows.
    """
    want = books.written(books.FULL, system)
    here = _rows(want.built)
    there = {key: number for (_, number), key in _rows(_blank(system)).items()}

    def moved(place: tuple[str, str]) -> tuple[str, str]:
        letters, number = re.fullmatch(r"([A-Z]+)([0-9]+)", place[1]).groups()  # type: ignore[union-attr]
        key = here.get((place[0], int(number)))
        return place if key is None or place[0] == "Charts" else (place[0], f"{letters}{there[key]}")

    def is_asked(place: tuple[str, str]) -> bool:
        """A blank book judges the exchanger at the start of a run, one without such runs whether it would want one."""
        key = here.get((place[0], int(re.sub("[A-Z]", "", place[1]))))
        return key is None or key[1] not in ("Liquid of the run", EXCHANGER)

    stored = {place: value for place, value in books.stored(want.path).items() if place[0] in want.built.book.sheets and is_asked(place)}
    expected = {moved(place): value for place, value in stored.items()}
    close = agreement.least_differences(want.built, want.path)
    least = {moved(place): value for place, value in close.items() if is_asked(place)}
    return engines.compare(expected, cells, least=least)


def _rows(built: Built) -> dict[tuple[str, int], tuple[str, str, str, int]]:
    """Sheet, heading, label and place among those of one label, by sheet and number."""
    found: dict[tuple[str, int], tuple[str, str, str, int]] = {}
    for sheet in built.book.sheets.values():
        heading, seen = "", Counter[tuple[str, str]]()
        for number, item in sheet.items:
            if isinstance(item, Heading):
                heading = item.text
                continue
            seen[heading, item.label] += 1
            found[sheet.name, number] = (sheet.name, heading, item.label, seen[heading, item.label])
    return found


@cache
def _blank(system: System) -> Built:
    job = read_job(books.FULL)
    return build(blank_job(len(job.runs), len(job.loads), len(job.fuels)), system)


def differences_after_fill(filled: Path, system: System, again: Path) -> list[str]:
    """The book that the command ``fill`` makes of a book filled by hand, laid beside the sample's own."""
    assert main(["fill", str(filled), "-o", str(again), "--units", system]) == 0
    return engines.compare(books.stored(books.written(books.FULL, system).path), engines.stored_values(again))
