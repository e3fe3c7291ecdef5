"""A worked book with some lines replaced: what the job gives if a line is worked out another way.

Nothing is built again.  Only the lines between the replaced ones and the wanted one are worked out anew.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from hydrocalc.measures import Measure
from hydrocalc.named import Named
from workbook_builder.build import Built
from workbook_builder.model.base import Values, blank_of
from workbook_builder.model.rows import Heading, Row
from workbook_builder.model.worksheet import BuildError

# What a line gives instead: from the values worked out so far and what the line itself gives.
Change = Callable[[Values, Any], Any]
Changes = Mapping[Row, tuple[Change, ...]]


class Scenarios:
    """A worked book, and what its lines give when some of them are changed."""

    def __init__(self, built: Built) -> None:
        self.built, self.book, self.sizing = built, built.book, built.sizing
        self.system = built.book.system
        self.base = built.book.values
        self._group = {id(row): members for members in self.book.groups for row in members}
        self._place = {row: index for index, row in enumerate(self.book.order)}
        self._upstream: dict[Row, tuple[list[Row], frozenset[int]]] = {}
        self._labels: dict[tuple[str, str], list[Row]] = {}
        for sheet in self.book.sheets.values():
            for _, item in sheet.items:
                if not isinstance(item, Heading):
                    self._labels.setdefault((sheet.name, item.label), []).append(item)

    # -- where things are

    def rows(self, sheet: str, label: str) -> list[Row]:
        """All lines of a sheet with that label."""
        return self._labels.get((sheet, label), [])

    def upstream(self, row: Row) -> list[Row]:
        """Everything that a line is worked out from, and the line itself, in the order of working out."""
        return self._closure(row)[0]

    def depends(self, row: Row, on: Row) -> bool:
        return id(on) in self._closure(row)[1]

    def _closure(self, row: Row) -> tuple[list[Row], frozenset[int]]:
        if row not in self._upstream:
            found: dict[Row, None] = {}
            stack = [row]
            while stack:
                one = stack.pop()
                if one not in found:
                    found[one] = None
                    stack += [*self.book.reads(one)[0], *self._group.get(id(one), [])]
            ordered = sorted(found, key=self._place.__getitem__)
            self._upstream[row] = ordered, frozenset(map(id, ordered))
        return self._upstream[row]

    def inputs_of(self, row: Row) -> set[str]:
        """The keys of all inputs that a line is worked out from."""
        return {key for one in self.upstream(row) for key in self.book.reads(one)[1]}

    def group_of(self, row: Row) -> list[Row]:
        """The lines that are worked out together with this one."""
        return self._group.get(id(row), [row])

    def worked(self, wanted: Row, changes: Changes, inputs: Mapping[str, Any] | None = None) -> Any:
        """The values of the wanted line with these lines changed and these inputs replaced."""
        return Scenario(self, changes, inputs).line(wanted)

    # -- numbers in the book's units

    def trade(self, measure: Measure, coherent: float) -> float:
        """A coherent number in the book's unit of a measure."""
        return float(measure.unit(self.system).from_coherent(coherent))

    def call(self, function: Named[Any], values: Values, *args: Row | Any) -> Any:
        """A named function of lines (in the book's units) and coherent numbers; the result in the book's unit."""
        given = [a.kind.unit(self.system).to_coherent(values[a]) if isinstance(a, Row) and isinstance(a.kind, Measure) else a for a in args]
        assert isinstance(function.result, Measure)
        with np.errstate(all="ignore"):
            return function.result.unit(self.system).from_coherent(function.body(*given))


def _equal(a: Any, b: Any) -> bool:
    if a.dtype == object or b.dtype == object:
        return bool((a == b).all())
    return bool(np.array_equal(a, b, equal_nan=True))


class Scenario:
    """A scenarios with some lines changed and some inputs replaced, worked out no further than is asked for."""

    def __init__(self, scenarios: Scenarios, changes: Changes, inputs: Mapping[str, Any] | None = None) -> None:
        self.scenarios, self.changes, self.inputs = scenarios, changes, dict(inputs or {})
        self._values = Values(scenarios.base, inputs=self.inputs)
        self._reached: set[int] = set()
        self._done: set[int] = set()

    def line(self, wanted: Row) -> Any:
        """The values of a line."""
        for row in self.scenarios.upstream(wanted):
            if id(row) in self._done:
                continue
            members = self.scenarios.group_of(row)
            self._done.update(map(id, members))
            if not any(self._is_reached(m) for m in members):
                continue
            if len(members) == 1:
                self._values[row] = self._computed(row)
            else:
                self._settle(members)
            # What comes out as before reaches no further.
            self._reached.update(id(m) for m in members if not _equal(self._values[m], self.scenarios.base[m]))
        return self._values[wanted]

    def _is_reached(self, row: Row) -> bool:
        if row in self.changes:
            return True
        rows, keys = self.scenarios.book.reads(row)
        return any(id(r) in self._reached for r in rows) or any(k in self.inputs for k in keys)

    def _computed(self, row: Row) -> Any:
        try:
            value = self.scenarios.book.computed(row, self._values)
        except BuildError:
            value = np.full(len(row.axis.labels), blank_of(row), dtype=object if row.is_text else np.float64)
        for change in self.changes.get(row, ()):
            with np.errstate(all="ignore"):
                new = np.asarray(change(self._values, value), dtype=value.dtype)
            # A blank line stays blank: a mistake needs something to be mistaken about.
            blank = value == "" if row.is_text else np.isnan(value)
            value = np.where(blank, value, new)
        return value

    def _settle(self, members: list[Row]) -> None:
        for _ in range(len(members[0].axis.labels) + 2):
            changed = False
            for row in members:
                new = self._computed(row)
                changed |= not _equal(self._values[row], new)
                self._values[row] = new
            if not changed:
                return
