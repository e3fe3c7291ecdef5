"""Season: what each load takes in each month.  Months go down, loads across."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace

import numpy as np

from hydrocalc import loads
from hydrocalc.measures import COUNT, FRACTION, SEASON_ENERGY, TEMPERATURE
from workbook_builder.model.aggregates import At, total_of
from workbook_builder.model.references import FirstGiven, SumOf, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import TableNumber
from workbook_builder.table.vocabulary import BUILDINGS, MONTHS

from .context import Making, down_the_months
from .load_models import LEAST
from .loads import tub_loss

SECONDS_A_DAY = 86400.0


def make_season(making: Making) -> None:
    """The sheet Season."""
    sheet = making.book.sheet("Season", making.loads, "Season: heat that each load takes by month")
    needs, climate, system = making.needs, making.climate, making.book.system
    rows = SimpleNamespace(sheet=sheet)
    making.rows["season"] = rows
    first, last = making.fetch(sheet, "first month in use", "last month in use")
    begins = sheet.take("Day of the year, first month", TableNumber("months", "mid_day", (first,), system), shows="whole")
    ends = sheet.take("Day of the year, last month", TableNumber("months", "mid_day", (last,), system), shows="whole")

    def by_month(heading: str, make: Callable[[int, str], Row]) -> list[Row]:
        return down_the_months(sheet, heading, make)

    def days(i: int) -> At:
        return At(climate.days, i)

    rows.served = by_month(
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
    building = kind_is(needs.kind, *BUILDINGS)
    rows.degree_days = by_month(
        "Degree days at the balance temperature",
        lambda i, month: sheet.line(month, loads.monthly_degree_days, At(climate.mean, i), needs.balance, days(i), when=building),
    )
    heat = by_month(
        "Buildings",
        lambda i, month: sheet.line(month, loads.seasonal_heat, needs.conductance, rows.degree_days[i], when=building),
    )
    rows.building = by_month(
        "Buildings, days served, with the idle loss of an existing boiler",
        lambda i, month: sheet.calc(
            month,
            SEASON_ENERGY,
            lambda q, n, d, idle: q * d / n + idle * d * SECONDS_A_DAY,
            heat[i],
            days(i),
            rows.served[i],
            needs.idle_loss,
            when=building,
        ),
    )
    sheet.heading("What a plate carries of the hot water")
    by_plate = kind_is(making.units.heated_by, "plate", "plate then tank")
    outlet = sheet.calc(
        "Out of the plate at the peak draw",
        TEMPERATURE,
        lambda cold, q, c: cold + q / np.maximum(c, LEAST),
        needs.cold,
        making.steady.case.capacity,
        making.units.draw_rate,
        when=by_plate,
    )
    rows.plate_outlet = outlet
    carried = sheet.line("Share of the year that the plate carries", loads.hot_water_share, outlet, needs.cold, needs.wanted)
    water = kind_is(needs.kind, "hot water")
    whole = sheet.calc("Share of a coil or a side-arm", FRACTION, lambda t: 1 + 0 * t, needs.stored, when=water, words="all of it")
    rows.share = sheet.take("Share of the hot water that the boiler carries", FirstGiven((carried, whole)))
    rows.water = by_month(
        "Hot water, with the loss of its tank",
        lambda i, month: sheet.calc(
            month,
            SEASON_ENERGY,
            lambda q, share, loss, d: (q * share + loss * SECONDS_A_DAY) * d,
            needs.draw_heat,
            rows.share,
            needs.tank_loss,
            rows.served[i],
            when=water,
        ),
    )
    rows.tub = by_month(
        "Tubs",
        lambda i, month: sheet.calc(
            month, SEASON_ENERGY, lambda q, d: q * d * SECONDS_A_DAY, making.tubs.months[i], rows.served[i], when=kind_is(needs.kind, "tub")
        ),
    )
    known = kind_is(needs.kind, "known")
    rows.known = by_month(
        "Known loads",
        lambda i, month: sheet.calc(
            month, SEASON_ENERGY, lambda q, hours, d: q * hours * d, needs.known_heat, needs.known_hours, rows.served[i], when=known
        ),
    )
    rows.months = by_month(
        "Heat that each load takes",
        lambda i, month: sheet.take(month, SumOf((rows.building[i], rows.water[i], rows.tub[i], rows.known[i]))),
    )
    rows.year = sheet.take("The year", total_of(rows.months))
    sheet.heading("Heat that today's fuel gives as well")
    served = sheet.take("Days served in a year", total_of(rows.served), shows="whole")
    # The seasonal efficiency of today's boiler has its idle loss in it: counted as heat it would be paid twice.
    useful = sheet.calc(
        "The year, without the idle loss of an existing boiler",
        SEASON_ENERGY,
        lambda q, idle, n: q - idle * n * SECONDS_A_DAY,
        rows.year,
        needs.idle_loss,
        served,
        when=building,
    )
    rows.useful_year = sheet.take("Useful heat of the year", FirstGiven((useful, rows.year)))


def make_tubs(making: Making) -> None:
    """The sheet Tubs: what holds each tub in each month."""
    sheet = making.book.sheet("Tubs", making.loads, "Tubs and pools by month")
    making.rows["tubs"] = SimpleNamespace(sheet=sheet, months=[])
    for index, month in enumerate(MONTHS):
        sheet.heading(month)
        making.tubs.months.append(tub_loss(making, sheet, making.needs, At(making.climate.mean, index), f", {month}"))
