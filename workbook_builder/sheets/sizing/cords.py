"""Cords: the wood that the year takes, month by month: loads, line losses, the boiler's own losses, the fire."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hydrocalc import storage, wood
from hydrocalc.measures import CONDUCTANCE, COUNT, FRACTION, LENGTH, POWER, RATIO, SEASON_ENERGY, TIME
from workbook_builder.model.aggregates import Across, At, total_of
from workbook_builder.model.base import Reference
from workbook_builder.model.references import FirstGiven, Guarded
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import TableNumber
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import MONTHS

from .context import SECONDS_A_DAY, Context, down_the_months, over
from .night_results import Boiler
from .results import Climate, Cords, Fire, LineYear, Season

# What the stack takes at a moisture is calculated for one plausible fire; only the ratio of two moistures is used.
# Common practice, no source: half as much air again as the flame needs, 400 °F in the stack, air at 60 °F.
EXCESS_AIR, STACK_TEMPERATURE, FIRE_AIR = 0.5, (400 - 32) / 1.8, (60 - 32) / 1.8
# The moisture for which an efficiency is stated, as boilers are tested: 20 % on the wet basis (common practice).
RATED_MOISTURE = 0.20
ROUNDING = 1e-9  # of a sum of twelve months
STACK_HEIGHT, STACK_DEPTH = 4 * 0.3048, 4 * 0.3048


def make_fire(context: Context) -> Fire:
    """On Year: the wood and the fire."""
    sheet = context.sheet("Year")
    with sheet.whole_job():
        return _fire(context, sheet, _wood(context, sheet))


def make_cords(context: Context, climate: Climate, season: Season, line_year: LineYear, fire: Fire, boiler: Boiler) -> Cords:
    """On Year: the months."""
    sheet = context.sheet("Year")
    with sheet.whole_job():
        return _cords(context, sheet, climate, season, line_year, fire, boiler)


def _cords(context: Context, sheet: Sheet, climate: Climate, season: Season, line_year: LineYear, fire: Fire, boiler: Boiler) -> Cords:
    months = _months(context, sheet, climate, season, line_year, fire, boiler)
    sheet.heading("The year")
    sheet.calc("Useful heat over the wood's gross heat", FRACTION, over, months.loads.year, months.fuel.year)
    line_share = sheet.calc(
        "Line losses over the heat that leaves the boiler",
        FRACTION,
        over,
        months.lines.year,
        months.water.year,
    )
    not_made = sheet.calc(
        "Heat that the fire cannot make",
        SEASON_ENERGY,
        lambda q, made: np.where(q > made * (1 + ROUNDING), q - made, 0.0),
        Guarded(Across(season.year, "SUM")),
        months.loads.year,
        words="what all loads take in the year less what they take of the fire: today's fuels make it",
    )
    stack = sheet.calc(
        "Length of the stack, 4 ft (1.2 m) high and deep",
        LENGTH,
        lambda n: wood.stack_length(n, STACK_HEIGHT, STACK_DEPTH),
        months.cords.year,
    )
    return Cords(
        sheet=sheet,
        fire=fire,
        loads=months.loads.months,
        lines=months.lines.months,
        lines_year=months.lines.year,
        water=months.water.months,
        jackets=months.jackets.months,
        hours=months.hours,
        idle=months.idle,
        not_made=not_made,
        fuel_year=months.fuel.year,
        cords=months.cords.months,
        cords_year=months.cords.year,
        line_share=line_share,
        stack=stack,
    )


@dataclass(frozen=True)
class _Cord:
    """The wood, and a cord of it."""

    dry_heat: Row
    moisture: Row
    mass: Row
    energy: Row
    net: Row
    penalty: Row


def _wood(context: Context, sheet: Sheet) -> _Cord:
    system = context.book.system
    species, condition = context.job("wood", "species"), context.job("wood", "condition")
    sheet.heading("The wood")
    heat = sheet.take("Gross heat of dry wood, table", TableNumber("species", "heating_value", (species,), system))
    listed = sheet.take("Specific gravity, table", TableNumber("species", "specific_gravity", (species,), system))
    dry_heat = sheet.take("Gross heat of dry wood", FirstGiven((context.job("wood", "heating value"), heat)))
    gravity = sheet.take("Specific gravity", FirstGiven((context.job("wood", "specific gravity"), listed)))
    in_words = sheet.take("Moisture of that condition, wet basis", TableNumber("wood_moisture", "moisture", (condition,), system))
    typed = context.job("wood", "moisture")
    on_wet = sheet.calc(
        "Moisture typed, on the wet basis",
        FRACTION,
        lambda m, basis: np.where(basis == "dry", m / (1 + m), m),
        typed,
        context.job("wood", "moisture basis"),
    )
    moisture = sheet.take("Moisture, wet basis", FirstGiven((on_wet, in_words)))
    volume = context.job("wood", "solid volume of a cord")
    mass = sheet.line("Weight of a cord as stacked", wood.cord_mass, gravity, moisture, volume)
    energy = sheet.line("Gross heat of a cord", wood.cord_energy, gravity, volume, dry_heat)
    net = sheet.line("Net heat of a cord", wood.cord_net_energy, gravity, moisture, volume, dry_heat)
    penalty = sheet.line(
        "Cords for one cord at 20 % moisture",
        wood.green_penalty,
        dry_heat,
        moisture,
        RATED_MOISTURE,
        EXCESS_AIR,
        STACK_TEMPERATURE,
        FIRE_AIR,
    )
    return _Cord(dry_heat, moisture, mass, energy, net, penalty)


def _fire(context: Context, sheet: Sheet, cord: _Cord) -> Fire:
    sheet.heading("The fire")
    rated = context.job("boiler", "efficiency at full fire")
    basis = context.job("boiler", "efficiency basis")
    to_gross = sheet.calc(
        "Gross heat over net heat, at 20 % moisture",
        RATIO,
        lambda basis_, hhv: np.where(
            basis_ == "net", wood.net_heating_value(hhv, RATED_MOISTURE) / wood.gross_heating_value(hhv, RATED_MOISTURE), 1.0
        ),
        basis,
        cord.dry_heat,
        words="net heat over gross heat of wood at 20 % moisture where the efficiency is on the net heat, else 1",
    )
    gross = sheet.calc("Efficiency at full fire, on the gross heat", FRACTION, lambda e, r: e * r, rated, to_gross)
    full_fire = sheet.line("Efficiency with this wood", wood.efficiency_at_moisture, gross, cord.penalty)
    typed = sheet.calc(
        "Seasonal efficiency, on the gross heat", FRACTION, lambda e, r: e * r, context.job("boiler", "seasonal efficiency"), to_gross
    )
    seasonal = sheet.line("Seasonal efficiency with this wood", wood.efficiency_at_moisture, typed, cord.penalty)
    efficiency = sheet.take("Efficiency calculated with", FirstGiven((seasonal, full_fire)))
    # With a seasonal efficiency nothing is added for standby: it has that in it.
    adds = sheet.calc(
        "Standby is added (1: yes)",
        COUNT,
        lambda given: np.where(given > 0, 0.0, 1.0),
        sheet.take("Seasonal efficiencies typed", Across(seasonal, "COUNT")),
    )
    by_surface = sheet.calc(
        "Jacket conductance, from the surface",
        CONDUCTANCE,
        lambda a, u: a * u,
        context.job("boiler", "jacket surface"),
        context.job("boiler", "jacket loss factor"),
    )
    jacket = sheet.take("Jacket conductance", FirstGiven((context.job("boiler", "jacket conductance"), by_surface)))
    idles = sheet.calc("Fuel of the resting fire", FRACTION, lambda s, adds: s * adds, context.job("boiler", "idle fuel share"), adds)
    return Fire(cord.dry_heat, cord.moisture, cord.mass, cord.energy, cord.net, efficiency, adds, idles, jacket)


@dataclass(frozen=True)
class _OfYear:
    """Twelve rows down the months, and their sum."""

    months: tuple[Row, ...]
    year: Row


@dataclass(frozen=True)
class _Months:
    """Where the heat of the wood goes."""

    loads: _OfYear
    lines: _OfYear
    water: _OfYear
    jackets: _OfYear
    hours: tuple[Row, ...]
    idle: tuple[Row, ...]
    fuel: _OfYear
    cords: _OfYear


def _months(context: Context, sheet: Sheet, climate: Climate, season: Season, line_year: LineYear, fire: Fire, boiler: Boiler) -> _Months:
    def by_month(heading: str, make: Callable[[int, str], Row]) -> _OfYear:
        months = down_the_months(sheet, heading, make)
        return _OfYear(months, sheet.take("The year", total_of(months)))

    def lit(i: int) -> tuple[At, At]:
        return At(climate.days, i), At(climate.lit, i)

    loads = by_month(
        "Heat that the loads take",
        lambda i, m: sheet.calc(
            m,
            SEASON_ENERGY,
            lambda q, lost, most, n, on: np.minimum(q, np.maximum(most * n * on * SECONDS_A_DAY - lost, 0.0)),
            Guarded(Across(season.months[i], "SUM")),
            Guarded(Across(line_year.months[i], "SUM")),
            boiler.charge.limit,
            *lit(i),
            words="what all loads take, but no more than the boiler gives day and night of the month, less the lines' loss",
        ),
    )
    lines = by_month("Heat that the lines lose", lambda i, m: sheet.take(m, Across(line_year.months[i], "SUM")))
    with sheet.folded("Workings: the heat of the water by month"):
        water = by_month(
            "Heat that leaves the boiler with the water",
            lambda i, m: sheet.calc(m, SEASON_ENERGY, lambda a, b: a + b, loads.months[i], lines.months[i]),
        )
    rated = context.job("boiler", "rated output")
    outputs: list[Reference] = [rated] * len(MONTHS)
    if context.beside_the_fire("second rated output"):
        with sheet.folded("Workings: the boilers lit by month"):
            both = (boiler.load.output, boiler.load.first_output, boiler.charge.limit)
            outputs = list(
                down_the_months(sheet, "Rated output of the boilers lit", lambda i, m: _lit(sheet, m, both, water.months[i], lit(i)))
            )
    jackets = by_month(
        "Heat that the boiler's jacket loses",
        lambda i, m: sheet.calc(
            m,
            SEASON_ENERGY,
            lambda u, lower, upper, a, n, on, adds, *lit: (
                u
                * (np.where(lit[0] > lit[1], 2, 1) if lit else 1)
                * np.maximum((lower + upper) / 2 - a, 0.0)
                * n
                * on
                * adds
                * SECONDS_A_DAY
            ),
            fire.jacket,
            context.job("boiler", "lower setpoint"),
            context.job("boiler", "upper setpoint"),
            At(climate.mean, i),
            *lit(i),
            fire.standby,
            *((outputs[i], rated) if outputs[i] is not rated else ()),
        ),
    )
    with sheet.folded("Workings: the fire by month"):
        sheet.heading("Hours lit")
        hours = tuple(sheet.calc(m, TIME, lambda n, on: n * on * SECONDS_A_DAY, *lit(i)) for i, m in enumerate(MONTHS))
        sheet.heading("Hours in which the fire rests")
        idle = tuple(
            sheet.line(m, storage.month_idle_time, hours[i], water.months[i], jackets.months[i], outputs[i]) for i, m in enumerate(MONTHS)
        )
    fuel = by_month(
        "Gross heat of the wood",
        lambda i, m: sheet.line(
            m, storage.month_fuel, water.months[i], jackets.months[i], fire.efficiency, fire.idle_share, outputs[i], idle[i]
        ),
    )
    cords = by_month("Cords", lambda i, m: sheet.line(m, wood.cords_for_heat, fuel.months[i], fire.cord_energy, 1.0))
    return _Months(loads, lines, water, jackets, hours, idle, fuel, cords)


def _lit(sheet: Sheet, month: str, boilers: tuple[Row, Row, Row], water: Row, lit: tuple[At, At]) -> Row:
    """The first boiler alone in a month that its share of what both can count on carries, else both."""
    return sheet.calc(
        month,
        POWER,
        lambda both, first, most, q, n, on: np.where(q > most * first / both * n * on * SECONDS_A_DAY, both, first),
        *boilers,
        water,
        *lit,
        shows="whole",
        words="the first boiler alone where its share of what both can count on carries the month's heat, else both",
    )
