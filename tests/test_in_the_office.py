"""What somebody sees in LibreOffice: a book as it opens, recalculated, and a blank one filled by hand.  One start of the program."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import agreement
import books
import engines
import filling
import office
import pytest
from books import FULL

from hydrocalc.measures import System
from workbook_builder.model.typed_sheets import TYPED_SHEETS

pytestmark = [pytest.mark.office, pytest.mark.slow]


OPENED: System = "us"
BY_HAND: System = "metric"  # test_blank.py does the same in the other system, in IronCalc


@dataclass(frozen=True)
class Seen:
    """What the program shows of the sample's book."""

    false: engines.Cells  # as it opens, the twin in which a false value is stored in every formula cell
    opened: engines.Cells  # as it opens
    recalculated: engines.Cells
    filled: engines.Cells  # a blank book in which the sample's inputs were typed
    saved: Path  # that one's file


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Seen:
    folder = tmp_path_factory.mktemp("hands")
    blank, saved = folder / "blank.xlsx", folder / "filled.xlsx"
    typed: dict[str, dict[str, float | str]] = {sheet: {} for sheet in TYPED_SHEETS}
    for line, value in filling.blank_book(blank, BY_HAND):
        typed[line.sheet][line.cell] = value
    steps: list[dict[str, Any]] = [
        {"do": "document", "open": str(books.written(FULL, OPENED, false=True).path), "times": 0},
        {"do": "document", "open": str(books.written(FULL, OPENED).path), "as_opened": True},
        {"do": "document", "open": str(blank), "enforced": typed, "save": {str(saved): "Calc MS Excel 2007 XML"}},
    ]
    twin, book, by_hand = office.Profile(folder / "office").session(steps)
    assert by_hand["refused"] == {sheet: [] for sheet in TYPED_SHEETS}
    return Seen(*(agreement.as_cells(s) for s in (twin, {"sheets": book["opened"]}, book, by_hand)), saved)


def test_the_program_shows_what_is_stored(seen: Seen) -> None:
    """By its default settings it recalculates nothing when it opens a book: the false values stand there."""
    assert {seen.false.get(cell) for cell in books.stored(books.written(FULL, OPENED).path)} == {books.FALSE}


def test_a_book_opens_with_every_value_right(seen: Seen) -> None:
    assert engines.compare(books.stored(books.written(FULL, OPENED).path), seen.opened) == []


def test_recalculation_changes_nothing(seen: Seen) -> None:
    book = books.written(FULL, OPENED)
    least = agreement.least_differences(book.built, book.path)
    assert engines.compare(seen.opened, seen.recalculated, least=least) == []


def test_a_blank_book_filled_by_hand_gives_the_samples_results_and_book(seen: Seen, tmp_path: Path) -> None:
    assert filling.differences(seen.filled, BY_HAND) == []
    assert filling.differences_after_fill(seen.saved, BY_HAND, tmp_path / "again.xlsx") == []
