"""What never pays is told in a word: the cell holds the thousand years that its function gives, and shows *never*."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import books
import engines
import openpyxl
import pytest
from books import TableRecord

from hydrocalc.money import simple_payback

NEVER = '[>=1000]"never";0.0'  # a condition and a word, as the format of a number has them
HOUSE, MONEY = "Payback of the upgraded line", "Simple payback"
# Better by nothing: as good as air is bad.  And a fuel that costs next to nothing saves nothing.
USELESS: list[TableRecord] = [
    ("run house", "upgraded insulation conductivity", "0.5", "BTU/(h ft °F)", ""),
    *((f"fuel today {name}", "price", "0.01", unit, "") for name, unit in (("oil", "$/gal"), ("gas", "$/gal"), ("current", "$/kWh"))),
]


def written(changes: list[TableRecord], path: Path) -> books.Written:
    changed = {row[:2] for row in changes}
    return books.write_job([row for row in books.table_of(books.FULL) if row[:2] not in changed] + changes, "us", path)


def shown(book: books.Written) -> dict[tuple[str, str], tuple[str, float]]:
    """Of each payback, by sheet and label: the format of its cell, and its number in another engine."""
    cells, sheets = engines.ironcalc_values(book.path), openpyxl.load_workbook(book.path)
    found = {}
    for sheet in ("Lines", "Money", "Summary"):
        page: Any = sheets[sheet]
        for row in page.iter_rows():
            for cell in row:
                if cell.value in (HOUSE, MONEY):
                    numbers = [c for c in page[cell.row] if c.column > cell.column and isinstance(cells.get((sheet, c.coordinate)), float)]
                    if numbers:
                        found[sheet, str(cell.value)] = numbers[0].number_format, float(cells[sheet, numbers[0].coordinate] or 0.0)
    return found


@pytest.mark.slow
def test_what_saves_nothing_is_never_paid(tmp_path: Path) -> None:
    found = shown(written(USELESS, tmp_path / "useless.xlsx"))
    assert found == dict.fromkeys((("Lines", HOUSE), ("Money", MONEY), ("Summary", MONEY)), (NEVER, 1000.0))


@pytest.mark.slow
def test_what_saves_something_is_a_number() -> None:
    found = shown(books.written(books.FULL, "us"))
    assert set(found) == {("Lines", HOUSE), ("Money", MONEY), ("Summary", MONEY)}
    assert all(form == NEVER and 0 < years < 1000 for form, years in found.values())


def test_the_figure_of_never() -> None:
    """By definition cost over saving; without a saving, the figure from which on the format says never."""
    assert simple_payback(900.0, 0.0) == simple_payback(900.0, -5.0) == 1000.0
    assert simple_payback(900.0, 90.0) == 10.0
