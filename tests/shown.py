"""The rows that people read on the sheets of the sizing, each beside a value worked out another way.

An expectation is a function of a job, and on a sheet with columns of the name of one, that gives the value in the book's US units;
None where the cell has to be blank.  It is asked of every column of two jobs: the sample with loads of every kind, and a job of what
the sample has not: antifreeze, a closed system, a batch boiler too small for the night, lines apart, wet or with a stated loss, fuels
used between dates.  What is typed is read from the table of the job, its units turned by the factors below; water and heat come from
the independent solver in ``oracle``.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

import books
import numpy as np
from oracle.facts import BTU, FOOT, HOUR, MONTH_DAYS, MONTHS, POUND
from oracle.network import Network, Night, Run
from oracle.year import Reckoning, Year
from shown_job import SECOND

from workbook_builder.build import Built, build
from workbook_builder.model.rows import Heading, Row
from workbook_builder.table.job import Job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

GALLON, INCH, PSI = 231 * 0.0254**3, 0.0254, 6894.757293168
MILLION, DAY_HOURS = 1e6, 24.0
SHARE, KELVIN, NOTHING = 0.005, 0.1, 1e-6
JOBS = ("sample", "second")
# What a unit of the second job is of the unit in which the book shows it.
METRIC = {
    "m": 1 / FOOT,
    "mm": 1 / 25.4,
    "kPa": 1000 / PSI,
    "kW": 1000 / (BTU / HOUR),
    "L": 0.001 / GALLON,
    "L/min": 0.001 / GALLON,
    "W/(m K)": 1 / (BTU / HOUR / FOOT / (5 / 9)),
    "K": 1.8,
}


def watts(value: float) -> float:
    """BTU/h."""
    return value / (BTU / HOUR)


def fahrenheit(celsius: float) -> float:
    return celsius * 1.8 + 32


def millions(joules: float) -> float:
    """Million BTU."""
    return joules / BTU / MILLION


def gpm(flow: float) -> float:
    return flow / GALLON * 60


def per_foot(conductance: float) -> float:
    """BTU/(h ft °F) of W/(m K)."""
    return conductance / (BTU / HOUR / FOOT / (5 / 9))


def per_degree(rate: float) -> float:
    """BTU/(h °F) of W/K."""
    return watts(rate) / 1.8


@cache
def _vocabulary() -> dict[tuple[str, str], dict[str, str]]:
    path = books.ROOT / "workbook_builder" / "table" / "vocabulary.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        head = ("family", "kinds", "item", "measure", "required", "default", "unit")
        return {(row[0], row[2]): dict(zip(head, row, strict=False)) for row in csv.reader(stream)}


class Worked:
    """A job in the book and in the solver."""

    def __init__(self, name: str) -> None:
        table = books.table_of(books.FULL) if name == "sample" else SECOND
        self.name, self.table = name, {(part, item): (value, unit) for part, item, value, unit, _ in table}
        rows = [TableRow(n, *line) for n, line in enumerate(table, 2)]
        self.built: Built = books.built(books.FULL, "us") if name == "sample" else build(job_from_rows("second.csv", rows))
        self.job: Job = self.built.job
        self.network = Network(self.job)
        self.year: Year = Reckoning(self.network).solve()

    # -- what is typed

    def typed(self, part: str, item: str) -> Any:
        """As in the table, in the book's unit; None if it is not there."""
        if (part, item) not in self.table:
            return None
        value, unit = self.table[part, item]
        wanted = _vocabulary()[self._family(part), item]["unit"]
        if not wanted:
            return value
        if unit == "°C":
            return fahrenheit(float(value))
        own = wanted in ("$/unit", "units") or unit in (wanted, "")
        return float(value) * (1.0 if own else METRIC[unit])

    def used(self, part: str, item: str) -> Any:
        """As typed, or what the vocabulary says is taken otherwise; None if it says of nothing."""
        typed = self.typed(part, item)
        if typed is not None:
            return typed
        line = _vocabulary()[self._family(part), item]
        return (float(line["default"]) if line["unit"] else line["default"]) if line["default"] else None

    def number(self, part: str, item: str) -> float:
        return float(self.used(part, item))

    def _family(self, part: str) -> str:
        return next(f for f in ("fuel today", "run", "load", part) if part == f or part.startswith(f"{f} "))

    @property
    def months(self) -> list[float]:
        """Mean temperatures of the air, °F."""
        return [fahrenheit(t) for t in self.network.site.means]

    def lit(self, month: int) -> bool:
        first, last = (MONTHS.index(self.used("boiler", f"{end} month lit")) for end in ("first", "last"))
        return first <= month <= last if first <= last else month >= first or month <= last

    # -- the design night

    @cached_property
    def will_be(self) -> tuple[float, Night]:
        """The boiler's water and the night as it will be."""
        output = min(self.year.sustained or math.inf, self.network.site.num("boiler", "rated output"))
        return self.network.settled(output)

    @property
    def night(self) -> Night:
        return self.will_be[1]

    def run(self, name: str) -> Run:
        return self.network.runs[name]

    # -- the book

    def rows(self, sheet: str) -> Iterator[tuple[str, Row]]:
        """The rows that are read: with the heading under which each stands."""
        heading = ""
        for _, item in self.built.book.sheets[sheet].items:
            if isinstance(item, Heading):
                heading = item.text
            elif not item.folded and item.depth == 0:
                yield heading, item

    def cells(self, row: Row) -> list[float | str | None]:
        """A row's cells; None for a blank one."""
        return [v if isinstance(v, str) else float(v) if np.isfinite(v) else None for v in self.built.book.values[row]]


@cache
def worked(name: str) -> Worked:
    return Worked(name)


@dataclass(frozen=True)
class Near:
    """An expectation with a tolerance of its own: a share, or an amount in the row's unit."""

    value: Callable[..., Any]
    share: float = 0.0
    amount: float = 0.0


Expected = Callable[..., Any] | Near
Table = dict[str, dict[str, Expected]]  # by heading, by label
OneMonth = Callable[..., Any]


def by_month(each: OneMonth, year: OneMonth | None = None, share: float = SHARE) -> dict[str, Expected]:
    """Twelve rows and their sum; the month is the last argument."""

    def of(month: int) -> Callable[..., Any]:
        return lambda *at: each(*at, month)

    def summed(*at: Any) -> float:
        return float(sum(each(*at, m) for m in range(12)))

    return {**{name: Near(of(m), share) for m, name in enumerate(MONTHS)}, "The year": Near(year or summed, share)}


def typed(family: str, item: str) -> Callable[..., Any]:
    """What is fetched as it is typed, or by default."""
    if family in ("run", "load", "fuel today"):
        return lambda w, name: w.used(f"{family} {name}", item)
    return lambda w, *_: w.used(family, item)


def _close(row: Row, found: float, expected: float, rule: Near) -> bool:
    if rule.amount or rule.share:
        return math.isclose(found, expected, rel_tol=rule.share, abs_tol=rule.amount)
    if getattr(row.kind, "name", "") == "Temperature":
        return abs(found - expected) <= 1.8 * KELVIN
    return math.isclose(found, expected, rel_tol=SHARE, abs_tol=0.0 if expected else NOTHING)


Place = tuple[str, str]  # heading and label


def differences(job: str, sheet: str, table: Table, but: Collection[Place] = (), only: Collection[Place] = ()) -> str:
    """Every cell that is not what is expected, in words."""
    w, wrong = worked(job), []
    for heading, row in w.rows(sheet):
        if (heading, row.label) in but or (only and (heading, row.label) not in only):
            continue
        entry = table[heading][row.label]
        rule = entry if isinstance(entry, Near) else Near(entry)
        columns = [()] if row.is_scalar else [(name,) for name in row.axis.labels]
        for at, found in zip(columns, w.cells(row), strict=True):
            expected = rule.value(w, *at)
            if isinstance(expected, float | int) and isinstance(found, float):
                right = _close(row, found, float(expected), rule)
            else:
                right = (expected or None) == (found or None)
            if not right:
                wrong.append(f"{', '.join((sheet, heading, row.label, *at))}: {found} instead of {expected} {row.unit}")
    return "\n".join(wrong)


def lacking(sheet: str, table: Table) -> list[str]:
    """Rows of the sample's book without an entry, and entries without a row."""
    rows = {(heading, row.label) for heading, row in worked("sample").rows(sheet)}
    entries = {(heading, label) for heading, part in table.items() for label in part}
    return [f"no entry: {place}" for place in sorted(rows - entries)] + [f"no row: {place}" for place in sorted(entries - rows)]


def blank(sheet: str) -> list[Place]:
    """Rows that show nothing in any job: their entries say nothing."""
    cells: dict[Place, list[Any]] = {}
    for job in JOBS:
        for heading, row in worked(job).rows(sheet):
            cells.setdefault((heading, row.label), []).extend(worked(job).cells(row))
    return [place for place, found in cells.items() if all(cell in (None, "") for cell in found)]


def days(month: int) -> int:
    return MONTH_DAYS[month]


def pounds(mass: float) -> float:
    return mass / POUND
