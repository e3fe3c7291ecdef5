"""A sum over the columns of another axis in one cell: what a formula gives for each month, added up."""

from __future__ import annotations

import functools
import operator
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import Measure
from workbook_builder.formula import recording as formula
from workbook_builder.formula.evaluation import compiled
from workbook_builder.formula.printing import Worksheet
from workbook_builder.formula.rounding import seal

from .base import Reference, SheetPlace, Values
from .references import OfRow
from .row_text import guard_of
from .rows import Row, column_letters
from .worksheet import Sheet


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


def summed(sheet: Sheet, label: str, kind: Measure, body: Callable[..., Any], *args: Reference, words: str) -> Row:
    """A row that sums what ``body`` gives for each column of another axis, whose rows come in as :class:`Each`."""
    given = [formula.leaf(a, a.kind, sheet.book.system) for a in args]
    with formula.recording(sheet.book.system):
        node = seal(formula.in_trade_units(body(*given), kind, sheet.book.system))
    worked = compiled(node)
    own = [a for a in args if not isinstance(a, Each)]
    each = [a for a in args if isinstance(a, Each)]

    def compute(values: Values) -> Any:
        def cell(reference: Any) -> Any:
            value = np.asarray(reference.value(values))
            return value if isinstance(reference, Each) else value[..., None]

        there = [values.there(a.row).all(axis=-1, keepdims=True) for a in each]
        ready = functools.reduce(operator.and_, (*there, *(a.is_ready(values) for a in own)))
        found = worked(cell)
        # One after the other, as the worksheet adds, so that the last digit agrees.
        return np.where(ready, np.cumsum(found, axis=-1)[..., -1], np.nan), ready

    def written() -> str:
        text = Worksheet(lambda r: r.text(sheet)).text(node)  # type: ignore[attr-defined]
        whole = [f"COUNT({a.text(sheet)})={len(a.row.axis.labels)}" for a in each]
        tests = [test for test in (guard_of(own, None, sheet), *whole) if test]
        return f'IF(AND({",".join(tests)}),SUMPRODUCT({text}),"")'

    row = Row(sheet, label, kind, written, compute, words)
    row.uses = args
    return sheet.placed(row)
