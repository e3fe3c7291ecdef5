"""A requirement of the job as data: what is found, the rule by which it is judged, where it is asked; and the rows that it makes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import COUNT, Measure
from workbook_builder.model.aggregates import CountWhere, total_of
from workbook_builder.model.base import Reference, ShowsNumber, lowered
from workbook_builder.model.references import Constant, CountOf, NotAbove, SameColumn
from workbook_builder.model.rows import Row
from workbook_builder.sheets.sizing.design import Sizing
from workbook_builder.table.ordering import above

from .remedies import Remedies
from .rules import FAR, AtLeast, AtMost, Between, Finds, Judging, MakesRow, Rule, no_fault

WHOLE = "inputs"  # the section of the requirements without which a figure would leave something out
CODES = "0 pass, 1 remark, 2 fail; of several columns a third more or less by how far"


@dataclass(frozen=True)
class Requirement:
    """One requirement: its section of the summary, what is found, the rule, and the columns in which it is asked."""

    section: str
    label: str
    found: MakesRow
    rule: Rule | Between
    when: Finds | None = None


@dataclass(frozen=True)
class Judged:
    """A requirement over the columns of its sheet: what is found and wanted, the code 0, 1 or 2 of each, and what would mend it."""

    asked: Requirement
    remedies: Remedies
    found: Row
    wanted: Row | None
    code: Row
    source: Row  # the line from which it was found


def shown_as(found: Row) -> ShowsNumber:
    """A count has no decimals."""
    return "whole" if found.kind is COUNT else "general"


def judge(at: Judging, asked: Requirement) -> Judged:
    """The rows of a requirement: what has to be worked out for it, its heading, what is found and wanted, the verdict."""
    if isinstance(asked.rule, Between):
        return _judge_between(at, asked, asked.rule)
    rule = asked.rule
    reads = rule.reads(at)
    found = at.once(asked.found)
    kind = _measure(found)
    remedies = Remedies(rule.mended(at))
    unit = kind.unit(at.sheet.book.system)

    def code(x: Any, w: Any, fails: Any, word: Any) -> Any:
        code = rule.judged(kind, unit, x, w, fails, word)
        return code if found.is_scalar else code + FAR * rule.how_far(unit, x, w)

    return _written(at, asked, remedies, found, reads.limit, code, reads.fails, reads.word)


def _judge_between(at: Judging, asked: Requirement, rule: Between) -> Judged:
    """The limit that is shown is that of the side that is not kept."""
    low, high = rule.low.reads(at), rule.high.reads(at)
    found = at.once(asked.found)
    kind, sheet = _measure(found), at.sheet
    assert isinstance(high.limit, Reference), "of two limits each is shown"
    mended = rule.low.mended(at), rule.high.mended(at)
    unit = kind.unit(sheet.book.system)
    sheet.heading(f"{asked.label}: the side")

    def is_above(x: Any, most: Any) -> Any:
        return np.where(rule.high.is_not_kept(kind, unit, x, most), 1.0, 0.0)

    words = f"if {lowered(found.label)} > {high.limit.name}: 1, else 0"
    side = sheet.calc("Above the higher limit (1: yes)", COUNT, is_above, found, high.limit, shows="whole", words=words)
    limit = sheet.calc("Limit of that side", kind, lambda s, a, b: np.where(s > 0, b, a), side, low.limit, high.limit)

    def code(x: Any, w: Any, s: Any, *more: Any) -> Any:
        code = np.where(s > 0, rule.high.judged(kind, unit, x, w, *more[:2]), rule.low.judged(kind, unit, x, w, *more[2:]))
        if found.is_scalar:
            return code
        return code + FAR * np.where(s > 0, rule.high.how_far(unit, x, w), rule.low.how_far(unit, x, w))

    more = (side, high.fails, high.word, low.fails, low.word)
    return _written(at, asked, Remedies(*mended, side), found, SameColumn(limit), code, *more)


def _written(
    at: Judging,
    asked: Requirement,
    remedies: Remedies,
    found: Row,
    limit: Reference | float | None,
    code: Callable[..., Any],
    *more: Reference | float | None,
) -> Judged:
    sheet, shows = at.sheet, shown_as(found)
    sheet.heading(asked.label)
    shown = sheet.take("Calculated", SameColumn(found), shows=shows) if found.sheet is not sheet else found
    wanted = sheet.take("Required", limit, shows=shows) if isinstance(limit, Reference) else None
    verdict = sheet.calc(
        "Verdict (0 pass, 1 remark, 2 fail)",
        COUNT,
        code,
        shown,
        wanted if wanted is not None else limit,
        *more,
        when=asked.when(at) if asked.when is not None else None,
        shows="whole",
        words=CODES,
    )
    return Judged(asked, remedies, shown, wanted, verdict, found)


def _measure(found: Row) -> Measure:
    assert isinstance(found.kind, Measure), f"{found.label} is no number"
    return found.kind


# -- what every family of inputs is asked


def complete(label: str, figures: Callable[[Sizing], tuple[Row, ...]], given: Finds, section: str = WHOLE) -> Requirement:
    """Where ``given`` holds, all these figures are there: a sum would leave out what is blank without a word."""

    def there(at: Judging) -> Row:
        at.sheet.heading(f"{label}: what is there")
        return at.sheet.take("Figures there", CountOf(figures(at.sizing)), shows="whole")

    remedy = "what Contents names: something is needed that is missing, or a value is not possible"
    return Requirement(section, label, there, AtLeast(lambda at: Constant(len(figures(at.sizing)), COUNT), remedy), given)


def named(family: str, given: Finds) -> Requirement:
    """Every figure is fetched and summed by name: of two columns of one name the first would count for both."""

    def columns(at: Judging) -> Row:
        at.sheet.heading(f"Columns that bear the name of this {family}")
        return at.sheet.take("Columns of that name", CountWhere(at.sheet.names, at.sheet.names), shows="whole")

    rule = AtMost(1.0, "another name for one of the two")
    return Requirement(WHOLE, f"Every {family} has a name of its own", columns, rule, given)


def in_order(family: str, sheet_name: str, given: Finds) -> Requirement:
    """Of two inputs that belong together the one lies above the other, as ``fill`` asks of a table."""
    pairs = above(family)

    def wrong(at: Judging) -> Row:
        sheet = at.sheet
        sheet.heading(f"Inputs of a {family} that have to lie above one another")
        rows = {item: at.context.known(sheet, item) for item in dict.fromkeys(i for pair in pairs for i in (pair.upper, pair.lower))}
        faults = [
            sheet.take(f"{rows[p.upper].label} above {p.lower}", NotAbove(rows[p.upper], rows[p.lower]), shows="whole") for p in pairs
        ]
        return sheet.take("How many are not", total_of(faults), shows="whole")

    remedy = f"the pair that stands with a 1 at the foot of {sheet_name}, unfolded: the first has to lie above the other"
    return Requirement(WHOLE, f"Inputs of a {family} in order", wrong, no_fault(remedy), given)
