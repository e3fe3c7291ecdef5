"""Loads: what each load needs on the design night, and the figures from which its season follows.

Loads of every kind have every kind's rows; a row that does not apply to a load's kind is blank.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from hydrocalc import loads, pools
from hydrocalc.measures import CONDUCTANCE, POWER, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.base import Reference
from workbook_builder.model.references import FirstGiven, IfPositive, SameColumn, SumOf, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BUILDINGS

from .context import Making

HOURS_A_DAY = 24 * 3600.0  # s
LEAST, MOST_HELD = 1e-6, 100.0  # W/K; K: gains that hold as much leave no heating anywhere on earth
FILLED_AT = 10.0  # °C, water from the main or the well
IN_USE = 1.0  # activity of a tub while it is open (ASHRAE, from memory)


def make_loads(making: Making) -> None:
    """The sheet Loads: what each load needs."""
    sheet = making.book.sheet("Loads", making.loads, "Loads on the design night")
    run, kind = making.fetch(sheet, "run", "kind")
    coincidence = making.fetched(sheet, "coincidence", "Part that counts on the design night")
    rows = SimpleNamespace(sheet=sheet, run=run, kind=kind, coincidence=coincidence)
    making.rows["needs"] = rows
    building = _buildings(making, sheet, rows)
    hot_water = _hot_water(making, sheet, rows)
    tub = _tub(making, sheet, rows)
    known = _known(making, sheet, rows)
    sheet.heading("Need on the design night")
    rows.full = sheet.take("Need, steady", SumOf((building, hot_water, tub, known)), shows="whole")
    rows.need = sheet.calc("Need that counts", POWER, lambda need, part: need * part, rows.full, coincidence, shows="whole")


def _buildings(making: Making, sheet: Sheet, rows: SimpleNamespace) -> Row:
    is_building = kind_is(rows.kind, *BUILDINGS)
    outdoor = making.job("site", "outdoor design temperature")
    sheet.heading("Buildings")
    given_indoor = making.fetched(sheet, "indoor temperature", "Indoor temperature, of its own")
    rows.indoor = sheet.take("Indoor temperature", FirstGiven((given_indoor, making.job("site", "indoor temperature"))))
    design, conductance = making.fetch(sheet, "design loss", "conductance")
    area, per_area = making.fetch(sheet, "heated area", "loss per area")
    difference = sheet.calc("Indoors less outdoors", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, rows.indoor, outdoor)
    colder = sheet.take("Colder outdoors by", IfPositive(difference))
    by_design = sheet.calc("Conductance from the design loss", CONDUCTANCE, lambda q, d: q / d, design, colder)
    guessed = sheet.calc("Design loss from the area, a guess", POWER, lambda a, q: a * q, area, per_area)
    by_area = sheet.calc("Conductance from the area", CONDUCTANCE, lambda q, d: q / d, guessed, colder)
    gains, given_balance = making.fetch(sheet, "gains", "balance temperature")
    by_fuel = sheet.take("Conductance from the fuel used", SameColumn(making.usage.conductance))
    rows.conductance = sheet.take("Conductance of the building", FirstGiven((conductance, by_design, by_area, by_fuel)))
    rows.design_loss = sheet.line(
        "Design loss", loads.transmission_load, rows.conductance, rows.indoor, outdoor, when=is_building, shows="whole"
    )
    held = sheet.calc(
        "Degrees that the gains hold",
        TEMPERATURE_DIFFERENCE,
        lambda g, u: np.minimum(g / np.maximum(u, LEAST), MOST_HELD),
        gains,
        rows.conductance,
    )
    computed = sheet.calc("Balance temperature, from the gains", TEMPERATURE, lambda t, d: t - d, rows.indoor, held, when=is_building)
    rows.balance = sheet.take("Balance temperature", FirstGiven((given_balance, computed)))
    rows.idle_loss = making.fetched(sheet, "idle loss of the existing boiler")
    return sheet.calc(
        "Need of the building",
        POWER,
        lambda q, idle: np.maximum(q, 0.0) + idle,
        rows.design_loss,
        rows.idle_loss,
        when=is_building,
        shows="whole",
    )


def _hot_water(making: Making, sheet: Sheet, rows: SimpleNamespace) -> Row:
    when = kind_is(rows.kind, "hot water")
    sheet.heading("Domestic hot water")
    use, cold, wanted, stored = making.fetch(sheet, "use a day", "cold water temperature", "wanted temperature", "stored temperature")
    tank, tank_loss = making.fetch(sheet, "tank volume", "tank loss")
    heat = sheet.line("Heat drawn in a day", loads.hot_water_energy, use, cold, wanted, when=when, shows="whole")
    mean = sheet.calc("Heat drawn, mean of the day", POWER, lambda e: e / HOURS_A_DAY, heat, when=when, shows="whole")
    standing = sheet.calc(
        "Heat lost by the tank",
        POWER,
        lambda volume, u, hot, room: np.where(volume > 0, u * (hot - room), 0.0),
        tank,
        tank_loss,
        stored,
        making.job("site", "indoor temperature"),
        when=when,
    )
    rows.tank, rows.tank_loss, rows.stored, rows.cold, rows.wanted, rows.draw_heat = tank, standing, stored, cold, wanted, heat
    rows.tap_mean = mean
    return sheet.calc("Need of the hot water", POWER, lambda a, b: a + b, mean, standing, when=when, shows="whole")


def _tub(making: Making, sheet: Sheet, rows: SimpleNamespace) -> Row:
    """A tub held at its temperature: covered most of the day, open for a while."""
    sheet.heading("Tubs and pools")
    surface, cover, side, rows.tub_set = making.fetch(sheet, "surface", "cover resistance", "side loss", "set temperature")
    humidity, wind, opened = making.fetch(sheet, "air humidity", "wind", "hours uncovered")
    rows.tub = SimpleNamespace(surface=surface, cover=cover, side=side, humidity=humidity, wind=wind, opened=opened)
    rows.tub.air = making.fetched(sheet, "air temperature", "Air temperature, typed")
    volume, when = making.fetched(sheet, "volume"), kind_is(rows.kind, "tub")
    sheet.line("Heat to warm it once from filling", loads.hot_water_energy, volume, FILLED_AT, rows.tub_set, when=when, shows="whole")
    return tub_loss(making, sheet, rows, making.job("site", "outdoor design temperature"), "")


def tub_loss(making: Making, sheet: Sheet, rows: SimpleNamespace, outdoor: Reference, name: str) -> Row:
    """Mean heat that holds a tub in that outdoor air; indoors, in the air that is typed."""
    when, tub = kind_is(rows.kind, "tub"), rows.tub
    air = sheet.take(f"Air about the tub{name}", FirstGiven((tub.air, outdoor)))
    water = rows.tub_set
    covered = sheet.line(f"Through the cover{name}", pools.cover_loss, tub.surface, tub.cover, water, air, when=when)
    vapor = sheet.line(
        f"Evaporation while open{name}", pools.pool_evaporation_loss, tub.surface, water, air, tub.humidity, tub.wind, IN_USE, when=when
    )
    convection = sheet.line(f"Convection while open{name}", pools.pool_convection_loss, tub.surface, water, air, tub.wind, when=when)
    sky = sheet.line(f"Sky over the tub{name}", pools.sky_temperature, air, when=when)
    radiation = sheet.line(f"Radiation while open{name}", pools.pool_radiation_loss, tub.surface, water, sky, when=when)
    return sheet.calc(
        f"Need of the tub, mean of the day{name}",
        POWER,
        lambda shut, a, b, c, hours, u, t, t_air: np.maximum(shut + (a + b + c - shut) * (hours / HOURS_A_DAY) + u * (t - t_air), 0.0),
        covered,
        vapor,
        convection,
        radiation,
        tub.opened,
        tub.side,
        water,
        air,
        when=when,
        shows="whole",
        words="cover loss for the covered hours, the three open losses for the open ones, and the sides",
    )


def _known(making: Making, sheet: Sheet, rows: SimpleNamespace) -> Row:
    sheet.heading("Known loads")
    rows.known_heat, rows.known_hours = making.fetch(sheet, "heat", "hours a day")
    return sheet.calc("Need of the known load", POWER, lambda q: q * 1.0, rows.known_heat, when=kind_is(rows.kind, "known"), shows="whole")
