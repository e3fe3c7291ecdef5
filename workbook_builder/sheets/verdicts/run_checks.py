"""Requirements of each run: flow, tube, line, pressure against boiling."""

from __future__ import annotations

from hydrocalc import friction
from hydrocalc.measures import COUNT, FRACTION, RATIO
from workbook_builder.model.aggregates import SumWhere
from workbook_builder.model.base import Reference
from workbook_builder.model.references import Condition, Constant, Holds, MoreThan, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.table.vocabulary import BRANCHING

from . import run_rows as rows
from .load_checks import order_of_loads
from .requirements import WHOLE, Requirement, complete, in_order, named
from .rules import REMARK, TYPED, AtLeast, AtMost, Figure, Judging, OfJob, Slack, no_fault, same

APART = 1.0  # %: what the fits of both curves leave is a tenth of this
REFITTED = Slack(share=0.001)  # what the last fit of the run's curve leaves of a flow, and of what follows from it
NEARLY = Slack(share=0.02)  # of the flow asked; no circulator's curve is known closer (common practice, no source)
FILLED = Slack(amount=1.0)  # Pa: a fill pressure as proposed does, whatever the rounding of its arithmetic
CLEAR = Slack(amount=-TYPED)  # Pa: water that just boils is not below boiling
PRESSURE_STEP = (1.0, 5.0)  # psi, kPa


def _given(at: Judging) -> Holds:
    return Holds(at.sizing.pipes.length)


def _buried(at: Judging) -> Condition:
    return at.sizing.ground.trench.buried


def _groups(at: Judging) -> Row:
    begins = at.once(order_of_loads).begins
    return at.sheet.take("Places where its loads begin", SumWhere(begins, at.sizing.needs.run, at.sheet.names), shows="whole")


def _approach_at_start(at: Judging) -> Reference:
    return OfJob("exchanger approach")(at) if at.sizing.pipes.parted is not None else Constant(0, COUNT)


RUNS = (
    Requirement(
        "heat",
        "Loads of a run stand together",
        _groups,
        AtMost(1.0, "the columns of its loads next to one another, in the order in which the water meets them"),
    ),
    complete(
        "Nothing about a run is missing",
        lambda sizing: (sizing.pumps.flow, sizing.pumps.head, sizing.ground.loss, sizing.returns.loss, sizing.line_year.year),
        lambda at: Holds(at.sizing.pipes.load),  # a run on which nothing hangs has no water to reckon with
    ),
    named("run", _given),
    Requirement(
        WHOLE,
        "Every run starts at the boiler in the end",
        rows.way_to_the_boiler,
        AtLeast(
            1.0,
            f"another place for its start: at most {BRANCHING} runs lie between a run and the boiler, and none in a circle; "
            "after a load only the last of a run, the loads of both next to one another, and no run at the end of either",
        ),
        when=_given,
    ),
    in_order("run", "Pumps", _given),
    Requirement(
        WHOLE,
        "The line can be as it is described",
        lambda at: at.sizing.ground.laid.faults,
        no_fault("a jacket wide enough for its tubes and covered by the ground; tubes beside one another"),
    ),
    Requirement(
        "runs",
        "The circulator delivers the design flow",
        lambda at: at.sizing.pumps.flow,
        AtLeast(same(lambda sizing: sizing.pipes.flow), "a stronger circulator or a larger tube", slack=NEARLY),
    ),
    Requirement(
        "runs",
        "The circulator's curve meets the run at the flow",
        rows.apart,
        AtMost(
            lambda _: Constant(APART, FRACTION),
            "another circulator, or a design flow nearer to what it gives: where the two curves meet was not found in five tries, and "
            "the flow shown is not yet the one that holds",
        ),
    ),
    Requirement(
        "runs",
        "The circulator gives no more flow than is needed",
        rows.over_design,
        AtMost(
            OfJob("highest flow to design flow"),
            "a smaller circulator or a slower speed; else a valve to throttle it",
            REMARK,
            slack=REFITTED,
        ),
    ),
    Requirement(
        "runs",
        "Head within one circulator's reach",
        lambda at: at.sizing.pumps.head,
        AtMost(OfJob("highest circulator head"), "a larger tube, or two circulators in series", REMARK, slack=REFITTED),
    ),
    Requirement(
        "runs",
        "Flow neither laminar nor turbulent",
        lambda at: at.sizing.pumps.reynolds,
        AtLeast(
            lambda _: Constant(friction.TURBULENT_LIMIT, RATIO),
            "more flow or a smaller tube, if the head has to be sure: up to this Reynolds number friction is uncertain by some tens of %",
            REMARK,
        ),
        when=lambda at: MoreThan(at.sizing.pumps.reynolds, least=friction.LAMINAR_LIMIT),
    ),
    Requirement(
        "runs",
        "Branches take no more than the run carries",
        lambda at: at.sizing.pumps.branches,
        AtMost(
            same(lambda sizing: sizing.pumps.flow),
            "a stronger circulator on the run that they start on, or less flow in them",
            slack=REFITTED,
        ),
    ),
    Requirement(
        "runs",
        "Velocity not too high",
        lambda at: at.sizing.pumps.velocity,
        AtMost(
            same(lambda sizing: sizing.pipes.highest_velocity),
            "a larger tube or less flow",
            REMARK,
            fails=OfJob("failing velocity"),
            slack=REFITTED,
        ),
    ),
    Requirement(
        "runs",
        "Velocity not too low",
        lambda at: at.sizing.pumps.velocity,
        AtLeast(OfJob("lowest velocity"), "a smaller tube, or air vents at every high point", REMARK),
    ),
    Requirement(
        "runs",
        "Head loss per length",
        lambda at: at.sizing.pumps.gradient,
        AtMost(
            same(lambda sizing: sizing.pipes.highest_gradient),
            "a larger tube; a remark only, if the circulator makes the flow",
            REMARK,
            slack=REFITTED,
        ),
    ),
    Requirement(
        "runs",
        "Head loss per length not too low",
        lambda at: at.sizing.pumps.gradient,
        AtLeast(OfJob("lowest head loss"), "a smaller tube would do; a remark only", REMARK),
    ),
    Requirement(
        "lines",
        "Temperature lost by the supply",
        lambda at: at.sizing.night.gradient,
        AtMost(OfJob("line temperature loss"), "a better or dry line, or more flow", REMARK),
        when=_buried,
    ),
    Requirement(
        "lines",
        "Loss on the design night, over what enters",
        lambda at: at.sizing.night.lines.share,
        AtMost(OfJob("line loss of the design load"), "an upgraded line; see Lines", REMARK),
        when=_buried,
    ),
    Requirement("lines", "Jacket dry", rows.wet, no_fault("a sealed jacket, drainage of the trench; replace a soaked line")),
    Requirement(
        WHOLE,
        "A liquid of its own behind an exchanger",
        rows.another_liquid,
        AtMost(
            _approach_at_start,
            "more conductance in the exchanger at its start, or more flow on both its sides; in a book without rows for one, "
            "the liquid of the boiler",
        ),
        when=_given,
    ),
    Requirement(
        "water",
        "Highest point below boiling, circulator stopped",
        lambda at: at.sizing.pumps.pressures.top_margin,
        AtLeast(0.0, "the usual cure is a plate exchanger low in the house; or a lower route, a closed system, cooler water", slack=CLEAR),
    ),
    Requirement(
        "water",
        "High point of an open system",
        lambda at: at.sizing.pumps.pressures.highest,
        AtMost(
            0.0,
            "the usual cure is a plate exchanger low in the house; or a route below the water level, a closed system, "
            "an air vent that is kept shut when open to suction",
            REMARK,
        ),
        when=lambda at: kind_is(at.sizing.pumps.pressures.system, "open"),
    ),
    Requirement(
        "water",
        "Pressure at the highest point of a closed system, cold",
        rows.pressure_at_top,
        AtLeast(
            OfJob("lowest pressure at the highest point"),
            "a fill pressure of at least {figure}, with a tank and a relief valve for it, or a lower route",
            slack=FILLED,
            figure=Figure(rows.fill_pressure, PRESSURE_STEP),
        ),
    ),
    Requirement(
        "water",
        "Suction head beyond the circulator's own",
        lambda at: at.sizing.pumps.pressures.suction_margin,
        AtLeast(OfJob("suction margin"), "the circulator near the boiler's supply and low; a shorter suction"),
    ),
    Requirement(
        "water",
        "Tube within its pressure at its temperature",
        rows.highest_pressure,
        AtMost(rows.rated_pressure, "another tube, or cooler water"),
    ),
)
