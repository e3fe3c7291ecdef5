"""Marks for what takes long: ``pytest -m "not slow"`` leaves it out, and has to see a little of everything all the same."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

import pytest


def but_first(cases: Iterable[Any], count: int = 1) -> list[Any]:
    """The cases of a test, all slow but the first."""
    cases = list(cases)
    return but(cases[:count], cases)


def but(quick: Collection[Any], cases: Iterable[Any]) -> list[Any]:
    """The cases of a test, all slow but these; a tuple is several arguments."""
    return [c if c in quick else pytest.param(*(c if isinstance(c, tuple) else (c,)), marks=pytest.mark.slow) for c in cases]
