"""The cells of a book: as this builder writes it, taken from memory, and as it stands in a file."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from workbook_builder.build import Built, compose
from workbook_builder.table.rows import as_number, refuse
from workbook_builder.table.xlsx_reader import open_book

# The largest book of ours, of 200 runs, loads and fuels, has some 24,000 rows of inputs: what has more is not one of ours,
# and is refused before its values are read.
MOST_ROWS = 30_000

CellKey = tuple[int, int]  # row and column, counted from 1


@dataclass(frozen=True)
class Cell:
    """What a cell holds: a formula with its stored value, or a typed number or text."""

    formula: str = ""
    value: float | str | None = None

    @property
    def is_empty(self) -> bool:
        return not self.formula and self.value in (None, "")


@dataclass
class Cells:
    """All cells of a book by sheet, in the order of the sheets, and its defined names."""

    sheets: dict[str, dict[CellKey, Cell]] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)


def fresh_cells(built: Built) -> Cells:
    """The book as this builder writes it; nothing is written."""
    writer = compose(built, Path("in-memory.xlsx"))
    workbook = writer.workbook
    workbook.fileclosed = 1  # it is thrown away: without this it would be written when it is cleared up
    texts = {index: text for text, index in workbook.str_table.string_table.items()}
    found = Cells(names={name: text.removeprefix("=") for name, place, text, *_ in workbook.defined_names if place == -1})
    for sheet in workbook.worksheets():
        cells = found.sheets.setdefault(sheet.get_name(), {})
        for row, columns in sheet.table.items():
            for column, cell in columns.items():
                cells[row + 1, column + 1] = _of_writer(cell, texts)
    return found


def _of_writer(cell: Any, texts: dict[int, str]) -> Cell:
    kind = type(cell).__name__
    if kind == "String":
        return Cell(value=texts[cell.string])
    if kind == "Number":
        return Cell(value=float(cell.number))
    if kind in ("Formula", "ArrayFormula"):
        return Cell("=" + cell.formula.removeprefix("="), _plain(cell.value))
    if kind == "RichString":
        return Cell(value=cell.raw_string)
    return Cell()


def file_cells(path: Path) -> Cells:
    """The cells of a file; formulas and what is stored for them, nothing worked out."""
    formulas, remarks = open_book(path, formulas=True)
    for sheet in formulas.worksheets:
        if (rows := len({row for row, _ in sheet._cells})) > MOST_ROWS:
            raise refuse(
                path.name, f"sheet {sheet.title} has {rows:,} rows with something in them; no book of ours has more than {MOST_ROWS:,}"
            )
    values, _ = open_book(path, formulas=False)
    found = workbook_cells(formulas, values)
    found.remarks += remarks
    return found


def workbook_cells(formulas: Any, values: Any = None) -> Cells:
    """The cells of an opened workbook, with what another opening of it holds as values."""
    found = Cells(names={name: str(d.attr_text).removeprefix("=") for name, d in formulas.defined_names.items()})
    for sheet in formulas.worksheets:
        cells = found.sheets.setdefault(sheet.title, {})
        # The cells that are there; asking for one that is not would make it.
        stored = values[sheet.title]._cells if values is not None else {}
        for key, cell in sheet._cells.items():
            value = stored[key].value if key in stored else None
            if cell.data_type == "f":
                text = cell.value if isinstance(cell.value, str) else getattr(cell.value, "text", "")
                cells[key] = Cell("=" + str(text or "").removeprefix("="), _plain(value))
            elif cell.value is not None:
                cells[key] = Cell(value=_plain(cell.value))
    return found


def _plain(value: Any) -> float | str | None:
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int | float):
        return as_number(value)
    return None if value is None else str(value)


def same_value(ours: float | str | None, theirs: float | str | None, share: float, amount: float = 0.0) -> bool:
    """Numbers within a share of the larger, or an amount; texts alike; an empty cell is an empty text."""
    if isinstance(ours, float) and isinstance(theirs, float):
        return abs(ours - theirs) <= max(share * max(abs(ours), abs(theirs), 1e-6), amount)
    return (ours if ours is not None else "") == (theirs if theirs is not None else "")


_PIECES = re.compile(r'("(?:[^"]|"")*")')
_NUMBER = re.compile(r"(?<![\w.$!:])(\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?)(?![\w.(!:])")
_REFERENCE = re.compile(
    r"(?<![\w.])(?P<sheet>(?:'(?:[^']|'')+'|[A-Za-z_][\w.]*)!)?(?P<c>\$?[A-Z]{1,3})(?P<r>\$?\d+)(?::(?P<c2>\$?[A-Z]{1,3})(?P<r2>\$?\d+))?(?![\w(.!])"
)


def normal(formula: str) -> str:
    """A formula without what office programs change when they save it: spaces, capitals, quotes about sheets, the form of numbers."""
    pieces = _PIECES.split(formula.removeprefix("="))
    for index in range(0, len(pieces), 2):
        plain = re.sub(r"\s+", "", pieces[index])
        plain = re.sub(r"'(\w+)'!", r"\1!", plain).replace("TRUE()", "TRUE").replace("FALSE()", "FALSE")
        plain = plain.upper().replace("_XLFN.", "").replace("_XLPM.", "")
        pieces[index] = _NUMBER.sub(lambda m: f"{float(m[1]):.12g}", plain)
    return "".join(pieces)


def with_rows(formula: str, home: str, row_of: Callable[[str, int], int | None], name_of: Callable[[str], str]) -> str:
    """A formula as it reads after rows were moved and sheets renamed: what a deleted row leaves is #REF!."""

    def moved(match: re.Match[str]) -> str:
        sheet = (match["sheet"] or "").removesuffix("!").strip("'") or home
        prefix = f"{_quoted(name_of(sheet))}!" if match["sheet"] else ""
        first, last = (int((match[r] or match["r"]).lstrip("$")) for r in ("r", "r2"))
        if match["r2"] is None:
            row = row_of(sheet, first)
            return f"{prefix}{_at(match['c'], match['r'], row)}" if row is not None else f"{prefix}#REF!"
        # A range that has lost its first or last row begins or ends with the next that is left.
        left = next((r for row in range(first, last + 1) if (r := row_of(sheet, row)) is not None), None)
        right = next((r for row in range(last, first - 1, -1) if (r := row_of(sheet, row)) is not None), None)
        if left is None or right is None:
            return f"{prefix}#REF!"
        return f"{prefix}{_at(match['c'], match['r'], left)}:{_at(match['c2'], match['r2'], right)}"

    pieces = _PIECES.split(formula)
    pieces[::2] = [_REFERENCE.sub(moved, p) for p in pieces[::2]]
    return "".join(pieces)


def _quoted(sheet: str) -> str:
    return sheet if re.fullmatch(r"\w+", sheet) else "'" + sheet.replace("'", "''") + "'"


def _at(column: str, row: str, number: int) -> str:
    return f"{column}{'$' if row.startswith('$') else ''}{number}"
