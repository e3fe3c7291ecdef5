"""The books in samples/ are what the builder makes of the tables there, today."""

from __future__ import annotations

import re

import books
import engines
import openpyxl
import pytest
from slow import some

from workbook_builder.model.rows import FIRST_COLUMN


@pytest.mark.parametrize("sample", [s for s in books.SAMPLES if s.with_suffix(".xlsx").exists()], ids=lambda s: s.stem)
def test_the_book_of_a_sample_is_up_to_date(sample: books.Path) -> None:
    """A book that is not: python tests/make_samples.py"""
    kept, made = sample.with_suffix(".xlsx"), books.written(sample, "us").path
    assert engines.formulas(kept) == engines.formulas(made)
    assert engines.compare(engines.stored_values(kept), engines.stored_values(made)) == []


def test_the_full_sample_has_its_book() -> None:
    assert books.FULL.with_suffix(".xlsx").exists()


US_UNITS = re.compile(r"°F|\bBTU|\b(ft|ft²|ft³|gpm|psi|gal|lb|foot|feet|inch|inches)\b|\d in\b(?! the)")
METRIC_UNITS = re.compile(r"°C|\d ?(mm|cm|m|m³|kg/m³|kPa|L)\b|RSI")


@pytest.mark.slow
@pytest.mark.parametrize("sample", some([books.FULL], books.SAMPLES), ids=lambda p: p.stem)
def test_a_metric_book_speaks_metric(sample: books.Path) -> None:
    """But for what a fuel is sold by, and for sources, which are quoted: those stand in columns and on sheets of their own."""
    book = books.written(sample, "metric")
    sold = {line.unit for line in book.built.context.inputs.lines if line.part.startswith("fuel today")}
    seen = 0
    for sheet in openpyxl.load_workbook(book.path, data_only=True):
        if sheet.title in ("Tables", "Sources", "Functions"):
            continue
        sizing = book.built.book.sheets.get(sheet.title)
        last = FIRST_COLUMN + len(sizing.axis.labels) + 2 if sizing else sheet.max_column
        for cell in (c for row in sheet.iter_rows(max_col=last) for c in row if isinstance(c.value, str)):
            seen += 1
            text = cell.value if cell.value not in sold else ""
            assert not US_UNITS.search(text) or METRIC_UNITS.search(text), f"{sheet.title}!{cell.coordinate}: {text}"
    assert seen > 1000
