"""Checks: the requirements of the whole job, and the verdict on each of all: the worst of it, and where that is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc.measures import COUNT, POWER, TEMPERATURE
from workbook_builder.model.aggregates import Across, FoundAt, total_of
from workbook_builder.model.references import Holds, SameColumn, kind_is_not
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.sheets.sizing.context import ONE, Making
from workbook_builder.sheets.sizing.results import Check, Checks

from .load_checks import judge_loads
from .remedies import Remedy, RemedyText
from .requirements import FAIL, PASS, REMARK, WHOLE, Requirement, Requirements, shown_as
from .run_checks import judge_runs

# Of the heat that a fuel's typed use gave: a winter more or less severe than the ordinary one stays within this (common
# practice, no source).
LEAST_OF_USE, MOST_OF_USE = 0.75, 1.3
WITHIN = 1 + 1e-6  # what is typed as proposed keeps the requirement, whatever the rounding of its arithmetic
OUTPUT_STEP = (1000.0, 0.5)  # BTU/h, kW: a boiler is proposed in whole steps of these


def make_checks(making: Making) -> Checks:
    """The sheets LoadChecks, RunChecks, FuelChecks and Checks."""
    wanted = Requirements(making)
    judge_runs(wanted, judge_loads(wanted))
    sheet = making.book.sheet("Checks", ONE, "Checks of the job, and all verdicts")
    _judge_job(wanted, sheet)
    _judge_fuels(wanted)
    making.checks = _gather(sheet, wanted)
    return making.checks


def _judge_job(wanted: Requirements, sheet: Sheet) -> None:
    making = wanted.making
    boiler, cords, site = making.boiler, making.cords, making.site
    limit = making.job
    # Not of the whole: what the fire makes of the loads need not be searched for every draw of an uncertain input.
    wanted.complete(
        sheet,
        "Nothing about the boiler and the wood is missing",
        (making.balance.water, boiler.load.margin, cords.cords_year),
        Holds(boiler.load.needed),
        section="fire",
    )
    sheet.heading("Inputs of the boiler that have to lie above one another")
    band = (sheet.take("Fan off at", limit("boiler", "fan off at")), sheet.take("Fan on at", limit("boiler", "fan on at")))
    relief = (
        sheet.take("Relief pressure", limit("boiler", "relief pressure")),
        sheet.take("Fill pressure", limit("boiler", "fill pressure")),
    )
    wanted.add(
        sheet,
        WHOLE,
        "Inputs of the boiler in order",
        "fan off above fan on; in a closed system the relief pressure above the fill pressure",
        sheet.calc(
            "How many are not",
            COUNT,
            lambda off, on, most, fill, system: (
                np.where(off <= on, 1.0, 0.0) + np.where(system == "closed", np.where(most <= fill, 1.0, 0.0), 0.0)
            ),
            *band,
            *relief,
            sheet.take("System", limit("boiler", "system")),
            shows="whole",
        ),
        None,
        lambda x: np.where(x > 0, FAIL, PASS),
    )
    least, most = limit("limits", "lowest output to load"), limit("limits", "highest output to load")
    smallest, largest = (
        sheet.calc(name, POWER, lambda q, times: q * times, boiler.load.needed, times, shows="whole")
        for name, times in (("Smallest output that would do", least), ("Largest output that would do", most))
    )
    wanted.between(
        sheet,
        "heat",
        "Boiler's rated output over the load",
        Remedy("a boiler of at least {figure}, a smaller load, or backup heat on the coldest nights", smallest, OUTPUT_STEP),
        Remedy(
            "a boiler of at most {figure}: a larger one idles much, the more so without a buffer tank",
            largest,
            OUTPUT_STEP,
            up=False,
        ),
        boiler.load.margin,
        least,
        most,
        (FAIL, REMARK),
    )
    wanted.add(
        sheet,
        "heat",
        "Sustained output over the load",
        "more frequent loading, a larger firebox, drier or denser wood, backup heat",
        boiler.charge.sustained_margin,
        limit("limits", "lowest sustained output to load"),
        lambda x, w: np.where(x < w, FAIL, PASS),
    )
    wanted.add(
        sheet,
        "fire",
        "Hours on a charge, design night",
        "a fuller charge, denser wood, a larger firebox",
        boiler.charge.burn_time,
        limit("limits", "hours on a charge"),
        lambda x, w: np.where(x < w, REMARK, PASS),
    )
    half = boiler.cycles.half
    wanted.add(
        sheet,
        "fire",
        "Firing time at half load",
        Remedy("a buffer tank of at least {figure}, more water in the boiler, or a wider band", boiler.cycles.buffer_to_order),
        half.firing,
        limit("limits", "shortest firing time"),
        lambda x, w, least: np.where(x * WITHIN < least, FAIL, np.where(x * WITHIN < w, REMARK, PASS)),
        limit("limits", "failing firing time"),
    )
    wanted.add(
        sheet,
        "fire",
        "Cycles an hour at half load",
        Remedy("a buffer tank of at least {figure}, more water in the boiler, or a wider band", boiler.cycles.buffer_to_order),
        half.per_hour,
        limit("limits", "cycles an hour"),
        lambda x, w: np.where(x > w * WITHIN, REMARK, PASS),
    )
    wanted.add(
        sheet,
        "fire",
        "Return to the boiler",
        "mix supply into the return; see Boiler",
        making.back.temperature,
        limit("boiler", "lowest return temperature"),
        lambda x, w, how: np.where(x < w, np.where(how == "none", FAIL, PASS), PASS),
        limit("boiler", "return protection"),
    )
    wanted.add(
        sheet,
        "lines",
        "Line losses over the heat of the season",
        "a better line, or no fire in summer",
        cords.line_share,
        limit("limits", "line loss of the season"),
        lambda x, w: np.where(x > w, REMARK, PASS),
    )
    wanted.add(
        sheet,
        "power cut",
        "Minutes of a full fire until the boiler boils",
        "an overheat dump that needs no power",
        boiler.power_cut.boils_in,
        limit("limits", "boiling reserve"),
        lambda x, w: np.where(x < w, FAIL, PASS),
    )
    cold = sheet.calc(
        "Has to stay liquid down to",
        TEMPERATURE,
        lambda t, m: t - m,
        making.job("site", "outdoor design temperature"),
        limit("limits", "antifreeze margin"),
    )
    kind = sheet.take("Liquid in the boiler", making.job("liquid", "kind"))
    wanted.add(
        sheet,
        "power cut",
        "Freezing of the liquid in a dead system",
        "antifreeze, or a plan: backup power, drain-down, somebody at home",
        site.freezes,
        SameColumn(cold),
        lambda x, w, liquid: np.where(x <= w, PASS, np.where(liquid == "water", REMARK, FAIL)),
        kind,
    )


def _judge_fuels(wanted: Requirements) -> None:
    """The sheet FuelChecks: the heat that the loads of a fuel take in the year, against what was burnt for them."""
    making = wanted.making
    sheet = making.book.sheet("FuelChecks", making.fuel_axis, "Checks of each fuel used today")
    fuels = making.used_fuels
    wanted.named(sheet, kind_is_not(fuels.fuel, ""))
    _judge_dates(wanted, sheet)
    wanted.add(
        sheet,
        "money",
        "Heat of its loads in a year, against the fuel's use",
        "the loads' design losses, gains and months against the bills; the loads that burn this fuel; its seasonal efficiency",
        making.fuel_costs.served,
        SameColumn(fuels.bought),
        lambda x, w: np.where((x < LEAST_OF_USE * w) | (x > MOST_OF_USE * w), REMARK, PASS),
    )


@dataclass(frozen=True)
class _Worst:
    """A requirement where it is worst, and what would mend it there."""

    asked: Requirement
    worst: Row
    where: Row
    value: Row
    wanted: Row | None
    remedy: Row
    verdict: Row


def _at_its_worst(sheet: Sheet, asked: Requirement) -> _Worst:
    code = asked.code
    sheet.heading(asked.label)
    worst = sheet.take("Worst", Across(code, "MAX"), shows="whole")
    where = (
        sheet.take("Where", FoundAt(code.sheet.names, code, worst))
        if code.sheet.axis.name != "one"
        else sheet.texts("Where", ["whole job"])
    )
    shows = shown_as(asked.found)
    value = sheet.take("Found", FoundAt(asked.found, code, worst), shows=shows)
    limit = sheet.take("Wanted", FoundAt(asked.wanted, code, worst), shows=shows) if asked.wanted is not None else None
    remedies = asked.remedies
    low, high, side = (
        sheet.take(name, FoundAt(row, code, worst)) if row is not None else None
        for name, row in (
            ("Figure that would do", remedies.low.figure),
            ("Figure that would do, the high side", remedies.high.figure if remedies.high is not None else None),
            ("The high side (1: yes)", remedies.side),
        )
    )
    remedy = sheet.take("Remedy", RemedyText(remedies, sheet.book.system, worst, low, high, side))
    verdict = sheet.calc(
        "Verdict",
        None,
        lambda w: np.where(w > 1.5, "fail", np.where(w > 0.5, "remark", "pass")),
        worst,
        words="pass, remark or fail",
    )
    return _Worst(asked, worst, where, value, limit, remedy, verdict)


def _gather(sheet: Sheet, wanted: Requirements) -> Checks:
    """The worst of each requirement, with its place, in the order of the summary."""
    found = [_at_its_worst(sheet, asked) for asked in wanted.all]
    sheet.heading("All together")
    fail_rows = [sheet.calc(f"Fails: {c.asked.label}", COUNT, lambda w: np.where(w > 1.5, 1.0, 0.0), c.worst, shows="whole") for c in found]
    fails = sheet.take("Requirements that fail", total_of(fail_rows), shows="whole")
    remark_rows = [
        sheet.calc(f"Remark: {c.asked.label}", COUNT, lambda w: np.where((w > 0.5) & (w < 1.5), 1.0, 0.0), c.worst, shows="whole")
        for c in found
    ]
    remarks = sheet.take("Requirements with a remark", total_of(remark_rows), shows="whole")
    sheet.heading("Order in which they are shown: fails first, then remarks")
    checks: list[Check] = []
    for index, one in enumerate(found):
        fails_so_far = sheet.take("Fails so far", total_of(fail_rows[: index + 1]), shows="whole")
        remarks_so_far = sheet.take("Remarks so far", total_of(remark_rows[: index + 1]), shows="whole")
        rank = sheet.calc(
            f"Place of: {one.asked.label}",
            COUNT,
            lambda fail, remark, f, r, total: np.where(fail > 0, f, np.where(remark > 0, total + r, 0.0)),
            fail_rows[index],
            remark_rows[index],
            fails_so_far,
            remarks_so_far,
            fails,
            shows="whole",
            words="fails in their order, then remarks in theirs; 0 for a pass",
        )
        remedies = [r for r in (one.asked.remedies.low, one.asked.remedies.high) if r is not None]
        checks.append(
            Check(
                section=one.asked.section,
                label=one.asked.label,
                remedy=one.remedy,
                words=tuple(r.words for r in remedies),
                longest_remedies=tuple(r.longest(sheet.book.system) for r in remedies),
                worst=one.worst,
                where=one.where,
                value=one.value,
                wanted=one.wanted,
                verdict=one.verdict,
                rank=rank,
            )
        )
    return Checks(tuple(checks), fails, remarks)


def _judge_dates(wanted: Requirements, sheet: Sheet) -> None:
    """A use between two dates wants both, in their order; ``fill`` refuses them otherwise."""
    wanted.add(
        sheet,
        WHOLE,
        "Dates of the use go together",
        "the first and the last date of the use, or neither: the last after the first, and at most a year after it",
        wanted.making.used_fuels.dates,
        None,
        lambda x: np.where(x > 0, FAIL, PASS),
    )
