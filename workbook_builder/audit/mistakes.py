"""Likely mistakes behind a claim that does not hold: each is tried, alone and in pairs, and the nearest are named.

A mistake is a slip of ``slips.py``: lines worked out another way, or the result itself written wrongly.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import Measure

from ..sheet_rows import Row
from .naming import Place
from .tolerances import Tolerance
from .worlds import Change, World

# What remains of the difference, as a share of it, for a mistake to count as the explanation.
EXPLAINS = 0.2
# And as a share of the claim: hand arithmetic with rounded constants comes within this, or within the measure's tolerance.
REPRODUCES = 0.02
NO_EFFECT = 1e-3
FITS = 0.02  # where one mistake leaves no more than this of the difference, two at once are not looked for
# Two mistakes at once are a less likely story than one: a pair has to be so much nearer (share of the difference).
PAIR_PENALTY = 0.1
LIKELY = 0.7  # a pair is worked out only if its two ratios lead to within this factor of the claim
SHOWN = 3


@dataclass(frozen=True)
class Slip:
    """One mistake: a key, what was done in words, and what it changes in a world (or how it writes the result)."""

    key: str
    words: str
    lines: Callable[[World], Iterable[tuple[Row, Change]]] | None = None
    result: Callable[[World, Measure], float | None] | None = None  # the factor by which it writes the result
    moved: Callable[[World, Measure, float], float | None] | None = None  # or what it writes for a value
    group: str = ""  # of one group only one mistake is made at a time


@dataclass(frozen=True)
class Explanation:
    """One or two mistakes that lead to the claim, and the number they give in the book's unit."""

    slips: tuple[Slip, ...]
    value: float
    closeness: float  # what remains unexplained, as a share of the difference

    @property
    def words(self) -> str:
        return "; and ".join(s.words for s in self.slips)

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(s.key for s in self.slips)


@dataclass
class _Tried:
    slip: Slip
    changes: dict[Row, tuple[Change, ...]]
    value: float
    order: int


class Search:
    """Looks for the mistakes behind claims on one world."""

    def __init__(self, world: World) -> None:
        from .slips import SLIPS

        self.world = world
        self._slips = [(slip, self._lines(slip)) for slip in SLIPS]

    def _lines(self, slip: Slip) -> dict[Row, tuple[Change, ...]]:
        changes: dict[Row, tuple[Change, ...]] = {}
        if slip.lines is not None:
            for row, change in slip.lines(self.world):
                changes[row] = (*changes.get(row, ()), change)
        return changes

    def explain(self, place: Place, claimed: float, computed: float, tolerance: Tolerance) -> list[Explanation]:
        """The likeliest mistakes first."""
        kind = place.row.kind
        if not isinstance(kind, Measure) or not np.isfinite(computed) or claimed == computed:
            return []
        slack = min(tolerance.rounding, 0.5 * abs(claimed - computed))
        near = max(REPRODUCES, tolerance.share)
        alone = list(self._alone(place, kind, computed))
        found = [e for t in alone if (e := self._explanation((t.slip,), t.value, claimed, computed, slack, near)) is not None]
        order = {t.slip.key: t.order for t in alone}
        if any(e.closeness <= FITS for e in found):
            return _distinct(sorted(found, key=lambda e: (round(e.closeness, 2), order[e.keys[0]])))
        for first, second in itertools.combinations(alone, 2):
            if (first.slip.group and first.slip.group == second.slip.group) or first.slip.key == second.slip.key:
                continue
            value = self._together(place, kind, first, second, claimed, computed)
            if value is None or _near(value, first.value) or _near(value, second.value):
                continue
            explanation = self._explanation((first.slip, second.slip), value, claimed, computed, slack, near)
            if explanation is not None:
                found.append(explanation)
        found.sort(key=lambda e: (round(e.closeness + PAIR_PENALTY * (len(e.slips) - 1), 2), sum(order[k] for k in e.keys)))
        return _distinct(found)

    def _alone(self, place: Place, kind: Measure, computed: float) -> Iterator[_Tried]:
        for order, (slip, changes) in enumerate(self._slips):
            value = self._with(place, kind, (slip,), changes, computed)
            if value is not None and not _near(value, computed):
                yield _Tried(slip, changes, value, order)

    def _with(self, place: Place, kind: Measure, slips: tuple[Slip, ...], changes: dict[Row, Any], computed: float) -> float | None:
        if changes and not any(self.world.depends(place.row, row) for row in changes):
            if all(s.lines is not None for s in slips):
                return None
            changes = {}
        value = float(self.world.worked(place.row, changes)[place.column]) if changes else computed
        for slip in slips:
            if slip.result is not None:
                factor = slip.result(self.world, kind)
                if factor is None:
                    return None
                value *= factor
            if slip.moved is not None:
                moved = slip.moved(self.world, kind, value)
                if moved is None:
                    return None
                value = moved
        return value if np.isfinite(value) else None

    def _together(self, place: Place, kind: Measure, first: _Tried, second: _Tried, claimed: float, computed: float) -> float | None:
        if computed and claimed and first.slip.moved is None and second.slip.moved is None:
            expected = first.value * second.value / computed
            if not LIKELY < abs(expected / claimed) < 1 / LIKELY:
                return None
        changes = dict(first.changes)
        for row, more in second.changes.items():
            changes[row] = (*changes.get(row, ()), *more)
        return self._with(place, kind, (first.slip, second.slip), changes, computed)

    def _explanation(
        self, slips: tuple[Slip, ...], value: float, claimed: float, computed: float, slack: float, near: float
    ) -> Explanation | None:
        rest = max(abs(value - claimed) - slack, 0.0)
        share = rest / abs(claimed - computed)
        if share > EXPLAINS or rest > near * max(abs(claimed), abs(value)):
            return None
        return Explanation(slips, value, share)


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
