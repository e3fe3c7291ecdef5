"""Likely mistakes behind a claim that does not hold: each is tried, alone and in pairs, and the nearest are named.

A mistake is one of ``slips``: lines worked out another way, or the result itself written wrongly.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hydrocalc.measures import Measure
from workbook_builder.audit.slips import SLIPS
from workbook_builder.audit.slips.slip import Slip
from workbook_builder.model.rows import Row

from .naming import Place
from .scenarios import Change, Scenario, Scenarios
from .tolerances import Tolerance

# What remains of the difference, as a share of it, for a mistake to count as the explanation.
EXPLAINS = 0.2
# And as a share of the claim: hand arithmetic with rounded constants comes within this, or within the measure's tolerance.
REPRODUCES = 0.02
NO_EFFECT = 1e-3
FITS = 0.02  # where one mistake leaves no more than this of the difference, two at once are not looked for
# Two mistakes at once are a less likely story than one: a pair has to be so much nearer (share of the difference).
PAIR_PENALTY = 0.1
LIKELY = 0.3  # a pair is worked out only if its effects together come within this share of the claim
SHOWN = 3
# Pairs that are worked out, those first whose single effects together come nearest to the claim: for one claim, and for
# all of an audit.  A pair takes up to a twentieth of a second in a large job.
MOST_OF_A_CLAIM, MOST_OF_ALL = 40, 400


@dataclass(frozen=True)
class Explanation:
    """One or two mistakes that lead to the claim, and the number they give in the book's unit."""

    keys: tuple[str, ...]
    words: str
    value: float
    closeness: float  # what remains unexplained, as a share of the difference or, if that is less, of the claim


@dataclass
class _Known:
    """A slip and what it does to this scenarios."""

    slip: Slip
    order: int
    changes: dict[Row, tuple[Change, ...]]
    scenario: Scenario


_Effect = tuple[_Known, float]  # a mistake, and what it gives alone


class Search:
    """Looks for the mistakes behind claims on one scenarios."""

    def __init__(self, scenarios: Scenarios) -> None:
        self.scenarios = scenarios
        self.left = MOST_OF_ALL  # pairs that may still be worked out
        self._slips = [_Known(s, order, c := self._lines(s), Scenario(scenarios, c)) for order, s in enumerate(SLIPS)]

    def _lines(self, slip: Slip) -> dict[Row, tuple[Change, ...]]:
        changes: dict[Row, tuple[Change, ...]] = {}
        if slip.lines is not None:
            for row, change in slip.lines(self.scenarios):
                changes[row] = (*changes.get(row, ()), change)
        return changes

    def explain(self, place: Place, claimed: float, computed: float, tolerance: Tolerance) -> list[Explanation]:
        """The likeliest mistakes first; pairs where no single one fits, and as long as some may still be worked out."""
        kind = place.row.kind
        if not isinstance(kind, Measure) or not np.isfinite(computed) or claimed == computed:
            return []
        claim = _Claim(place, kind, claimed, computed, tolerance)
        alone = list(self._alone(claim))
        found = [e for known, value in alone if (e := self._explanation((known,), value, claim)) is not None]
        order = {known.slip.key: known.order for known, _ in alone}
        if any(e.closeness <= FITS for e in found):
            return _distinct(sorted(found, key=lambda e: (round(e.closeness, 2), order[e.keys[0]])))
        for first, second in self._likely_pairs(alone, claim):
            value = self._value((first[0], second[0]), claim)
            if value is None or _near(value, first[1]) or _near(value, second[1]):
                continue
            explanation = self._explanation((first[0], second[0]), value, claim)
            if explanation is not None:
                found.append(explanation)
        found.sort(key=lambda e: (round(e.closeness + PAIR_PENALTY * (len(e.keys) - 1), 2), sum(order[k] for k in e.keys)))
        return _distinct(found)

    def _alone(self, claim: _Claim) -> Iterator[_Effect]:
        for known in self._slips:
            value = self._value((known,), claim)
            if value is not None and not _near(value, claim.computed):
                yield known, value

    def _value(self, made: Sequence[_Known], claim: _Claim) -> float | None:
        """What the job gives with these mistakes made; None where they cannot be."""
        row, column = claim.place.row, claim.place.column
        reaching = [k for k in made if any(self.scenarios.depends(row, changed) for changed in k.changes)]
        if not reaching and all(k.slip.lines is not None for k in made):
            return None
        value = claim.computed
        if len(reaching) == 1:
            value = float(reaching[0].scenario.line(row)[column])
        elif reaching:
            changes: dict[Row, tuple[Change, ...]] = {}
            for known in reaching:
                for changed, more in known.changes.items():
                    changes[changed] = (*changes.get(changed, ()), *more)
            value = float(self.scenarios.worked(row, changes)[column])
        for known in made:
            written = self._written(known.slip, claim.kind, value)
            if written is None:
                return None
            value = written
        return value if np.isfinite(value) else None

    def _written(self, slip: Slip, kind: Measure, value: float) -> float | None:
        """How a mistake writes a value; None if it cannot be made with such a result."""
        if slip.moved is not None:
            return slip.moved(self.scenarios, kind, value)
        if slip.result is not None:
            factor = slip.result(self.scenarios, kind)
            return None if factor is None else value * factor
        return value

    def _likely_pairs(self, alone: Sequence[_Effect], claim: _Claim) -> list[tuple[_Effect, _Effect]]:
        """The pairs that are worth working out, the likeliest first."""
        likely = []
        for first, second in itertools.combinations(alone, 2):
            a, b = first[0].slip, second[0].slip
            if a.key == b.key or (a.group and a.group == b.group):
                continue
            distance = min(_distance(guess, claim.claimed) for guess in self._guesses(first, second, claim))
            if distance <= LIKELY:
                likely.append((distance, first, second))
        likely.sort(key=lambda p: p[0])
        count = min(len(likely), MOST_OF_A_CLAIM, self.left)
        self.left -= count
        return [(first, second) for _, first, second in likely[:count]]

    def _guesses(self, first: _Effect, second: _Effect, claim: _Claim) -> Iterator[float]:
        """What two mistakes may give together, told from what each gives alone: effects multiply, or they add."""
        yield first[1] + second[1] - claim.computed
        if claim.computed:
            yield first[1] * second[1] / claim.computed
        for one, other in ((first, second), (second, first)):
            if one[0].slip.moved is not None and (moved := one[0].slip.moved(self.scenarios, claim.kind, other[1])) is not None:
                yield moved

    def _explanation(self, made: Sequence[_Known], value: float, claim: _Claim) -> Explanation | None:
        rest = max(abs(value - claim.claimed) - claim.slack, 0.0)
        # A claim far below what is computed is explained by what comes near to it, not by what covers most of the way.
        share = rest / (min(abs(claim.claimed - claim.computed), abs(claim.claimed)) or abs(claim.computed))
        if share > EXPLAINS or rest > claim.near * max(abs(claim.claimed), abs(value)):
            return None
        words = "; and ".join(k.slip.said(self.scenarios.system) for k in made)
        return Explanation(tuple(k.slip.key for k in made), words, value, share)


@dataclass(frozen=True)
class _Claim:
    """What is to be explained."""

    place: Place
    kind: Measure
    claimed: float
    computed: float
    tolerance: Tolerance

    @property
    def slack(self) -> float:
        """How far the claim may be rounded."""
        return min(self.tolerance.rounding, 0.5 * abs(self.claimed - self.computed))

    @property
    def near(self) -> float:
        """The share of the claim within which hand arithmetic reproduces it."""
        return max(REPRODUCES, self.tolerance.share)


def _distance(a: float, b: float) -> float:
    return abs(a - b) / max(abs(a), abs(b), 1e-300)


def _near(a: float, b: float) -> bool:
    return abs(a - b) <= NO_EFFECT * max(abs(a), abs(b))


def _distinct(found: list[Explanation]) -> list[Explanation]:
    """The first few, without pairs that only dress up a mistake already named alone."""
    kept: list[Explanation] = []
    for one in found:
        if any(set(k.keys) <= set(one.keys) for k in kept):
            continue
        kept.append(one)
        if len(kept) == SHOWN:
            break
    return kept
