"""The worked tables behind the charts that no other sheet holds."""

from __future__ import annotations

from collections import Counter

import numpy as np

from hydrocalc import pumps, storage
from hydrocalc.measures import HEAD, LENGTH, POWER, TEMPERATURE, TIME, VOLUME_FLOW
from workbook_builder.model.aggregates import Across, At
from workbook_builder.model.base import Axis
from workbook_builder.model.captions import Joined, Told
from workbook_builder.model.references import Constant, FirstGiven, Guarded, SameColumn, Unguarded
from workbook_builder.model.rows import Row
from workbook_builder.model.stations import NthOf
from workbook_builder.model.worksheet import Sheet

from .cascade import BESIDE
from .chart_results import CoolDown, Curves, RunCurves, Stations
from .context import Context, over
from .night_results import Balance, Boiler, Network, Night, Settled, Steady
from .results import Cords, Money, Needs, Pipes, Pumps, Site

CHARTS = "Charts"
STEPS = 9
POINTS = Axis("point", tuple(f"{n}" for n in range(1, STEPS + 1)))
PARTS = tuple(n / (STEPS - 1) for n in range(STEPS))
# The curves go on to this multiple of the flow that the job is calculated with, or of the design flow.
FARTHEST, BEYOND_DESIGN = 1.6, 1.1
SHOWN_PLACES = 6  # room for so many loads on each run, whatever the job has: a load that is added by hand finds its place
APART = 0.04  # of the longest line: how far one load after another is shown behind the line's end
LONGEST_CUT = 14 * 24 * 3600.0  # s: where the air never freezes the water, its cooling is shown for two weeks


def make_curves(
    context: Context, site: Site, needs: Needs, pipes: Pipes, pumps: Pumps, boiler: Boiler, cords: Cords, money: Money
) -> Curves:
    """On Charts, folded: load by outdoor temperature, the boiler cooling down, each circulator against its run."""
    sheet = context.book.sheet(CHARTS, POINTS, "Charts")
    with sheet.folded("Workings: the tables behind the charts"):
        outdoor, load, output, sustained = _by_temperature(context, sheet, site, needs, boiler)
        cool_down = _cool_down(context, sheet, site, boiler, cords)
        with sheet.whole_job():
            money_name = sheet.take(
                "Words of the money's chart", Told(money.saving, "money ahead", "no price of a cord, or of today's fuel")
            )
        runs = tuple(_run(sheet, pipes, pumps, index, run) for index, run in enumerate(context.runs.labels))
    return Curves(
        sheet=sheet,
        outdoor=outdoor,
        load=load,
        output=output,
        sustained=sustained,
        cool_down=cool_down,
        money_name=money_name,
        runs=runs,
    )


def _by_temperature(context: Context, sheet: Sheet, site: Site, needs: Needs, boiler: Boiler) -> tuple[Row, Row, Row, Row]:
    """From the design night to the day that needs no heat."""
    design, indoor = context.job("site", "outdoor design temperature"), context.job("site", "indoor temperature")
    sheet.heading("Load by outdoor temperature")
    part = sheet.numbers("Part of the way from the design night to the indoor temperature", PARTS)
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
    output = sheet.take("Rated output", SameColumn(boiler.load.output), shows="whole")
    sustained = sheet.take("Sustained output", SameColumn(boiler.charge.sustained), shows="whole")
    return outdoor, load, output, sustained


def _cool_down(context: Context, sheet: Sheet, site: Site, boiler: Boiler, cords: Cords) -> CoolDown:
    """The boiler's water in a power failure on the design night, from the lower setpoint down to freezing."""
    sheet.heading("The boiler's water in a power failure")
    hours = sheet.calc(
        "Time since the circulator stopped",
        TIME,
        lambda freezes, s: np.minimum(freezes, LONGEST_CUT) * s,
        boiler.power_cut.freezes,
        sheet.numbers("Part of the time until it freezes", PARTS),
        words="part of the hours until it freezes, or of two weeks",
    )
    water = sheet.line(
        "Water of the boiler",
        storage.cooled_temperature,
        context.job("boiler", "water content"),
        context.job("boiler", "lower setpoint"),
        context.job("site", "outdoor design temperature"),
        cords.fire.jacket,
        hours,
        site.density,
        site.specific_heat,
    )
    with sheet.whole_job():
        words = Told(boiler.power_cut.freezes, "water of the boiler", "no jacket surface, or no conductance, typed")
        return CoolDown(hours, water, sheet.take("Words of that chart", words))


def _run(sheet: Sheet, pipes: Pipes, machine: Pumps, index: int, run: str) -> RunCurves:
    """From no flow to beyond the flow that the job is calculated with."""
    sheet.heading(f"Run {run}: circulator against the run")
    part = sheet.numbers(f"Part of its flow, {run}", tuple(FARTHEST * part for part in PARTS))
    flow = sheet.calc(
        f"Flow, {run}",
        VOLUME_FLOW,
        lambda q, design, s: np.maximum(q, design * (BEYOND_DESIGN / FARTHEST)) * s,
        At(machine.flow, index),
        At(pipes.flow, index),
        part,
        words="part of the flow of the line, or of as much as shows the design flow as well",
    )
    linear = FirstGiven(tuple(At(r, index) for r in reversed(machine.meeting.linears)))
    square = FirstGiven(tuple(At(r, index) for r in reversed(machine.meeting.squares)))
    name = At(pipes.sheet.names, index)
    with sheet.whole_job():
        a = sheet.take(f"Linear coefficient of the run, {run}", linear)
        b = sheet.take(f"Square coefficient of the run, {run}", square)
        title = sheet.take(f"Title of the circulator's chart, {run}", Joined(("Circulator against run ", name)))
        sizes_title = sheet.take(f"Title of the sizes' chart, {run}", Joined(("Sizes of tube side by side, run ", name)))
        taken = sheet.take(f"Words of the sizes' chart, {run}", Joined(("head loss; size taken: ", At(pipes.size, index))))
        words = Told(At(machine.meeting.curve[0], index), "circulator", "circulator: no curve typed")
        curve_name = sheet.take(f"Words of the circulator's chart, {run}", words)
    system = sheet.line(f"Head of the run, {run}", pumps.system_head, flow, 0.0, a, b)
    of_curve = (machine.meeting.points[0], *machine.meeting.curve)
    # A cell without a number would stand in a chart as zero.
    curve = sheet.calc(
        f"Head of the circulator, of the run where no curve is typed, {run}",
        HEAD,
        lambda q, run, shutoff, a, b: np.where((a != 0) | (b != 0), np.maximum(shutoff + a * q + b * q**2, 0.0), run),
        flow,
        system,
        *(FirstGiven((At(row, index), Constant(0, row.kind))) for row in of_curve),
        words="shutoff head + linear coefficient × flow + square coefficient × flow², 0 at least; without a curve, the head of the run",
    )
    return RunCurves(
        name=run, flow=flow, system=system, curve=curve, curve_name=curve_name, title=title, sizes_title=sizes_title, size_taken=taken
    )


def make_stations(
    context: Context, curves: Curves, network: Network, steady: Steady, balance: Balance, settled: Settled, night: Night
) -> Stations:
    """On Lines, folded: the water along each run, from where its line starts to behind its last load."""
    sheet = context.sheet("Lines")
    pipes = network.pipes
    with curves.sheet.folded("Workings: the loads in the chart of the water"), curves.sheet.whole_job():
        step = curves.sheet.calc("From load to load", LENGTH, lambda most: most * APART, Guarded(Across(pipes.length, "MAX")))
    with sheet.folded("Workings: the water along each run, for its chart"):
        return _stations(context, sheet, network, steady, balance, settled, night, step)


def _stations(
    context: Context, sheet: Sheet, network: Network, steady: Steady, balance: Balance, settled: Settled, night: Night, step: Row
) -> Stations:
    case, run, length = settled.case, network.needs.run, network.pipes.length
    job = context.inputs.job
    loads_on = Counter(name for load in job.loads if (name := job.value(f"load {load}", "run")) is not None)
    places = range(max([SHOWN_PLACES, *loads_on.values()]))

    def nth(row: Row, place: int) -> NthOf:
        return NthOf(row, run, sheet.names, place)

    sheet.heading("What the water passes")
    begins = network.pipes.start
    start = sheet.calc("Start of the line", None, lambda name: name, begins.at)
    if begins.after is not None:
        start = sheet.take("Start of the line, or the load behind which it lies", FirstGiven((begins.after, begins.at)))
    far = sheet.texts("End of the line", ["line's end"] * len(context.runs.labels))
    loads = [sheet.take(f"Load {n + 1}", nth(case.sheet.names, n)) for n in places]
    sheet.heading("How far that is from the start of the line")
    distance = [
        sheet.numbers("The start", [0.0] * len(context.runs.labels), LENGTH),
        sheet.take("The line's end, the first load", FirstGiven((length, Constant(0, LENGTH)))),
    ]
    for n in places:
        behind_it = sheet.calc(
            f"Behind load {n + 1}",
            LENGTH,
            lambda name, next_one, before, more: np.where((name == "") | (next_one == BESIDE), before, before + more),
            Unguarded(loads[n]),
            nth(network.shares.place, n + 1),
            distance[-1],
            step,
            words="a step farther; no step where the next load is in parallel, or where the run has no such load",
        )
        distance.append(behind_it)
    sheet.heading("Temperature of the water there")
    into = FirstGiven((night.lines.inlet, balance.water))
    water = [
        sheet.take("Into the line", into, words="into the line; while nothing is known of the run, the water at the boiler"),
        sheet.take("At the line's end", FirstGiven((night.lines.arrival, balance.water))),
    ]
    for n in places:
        words = "the run's water after that load; as before where the run has no such load"
        water.append(sheet.take(f"After load {n + 1}", FirstGiven((nth(case.after, n), water[-1])), words=words))
    sheet.heading("Water that the loads need")
    words = "the supply water needed; where there is no such load, the water there, which hides it in the chart"
    needed = [sheet.take(f"Needed by load {n + 1}", FirstGiven((nth(steady.lowest, n), water[n + 1])), words=words) for n in places]
    return Stations(sheet, (start, far, *loads), tuple(distance), tuple(water), tuple(needed))
