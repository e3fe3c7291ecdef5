"""Cords: the wood that the year takes, month by month: loads, line losses, the boiler's own losses, the fire."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace

import numpy as np

from hydrocalc import storage, wood
from hydrocalc.measures import CONDUCTANCE, COUNT, FRACTION, LENGTH, RATIO, SEASON_ENERGY, TIME
from workbook_builder.model.aggregates import Across, At, total_of
from workbook_builder.model.references import FirstGiven
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import TableNumber
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import MONTHS

from .context import ONE, Making, down_the_months

SECONDS_A_DAY = 86400.0
# What the stack takes at a moisture is reckoned for one plausible fire; only the ratio of two moistures is used.
# Common practice, no source: half as much air again as the flame needs, 400 °F in the stack, air at 60 °F.
EXCESS_AIR, STACK_TEMPERATURE, FIRE_AIR = 0.5, (400 - 32) / 1.8, (60 - 32) / 1.8
# The moisture for which an efficiency is stated, as boilers are tested: 20 % on the wet basis (common practice).
RATED_MOISTURE = 0.20
LEAST_HEAT = 1055.05585262  # J, one BTU: a season of nothing is divided by this and not by zero
STACK_HEIGHT, STACK_DEPTH = 4 * 0.3048, 4 * 0.3048


def make_cords(making: Making) -> None:
    """The sheet Cords."""
    sheet = making.book.sheet("Cords", ONE, "Cords: the wood of a year")
    rows = SimpleNamespace(sheet=sheet)
    making.rows["cords"] = rows
    _wood(making, sheet, rows)
    _boiler(making, sheet, rows)
    _months(making, sheet, rows)
    _year(making, sheet, rows)


def _wood(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    system = making.book.system
    species, condition = making.job("wood", "species"), making.job("wood", "condition")
    sheet.heading("The wood")
    heat = sheet.take("Gross heat of dry wood, table", TableNumber("species", "heating_value", (species,), system))
    gravity = sheet.take("Specific gravity, table", TableNumber("species", "specific_gravity", (species,), system))
    rows.dry_heat = sheet.take("Gross heat of dry wood", FirstGiven((making.job("wood", "heating value"), heat)))
    rows.gravity = sheet.take("Specific gravity", FirstGiven((making.job("wood", "specific gravity"), gravity)))
    in_words = sheet.take("Moisture of that condition, wet basis", TableNumber("wood_moisture", "moisture", (condition,), system))
    typed = making.job("wood", "moisture")
    on_wet = sheet.calc(
        "Moisture typed, on the wet basis",
        FRACTION,
        lambda m, basis: np.where(basis == "dry", m / (1 + m), m),
        typed,
        making.job("wood", "moisture basis"),
    )
    rows.moisture = sheet.take("Moisture, wet basis", FirstGiven((on_wet, in_words)))
    volume = making.job("wood", "solid volume of a cord")
    rows.cord_mass = sheet.line("Weight of a cord as stacked", wood.cord_mass, rows.gravity, rows.moisture, volume)
    rows.cord_energy = sheet.line("Gross heat of a cord", wood.cord_energy, rows.gravity, volume, rows.dry_heat)
    rows.cord_net = sheet.line("Net heat of a cord", wood.cord_net_energy, rows.gravity, rows.moisture, volume, rows.dry_heat)
    rows.penalty = sheet.line(
        "Cords for one cord at 20 % moisture",
        wood.green_penalty,
        rows.dry_heat,
        rows.moisture,
        RATED_MOISTURE,
        EXCESS_AIR,
        STACK_TEMPERATURE,
        FIRE_AIR,
    )


def _boiler(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("The fire")
    rated = making.job("boiler", "efficiency at full fire")
    basis = making.job("boiler", "efficiency basis")
    to_gross = sheet.calc(
        "Gross heat over net heat, at 20 % moisture",
        RATIO,
        lambda basis_, hhv: np.where(
            basis_ == "net", wood.net_heating_value(hhv, RATED_MOISTURE) / wood.gross_heating_value(hhv, RATED_MOISTURE), 1.0
        ),
        basis,
        rows.dry_heat,
        words="net heat over gross heat of wood at 20 % moisture where the efficiency is on the net heat, else 1",
    )
    gross = sheet.calc("Efficiency at full fire, on the gross heat", FRACTION, lambda e, r: e * r, rated, to_gross)
    rows.full_fire = sheet.line("Efficiency with this wood", wood.efficiency_at_moisture, gross, rows.penalty)
    seasonal = sheet.calc(
        "Seasonal efficiency, on the gross heat", FRACTION, lambda e, r: e * r, making.job("boiler", "seasonal efficiency"), to_gross
    )
    rows.seasonal = sheet.line("Seasonal efficiency with this wood", wood.efficiency_at_moisture, seasonal, rows.penalty)
    rows.efficiency = sheet.take("Efficiency reckoned with", FirstGiven((rows.seasonal, rows.full_fire)))
    # With a seasonal efficiency nothing is added for standby: it has that in it.
    rows.adds = sheet.calc(
        "Standby is added (1: yes)",
        COUNT,
        lambda given: np.where(given > 0, 0.0, 1.0),
        sheet.take("Seasonal efficiencies typed", _count(rows.seasonal)),
    )
    by_surface = sheet.calc(
        "Jacket conductance, from the surface",
        CONDUCTANCE,
        lambda a, u: a * u,
        making.job("boiler", "jacket surface"),
        making.job("boiler", "jacket loss factor"),
    )
    rows.jacket = sheet.take("Jacket conductance", FirstGiven((making.job("boiler", "jacket conductance"), by_surface)))


def _count(row: Row) -> Across:
    return Across(row, "COUNT")


def _months(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    climate, season = making.climate, making.season

    def by_month(heading: str, make: Callable[[int, str], Row]) -> tuple[list[Row], Row]:
        months = down_the_months(sheet, heading, make)
        return months, sheet.take("The year", total_of(months))

    def lit(i: int) -> tuple[At, At]:
        return At(climate.days, i), At(climate.lit, i)

    loads, rows.loads_year = by_month("Heat that the loads take", lambda i, m: sheet.take(m, Across(season.months[i], "SUM")))
    lines, rows.lines_year = by_month("Heat that the lines lose", lambda i, m: sheet.take(m, Across(making.ground.months[i], "SUM")))
    water, rows.water_year = by_month(
        "Heat that leaves the boiler with the water", lambda i, m: sheet.calc(m, SEASON_ENERGY, lambda a, b: a + b, loads[i], lines[i])
    )
    jacket, rows.jacket_year = by_month(
        "Heat that the boiler's jacket loses",
        lambda i, m: sheet.calc(
            m,
            SEASON_ENERGY,
            lambda u, t, a, n, on, adds: u * np.maximum(t - a, 0.0) * n * on * adds * SECONDS_A_DAY,
            rows.jacket,
            making.job("boiler", "fan on at"),
            At(climate.mean, i),
            *lit(i),
            rows.adds,
        ),
    )
    sheet.heading("Hours lit")
    hours = [sheet.calc(m, TIME, lambda n, on: n * on * SECONDS_A_DAY, *lit(i)) for i, m in enumerate(MONTHS)]
    rows.hours = hours
    output = making.job("boiler", "rated output")
    sheet.heading("Hours in which the fire rests")
    idle = [sheet.line(m, storage.month_idle_time, hours[i], water[i], jacket[i], output) for i, m in enumerate(MONTHS)]
    share = sheet.calc("Fuel of the resting fire", FRACTION, lambda s, adds: s * adds, making.job("boiler", "idle fuel share"), rows.adds)
    fuel, rows.fuel_year = by_month(
        "Gross heat of the wood",
        lambda i, m: sheet.line(m, storage.month_fuel, water[i], jacket[i], rows.efficiency, share, output, idle[i]),
    )
    cords, rows.cords_year = by_month("Cords", lambda i, m: sheet.line(m, wood.cords_for_heat, fuel[i], rows.cord_energy, 1.0))
    rows.loads, rows.lines, rows.water, rows.jackets, rows.idle, rows.fuel, rows.cords = loads, lines, water, jacket, idle, fuel, cords


def _year(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("The year")
    rows.over_year = sheet.calc(
        "Useful heat over the wood's gross heat", FRACTION, lambda q, f: q / np.maximum(f, LEAST_HEAT), rows.loads_year, rows.fuel_year
    )
    rows.line_share = sheet.calc(
        "Line losses over the heat that leaves the boiler",
        FRACTION,
        lambda q, w: q / np.maximum(w, LEAST_HEAT),
        rows.lines_year,
        rows.water_year,
    )
    rows.stack = sheet.calc(
        "Length of the stack, 4 ft (1.2 m) high and deep",
        LENGTH,
        lambda n: wood.stack_length(n, STACK_HEIGHT, STACK_DEPTH),
        rows.cords_year,
    )
