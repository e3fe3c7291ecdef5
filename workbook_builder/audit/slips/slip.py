"""A slip: what was done wrong, in words, and what it changes; with the small changes that most are made of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from hydrocalc.measures import Measure, System
from workbook_builder.audit.scenarios import Change, Scenarios
from workbook_builder.model.rows import Row

Lines = Iterable[tuple[Row, Change]]


@dataclass(frozen=True)
class Slip:
    """One mistake: a key, what was done in words, and what it changes in a scenarios (or how it writes the result)."""

    key: str
    words: str
    lines: Callable[[Scenarios], Lines] | None = None
    result: Callable[[Scenarios, Measure], float | None] | None = None  # the factor by which it writes the result
    moved: Callable[[Scenarios, Measure, float], float | None] | None = None  # or what it writes for a value
    group: str = ""  # of one group only one mistake is made at a time
    metric: str = ""  # the words in a metric book, where its units make other ones

    def said(self, system: System) -> str:
        """The words in a book of that system."""
        return self.metric if self.metric and system == "metric" else self.words


def always(value: Row) -> Change:
    """The value of another line in place of this one."""
    return lambda values, _: values[value]


def times(factor: float) -> Change:
    return lambda _, own: own * factor


def only(condition: Row, texts: tuple[str, ...], change: Change) -> Change:
    """A change for the columns whose text is one of these."""
    return lambda values, own: np.where(np.isin(values[condition].astype(str), texts), change(values, own), own)
