"""Checks: the requirements of the whole job judged, and the verdict on each: the worst of it, and where that is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hydrocalc.measures import COUNT
from workbook_builder.model.aggregates import Across, FoundAt, total_of
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.sheets.sizing.context import ONE, Context
from workbook_builder.sheets.sizing.design import Sizing
from workbook_builder.sheets.sizing.results import Check, Checks

from .job_checks import FUELS, JOB
from .load_checks import LOADS
from .remedies import Remedy, RemedyText
from .requirements import Judged, Requirement, judge, shown_as
from .rules import Judging
from .run_checks import RUNS

GATHERED_ON = "Verdicts"


@dataclass(frozen=True)
class Place:
    """Where requirements are judged: at the foot of a sheet with a column for each load, run or fuel, or of the verdicts."""

    sheet: str
    title: str
    requirements: tuple[Requirement, ...]


# In the order of the summary.
PLACES = (
    Place("Water", "Workings: the requirements of each load", LOADS),
    Place("Pumps", "Workings: the requirements of each run", RUNS),
    Place(GATHERED_ON, "Workings: the requirements of the whole job", JOB),
    Place("Money", "Workings: the requirements of each fuel used today", FUELS),
)


def make_checks(context: Context, sizing: Sizing) -> Checks:
    """The requirements, folded at the foot of their sheets, and on Verdicts the worst of each."""
    gathered = context.book.sheet(GATHERED_ON, ONE, "Verdicts: what is required, and whether it is kept")
    judged: list[Judged] = []
    made: dict[Callable[[Judging], object], object] = {}
    for place in PLACES:
        sheet = context.book.sheet(place.sheet)
        at = Judging(context, sizing, sheet, made)
        with sheet.folded(place.title):
            judged += [judge(at, asked) for asked in place.requirements]
    with gathered.folded("Workings: each requirement where it is worst"):
        return _gather(gathered, judged)


@dataclass(frozen=True)
class _Worst:
    """A requirement where it is worst, and what would mend it there."""

    asked: Requirement
    mends: tuple[Remedy, ...]
    worst: Row
    where: Row
    value: Row
    wanted: Row | None
    remedy: Row
    verdict: Row


def _at_its_worst(sheet: Sheet, judged: Judged) -> _Worst:
    code, asked, remedies = judged.code, judged.asked, judged.remedies
    sheet.heading(asked.label)
    worst = sheet.take("Worst", Across(code, "MAX"), shows="whole")
    where = sheet.take("Where", FoundAt(code.sheet.names, code, worst)) if code.axis != ONE else sheet.texts("Where", ["whole job"])
    shows = shown_as(judged.found)
    value = sheet.take("Found", FoundAt(judged.found, code, worst), shows=shows)
    limit = sheet.take("Wanted", FoundAt(judged.wanted, code, worst), shows=shows) if judged.wanted is not None else None
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
    mends = (remedies.low,) if remedies.high is None else (remedies.low, remedies.high)
    return _Worst(asked, mends, worst, where, value, limit, remedy, verdict)


def _gather(sheet: Sheet, judged: list[Judged]) -> Checks:
    """The worst of each requirement, with its place, in the order of the summary."""
    found = [_at_its_worst(sheet, one) for one in judged]
    sheet.heading("All together")
    fail_rows = [sheet.calc(f"Fails: {c.asked.label}", COUNT, lambda w: np.where(w > 1.5, 1.0, 0.0), c.worst, shows="whole") for c in found]
    fails = sheet.take("Requirements that fail", total_of(fail_rows), shows="whole")
    remark_rows = [
        sheet.calc(f"Remark: {c.asked.label}", COUNT, lambda w: np.where((w > 0.5) & (w < 1.5), 1.0, 0.0), c.worst, shows="whole")
        for c in found
    ]
    remarks = sheet.take("Requirements with a remark", total_of(remark_rows), shows="whole")
    ranks = _ranks(sheet, found, fail_rows, remark_rows, fails)
    return Checks(tuple(_check(sheet, one, rank) for one, rank in zip(found, ranks, strict=True)), fails, remarks)


def _ranks(sheet: Sheet, found: list[_Worst], fail_rows: list[Row], remark_rows: list[Row], fails: Row) -> list[Row]:
    sheet.heading("Order in which they are shown: fails first, then remarks")
    ranks = []
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
        ranks.append(rank)
    return ranks


def _check(sheet: Sheet, one: _Worst, rank: Row) -> Check:
    return Check(
        section=one.asked.section,
        label=one.asked.label,
        remedy=one.remedy,
        words=tuple(r.words for r in one.mends),
        longest_remedies=tuple(r.longest(sheet.book.system) for r in one.mends),
        worst=one.worst,
        where=one.where,
        value=one.value,
        wanted=one.wanted,
        verdict=one.verdict,
        rank=rank,
    )
