"""One item of one part as it stands on a sheet that is typed into."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.formula.printing import COLUMN
from workbook_builder.table.vocabulary import Item

from .rows import column_letters


@dataclass(frozen=True)
class InputLine:
    """What was typed and where, what is used, and why."""

    sheet: str
    row: int
    column: int  # counted from 0
    part: str
    item: Item
    typed: float | str | None
    used: float | str | None
    unit: str
    note: str
    default: float | str | None
    source: str
    low: float | None = None
    high: float | None = None

    @property
    def key(self) -> str:
        return f"{self.part}|{self.item.name}"

    @property
    def cell(self) -> str:
        """The address of the typed cell on its sheet."""
        return f"{column_letters(self.column)}{self.row}"

    @property
    def own(self) -> str:
        """The typed cell as a formula of the same column names it."""
        return f"{COLUMN}{self.row}"

    @property
    def default_cell(self) -> str:
        return f"$C{self.row}"
