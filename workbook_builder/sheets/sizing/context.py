"""What every sizing sheet starts from: the book being built, the inputs, and the axes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from workbook_builder.model.base import ONE as ONE
from workbook_builder.model.base import Axis, Reference, ShowsNumber
from workbook_builder.model.input_references import Input, JobInput
from workbook_builder.model.inputs import Inputs
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Book, Sheet
from workbook_builder.table import vocabulary
from workbook_builder.table.vocabulary import BOILER, BRANCHING, GOING_ON, MONTHS, OWN_LIQUID

MONTH = Axis("month", MONTHS)
# The sheets of the sizing: what their columns stand for, and their titles.
SECONDS_A_DAY = 86400.0
TITLES = {
    "Needs": ("load", "Needs: what each load needs, and what it can take"),
    "Lines": ("run", "Lines: tube, ground and the water that each run carries"),
    "Pumps": ("run", "Pumps: the flow that each circulator delivers"),
    "Water": ("load", "Water: from load to load on the design night"),
    "Boiler": ("one", "Boiler: the load, the fire and the power failure"),
    "Climate": ("month", "Climate by month"),
    "Year": ("load", "Year: heat and wood by month"),
    "Money": ("fuel today", "Money: today's fuels, the wood and what is saved"),
}


@dataclass(frozen=True, repr=False)
class Context:
    """A book in the making, and the inputs that it is made from."""

    book: Book
    inputs: Inputs
    runs: Axis
    loads: Axis
    fuel_axis: Axis
    _fetched: dict[tuple[str, str], Row] = field(default_factory=dict)

    @cached_property
    def kinds(self) -> frozenset[str | None]:
        """The kinds of the job's loads; None among them where one is not known yet."""
        return frozenset(self.inputs.job.kind_of(f"load {name}") for name in self.loads.labels)

    def has(self, *kinds: str) -> bool:
        """True if a load is of one of these kinds, or may yet become one."""
        return None in self.kinds or not self.kinds.isdisjoint(kinds)

    @cached_property
    def branching(self) -> int:
        """How many runs lie between a run and the boiler at most; all that there may be where that is not known yet."""
        if None in self.kinds:
            return BRANCHING
        starts = {name: self.inputs.job.starts_on(name) for name in self.runs.labels}

        def away(name: str, so_far: int = 0) -> int:
            return so_far if starts[name] == BOILER or so_far == BRANCHING else away(starts[name], so_far + 1)

        return max(map(away, starts), default=0)

    @cached_property
    def goes_on(self) -> int:
        """How many times at most a run's flow goes on into another run after the last load; as branching where it is not known yet."""
        if None in self.kinds:
            return GOING_ON
        before = {name: self.inputs.job.goes_on_from(name) for name in self.runs.labels}

        def so_far(name: str, count: int = 0) -> int:
            run = before[name]
            return count if run is None or count == GOING_ON else so_far(run, count + 1)

        return max(map(so_far, before), default=0)

    def beside_the_fire(self, item: str) -> bool:
        """True if the job has a second boiler or a backup, told by its output, or may yet get one."""
        return None in self.kinds or self.inputs.job.given("boiler", item)

    @cached_property
    def parted(self) -> bool:
        """True if a run has a liquid of its own behind an exchanger, or may yet get one."""
        job = self.inputs.job
        of_boiler = {item: job.value("liquid", "kind" if item == "liquid" else item) for item in OWN_LIQUID}

        def differs(part: str) -> bool:
            own = (item for item in OWN_LIQUID if job.given(part, item))
            return job.given(part, "exchanger conductance") or any(job.value(part, item) != of_boiler[item] for item in own)

        return None in self.kinds or any(differs(f"run {name}") for name in self.runs.labels)

    def sheet(self, name: str) -> Sheet:
        """A sheet of the sizing, begun or gone on with."""
        axis, title = TITLES[name]
        axes = {"load": self.loads, "run": self.runs, "fuel today": self.fuel_axis, "month": MONTH, "one": ONE}
        return self.book.sheet(name, axes[axis], title)

    def job(self, part: str, item: str) -> JobInput:
        """An input of the whole job."""
        return self.inputs.job_input(part, item)

    def per(self, sheet: Sheet, item: str) -> Input:
        """An input of each run or load of a sheet."""
        return self.inputs.of(sheet.axis.name, sheet.axis.labels, item)

    def fetch(self, sheet: Sheet, *items: str, shows: ShowsNumber = "general") -> list[Row]:
        """A row for each of these inputs of the sheet's runs or loads, labelled by the item."""
        return [self.fetched(sheet, item, shows=shows) for item in items]

    def fetched(self, sheet: Sheet, item: str, label: str = "", shows: ShowsNumber = "general") -> Row:
        reference: Reference = self.per(sheet, item)
        row = sheet.take(label or item[:1].upper() + item[1:], reference, shows=shows)
        row.source = vocabulary.item(sheet.axis.name, item).hint
        self._fetched.setdefault((sheet.axis.name, item), row)
        return row

    def known(self, sheet: Sheet, item: str) -> Row:
        """The row in which an input of the sheet's runs or loads was fetched first, or a new one."""
        return self._fetched.get((sheet.axis.name, item)) or self.fetched(sheet, item)


def over(a: Any, b: Any) -> Any:
    """A quotient that is 0 where there is nothing to divide by."""
    return np.where(b > 0, a / b, 0.0)


def down_the_months(sheet: Sheet, heading: str, make: Callable[[int, str], Row]) -> tuple[Row, ...]:
    """A heading and twelve rows, one for each month."""
    sheet.heading(heading)
    return tuple(make(index, month) for index, month in enumerate(MONTHS))
