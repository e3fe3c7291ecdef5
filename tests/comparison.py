"""One row of the table of accuracies: a function beside a reference that shares no formula with it."""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from hydrocalc.named import ValidityWarning

KELVIN = 273.15
Pairs = Iterable[tuple[Any, Any]]


@dataclass(frozen=True)
class Comparison:
    """One row: a function, its reference, pairs of (ours, theirs), and the bound it states."""

    function: str
    reference: str
    over: str
    pairs: Callable[[], Pairs]
    bound: float
    absolute: str = ""  # the unit, where a difference is meant and not a ratio

    def worst(self) -> float:
        """The largest difference, relative unless the row says otherwise."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", ValidityWarning)
            found = [abs(ours - theirs) / (1.0 if self.absolute else abs(theirs)) for ours, theirs in self.pairs()]
        assert found and all(map(math.isfinite, found)), f"{self.function}: nothing was compared, or a difference is not a number"
        return float(max(found))
