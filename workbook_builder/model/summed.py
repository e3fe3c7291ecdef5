"""A sum over the columns of another axis in one cell: what a formula gives for each month, added up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from .base import SheetPlace, Values
from .references import OfRow
from .rows import column_letters


@dataclass(frozen=True)
class Each(OfRow):
    """A row of another axis, each of its columns in turn: for formulas that are summed over all of them.

    In a cell it is the range of its columns, so that what is made of it may use only what an office program works out for each cell of
    a range: arithmetic, ABS, EXP and LN, but neither IF nor MAX.
    """

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"each {self.row.axis.name}'s {self.row.label[:1].lower()}{self.row.label[1:]}"

    def text(self, sheet: SheetPlace) -> str:
        first, last = (column_letters(self.row.first_column + n) for n in (0, len(self.row.axis.labels) - 1))
        prefix = "" if sheet is self.row.sheet else f"{self.row.sheet.name}!"
        return f"{prefix}${first}${self.row.number}:${last}${self.row.number}"

    def value(self, values: Values) -> Any:
        return np.asarray(values[self.row])[..., None, :]
