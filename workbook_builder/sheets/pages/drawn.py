"""Each chart of the book: from which cells it is drawn, and its titles."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from hydrocalc.measures import System
from workbook_builder.table.vocabulary import MONTHS

from .chart_parts import (
    BAR,
    BARE,
    COMMAS,
    LIGHT,
    PLAIN,
    Axis,
    Drawing,
    Look,
    across,
    cell,
    chart,
    columns,
    down,
    labels_down,
    legend,
    line,
    name_of,
    named,
    points,
)

LEAST_WATER: dict[System, float] = {"us": 40.0, "metric": 0.0}  # where the axis of the water begins: no water that heats is colder
# Freezing stands at the foot of the chart of the cooling boiler; and the steps above it.
FREEZING: dict[System, tuple[float, float]] = {"us": (32.0, 16.0), "metric": (0.0, 10.0)}
YEARS_A_LABEL = 5
SLANTED = {"rotation": -45}
IN_ONE_CHART = 4  # runs at most, so that each has a dash and a marker of its own


def water(of: Drawing, look: Look, runs: Sequence[int]) -> Any:
    """The water along some runs, and bars at what the loads need of it."""
    stations, names = of.sizing.stations, of.context.runs.labels
    one = len(runs) == 1 < len(names)
    made = chart(
        of.writer,
        look,
        {"type": "scatter", "subtype": "straight_with_markers"},
        f"Water along run {names[runs[0]]} on the design night" if one else "Water along each run on the design night",
        Axis(named("distance from the start of the line", stations.distance[0]) + "; its loads a small step apart"),
        Axis(named("water temperature", stations.water[0]), least=LEAST_WATER[of.context.book.system]),
    )
    for place, index in enumerate(runs):
        at = down(stations.distance, index)
        line(made, name_of(stations.water[0], index), at, down(stations.water, index), place, marked=True)
    for place, index in enumerate(runs):
        # Where a run has no such load, its bar lies on the water's mark, in the same color.
        at = down(stations.distance[1 : len(stations.needed) + 1], index)
        points(made, "needed by a load", at, down(stations.needed, index), place, BAR)
    unnamed = [*range(len(runs) + 1, 2 * len(runs))]  # one bar stands for all
    if one:  # one scale for all: what is lowest and highest on any run is in every chart
        for row in (stations.water[0], stations.water[-1], *stations.needed):
            unnamed.append(len(made.series))
            made.add_series({"name": "scale", "categories": across(stations.distance[1]), "values": across(row), **BARE})
    legend(made, look, unnamed)
    return made


def needs(of: Drawing, look: Look) -> Any:
    case = of.sizing.settled.case
    x, y = Axis("load"), Axis(named("heat", case.need), of.thousands, 0)
    made = chart(of.writer, look, {"type": "column"}, "Heat that each load needs and gets on the design night", x, y)
    for style, (name, row) in enumerate((("need", case.need), ("delivered", case.taken))):
        columns(made, name, across(case.sheet.names), across(row), style)
    return made


def load_by_temperature(of: Drawing, look: Look) -> Any:
    curves = of.sizing.curves
    x = Axis(named("outdoor temperature", curves.outdoor), more={"crossing": "min"})
    y = Axis(named("heat", curves.load), of.thousands, 0)
    made = chart(of.writer, look, {"type": "scatter", "subtype": "straight"}, "Boiler output against load", x, y)
    for style, (name, row) in enumerate((("load", curves.load), ("rated output", curves.output), ("sustained output", curves.sustained))):
        line(made, name, across(curves.outdoor), across(row), style)
    return made


def cool_down(of: Drawing, look: Look) -> Any:
    cooling = of.sizing.curves.cool_down
    x = Axis(named("time since fire and circulator stopped", cooling.hours), COMMAS, 0)
    foot, step = FREEZING[of.context.book.system]
    y = Axis(named("water temperature", cooling.water), least=foot, more={"major_unit": step})
    made = chart(of.writer, look, {"type": "scatter", "subtype": "smooth"}, "Power failure: the boiler cools down to freezing", x, y)
    line(made, cell(cooling.name), across(cooling.hours), across(cooling.water), 0)
    return made


def heat_by_month(of: Drawing, look: Look) -> Any:
    cords = of.sizing.cords
    x, y = Axis("month", more={"num_font": {**look.small, **SLANTED}}), Axis(named("heat", cords.loads[0]), COMMAS, 0)
    made = chart(of.writer, look, {"type": "column", "subtype": "stacked"}, "Where the heat goes, by month", x, y)
    parts = (("loads", cords.loads), ("line losses", cords.lines), ("standby: the boiler's jacket", cords.jackets))
    for style, (name, rows) in enumerate(parts):
        assert len(rows) == len(MONTHS)
        columns(made, name, labels_down(rows), down(rows), style)
    return made


def cords_by_month(of: Drawing, look: Look) -> Any:
    rows = of.sizing.cords.cords
    x, y = Axis("month", more={"num_font": {**look.small, **SLANTED}}), Axis(named("wood", rows[0]), COMMAS, 0)
    made = chart(of.writer, look, {"type": "column"}, "Cords by month", x, y)
    columns(made, "cords", labels_down(rows), down(rows), 0)
    made.set_legend({"none": True})
    return made


def ahead(of: Drawing, look: Look) -> Any:
    """Of the years on the sheet, those that the boiler lasts."""
    rows = of.sizing.money.cumulative
    life = of.context.inputs.by_key["money|life"].used
    if isinstance(life, float):
        rows = rows[: max(1, math.floor(life)) + 1]
    x = Axis("year", more={"interval_unit": YEARS_A_LABEL, "interval_tick": YEARS_A_LABEL})
    y = Axis(named("saved less the installed cost", rows[0]), COMMAS)
    made = chart(of.writer, look, {"type": "line"}, "Cumulative saving with wood against today's fuels, at today's worth", x, y)
    line(made, cell(of.sizing.curves.money_name), labels_down(rows), down(rows), 0)
    return made


def circulator(of: Drawing, look: Look, index: int) -> Any:
    """Its curve below that of the run, so that the run's hides it where none is typed."""
    run, pipes, pumps = of.sizing.curves.runs[index], of.sizing.pipes, of.sizing.pumps
    x, y = Axis(named("flow", run.flow), least=0), Axis(named("head", run.system), least=0)
    made = chart(of.writer, look, {"type": "scatter", "subtype": "smooth"}, cell(run.title), x, y)
    line(made, cell(run.curve_name), across(run.flow), across(run.curve), 1)
    line(made, "run", across(run.flow), across(run.system), 0)
    points(made, "design flow", cell(pipes.flow, index), cell(pipes.head, index), 2)
    points(made, "flow calculated with", cell(pumps.flow, index), cell(pumps.head, index), 0, "x")
    return made


def sizes(of: Drawing, look: Look, index: int) -> Any:
    """Head loss as columns and, by the axis on the right, the velocity as marks."""
    tubes, run = of.sizing.pipes.side_by_side, of.sizing.curves.runs[index]
    there = sum(of.context.book.values[row][index] != "" for row in tubes.sizes) or len(tubes.sizes)
    at = down(tubes.sizes[:there], index)
    x, y = Axis("nominal size of the tube: inches, or mm outside"), Axis(named("head loss", tubes.gradient[0]), PLAIN, 0)
    made = chart(of.writer, look, {"type": "column"}, cell(run.sizes_title), x, y)
    labels = {"value": True, "num_format": "0.0", "font": look.small, "position": "inside_base"}
    # Without a frame, which would strike through the figure of a low column.
    plain = {"fill": {"color": LIGHT}, "border": {"none": True}, "data_labels": labels}
    columns(made, cell(run.size_taken), at, down(tubes.gradient[:there], index), 0, **plain)
    marks = of.writer.workbook.add_chart({"type": "line"})
    line(marks, "velocity (right)", at, down(tubes.velocity[:there], index), 1, marked=True, y2_axis=True)
    made.combine(marks)
    marks.set_y2_axis(Axis(named("velocity", tubes.velocity[0]), PLAIN, 0).options(look) | {"label_position": "next_to"})
    return made
