"""Marks for what takes long: ``pytest -m "not slow"`` leaves it out, and has to see a little of everything all the same."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest


def but_first(cases: Iterable[Any], count: int = 1) -> list[Any]:
    """The cases of a test, all slow but the first."""
    return [case if number < count else pytest.param(case, marks=pytest.mark.slow) for number, case in enumerate(cases)]
