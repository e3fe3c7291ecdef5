"""The rows of a sizing sheet: what stands in one line, what its columns stand for, and a line as seen in the column to the left."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np

from hydrocalc.measures import Key, Measure
from workbook_builder.formula.printing import COLUMN

from .base import ONE, Axis, Reference, SheetPlace, ShowsNumber, Values, blank_of

SINGLE_COLUMN = 2  # column C: A holds labels, B units; what stands once for the whole job, or nothing
FIRST_COLUMN = 3  # column D: of the first run, load, fuel or month
HEADING_ROW = 4
LEFT_COLUMN = "‹"  # stands for the letters of the column to the left, as COLUMN does for a column's own


@dataclass(frozen=True)
class Heading:
    """A heading inside a sheet."""

    text: str
    folded: bool = False


@dataclass(eq=False, repr=False)
class Row(Reference):
    """One line: a label, a formula (or text or input) for all columns, its unit and where it comes from."""

    sheet: SheetPlace
    label: str
    kind: Measure | Key | None
    written: Callable[[], str] | None = None  # the formula; asked for when every row has its place
    compute: Callable[[Values], Any] | None = None
    words: str = ""
    function: str = ""
    source: str = ""
    depth: int = 0
    shows: ShowsNumber = "general"
    defined_name: str = ""
    remark: bool = False
    folded: bool = False
    uses: tuple[Reference, ...] = ()
    place: tuple[int, int] | None = None  # row and column of a row that is one cell of a table, counted from 1 and from 0
    axis: Axis = field(init=False)

    def __post_init__(self) -> None:
        self.axis = self.sheet.axis_here

    @property
    def number(self) -> int:
        """Where it stands on its sheet, counted from 1; for as long as the sheet grows no longer."""
        return self.place[0] if self.place is not None else self.sheet.number_of(self)

    @property
    def formula(self) -> str:
        """The formula for all columns; none for what is typed."""
        return "" if self.written is None else f"={self.written()}"

    @property
    def name(self) -> str:
        return self.label

    @property
    def is_text(self) -> bool:
        return not isinstance(self.kind, Measure)

    @property
    def is_scalar(self) -> bool:
        return self.axis == ONE

    @property
    def first_column(self) -> int:
        """The column of its first value, counted from 0."""
        if self.place is not None:
            return self.place[1]
        return SINGLE_COLUMN if self.is_scalar else FIRST_COLUMN

    def address(self, index: int = 0) -> str:
        """One of its cells, as another sheet names it."""
        return f"{self.sheet.name}!{column_letters(self.first_column + index)}{self.number}"

    @property
    def unit(self) -> str:
        return self.sheet.book.symbol(self.kind)

    def cell(self, sheet: SheetPlace, column: str = COLUMN) -> str:
        """How this row is written in a formula of a sheet; its own column unless another is named."""
        if self.defined_name:
            return self.defined_name
        prefix = "" if sheet is self.sheet else f"{self.sheet.name}!"
        return f"{prefix}${column_letters(self.first_column)}${self.number}" if self.is_scalar else f"{prefix}{column}{self.number}"

    def text(self, sheet: SheetPlace) -> str:
        return self.cell(sheet)

    def span(self, sheet: SheetPlace) -> str:
        """All columns of this row and the empty one behind them, as an absolute range: a column put in before that is one of them."""
        prefix = "" if sheet is self.sheet else f"{self.sheet.name}!"
        first, spacer = (column_letters(self.first_column + n) for n in (0, len(self.axis.labels)))
        return f"{prefix}${first}${self.number}:${spacer}${self.number}"

    def value(self, values: Values) -> Any:
        return values[self]

    def needs(self, sheet: SheetPlace) -> tuple[list[str], list[str]]:
        return ([], [self.text(sheet)]) if self.is_text else ([self.text(sheet)], [])

    def is_ready(self, values: Values) -> Any:
        return values.there(self)


@dataclass(eq=False)
class Left(Reference):
    """A row of a chain as it stands in the column to the left; in the first column, a cell that never counts."""

    label: str
    sheet: SheetPlace
    kind: Measure | Key | None
    row: Row | None = None

    @property
    def name(self) -> str:
        return f"{self.label} to the left"

    def text(self, sheet: SheetPlace) -> str:
        assert self.row is not None
        return f"{LEFT_COLUMN}{self.row.number}"

    def value(self, values: Values) -> Any:
        assert self.row is not None
        here = values.get(self.row)
        if here is None:
            here = np.full(len(self.row.axis.labels), blank_of(self.row), dtype=object if self.is_text else np.float64)
        shifted = np.empty_like(here)
        shifted[..., 0] = blank_of(self.row)
        shifted[..., 1:] = here[..., :-1]
        return shifted


def rows_of(reference: Reference) -> list[Row]:
    """The rows that a reference reads."""
    if isinstance(reference, Row):
        return [reference]
    found: list[Row] = []
    for item in dataclasses.fields(reference):  # type: ignore[arg-type]
        value = getattr(reference, item.name)
        for part in value if isinstance(value, tuple) else (value,):
            if isinstance(part, Reference):
                found += rows_of(part)
    return found


@cache
def column_letters(index: int) -> str:
    """The letters of a column counted from 0."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
