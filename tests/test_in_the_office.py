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
from books import FULL, SYSTEMS

from hydrocalc.measures import System
from workbook_builder.model.typed_sheets import TYPED_SHEETS

FALSE_VALUE = -1.0
pytestmark = pytest.mark.office


@dataclass(frozen=True)
class Seen:
    """What a book shows in a unit system: as it opens, and recalculated; a blank one when it is filled; and that one's file."""

    opened: engines.Cells
    recalculated: engines.Cells
    filled: engines.Cells
    saved: Path


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[System, Seen], engines.Cells]:
    """That, and what the twin shows as it opens, in which a false value is stored in every formula cell."""
    folder = tmp_path_factory.mktemp("hands")
    saved = {system: folder / f"filled-{system}.xlsx" for system in SYSTEMS}
    steps: list[dict[str, Any]] = [{"do": "document", "open": str(books.written(FULL, "us", FALSE_VALUE).path), "times": 0}]
    for system in SYSTEMS:
        blank = folder / f"blank-{system}.xlsx"
        typed: dict[str, dict[str, float | str]] = {sheet: {} for sheet in TYPED_SHEETS}
        for line, value in filling.blank_book(blank, system):
            typed[line.sheet][line.cell] = value
        steps += [
            {"do": "document", "open": str(books.written(FULL, system).path), "as_opened": True},
            {"do": "document", "open": str(blank), "enforced": typed, "save": {str(saved[system]): "Calc MS Excel 2007 XML"}},
        ]
    twin, *shown = office.Profile(folder / "office").session(steps)
    found = {}
    for system, book, filled in zip(SYSTEMS, shown[::2], shown[1::2], strict=True):
        assert filled["refused"] == {sheet: [] for sheet in TYPED_SHEETS}
        opened, recalculated, by_hand = (agreement.as_cells(s) for s in ({"sheets": book["opened"]}, book, filled))
        found[system] = Seen(opened, recalculated, by_hand, saved[system])
    return found, agreement.as_cells(twin)


@pytest.fixture(scope="module")
def seen(session: tuple[dict[System, Seen], engines.Cells]) -> dict[System, Seen]:
    return session[0]


def test_the_program_shows_what_is_stored(session: tuple[dict[System, Seen], engines.Cells]) -> None:
    """By its default settings it recalculates nothing when it opens a book: the false values stand there."""
    assert {session[1].get(cell) for cell in books.stored(books.written(FULL, "us").path)} == {FALSE_VALUE}


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_book_opens_with_every_value_right(seen: dict[System, Seen], system: System) -> None:
    assert engines.compare(books.stored(books.written(FULL, system).path), seen[system].opened) == []


@pytest.mark.parametrize("system", SYSTEMS)
def test_recalculation_changes_nothing(seen: dict[System, Seen], system: System) -> None:
    book = books.written(FULL, system)
    least = agreement.least_differences(book.built, book.path)
    assert engines.compare(seen[system].opened, seen[system].recalculated, least=least) == []


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_blank_book_filled_by_hand_gives_the_samples_results_and_book(seen: dict[System, Seen], system: System, tmp_path: Path) -> None:
    assert filling.differences(seen[system].filled, system) == []
    assert filling.differences_after_fill(seen[system].saved, system, tmp_path / "again.xlsx") == []
