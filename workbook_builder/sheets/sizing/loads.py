"""Loads: what each load needs on the design night, and the figures from which its season follows.

Loads of every kind have every kind's rows; a row that does not apply to a load's kind is blank.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc import loads, pools
from hydrocalc.measures import CONDUCTANCE, POWER, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.base import Reference
from workbook_builder.model.references import FirstGiven, IfPositive, SameColumn, SumOf, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BUILDINGS

from .context import Context, over
from .results import Needs, Tub, Usage

HOURS_A_DAY = 24 * 3600.0  # s
MOST_HELD = 100.0  # K: gains that hold as much leave no heating anywhere on earth
FILLED_AT = 10.0  # °C, water from the main or the well
IN_USE = 1.0  # activity of a tub while it is open (ASHRAE, from memory)


def make_loads(context: Context, usage: Usage) -> Needs:
    """The sheet Loads: what each load needs."""
    sheet = context.sheet("Needs")
    run, kind = context.fetch(sheet, "run", "kind")
    coincidence = context.fetched(sheet, "coincidence", "Part that counts on the design night")
    building = _buildings(context, sheet, kind, usage)
    water = _hot_water(context, sheet, kind)
    tub, tub_need = _tub(context, sheet, kind)
    sheet.heading("Known loads")
    heat, hours = context.fetch(sheet, "heat", "hours a day")
    known = sheet.take("Need of the known load", Where(heat, kind_is(kind, "known")), shows="whole")
    sheet.heading("Need on the design night")
    full = sheet.take("Need, steady", SumOf((building.need, water.need, tub_need, known)), shows="whole")
    need = sheet.calc("Need that counts", POWER, lambda need, part: need * part, full, coincidence, shows="whole")
    return Needs(
        sheet=sheet,
        run=run,
        kind=kind,
        coincidence=coincidence,
        indoor=building.indoor,
        conductance=building.conductance,
        design_loss=building.design_loss,
        balance=building.balance,
        idle_loss=building.idle_loss,
        tank=water.tank,
        tank_loss=water.tank_loss,
        stored=water.stored,
        cold=water.cold,
        wanted=water.wanted,
        draw_heat=water.heat,
        tub=tub,
        tub_set=tub.temperature,
        known_heat=heat,
        known_hours=hours,
        need=need,
    )


@dataclass(frozen=True)
class _Building:
    """The rows of buildings that others read, and what each needs."""

    indoor: Row
    conductance: Row
    design_loss: Row
    balance: Row
    idle_loss: Row
    need: Row


def _buildings(context: Context, sheet: Sheet, kind: Row, usage: Usage) -> _Building:
    is_building = kind_is(kind, *BUILDINGS)
    outdoor = context.job("site", "outdoor design temperature")
    sheet.heading("Buildings")
    given_indoor = context.fetched(sheet, "indoor temperature", "Indoor temperature, of its own")
    indoor = sheet.take("Indoor temperature", FirstGiven((given_indoor, context.job("site", "indoor temperature"))))
    design, typed = context.fetch(sheet, "design loss", "conductance")
    area, per_area = context.fetch(sheet, "heated area", "loss per area")
    difference = sheet.calc("Indoors less outdoors", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, indoor, outdoor)
    colder = sheet.take("Colder outdoors by", IfPositive(difference))
    by_design = sheet.calc("Conductance from the design loss", CONDUCTANCE, lambda q, d: q / d, design, colder)
    guessed = sheet.calc("Design loss from the area, a guess", POWER, lambda a, q: a * q, area, per_area)
    by_area = sheet.calc("Conductance from the area", CONDUCTANCE, lambda q, d: q / d, guessed, colder)
    gains, given_balance = context.fetch(sheet, "gains", "balance temperature")
    by_fuel = sheet.take("Conductance from the fuel used", SameColumn(usage.conductance))
    conductance = sheet.take("Conductance of the building", FirstGiven((typed, by_design, by_area, by_fuel)))
    design_loss = sheet.line("Design loss", loads.transmission_load, conductance, indoor, outdoor, when=is_building, shows="whole")
    held = sheet.calc(
        "Degrees that the gains hold",
        TEMPERATURE_DIFFERENCE,
        lambda g, u: np.minimum(over(g, u), MOST_HELD),
        gains,
        conductance,
    )
    computed = sheet.calc("Balance temperature, from the gains", TEMPERATURE, lambda t, d: t - d, indoor, held, when=is_building)
    balance = sheet.take("Balance temperature", FirstGiven((given_balance, computed, Where(usage.unsaid_balance, is_building))))
    idle_loss = context.fetched(sheet, "idle loss of the existing boiler")
    need = sheet.calc(
        "Need of the building",
        POWER,
        lambda q, idle: np.maximum(q, 0.0) + idle,
        design_loss,
        idle_loss,
        when=is_building,
        shows="whole",
    )
    return _Building(indoor, conductance, design_loss, balance, idle_loss, need)


@dataclass(frozen=True)
class _HotWater:
    """The rows of hot water that others read, and what each needs."""

    tank: Row
    tank_loss: Row
    stored: Row
    cold: Row
    wanted: Row
    heat: Row
    need: Row


def _hot_water(context: Context, sheet: Sheet, kind: Row) -> _HotWater:
    when = kind_is(kind, "hot water")
    sheet.heading("Domestic hot water")
    use, cold, wanted, stored = context.fetch(sheet, "use a day", "cold water temperature", "hot water temperature", "stored temperature")
    tank, tank_loss = context.fetch(sheet, "tank volume", "tank loss")
    heat = sheet.line("Heat drawn in a day", loads.hot_water_energy, use, cold, wanted, when=when, shows="whole")
    mean = sheet.calc("Heat drawn, mean of the day", POWER, lambda e: e / HOURS_A_DAY, heat, when=when, shows="whole")
    standing = sheet.calc(
        "Heat lost by the tank",
        POWER,
        lambda volume, u, hot, room: np.where(volume > 0, u * (hot - room), 0.0),
        tank,
        tank_loss,
        stored,
        context.job("site", "indoor temperature"),
        when=when,
    )
    need = sheet.calc("Need of the hot water", POWER, lambda a, b: a + b, mean, standing, when=when, shows="whole")
    return _HotWater(tank, standing, stored, cold, wanted, heat, need)


def _tub(context: Context, sheet: Sheet, kind: Row) -> tuple[Tub, Row]:
    """A tub held at its temperature: covered most of the day, open for a while."""
    sheet.heading("Tubs and pools")
    surface, cover, side, temperature = context.fetch(sheet, "surface", "cover resistance", "side loss", "set temperature")
    humidity, wind, opened = context.fetch(sheet, "air humidity", "wind", "hours uncovered")
    air = context.fetched(sheet, "air temperature", "Air temperature, typed")
    volume, when = context.fetched(sheet, "volume"), kind_is(kind, "tub")
    sheet.line("Heat to warm it once from filling", loads.hot_water_energy, volume, FILLED_AT, temperature, when=when, shows="whole")
    tub = Tub(kind, temperature, surface, cover, side, humidity, wind, opened, air)
    return tub, tub_loss(sheet, tub, context.job("site", "outdoor design temperature"), "")


def tub_loss(sheet: Sheet, tub: Tub, outdoor: Reference, name: str) -> Row:
    """Mean heat that holds a tub in that outdoor air; indoors, in the air that is typed."""
    when = kind_is(tub.kind, "tub")
    air = sheet.take(f"Air about the tub{name}", FirstGiven((tub.air, outdoor)))
    water = tub.temperature
    open_to_air = sheet.line(
        f"Evaporation while open{name}", pools.pool_evaporation_loss, tub.surface, water, air, tub.humidity, tub.wind, IN_USE, when=when
    )
    with sheet.inlined():
        shut = sheet.line(f"Through the cover{name}", pools.cover_loss, tub.surface, tub.cover, water, air, when=when)
        dry = sheet.calc(
            f"Convection and radiation while open{name}",
            POWER,
            lambda area, t, t_air, wind: (
                pools.pool_convection_loss(area, t, t_air, wind) + pools.pool_radiation_loss(area, t, pools.sky_temperature(t_air))
            ),
            tub.surface,
            water,
            air,
            tub.wind,
            when=when,
        )
    return sheet.calc(
        f"Need of the tub, mean of the day{name}",
        POWER,
        lambda shut, a, b, hours, u, t, t_air: np.maximum(shut + (a + b - shut) * (hours / HOURS_A_DAY) + u * (t - t_air), 0.0),
        shut,
        open_to_air,
        dry,
        tub.opened,
        tub.side,
        water,
        air,
        when=when,
        shows="whole",
        words="cover loss for the covered hours, the open losses for the open ones, and the sides",
    )
