"""What only a sheet can do: pick by name, sum where, the first that fits, an input by its key.

Each reference knows two things side by side: how it is written in a cell, and what its value is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import COUNT, Key, Measure

from .base import Reference, SheetPlace, Values, blank_of, is_blank, lowered
from .rows import Row


def _numbers(value: Any) -> Any:
    return np.asarray(value, dtype=np.float64)


@dataclass(frozen=True)
class Condition(Reference):
    """A text row is one of these texts.  Used to say for which kinds a row applies."""

    row: Row
    texts: tuple[str, ...]
    negated: bool = False
    kind = None

    @property
    def name(self) -> str:
        return f"{self.row.label} is {' or '.join(self.texts)}"

    def text(self, sheet: SheetPlace) -> str:
        cell = self.row.text(sheet)
        tests = [f'{cell}="{t}"' for t in self.texts]
        joined = tests[0] if len(tests) == 1 else f"OR({','.join(tests)})"
        return f"NOT({joined})" if self.negated else joined

    def value(self, values: Values) -> Any:
        found = np.isin(np.asarray(values[self.row], dtype=object).astype(str), self.texts)
        return ~found if self.negated else found


@dataclass(frozen=True)
class Both(Reference):
    """Two conditions at once."""

    first: Reference
    second: Reference
    kind = None

    @property
    def name(self) -> str:
        return f"{self.first.name} and {self.second.name}"

    def text(self, sheet: SheetPlace) -> str:
        return f"AND({self.first.text(sheet)},{self.second.text(sheet)})"

    def value(self, values: Values) -> Any:
        return self.first.value(values) & self.second.value(values)


@dataclass(frozen=True)
class Either(Reference):
    """One condition or another, or both."""

    first: Reference
    second: Reference
    kind = None

    @property
    def name(self) -> str:
        return f"{self.first.name} or {self.second.name}"

    def text(self, sheet: SheetPlace) -> str:
        return f"OR({self.first.text(sheet)},{self.second.text(sheet)})"

    def value(self, values: Values) -> Any:
        return self.first.value(values) | self.second.value(values)


def kind_is(row: Row, *texts: str) -> Condition:
    return Condition(row, texts)


def kind_is_not(row: Row, *texts: str) -> Condition:
    return Condition(row, texts, negated=True)


@dataclass(frozen=True)
class FirstGiven(Reference):
    """The first of several rows that is not blank; blank if all are."""

    rows: tuple[Reference, ...]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.rows[0].kind

    @property
    def name(self) -> str:
        return " or else ".join(r.name for r in self.rows)

    @property
    def words(self) -> str:  # type: ignore[override]
        return " or else ".join(lowered(r.name) for r in self.rows)

    def text(self, sheet: SheetPlace) -> str:
        last = self.rows[-1].text(sheet)
        for row in reversed(self.rows[:-1]):
            cell = row.text(sheet)
            last = f'IF({cell}<>"",{cell},{last})'
        return last

    def value(self, values: Values) -> Any:
        result = np.asarray(self.rows[-1].value(values))
        for row in reversed(self.rows[:-1]):
            value = np.asarray(row.value(values))
            result = np.where(is_blank(value), result, value)
        return result


@dataclass(frozen=True)
class Guarded(Reference):
    """A reference without a guard of its own, used in a formula: blank where it is blank."""

    of: Reference

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.of.kind

    @property
    def name(self) -> str:
        return self.of.name

    def text(self, sheet: SheetPlace) -> str:
        return self.of.text(sheet)

    def value(self, values: Values) -> Any:
        return self.of.value(values)

    def needs(self, sheet: SheetPlace) -> tuple[list[str], list[str]]:
        return [self.text(sheet)], []

    def is_ready(self, values: Values) -> Any:
        return ~is_blank(self.value(values))


@dataclass(frozen=True)
class OfRow(Reference):
    """What is told of a row under its own name, in its own measure."""

    row: Row

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return self.row.label


@dataclass(frozen=True)
class SameColumn(OfRow):
    """A row of another sheet, carried over for the same run or load."""

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"from {self.row.sheet.name}"

    def text(self, sheet: SheetPlace) -> str:
        return self.row.text(sheet)

    def value(self, values: Values) -> Any:
        return values[self.row]


@dataclass(frozen=True)
class Unguarded(Reference):
    """A row that may be blank: a formula may use it all the same, a number where it does no arithmetic with it."""

    row: Row

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return self.row.label

    def text(self, sheet: SheetPlace) -> str:
        return self.row.text(sheet)

    def value(self, values: Values) -> Any:
        return values[self.row]


@dataclass(frozen=True)
class Where(Reference):
    """Something taken over where a condition holds; blank elsewhere."""

    of: Reference
    condition: Reference

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.of.kind

    @property
    def name(self) -> str:
        return self.of.name

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{lowered(self.of.name)}, where {lowered(self.condition.name)}"

    def text(self, sheet: SheetPlace) -> str:
        return f'IF({self.condition.text(sheet)},{self.of.text(sheet)},"")'

    def value(self, values: Values) -> Any:
        return np.where(self.condition.value(values), self.of.value(values), blank_of(self.of))


@dataclass(frozen=True)
class IfPositive(OfRow):
    """A row where it is more than nothing; blank where it is not: the sum of loads that are not there yet."""

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{lowered(self.row.label)}; blank while it is nothing"

    def text(self, sheet: SheetPlace) -> str:
        cell = self.row.text(sheet)
        return f'IF(ISNUMBER({cell}),IF({cell}>0,{cell},""),"")'

    def value(self, values: Values) -> Any:
        row = _numbers(values[self.row])
        return np.where(row > 0, row, np.nan)


@dataclass(frozen=True)
class IfNone(OfRow):
    """A row where a count of faults is nothing; blank where it is not, or where nothing could be counted."""

    faults: Row

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{lowered(self.row.label)}; blank unless this is 0: {lowered(self.faults.label)}"

    def text(self, sheet: SheetPlace) -> str:
        faults = self.faults.text(sheet)
        return f'IF(ISNUMBER({faults}),IF({faults}=0,{self.row.text(sheet)},""),"")'

    def value(self, values: Values) -> Any:
        return np.where(_numbers(values[self.faults]) == 0, _numbers(values[self.row]), np.nan)


@dataclass(frozen=True)
class CountOf(Reference):
    """How many of several rows hold a number in the same column."""

    rows: tuple[Row, ...]
    kind = COUNT

    @property
    def name(self) -> str:
        return "how many of " + ", ".join(lowered(r.name) for r in self.rows)

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: SheetPlace) -> str:
        return f"COUNT({','.join(r.text(sheet) for r in self.rows)})"

    def value(self, values: Values) -> Any:
        return sum((~is_blank(r.value(values))).astype(np.float64) for r in self.rows)


@dataclass(frozen=True)
class NotAbove(Reference):
    """1 where both rows hold a number and the first does not exceed the second; else 0."""

    upper: Row
    lower: Row
    kind = COUNT

    @property
    def name(self) -> str:
        return f"{self.upper.label} not above {lowered(self.lower.label)}"

    @property
    def words(self) -> str:  # type: ignore[override]
        return "1: it is not"

    def text(self, sheet: SheetPlace) -> str:
        upper, lower = self.upper.text(sheet), self.lower.text(sheet)
        return f"IF(COUNT({upper},{lower})=2,IF({upper}>{lower},0,1),0)"

    def value(self, values: Values) -> Any:
        return np.where(_numbers(values[self.upper]) <= _numbers(values[self.lower]), 1.0, 0.0)


@dataclass(frozen=True)
class Holds(Condition):
    """A row holds a number.  Used to say that a row applies only where something was given."""

    texts: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return f"{self.row.label} is given"

    def text(self, sheet: SheetPlace) -> str:
        return f"ISNUMBER({self.row.text(sheet)})"

    def value(self, values: Values) -> Any:
        return ~is_blank(values[self.row])


@dataclass(frozen=True)
class MoreThan(Holds):
    """A row holds a number above a plain one."""

    least: float = 0.0

    @property
    def name(self) -> str:
        return f"{self.row.label} is above {self.least:,.0f}"

    def text(self, sheet: SheetPlace) -> str:
        cell = self.row.text(sheet)
        return f"AND(ISNUMBER({cell}),{cell}>{self.least:g})"

    def value(self, values: Values) -> Any:
        return _numbers(values[self.row]) > self.least


@dataclass(frozen=True)
class Says(Holds):
    """A row of yes (1) and no (0) says one of the two; neither while it is blank."""

    yes: bool = True

    @property
    def name(self) -> str:
        return f"{'' if self.yes else 'not: '}{self.row.label.removesuffix(' (1: yes)')}"

    def text(self, sheet: SheetPlace) -> str:
        return f"{self.row.text(sheet)}={self.yes:d}"

    def value(self, values: Values) -> Any:
        return _numbers(values[self.row]) == self.yes


@dataclass(frozen=True)
class SumOf(Reference):
    """The sum of several rows of the same column, blanks counting nothing; blank if all are blank."""

    rows: tuple[Row, ...]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.rows[0].kind

    @property
    def name(self) -> str:
        return " + ".join(lowered(r.name) for r in self.rows)

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: SheetPlace) -> str:
        cells = ",".join(r.text(sheet) for r in self.rows)
        return f'IF(COUNT({cells})>0,SUM({cells}),"")'

    def value(self, values: Values) -> Any:
        stack = np.stack(np.broadcast_arrays(*(_numbers(r.value(values)) for r in self.rows)))
        # Added one after the other, as SUM does, so that the last digit agrees.
        total = np.zeros(stack.shape[1:])
        for part in stack:
            total = total + np.nan_to_num(part)
        return np.where(np.isnan(stack).all(axis=0), np.nan, total)


@dataclass(frozen=True)
class Constant(Reference):
    """A number of ours among references: the value that stands in when nothing is given."""

    number: float
    kind: Measure | Key | None
    words = "a fixed number"

    @property
    def name(self) -> str:
        return f"{self.number:g}"

    def text(self, sheet: SheetPlace) -> str:
        return f"{self.number:g}"

    def value(self, values: Values) -> Any:
        return np.array([self.number])
