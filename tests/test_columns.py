"""A run's and a load's column copied to the right works: by the rule by which office programs copy, and in one of them."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import agreement
import books
import engines
import openpyxl
import pytest
from books import FULL, TableRecord, Written
from office import Profile
from openpyxl.formula.translate import Translator
from slow import some

from workbook_builder.model.rows import FIRST_COLUMN, HEADING_ROW, column_letters
from workbook_builder.model.typed_sheets import LOADS, RUNS, SHEET_OF

TYPED = {"run": RUNS, "load": LOADS}


def axes(book: Written) -> dict[str, tuple[str, int]]:
    """What the columns of each sheet with one for each run or load stand for, and how many there are; the typed sheets as well."""
    names = book.built.context.inputs.names
    found = {sheet.name: (sheet.axis.name, len(sheet.axis.labels)) for sheet in book.built.book.sheets.values()}
    return {sheet: (family, len(names[family])) for family, sheet in TYPED.items()} | found


def test_each_column_is_the_one_to_its_left_copied() -> None:
    """Every formula of every sheet with more than one column, moved one column by openpyxl's translator."""
    book = books.written(FULL, "us")
    formulas = engines.formulas(book.path)
    by_row: dict[tuple[str, int], dict[str, str]] = {}
    for (sheet, cell), formula in formulas.items():
        letters, number = re.fullmatch(r"([A-Z]+)(\d+)", cell).groups()  # type: ignore[union-attr]
        by_row.setdefault((sheet, int(number)), {})[letters] = formula
    pairs: Counter[str] = Counter()
    for sheet, (axis, count) in axes(book).items():
        if axis == "one":
            continue
        columns = [column_letters(FIRST_COLUMN + n) for n in range(count)]
        for (name, number), cells in by_row.items():
            for here, right in pairwise(columns):
                if name != sheet or not {here, right} & cells.keys():
                    continue
                copied = Translator(cells[here], origin=f"{here}{number}").translate_formula(f"{right}{number}")
                assert copied == cells[right], f"{sheet}, row {number}"
                pairs[sheet] += 1
    assert sum(pairs.values()) > 1000 and min(pairs[RUNS], pairs[LOADS]) > 20


@pytest.mark.slow
def test_columns_can_be_added_before_the_spacer() -> None:
    """Every range over runs, loads or fuels ends in the spacer, which is empty, so that what is inserted before it lies inside."""
    book = books.written(FULL, "us")
    spacers = {sheet: column_letters(FIRST_COLUMN + count) for sheet, (axis, count) in axes(book).items() if axis in (*TYPED, "fuel today")}
    ranges: Counter[str] = Counter()
    for (place, cell), formula in engines.formulas(book.path).items():
        for sheet, last_column in re.findall(r"(?:\b([A-Za-z]\w*)!)?\$D\$\d+:\$([A-Z]+)\$\d+", formula):
            on = sheet or place
            if on in spacers:
                assert last_column == spacers[on], f"{place}!{cell}: {formula}"
                ranges[on] += 1
    assert sum(ranges.values()) > 50 and ranges.keys() >= {RUNS, LOADS}
    file = openpyxl.load_workbook(book.path)
    for sheet, letters in spacers.items():
        assert {c.value for c in file[sheet][letters]} == {None}, sheet


@dataclass(frozen=True)
class Part:
    """A run or a load to be added as a copy of another, with other values typed."""

    family: str
    name: str
    like: str
    typed: dict[str, str | float]


PRESS = Part("load", "press", "kettle", {"heat": 7000.0, "hours a day": 3.0})
WELL = Part("run", "well", "cider", {"length": 96.0, "depth": 4.25, "temperature drop": 19.0, "starts at": "boiler"})
BUNK = Part(
    "load",
    "bunkhouse",
    "kettle",
    {"run": "well", "kind": "fan heater", "conductance": 333.0, "rated output": 41000.0, "indoor temperature": 66.0}
    | {"heat": "", "hours a day": ""},
)


def table_with(book: Written, parts: tuple[Part, ...]) -> list[TableRecord]:
    """The book's input table with the parts added at its end."""
    rows = books.table_in_book(book)
    for part in parts:
        for line in (line for line in book.built.context.inputs.lines if line.part == f"{part.family} {part.like}"):
            value = part.typed.get(line.item.name, line.typed)
            if value not in (None, "") and line.item.name != "name":
                rows.append((f"{part.family} {part.name}", line.item.name, value, line.unit, ""))  # type: ignore[arg-type]
    return rows


def steps_for(book: Written, parts: tuple[Part, ...]) -> dict[str, Any]:
    """What somebody does by hand: a column more on each sheet of the part's kind, a copy of the last; then what differs is typed."""
    names, columns = book.built.context.inputs.names, []
    for part in parts:
        assert part.like == names[part.family][-1], "a column is copied from its left"
        at = FIRST_COLUMN + len(names[part.family])
        lines = {line.item.name: line.row for line in book.built.context.inputs.lines if line.part == f"{part.family} {part.like}"}
        typed = {str(lines[item]): value for item, value in {**part.typed, "name": part.name}.items()}
        for sheet, (axis, _) in axes(book).items():
            if axis == part.family:
                columns.append({"sheet": sheet, "at": at, "typed": typed if sheet == TYPED[axis] else {}})
    return {"do": "document", "open": str(book.path), "copy_column": columns}


def by_heads(cells: engines.Cells, name: str, added: set[str]) -> engines.Cells:
    """What a sheet shows by the head of each row instead of by its number, where a fresh book has more rows or another order.

    Of the pages, without the rows of the loads and runs that were added, which nobody adds there by hand, and without the plain
    numbers at the end of Summary, which are of the day on which a book is written.
    """
    rows: dict[int, dict[str, engines.Value]] = {}
    for (sheet, place), value in cells.items():
        if sheet == name and value not in ("", None):
            letters, number = re.fullmatch(r"([A-Z]+)(\d+)", place).groups()  # type: ignore[union-attr]
            rows.setdefault(int(number), {})[letters] = value
    found: engines.Cells = {}
    times: Counter[str] = Counter()
    for _, row in sorted(rows.items()):
        head = str(row.get("A", ""))
        if name == "Summary" and head.startswith("7 "):
            break
        if name not in ("Contents", "Summary") or head not in added:
            times[head] += 1
            found |= {(name, f"{head} ({times[head]}), {c}"): v for c, v in row.items()}
    return found


@pytest.mark.slow
@pytest.mark.office
def test_a_load_and_a_run_are_added_by_hand(tmp_path: Path) -> None:
    """In LibreOffice: a run with a load of its own; in a long run a load alone as well.  Each gives what a fresh book gives."""
    additions = some([(WELL, BUNK)], [(PRESS,), (WELL, BUNK)])
    book = books.written(FULL, "us")
    seen = Profile(tmp_path / "office").session([steps_for(book, parts) for parts in additions])
    for number, (parts, found) in enumerate(zip(additions, seen, strict=True)):
        fresh = books.write_job(table_with(book, parts), "us", tmp_path / f"fresh{number}.xlsx")
        what = " and ".join(p.name for p in parts)
        assert {name: sheet["errors"] for name, sheet in found["sheets"].items() if sheet["errors"]} == {}, what
        assert len(engines.formulas(fresh.path)) > len(engines.formulas(book.path)) + 200
        before, after = ({n: [r.label for r in s.rows] for n, s in b.built.book.sheets.items()} for b in (book, fresh))
        more = {name for name in after if after[name] != before[name]}
        assert more <= {"Charts"}
        cells = agreement.as_cells(found)
        same = {*after, *SHEET_OF.values()} - more
        expected = engines.stored_values(fresh.path)
        assert engines.compare({place: value for place, value in expected.items() if place[0] in same}, cells) == [], what
        everything = engines.stored_values(fresh.path, formulas_only=False)
        typed = {place: value for place, value in everything.items() if place[0] in (RUNS, LOADS)}
        assert len(typed) > 500 and engines.compare(typed, cells) == [], what
        for name in (*more, "Contents", "Summary"):
            shown, wanted = (by_heads(c, name, {p.name for p in parts}) for c in (cells, everything))
            assert len(shown) > 50 and engines.compare(shown, wanted) == [], f"{what}: {name}"
        for sheet, (axis, count) in axes(fresh).items():
            if axis == parts[0].family:
                assert cells[sheet, f"{column_letters(FIRST_COLUMN + count - 1)}{HEADING_ROW}"] == parts[0].name
