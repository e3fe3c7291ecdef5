"""References that gather from the columns of another sheet: a sum, the sum where a name stands, one picked by its name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from hydrocalc.measures import COUNT, TEMPERATURE_DIFFERENCE, Key, Measure

from .base import Reference, SheetPlace, Values, blank_of, is_blank, lowered
from .references import OfRow, SumOf, _numbers
from .rows import Row, column_letters


@dataclass(frozen=True)
class Across(Reference):
    """A row of a whole axis brought down to one number: its sum, its largest or smallest value, how many there are."""

    row: Row
    how: Literal["SUM", "MAX", "MIN", "COUNT", "AVERAGE"]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return COUNT if self.how == "COUNT" else self.row.kind

    @property
    def name(self) -> str:
        word = {"SUM": "sum of", "MAX": "largest", "MIN": "smallest", "COUNT": "number of", "AVERAGE": "mean of"}[self.how]
        return f"{word} {lowered(self.row.label)}, all {self.row.axis.name}s"

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: SheetPlace) -> str:
        span = self.row.span(sheet)
        return f"COUNT({span})" if self.how == "COUNT" else f'IF(COUNT({span})>0,{self.how}({span}),"")'

    def value(self, values: Values) -> Any:
        row = _numbers(values[self.row])
        there = ~np.isnan(row)
        if self.how == "COUNT":
            return there.sum(axis=-1, keepdims=True).astype(np.float64)
        if self.how in ("SUM", "AVERAGE"):
            # One after the other, as the worksheet adds, so that the last digit agrees.
            result = np.cumsum(np.nan_to_num(row), axis=-1)[..., -1:]
            if self.how == "AVERAGE":
                result = result / np.maximum(there.sum(axis=-1, keepdims=True), 1)
        elif self.how == "MAX":
            result = np.max(np.where(there, row, -np.inf), axis=-1, keepdims=True)
        else:
            result = np.min(np.where(there, row, np.inf), axis=-1, keepdims=True)
        return np.where(there.any(axis=-1, keepdims=True), result, np.nan)


@dataclass(frozen=True)
class SpreadOf(OfRow):
    """How far the columns of a row lie about their mean: the standard deviation with their number as the divisor.

    Blank unless every column has a number.
    """

    kind = TEMPERATURE_DIFFERENCE

    @property
    def name(self) -> str:
        return f"standard deviation of {lowered(self.row.label)}, all {self.row.axis.name}s"

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: SheetPlace) -> str:
        span = self.row.span(sheet)
        return f'IF(COUNT({span})={len(self.row.axis.labels)},STDEVP({span}),"")'

    def value(self, values: Values) -> Any:
        return np.std(_numbers(values[self.row]), axis=-1, keepdims=True)


@dataclass(frozen=True)
class SumWhere(Reference):
    """The sum of a row of another axis over the columns whose key row bears this column's name."""

    row: Row
    key: Row
    label: Row
    blank: bool = True  # while nothing is there to be summed; as a part of a formula it is nothing then

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return f"sum of {lowered(self.row.label)} over its {self.row.axis.name}s"

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: SheetPlace) -> str:
        span = self.row.span(sheet)
        summed = f"SUMIF({self.key.span(sheet)},{self.label.text(sheet)},{span})"
        return f'IF(COUNT({span})>0,{summed},"")' if self.blank else summed

    def value(self, values: Values) -> Any:
        places: dict[Any, int] = {}
        keys = [places.setdefault(key, len(places)) for key in np.asarray(values[self.key]).tolist()]
        row = _numbers(values[self.row])
        # One after the other, as the worksheet adds, and in one pass over the columns however many names there are.
        sums = np.zeros((len(places) + 1, *row.shape[:-1]))
        np.add.at(sums, keys, np.moveaxis(np.nan_to_num(row), -1, 0))
        summed = np.moveaxis(sums[[places.get(label, -1) for label in np.asarray(values[self.label]).tolist()]], 0, -1)
        return summed if not self.blank else np.where(np.isnan(row).all(axis=-1, keepdims=True), np.nan, summed)


@dataclass(frozen=True)
class CountWhere(Reference):
    """How many columns of another axis bear this column's name."""

    key: Row
    label: Row
    kind = COUNT

    @property
    def name(self) -> str:
        return f"number of its {self.key.axis.name}s"

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: SheetPlace) -> str:
        return f"COUNTIF({self.key.span(sheet)},{self.label.text(sheet)})"

    def value(self, values: Values) -> Any:
        matches = np.asarray(values[self.key])[..., None, :] == np.asarray(values[self.label])[..., :, None]
        return matches.sum(axis=-1).astype(np.float64)


@dataclass(frozen=True)
class Pick(Reference):
    """The value of a row of another axis in the column that bears the name in ``key``; blank where there is none."""

    row: Row
    label: Row
    key: Row

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return f"{lowered(self.row.label)} of its {self.row.axis.name}"

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: SheetPlace) -> str:
        return f'IFERROR(INDEX({self.row.span(sheet)},1,MATCH({self.key.text(sheet)},{self.label.span(sheet)},0)),"")'

    def value(self, values: Values) -> Any:
        row, labels, keys = (np.asarray(values[r]) for r in (self.row, self.label, self.key))
        where = {name: i for i, name in reversed(list(enumerate(labels.tolist()))) if name != ""}
        index = np.array([where.get(k, -1) for k in keys.tolist()])
        picked = row[..., index]
        return np.where(index < 0, blank_of(self.row), picked)


@dataclass(frozen=True)
class FirstFit(Reference):
    """Among candidates in order, the value that goes with the first whose ``fits`` row says 1; the last if none fits."""

    fits: tuple[Row, ...]
    takes: tuple[Row, ...]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.takes[0].kind

    @property
    def name(self) -> str:
        return f"first {lowered(self.takes[0].label)} that fits"

    words = "the first that keeps the limits; if none does, the last that there is"

    def text(self, sheet: SheetPlace) -> str:
        there = [t.text(sheet) for t in self.takes]
        last = '""'
        for cell in there:  # the last size that there is
            last = f'IF({cell}<>"",{cell},{last})'
        for fit, take in reversed(list(zip(self.fits, self.takes, strict=True))):
            last = f"IF({fit.text(sheet)}=1,{take.text(sheet)},{last})"
        return last

    def value(self, values: Values) -> Any:
        result: Any = np.full(np.shape(values[self.takes[0]]), blank_of(self.takes[0]), dtype=object)
        for take in self.takes:
            value = np.asarray(values[take], dtype=object)
            result = np.where(is_blank(values[take]), result, value)
        for fit, take in reversed(list(zip(self.fits, self.takes, strict=True))):
            result = np.where(_numbers(values[fit]) == 1, np.asarray(values[take], dtype=object), result)
        return result if self.is_text else result.astype(np.float64)


@dataclass(frozen=True)
class At(OfRow):
    """One cell of a row, named by its place: a month of the climate, say."""

    index: int

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{lowered(self.row.label)}, {self.row.axis.labels[self.index]}"

    def text(self, sheet: SheetPlace) -> str:
        prefix = "" if sheet is self.row.sheet else f"{self.row.sheet.name}!"
        return f"{prefix}${column_letters(self.row.first_column + self.index)}${self.row.number}"

    def value(self, values: Values) -> Any:
        return values[self.row][..., self.index : self.index + 1]

    def needs(self, sheet: SheetPlace) -> tuple[list[str], list[str]]:
        return ([], [self.text(sheet)]) if self.is_text else ([self.text(sheet)], [])

    def is_ready(self, values: Values) -> Any:
        return values.there(self.row)[..., self.index : self.index + 1]


@dataclass(frozen=True)
class FoundAt(Reference):
    """The value of a row in the first column whose verdict is the worst; blank where there is no verdict."""

    row: Row
    code: Row
    worst: Row

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return f"{lowered(self.row.label)} where it is worst"

    words = "in the first column that has the worst verdict"

    def text(self, sheet: SheetPlace) -> str:
        worst = self.worst.text(sheet)
        return f'IF(ISNUMBER({worst}),INDEX({self.row.span(sheet)},1,MATCH({worst},{self.code.span(sheet)},0)),"")'

    def value(self, values: Values) -> Any:
        code, row, worst = _numbers(values[self.code]), np.asarray(values[self.row]), _numbers(values[self.worst])
        matches, row = np.broadcast_arrays(code == worst, row)
        index = np.argmax(matches, axis=-1)
        picked = np.take_along_axis(row, index[..., None], axis=-1)
        return np.where(matches.any(axis=-1, keepdims=True), picked, blank_of(self.row))


@dataclass(frozen=True)
class SumRows(Reference):
    """The sum of rows that stand one below another, blanks counting nothing; blank if all are blank."""

    first: Row
    last: Row
    rows: tuple[Row, ...]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.first.kind

    name = "sum of the rows above"
    words = "sum of the rows above"

    def text(self, sheet: SheetPlace) -> str:
        if self.last.number - self.first.number != len(self.rows) - 1:  # a range only where nothing else stands between them
            return SumOf(self.rows).text(sheet)
        span = f"{self.first.text(sheet)}:{self.last.text(self.last.sheet)}"  # the sheet is named once: not every program reads it twice
        return f'IF(COUNT({span})>0,SUM({span}),"")'

    def value(self, values: Values) -> Any:
        return SumOf(self.rows).value(values)


def total_of(rows: Sequence[Row]) -> SumRows:
    """The sum of rows."""
    return SumRows(rows[0], rows[-1], tuple(rows))


@dataclass(frozen=True)
class CountText(Reference):
    """How many cells of a column of a table hold a word."""

    rows: tuple[Row, ...]
    word: str
    kind = COUNT

    @property
    def name(self) -> str:
        return f"how many say {self.word}"

    words = "counted"

    def text(self, sheet: SheetPlace) -> str:
        return f'COUNTIF({_column(self.rows, sheet)},"{self.word}")'

    def value(self, values: Values) -> Any:
        return sum((np.asarray(values[row]) == self.word).astype(np.float64) for row in self.rows)


@dataclass(frozen=True)
class PlaceInOrder(Reference):
    """The place of a verdict among those that are not kept: fails in their order, then remarks in theirs; 0 for a pass."""

    verdicts: tuple[Row, ...]
    index: int
    kind = COUNT
    name = "place"
    words = "fails in their order, then remarks in theirs; 0 for a pass"

    def text(self, sheet: SheetPlace) -> str:
        own, every = self.verdicts[self.index].text(sheet), _column(self.verdicts, sheet)
        so_far = _column(self.verdicts[: self.index + 1], sheet)
        remark = f'IF({own}="remark",COUNTIF({every},"fail")+COUNTIF({so_far},"remark"),0)'
        return f'IF({own}="fail",COUNTIF({so_far},"fail"),{remark})'

    def value(self, values: Values) -> Any:
        own, so_far = np.asarray(values[self.verdicts[self.index]]), self.verdicts[: self.index + 1]
        fails, remarks = CountText(so_far, "fail").value(values), CountText(so_far, "remark").value(values)
        after_fails = CountText(self.verdicts, "fail").value(values) + remarks
        return np.where(own == "fail", fails, np.where(own == "remark", after_fails, 0.0))


def _column(rows: tuple[Row, ...], sheet: SheetPlace) -> str:
    """Cells one below another."""
    return f"{rows[0].text(sheet)}:{rows[-1].text(rows[-1].sheet)}"
