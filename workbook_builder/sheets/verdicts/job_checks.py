"""Requirements of the whole job, of the boiler and its fire above all, and of each fuel of today."""

from __future__ import annotations

import numpy as np

from hydrocalc.measures import COUNT, POWER, TEMPERATURE
from workbook_builder.model.references import Holds, SameColumn, kind_is_not
from workbook_builder.model.rows import Row

from .requirements import WHOLE, Requirement, complete, named
from .rules import FAIL, PASS, REMARK, AtLeast, AtMost, Between, ByWord, Figure, Judging, Near, OfJob, Slack, no_fault, same

# Of the heat that a fuel's typed use gave: a winter more or less severe than the ordinary one stays within this (common
# practice, no source).
APART_FROM_USE = 0.2
ROUGH = Slack()  # rounding is nothing beside such shares
OUTPUT_STEP = (1000.0, 0.5)  # BTU/h, kW: a boiler is proposed in whole steps of these
LEAST_OUTPUT, MOST_OUTPUT = OfJob("lowest output to load"), OfJob("highest output to load")
BUFFER = Figure(lambda at: at.sizing.boiler.cycles.buffer_to_order)
A_BUFFER = "a buffer tank of at least {figure}, more water in the boiler, or a wider band"


def _not_in_order(at: Judging) -> Row:
    sheet, job = at.sheet, at.context.job
    sheet.heading("Inputs of the boiler that have to lie above one another")
    rows = [
        sheet.take(item[:1].upper() + item[1:], job("boiler", item))
        for item in ("upper setpoint", "lower setpoint", "relief pressure", "fill pressure", "system")
    ]
    return sheet.calc(
        "How many are not",
        COUNT,
        lambda off, on, most, fill, system: (
            np.where(off <= on, 1.0, 0.0) + np.where(system == "closed", np.where(most <= fill, 1.0, 0.0), 0.0)
        ),
        *rows,
        shows="whole",
    )


def _output_that_would_do(at: Judging, label: str, times: OfJob) -> Row:
    load = at.sizing.boiler.load
    if load.output is load.first_output:
        return at.sheet.calc(label, POWER, lambda q, times: q * times, load.needed, times(at), shows="whole")
    words = "load × that ratio − what the second boiler gives"
    beside = (load.needed, times(at), load.output, load.first_output)
    return at.sheet.calc(label, POWER, lambda q, times, both, own: q * times - (both - own), *beside, shows="whole", words=words)


def _smallest_output(at: Judging) -> Row:
    return _output_that_would_do(at, "Smallest output that would do", LEAST_OUTPUT)


def _largest_output(at: Judging) -> Row:
    return _output_that_would_do(at, "Largest output that would do", MOST_OUTPUT)


def _liquid_down_to(at: Judging) -> SameColumn:
    outdoors, margin = at.context.job("site", "outdoor design temperature"), OfJob("antifreeze margin")(at)
    return SameColumn(at.sheet.calc("Has to stay liquid down to", TEMPERATURE, lambda t, m: t - m, outdoors, margin))


def _liquid(at: Judging) -> Row:
    return at.sheet.take("Liquid in the boiler", at.context.job("liquid", "kind"))


JOB = (
    # Not of the whole: what the fire makes of the loads need not be searched for every draw of an uncertain input.
    complete(
        "Nothing about the boiler and the wood is missing",
        lambda sizing: (sizing.balance.water, sizing.boiler.load.margin, sizing.cords.cords_year),
        lambda at: Holds(at.sizing.boiler.load.needed),
        section="fire",
    ),
    Requirement(
        WHOLE,
        "Inputs of the boiler in order",
        _not_in_order,
        no_fault("upper setpoint above the lower; in a closed system the relief pressure above the fill pressure"),
    ),
    Requirement(
        "heat",
        "Boiler's rated output over the load",
        lambda at: at.sizing.boiler.load.margin,
        Between(
            AtLeast(
                LEAST_OUTPUT,
                "a boiler of at least {figure}, a smaller load, or backup heat on the coldest nights",
                figure=Figure(_smallest_output, OUTPUT_STEP),
            ),
            AtMost(
                MOST_OUTPUT,
                "a boiler of at most {figure}: a larger one idles much, the more so without a buffer tank",
                REMARK,
                figure=Figure(_largest_output, OUTPUT_STEP, up=False),
            ),
        ),
    ),
    Requirement(
        "heat",
        "Sustained output over the load",
        lambda at: at.sizing.boiler.charge.sustained_margin,
        AtLeast(OfJob("lowest sustained output to load"), "more frequent loading, a larger firebox, drier or denser wood, backup heat"),
    ),
    Requirement(
        "fire",
        "Burn time, design night",
        lambda at: at.sizing.boiler.charge.burn_time,
        AtLeast(OfJob("burn time"), "a fuller charge, denser wood, a larger firebox", REMARK),
    ),
    Requirement(
        "fire",
        "Firing time at half load",
        lambda at: at.sizing.boiler.cycles.half.firing,
        AtLeast(OfJob("shortest firing time"), A_BUFFER, REMARK, fails=OfJob("failing firing time"), figure=BUFFER),
    ),
    Requirement(
        "fire",
        "Cycles an hour at half load",
        lambda at: at.sizing.boiler.cycles.half.per_hour,
        AtMost(OfJob("cycles an hour"), A_BUFFER, REMARK, figure=BUFFER),
    ),
    Requirement(
        "fire",
        "Return to the boiler",
        lambda at: at.sizing.back.temperature,
        AtLeast(
            OfJob("lowest return temperature", "boiler"),
            "mix supply into the return; see Boiler",
            ByWord(OfJob("return protection", "boiler"), "none", FAIL, PASS),
        ),
    ),
    Requirement(
        "lines",
        "Line losses over the heat of the season",
        lambda at: at.sizing.cords.line_share,
        AtMost(OfJob("line loss of the season"), "an upgraded line, or no fire in summer", REMARK),
    ),
    Requirement(
        "power failure",
        "Minutes of a full fire until the boiler boils",
        lambda at: at.sizing.boiler.power_cut.boils_in,
        AtLeast(OfJob("boiling reserve"), "an overheat dump that needs no power"),
    ),
    Requirement(
        "power failure",
        "Freezing of the liquid, circulator stopped",
        lambda at: at.sizing.site.freezes,
        AtMost(
            _liquid_down_to,
            "antifreeze, or a plan: backup power, drain-down, somebody at home",
            ByWord(_liquid, "water", REMARK, FAIL),
        ),
    ),
)

FUELS = (
    named("fuel of today", lambda at: kind_is_not(at.sizing.fuels.fuel, "")),
    # A use between two dates wants both, in their order; ``fill`` refuses them otherwise.
    Requirement(
        WHOLE,
        "Dates of the use go together",
        lambda at: at.sizing.fuels.dates,
        no_fault("the first and the last date of the use, or neither: the last after the first, and at most a year after it"),
    ),
    Requirement(
        "money",
        "Heat of its loads in a year, against the fuel's use",
        lambda at: at.sizing.fuel_costs.by_loads,
        Near(
            same(lambda sizing: sizing.fuels.lit_bought),
            "the loads' design losses, gains and months against the bills, on which the money rests; the loads that burn this fuel; "
            "its seasonal efficiency",
            slack=ROUGH,
            less=APART_FROM_USE,
            more=APART_FROM_USE,
        ),
    ),
)
