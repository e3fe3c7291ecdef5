"""Fuels and Usage: the fuels burnt today, and the conductance of a building worked back from what it burnt."""

from __future__ import annotations

from typing import Any

import numpy as np

from hydrocalc import loads, money
from hydrocalc.measures import COUNT, DEGREE_DAYS, RATIO, SEASON_ENERGY, TEMPERATURE
from hydrocalc.tables import table
from workbook_builder.model.aggregates import At, Pick, total_of
from workbook_builder.model.input_references import OfDate
from workbook_builder.model.references import Constant, CountOf, FirstGiven, IfNone
from workbook_builder.model.rows import Row
from workbook_builder.model.summed import Each, summed
from workbook_builder.model.table_references import TableNumber, TableText
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import MONTHS

from .context import Context, over
from .results import Climate, Fuels, Site, Usage

DAY = 1.0  # day
DAYS_A_YEAR = 365
LEAST_APART = 1e-6  # K: balance temperatures closer than that are one
MOST_HELD = 30.0  # K: gains that hold more than this leave no heating worth the name


def make_fuels(context: Context, climate: Climate, site: Site) -> Fuels:
    """The sheet Fuels: one column for each fuel of today."""
    sheet = context.sheet("Money")
    system = context.book.system
    fuel, price = context.fetch(sheet, "fuel", "price")
    sheet.take("Sold by", TableText("fuels", "unit", (fuel,)))
    content = sheet.take("Heat content", TableNumber("fuels", "heat_content", (fuel,), system))
    use, share = context.fetch(sheet, "use", "share for hot water")
    typed_efficiency = context.fetched(sheet, "seasonal efficiency", "Seasonal efficiency, typed")
    listed = sheet.take("Seasonal efficiency, table", TableNumber("fuels", "efficiency", (fuel,), system))
    efficiency = sheet.take("Seasonal efficiency", FirstGiven((typed_efficiency, listed)))
    useful = sheet.line("Useful heat of the use", money.useful_fuel_heat, use, content, efficiency)
    bought_gross = sheet.calc("Heat bought", SEASON_ENERGY, lambda q, e: q / e, useful, efficiency)
    hot_water = sheet.calc("Of it for hot water", SEASON_ENERGY, lambda q, s: q * s, useful, share)
    heat_price = sheet.line("Price of useful heat", money.heat_price, price, content, efficiency)
    typed = context.fetched(sheet, "degree days of the use", "Degree days of the use, typed")
    year = sheet.take("Degree days of the year at the site's base", site.degree_days)
    with sheet.folded("Workings: degree days between two dates"):
        days, between, dates = _between_dates(context, sheet, climate)
    degree_days = sheet.take("Degree days of the use", FirstGiven((typed, between, year)))
    sheet.heading("The use of a year")
    of_days = sheet.calc("A year's days over those of the use", RATIO, lambda n: DAYS_A_YEAR / n, days)
    hot = sheet.take("A year's hot water over that of the use", FirstGiven((of_days, Constant(1, RATIO))))
    bought = sheet.calc(
        "Useful heat of the use, for a year",
        SEASON_ENERGY,
        lambda q, w, y, d, h: (q - w) * over(y, d) + w * h,
        useful,
        hot_water,
        year,
        degree_days,
        hot,
        words="heating as the degree days of a year are to those of the use, hot water as the days are",
    )
    # Of a use that a boiler let out in summer does not take over, its part in the months lit alone is saved.
    lit_bought = sheet.calc(
        "Of it in the months in which the boiler is lit",
        SEASON_ENERGY,
        lambda q, w, lit, d, h, n: (q - w) * over(lit, d) + w * h * (n / DAYS_A_YEAR),
        useful,
        hot_water,
        climate.lit_degree_days,
        degree_days,
        hot,
        climate.lit_days,
        words="heating as the degree days of those months are to those of the use, hot water as their days are",
    )
    return Fuels(
        sheet=sheet,
        fuel=fuel,
        efficiency=efficiency,
        bought_gross=bought_gross,
        hot_water=hot_water,
        heat_price=heat_price,
        dates=dates,
        degree_days=degree_days,
        bought=bought,
        lit_bought=lit_bought,
    )


def _between_dates(context: Context, sheet: Sheet, climate: Climate) -> tuple[Row, Row, Row]:
    """The days of a use between two dates, its degree days (of each month those of the days that lie between), and the dates' faults."""
    sheet.heading("When it was used, if not in a whole year")
    first, last = context.fetch(sheet, "first date", "last date")
    year = sheet.take("Year of the first date", OfDate(first, "year"), shows="plain")
    begins = sheet.take("First day of the use, in its year", OfDate(first, "day"), shows="whole")
    last_year = sheet.take("Year of the last date", OfDate(last, "year"), shows="plain")
    last_day = sheet.take("Last day of the use, in its year", OfDate(last, "day"), shows="whole")
    ends = sheet.calc(
        "Last day of the use, counted on from the first day's year",
        COUNT,
        lambda d, a, b: d + DAYS_A_YEAR * (b - a),
        last_day,
        year,
        last_year,
        shows="whole",
    )
    length = sheet.calc("Days from the first to the last", RATIO, lambda a, b: b - a + 1, begins, ends, shows="whole")
    given = sheet.take("Dates given", CountOf((begins, last_day)), shows="whole")
    alone = sheet.calc("One date without the other (1: yes)", COUNT, lambda n: np.where(n == 1, 1.0, 0.0), given, shows="whole")
    apart = sheet.calc(
        "Last not after first, or more than a year after it (1: yes)",
        COUNT,
        lambda n: np.where((n < 1) | (n > DAYS_A_YEAR + 1), 1.0, 0.0),
        length,
        shows="whole",
    )
    faults = sheet.take("Dates that do not go together (1: yes)", FirstGiven((apart, alone)), shows="whole")
    days = sheet.take("Days of the use", IfNone(length, faults), shows="whole")
    sheet.heading("Degree days between the two dates, at the site's base")
    start = sheet.take("From day", IfNone(begins, faults), shows="whole")
    end = sheet.take("To day", IfNone(ends, faults), shows="whole")
    before, months = 0.0, []
    for index, (month, count) in enumerate(zip(MONTHS, table("months").columns["days"].values, strict=True)):
        assert count is not None
        opens, closes = before + 1, before + count

        def of_month(d: Any, a: Any, b: Any, opens: float = opens, closes: float = closes, count: float = count) -> Any:
            this = np.maximum(np.minimum(b, closes) - np.maximum(a, opens) + 1, 0.0)
            following = np.maximum(np.minimum(b, closes + DAYS_A_YEAR) - np.maximum(a, opens + DAYS_A_YEAR) + 1, 0.0)
            return d * ((this + following) / count)

        months.append(sheet.calc(month, DEGREE_DAYS, of_month, At(climate.degree_days, index), start, end))
        before = closes
    return days, sheet.take("Degree days between the dates", total_of(months)), faults


def _degree_days(mean: Any, base: Any, days: Any, spread: Any) -> Any:
    """Of one month, in the form that an office program can sum over a range; no balance temperature makes its exponent overflow."""
    steepness = loads.STEEPNESS
    return days * (spread / steepness * np.log(1 + np.exp(steepness * ((base - mean) / spread))))


def make_usage(context: Context, climate: Climate, site: Site, fuels: Fuels) -> Usage:
    """The sheet Usage: one column for each load."""
    sheet = context.sheet("Needs")
    with sheet.folded("Workings: conductance from the fuel used"):
        return _usage(context, sheet, climate, site, fuels)


def _usage(context: Context, sheet: Sheet, climate: Climate, site: Site, fuels: Fuels) -> Usage:
    typed = context.fetched(sheet, "fuel today", "Fuel today, typed")
    fuel = sheet.take("Fuel today", FirstGiven((typed, At(fuels.sheet.names, 0))))
    share = context.fetched(sheet, "share of fuel")
    given = context.fetched(sheet, "balance temperature", "Balance temperature, typed")
    own = context.fetched(sheet, "indoor temperature", "Indoor temperature, of its own")
    indoor = sheet.take("Indoor temperature", FirstGiven((own, context.job("site", "indoor temperature"))))
    gains = context.fetched(sheet, "gains")
    unsaid = sheet.calc(
        "Balance temperature, no gains given",
        TEMPERATURE,
        lambda t, d: t - d,
        indoor,
        context.job("site", "balance below indoor temperature"),
    )
    sheet.heading("Heat of the fuel")
    used = sheet.take("Degree days of the use, at the site's base", Pick(fuels.degree_days, fuels.sheet.names, fuel))
    bought = sheet.take("Heat bought with the fuel", Pick(fuels.bought_gross, fuels.sheet.names, fuel))
    efficiency = sheet.take("Seasonal efficiency of the fuel", Pick(fuels.efficiency, fuels.sheet.names, fuel))
    hot_water = sheet.take("Heat for hot water", Pick(fuels.hot_water, fuels.sheet.names, fuel))
    part = sheet.calc("Heat bought for this building", SEASON_ENERGY, lambda q, s: q * s, bought, share)
    other = sheet.calc("Its part of the heat for hot water", SEASON_ENERGY, lambda q, s: q * s, hot_water, share)

    def conductance(label: str, balance: Row, which: str) -> tuple[Row, Row]:
        year = summed(
            sheet,
            f"Degree days of an ordinary year, {which}",
            DEGREE_DAYS,
            _degree_days,
            Each(climate.mean),
            balance,
            Each(climate.days),
            Each(climate.spread),
            words="the twelve months' degree days at that balance temperature, their days spread as on Climate",
        )
        at_balance = sheet.calc(
            f"Degree days of the use, at the balance temperature, {which}",
            DEGREE_DAYS,
            lambda u, y, b: over(u * y, b),
            used,
            year,
            site.degree_days,
        )
        return sheet.line(label, loads.conductance_from_fuel, part, efficiency, at_balance, other), at_balance

    # What the gains hold depends on the conductance, and the conductance on what they hold: each try is the straight line
    # through the degree days of the last two, met with the gains and the fuel's heat.
    older = sheet.take("Balance temperature, without the gains", FirstGiven((given, indoor)))
    start, start_days = conductance("Conductance, first", older, "first")
    older_days = start_days
    held = sheet.calc(
        "Balance temperature, with the gains, second",
        TEMPERATURE,
        lambda t, g, u: t - np.minimum(over(g, u), MOST_HELD),
        indoor,
        gains,
        start,
    )
    newer = sheet.take("Balance temperature, second", FirstGiven((given, held, unsaid)))
    for name, following in (("second", "third"), ("third", "fourth"), ("fourth", "last")):
        _, newer_days = conductance(f"Conductance, {name}", newer, name)
        slope = sheet.calc(
            f"Degree days for a degree of balance temperature, {name}",
            RATIO,
            lambda d0, d1, b0, b1: np.where(np.abs(b0 - b1) > LEAST_APART, (d0 - d1) * DAY / (b0 - b1), 0.0),
            older_days,
            newer_days,
            older,
            newer,
            words="days: the difference of the last two degree days over that of their balance temperatures",
        )
        met = sheet.calc(
            f"Balance temperature, with the gains, {following}",
            TEMPERATURE,
            lambda t, g, u, d0, d1, s, b1: t - np.minimum(over(g * (d1 + s / DAY * (t - b1)), u * d0 + s / DAY * g), MOST_HELD),
            indoor,
            gains,
            start,
            start_days,
            newer_days,
            slope,
            newer,
            words="where the straight line through both degree days, the gains and the fuel agree",
        )
        older, older_days = newer, newer_days
        newer = sheet.take(f"Balance temperature, {following}", FirstGiven((given, met, unsaid)))
    from_fuel, _ = conductance("Conductance from the fuel", newer, "last")
    return Usage(sheet=sheet, fuel=fuel, conductance=from_fuel, unsaid_balance=unsaid)
