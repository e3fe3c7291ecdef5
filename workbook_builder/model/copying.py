"""A sheet once more, with other rows in place of some that it reads.

Recording a sheet costs more than anything else in a book.  Where the same lines are wanted for another water, the rows are
copied instead: the same formulas with some cells exchanged, worked out from the copies' own values.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Mapping
from typing import Any

from .base import Values
from .rows import Heading, Row
from .worksheet import Sheet


class _Seen(Values):
    """The values as a copied row sees them: a copy's where it was worked out from the row that the copy is of."""

    def __init__(self, values: Values, copies: Mapping[Row, Row]) -> None:
        super().__init__(inputs=values.inputs)
        self._values, self._copies = values, copies

    def __getitem__(self, row: Row) -> Any:
        return self._values[self._copies.get(row, row)]

    def get(self, row: Row, default: Any = None) -> Any:
        return self._values.get(self._copies.get(row, row), default)


def copy_sheet(original: Sheet, name: str, title: str, instead: Mapping[Row, Row]) -> tuple[Sheet, dict[Row, Row]]:
    """A sheet with the same lines, reading other rows instead of some; with it, which row became which."""
    book = original.book
    made = book.sheet(name, original.axis, title)
    copies: dict[Row, Row] = {**instead, original.names: made.names}
    exchange = _exchanged({text(old, original): text(new, made) for old, new in instead.items() for text in (Row.text, Row.span)})
    groups = {id(row): group for group in book.groups for row in group if row.sheet is original}
    waiting: list[tuple[Row, Row]] = []
    for number, item in original.items:
        if isinstance(item, Heading):
            made.items.append((number, item))
            continue
        row = dataclasses.replace(item, sheet=made, formula=exchange(item.formula), compute=_seeing(item, copies))
        copies[item] = row
        made.items.append((number, row))
        book.order.append(row)
        group = groups.get(id(item))
        waiting.append((item, row))
        if group is None or item is group[-1]:
            # All of a chain first: its rows read rows further down, in the column to the left.
            for old, new in waiting:
                rows, keys = book.reads(old)
                book.read_by(new, [copies.get(r, r) for r in rows], keys)
            if group is None:
                book.work_out(row)
            else:
                book.settle([new for _, new in waiting])
            waiting = []
    made.next_row = original.next_row
    return made, copies


def _seeing(row: Row, copies: Mapping[Row, Row]) -> Callable[[Values], Any]:
    compute = row.compute
    assert compute is not None
    return lambda values: compute(_Seen(values, copies))


def _exchanged(cells: Mapping[str, str]) -> Callable[[str], str]:
    """A function that writes other cells into a formula; no cell is taken for the beginning of a longer one."""
    pattern = re.compile("|".join(rf"(?<![\w!$]){re.escape(cell)}(?!\d)" for cell in cells))
    return lambda text: pattern.sub(lambda found: cells[found.group()], text)
