"""Requirements of each load: what it gets, its exchanger, hot water, floors and tubs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc.measures import COUNT, FRACTION, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import CountWhere, Pick
from workbook_builder.model.references import Condition, SameColumn, Where, kind_is, kind_is_not
from workbook_builder.model.rows import Row
from workbook_builder.sheets.sizing.context import over
from workbook_builder.sheets.sizing.load_models import plate_outlet

from .requirements import WHOLE, Requirement, complete, in_order, named
from .rules import FAIL, PASS, REMARK, AtLeast, AtMost, ByWord, Judging, OfJob, Slack, no_fault, same

SHORT = Slack(share=0.001)  # of a need; less than a thousandth short is the rounding of the settling water
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
    """Boiler water in less heated water out, for every exchanger before a building's loop, with what it takes on the night."""
    units = at.sizing.network.units
    exchanged = at.sheet.take("Effectiveness × smaller capacity rate", SameColumn(at.sizing.network.takes.exchanged))
    return at.sheet.calc(
        "Approach",
        TEMPERATURE_DIFFERENCE,
        lambda q, ec, c: over(q, ec) - over(q, c),
        at.sizing.settled.case.taken,
        exchanged,
        units.second_rate,
        when=kind_is(units.behind, "yes"),
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


def _stored(at: Judging) -> Row:
    needs = at.sizing.needs
    with_tank = kind_is(at.sizing.network.units.heated_by, "coil in tank", "side-arm", "plate then tank")
    return at.sheet.calc("Stored at", TEMPERATURE, lambda t, v: t * 1.0, needs.stored, needs.tank, when=with_tank)


def _tub(at: Judging) -> Row:
    needs = at.sizing.needs
    return at.sheet.take("Tub kept at", Where(needs.tub_set, kind_is(needs.kind, "tub")))


LOADS = (
    Requirement(
        "heat",
        "Every load gets what it needs",
        _served,
        AtLeast(
            1.0,
            "more flow or a larger tube on its run; a larger emitter or exchanger; its place nearer the boiler; more output",
            slack=SHORT,
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
        AtMost(same(lambda sizing: sizing.network.units.highest_floor), "more floor, less loss, or another emitter beside it"),
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
        _hottest,
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
