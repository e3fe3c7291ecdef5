"""The short run of what a hand types into a book; HAND=200 makes a longer one, the long one is a command."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

import books
import pytest
from slow import but_first
from typing_by_hand import Typist, alone, blank_typist, from_blank, run, sample_typist, together

COUNT = int(os.environ.get("HAND", "6"))
# What once left an error in a book, by the input and what was typed there, in the sample's units.
FOUND_BEFORE = [
    ("site|outdoor design temperature", "65"),  # warmer outdoors than in the cider room: a need below nothing
    ("fuel today oil|use", "0"),  # a building whose conductance comes of no fuel
    ("fuel today oil|share for hot water", "100"),
    ("run house|jacket outer diameter", "1.5"),  # two tubes that do not fit
    ("run house|upgraded jacket outer diameter", "0.5"),
    ("run house|spacing", "120"),  # tubes outside their jacket
]


@cache
def typist() -> Typist:
    return sample_typist(books.FULL, "us")


@pytest.mark.parametrize(("key", "text"), but_first(FOUND_BEFORE, 2))
def test_what_left_an_error_before_leaves_none(key: str, text: str) -> None:
    line = next(line for line in typist().lines if line.key == key)
    assert typist().errors_with([(line, text)]) == []


@pytest.mark.slow
def test_no_cell_becomes_an_error_whatever_is_typed_together() -> None:
    count, failed = run(typist(), together(typist(), range(50_000, 50_000 + COUNT)))
    assert count == COUNT and failed == []


@pytest.mark.slow
def test_no_cell_becomes_an_error_while_a_blank_book_is_typed_full(tmp_path: Path) -> None:
    """The sixth once left a load beside another one that was not worked out yet with a sum of a text."""
    blank = blank_typist("us", tmp_path)
    count, failed = run(blank, from_blank(blank, range(COUNT)))
    assert count == COUNT and failed == []


def test_an_error_is_seen_and_what_was_typed_is_put_back() -> None:
    line = next(line for line in typist().lines if line.key == "run house|length")
    count, failed = run(typist(), iter([[(line, "=1/0")]]))
    assert count == 1 and failed and failed[0].startswith("run house|length = =1/0: ")
    assert typist().errors_with([]) == []


def test_every_input_has_something_to_type() -> None:
    names = {line.key for case in alone(typist()) for line, _ in case}
    # A free text may be anything, and a name of a part is not one of the figures.
    assert {line.key for line in typist().lines if line.item.measure or line.item.choices} <= names
