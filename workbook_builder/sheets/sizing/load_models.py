"""What each kind of load can take from the water it is given: one function a kind, over all columns of a sheet.

Every function adds the rows of its kind, blank for loads of another kind, and returns what the load can take.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc import emitters, exchangers
from hydrocalc.measures import CONDUCTANCE, POWER, RATIO, RESISTANCE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.base import Reference
from workbook_builder.model.references import Both, FirstGiven, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet

from .context import Making

# Four steps are exact to 4e-10 for an exponent of 1.4; the fifth makes it so for steeper ones too.
NEWTON_STEPS = 5
# Nothing in a sheet divides by zero: a capacity rate, a conductance or a need is at least this (W/K, W).
LEAST = 1e-6
# What a plate is ordered for where the need wants more than any plate can do (common practice, no source).
HIGHEST_EFFECTIVENESS = 0.9


@dataclass
class Water:
    """What a load is given: the temperature of the water and the capacity rate of its share of the flow."""

    temperature: Row
    rate: Row


def emitter(making: Making, sheet: Sheet, water: Water) -> Row:
    """Baseboard, radiators and floors, direct or behind an exchanger: one problem, four visible refining lines."""
    units = making.units
    when = kind_is(making.needs.kind, "baseboard", "floor")
    units.exchanged = ratio = exchanger_rate(making, sheet, water, when)
    direct = sheet.calc(
        "Way to the mean water, direct",
        RESISTANCE,
        lambda c: 1 / (2 * np.maximum(c, LEAST)),
        water.rate,
        when=Both(when, kind_is(units.behind, "no")),
    )
    behind = sheet.calc(
        "Way to the mean water, behind the exchanger",
        RESISTANCE,
        lambda ec, cs: 1 / np.maximum(ec, LEAST) - 1 / (2 * np.maximum(cs, LEAST)),
        ratio,
        units.second_rate,
        when=Both(when, kind_is(units.behind, "yes")),
    )
    way = sheet.take("Way to the mean water", FirstGiven((direct, behind)))
    resistance = sheet.calc("Way to the surface", RESISTANCE, lambda r, s: r + s, way, units.surface_resistance)
    units.resistance = resistance
    difference = sheet.calc(
        "Water less room", TEMPERATURE_DIFFERENCE, lambda t, room: t - room, water.temperature, making.needs.indoor, when=when
    )
    body = (difference, resistance, units.output, units.excess, units.exponent)
    excess = sheet.line("Excess, start", emitters.emitter_excess_start, *body)
    for step in range(1, NEWTON_STEPS + 1):
        excess = sheet.line(f"Excess, refined {step}", emitters.emitter_excess_step, excess, *body)
    output = sheet.line("Output at that excess", emitters.emitter_output, units.output, units.excess, excess, units.exponent)
    return sheet.calc(
        "Baseboard, radiators and floor can give", POWER, lambda q, most: np.minimum(q, most), output, units.floor_limit, shows="whole"
    )


def exchanger_rate(making: Making, sheet: Sheet, water: Water, when: Reference) -> Row:
    """Effectiveness times the smaller capacity rate of the exchanger before a building's own loop."""
    units = making.units
    behind = Both(when, kind_is(units.behind, "yes"))
    smaller = sheet.calc(
        "Smaller capacity rate at the exchanger", CONDUCTANCE, lambda a, b: np.minimum(a, b), water.rate, units.second_rate, when=behind
    )
    larger = sheet.calc(
        "Larger capacity rate at the exchanger", CONDUCTANCE, lambda a, b: np.maximum(a, b), water.rate, units.second_rate, when=behind
    )
    ratio = sheet.calc("Capacity ratio", RATIO, lambda a, b: a / np.maximum(b, LEAST), smaller, larger, when=behind)
    size = sheet.line("Transfer units of the exchanger", exchangers.transfer_units, units.exchanger, smaller, when=behind)
    effectiveness = sheet.line("Effectiveness of the exchanger", exchangers.counterflow_effectiveness, size, ratio, when=behind)
    return sheet.calc("Effectiveness × smaller capacity rate", CONDUCTANCE, lambda e, c: e * c, effectiveness, smaller, when=behind)


def fan_heater(making: Making, sheet: Sheet, water: Water) -> Row:
    """With its rated flows a fan heater follows its exchanger law; without them the plain proportion, held to a share of the water."""
    units, needs = making.units, making.needs
    when = kind_is(needs.kind, "fan heater")
    supply = sheet.take(
        "Capacity rate at the coil",
        FirstGiven(
            (
                sheet.calc(
                    "Capacity rate at the coil, own loop",
                    CONDUCTANCE,
                    lambda c: c * 1.0,
                    units.second_rate,
                    when=Both(when, kind_is(units.behind, "yes")),
                ),
                water.rate,
            )
        ),
    )
    coil = coil_rate(making, sheet, supply, when)
    direct = sheet.calc(
        "Degrees for each watt, direct", RESISTANCE, lambda g: 1 / np.maximum(g, LEAST), coil, when=Both(when, kind_is(units.behind, "no"))
    )
    units.fan_exchanged = ec = exchanger_rate(making, sheet, water, when)
    behind = sheet.calc(
        "Degrees for each watt, behind the exchanger",
        RESISTANCE,
        lambda g, x, c: 1 / np.maximum(g, LEAST) + 1 / np.maximum(x, LEAST) - 1 / np.maximum(c, LEAST),
        coil,
        ec,
        supply,
        when=Both(when, kind_is(units.behind, "yes")),
    )
    resistance = sheet.take("Degrees for each watt", FirstGiven((direct, behind)))
    return sheet.calc(
        "Fan heater can give",
        POWER,
        lambda t, air, r: np.maximum(t - air, 0.0) / r,
        water.temperature,
        units.entering_air,
        resistance,
        when=when,
        shows="whole",
    )


def coil_rate(making: Making, sheet: Sheet, supply: Reference, when: Reference, name: str = "") -> Row:
    """What a fan heater gives for each degree of its water over its air."""
    units = making.units
    by_law = sheet.line(f"Coil, output for each degree{name}", emitters.fan_heater_rate, units.coil, supply, units.air_rate, when=when)
    plain = sheet.calc(
        f"Coil, output for each degree, plain proportion{name}",
        CONDUCTANCE,
        lambda g, share, c: np.minimum(g, share * c),
        units.coil_plain,
        making.job("limits", "highest fan heater share"),
        supply,
        when=when,
    )
    return sheet.take(f"Coil, output for each degree, taken{name}", FirstGiven((by_law, plain)))


def hot_water(making: Making, sheet: Sheet, water: Water) -> Row:
    """A plate on the cold feed, judged at the peak draw, or a coil or side-arm against the tank's water."""
    units, needs = making.units, making.needs
    when = kind_is(needs.kind, "hot water")
    plate, coil = (
        Both(when, kind_is(units.heated_by, "plate", "plate then tank")),
        Both(when, kind_is(units.heated_by, "coil in tank", "side-arm")),
    )
    smaller = sheet.calc(
        "Smaller capacity rate at the plate", CONDUCTANCE, lambda a, b: np.minimum(a, b), water.rate, units.draw_rate, when=plate
    )
    larger = sheet.calc(
        "Larger capacity rate at the plate", CONDUCTANCE, lambda a, b: np.maximum(a, b), water.rate, units.draw_rate, when=plate
    )
    ratio = sheet.calc("Capacity ratio at the plate", RATIO, lambda a, b: a / np.maximum(b, LEAST), smaller, larger)
    size = sheet.line("Transfer units of the plate", exchangers.transfer_units, units.exchanger, smaller, when=plate)
    effectiveness = sheet.line("Effectiveness of the plate", exchangers.counterflow_effectiveness, size, ratio)
    by_plate = sheet.calc(
        "Plate can give at the peak draw",
        POWER,
        lambda e, c, t, cold: e * c * np.maximum(t - cold, 0.0),
        effectiveness,
        smaller,
        water.temperature,
        needs.cold,
        when=plate,
        shows="whole",
    )
    units_coil = sheet.line("Transfer units of the coil in the tank", exchangers.transfer_units, units.exchanger, water.rate, when=coil)
    in_tank = sheet.line("Effectiveness of the coil in the tank", exchangers.tank_coil_effectiveness, units_coil)
    by_coil = sheet.calc(
        "Coil can give to the tank",
        POWER,
        lambda e, c, t, tank: e * c * np.maximum(t - tank, 0.0),
        in_tank,
        water.rate,
        water.temperature,
        needs.stored,
        when=coil,
        shows="whole",
    )
    return sheet.take("Hot water can take", FirstGiven((by_plate, by_coil)), shows="whole")


def tub(making: Making, sheet: Sheet, water: Water) -> Row:
    """A tub's exchanger between the run's water and the tub's own flow."""
    units, needs = making.units, making.needs
    when = kind_is(needs.kind, "tub")
    smaller = sheet.calc(
        "Smaller capacity rate at the tub", CONDUCTANCE, lambda a, b: np.minimum(a, b), water.rate, units.second_rate, when=when
    )
    larger = sheet.calc(
        "Larger capacity rate at the tub", CONDUCTANCE, lambda a, b: np.maximum(a, b), water.rate, units.second_rate, when=when
    )
    ratio = sheet.calc("Capacity ratio at the tub", RATIO, lambda a, b: a / np.maximum(b, LEAST), smaller, larger)
    size = sheet.line("Transfer units at the tub", exchangers.transfer_units, units.exchanger, smaller, when=when)
    effectiveness = sheet.line("Effectiveness at the tub", exchangers.counterflow_effectiveness, size, ratio)
    return sheet.calc(
        "Tub can take",
        POWER,
        lambda e, c, t, sink: e * c * np.maximum(t - sink, 0.0),
        effectiveness,
        smaller,
        water.temperature,
        needs.tub_set,
        when=when,
        shows="whole",
    )


def known(making: Making, sheet: Sheet, water: Water) -> Row:
    """A known load takes what it is said to take, as long as the water is warmer than a room."""
    return sheet.calc(
        "Known load can take",
        POWER,
        lambda q, t, c, room: np.minimum(q, c * np.maximum(t - room, 0.0)),
        making.needs.known_heat,
        water.temperature,
        water.rate,
        making.job("site", "indoor temperature"),
        when=kind_is(making.needs.kind, "known"),
        shows="whole",
        words="its heat, but no more than the water carries above the site's indoor temperature",
    )


TAKERS = (emitter, fan_heater, hot_water, tub, known)
