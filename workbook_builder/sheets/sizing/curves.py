"""Curves: the worked tables behind the charts that no other sheet holds."""

from __future__ import annotations

from collections import Counter

import numpy as np

from hydrocalc import pumps
from hydrocalc.measures import HEAD, POWER, TEMPERATURE, VOLUME_FLOW
from workbook_builder.model.aggregates import Across, At
from workbook_builder.model.base import Axis
from workbook_builder.model.references import FirstGiven, SameColumn
from workbook_builder.model.stations import NthOf
from workbook_builder.model.worksheet import Sheet

from .context import Context, over
from .night_results import Boiler, Network, Night, Settled
from .results import Curves, Needs, Pumps, RunCurves, Site, Stations

CHARTS = "Charts"
STEPS = 9
POINTS = Axis("point", tuple(f"{n}" for n in range(1, STEPS + 1)))
# The curves go on to this multiple of the flow that the job is reckoned with.
FARTHEST = 1.6
SHOWN_PLACES = 8  # room for so many loads on each run, whatever the job has: a load that is added by hand finds its place


def make_curves(context: Context, site: Site, needs: Needs, pumps: Pumps, boiler: Boiler) -> Curves:
    """The sheet Curves: from the design night to the day that needs no heat; from no flow to beyond the operating flow."""
    sheet = context.book.sheet(CHARTS, POINTS, "Charts")
    with sheet.folded("Workings: the tables behind the charts"):
        return _curves(context, sheet, site, needs, pumps, boiler)


def _curves(context: Context, sheet: Sheet, site: Site, needs: Needs, pumps: Pumps, boiler: Boiler) -> Curves:
    design, indoor = context.job("site", "outdoor design temperature"), context.job("site", "indoor temperature")
    sheet.heading("Load by outdoor temperature")
    step = np.arange(STEPS) / (STEPS - 1)
    part = sheet.numbers("Part of the way from the design night to the indoor temperature", tuple(float(s) for s in step))
    outdoor = sheet.calc("Outdoor temperature", TEMPERATURE, lambda a, b, s: a + (b - a) * s, design, indoor, part)
    buildings = sheet.take("Buildings at the design night", Across(needs.design_loss, "SUM"))
    whole = sheet.take("Load of the boiler at the design night", SameColumn(boiler.load.needed))
    load = sheet.calc(
        "Load of the boiler",
        POWER,
        lambda total, q, t, room, difference: total - q * (1 - over(room - t, difference)),
        whole,
        buildings,
        outdoor,
        indoor,
        site.difference,
        shows="whole",
        words="what the buildings lose falls with the difference between indoors and outdoors; all else stays",
    )
    output = sheet.take("Rated output", context.job("boiler", "rated output"), shows="whole")
    sustained = sheet.take("Sustained output", SameColumn(boiler.charge.sustained), shows="whole")
    runs = tuple(_run(sheet, pumps, index, run) for index, run in enumerate(context.runs.labels))
    return Curves(sheet=sheet, outdoor=outdoor, load=load, output=output, sustained=sustained, runs=runs)


def _run(sheet: Sheet, machine: Pumps, index: int, run: str) -> RunCurves:
    sheet.heading(f"Run {run}: circulator against the run")
    farthest = tuple(FARTHEST * n / (STEPS - 1) for n in range(STEPS))
    part = sheet.numbers(f"Part of its flow, {run}", farthest)
    flow = sheet.calc(f"Flow, {run}", VOLUME_FLOW, lambda q, s: q * s, At(machine.flow, index), part)
    linear = FirstGiven(tuple(At(r, index) for r in reversed(machine.meeting.linears)))
    square = FirstGiven(tuple(At(r, index) for r in reversed(machine.meeting.squares)))
    with sheet.whole_job():
        a = sheet.take(f"Linear coefficient of the run, {run}", linear)
        b = sheet.take(f"Square coefficient of the run, {run}", square)
    system = sheet.line(f"Head of the run, {run}", pumps.system_head, flow, 0.0, a, b)
    of_curve = (machine.meeting.points[0], *machine.meeting.curve)
    curve = sheet.calc(
        f"Head of the circulator, {run}",
        HEAD,
        lambda q, shutoff, a, b: shutoff + a * q + b * q**2,
        flow,
        *(At(row, index) for row in of_curve),
        words="shutoff head + linear coefficient × flow + square coefficient × flow²",
    )
    return RunCurves(run, flow, system, curve)


def make_stations(context: Context, network: Network, settled: Settled, night: Night) -> Stations:
    """The sheet Stations: the water along each run, from where its line starts to behind its last load."""
    sheet = context.sheet("Lines")
    with sheet.folded("Workings: the water along each run, for its chart"):
        return _stations(context, sheet, network, settled, night)


def _stations(context: Context, sheet: Sheet, network: Network, settled: Settled, night: Night) -> Stations:
    case, run = settled.case, network.needs.run
    job = context.inputs.job
    loads_on = Counter(name for load in job.loads if (name := job.value(f"load {load}", "run")) is not None)
    places = range(max([SHOWN_PLACES, *loads_on.values()]))
    sheet.heading("What the water passes")
    start = sheet.calc("Start of the line", None, lambda name: name, network.pipes.starts_at)
    far = sheet.texts("End of the line", ["line's end"] * len(context.runs.labels))
    loads = [sheet.take(f"Load {n + 1}", NthOf(case.sheet.names, run, sheet.names, n)) for n in places]
    sheet.heading("Temperature of the water there")
    water = [
        sheet.take("Into the line", SameColumn(night.lines.inlet)),
        sheet.take("At the line's end", SameColumn(night.lines.arrival)),
    ]
    for n in places:
        words = "the run's water after that load; as before where the run has no such load"
        behind = FirstGiven((NthOf(case.after, run, sheet.names, n), water[-1]))
        water.append(sheet.take(f"After load {n + 1}", behind, words=words))
    return Stations(sheet, (start, far, *loads), tuple(water))
