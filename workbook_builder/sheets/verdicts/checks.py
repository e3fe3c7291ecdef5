"""Checks: the requirements of the whole job judged, and the verdict on each: the worst of it, and where that is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from workbook_builder.model.aggregates import Across, CountText, FoundAt, PlaceInOrder
from workbook_builder.model.base import Reference, ShowsNumber
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.sheets.sizing.context import ONE, Context
from workbook_builder.sheets.sizing.design import Sizing
from workbook_builder.sheets.sizing.results import Check, Checks

from .job_checks import FUELS, JOB
from .load_checks import LOADS
from .places import MENDED_AT
from .remedies import Remedy, RemedyText
from .requirements import Judged, Requirement, judge, shown_as
from .rules import Judging
from .run_checks import RUNS

GATHERED_ON = "Verdicts"
COUNT_ROW, VERDICTS_FIRST = 2, 5  # rows, counted from 1: how many are not kept, and the first requirement
COLUMNS = (
    ("requirement", 46),
    ("about", 12),
    ("where", 14),
    ("calculated", 11),
    ("required", 11),
    ("unit", 15),
    ("verdict", 10),
    ("remedy", 70),
    ("input", 30),
    ("place", 7),
    ("code", 7),
    ("figure", 10),
    ("figure, high side", 10),
    ("high side", 7),
)
COLUMN_OF = {name: column for column, (name, _) in enumerate(COLUMNS)}


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


def _at_its_worst(sheet: Sheet, line: int, judged: Judged) -> _Worst:
    """One line of the table, its cells worked out where they stand."""
    code, asked, remedies = judged.code, judged.asked, judged.remedies

    def cell(name: str, reference: Reference, shows: ShowsNumber = "general") -> Row:
        with sheet.cell(line, COLUMN_OF[name]):
            return sheet.take(f"{asked.label}: {name}", reference, shows=shows)

    worst = cell("code", Across(code, "MAX"), "whole")
    if code.axis == ONE:
        with sheet.cell(line, COLUMN_OF["where"]):
            where = sheet.texts(f"{asked.label}: where", ["whole job"])
    else:
        where = cell("where", FoundAt(code.sheet.names, code, worst))
    shows = shown_as(judged.found)
    value = cell("calculated", FoundAt(judged.found, code, worst), shows)
    limit = cell("required", FoundAt(judged.wanted, code, worst), shows) if judged.wanted is not None else None
    low, high, side = (
        cell(name, FoundAt(row, code, worst)) if row is not None else None
        for name, row in (
            ("figure", remedies.low.figure),
            ("figure, high side", remedies.high.figure if remedies.high is not None else None),
            ("high side", remedies.side),
        )
    )
    remedy = cell("remedy", RemedyText(remedies, sheet.book.system, worst, low, high, side))
    with sheet.cell(line, COLUMN_OF["verdict"]):
        verdict = sheet.calc(
            f"{asked.label}: verdict",
            None,
            lambda w: np.where(w > 1.5, "fail", np.where(w > 0.5, "remark", "pass")),
            worst,
            words="pass, remark or fail",
        )
    mends = (remedies.low,) if remedies.high is None else (remedies.low, remedies.high)
    return _Worst(asked, mends, worst, where, value, limit, remedy, verdict)


def _gather(sheet: Sheet, judged: list[Judged]) -> Checks:
    """The worst of each requirement, with its place, in the order of the summary."""
    found = [_at_its_worst(sheet, line, one) for line, one in enumerate(judged, VERDICTS_FIRST)]
    verdicts = tuple(one.verdict for one in found)
    with sheet.cell(COUNT_ROW, COLUMN_OF["calculated"]):
        fails = sheet.take("Requirements that fail", CountText(verdicts, "fail"), shows="whole")
    with sheet.cell(COUNT_ROW, COLUMN_OF["verdict"]):
        remarks = sheet.take("Requirements with a remark", CountText(verdicts, "remark"), shows="whole")
    checks = []
    for index, one in enumerate(found):
        with sheet.cell(VERDICTS_FIRST + index, COLUMN_OF["place"]):
            place = sheet.take(f"{one.asked.label}: place", PlaceInOrder(verdicts, index), shows="whole")
        checks.append(_check(sheet, one, place, judged[index].source))
    return Checks(tuple(checks), fails, remarks)


def _check(sheet: Sheet, one: _Worst, rank: Row, source: Row) -> Check:
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
        source=source,
        input=MENDED_AT[one.asked.label],
    )
