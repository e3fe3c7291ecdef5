"""An office whose decimals have a comma: the same book shows and computes the same, and comes back as the same job."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import agreement
import books
import engines
import pytest
from office import Profile

from workbook_builder.table.reader import read_job

POINT, COMMA = "en-US", "de-DE"
XLSX = "Calc MS Excel 2007 XML"
WITH_POINT = re.compile(r"-?\d{1,3}(,\d{3})*\.\d+")
WITH_COMMA = re.compile(r"-?\d{1,3}(\.\d{3})*,\d+")
pytestmark = [pytest.mark.office, pytest.mark.slow]
SHOWN = ("Summary", "Verdicts", "Money")  # each cell is asked for by itself, which takes time


@dataclass(frozen=True)
class Opened:
    """A book as one office saw it: its values, what some cells show, and the file that it saved."""

    cells: engines.Cells
    shown: dict[str, dict[str, str]]
    saved: Path


@pytest.fixture(scope="module")
def offices(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Opened]:
    """The sample's book with a false value in every formula cell, recalculated by offices in two countries."""
    twin = books.written(books.FULL, "us", false=True).path
    numbers: dict[str, list[str]] = {}
    for (sheet, place), value in books.stored(books.written(books.FULL, "us").path).items():
        if isinstance(value, float) and sheet in SHOWN:
            numbers.setdefault(sheet, []).append(place)
    found = {}
    for locale in (POINT, COMMA):
        folder = tmp_path_factory.mktemp(locale)
        saved = folder / "saved.xlsx"
        step: dict[str, Any] = {"do": "document", "open": str(twin), "shown": numbers}
        if locale == COMMA:
            step["save"] = {str(saved): XLSX}
        (seen,) = Profile(folder / "office", locale).session([step])
        found[locale] = Opened(agreement.as_cells(seen), seen["shown"], saved)
    return found


@pytest.mark.parametrize("locale", [POINT, COMMA])
def test_every_cell_is_the_stored_one(offices: dict[str, Opened], locale: str) -> None:
    stored = books.stored(books.written(books.FULL, "us").path)
    assert engines.compare(stored, offices[locale].cells) == []
    assert engines.errors(offices[locale].cells) == []


def test_decimals_are_shown_with_a_comma(offices: dict[str, Opened]) -> None:
    """What one office shows with a point the other shows with a comma, sign by sign."""
    swapped = str.maketrans(",.", ".,")
    decimals = 0
    for sheet, cells in offices[POINT].shown.items():
        for place, text in cells.items():
            there = offices[COMMA].shown[sheet][place]
            if WITH_POINT.fullmatch(text):
                assert WITH_COMMA.fullmatch(there), f"{sheet}!{place}: {text} and {there}"
                decimals += 1
            assert there == text.translate(swapped), f"{sheet}!{place}: {text} and {there}"
    assert decimals > 100


def test_a_book_saved_there_is_the_same_job(offices: dict[str, Opened]) -> None:
    ours, theirs = read_job(books.FULL), read_job(offices[COMMA].saved)
    assert {k: (e.value, e.text) for k, e in theirs.entries.items()} == {k: (e.value, e.text) for k, e in ours.entries.items()}
