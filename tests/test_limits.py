"""Limits: every requirement just inside, at and just outside each of its limits, against what the trade says of it.

The requirements come from the tables that the sheets are made of, with the figure, the limits, the word that decides and the
figure of the remedy replaced by some of our choosing.  What the trade says stands below, written by hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest
from test_verdicts import SOUND
from test_worksheet import TEXT, Small, Typed

from hydrocalc.measures import COUNT, SYSTEMS, TEMPERATURE, Measure, System
from workbook_builder.build import Built, build
from workbook_builder.model.base import Axis
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Book
from workbook_builder.sheets.verdicts.checks import PLACES
from workbook_builder.sheets.verdicts.remedies import RemedyText
from workbook_builder.sheets.verdicts.requirements import Judged, Requirement, judge
from workbook_builder.sheets.verdicts.rules import FAIL, PASS, REMARK, AtLeast, AtMost, Between, ByWord, Judging, Near, OfJob, Rule, Slack
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

REQUIREMENTS = {asked.label: asked for place in PLACES for asked in place.requirements}
CODES = {"pass": 0.0, "remark": 1.0, "fail": 2.0}
ROUNDING = 1e-6  # of a limit, or in kelvins of a temperature: lies at the limit, unless the trade lets more pass
# Of a slack: the constants of a formula have nine digits, so that the slack itself is known to a hundredth or better.
NEARLY = 0.05
TEMPERATURES, OTHERS = (60.0, 0.0, -22.0), (8.0,)  # limits that are tried, in coherent units
SHEETS = None  # a limit that other sheets work out


@dataclass(frozen=True)
class Says:
    """What is made of a figure on one side of a limit, and words of what mends it."""

    side: Literal["above", "below"]
    verdict: Literal["pass", "remark", "fail"]
    limit: str | float | None  # an input of the job by its name, or a number
    mends: str
    share: float | None = None  # of the limit that is let pass
    amount: float | None = None  # likewise, in coherent units
    times: float = 1.0  # the limit is so many times the figure that is named
    fails: str = ""  # a second limit, beyond which it fails
    word: str = ""  # in a job that says so


TRADE: dict[str, tuple[Says, ...]] = {
    # A load is served if it gets its need, to a thousandth.
    "Every load gets what it needs": (Says("below", "fail", 1.0, "an emitter of at least", share=0.001),),
    # Need, heat taken and heat of the year.
    "Nothing about a load is missing": (Says("below", "fail", 3.0, "what Contents names"),),
    "Every load has a name of its own": (Says("above", "fail", 1.0, "another name"),),
    "The fuel of a load is one of today's": (Says("below", "fail", 1.0, "under Fuels today on Job"),),
    "Inputs of a load in order": (Says("above", "fail", 0.0, "foot of Water"),),
    "Approach of the exchanger": (Says("above", "remark", "exchanger approach", "larger exchanger"),),
    "Floor no hotter than is comfortable, the need met": (Says("above", "fail", SHEETS, "more floor"),),
    # A tank behind the plate has time to make up for a plate that is too small; taps on the plate alone run cold.
    "Hot water at the peak draw, out of the plate": (
        Says("below", "fail", SHEETS, "larger plate", amount=0.1, word="plate"),
        Says("below", "remark", SHEETS, "larger plate", amount=0.1, word="plate then tank"),
    ),
    "Scalding: a mixing valve at the taps": (
        Says("above", "fail", "highest hot water without a valve", "mixing valve", word="no"),
        Says("above", "pass", "highest hot water without a valve", "", word="yes"),
    ),
    "Water on the domestic side": (Says("above", "fail", "failing hot water temperature", "limiting control"),),
    "Storage against bacteria": (Says("below", "remark", "lowest stored temperature", "store at"),),
    "Tub no hotter than is safe": (Says("above", "fail", "highest tub temperature", "set it lower"),),
    "Loads in parallel stand so": (Says("above", "fail", 0.0, "next to one another"),),
    "Loads of a run stand together": (Says("above", "fail", 1.0, "next to one another"),),
    # Flow, head, the line's loss, what comes back and the loss of the year.
    "Nothing about a run is missing": (Says("below", "fail", 5.0, "what Contents names"),),
    "Every run has a name of its own": (Says("above", "fail", 1.0, "another name"),),
    "Every run starts at the boiler in the end": (Says("below", "fail", 1.0, "another place for its start"),),
    "Inputs of a run in order": (Says("above", "fail", 0.0, "foot of Pumps"),),
    "The line can be as it is described": (Says("above", "fail", 0.0, "jacket wide enough"),),
    "The circulator delivers the design flow": (Says("below", "fail", SHEETS, "stronger circulator", share=0.02),),
    "The circulator's curve meets the run at the flow": (Says("above", "fail", 0.01, "another circulator"),),
    "The circulator gives no more flow than is needed": (
        Says("above", "remark", "highest flow to design flow", "smaller circulator", share=0.001),
    ),
    "Head within one circulator's reach": (Says("above", "remark", "highest circulator head", "two circulators in series", share=0.001),),
    "Flow neither laminar nor turbulent": (Says("below", "remark", 4000.0, "smaller tube"),),
    "Branches take no more than the run carries": (Says("above", "fail", SHEETS, "stronger circulator", share=0.001),),
    "Velocity not too high": (Says("above", "remark", SHEETS, "larger tube", share=0.001, fails="failing velocity"),),
    "Velocity not too low": (Says("below", "remark", "lowest velocity", "smaller tube"),),
    "Head loss per length": (Says("above", "remark", SHEETS, "larger tube", share=0.001),),
    "Head loss per length not too low": (Says("below", "remark", "lowest head loss", "smaller tube"),),
    "Temperature lost by the supply": (Says("above", "remark", "line temperature loss", "dry line"),),
    "Loss on the design night, over what enters": (Says("above", "remark", "line loss of the design load", "upgraded line"),),
    "Jacket dry": (Says("above", "fail", 0.0, "sealed jacket"),),
    "A liquid of its own behind an exchanger": (Says("above", "fail", 0.0, "liquid of the boiler"),),
    # Water that just boils is not below boiling.
    "Highest point below boiling, circulator stopped": (
        Says("below", "fail", 0.0, "a plate exchanger low in the house; or a lower", amount=-1e-6),
    ),
    "High point of an open system": (Says("above", "remark", 0.0, "a plate exchanger low in the house; or a route"),),
    "Pressure at the highest point of a closed system, cold": (
        Says("below", "fail", "lowest pressure at the highest point", "fill pressure of at least", amount=1.0),
    ),
    "Suction head beyond the circulator's own": (Says("below", "fail", "suction margin", "shorter suction"),),
    "Tube within its pressure at its temperature": (Says("above", "fail", SHEETS, "another tube"),),
    # The water at rest, the output over the load and the cords of the year.
    "Nothing about the boiler and the wood is missing": (Says("below", "fail", 3.0, "what Contents names"),),
    "Inputs of the boiler in order": (Says("above", "fail", 0.0, "upper setpoint above the lower"),),
    # A boiler that is too small leaves the house cold; one that is too large idles.
    "Boiler's rated output over the load": (
        Says("below", "fail", "lowest output to load", "boiler of at least"),
        Says("above", "remark", "highest output to load", "boiler of at most"),
    ),
    "Sustained output over the load": (Says("below", "fail", "lowest sustained output to load", "more frequent loading"),),
    "Burn time, design night": (Says("below", "remark", "burn time", "fuller charge"),),
    "Firing time at half load": (Says("below", "remark", "shortest firing time", "buffer tank", fails="failing firing time"),),
    "Cycles an hour at half load": (Says("above", "remark", "cycles an hour", "buffer tank"),),
    "Return to the boiler": (
        Says("below", "fail", "lowest return temperature", "mix supply", word="none"),
        Says("below", "pass", "lowest return temperature", "", word="mixing valve"),
        Says("below", "pass", "lowest return temperature", "", word="bypass pump"),
    ),
    "Line losses over the heat of the season": (Says("above", "remark", "line loss of the season", "upgraded line"),),
    "Minutes of a full fire until the boiler boils": (Says("below", "fail", "boiling reserve", "overheat dump"),),
    # Water can be drained when the power fails; who has paid for antifreeze trusts it.
    "Freezing of the liquid, circulator stopped": (
        Says("above", "remark", SHEETS, "antifreeze", word="water"),
        Says("above", "fail", SHEETS, "antifreeze", word="propylene glycol"),
        Says("above", "fail", SHEETS, "antifreeze", word="ethylene glycol"),
    ),
    "Every fuel of today has a name of its own": (Says("above", "fail", 1.0, "another name"),),
    "Dates of the use go together": (Says("above", "fail", 0.0, "first and the last date"),),
    "Heat of its loads in a year, against the fuel's use": (
        Says("below", "fail", SHEETS, "against the bills", share=0.0, times=0.8),
        Says("above", "fail", SHEETS, "against the bills", share=0.0, times=1.2),
    ),
}


@dataclass(frozen=True)
class Case:
    """A figure beside limits of our choosing, in coherent units, and what is to come of it."""

    found: float
    low: float
    high: float
    fails: float
    word: str
    verdict: str
    mends: str


def _direction(says: Says) -> int:
    return 1 if says.side == "above" else -1


def _slack(says: Says, kind: Measure, edge: float) -> float:
    if says.amount is not None:
        return says.amount
    share = ROUNDING if says.share is None else says.share
    return ROUNDING if kind is TEMPERATURE and says.share is None else share * abs(edge)


def _cases(says: Says, kind: Measure, apart: float) -> Iterator[Case]:
    """``apart``: how many times the low limit the high one is, where a requirement has both."""
    out = _direction(says)
    for limit in (says.limit,) if isinstance(says.limit, float) else TEMPERATURES if kind is TEMPERATURE else OTHERS:
        low, high = (limit, limit * apart) if out < 0 else (limit / apart, limit)
        edge, second = limit * says.times, limit * (1.5 if out > 0 else 0.5)

        def case(found: float, verdict: str, low: float = low, high: float = high, second: float = second) -> Case:
            return Case(found, low, high, second, says.word, verdict, "" if verdict == "pass" else says.mends)

        if kind is COUNT:
            yield from (case(edge, "pass"), case(edge + out, says.verdict), case(edge - out, "pass"))
            continue
        slack = _slack(says, kind, edge)
        moved = slack or ROUNDING * (abs(edge) or 1.0)  # without a slack the figure itself lies that far to either side
        inside, outside = sorted((moved * (1 - NEARLY), moved * (1 + NEARLY))) if slack else (-moved, moved)
        size = max(abs(edge), 1.0)
        yield case(edge - out * 0.1 * size, "pass")
        yield case(edge + out * inside, "pass")
        yield case(edge + out * outside, says.verdict)
        if slack or edge == 0:
            yield case(edge, "pass" if slack >= 0 else says.verdict)
        if not says.fails:
            yield case(edge + out * 0.5 * size, says.verdict)
            continue
        yield case((edge + second) / 2, says.verdict)
        yield case(second, says.verdict)
        yield case(second + out * ROUNDING * second * (1 - NEARLY), says.verdict)
        yield case(second + out * ROUNDING * second * (1 + NEARLY), "fail")
        yield case(second + out * 0.4 * second, "fail")


@cache
def _built(system: System) -> Built:
    """What the rows of the requirements measure is read off a job."""
    lines = [(part, item, *(value if isinstance(value, tuple) else (value, ""))) for (part, item), value in SOUND.items()]
    return build(job_from_rows("table.csv", [TableRow(n, *line, "") for n, line in enumerate(lines, 2)]), system)


def _kind(label: str) -> Measure:
    kind = next(check.value.kind for check in _built("us").checks.all if check.label == label)
    assert isinstance(kind, Measure)
    return kind


def _book(system: System) -> Book:
    inputs = _built(system).context.inputs
    return Book(system, symbol=inputs.symbol, headings=inputs.headings)


def _with(rule: Rule, says: Says, limit: Row, others: dict[str, Row]) -> Rule:
    """The rule reading rows of our choosing; a limit that the trade gives as a number is the rule's own."""
    changes: dict[str, Any] = {}
    if not isinstance(says.limit, float):
        assert callable(rule.limit)
        changes["limit"] = lambda _: limit
    if rule.fails is not None:
        changes["fails"] = lambda _: others["fails"]
    if isinstance(rule.severity, ByWord):
        changes["severity"] = replace(rule.severity, row=lambda _: others["word"])
    if rule.figure is not None:
        changes["figure"] = replace(rule.figure, row=lambda _: others["figure"])
    return replace(rule, **changes)


@dataclass(frozen=True)
class Tried:
    """The cases of a requirement, one in a column, and what came of them."""

    cases: tuple[Case, ...]
    judged: Judged
    remedy: Row


def _tried(asked: Requirement, book: Book, name: str) -> Tried:
    said, kind = TRADE[asked.label], _kind(asked.label)
    apart = 4.0 if isinstance(asked.rule, Between) else 1.0
    cases = tuple(case for says in said for case in _cases(says, kind, apart))
    sheet = book.sheet(name, Axis("thing", tuple(f"case {n}" for n in range(1, len(cases) + 1))), name)
    unit = kind.unit(book.system)

    def typed(label: str, values: list[float]) -> Row:
        return sheet.take(label, Typed(tuple(float(unit.from_coherent(v)) for v in values), kind))

    found, low, high = (typed(label, [getattr(c, label) for c in cases]) for label in ("found", "low", "high"))
    others = {
        "fails": typed("fails", [c.fails for c in cases]),
        "word": sheet.take("word", Typed(tuple(c.word or "any" for c in cases), TEXT)),
        "figure": typed("figure", [5.0] * len(cases)),
    }
    rule: Rule | Between
    if isinstance(asked.rule, Between):
        below, above = (next(s for s in said if s.side == side) for side in ("below", "above"))
        rule = replace(asked.rule, low=_with(asked.rule.low, below, low, others), high=_with(asked.rule.high, above, high, others))
    else:
        rule = _with(asked.rule, said[0], low, others)
    at = Judging(_built(book.system).context, _built(book.system).sizing, sheet)
    judged = judge(at, replace(asked, found=lambda _: found, rule=rule, when=None))
    remedies = judged.remedies
    figures = remedies.low.figure, remedies.high.figure if remedies.high is not None else None
    return Tried(cases, judged, sheet.take("Remedy", RemedyText(remedies, book.system, judged.code, *figures, remedies.side)))


def findings(asked: Requirement, system: System) -> list[str]:
    """Every case in which a requirement says something else than the trade."""
    book = _book(system)
    tried = _tried(asked, book, "Limits")
    codes, remedies = (np.asarray(book.values[row]).tolist() for row in (tried.judged.code, tried.remedy))
    wrong = []
    for case, code, remedy in zip(tried.cases, codes, remedies, strict=True):
        if round(code) != CODES[case.verdict]:  # the rest of it tells by how far
            wrong.append(f"{case} is judged {code}")
        elif bool(case.mends) != bool(remedy) or case.mends not in remedy:
            wrong.append(f"{case} is to be mended by {remedy!r}")
    return wrong + _other_limits(asked)


def _other_limits(asked: Requirement) -> list[str]:
    """The limits that a requirement takes from elsewhere than where the trade has them."""
    wrong = []
    for says in TRADE[asked.label]:
        rule = asked.rule if isinstance(asked.rule, Rule) else asked.rule.high if says.side == "above" else asked.rule.low
        for limit, named in ((rule.limit, says.limit), (rule.fails, says.fails or SHEETS)):
            item = limit.item if isinstance(limit, OfJob) else SHEETS
            if item != (named if isinstance(named, str) else SHEETS):
                wrong.append(f"the limit {named} is {item}")
    return wrong


def test_the_trade_has_a_word_on_every_requirement_and_on_no_other() -> None:
    assert set(TRADE) == set(REQUIREMENTS)
    assert len(REQUIREMENTS) == sum(len(place.requirements) for place in PLACES), "two requirements bear one label"
    assert [check.label for check in _built("us").checks.all] == list(REQUIREMENTS)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("label", REQUIREMENTS)
def test_each_limit_just_inside_at_and_just_outside(label: str, system: System) -> None:
    assert findings(REQUIREMENTS[label], system) == []


@pytest.mark.parametrize("system", SYSTEMS)
def test_an_engine_says_the_same_of_each_limit(system: System, tmp_path: Path) -> None:
    book = _book(system)
    for number, asked in enumerate(REQUIREMENTS.values(), 1):
        _tried(asked, book, f"Limits{number}")
    assert Small(tmp_path, _built(system).context.inputs, book).recalculated() == []


# --- the test itself: a table that is wrong in one point is found out -------------------------------------------------

LARGE, EXACT = Slack(share=0.5, amount=1.5), Slack()


def _spoiled(rule: Rule, kind: Measure) -> Iterator[tuple[str, Rule]]:
    severity, limit, slack = rule.severity, rule.limit, rule.slack
    fields = {name: getattr(rule, name) for name in ("limit", "remedy", "severity", "fails", "slack", "figure")}
    if isinstance(rule, Near):
        yield "nearer below", replace(rule, less=rule.less * 0.9)
        yield "nearer above", replace(rule, more=rule.more * 0.9)
    else:
        yield "the other side", (AtLeast if isinstance(rule, AtMost) else AtMost)(**fields)
    if isinstance(severity, ByWord):
        yield "the other word", replace(rule, severity=replace(severity, then=severity.otherwise, otherwise=severity.then))
        yield "another word", replace(rule, severity=replace(severity, word="another"))
    else:
        yield "another severity", replace(rule, severity=REMARK if severity == FAIL else FAIL)
        yield "nothing made of it", replace(rule, severity=PASS)
    yield "a large slack", replace(rule, slack=LARGE)
    if slack is None and kind is not COUNT and limit != 0.0:
        yield "no slack", replace(rule, slack=EXACT)
    elif slack is not None and slack != EXACT:
        yield "more slack", replace(rule, slack=Slack(slack.share * 1.1, slack.amount * 1.1))
        yield "less slack", replace(rule, slack=Slack(slack.share * 0.9, slack.amount * 0.9))
    yield "another remedy", replace(rule, remedy="{figure} of nothing")
    if isinstance(limit, float):
        yield "another number", replace(rule, limit=limit + 1.0)
    elif isinstance(limit, OfJob):
        yield "another input", replace(rule, limit=OfJob("another"))
    if rule.fails is not None:
        yield "no fail", replace(rule, fails=None)


def _spoilings(asked: Requirement) -> Iterator[tuple[str, Requirement]]:
    rule, kind = asked.rule, _kind(asked.label)
    if isinstance(rule, Rule):
        yield from ((how, replace(asked, rule=spoiled)) for how, spoiled in _spoiled(rule, kind))
        return
    low, high = rule.low, rule.high
    yield from ((f"{how}, below", replace(asked, rule=replace(rule, low=spoiled))) for how, spoiled in _spoiled(low, kind))
    yield from ((f"{how}, above", replace(asked, rule=replace(rule, high=spoiled))) for how, spoiled in _spoiled(high, kind))
    yield "remedies crosswise", replace(asked, rule=Between(replace(low, remedy=high.remedy), replace(high, remedy=low.remedy)))


@pytest.mark.parametrize("label", REQUIREMENTS)
def test_a_requirement_that_is_wrong_in_one_point_is_found_out(label: str) -> None:
    spoilings = list(_spoilings(REQUIREMENTS[label]))
    assert spoilings
    assert [how for how, spoiled in spoilings if not findings(spoiled, "us")] == []
