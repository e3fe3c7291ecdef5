"""Pumps: where each circulator's curve meets its run, the flow that follows, suction and boiling, and the current it takes."""

from __future__ import annotations

import numpy as np

from hydrocalc import flow, friction, liquids, pressure, pumps
from hydrocalc.measures import HEAD, LENGTH, PRESSURE, TEMPERATURE, VOLUME_FLOW
from workbook_builder.model.aggregates import SumWhere
from workbook_builder.model.references import FirstGiven, Holds, Where
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import INDOORS

from .context import Context, over
from .pipes import at_its_start, generation, going_on, same_flow
from .results import Meeting, Pipes, Pressures, Pumps, Site

# The curve of the run is refitted so often about the flow found; what is left after that is under one part in a thousand.
REFITS = 2
# The second point of the run's curve lies this share below the first.
SECOND_POINT = 0.9
LEAST_PART = 0.01  # of the flow asked: a curve that meets the run at no flow at all leaves nothing to fit about
LEAST_FLOW = 1e-9  # m³/s: a run whose branches take all its flow keeps this for its own loads


def make_pumps(context: Context, site: Site, pipes: Pipes) -> Pumps:
    """The sheet Pumps."""
    sheet = context.sheet("Pumps")
    meeting = _meeting(context, sheet, pipes)
    through, branches = _flow(context, sheet, pipes, meeting.flow)
    own_flow = sheet.calc("Flow to this run's own loads", VOLUME_FLOW, lambda q, b: np.maximum(q - b, LEAST_FLOW), through, branches)
    head, gradient = _head_at(sheet, pipes, through, ", as calculated")
    velocity = sheet.line("Velocity", flow.velocity_from_flow, through, pipes.bore)
    power = context.fetched(sheet, "circulator power")
    return Pumps(
        sheet=sheet,
        meeting=meeting,
        flow=through,
        branches=branches,
        own_flow=own_flow,
        head=head,
        gradient=gradient,
        velocity=velocity,
        power=power,
        pressures=_pressures(context, sheet, site, pipes, head),
    )


def _head_at(sheet: Sheet, pipes: Pipes, at: Row, which: str) -> tuple[Row, Row]:
    """Head and head loss per length of a whole run at any flow of its line."""
    at = same_flow(sheet, pipes.start, at, f"Flow, as it goes on{which}")
    velocity = sheet.line(f"Velocity{which}", flow.velocity_from_flow, at, pipes.bore)
    reynolds = sheet.line(
        f"Reynolds number{which}", friction.reynolds_number, velocity, pipes.bore, pipes.density, pipes.viscosity, shows="whole"
    )
    factor = sheet.line(f"Friction factor{which}", friction.friction_factor, reynolds, pipes.relative)
    gradient = sheet.line(f"Head loss per length{which}", friction.head_gradient, velocity, pipes.bore, factor)
    # A fitting takes a multiple of the velocity head: the length of tube that stands for it changes with the friction factor.
    counted = sheet.calc(
        f"Equivalent length from the counts{which}", LENGTH, lambda k, d, f: over(k * d, f), pipes.coefficient, pipes.bore, factor
    )
    fittings = sheet.take(f"Equivalent length of fittings{which}", FirstGiven((pipes.typed_fittings, counted)))
    line = sheet.calc(f"Head of line and fittings{which}", HEAD, lambda g, n, e: g * (2 * n + e), gradient, pipes.length, fittings)
    others = sheet.calc(
        f"Head of exchangers{which}",
        HEAD,
        lambda q, design, h: h * (q / np.maximum(design, LEAST_FLOW)) ** 2,
        at,
        pipes.flow,
        pipes.other_head,
    )
    own = sheet.calc(f"Head of the run{which}", HEAD, lambda a, b: a + b, line, others)
    return going_on(sheet, pipes.start, own, f"Head with that of the run it goes on into{which}"), gradient


def _meeting(context: Context, sheet: Sheet, pipes: Pipes) -> Meeting:
    sheet.heading("The circulator's curve")
    points = context.fetch(
        sheet,
        "circulator shutoff head",
        "circulator middle flow",
        "circulator middle head",
        "circulator high flow",
        "circulator high head",
    )
    linear = sheet.line("Linear coefficient of the curve", pumps.pump_linear_coefficient, *points)
    square = sheet.line("Square coefficient of the curve", pumps.pump_square_coefficient, *points)
    linears: list[Row] = []
    squares: list[Row] = []
    with sheet.folded("Workings: where the circulator's curve meets the run"):
        found = sheet.calc("Flow about which it is fitted first", VOLUME_FLOW, lambda q: np.maximum(q, LEAST_FLOW), pipes.flow)
        for step in range(REFITS + 1):
            name = f", {('first fit', 'second fit', 'third fit')[step]}"
            sheet.heading(f"Where the curve meets the run{name}")
            lower = sheet.calc(f"Nine tenths of the flow{name}", VOLUME_FLOW, lambda q: q * SECOND_POINT, found)
            head, _ = _head_at(sheet, pipes, found, name)
            lower_head, _ = _head_at(sheet, pipes, lower, f", nine tenths{name}")
            fit = (0.0, found, head, lower, lower_head)
            linears.append(sheet.line(f"Linear coefficient of the run{name}", pumps.system_linear_coefficient, *fit))
            squares.append(sheet.line(f"Square coefficient of the run{name}", pumps.system_square_coefficient, *fit))
            operating = sheet.line(f"Operating flow{name}", pumps.operating_flow, points[0], linear, square, 0.0, linears[-1], squares[-1])
            if step < REFITS:
                found = sheet.calc(
                    f"Flow about which it is fitted next{name}",
                    VOLUME_FLOW,
                    lambda q, asked: np.maximum(q, np.maximum(LEAST_PART * asked, LEAST_FLOW)),
                    operating,
                    pipes.flow,
                    words="the operating flow, and no less than a hundredth of the flow that is asked",
                )
    head = sheet.line("Head of the circulator at that flow", pumps.pump_head, operating, *points)
    return Meeting(tuple(points), (linear, square), tuple(linears), tuple(squares), operating, head)


def _flow(context: Context, sheet: Sheet, pipes: Pipes, operating: Row) -> tuple[Row, Row]:
    """The flow of each line, and what the branches take of it."""
    sheet.heading("Flow that the job is calculated with")
    total = sheet.take("Flow of the line", FirstGiven((operating, pipes.own_flow)))
    for depth in range(context.branching):
        taken = at_its_start(sheet, pipes.parted, total, generation("Flow taken where it starts", depth))
        branches = sheet.take(generation("Flow to the runs that start here", depth), SumWhere(taken, pipes.starts_at, sheet.names))
        summed = sheet.calc(generation("Flow with those", depth), VOLUME_FLOW, lambda own, more: own + more, pipes.own_flow, branches)
        total = sheet.take(generation("Flow of the line with branches", depth), FirstGiven((operating, summed)))
    through = sheet.take("Flow of the line, all told", Where(total, Holds(pipes.flow)))
    through = same_flow(sheet, pipes.start, through, "Flow of the line, as it goes on")
    taken = at_its_start(sheet, pipes.parted, total, "Flow that the run takes where it starts")
    return through, sheet.take("Flow that the branches take", SumWhere(taken, pipes.starts_at, sheet.names))


def _pressures(context: Context, sheet: Sheet, site: Site, pipes: Pipes, head: Row) -> Pressures:
    """Gauge pressures follow from height alone in a loop that is open at the boiler; a closed one adds its fill pressure."""
    sheet.heading("Pressure against boiling")
    place, height, highest, wanted = context.fetch(sheet, "circulator place", "circulator height", "highest point", "suction head required")
    hottest = sheet.calc(
        "Hottest water",
        TEMPERATURE,
        lambda off, over: off + over,
        context.job("boiler", "upper setpoint"),
        context.job("boiler", "overshoot"),
    )
    vapor = sheet.line("Vapor pressure of that water", liquids.water_vapor_pressure, hottest)
    density = sheet.line("Density of that water", liquids.liquid_density, pipes.liquid, pipes.fraction, hottest)
    system = sheet.take("System", context.job("boiler", "system"))
    if pipes.parted is not None:
        so = lambda own, whole: np.where(own > 0, "closed", whole)  # noqa: E731
        system = sheet.calc(
            "System of the run", None, so, pipes.parted.so, system, words="closed behind an exchanger; else that of the boiler"
        )
    at_level = sheet.calc(
        "Pressure at the boiler's water level",
        PRESSURE,
        lambda air, system, fill: air + np.where(system == "closed", fill, 0.0),
        site.surface,
        system,
        context.job("boiler", "fill pressure"),
    )
    at_top = sheet.line("Pressure at the highest point, water at rest", pressure.pressure_at_height, at_level, highest, density)
    top_margin = sheet.calc("Above boiling at the highest point", PRESSURE, lambda p, v: p - v, at_top, vapor)
    sheet.line("Height at which that water boils", pressure.boiling_height, at_level, hottest)
    lowest_height = sheet.calc(
        "Lowest point, at the line or the circulator",
        HEAD,
        lambda d, h, how: np.where(how == INDOORS, h, np.minimum(0 - d, h)),
        context.fetched(sheet, "depth", "Depth of the line"),
        height,
        context.fetched(sheet, "arrangement"),
    )
    suction_friction = sheet.calc(
        "Head lost before the circulator",
        HEAD,
        lambda h, where: h * np.where(where == "boiler supply", 0.0, np.where(where == "house", 0.5, 1.0)),
        head,
        place,
        words="none at the boiler's supply, half the run at the house, the whole run at the boiler's return",
    )
    below = sheet.calc("Water above the circulator", HEAD, lambda h: 0 - h, height)
    suction = sheet.line(
        "Head at the circulator's inlet above boiling", pumps.net_positive_suction_head, at_level, below, suction_friction, vapor, density
    )
    suction_margin = sheet.calc("More than the circulator wants", HEAD, lambda a, b: a - b, suction, wanted)
    return Pressures(
        system=system,
        highest=highest,
        lowest_height=lowest_height,
        hottest=hottest,
        top_margin=top_margin,
        suction_margin=suction_margin,
    )
