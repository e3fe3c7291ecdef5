"""Season: what each load takes in each month.  Months go down, loads across."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hydrocalc import loads
from hydrocalc.measures import COUNT, FRACTION, POWER, SEASON_ENERGY
from workbook_builder.model.aggregates import At, total_of
from workbook_builder.model.references import FirstGiven, Guarded, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import TableNumber
from workbook_builder.table.vocabulary import BUILDINGS, MONTHS

from .context import SECONDS_A_DAY, Context, down_the_months
from .load_models import plate_outlet
from .loads import tub_loss
from .night_results import Network, Steady
from .results import Climate, Needs, Season, Tubs


def make_season(context: Context, climate: Climate, network: Network, steady: Steady, tubs: Tubs) -> Season:
    """The sheet Season."""
    sheet = context.sheet("Year")
    needs, system = network.needs, context.book.system
    with sheet.folded("Workings: the heat of each kind of load by month"):
        first, last = context.fetch(sheet, "first month in use", "last month in use")
        begins = sheet.take("Day of the year, first month", TableNumber("months", "mid_day", (first,), system), shows="whole")
        ends = sheet.take("Day of the year, last month", TableNumber("months", "mid_day", (last,), system), shows="whole")

        def by_month(heading: str, make: Callable[[int, str], Row]) -> tuple[Row, ...]:
            return down_the_months(sheet, heading, make)

        def days(i: int) -> At:
            return At(climate.days, i)

        served = by_month(
            "Days served",
            lambda i, month: sheet.calc(
                month,
                COUNT,
                lambda n, mid, lit, a, b: (
                    n * lit * np.where(a <= b, np.where((mid >= a) & (mid <= b), 1.0, 0.0), np.where((mid >= a) | (mid <= b), 1.0, 0.0))
                ),
                days(i),
                At(climate.middle, i),
                At(climate.lit, i),
                begins,
                ends,
                shows="whole",
                words="days of the month if the boiler is lit and the load in use",
            ),
        )
        is_building = kind_is(needs.kind, *BUILDINGS)
        building = by_month(
            "Buildings, with the idle loss of an existing boiler",
            lambda i, month: sheet.calc(
                month,
                SEASON_ENERGY,
                lambda u, t, base, n, s, d, idle: (
                    (u * loads.spread_degree_days(t, base, n, s) / n * SECONDS_A_DAY + idle * SECONDS_A_DAY) * d
                ),
                needs.conductance,
                At(climate.mean, i),
                needs.balance,
                days(i),
                At(climate.spread, i),
                served[i],
                needs.idle_loss,
                when=is_building,
                words="(conductance × degree days at the balance temperature / days of the month + idle loss) × days served",
            ),
        )
        sheet.heading("What a plate carries of the hot water")
        outlet = plate_outlet(sheet, network, steady.case.inlet)
        carried = sheet.line("Share of the year that the plate carries", loads.hot_water_share, outlet, needs.cold, needs.wanted)
        is_water = kind_is(needs.kind, "hot water")
        whole = sheet.calc("Share of a coil or a side-arm", FRACTION, lambda t: 1 + 0 * t, needs.stored, when=is_water, words="all of it")
        share = sheet.take("Share of the hot water that the boiler carries", FirstGiven((carried, whole)))
        water = sheet.calc(
            "Hot water, with the loss of its tank, mean of a day served",
            POWER,
            lambda q, share, loss: q * share / SECONDS_A_DAY + loss,
            needs.draw_heat,
            share,
            needs.tank_loss,
            when=is_water,
            shows="whole",
        )
        known = sheet.calc(
            "Known load, mean of a day served",
            POWER,
            lambda q, hours: q * hours / SECONDS_A_DAY,
            needs.known_heat,
            needs.known_hours,
            when=kind_is(needs.kind, "known"),
            shows="whole",
        )
        other = by_month(
            "Hot water, tubs and known loads",
            lambda i, month: sheet.calc(
                month, SEASON_ENERGY, lambda q, d: q * d * SECONDS_A_DAY, Guarded(FirstGiven((tubs.months[i], water, known))), served[i]
            ),
        )
    months = by_month(
        "Heat that each load takes",
        lambda i, month: sheet.take(month, FirstGiven((building[i], other[i]))),
    )
    year = sheet.take("The year", total_of(months))
    sheet.heading("Heat that today's fuel gives as well")
    days_served = sheet.take("Days served in a year", total_of(served), shows="whole")
    # The seasonal efficiency of today's boiler has its idle loss in it: counted as heat it would be paid twice.
    useful = sheet.calc(
        "The year, without the idle loss of an existing boiler",
        SEASON_ENERGY,
        lambda q, idle, n: q - idle * n * SECONDS_A_DAY,
        year,
        needs.idle_loss,
        days_served,
        when=is_building,
    )
    return Season(
        sheet=sheet,
        served=served,
        building=building,
        months=months,
        year=year,
        useful_year=sheet.take("Useful heat of the year", FirstGiven((useful, year))),
    )


def make_tubs(context: Context, climate: Climate, needs: Needs) -> Tubs:
    """The sheet Tubs: what holds each tub in each month."""
    sheet = context.sheet("Year")
    months: list[Row] = []
    for index, month in enumerate(MONTHS):
        with sheet.folded(f"Workings: what a tub loses in {month}"):
            months.append(tub_loss(sheet, needs.tub, At(climate.mean, index), f", {month}"))
    return Tubs(sheet, tuple(months))
