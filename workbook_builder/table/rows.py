"""The rows of an input table as they were read from any kind of file, and the problems that are found in them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from .lookalikes import plain_signs

COLUMNS = ("part", "item", "value", "unit", "note")
# Kept where they are given: the range of an uncertain input and the tolerance of a claim.
FURTHER = ("low", "high", "tolerance")
# A claim's value may be a cell of the other party's workbook.
CELL_ADDRESS = re.compile(r"=(?:'(?P<quoted>(?:[^']|'')+)'|(?P<sheet>[^'!\[\]]+))!\$?(?P<column>[A-Za-z]{1,3})\$?(?P<row>[1-9]\d{0,6})")
CLAIM = "claim"
# How a message says what is allowed.
_ALLOWED = re.compile(r"(?:[;,] allowed|is not one of): (.*)", re.DOTALL)
# What a message has of its own: quoted words and numbers.  Without them it tells the kind of problem.
_OWN = re.compile(r"'[^']*'|\"[^\"]*\"|[\d.,]*\d")
MAX_ROWS = 90_000
MOST_LISTED = 30
_DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}


class CellFormula(str):
    """What stands in a worksheet cell that holds a formula, with the result that was stored for it or the reason why none counts."""

    address: str
    stored: Cell | None
    fault: str

    def __new__(cls, formula: str, address: str = "", stored: Cell | None = None, fault: str = "") -> CellFormula:
        made = super().__new__(cls, formula)
        made.address, made.stored, made.fault = address, stored, fault
        return made


Cell = str | float | int


class RefusedError(ValueError):
    """A value cannot be taken; the message says what was found and what is allowed."""


@dataclass(frozen=True)
class TableRow:
    """One row of the table; numbers of a worksheet stay numbers, what a CSV file holds is text."""

    number: int
    part: str
    item: str
    value: Cell
    unit: str
    note: str
    further: dict[str, Cell] = field(default_factory=dict)
    malformed: bool = False  # reported already; counts only as being there


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, or only to be told: where it stands, what was found and what is allowed."""

    file: str
    row: int | None
    item: str
    message: str

    def __str__(self) -> str:
        place = self.file if self.row is None else f"{self.file}, row {self.row}"
        text = f"{place}, {self.item}: {self.message}" if self.item else f"{place}: {self.message}"
        return " ".join(text.splitlines())  # one line a problem, whatever stands in the cell

    @property
    def kind(self) -> str:
        """The message without what is this problem's own."""
        return _OWN.sub("", self.message)


class InputError(ValueError):
    """The input table cannot be used; carries every problem that was found."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(listed(self.problems)))


def listed(problems: Sequence[Problem], most: int = MOST_LISTED) -> list[str]:
    """A line for each problem, or for so many of them, one of each kind among these, and one that counts the others."""
    if len(problems) <= most:
        return [str(p) for p in problems]
    first: dict[str, int] = {}
    for index, problem in enumerate(problems):
        first.setdefault(problem.kind, index)
    chosen = set(list(first.values())[:most])
    for index in range(len(problems)):
        if len(chosen) == most:
            break
        chosen.add(index)
    told = {problems[i].kind for i in chosen}
    left = [p.kind in told for i, p in enumerate(problems) if i not in chosen]
    counts = ((sum(left), f"the same kind{'s' if len(told) > 1 else ''}"), (len(left) - sum(left), "other kinds"))
    more = " and ".join(f"{count} more of {kinds}" for count, kinds in counts if count)
    return [*(str(problems[i]) for i in sorted(chosen)), f"{problems[0].file}: and {more}"]


def problems_json(problems: Sequence[Problem]) -> str:
    """The problems for machines: where each stands, what it is, and what would be allowed where the message says so."""
    found = [
        {"file": p.file, "row": p.row, "item": p.item, "message": p.message, "allowed": match[1] if match else None}
        for p in problems
        for match in [_ALLOWED.search(p.message)]
    ]
    return json.dumps({"problems": found}, ensure_ascii=False, indent=2)


def refuse(file: str, message: str, row: int | None = None) -> InputError:
    """An error with one problem of the whole file."""
    return InputError([Problem(file, row, "", message)])


@dataclass
class Table:
    """The rows of a file, the faults of form among them, and what is to be told of how they were read."""

    file: str
    rows: list[TableRow] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    remarks: list[Problem] = field(default_factory=list)
    delimiter: str = ","


def table_rows(file: str, records: Iterable[tuple[int, Sequence[Cell]]], delimiter: str = ",") -> Table:
    """The table of these records, the first of which holds the headings.

    Faults of form are gathered, so that the others can be looked for all the same and one run shows them all.
    """
    found = Table(file, delimiter=delimiter)
    columns: dict[str, int] = {}
    above = ""  # the part that goes on downwards where the cell below it is empty, or one with it
    for number, record in records:
        if not any(str(c).strip() for c in record):
            continue
        if not columns:
            columns = headings(file, number, record)
            width = len(record)
            continue
        if len(found.rows) >= MAX_ROWS:
            raise refuse(file, f"more than {MAX_ROWS} rows; is this an input table?", number)
        cells = {name: record[index] if index < len(record) else "" for name, index in columns.items()}
        if _squeezed(cells["part"]).startswith("#"):
            above = ""
            continue
        part, item = (_squeezed(_result(cells[c])) for c in ("part", "item"))
        above = part or above
        part = above if item else part
        if not _with_results(found, TableRow(number, part, item, "?", "", "", malformed=True), cells):
            continue
        # An empty cell too many is a slip of the hand, unless a decimal comma in a number further on pushed it there.
        if any(str(c).strip() for c in record[width:]) or (len(record) > width and any(str(cells.get(n, "")).strip() for n in FURTHER)):
            commas = "write decimals with a point and put" if delimiter == "," else "put"
            advice = f"{commas} a text with a {_DELIMITERS[delimiter]} in quotation marks"
            message = f"{len(record)} cells where the headings are {width}; {advice}"
            found.problems.append(Problem(file, number, f"{part}, {item}", message))
            found.rows.append(TableRow(number, part, item, "?", "", "", malformed=True))
            continue
        further = {name: cells[name] for name in FURTHER if name in cells and str(cells[name]).strip()}
        unit, note = plain_signs(str(cells["unit"])).strip(), str(cells["note"]).strip()
        found.rows.append(TableRow(number, part, item, _trimmed(cells["value"]), unit, note, further))
    if not columns:
        raise refuse(file, f"the table is empty; its first row is {', '.join(COLUMNS)}")
    return found


def _result(cell: Cell) -> Cell:
    return cell.stored if isinstance(cell, CellFormula) and cell.stored is not None else cell


def _with_results(table: Table, row: TableRow, cells: dict[str, Cell]) -> bool:
    """Put the stored results in place of formulas; False where one has none that counts, which is reported."""
    number, place = row.number, f"{row.part}, {row.item}"
    sound = True
    for name, cell in cells.items():
        if not isinstance(cell, CellFormula):
            continue
        if name == "value" and row.part.casefold().startswith(CLAIM) and CELL_ADDRESS.fullmatch(cell):
            continue
        if cell.stored is not None:
            cells[name] = cell.stored
            shown = f"{cell.stored:.10g}" if isinstance(cell.stored, float | int) else repr(cell.stored)
            table.remarks.append(
                Problem(table.file, number, place, f"the {name} is a formula, {cell}; its stored result is taken, {shown}")
            )
        elif name == "note":
            cells[name] = ""
        else:
            message = f"the {name} is a formula, {cell}, and cell {cell.address} {cell.fault}"
            table.problems.append(Problem(table.file, number, place, message))
            sound = False
    if not sound and not row.part.startswith("="):
        table.rows.append(row)
    return sound


def headings(file: str, number: int, record: Sequence[Cell]) -> dict[str, int]:
    """The column of each heading; InputError that names the missing and the doubled ones."""
    names = [_squeezed(c).lower() for c in record]
    problems = [
        Problem(file, number, f"column {c}", f"the column is missing; the first row is {', '.join(COLUMNS)}")
        for c in COLUMNS
        if c not in names
    ]
    problems += [Problem(file, number, f"column {c}", "the column stands twice") for c in (*COLUMNS, *FURTHER) if names.count(c) > 1]
    if problems:
        raise InputError(problems)
    return {c: names.index(c) for c in (*COLUMNS, *FURTHER) if c in names}


def _squeezed(cell: Cell) -> str:
    return " ".join(plain_signs(str(cell)).split())


def _trimmed(cell: Cell) -> Cell:
    return cell.strip() if isinstance(cell, str) and not isinstance(cell, CellFormula) else cell


def as_number(value: int | float) -> float | str:
    """A cell's number; a whole one with more digits than any number of a spreadsheet stays a text of them."""
    try:
        return float(value)
    except OverflowError:
        return str(value)
