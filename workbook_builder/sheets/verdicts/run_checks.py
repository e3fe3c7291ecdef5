"""Checks of each run: flow, tube, line, pressure against boiling."""

from __future__ import annotations

import numpy as np

from hydrocalc import liquids, pressure
from hydrocalc.measures import COUNT, FRACTION, PRESSURE
from workbook_builder.model.aggregates import Pick, SumWhere
from workbook_builder.model.references import Constant, CountOf, FirstGiven, Holds, SameColumn, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.sheets.sizing.boiler import FILL_TEMPERATURE
from workbook_builder.table.vocabulary import BOILER, BRANCHING

from .remedies import Remedy
from .requirements import FAIL, PASS, REMARK, WHOLE, Requirements

GRAVITY = 9.80665  # m/s², standard
APART = 1.0  # %: what the fits of both curves leave is a tenth of this
LEAST_HEAD = 1e-6  # m
LEAST_APART = 1e-5  # of the larger: less is the rounding of numbers that cancel
LEAST_PRESSURE = 1.0  # Pa: a fill pressure as proposed does, whatever the rounding of its arithmetic
PRESSURE_STEP = (1.0, 5.0)  # psi, kPa
SAME = 1e-6  # of a share of antifreeze


def judge_runs(wanted: Requirements, begins: Row) -> None:
    """The sheet RunChecks, with the row that says at which loads those of a run begin."""
    making = wanted.making
    sheet = making.book.sheet("RunChecks", making.runs, "Checks of each run")
    pumps, pipes, lines, night = making.pumps, making.pipes, making.ground, making.night
    against = pumps.pressures
    limit = making.job
    groups = sheet.take("Places where its loads begin", SumWhere(begins, making.needs.run, sheet.names), shows="whole")
    wanted.add(
        sheet,
        "heat",
        "Loads of a run stand together",
        "the columns of its loads next to one another, in the order in which the water meets them",
        groups,
        None,
        lambda x: np.where(x > 1, FAIL, PASS),
    )
    wanted.complete(
        sheet,
        "Nothing about a run is missing",
        (pumps.flow, pumps.head, lines.loss, making.returns.loss, making.line_year.year),
        Holds(pipes.load),  # a run on which nothing hangs has no water to reckon with
    )
    wanted.named(sheet, Holds(pipes.length))
    _reaches_the_boiler(wanted, sheet)
    wanted.in_order(sheet, "run", Holds(pipes.length))
    wanted.add(
        sheet,
        WHOLE,
        "The line can be as it is described",
        "a jacket wide enough for its tubes and covered by the ground; tubes beside one another",
        lines.laid.faults,
        None,
        lambda x: np.where(x > 0, FAIL, PASS),
    )
    wanted.add(
        sheet,
        "runs",
        "The circulator makes the flow",
        "a stronger circulator or a larger tube",
        pumps.flow,
        SameColumn(pipes.flow),
        lambda x, w: np.where(x >= w * 0.98, PASS, FAIL),
    )
    met = sheet.calc(
        "Circulator's head less the run's, over the larger",
        FRACTION,
        lambda a, b: np.floor(np.abs(a - b) / np.maximum(np.maximum(a, b), LEAST_HEAD) / LEAST_APART + 0.5) * LEAST_APART,
        sheet.take("Head of the circulator at the flow", SameColumn(pumps.meeting.head)),
        sheet.take("Head of the run at the flow", SameColumn(pumps.head)),
    )
    wanted.add(
        sheet,
        "runs",
        "The circulator's curve meets the run at the flow",
        "another circulator, or a larger tube: at this flow the water is neither laminar nor turbulent for long, and no figure of it holds",
        met,
        Constant(APART, FRACTION),
        lambda x, w: np.where(x > w, FAIL, PASS),
    )
    wanted.add(
        sheet,
        "runs",
        "Branches take no more than the run carries",
        "a stronger circulator on the run that they start on, or less flow in them",
        pumps.branches,
        SameColumn(pumps.flow),
        lambda x, w: np.where(x > w * 1.001, FAIL, PASS),
    )
    wanted.add(
        sheet,
        "runs",
        "Velocity not too high",
        "a larger tube or less flow",
        pumps.velocity,
        SameColumn(pipes.highest_velocity),
        lambda x, w, most: np.where(x > most, FAIL, np.where(x > w * 1.001, REMARK, PASS)),
        limit("limits", "failing velocity"),
    )
    wanted.add(
        sheet,
        "runs",
        "Velocity not too low",
        "a smaller tube, or air vents at every high point",
        pumps.velocity,
        limit("limits", "lowest velocity"),
        lambda x, w: np.where(x < w, REMARK, PASS),
    )
    wanted.add(
        sheet,
        "runs",
        "Head gradient",
        "a larger tube; a remark only, if the circulator makes the flow",
        pumps.gradient,
        SameColumn(pipes.highest_gradient),
        lambda x, w: np.where(x > w * 1.001, REMARK, PASS),
    )
    wanted.add(
        sheet,
        "runs",
        "Head gradient not too low",
        "a smaller tube would do; a remark only",
        pumps.gradient,
        limit("limits", "lowest head gradient"),
        lambda x, w: np.where(x < w, REMARK, PASS),
    )
    wanted.add(
        sheet,
        "lines",
        "Temperature lost by the supply",
        "a better or dry line, or more flow",
        night.gradient,
        limit("limits", "line temperature loss"),
        lambda x, w: np.where(x > w, REMARK, PASS),
    )
    wanted.add(
        sheet,
        "lines",
        "Loss on the design night, over what enters",
        "a better line; see Lines",
        night.lines.share,
        limit("limits", "line loss of the design load"),
        lambda x, w: np.where(x > w, REMARK, PASS),
    )
    dry = sheet.calc("Jacket wet (1: yes)", COUNT, lambda c: np.where(c == "wet", 1.0, 0.0), lines.condition)
    wanted.add(
        sheet,
        "lines",
        "Jacket dry",
        "a sealed jacket, drainage of the trench; replace a soaked line",
        dry,
        None,
        lambda x: np.where(x > 0, FAIL, PASS),
    )
    _one_liquid(wanted, sheet)
    open_system, closed = kind_is(against.system, "open"), kind_is(against.system, "closed")
    wanted.add(
        sheet,
        "water",
        "Highest point below boiling, circulator stopped",
        "a lower route, a closed system, or cooler water",
        against.top_margin,
        None,
        lambda x: np.where(x <= 0, FAIL, PASS),
    )
    wanted.add(
        sheet,
        "water",
        "High point of an open system",
        "a route below the water level, or an air vent that is kept shut when open to suction",
        against.highest,
        None,
        lambda x: np.where(x > 0, REMARK, PASS),
        when=open_system,
    )
    least = limit("limits", "lowest pressure at the highest point")
    cold = sheet.line("Density of the liquid at filling", liquids.liquid_density, pipes.liquid, pipes.fraction, FILL_TEMPERATURE)
    column = sheet.calc(
        "Pressure of the water up to the highest point",
        PRESSURE,
        lambda h, d: GRAVITY * d * np.maximum(h, 0.0),
        against.highest,
        cold,
        when=closed,
        words="standard gravity × density × height of the highest point above the boiler's water level",
    )
    at_top = sheet.calc(
        "Gauge pressure at the highest point, cold", PRESSURE, lambda p, c: p - c, making.job("boiler", "fill pressure"), column
    )
    fill = sheet.calc("Fill pressure that would do", PRESSURE, lambda c, p: c + p, column, least)
    wanted.add(
        sheet,
        "water",
        "Pressure at the highest point of a closed system, cold",
        Remedy("a fill pressure of at least {figure}, with a tank and a relief valve for it, or a lower route", fill, PRESSURE_STEP),
        at_top,
        least,
        lambda x, w: np.where(x < w - LEAST_PRESSURE, FAIL, PASS),
    )
    margin = limit("limits", "suction margin")
    wanted.add(
        sheet,
        "water",
        "Suction head beyond the circulator's own",
        "the circulator near the boiler's supply and low; a shorter suction",
        against.suction_margin,
        margin,
        lambda x, w: np.where(x < w, FAIL, PASS),
    )
    allowed = sheet.line(
        "Pressure that the tube may carry at that temperature", pressure.tube_rated_pressure, pipes.family, against.hottest
    )
    highest = sheet.calc(
        "Highest pressure in the tube",
        PRESSURE,
        lambda h, d, relief, system: np.where(system == "closed", relief, 0.0) + GRAVITY * d * np.maximum(0.0 - h, 0.0),
        against.lowest_height,
        pipes.density,
        making.job("boiler", "relief pressure"),
        making.job("boiler", "system"),
        words="relief pressure of a closed system, and the water above the lowest point",
    )
    wanted.add(
        sheet,
        "water",
        "Tube within its pressure at its temperature",
        "another tube, or cooler water",
        highest,
        SameColumn(allowed),
        lambda x, w: np.where(x > w, FAIL, PASS),
    )


def _one_liquid(wanted: Requirements, sheet: Sheet) -> None:
    """All runs are fed with the boiler's own water: what is filled with another liquid would want an exchanger at its start."""
    pipes, site = wanted.making.pipes, wanted.making.site
    sheet.heading("Liquid of the run")
    other = sheet.calc(
        "Another liquid or another strength than the boiler's (1: yes)",
        COUNT,
        lambda a, b, x, y: np.where((a == b) & (np.abs(x - y) <= SAME), 0.0, 1.0),
        pipes.liquid,
        wanted.making.job("liquid", "kind"),
        pipes.fraction,
        site.fraction,
        shows="whole",
    )
    wanted.add(
        sheet,
        WHOLE,
        "The run holds the boiler's liquid",
        "the boiler's liquid in this run: an exchanger between the two is not worked out here",
        other,
        None,
        lambda x: np.where(x > 0, FAIL, PASS),
        when=Holds(pipes.length),
    )


def _reaches_the_boiler(wanted: Requirements, sheet: Sheet) -> None:
    """Loads and flows are handed on over so many branchings and no more; what lies beyond, or in a circle, would be left out."""
    pipes = wanted.making.pipes
    sheet.heading("Runs on the way to the boiler")
    away = sheet.calc("None: it starts there", COUNT, lambda: 0.0, when=kind_is(pipes.starts_at, BOILER), shows="whole", words="0")
    for depth in range(1, BRANCHING + 1):
        before = sheet.take(f"Of the run that it starts on, at most {depth - 1}", Pick(away, sheet.names, pipes.starts_at), shows="whole")
        more = sheet.calc("One more than that", COUNT, lambda n: n + 1, before, shows="whole")
        away = sheet.take(f"Runs between, at most {depth}", FirstGiven((away, more)), shows="whole")
    wanted.add(
        sheet,
        WHOLE,
        "Every run starts at the boiler in the end",
        f"another place for its start: at most {BRANCHING} runs lie between a run and the boiler, and none in a circle",
        sheet.take("A way was found", CountOf((away,)), shows="whole"),
        None,
        lambda x: np.where(x < 1, FAIL, PASS),
        when=Holds(pipes.length),
    )
