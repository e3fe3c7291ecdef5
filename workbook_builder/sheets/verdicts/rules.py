"""The rules by which a figure is judged: at most, at least, near another, between two; what is made of it, and what would mend it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar, cast

import numpy as np

from hydrocalc.measures import COUNT, TEMPERATURE, Key, Measure, Unit
from workbook_builder.model.base import Reference
from workbook_builder.model.references import SameColumn
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.sheets.sizing.design import Sizing

from .remedies import Remedy

PASS, REMARK, FAIL = 0.0, 1.0, 2.0
# A figure typed in one unit is compared in another, and one typed as proposed has been through arithmetic that rounds: what
# lies beyond a limit by no more than this share of it, a temperature by so many kelvins, lies at it.
TYPED = 1e-6
# Of columns with one verdict the one that lies furthest beyond the limit counts, or that comes nearest to it: how far that is,
# counted as less than this, comes to the code.
FAR = 1 / 3

Made = TypeVar("Made")


@dataclass(frozen=True)
class Judging:
    """Where requirements are judged: the job and what it gives, their sheet, and the rows that several of them read."""

    context: Context
    sizing: Sizing
    sheet: Sheet
    made: dict[Callable[[Judging], object], object] = field(default_factory=dict)

    def once(self, make: Callable[[Judging], Made]) -> Made:
        """What ``make`` makes, put where the first requirement wants it."""
        if make not in self.made:
            self.made[make] = make(self)
        return cast(Made, self.made[make])


MakesRow = Callable[[Judging], Row]
Finds = Callable[[Judging], Reference]
Limit = Finds | float  # a number of our own, in coherent units, is not shown as what is wanted


@dataclass(frozen=True)
class OfJob:
    """An input of the job, one of its limits unless another part is named."""

    item: str
    part: str = "limits"

    def __call__(self, at: Judging) -> Reference:
        return at.context.job(self.part, self.item)


def same(row: Callable[[Sizing], Row]) -> Finds:
    """A row of another sheet as a limit, for the same run, load or fuel."""
    return lambda at: SameColumn(row(at.sizing))


@dataclass(frozen=True)
class Slack:
    """How far beyond its limit a figure still keeps it, as a share of the limit or an amount; negative: how clear it has to stay."""

    share: float = 0.0
    amount: float = 0.0  # in coherent units

    def is_above(self, found: Any, limit: Any, unit: Unit) -> Any:
        """All in the trade unit, in which the formula is read."""
        limit = limit * (1 + self.share) if self.share else limit
        return found - limit > self.amount / float(unit.scale) if self.amount else found > limit

    def is_below(self, found: Any, limit: Any, unit: Unit) -> Any:
        limit = limit * (1 - self.share) if self.share else limit
        return limit - found > self.amount / float(unit.scale) if self.amount else found < limit


def slack_of(kind: Measure | Key | None) -> Slack:
    """Of a comparison that states no other; whole numbers are compared as they are."""
    return Slack() if kind is COUNT else Slack(amount=TYPED) if kind is TEMPERATURE else Slack(share=TYPED)


@dataclass(frozen=True)
class ByWord:
    """What is made of a limit that is not kept, where a word of the job decides it."""

    row: Finds
    word: str
    then: float
    otherwise: float


@dataclass(frozen=True)
class Figure:
    """The figure in a remedy: its row, the whole steps of both systems' trade units in which it is given, rounded up or down."""

    row: MakesRow
    step: tuple[float, float] = (1.0, 1.0)
    up: bool = True
    without: str = ""  # the remedy's words where none would do


@dataclass(frozen=True)
class Reads:
    """What the formula of a rule reads beside the figure that is judged."""

    limit: Reference | float | None
    fails: Reference | float | None
    word: Reference | None


@dataclass(frozen=True)
class Rule:
    """A figure against one limit: what is made of it beyond that, a fail beyond a second one if there is one, and the remedy."""

    limit: Limit
    remedy: str
    severity: float | ByWord = FAIL
    fails: Limit | None = None
    slack: Slack | None = None  # of the first limit, where more than rounding is let pass
    figure: Figure | None = None

    def is_beyond(self, found: Any, limit: Any, slack: Slack, unit: Unit) -> Any:
        raise NotImplementedError

    def beyond_by(self, found: Any, limit: Any) -> Any:
        """How far beyond the limit, in the row's trade unit; negative: how far from it."""
        raise NotImplementedError

    def how_far(self, unit: Unit, found: Any, limit: Any) -> Any:
        """Between -1 and 1, recorded likewise."""
        far = self.beyond_by(in_trade(found, unit), in_trade(limit, unit))
        return far / (1 + abs(far))

    def is_not_kept(self, kind: Measure, unit: Unit, found: Any, limit: Any) -> Any:
        """Recorded in the formula of a row, in the trade unit."""
        return self.is_beyond(in_trade(found, unit), in_trade(limit, unit), self.slack or slack_of(kind), unit)

    def judged(self, kind: Measure, unit: Unit, found: Any, limit: Any, fails: Any, word: Any) -> Any:
        """The code 0, 1 or 2 of a figure of that kind, recorded likewise."""
        severity: Any = self.severity
        if isinstance(severity, ByWord):
            severity = np.where(word == severity.word, severity.then, severity.otherwise)
        code = np.where(self.is_not_kept(kind, unit, found, limit), severity, PASS)
        if self.fails is None:
            return code
        return np.where(self.is_beyond(in_trade(found, unit), in_trade(fails, unit), slack_of(kind), unit), FAIL, code)

    def reads(self, at: Judging) -> Reads:
        limit, fails = (of(at) if callable(of) else of for of in (self.limit, self.fails))
        return Reads(limit, fails, self.severity.row(at) if isinstance(self.severity, ByWord) else None)

    def mended(self, at: Judging) -> Remedy:
        """The remedy, its figure worked out."""
        if self.figure is None:
            return Remedy(self.remedy)
        return Remedy(self.remedy, at.once(self.figure.row), self.figure.step, self.figure.up, self.figure.without)


class AtMost(Rule):
    def is_beyond(self, found: Any, limit: Any, slack: Slack, unit: Unit) -> Any:
        return slack.is_above(found, limit, unit)

    def beyond_by(self, found: Any, limit: Any) -> Any:
        return found - limit


class AtLeast(Rule):
    def is_beyond(self, found: Any, limit: Any, slack: Slack, unit: Unit) -> Any:
        return slack.is_below(found, limit, unit)

    def beyond_by(self, found: Any, limit: Any) -> Any:
        return limit - found


@dataclass(frozen=True)
class Near(Rule):
    """No further from the limit, a figure of the same job, than by a share of it to either side."""

    less: float = 0.0
    more: float = 0.0

    def is_beyond(self, found: Any, limit: Any, slack: Slack, unit: Unit) -> Any:
        return slack.is_below(found, limit * (1 - self.less), unit) | slack.is_above(found, limit * (1 + self.more), unit)

    def beyond_by(self, found: Any, limit: Any) -> Any:
        return np.maximum(limit * (1 - self.less) - found, found - limit * (1 + self.more))


@dataclass(frozen=True)
class Between:
    """A side to either hand, each with its own limit, severity and remedy."""

    low: AtLeast
    high: AtMost


def no_fault(remedy: str) -> AtMost:
    """No fault is counted."""
    return AtMost(0.0, remedy)


def in_trade(cell: Any, unit: Unit) -> Any:
    """A coherent value in a trade unit, by exact ratios: of a cell that holds that unit the cell is left."""
    return (cell - unit.offset) / unit.scale
