"""What every sizing sheet starts from: the book being built, the inputs, the axes, and the rows made so far."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from types import SimpleNamespace

from workbook_builder.model.base import Axis, Reference, ShowsNumber
from workbook_builder.model.input_references import Input, JobInput
from workbook_builder.model.inputs import Inputs
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Book, Sheet
from workbook_builder.table import vocabulary
from workbook_builder.table.vocabulary import MONTHS

from .results import (
    Checks,
    Climate,
    Cords,
    Curves,
    FuelCosts,
    Fuels,
    Ground,
    Lines,
    LineYear,
    Money,
    Needs,
    NeedsMet,
    Pipes,
    Pumps,
    Season,
    Site,
    Stations,
    Tubs,
    Usage,
)

ONE = Axis("one", ("",))
MONTH = Axis("month", MONTHS)


@dataclass(repr=False)
class Making:
    """A book in the making, and the results of the sheets made so far: each maker sets its own, whole and once.

    Sheets whose result has no class of its own yet put their rows into ``rows`` under their own name.
    """

    book: Book
    inputs: Inputs
    runs: Axis
    loads: Axis
    fuel_axis: Axis
    rows: dict[str, SimpleNamespace] = field(default_factory=dict)
    climate: Climate = field(init=False)
    site: Site = field(init=False)
    used_fuels: Fuels = field(init=False)
    usage: Usage = field(init=False)
    needs: Needs = field(init=False)
    pipes: Pipes = field(init=False)
    pumps: Pumps = field(init=False)
    ground: Ground = field(init=False)
    needs_met: NeedsMet = field(init=False)
    tubs: Tubs = field(init=False)
    season: Season = field(init=False)
    line_year: LineYear = field(init=False)
    cords: Cords = field(init=False)
    fuel_costs: FuelCosts = field(init=False)
    money: Money = field(init=False)
    lines: Lines = field(init=False)
    curves: Curves = field(init=False)
    stations: Stations = field(init=False)
    checks: Checks = field(init=False)

    def __getattr__(self, name: str) -> SimpleNamespace:
        try:
            return self.rows[name]
        except KeyError:
            raise AttributeError(f"the sheet {name!r} is not made yet") from None

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
        return row


def down_the_months(sheet: Sheet, heading: str, make: Callable[[int, str], Row]) -> tuple[Row, ...]:
    """A heading and twelve rows, one for each month."""
    sheet.heading(heading)
    return tuple(make(index, month) for index, month in enumerate(MONTHS))
