"""Checks of each load: what it gets, its exchanger, hot water, floors and tubs."""

from __future__ import annotations

import numpy as np

from hydrocalc.measures import COUNT, FRACTION, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import CountWhere, Pick
from workbook_builder.model.references import SameColumn, kind_is, kind_is_not
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.sheets.sizing.context import Making, over
from workbook_builder.sheets.sizing.load_models import plate_outlet

from .requirements import FAIL, PASS, REMARK, WHOLE, Requirements

ALL = 0.999  # of a need; less than a thousandth short is the rounding of the settling water
LUKEWARM = 0.1  # K: hot water that is colder than wanted by no more than the settling water is known to


def judge_loads(wanted: Requirements) -> Row:
    """The sheet LoadChecks; the row that says at which loads those of a run begin."""
    making = wanted.making
    sheet = making.book.sheet("LoadChecks", making.loads, "Checks of each load")
    needs, units = making.needs, making.units
    limit = making.job
    settled = making.settled.case
    sheet.heading("What each load gets on the design night")
    served = sheet.calc(
        "Part of the need met, fire included",
        FRACTION,
        lambda need, q: np.where(need > 1e-6, q / np.maximum(need, 1e-6), 1.0),
        settled.need,
        settled.taken,
    )
    wanted.add(
        sheet,
        "heat",
        "Every load gets what it needs",
        "more flow or a larger tube on its run; a larger emitter or exchanger; its place nearer the boiler; more output",
        served,
        None,
        lambda x: np.where(x >= ALL, PASS, FAIL),
    )
    steady = making.steady.case
    wanted.complete(sheet, "Nothing about a load is missing", (steady.need, steady.taken, making.season.year), kind_is_not(needs.kind, ""))
    wanted.named(sheet, kind_is_not(needs.kind, ""))
    fuel, fuels = making.usage.fuel, making.used_fuels.sheet.names
    sheet.heading("Fuel of today")
    wanted.add(
        sheet,
        WHOLE,
        "The fuel of a load is one of today's",
        "a fuel that stands under fuel today on Inputs",
        sheet.take("Fuels of that name", CountWhere(fuels, fuel), shows="whole"),
        None,
        lambda x: np.where(x < 1, FAIL, PASS),
        when=kind_is_not(fuel, ""),
    )
    wanted.in_order(sheet, "load", kind_is_not(needs.kind, ""))
    approach = _approach(making, sheet)
    wanted.add(
        sheet,
        "exchangers",
        "Approach of the exchanger",
        "a larger exchanger",
        approach,
        limit("limits", "exchanger approach"),
        lambda x, w: np.where(x <= w, PASS, REMARK),
    )
    floor = sheet.calc(
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
    wanted.add(
        sheet,
        "heat",
        "Floor no hotter than is comfortable, the need met",
        "more floor, less loss, or another emitter beside it",
        floor,
        SameColumn(units.highest_floor),
        lambda x, w: np.where(x > w, FAIL, PASS),
    )
    plate = plate_outlet(making, sheet, settled.inlet)
    wanted.add(
        sheet,
        "exchangers",
        "Hot water at the peak draw, out of the plate",
        "a larger plate, a slower draw, or a tank kept hot behind it",
        plate,
        SameColumn(units.wanted_of_plate),
        lambda x, w, by: np.where(x > w - LUKEWARM, PASS, np.where(by == "plate", FAIL, REMARK)),
        units.heated_by,
    )
    taps = kind_is(needs.kind, "hot water")
    hottest = sheet.calc(
        "Hottest that the taps can get, without a valve",
        TEMPERATURE,
        lambda t, tank: np.maximum(t, tank),
        sheet.take("Hottest water on the run", Pick(making.pumps.pressures.hottest, making.pipes.sheet.names, needs.run)),
        needs.stored,
        when=taps,
    )
    wanted.add(
        sheet,
        "safety",
        "Scalding: a mixing valve at the taps",
        "a listed mixing valve set to {120 °F|49 °C} or less; test it",
        hottest,
        limit("limits", "highest hot water without a valve"),
        lambda x, w, valve: np.where((x > w) & (valve == "no"), FAIL, PASS),
        units.mixing_valve,
        when=taps,
    )
    wanted.add(
        sheet,
        "safety",
        "Water on the domestic side",
        "a cooler boiler or a limiting control",
        hottest,
        limit("limits", "failing hot water temperature"),
        lambda x, w: np.where(x > w, FAIL, PASS),
        when=taps,
    )
    tank = sheet.calc(
        "Stored at",
        TEMPERATURE,
        lambda t, v: t * 1.0,
        needs.stored,
        needs.tank,
        when=kind_is(units.heated_by, "coil in tank", "side-arm", "plate then tank"),
    )
    wanted.add(
        sheet,
        "safety",
        "Storage against bacteria",
        "store at {140 °F|60 °C} and mix down at the taps",
        tank,
        limit("limits", "lowest stored temperature"),
        lambda x, w: np.where(x >= w - 1e-6, PASS, REMARK),
    )
    tub = sheet.calc("Tub kept at", TEMPERATURE, lambda t: t * 1.0, needs.tub_set, when=kind_is(needs.kind, "tub"))
    wanted.add(
        sheet,
        "safety",
        "Tub no hotter than is safe",
        "set it lower, and guard it with a limit of its own",
        tub,
        limit("limits", "highest tub temperature"),
        lambda x, w: np.where(x <= w + 1e-6, PASS, FAIL),
    )
    return _in_order(wanted, sheet)


def _approach(making: Making, sheet: Sheet) -> Row:
    """Boiler water in less heated water out, for every exchanger before a building's loop, with what it takes on the night."""
    case, units = making.settled.case, making.units
    exchanged = sheet.take("Effectiveness × smaller capacity rate", SameColumn(making.takes.exchanged))
    return sheet.calc(
        "Approach",
        TEMPERATURE_DIFFERENCE,
        lambda q, ec, c: over(q, ec) - over(q, c),
        case.taken,
        exchanged,
        units.second_rate,
        when=kind_is(units.behind, "yes"),
        words="taken / (effectiveness × smaller capacity rate), the water less what comes back from the loop, "
        "less taken / capacity rate of the loop, by which it is warmed",
    )


def _in_order(wanted: Requirements, sheet: Sheet) -> Row:
    """The water goes from column to column: a load beside another is read as beside the one before it."""
    making = wanted.making
    with sheet.chain() as left:
        sheet.heading("Place among the loads")
        run = sheet.take("On run", SameColumn(making.needs.run))
        sheet.take("Load", SameColumn(making.needs.sheet.names))
        beside = sheet.take("Side by side with", SameColumn(making.shares.parallel))
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
            left("Side by side with", None),
            shows="whole",
        )
    wanted.add(
        sheet,
        "heat",
        "Loads side by side stand so",
        "the columns of loads that share the flow next to one another, the one that the others name first",
        strange,
        None,
        lambda x: np.where(x > 0, FAIL, PASS),
    )
    return begins
