"""Requirements of each load: what it gets, its exchanger, hot water, floors and tubs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc.measures import COUNT, FRACTION, POWER, RESISTANCE, TEMPERATURE, TEMPERATURE_DIFFERENCE, VOLUME_FLOW
from workbook_builder.model.aggregates import CountWhere, Pick
from workbook_builder.model.references import Both, Condition, Constant, SameColumn, Says, Where, kind_is, kind_is_not
from workbook_builder.model.rows import Row
from workbook_builder.sheets.sizing.context import over
from workbook_builder.sheets.sizing.load_models import plate_outlet

from .requirements import WHOLE, Requirement, complete, in_order, named
from .rules import FAIL, PASS, REMARK, AtLeast, AtMost, ByWord, Figure, Judging, OfJob, Slack, no_fault, same

SHORT = Slack(share=0.001)  # of a need; less than a thousandth short is the rounding of the settling water
EMITTER_STEP = (500.0, 0.2)  # BTU/h, kW
MENDS = "more flow or a larger tube on its run; a larger emitter or exchanger; its place nearer the boiler; more output"
NEARLY = 10 / 1.8  # K: with so much to spare an exchanger may hold back what it likes (common practice, no source)
LUKEWARM = Slack(amount=0.1)  # K: hot water that is colder than wanted by no more than the settling water is known to


@dataclass(frozen=True)
class Order:
    """The water goes from column to column: a load beside another is read as beside the one before it."""

    begins: Row
    strange: Row


def order_of_loads(at: Judging) -> Order:
    sheet, network = at.sheet, at.sizing.network
    with sheet.chain() as left:
        sheet.heading("Place among the loads")
        run = sheet.take("On run", SameColumn(network.needs.run))
        sheet.take("Load", SameColumn(network.needs.sheet.names))
        beside = sheet.take("In parallel with", SameColumn(network.shares.parallel))
        begins = sheet.calc(
            "Begins the loads of a run (1: yes)",
            COUNT,
            lambda this, before: np.where(this == before, 0.0, 1.0),
            run,
            left("On run", None),
            shows="whole",
        )
        strange = sheet.calc(
            "Beside a load that does not stand before it (1: yes)",
            COUNT,
            lambda other, before, too: np.where((other == before) | (other == too), 0.0, 1.0),
            beside,
            left("Load", None),
            left("In parallel with", None),
            shows="whole",
        )
    return Order(begins, strange)


def _given(at: Judging) -> Condition:
    return kind_is_not(at.sizing.needs.kind, "")


def _taps(at: Judging) -> Condition:
    return kind_is(at.sizing.needs.kind, "hot water")


def _served(at: Judging) -> Row:
    at.sheet.heading("What each load gets on the design night")
    settled = at.sizing.settled.case
    return at.sheet.calc(
        "Part of the need met, fire included",
        FRACTION,
        lambda need, q: np.where(need > 1e-6, q / np.maximum(need, 1e-6), 1.0),
        settled.need,
        settled.taken,
    )


def _fuels_of_that_name(at: Judging) -> Row:
    at.sheet.heading("Fuel of today")
    names = at.sizing.fuels.sheet.names
    return at.sheet.take("Fuels of that name", CountWhere(names, at.sizing.usage.fuel), shows="whole")


def _approach(at: Judging) -> Row:
    """Boiler water in less heated water out, for an exchanger before a building's loop, with what it takes on the night.

    It matters where the load needs water nearly as warm as it gets; where cooler water would do a mixing valve makes it anyway.
    """
    units = at.sizing.network.units
    warm = at.sheet.calc(
        "Needs water nearly as warm as it gets (1: yes)",
        COUNT,
        lambda spare: np.where(spare < NEARLY, 1.0, 0.0),
        at.sheet.take("Warmer than needed", SameColumn(at.sizing.steady.spare)),
        shows="whole",
        words="the water that enters is less than 10 °F (5.6 °C) warmer than the load needs",
    )
    exchanged = at.sheet.take("Effectiveness × smaller capacity rate", SameColumn(at.sizing.network.takes.exchanged))
    return at.sheet.calc(
        "Approach",
        TEMPERATURE_DIFFERENCE,
        lambda q, ec, c: over(q, ec) - over(q, c),
        at.sizing.settled.case.taken,
        exchanged,
        units.second_rate,
        when=Both(kind_is(units.behind, "yes"), Says(warm)),
        words="taken / (effectiveness × smaller capacity rate), the water less what comes back from the loop, "
        "less taken / capacity rate of the loop, by which it is warmed",
    )


def _floor(at: Judging) -> Row:
    needs, units = at.sizing.needs, at.sizing.network.units
    return at.sheet.calc(
        "Surface that gives the need",
        TEMPERATURE,
        lambda room, q, rated, excess, n: room + excess * over(q, rated) ** (1 / n),
        needs.indoor,
        needs.need,
        units.output,
        units.excess,
        units.exponent,
        when=kind_is(needs.kind, "floor"),
    )


def _plate(at: Judging) -> Row:
    return plate_outlet(at.sheet, at.sizing.network, at.sizing.settled.case.inlet)


def _hottest(at: Judging) -> Row:
    needs, pipes, pumps = at.sizing.needs, at.sizing.pipes, at.sizing.pumps
    on_the_run = Pick(pumps.pressures.hottest, pipes.sheet.names, needs.run)
    return at.sheet.calc(
        "Hottest that the taps can get, without a valve",
        TEMPERATURE,
        lambda t, tank: np.maximum(t, tank),
        at.sheet.take("Hottest water on the run", on_the_run),
        needs.stored,
        when=_taps(at),
    )


def _held(at: Judging) -> Row:
    """What the thermostat holds: how far the water climbs beyond it for some minutes is the mixing valve's to meet."""
    off, stored = at.context.job("boiler", "upper setpoint"), at.sizing.needs.stored
    label = "Hottest that the thermostat lets stand on the domestic side"
    return at.sheet.calc(label, TEMPERATURE, lambda t, tank: np.maximum(t, tank), off, stored, when=_taps(at))


def _stored(at: Judging) -> Row:
    needs = at.sizing.needs
    with_tank = kind_is(at.sizing.network.units.heated_by, "coil in tank", "side-arm", "plate then tank")
    return at.sheet.calc("Stored at", TEMPERATURE, lambda t, v: t * 1.0, needs.stored, needs.tank, when=with_tank)


def _tub(at: Judging) -> Row:
    needs = at.sizing.needs
    return at.sheet.take("Tub kept at", Where(needs.tub_set, kind_is(needs.kind, "tub")))


def _output_that_would_do(at: Judging) -> Row:
    """Of baseboard and radiators, at their own rating; and beside it the least flow.  Of a fire that is short neither would do: 0.

    The flow is a bound: loads before this one that go short as well take more of more water.
    """
    sheet, needs, settled = at.sheet, at.sizing.needs, at.sizing.settled.case
    network = at.sizing.network
    units, takes, shares = network.units, network.takes, network.shares
    inlet, short = settled.inlet, at.sizing.balance.short
    sheet.heading("What would do for the need, at the water that enters")
    own_flow = sheet.take("Flow of its run", Pick(at.sizing.pumps.own_flow, at.sizing.pipes.sheet.names, needs.run))
    sheet.calc(
        "Flow of its run, at least (0: none would do)",
        VOLUME_FLOW,
        lambda flow, boiler, t, room, q, rated, x, n, r, c, short: (
            flow * np.where(short > 0, 0.0, over(boiler - t + q / (2 * c), boiler - room - x * over(q, rated) ** (1 / n) - r * q))
        ),
        own_flow,
        at.sizing.balance.water,
        inlet,
        needs.indoor,
        needs.need,
        units.output,
        units.excess,
        units.exponent,
        units.surface_resistance,
        shares.rate,
        short,
        when=Both(kind_is(needs.kind, "baseboard", "floor"), kind_is(units.behind, "no")),
        words="flow × (what the water falls from the boiler to the middle of the emitter, with the need) / (what it may fall): "
        "twice the flow, half the fall",
    )
    return sheet.calc(
        "Rated output that would do (0: none)",
        POWER,
        lambda t, room, r, q, x, n, short: np.where(short > 0, 0.0, q * over(x, t - room - r * q) ** n),
        inlet,
        needs.indoor,
        takes.resistance or Constant(0, RESISTANCE),
        needs.need,
        units.excess,
        units.exponent,
        short,
        when=kind_is(needs.kind, "baseboard"),
        shows="whole",
        words="need × (rated excess / (entering water − room − thermal resistance to the mean water × need)) ^ exponent",
    )


LOADS = (
    Requirement(
        "heat",
        "Every load gets what it needs",
        _served,
        AtLeast(
            1.0,
            "an emitter of at least {figure} at its rating, or more flow than at the foot of Water; a larger tube or exchanger; "
            "a place nearer the boiler",
            slack=SHORT,
            figure=Figure(_output_that_would_do, EMITTER_STEP, without=MENDS),
        ),
    ),
    complete(
        "Nothing about a load is missing",
        lambda sizing: (sizing.steady.case.need, sizing.steady.case.taken, sizing.season.year),
        _given,
    ),
    named("load", _given),
    Requirement(
        WHOLE,
        "The fuel of a load is one of today's",
        _fuels_of_that_name,
        AtLeast(1.0, "a fuel that stands under Fuels today on Job"),
        when=lambda at: kind_is_not(at.sizing.usage.fuel, ""),
    ),
    in_order("load", "Water", _given),
    Requirement(
        "exchangers",
        "Approach of the exchanger",
        _approach,
        AtMost(OfJob("exchanger approach"), "a larger exchanger", REMARK),
    ),
    Requirement(
        "heat",
        "Floor no hotter than is comfortable, the need met",
        _floor,
        AtMost(
            same(lambda sizing: sizing.network.units.highest_floor),
            "a mixing valve before it; more floor, less loss, or another emitter beside it",
        ),
    ),
    Requirement(
        "exchangers",
        "Hot water at the peak draw, out of the plate",
        _plate,
        AtLeast(
            same(lambda sizing: sizing.network.units.wanted_of_plate),
            "a larger plate, a slower draw, or a tank kept hot behind it",
            ByWord(lambda at: at.sizing.network.units.heated_by, "plate", FAIL, REMARK),
            slack=LUKEWARM,
        ),
    ),
    Requirement(
        "safety",
        "Scalding: a mixing valve at the taps",
        _hottest,
        AtMost(
            OfJob("highest hot water without a valve"),
            "a listed mixing valve set to {120 °F|49 °C} or less; test it",
            ByWord(lambda at: at.sizing.network.units.mixing_valve, "no", FAIL, PASS),
        ),
        when=_taps,
    ),
    Requirement(
        "safety",
        "Water on the domestic side",
        _held,
        AtMost(OfJob("failing hot water temperature"), "a cooler boiler or a limiting control"),
        when=_taps,
    ),
    Requirement(
        "safety",
        "Storage against bacteria",
        _stored,
        AtLeast(OfJob("lowest stored temperature"), "store at {140 °F|60 °C} and mix down at the taps", REMARK),
    ),
    Requirement(
        "safety",
        "Tub no hotter than is safe",
        _tub,
        AtMost(OfJob("highest tub temperature"), "set it lower, and guard it with a limit of its own"),
    ),
    Requirement(
        "heat",
        "Loads in parallel stand so",
        lambda at: at.once(order_of_loads).strange,
        no_fault("the columns of loads that share the flow next to one another, the one that the others name first"),
    ),
)
