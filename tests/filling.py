"""A blank book, what somebody types into it to have the sample's job, and whether the sample's results come out."""

from __future__ import annotations

from pathlib import Path

import agreement
import books
import engines

from hydrocalc.measures import System
from workbook_builder.build import build, save
from workbook_builder.cli import main
from workbook_builder.table.job import blank_job
from workbook_builder.table.reader import read_job

VALUE_COLUMN = 3  # of Inputs, counted from 1


def blank_book(path: Path, system: System) -> dict[int, float | str]:
    """Write a blank book with room for the sample's job; what is typed there, by the row of Inputs."""
    job = read_job(books.FULL)
    empty = blank_job(len(job.runs), len(job.loads), len(job.fuels))
    blank = build(empty, system)
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
    """Cells of the sizing sheets that do not show the sample's results; what is left where figures cancel says nothing."""
    want = books.written(books.FULL, system)
    expected = {place: value for place, value in books.stored(want.path).items() if place[0] in want.built.book.sheets}
    return engines.compare(expected, cells, least=agreement.least_differences(want.built, want.path))


def differences_after_fill(filled: Path, system: System, again: Path) -> list[str]:
    """The book that the command ``fill`` makes of a book filled by hand, laid beside the sample's own."""
    assert main(["fill", str(filled), "-o", str(again), "--units", system]) == 0
    return engines.compare(books.stored(books.written(books.FULL, system).path), engines.stored_values(again))
