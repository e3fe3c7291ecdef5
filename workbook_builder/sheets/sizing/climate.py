"""Climate: the twelve months, from mean temperatures or, where those are not given, from the degree days of a year."""

from __future__ import annotations

from typing import Any

import numpy as np

from hydrocalc import loads
from hydrocalc.measures import COUNT, DEGREE_DAYS, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import SpreadOf
from workbook_builder.model.input_references import MonthInput
from workbook_builder.model.references import Constant, FirstGiven
from workbook_builder.model.summed import Each, summed
from workbook_builder.model.table_references import TableNumber
from workbook_builder.table.vocabulary import MONTHLY_MEANS, MONTHS

from .context import Context
from .results import Climate

# Each step corrects the month's temperature by the degree days that it gives too many or too few (Newton's rule, the
# small effect of the temperature on the spread left out).  In a month that needs heat one step is nearly all of it; in a
# summer month, most of whose days are warmer than the base, all are needed.
STEPS = 5
LEAST_PART = 0.01
STRIDE = 6.0  # K: no step is longer, so that a month without any degree days stays in this world


def _part_colder(mean: Any, base: Any, days: Any) -> Any:
    """The part of a month's days that are colder than the base: the slope of its degree days with its temperature, for each day."""
    return 1 / (1 + np.exp(loads.STEEPNESS * (mean - base) / loads.monthly_spread(mean, loads.YEARLY_SPREAD, days)))


def make_climate(context: Context) -> Climate:
    """The sheet Climate: months across."""
    sheet = context.sheet("Climate")
    system = context.book.system
    inputs = context.inputs
    annual, base = context.job("site", "annual degree days"), context.job("site", "degree day base")
    days = sheet.take("Days", TableNumber("months", "days", (sheet.names,), system), shows="whole")
    middle = sheet.take("Day of the year in mid-month", TableNumber("months", "mid_day", (sheet.names,), system), shows="whole")
    with sheet.folded("Workings: mean temperatures from the degree days of a year"):
        share = sheet.take("Share of the year's degree days", TableNumber("month_shares", "share", (sheet.names,), system))
        wanted = sheet.calc("Degree days of the month", annual.kind, lambda total, part: total * part, annual, share)
        estimate = sheet.calc("Mean temperature, start", TEMPERATURE, lambda b, dd, n: b - dd / n, base, wanted, days)
        with sheet.inlined():
            for step in range(1, STEPS + 1):
                found = sheet.line(f"Degree days at that temperature, {step}", loads.monthly_degree_days, estimate, base, days)
                estimate = sheet.calc(
                    f"Mean temperature, refined {step}",
                    TEMPERATURE,
                    lambda t, have, want, n, b: (
                        t
                        + np.minimum(
                            np.maximum((have - want) / (n * np.maximum(_part_colder(t, b, n), LEAST_PART)), 0 - STRIDE),
                            STRIDE,
                        )
                    ),
                    estimate,
                    found,
                    wanted,
                    days,
                    base,
                    words="estimate + (its degree days − the month's) / (days × the part of them colder than the base), 6 K at most",
                )
    sheet.heading("The months")
    used = tuple(inputs.by_key[f"site|{name}"].used for name in MONTHLY_MEANS)
    given = sheet.take(
        "Mean temperature, given",
        MonthInput("site", "mean temperature", TEMPERATURE, MONTHS, tuple(np.nan if u is None else u for u in used)),
    )
    mean = sheet.take("Mean temperature", FirstGiven((given, estimate)))
    usual = float(TEMPERATURE_DIFFERENCE.unit(system).from_coherent(loads.YEARLY_SPREAD))
    with sheet.whole_job():
        yearly = sheet.take("Spread of the year's months", FirstGiven((SpreadOf(given), Constant(usual, TEMPERATURE_DIFFERENCE))))
        begins = sheet.take(
            "Day of the year, first month lit",
            TableNumber("months", "mid_day", (context.job("boiler", "first month lit"),), system),
            shows="whole",
        )
        ends = sheet.take(
            "Day of the year, last month lit",
            TableNumber("months", "mid_day", (context.job("boiler", "last month lit"),), system),
            shows="whole",
        )
    lit = sheet.calc(
        "Boiler lit (1: yes)",
        COUNT,
        lambda mid, a, b: np.where(a <= b, np.where((mid >= a) & (mid <= b), 1.0, 0.0), np.where((mid >= a) | (mid <= b), 1.0, 0.0)),
        middle,
        begins,
        ends,
        shows="whole",
        words="1 from the first to the last month lit, which may be past the turn of the year",
    )
    spread = sheet.line("Spread of the days about the month's mean", loads.monthly_spread, mean, yearly, days)
    at_base = sheet.calc(
        "Degree days at the base of the site",
        DEGREE_DAYS,
        loads.spread_degree_days,
        mean,
        base,
        days,
        spread,
        words="the days below the base, spread about the month's mean so wide",
    )
    with sheet.whole_job():
        lit_degree_days, lit_days = (
            summed(
                sheet, label, kind, lambda n, on: n * on, Each(row), Each(lit), words="summed over the months in which the boiler is lit"
            )
            for label, kind, row in (
                ("Degree days of the months lit", DEGREE_DAYS, at_base),
                ("Days of the months lit", COUNT, days),
            )
        )
    return Climate(
        sheet=sheet,
        days=days,
        middle=middle,
        mean=mean,
        spread=spread,
        degree_days=at_base,
        lit=lit,
        lit_degree_days=lit_degree_days,
        lit_days=lit_days,
    )
