"""What takes long: marks for ``pytest -m "not slow"``, which has to see a little of everything, and cases left to a long run.

EVERYTHING=1 runs what the suite tries in a few cases in all of them.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable
from typing import Any

import pytest

EVERYTHING = os.environ.get("EVERYTHING") == "1"


def some(chosen: Collection[Any], cases: Iterable[Any]) -> list[Any]:
    """The chosen ones of the cases of a test; in a long run all of them."""
    return [case for case in cases if EVERYTHING or case in chosen]


def few(number: int, of: int) -> int:
    """So many cases; in a long run of how many they are a sample."""
    return of if EVERYTHING else number


def but_first(cases: Iterable[Any], count: int = 1) -> list[Any]:
    """The cases of a test, all slow but the first."""
    cases = list(cases)
    return but(cases[:count], cases)


def but(quick: Collection[Any], cases: Iterable[Any]) -> list[Any]:
    """The cases of a test, all slow but these; a tuple is several arguments."""
    return [c if c in quick else pytest.param(*(c if isinstance(c, tuple) else (c,)), marks=pytest.mark.slow) for c in cases]
