"""Rows that are worked out for the requirements of a run alone."""

from __future__ import annotations

import numpy as np

from hydrocalc import liquids, pressure
from hydrocalc.measures import COUNT, FRACTION, PRESSURE, RATIO, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import CountWhere, Pick
from workbook_builder.model.references import CountOf, FirstGiven, SameColumn, Says, Unguarded, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.sheets.sizing.boiler import FILL_TEMPERATURE
from workbook_builder.sheets.sizing.cascade import THROUGH
from workbook_builder.sheets.sizing.context import over
from workbook_builder.table.vocabulary import BOILER, BRANCHING

from .rules import Judging, OfJob

GRAVITY = 9.80665  # m/s², standard
LEAST_APART = 1e-5  # of the larger: less is the rounding of numbers that cancel
SAME = 1e-6  # of a share of antifreeze


def way_to_the_boiler(at: Judging) -> Row:
    """Loads and flows are handed on over so many branchings and no more; what lies beyond, or in a circle, would be left out."""
    sheet, pipes = at.sheet, at.sizing.pipes
    sheet.heading("Runs on the way to the boiler")
    given_by = _given_by(at)
    away = sheet.calc("None: it starts there", COUNT, lambda: 0.0, when=kind_is(pipes.starts_at, BOILER), shows="whole", words="0")
    for depth in range(1, BRANCHING + 1):
        before = sheet.take(f"Of the run that it starts on, at most {depth - 1}", Pick(away, sheet.names, given_by), shows="whole")
        more = sheet.calc("One more than that", COUNT, lambda n: n + 1, before, shows="whole")
        away = sheet.take(f"Runs between, at most {depth}", FirstGiven((away, more)), shows="whole")
    return sheet.take("A way was found", CountOf((away,)), shows="whole")


def _given_by(at: Judging) -> Row:
    """The run that gives the water; blank where no flow can go on: it does once, behind the load next to it."""
    sheet, start = at.sheet, at.sizing.pipes.start
    if start.before is None or start.after is None:
        return start.on
    network = at.sizing.network
    branches = sheet.take("Runs that start at its end", CountWhere(start.at, sheet.names), shows="whole")
    goes_on = sheet.calc(
        "Run whose flow goes on here, as it can",
        None,
        lambda run, first, here, there, again: np.where((first == THROUGH) & (here + there == 0) & (again == ""), run, ""),
        start.before,
        Unguarded(sheet.take("Place of its first load", Pick(network.shares.place, network.needs.run, sheet.names))),
        branches,
        sheet.take("Runs that start at the end of that run", Pick(branches, sheet.names, start.before), shows="whole"),
        Unguarded(sheet.take("Run whose flow goes on into that run", Pick(start.before, sheet.names, start.before))),
        words="where its first load stands next to the load, that run's flow has not gone on before, and nothing branches off",
    )
    return sheet.take("Run that gives the water, as it can", FirstGiven((goes_on, start.at)))


def apart(at: Judging) -> Row:
    pumps = at.sizing.pumps
    return at.sheet.calc(
        "Circulator's head less the run's, over the larger",
        FRACTION,
        lambda a, b: np.floor(over(np.abs(a - b), np.maximum(a, b)) / LEAST_APART + 0.5) * LEAST_APART,
        at.sheet.take("Head of the circulator at the flow", SameColumn(pumps.meeting.head)),
        at.sheet.take("Head of the run at the flow", SameColumn(pumps.head)),
    )


def over_design(at: Judging) -> Row:
    pipes, pumps = at.sizing.pipes, at.sizing.pumps
    return at.sheet.calc("Flow over the design flow", RATIO, over, pumps.flow, pipes.flow)


def wet(at: Judging) -> Row:
    return at.sheet.calc(
        "Jacket wet (1: yes)",
        COUNT,
        lambda c: np.where(c == "wet", 1.0, 0.0),
        at.sizing.ground.condition,
        when=at.sizing.ground.trench.buried,
    )


def another_liquid(at: Judging) -> Row:
    """The approach of the exchanger at the start; in a book without rows for one, 1 where the liquid asks for it."""
    pipes, start = at.sizing.pipes, at.sizing.ground.at_start
    if pipes.parted is not None and start is not None:
        lines = at.sizing.night.lines
        at.sheet.heading("The exchanger at the start of a run")
        return at.sheet.calc(
            "Supply where it starts less the supply into the line",
            TEMPERATURE_DIFFERENCE,
            lambda k, q, c: k * over(q, c),
            *(start.fall, lines.entering, at.sizing.ground.rate),
            when=Says(pipes.parted.so),
        )
    at.sheet.heading("Liquid of the run")
    another = at.sheet.calc(
        "Another liquid or another strength than the boiler's (1: yes)",
        COUNT,
        lambda a, b, x, y: np.where((a == b) & (np.abs(x - y) <= SAME), 0.0, 1.0),
        pipes.liquid,
        at.context.job("liquid", "kind"),
        pipes.fraction,
        at.sizing.site.fraction,
        shows="whole",
    )
    return at.sheet.take("Wants an exchanger (1: yes)", Where(another, Says(another)), shows="whole")


def _column(at: Judging) -> Row:
    pipes, against = at.sizing.pipes, at.sizing.pumps.pressures
    cold = at.sheet.line("Density of the liquid at filling", liquids.liquid_density, pipes.liquid, pipes.fraction, FILL_TEMPERATURE)
    return at.sheet.calc(
        "Pressure of the water up to the highest point",
        PRESSURE,
        lambda h, d: GRAVITY * d * np.maximum(h, 0.0),
        against.highest,
        cold,
        when=kind_is(against.system, "closed"),
        words="standard gravity × density × height of the highest point above the boiler's water level",
    )


def pressure_at_top(at: Judging) -> Row:
    column, fill = at.once(_column), at.context.job("boiler", "fill pressure")
    return at.sheet.calc("Gauge pressure at the highest point, cold", PRESSURE, lambda p, c: p - c, fill, column)


def fill_pressure(at: Judging) -> Row:
    least = OfJob("lowest pressure at the highest point")(at)
    return at.sheet.calc("Fill pressure that would do", PRESSURE, lambda c, p: c + p, at.once(_column), least)


def rated_pressure(at: Judging) -> SameColumn:
    family, hottest = at.sizing.pipes.family, at.sizing.pumps.pressures.hottest
    name = "Pressure that the tube may carry at that temperature"
    return SameColumn(at.sheet.line(name, pressure.tube_rated_pressure, family, hottest))


def highest_pressure(at: Judging) -> Row:
    context, sizing = at.context, at.sizing
    return at.sheet.calc(
        "Highest pressure in the tube",
        PRESSURE,
        lambda h, d, relief, system: np.where(system == "closed", relief, 0.0) + GRAVITY * d * np.maximum(0.0 - h, 0.0),
        sizing.pumps.pressures.lowest_height,
        sizing.pipes.density,
        context.job("boiler", "relief pressure"),
        sizing.pumps.pressures.system,
        words="relief pressure of a closed system, and the water above the lowest point",
    )
