"""What each load takes from the water that it is given.

Whatever the water, an exchanger, a coil and a tank take in proportion to the water's excess over a sink: how much for each degree
is worked out once for each load.  An emitter's output follows a power of its excess over the room: a start and two steps of Newton's
method for each water.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc import emitters, exchangers
from hydrocalc.measures import CONDUCTANCE, POWER, RATIO, RESISTANCE, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.base import Reference
from workbook_builder.model.references import Both, Constant, FirstGiven, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet

from .context import Context, over
from .night_results import Emitters, Network, Takes
from .results import Needs

# Of the heat, for exponents up to 1.5: 3e-3 after one step, 1.1e-6 after two, over 200,000 emitters and waters drawn at random.
NEWTON_STEPS = 2
NO_FLOW = 1e6  # K/W: where nothing flows, nothing passes
PLATES, TANKS = ("plate", "plate then tank"), ("coil in tank", "side-arm")
EMITTERS = ("baseboard", "floor")


@dataclass(frozen=True)
class Exchanger:
    """Each load's exchanger, and the capacity rates at it."""

    conductance: Row
    smaller: Row
    ratio: Row


def make_takes(context: Context, sheet: Sheet, needs: Needs, units: Emitters, rate: Row, exchanger: Exchanger) -> Takes:
    """The rows that no water changes: for each load with an exchanger, an emitter, a coil."""
    sheet.heading("What each load takes of any water")
    size = sheet.line("Transfer units (NTU)", exchangers.transfer_units, exchanger.conductance, exchanger.smaller)
    effectiveness = sheet.line("Effectiveness", exchangers.counterflow_effectiveness, size, exchanger.ratio)
    exchanged = sheet.calc("Effectiveness × smaller capacity rate", CONDUCTANCE, lambda e, c: e * c, effectiveness, exchanger.smaller)
    behind, direct = kind_is(units.behind, "yes"), kind_is(units.behind, "no")
    resistance: Row | None = None
    in_proportion: list[Reference] = [Where(exchanged, kind_is(needs.kind, "hot water", "tub"))]
    if context.has(*EMITTERS):
        is_emitter = kind_is(needs.kind, *EMITTERS)
        ways = (
            sheet.calc(
                "Water to mean water, direct",
                RESISTANCE,
                lambda c: np.where(c > 0, 1 / (2 * c), NO_FLOW),
                rate,
                when=Both(is_emitter, direct),
            ),
            sheet.calc(
                "Water to mean water, behind the exchanger",
                RESISTANCE,
                lambda ec, cs: np.where(ec > 0, 1 / ec - 1 / (2 * cs), NO_FLOW),
                exchanged,
                units.second_rate,
                when=Both(is_emitter, behind),
            ),
        )
        way = sheet.take("Thermal resistance, water to mean water", FirstGiven(ways))
        resistance = sheet.calc("Thermal resistance, water to surface", RESISTANCE, lambda r, s: r + s, way, units.surface_resistance)
    if context.has("fan heater"):
        in_proportion.append(_fan_heater(context, sheet, needs, units, rate, exchanged))
    is_known = kind_is(needs.kind, "known")
    if context.has("known"):
        in_proportion.append(Where(rate, is_known))
    at_draw = sheet.take("Heat for each degree above the sink", FirstGiven(tuple(in_proportion)))
    mean = sheet.calc(
        "Of a plate, mean of the day",
        CONDUCTANCE,
        lambda k, q, drawn: k * over(q, drawn),
        at_draw,
        needs.need,
        units.plate_load,
        words="what it takes at the peak draw × need / heat of the peak draw: short while water is drawn, short in that part all day",
    )
    per_degree = sheet.take("Heat for each degree, mean of the day", FirstGiven((mean, at_draw)))
    sink = sheet.take(
        "Sink: air, tank, tub, cold water or room",
        FirstGiven(
            (
                Where(units.entering_air, kind_is(needs.kind, "fan heater")),
                Where(needs.stored, kind_is(units.heated_by, *TANKS)),
                Where(needs.cold, kind_is(units.heated_by, *PLATES)),
                Where(needs.tub_set, kind_is(needs.kind, "tub")),
                Where(context.job("site", "indoor temperature"), is_known),
            )
        ),
    )
    return Takes(exchanger.conductance, exchanged, resistance, sink, at_draw, per_degree)


def second_rate(sheet: Sheet, units: Emitters) -> Row:
    """The capacity rate on an exchanger's cold side; none of a tank, whose water stands."""
    drawn = Where(units.draw_rate, kind_is(units.heated_by, *PLATES))
    return sheet.take("Capacity rate of the cold side", FirstGiven((drawn, units.second_rate)))


def capacity_rates(sheet: Sheet, units: Emitters, rate: Row, second: Row) -> tuple[Row, Row]:
    """The smaller capacity rate at an exchanger, and the ratio of the two; a tank's is 0, as if its flow had no end."""
    of_tank = kind_is(units.heated_by, *TANKS)
    both = sheet.calc("Smaller of both capacity rates", CONDUCTANCE, np.minimum, rate, second)
    smaller = sheet.take("Smaller capacity rate", FirstGiven((both, Where(rate, of_tank))))
    of_both = sheet.calc("Ratio of both capacity rates", RATIO, lambda a, b: over(np.minimum(a, b), np.maximum(a, b)), rate, second)
    return smaller, sheet.take("Capacity ratio", FirstGiven((of_both, Where(Constant(0, RATIO), of_tank))))


def _fan_heater(context: Context, sheet: Sheet, needs: Needs, units: Emitters, rate: Row, exchanged: Row) -> Row:
    """With its rated flows a fan heater follows its exchanger law; without them the plain proportion, held to a share of the water."""
    when = kind_is(needs.kind, "fan heater")
    own_loop = Both(when, kind_is(units.behind, "yes"))
    supply = sheet.take("Capacity rate at the coil", FirstGiven((Where(units.second_rate, own_loop), Where(rate, when))))
    coil = coil_rate(context, sheet, units, supply, when)
    behind = sheet.calc(
        "Behind the exchanger, for each degree",
        CONDUCTANCE,
        lambda g, x, c: np.where(g * x > 0, 1 / (1 / g + 1 / x - 1 / c), 0.0),
        coil,
        exchanged,
        supply,
        when=own_loop,
        words="1 / (1 / coil + 1 / (effectiveness × smaller capacity rate) − 1 / capacity rate of the loop)",
    )
    return sheet.take("Fan heater, for each degree above its air", FirstGiven((behind, coil)))


def coil_rate(context: Context, sheet: Sheet, units: Emitters, supply: Reference, when: Reference, name: str = "") -> Row:
    """What a fan heater gives for each degree of its water over its air."""
    by_law = sheet.line(f"Coil, for each degree{name}", emitters.fan_heater_rate, units.coil, supply, units.air_rate, when=when)
    plain = sheet.calc(
        f"Coil, for each degree, plain proportion{name}",
        CONDUCTANCE,
        lambda g, share, c: np.minimum(g, share * c),
        units.coil_plain,
        context.job("limits", "highest fan heater share"),
        supply,
        when=when,
    )
    return sheet.take(f"Coil, for each degree, taken{name}", FirstGiven((by_law, plain)))


def capacity(context: Context, sheet: Sheet, network: Network, inlet: Row, per_degree: Row, name: str) -> Row:
    """What each load can take of the water that enters it; rows of kinds that the job does not have are left out."""
    takes = network.takes
    found = _emitter(context, sheet, network, inlet, name) if context.has(*EMITTERS) else ()
    proportional = sheet.calc(
        f"In proportion to water above sink{name}",
        POWER,
        lambda k, t, s: k * np.maximum(t - s, 0.0),
        per_degree,
        inlet,
        takes.sink,
        shows="whole",
    )
    return sheet.take(f"Capacity at this water{name}", FirstGiven((*found, proportional)), shows="whole")


def _emitter(context: Context, sheet: Sheet, network: Network, inlet: Row, name: str) -> tuple[Row, ...]:
    """What baseboard, radiators and floors give: the excess of their mean water by Newton's method, and the output at it."""
    needs, units, takes = network.needs, network.units, network.takes
    assert takes.resistance is not None
    when = kind_is(needs.kind, *EMITTERS)
    given = (inlet, needs.indoor, takes.resistance, units.output, units.excess, units.exponent)
    with sheet.inlined():
        excess = sheet.calc(
            f"Mean water above room, start{name}",
            TEMPERATURE_DIFFERENCE,
            lambda t, room, *of: emitters.emitter_excess_start(t - room, *of),
            *given,
            when=when,
        )
        for step in range(1, NEWTON_STEPS + 1):
            excess = sheet.calc(
                f"Mean water above room, Newton step {step}{name}",
                TEMPERATURE_DIFFERENCE,
                lambda x, t, room, *of: emitters.emitter_excess_step(x, t - room, *of),
                excess,
                *given,
                when=when,
            )
        output = sheet.line(
            f"Baseboard, radiators and floor can give{name}", emitters.emitter_output, units.output, units.excess, excess, units.exponent
        )
    if not context.has("floor"):
        return (output,)
    held = sheet.calc(f"Output, held to the floor's highest temperature{name}", POWER, np.minimum, output, units.floor_limit, shows="whole")
    return (held, output)


def plate_outlet(sheet: Sheet, network: Network, inlet: Row) -> Row:
    """What leaves a plate exchanger at the peak draw, for the water that enters it; hotter than wanted is mixed down."""
    needs, units = network.needs, network.units
    return sheet.calc(
        "Out of the plate at the peak draw",
        TEMPERATURE,
        lambda cold, k, t, c: cold + over(k * np.maximum(t - cold, 0.0), c),
        needs.cold,
        network.takes.at_draw,
        inlet,
        units.draw_rate,
        when=kind_is(units.heated_by, *PLATES),
    )
