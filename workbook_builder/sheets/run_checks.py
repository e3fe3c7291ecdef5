"""Checks of each run: flow, tube, line, pressure against boiling."""

from __future__ import annotations

import numpy as np

from hydrocalc import pressure
from hydrocalc.measures import COUNT, PRESSURE

from ..gathering import Pick, SumWhere
from ..references import CountOf, FirstGiven, Holds, SameColumn, kind_is
from ..vocabulary import BOILER, BRANCHING
from ..worksheet import Sheet
from .requirements import FAIL, PASS, REMARK, WHOLE, Requirements


def judge_runs(wanted: Requirements) -> None:
    """The sheet RunChecks."""
    making = wanted.making
    sheet = making.book.sheet("RunChecks", making.runs, "Checks of each run")
    pumps, pipes, lines, returns = making.pumps, making.pipes, making.ground, making.returns
    limit = making.job
    groups = sheet.take("Places where its loads begin", SumWhere(making.needs.begins, making.needs.run, sheet.names), shows="whole")
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
        (pumps.flow, pumps.head, lines.loss, returns.loss, lines.year),
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
        SameColumn(pumps.wanted),
        lambda x, w: np.where(x >= w * 0.98, PASS, FAIL),
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
        lines.gradient,
        limit("limits", "line temperature loss"),
        lambda x, w: np.where(x > w, REMARK, PASS),
    )
    wanted.add(
        sheet,
        "lines",
        "Loss on the design night, over what enters",
        "a better line; see Lines",
        returns.share,
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
    open_system = kind_is(pumps.system, "open")
    wanted.add(
        sheet,
        "water",
        "Highest point below boiling, circulator stopped",
        "a lower route, a closed system, or cooler water",
        pumps.top_margin,
        None,
        lambda x: np.where(x <= 0, FAIL, PASS),
    )
    wanted.add(
        sheet,
        "water",
        "High point of an open system",
        "a route below the water level, or an air vent that is kept shut when open to suction",
        pumps.highest,
        None,
        lambda x: np.where(x > 0, REMARK, PASS),
        when=open_system,
    )
    margin = limit("limits", "suction margin")
    wanted.add(
        sheet,
        "water",
        "Suction head beyond the circulator's own",
        "the circulator near the boiler's supply and low; a shorter suction",
        pumps.suction_margin,
        margin,
        lambda x, w: np.where(x < w, FAIL, PASS),
    )
    allowed = sheet.line("Pressure that the tube may carry at that temperature", pressure.tube_rated_pressure, pipes.family, pumps.hottest)
    highest = sheet.calc(
        "Highest pressure in the tube",
        PRESSURE,
        lambda h, d, relief, system: np.where(system == "closed", relief, 0.0) + 9.80665 * d * np.maximum(0.0 - h, 0.0),
        pumps.lowest_height,
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
