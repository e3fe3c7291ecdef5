"""The books in samples/ are what the builder makes of the tables there, today."""

from __future__ import annotations

import books
import engines
import pytest


@pytest.mark.parametrize("sample", [s for s in books.SAMPLES if s.with_suffix(".xlsx").exists()], ids=lambda s: s.stem)
def test_the_book_of_a_sample_is_up_to_date(sample: books.Path) -> None:
    """A book that is not: python -m workbook_builder fill samples/NAME.csv --force"""
    kept, made = sample.with_suffix(".xlsx"), books.written(sample, "us").path
    assert engines.formulas(kept) == engines.formulas(made)
    assert engines.compare(engines.stored_values(kept), engines.stored_values(made)) == []


def test_the_full_sample_has_its_book() -> None:
    assert books.FULL.with_suffix(".xlsx").exists()
