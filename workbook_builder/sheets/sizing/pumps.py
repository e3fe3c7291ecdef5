"""Pumps: where each circulator's curve meets its run, the flow that follows, suction and boiling, and the current it takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc import flow, friction, liquids, pressure, pumps
from hydrocalc.measures import HEAD, HEAD_PER_FLOW, LENGTH, PRESSURE, RATIO, TEMPERATURE, VOLUME_FLOW
from workbook_builder.model.aggregates import SumWhere
from workbook_builder.model.references import Constant, FirstGiven, Holds, MoreThan, Where, kind_is_not
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import INDOORS

from .context import Context, over
from .pipes import at_its_start, generation, going_on, same_flow
from .results import Meeting, Pipes, Pressures, Pumps, Site

# The curve of the run is fitted so often, through the last two flows found.  What is left after that is under one part in a
# thousand of the flow, wherever the circulator gives a fifth to eight times the flow that is asked.
FITS = (", first fit", ", second fit", ", third fit", ", fourth fit", ", fifth fit")
# The second point of the run's first curve lies at this share of the first, and two flows found are kept that far apart.
SECOND_POINT = 0.5
APART = 1e-4
LEAST_PART = 0.01  # of the flow asked: a curve that meets the run at no flow at all leaves nothing to fit about
ANY_FLOW = 1e-4  # m³/s: where neither loads nor a circulator ask for any
LEAST_FLOW = 1e-9  # m³/s: a run whose branches take all its flow keeps this for its own loads


def make_pumps(context: Context, site: Site, pipes: Pipes) -> Pumps:
    """The sheet Pumps."""
    sheet = context.sheet("Pumps")
    meeting = _meeting(context, sheet, pipes)
    through, branches = _flow(context, sheet, pipes, meeting.flow)
    own_flow = sheet.calc("Flow to this run's own loads", VOLUME_FLOW, lambda q, b: np.maximum(q - b, LEAST_FLOW), through, branches)
    state = _as_calculated(sheet, pipes, through)
    return Pumps(
        sheet=sheet,
        meeting=meeting,
        flow=through,
        branches=branches,
        own_flow=own_flow,
        head=state.head,
        gradient=state.gradient,
        velocity=state.velocity,
        reynolds=state.reynolds,
        power=_power(context, sheet, pipes, through, state.head),
        pressures=_pressures(context, sheet, site, pipes, state.head),
    )


def _power(context: Context, sheet: Sheet, pipes: Pipes, through: Row, head: Row) -> Row:
    sheet.heading("Power of the circulator")
    typed = context.fetched(sheet, "circulator power", "Circulator power, typed")
    efficiency = context.fetched(sheet, "circulator efficiency")
    worked = sheet.line("Circulator power, from flow and head", pumps.pump_power, through, head, pipes.density, efficiency)
    if pipes.start.before is not None:  # a flow that goes on has its circulator on the run before
        worked = sheet.take("Circulator power, unless its flow comes from another run", Where(worked, kind_is_not(pipes.starts_at, "")))
    return sheet.take("Circulator power", FirstGiven((typed, worked)))


@dataclass(frozen=True)
class _State:
    """The head of a whole run at a flow of its line."""

    velocity: Row
    reynolds: Row
    gradient: Row
    head: Row


def _as_calculated(sheet: Sheet, pipes: Pipes, at: Row) -> _State:
    which = ", as calculated"
    velocity = sheet.line(f"Velocity{which}", flow.velocity_from_flow, at, pipes.bore)
    of_tube = (pipes.bore, pipes.density, pipes.viscosity)
    reynolds = sheet.line(f"Reynolds number{which}", friction.reynolds_number, velocity, *of_tube, shows="whole")
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
    return _State(velocity, reynolds, gradient, going_on(sheet, pipes.start, own, f"Head with that of the run it goes on into{which}"))


@dataclass(frozen=True)
class _Tries:
    """What does not change from try to try."""

    asked: Row  # the design flow; where none is asked the middle of the circulator's curve
    reynolds: Row  # at that flow
    line: Row  # head at the design flow of tubes, and of a typed length of fittings, were the friction factor 1
    fixed: Row  # head at the design flow of what has no friction factor


def _tries(sheet: Sheet, pipes: Pipes, middle: Row) -> _Tries:
    some = (Where(pipes.flow, MoreThan(pipes.flow)), middle, Constant(ANY_FLOW, VOLUME_FLOW))
    asked = sheet.take("Flow from which the tries begin", FirstGiven(some))
    velocity = sheet.line("Velocity there", flow.velocity_from_flow, asked, pipes.bore)
    of_tube = (pipes.bore, pipes.density, pipes.viscosity)
    reynolds = sheet.line("Reynolds number there", friction.reynolds_number, velocity, *of_tube, shows="whole")
    typed = sheet.take("Equivalent length of fittings, or none", FirstGiven((pipes.typed_fittings, Constant(0, LENGTH))))
    none = sheet.calc("None beside a typed length", RATIO, lambda e: np.where(e >= 0, 0.0, 1.0), pipes.typed_fittings)
    coefficient = sheet.take("Loss coefficient beside that length", FirstGiven((none, pipes.coefficient)))
    line = sheet.calc(
        "Head at the design flow for a friction factor of 1",
        HEAD,
        lambda v, n, e, d: v**2 / (2 * friction.STANDARD_GRAVITY) * (2 * n + e) / d,
        velocity,
        pipes.length,
        typed,
        pipes.bore,
    )
    fixed = sheet.calc(
        "Head at the design flow of what has no friction factor",
        HEAD,
        lambda v, k, h: v**2 / (2 * friction.STANDARD_GRAVITY) * k + h,
        velocity,
        coefficient,
        pipes.other_head,
    )
    return _Tries(asked, reynolds, line, fixed)


def _head_at(sheet: Sheet, pipes: Pipes, tries: _Tries, at: Row, which: str) -> Row:
    """As above from what it is at the design flow, in fewer lines, for flows that are only tried."""
    at = same_flow(sheet, pipes.start, at, f"Flow, as it goes on{which}")
    reynolds = sheet.calc(
        f"Reynolds number{which}", RATIO, lambda re, q, design: re * q / design, tries.reynolds, at, tries.asked, shows="whole"
    )
    factor = sheet.line(f"Friction factor{which}", friction.friction_factor, reynolds, pipes.relative)
    own = sheet.calc(
        f"Head of the run{which}",
        HEAD,
        lambda q, design, f, line, fixed: (q / design) ** 2 * (f * line + fixed),
        at,
        tries.asked,
        factor,
        tries.line,
        tries.fixed,
    )
    return going_on(sheet, pipes.start, own, f"Head with that of the run it goes on into{which}")


def _next_try(found: Any, asked: Any, last: Any) -> Any:
    to_try = np.maximum(found, LEAST_PART * asked)
    return np.where(np.abs(to_try - last) < APART * last, last * (1 + APART), to_try)


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
        tries = _tries(sheet, pipes, points[1])
        before = sheet.calc("Half the flow", VOLUME_FLOW, lambda q: q * SECOND_POINT, tries.asked)
        head_before = _head_at(sheet, pipes, tries, before, ", half")
        found = tries.asked
        for fit in FITS:
            sheet.heading(f"Where the curve meets the run{fit}")
            head = _head_at(sheet, pipes, tries, found, fit)
            through = (0.0, found, head, before, head_before)
            squares.append(sheet.line(f"Square coefficient of the run{fit}", pumps.system_square_coefficient, *through))
            name = f"Linear coefficient of the run{fit}"
            linears.append(sheet.calc(name, HEAD_PER_FLOW, lambda h, q, square: h / q - square * q, head, found, squares[-1]))
            operating = sheet.line(f"Operating flow{fit}", pumps.operating_flow, points[0], linear, square, 0.0, linears[-1], squares[-1])
            if fit == FITS[-1]:
                break
            before, head_before = found, head
            found = sheet.calc(
                f"Flow tried next{fit}",
                VOLUME_FLOW,
                _next_try,
                operating,
                pipes.flow,
                before,
                words="the operating flow, no less than a hundredth of the flow that is asked, and apart from the flow tried last",
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
        when=kind_is_not(pipes.starts_at, "") if pipes.start.before is not None else None,
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
