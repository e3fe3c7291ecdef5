"""A run's and a load's column copied to the right works: by the rule by which office programs copy, and in one of them."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
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
from openpyxl.utils import get_column_letter
from slow import some

from workbook_builder.model.rows import FIRST_COLUMN, HEADING_ROW

FIRST = FIRST_COLUMN + 1  # counted from 1


def test_each_column_is_the_one_to_its_left_copied() -> None:
    """Every formula of every sheet with more than one column, moved one column by openpyxl's translator."""
    book = books.written(FULL, "us")
    formulas = engines.formulas(book.path)
    pairs = 0
    for sheet in book.built.book.sheets.values():
        for column in range(FIRST, FIRST + len(sheet.axis.labels) - 1):
            here, right = get_column_letter(column), get_column_letter(column + 1)
            for row in sheet.rows:
                if not row.formula:
                    continue
                a, b = (formulas[sheet.name, f"{letters}{row.number}"] for letters in (here, right))
                copied = Translator(a, origin=f"{here}{row.number}").translate_formula(f"{right}{row.number}")
                assert copied == b, f"{sheet.name}, {row.label}"
                pairs += 1
    assert pairs > 1000


@pytest.mark.slow
def test_rows_and_columns_can_be_added_before_the_spacer() -> None:
    """Every range over columns or inputs ends in the spacer, so that what is inserted before it lies inside."""
    book = books.written(FULL, "us")
    ranges = 0
    for (place, cell), formula in engines.formulas(book.path).items():
        for sheet, first, last_column, last in re.findall(r"(?:\b([A-Za-z]\w*)!)?\$C\$(\d+):\$([A-Z]+)\$(\d+)", formula):
            on = book.built.book.sheets.get(sheet or place)
            if on is not None and first == last and on.axis.name != "one":
                assert last_column == on.spacer, f"{place}!{cell}: {formula}"
                ranges += 1
    assert ranges > 50
    file = openpyxl.load_workbook(book.path)
    spacer = book.built.context.inputs.last_row
    for name in ("input_keys", "input_values"):
        assert file.defined_names[name].attr_text.endswith(f"${spacer}")
    assert {c.value for c in file["Inputs"][spacer]} == {None}


@dataclass(frozen=True)
class Part:
    """A run or a load to be added as a copy of another, with other values typed."""

    family: str
    name: str
    like: str
    typed: dict[str, str | float]


PRESS = Part("load", "press", "kettle", {"heat": 7000.0, "hours a day": 3.0, "run": "cider"})
WELL = Part("run", "well", "barns", {"length": 96.0, "depth": 4.25, "temperature drop": 19.0, "starts at": "boiler"})
BUNK = Part("load", "bunkhouse", "workshop", {"run": "well", "conductance": 333.0, "rated output": 41000.0, "indoor temperature": 66.0})


def table_with(book: Written, parts: tuple[Part, ...]) -> list[TableRecord]:
    """The book's input table with the parts added at its end."""
    rows = books.table_in_book(book)
    for part in parts:
        lines = [line for line in book.built.context.inputs.lines if line.part == f"{part.family} {part.like}"]
        for line in lines:
            value = part.typed.get(line.item.name, part.name if line.item.name == "name" else line.typed)
            if value is not None:
                rows.append((f"{part.family} {part.name}", line.item.name, value, line.unit, ""))
    return rows


def steps_for(book: Written, parts: tuple[Part, ...]) -> dict[str, Any]:
    """What somebody does by hand: copy a part's rows on Inputs, type what differs, copy a column on each sheet of its kind."""
    inputs = book.built.context.inputs
    spacer = inputs.last_row - 1  # counted from 0
    copied, columns = [], []
    for part in parts:
        lines = [line for line in inputs.lines if line.part == f"{part.family} {part.like}"]
        first = lines[0].row - 1
        typed = {str(line.row - 1 - first): part.typed[line.item.name] for line in lines if line.item.name in part.typed}
        name = next(line.row - 1 - first for line in lines if line.item.name == "name")
        typed[str(name)] = part.name
        copied.append({"sheet": "Inputs", "first": first, "last": lines[-1].row - 1, "at": spacer, "typed": typed})
        for sheet in book.built.book.sheets.values():
            if sheet.axis.name == part.family:
                at = FIRST_COLUMN + len(sheet.axis.labels)
                columns.append({"sheet": sheet.name, "at": at, "heading": f"=$Inputs.$C${spacer + name + 1}"})
        spacer += len(lines)
    return {"do": "document", "open": str(book.path), "copy_rows": copied, "copy_column": columns}


def by_heads(cells: engines.Cells, name: str, added: set[str]) -> engines.Cells:
    """What a sheet shows by the head of each row instead of by its number, where a fresh book has more rows or another order.

    Of Inputs, the values used, by their keys.  Of Summary, without the rows of the loads and runs that were added, which nobody
    adds there by hand, and without the plain numbers of its end, which are of the day on which a book is written.
    """
    rows: dict[int, dict[str, engines.Value]] = {}
    for (sheet, place), value in cells.items():
        if sheet == name and value not in ("", None):
            letters, number = re.fullmatch(r"([A-Z]+)(\d+)", place).groups()  # type: ignore[union-attr]
            rows.setdefault(int(number), {})[letters] = value
    found: engines.Cells = {}
    times: Counter[str] = Counter()
    for _, row in sorted(rows.items()):
        head = str(row.get("H" if name == "Inputs" else "A", ""))
        if name == "Summary" and head.startswith("7 "):
            break
        if name != "Summary" or head not in added:
            times[head] += 1
            found |= {(name, f"{head} ({times[head]}), {c}"): v for c, v in row.items() if name != "Inputs" or c == "F"}
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
        assert more <= {"Stations", "Curves"}
        same = {*after, "Verdicts"} - more
        cells = agreement.as_cells(found)
        expected = engines.stored_values(fresh.path)
        assert engines.compare({place: value for place, value in expected.items() if place[0] in same}, cells) == [], what
        everything = engines.stored_values(fresh.path, formulas_only=False)
        for name in (*more, "Inputs", "Summary"):
            shown, wanted = (by_heads(c, name, {p.name for p in parts}) for c in (cells, everything))
            assert len(shown) > 50 and engines.compare(shown, wanted) == [], f"{what}: {name}"
        wide = [s for s in fresh.built.book.sheets.values() if s.axis.name == parts[0].family]
        assert all(cells[s.name, f"{get_column_letter(FIRST + len(s.axis.labels) - 1)}{HEADING_ROW}"] == parts[0].name for s in wide)
