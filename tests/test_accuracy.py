"""Every accuracy that the catalogue states and an independent library can measure is measured, and holds."""

from __future__ import annotations

import re

import pytest
from accuracy import comparisons
from comparison import Comparison

from hydrocalc.named import catalogue

ROWS = list(comparisons())


@pytest.mark.parametrize("row", ROWS, ids=[f"{r.function}, {r.reference}, {r.over}" for r in ROWS])
def test_measured_is_within_stated(row: Comparison) -> None:
    assert row.worst() <= row.bound


@pytest.mark.parametrize("row", ROWS, ids=[f"{r.function}, {r.reference}, {r.over}" for r in ROWS])
def test_the_bound_is_the_one_that_the_catalogue_states(row: Comparison) -> None:
    stated = catalogue()[row.function].accuracy
    power = re.sub(r"e-0", "e-", f"{row.bound:.0e}")
    forms = (power, f"{row.bound:g} K", f"{row.bound:g} of", f"{row.bound * 100:g} %")
    assert stated.startswith(("exact", "equal")) or any(form in stated for form in forms)


def test_a_difference_beyond_the_bound_is_seen() -> None:
    off = Comparison("water_density", "itself, spoiled", "two points", lambda: [(1.0, 1.0), (1.0002, 1.0)], 1e-4)
    assert off.worst() > off.bound
    with pytest.raises(AssertionError, match="nothing was compared"):
        Comparison("water_density", "nothing", "nowhere", list, 1e-4).worst()
    with pytest.raises(AssertionError, match="not a number"):
        Comparison("water_density", "nan", "nowhere", lambda: [(float("nan"), 1.0)], 1e-4).worst()
