"""The table of what the defaults do, in DEVELOPERS.md: what the Summary names first stands first, and its figures are those of today."""

from __future__ import annotations

import re

import books
import defaults_table
import pytest

from workbook_builder.sheets.verdicts.uncertainty import defaults_that_matter


def _lines() -> list[list[str]]:
    text = defaults_table.PAGE.read_text(encoding="utf-8")
    table = text.partition(defaults_table.BEGIN)[2].partition(defaults_table.END)[0]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in table.splitlines() if re.match(r"\| \w", line)][1:]


def test_the_summary_names_the_first_five_of_the_table() -> None:
    built = books.built(books.FULL, "us")
    named = [f"{e.line.part}, {e.line.item.name}" for e in defaults_that_matter(built.context, built.sizing)]
    assert named == [line[0] for line in _lines()[:5]] and len(named) == 5


@pytest.mark.slow
def test_the_figures_are_those_of_today() -> None:
    by_name = {f"{line.part}, {line.item.name}": line for line in defaults_table.defaults()}
    for cells in _lines()[:6]:
        low, high = defaults_table.moved(by_name[cells[0]]).ends
        for end, at in ((low, 2), (high, 6)):
            if cells[at] == "not possible":
                assert end is None
            else:
                assert end is not None
                assert [f"{end.cords:.2f}", f"{end.saving:,.0f}", f"{end.payback:.2f}"] == cells[at + 1 : at + 4]
