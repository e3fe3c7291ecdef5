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
from workbook_builder.model.rows import Heading
from workbook_builder.table.job import blank_job
from workbook_builder.table.reader import read_job

VALUE_COLUMN = 3  # of Inputs, counted from 1


def blank_book(path: Path, system: System) -> dict[int, float | str]:
    """Write a blank book with room for the sample's job; what is typed there, by the row of Inputs."""
    job, blank = read_job(books.FULL), _blank(system)
    empty = blank.job
    save(blank, path)
    here: dict[str, str] = {}
    for family, names, places in (
        ("run", job.runs, empty.runs),
        ("load", job.loads, empty.loads),
        ("fuel today", job.fuels, empty.fuels),
    ):
        here |= {f"{family} {name}": f"{family} {place}" for name, place in zip(names, places, strict=True)}
    lines = books.written(books.FULL, system).built.context.inputs.lines
    inputs = blank.context.inputs.by_key
    return {inputs[f"{here.get(li.part, li.part)}|{li.item.name}"].row: li.typed for li in lines if li.typed is not None}


def differences(cells: engines.Cells, system: System) -> list[str]:
    """Cells of the sizing sheets that do not show the sample's results; what is left where figures cancel says nothing.

    A blank book has rows for every kind of load and for branches that the sample does not have: each row of the sample is looked for
    under its sheet, heading and label.  On Curves, whose labels bear the runs' names, the two have the same rows.
    """
    want = books.written(books.FULL, system)
    here = _rows(want.built)
    there = {key: number for (_, number), key in _rows(_blank(system)).items()}

    def moved(place: tuple[str, str]) -> tuple[str, str]:
        letters, number = re.fullmatch(r"([A-Z]+)([0-9]+)", place[1]).groups()  # type: ignore[union-attr]
        key = here.get((place[0], int(number)))
        return place if key is None or place[0] == "Curves" else (place[0], f"{letters}{there[key]}")

    expected = {moved(place): value for place, value in books.stored(want.path).items() if place[0] in want.built.book.sheets}
    least = {moved(place): value for place, value in agreement.least_differences(want.built, want.path).items()}
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
