"""The rules of the input cells: each takes what ``fill`` takes from a table and nothing else, as LibreOffice works the rule out.

What a rule cannot say is named below.  The suite tries a blank book, which has every
item.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import office
import pytest
from books import FULL, SYSTEMS
from slow import some

from hydrocalc.measures import System
from workbook_builder.build import Built, build, save
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.rows import FIRST_COLUMN
from workbook_builder.model.typed_sheets import TYPED_SHEETS
from workbook_builder.model.typed_value import rounded
from workbook_builder.table.cell_values import RefusedError
from workbook_builder.table.job import Job, blank_job
from workbook_builder.table.reader import _Reader, read_job
from workbook_builder.table.rows import Cell, Table, TableRow
from workbook_builder.table.vocabulary import NAME, family

BESIDE = 1e-6  # of a limit, or of one where the limit is 0: so far outside
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
TRIED = some([("blank", "metric")], [(name, system) for name in ("blank", "sample") for system in SYSTEMS])
LONGEST_FORMULA = 255  # characters of a rule's formula that Excel takes (its maker's published limits)
# Kinds of value that ``fill`` reads and the rule of a cell cannot tell apart:
# - the first letters of a month, which a drop-down completes by itself;
# - the name of a run, a load or a fuel with blanks around it, which stands in no drop-down;
# - a name's signs beyond its first letter, its length and the reserved words, of which ``fill`` tells when it reads the book.


def _trials(line: InputLine, job: Job, system: System) -> Iterator[Cell]:
    """Values inside the range, on each limit, just outside, and texts."""
    item = line.item
    if item.measure is not None:
        unit = item.measure.unit(system)
        low, high = (rounded(float(unit.from_coherent(end))) for end in (item.limits.low, item.limits.high))
        ends = [end for end in (low, high) if abs(end) != float("inf")]
        yield from ends
        yield from (end + step * max(abs(end), 1.0) * BESIDE for end in ends for step in (-1, 1))
        yield (low + high) / 2 if len(ends) == 2 else (ends[0] + 1.0 if ends else 1.0)
        yield from (-1e9, 1e9)
        yield from ("some", "1/2 in")
    elif item.choices:
        yield from (item.choices[0], item.choices[-1], item.choices[-1].upper(), f"{item.choices[0]} or so", "*")
    elif item.type in ("run", "load", "fuel"):
        names = {"run": job.runs, "load": job.loads, "fuel": job.fuels}[item.type]
        yield from (names[0], names[-1].upper(), f" {names[-1]} ", "pond", "*", "boiler", 5.0)
    elif item.type == "date":
        yield from ("2024-11-30", "2024-02-30", "30.11.2024", "some day", 45626.0, 45626.5, -3.0)
    else:
        yield from ("some", "Grandma's place & barn")


def _names(line: InputLine) -> Iterator[Cell]:
    if line.item.name == NAME:
        yield from ("barn", "Öst", "boiler", "True", "4 walls", "-x", "a" * 40, "a" * 41)


def _fill_takes(job: Job, line: InputLine, cell: Cell) -> bool:
    """What the reader of a table says of a value in the unit of the book, but for what a drop-down cannot take."""
    if line.item.type in ("run", "load", "fuel") and isinstance(cell, str) and cell != cell.strip():
        return False
    reader = _Reader(Table("t.csv"))
    reader.job.runs, reader.job.loads, reader.job.fuels = list(job.runs), list(job.loads), list(job.fuels)
    reader.job.entries |= job.entries
    if line.item.name == NAME:
        reader = _Reader(Table("t.csv"))
        reader.take(TableRow(2, f"{family(line.part)} {cell}", "length", "1", "ft", ""))
        return not any("cannot be a name" in p.message for p in reader.problems)
    try:
        reader._value(line.part, line.item, cell, line.unit if line.item.measure is not None else "")
    except RefusedError:
        return False
    return True


def _books(folder: Path) -> list[tuple[str, Built, Path, System]]:
    found = []
    jobs = {"blank": blank_job(2, 2, 2), "sample": read_job(FULL)}
    for system in SYSTEMS:
        for name, job in jobs.items():
            if (name, system) not in TRIED:
                continue
            built, path = build(job, system), folder / f"{name}-{system}.xlsx"
            save(built, path)
            found.append((f"{name}, {system}", built, path, system))
    return found


def _columns(built: Built) -> Iterator[tuple[str, list[InputLine]]]:
    """The first and the last column of each sheet: one rule stands for a whole row, and is moved from column to column."""
    for sheet in TYPED_SHEETS:
        lines = [line for line in built.context.inputs.lines if line.sheet == sheet]
        for column in (FIRST_COLUMN, max(line.column for line in lines)):
            yield sheet, [line for line in lines if line.column == column]


@pytest.mark.slow
@pytest.mark.office
def test_every_cell_takes_what_fill_takes_and_nothing_else(tmp_path: Path) -> None:
    steps, asked, all_books = [], [], _books(tmp_path)
    for _, built, path, system in all_books:
        rounds: list[dict[str, Any]] = []
        for sheet, lines in _columns(built):
            values = {line.cell: list(_trials(line, built.job, system)) for line in lines if line.item.name != NAME}
            for turn in range(max(map(len, values.values()))):
                rounds.append({"sheet": sheet, "cells": {cell: found[turn] for cell, found in values.items() if turn < len(found)}})
        for sheet, lines in _columns(built):  # last: other cells name the runs, loads and fuels
            names = {line.cell: list(_names(line)) for line in lines if line.item.name == NAME}
            for turn in range(max(map(len, names.values()))):
                rounds.append({"sheet": sheet, "cells": {cell: found[turn] for cell, found in names.items()}})
        asked.append(rounds)
        steps.append(
            {
                "do": "document",
                "open": str(path),
                "times": 0,
                "sheets": [],
                "judge": {"keep": [*TYPED_SHEETS, "Tables"], "trials": rounds},
            }
        )
    seen = office.Profile(tmp_path / "office").session(steps)
    wrong, tried, refused = [], 0, 0
    for (name, built, *_), rounds, book in zip(all_books, asked, seen, strict=True):
        by_cell = {(line.sheet, line.cell): line for line in built.context.inputs.lines}
        for trial, taken in zip(rounds, book["trials"], strict=True):
            for address, value in trial["cells"].items():
                line = by_cell[trial["sheet"], address]
                expected = _fill_takes(built.job, line, value)
                tried, refused = tried + 1, refused + (not expected)
                if taken[address] != expected:
                    wrong.append(f"{name}: {line.key} = {value!r}: the cell {'takes' if taken[address] else 'refuses'} it")
    assert tried > 1000 and refused > 250
    assert wrong == [], f"{len(wrong)} of {tried}: " + "\n".join(wrong[:60])


@pytest.mark.slow
@pytest.mark.parametrize("system", SYSTEMS)
def test_no_rule_is_a_constant_or_too_long(system: System, tmp_path: Path) -> None:
    """87 cells of a blank book had the rule 0.0, which nothing keeps."""
    path = tmp_path / "blank.xlsx"
    save(build(blank_job(2, 2), system), path)
    rules = _rules(path)
    assert len(rules) > 25  # of some thirty: where nothing is a number there is no rule for "above 0"
    for cell, text in rules:
        assert re.search(rf"\b{cell}\b", text) and len(text) <= LONGEST_FORMULA, text


def _rules(path: Path) -> list[tuple[str, str]]:
    """The rules of a kind of its own: the first cell for which each stands, and its formula."""
    with zipfile.ZipFile(path) as archive:
        found = []
        for name in archive.namelist():
            if name.startswith("xl/worksheets/sheet"):
                tree: Any = ElementTree.fromstring(archive.read(name))
                rules = (v for v in tree.iter(f"{MAIN}dataValidation") if v.get("type") == "custom")
                found += [(v.get("sqref", "").split(":")[0], v.findtext(f"{MAIN}formula1") or "") for v in rules]
    return found


@pytest.mark.slow
def test_sizes_stay_words(tmp_path: Path) -> None:
    """Typed by hand, 3/4 would become a day in March and 1 a number; the cells of words are formatted as text."""
    import openpyxl

    built, path = build(blank_job(1, 1)), tmp_path / "blank.xlsx"
    save(built, path)
    book = openpyxl.load_workbook(path)
    for line in built.context.inputs.lines:
        word = line.item.measure is None and line.item.type != "date"
        assert (book[line.sheet][line.cell].number_format == "@") == word, line.key


def test_the_day_number_of_a_cell_is_a_date(tmp_path: Path) -> None:
    """2024-11-30 is day 45626 of a spreadsheet (1900 system: day 1 is 1900-01-01, and a 29 February 1900 that never was is counted)."""
    reader = _Reader(Table("t.csv"))
    item = next(line.item for line in build(blank_job(1, 1)).context.inputs.lines if line.item.type == "date")
    assert reader._value("job", item, 45626.0, "") == "2024-11-30"
    for bad in (45626.5, 3.0, "45626", "20241130", "2024-W48-6"):
        with pytest.raises(RefusedError):
            reader._value("job", item, bad, "")
