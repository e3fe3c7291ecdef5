"""References to the sheets that are typed into: an item of the column's run or load, of the whole job, or of a month; what a date says."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

import numpy as np

from hydrocalc.measures import COUNT, Key, Measure, System
from workbook_builder.formula.printing import COLUMN
from workbook_builder.table import vocabulary

from .base import Reference, SheetPlace, Values, is_blank
from .rows import Row, column_letters
from .typed_sheets import JOB, SHEET_OF, USED, row_of
from .typed_value import used_text

COMMON_YEAR = 2001  # one without a leap day


def _replaced(keys: list[str], used: tuple[Any, ...], values: Values, dtype: Any) -> Any:
    """The inputs of a row, those named in ``values.inputs`` in place of the book's own."""
    row = np.array(list(used), dtype=dtype)
    if not values.inputs or not any(k in values.inputs for k in keys):
        return row
    columns = [np.asarray(values.inputs.get(key, own), dtype=dtype) for key, own in zip(keys, row, strict=True)]
    return np.stack(np.broadcast_arrays(*columns), axis=-1)


def keys_of(reference: Reference) -> list[str]:
    """The inputs that a reference reads, by key."""
    if isinstance(reference, JobInput):
        return [f"{reference.part}|{reference.item}"]
    if isinstance(reference, Input):
        return [f"{reference.part} {name}|{reference.item}" for name in reference.names]
    if isinstance(reference, MonthInput):
        return [f"{reference.part}|{month.lower()} {reference.item_after_month}" for month in reference.months]
    found: list[str] = []
    for item in dataclasses.fields(reference):  # type: ignore[arg-type]
        value = getattr(reference, item.name)
        for part in value if isinstance(value, tuple) else (value,):
            if isinstance(part, Reference) and dataclasses.is_dataclass(part) and not hasattr(part, "compute"):
                found += keys_of(part)
    return found


@dataclass(frozen=True)
class Input(Reference):
    """An input of the column's run, load or fuel: it has the same column on the sheet on which it is typed."""

    part: str
    item: str
    kind: Measure | Key | None
    names: tuple[str, ...]
    used: tuple[Any, ...]
    system: System

    @property
    def name(self) -> str:
        return self.item

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"from {SHEET_OF[self.part]}"

    def text(self, sheet: SheetPlace) -> str:
        known = vocabulary.item(self.part, self.item)
        typed_on = SHEET_OF[self.part]
        row = row_of(self.part, self.item)
        default = '""' if known.default is None else f"{typed_on}!$C{row}"
        used = used_text(known, f"{typed_on}!{COLUMN}{row}", default, self.system)
        if not known.kinds:
            return used
        kind = f"{typed_on}!{COLUMN}${row_of(self.part, 'kind')}"
        tests = [f'{kind}="{one}"' for one in known.kinds]
        return f'IF({tests[0] if len(tests) == 1 else "OR(" + ",".join(tests) + ")"},{used},"")'

    def value(self, values: Values) -> Any:
        return _replaced(keys_of(self), self.used, values, object if self.is_text else np.float64)


@dataclass(frozen=True)
class JobInput(Reference):
    """An input of the whole job: a defined name that reads well."""

    part: str
    item: str
    kind: Measure | Key | None
    used: Any

    @property
    def name(self) -> str:
        return self.item

    words = f"from {JOB}"

    @property
    def cell_name(self) -> str:
        return input_name(self.part, self.item)

    def text(self, sheet: SheetPlace) -> str:
        return self.cell_name

    def value(self, values: Values) -> Any:
        return _replaced(keys_of(self), (self.used,), values, object if self.is_text else np.float64)

    def needs(self, sheet: SheetPlace) -> tuple[list[str], list[str]]:
        return ([], [self.cell_name]) if self.is_text else ([self.cell_name], [])

    def is_ready(self, values: Values) -> Any:
        return ~is_blank(self.value(values))


@dataclass(frozen=True)
class MonthInput(Reference):
    """An input that stands once for each month, found by the month at the head of the column."""

    part: str
    item_after_month: str
    kind: Measure | Key | None
    months: tuple[str, ...]
    used: tuple[Any, ...]

    @property
    def name(self) -> str:
        return self.item_after_month

    words = f"from {JOB}"

    def text(self, sheet: SheetPlace) -> str:
        rows = [row_of(self.part, f"{month.lower()} {self.item_after_month}") for month in self.months]
        items, used = (f"{JOB}!${letter}${rows[0]}:${letter}${rows[-1]}" for letter in ("A", column_letters(USED)))
        return f'IFERROR(INDEX({used},MATCH({COLUMN}$4&" {self.item_after_month}",{items},0)),"")'

    def value(self, values: Values) -> Any:
        return _replaced(keys_of(self), self.used, values, np.float64)


@dataclass(frozen=True)
class OfDate(Reference):
    """The year of a date, or the day of its year in a calendar without leap days: 29 February counts as the 28th.

    Inputs has the date as year-month-day, whatever was typed, so that no language of an office program matters.
    """

    row: Row
    what: Literal["year", "day"]
    kind = COUNT

    @property
    def name(self) -> str:
        return f"{'year' if self.what == 'year' else 'day of the year'} of {self.row.label}"

    @property
    def words(self) -> str:  # type: ignore[override]
        return "the first four digits" if self.what == "year" else "days before the month, and the day of it; 29 February as the 28th"

    def text(self, sheet: SheetPlace) -> str:
        cell = self.row.text(sheet)
        if self.what == "year":
            return f'IF({cell}="","",VALUE(LEFT({cell},4)))'
        month, day = f"VALUE(MID({cell},6,2))", f"VALUE(RIGHT({cell},2))"
        before = f"DATE({COMMON_YEAR},{month},1)-DATE({COMMON_YEAR},1,1)"
        return f'IF({cell}="","",{before}+MIN({day},DAY(DATE({COMMON_YEAR},{month}+1,0))))'

    def value(self, values: Values) -> Any:
        from workbook_builder.formula.evaluation import by_key

        return by_key([values[self.row]], self._of)

    def _of(self, text: str) -> float | None:
        if not text:
            return None
        day = date.fromisoformat(text)
        if self.what == "year":
            return float(day.year)
        common = day.replace(day=28) if (day.month, day.day) == (2, 29) else day
        return float(common.replace(year=COMMON_YEAR).timetuple().tm_yday)


def input_name(part: str, item: str) -> str:
    """The defined name of a job-wide input: ``site|elevation`` is ``site_elevation``."""
    return f"{part} {item}".replace(" ", "_").replace("-", "_")
