"""The rows of an input table as they stand in a CSV file, and the problems that are found in them."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

COLUMNS = ("part", "item", "value", "unit", "note")
# Kept where they are given: the range of an uncertain input and the tolerance of a claim.
FURTHER = ("low", "high", "tolerance")
# How a message says what is allowed.
_ALLOWED = re.compile(r"(?:[;,] allowed|is not one of): (.*)", re.DOTALL)
MAX_ROWS = 90_000
MAX_BYTES = 20_000_000


class CellFormula(str):
    """What stands in a worksheet cell that holds a formula and not a value."""

    __slots__ = ()


Cell = str | float | int


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
    """One thing that is wrong: where it stands, what was found and what is allowed."""

    file: str
    row: int | None
    item: str
    message: str

    def __str__(self) -> str:
        place = self.file if self.row is None else f"{self.file}, row {self.row}"
        text = f"{place}, {self.item}: {self.message}" if self.item else f"{place}: {self.message}"
        return " ".join(text.splitlines())  # one line a problem, whatever stands in the cell


class InputError(ValueError):
    """The input table cannot be used; carries every problem that was found."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))


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


def csv_rows(path: Path) -> list[TableRow]:
    """The rows of a CSV file that have something in them."""
    file = path.name
    if path.stat().st_size > MAX_BYTES:
        raise refuse(file, f"the file is larger than {MAX_BYTES // 1_000_000} MB, which no input table is")
    raw = path.read_bytes()
    if raw.startswith(b"PK\x03\x04"):
        raise refuse(file, "this is a workbook or an archive under the name of a CSV file; give it the ending .xlsx")
    text = _decoded(raw, file)
    if not text.strip():
        raise refuse(file, f"the file is empty; its first row is {', '.join(COLUMNS)}")
    head = next(line for line in text.splitlines() if line.strip())
    if "," not in head and (";" in head or "\t" in head):
        found = "semicolons" if ";" in head else "tabs"
        raise refuse(file, f"the columns are parted by {found}; part them by commas and write decimals with a point", 1)
    return table_rows(file, _records(text, file))


def _decoded(raw: bytes, file: str) -> str:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")) or raw[:200].count(0) > 20:
        raise refuse(file, "the file is encoded as UTF-16; save it as CSV UTF-8")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise refuse(file, "the file is not UTF-8 (Windows or Latin-1 letters?); save it as CSV UTF-8", line) from None
    if "\0" in text:
        raise refuse(file, "the file holds NUL bytes and is no text", text[: text.index("\0")].count("\n") + 1)
    return text


def _records(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """Records with the line on which each begins."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    begins = 1
    try:
        for record in reader:
            yield begins, record
            begins = reader.line_num + 1
    except csv.Error as error:
        raise refuse(file, f"the file cannot be read as CSV from here on ({error}); is a quotation mark left open?", begins) from None


def table_rows(file: str, records: Iterable[tuple[int, Sequence[Cell]]]) -> list[TableRow]:
    """Rows from records, the first of which holds the headings; every fault of form is reported at once."""
    columns: dict[str, int] = {}
    rows: list[TableRow] = []
    problems: list[Problem] = []
    for number, record in records:
        if not any(str(c).strip() for c in record):
            continue
        if not columns:
            columns = headings(file, number, record)
            width = len(record)
            continue
        if len(rows) >= MAX_ROWS:
            raise refuse(file, f"more than {MAX_ROWS} rows; is this an input table?", number)
        cells = {name: record[index] if index < len(record) else "" for name, index in columns.items()}
        part, item = (_squeezed(cells[c]) for c in ("part", "item"))
        if part.startswith("#"):
            continue
        # An empty cell too many is a slip of the hand, unless a decimal comma in a number further on pushed it there.
        if any(str(c).strip() for c in record[width:]) or (len(record) > width and any(str(cells.get(n, "")).strip() for n in FURTHER)):
            found = f"{len(record)} cells where the headings are {width}"
            advice = "write decimals with a point and put a text with a comma in quotation marks"
            problems.append(Problem(file, number, f"{part}, {item}", f"{found}; {advice}"))
            rows.append(TableRow(number, part, item, "?", "", "", malformed=True))
            continue
        further = {name: cells[name] for name in FURTHER if name in cells and str(cells[name]).strip()}
        value = cells["value"]
        rows.append(TableRow(number, part, item, _trimmed(value), str(cells["unit"]).strip(), str(cells["note"]).strip(), further))
    if not columns:
        raise refuse(file, f"the table is empty; its first row is {', '.join(COLUMNS)}")
    if problems:
        # The other faults are looked for all the same, so that one run shows them all.
        raise MalformedRowsError(problems, rows)
    return rows


class MalformedRowsError(InputError):
    """Some rows are out of form; the others can still be checked."""

    def __init__(self, problems: Sequence[Problem], rows: Sequence[TableRow]) -> None:
        super().__init__(problems)
        self.rows = list(rows)


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
    return " ".join(str(cell).split())


def _trimmed(cell: Cell) -> Cell:
    return type(cell)(cell.strip()) if isinstance(cell, str) else cell


def as_number(value: int | float) -> float | str:
    """A cell's number; a whole one with more digits than any number of a spreadsheet stays a text of them."""
    try:
        return float(value)
    except OverflowError:
        return str(value)
