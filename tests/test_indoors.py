"""A run indoors: it serves loads and branches as any other, loses nothing, and nobody asks for its jacket, its depth or its trench."""

from __future__ import annotations

from functools import cache

import books
import engines
import pytest
from slow import but_first

from workbook_builder.build import Built
from workbook_builder.model.rows import Row

COTTAGE = next(s for s in books.SAMPLES if s.stem == "small-cottage")
OF_THE_GROUND = ("insulation", "jacket condition", "jacket outer diameter", "depth", "stated loss", "stated loss difference")
CASES = {"cottage": (COTTAGE, "cottage"), "a branch": (books.FULL, "cider"), "a run with branches": (books.FULL, "barns")}
ABOUT_LINES = (
    "The line can be as it is described",
    "Temperature lost by the supply",
    "Loss on the design night, over what enters",
    "Jacket dry",
)


@cache
def indoors(case: str) -> books.Written:
    sample, run = CASES[case]
    kept = [row for row in books.table_of(sample) if row[0] != f"run {run}" or row[1] not in (*OF_THE_GROUND, "arrangement")]
    return books.write_job([*kept, (f"run {run}", "arrangement", "indoors", "", "")], "us", books.folder() / f"indoors {case}.xlsx")


def cell(built: Built, row: Row, run: str) -> float:
    return float(built.book.values[row][built.context.runs.labels.index(run)])


@pytest.mark.slow
@pytest.mark.parametrize("case", but_first(CASES))
def test_no_error_and_nothing_missing(case: str) -> None:
    cells = engines.ironcalc_values(indoors(case).path)
    assert not engines.errors(cells)
    assert not engines.compare(books.stored(indoors(case).path), cells)
    assert cells["Contents", "A3"] == "Nothing is missing"


@pytest.mark.parametrize("case", but_first(CASES))
def test_it_loses_nothing_and_serves_as_before(case: str) -> None:
    built, (sample, run) = indoors(case).built, CASES[case]
    buried, night, sizing = books.built(sample, "us"), built.sizing.night.lines, built.sizing
    assert cell(built, night.arrival, run) == pytest.approx(cell(built, night.inlet, run), abs=1e-9)
    assert cell(built, night.loss, run) == pytest.approx(0.0, abs=1e-6)  # of tens of thousands of BTU/h
    assert cell(built, sizing.line_year.year, run) == 0.0
    for row, before in ((sizing.pumps.flow, buried.sizing.pumps.flow), (sizing.pumps.head, buried.sizing.pumps.head)):
        assert cell(built, row, run) == pytest.approx(cell(buried, before, run), rel=1e-9), row.label
    # Followed to the boiler: what enters is what the loads and the branches take.
    assert cell(built, night.entering, run) == pytest.approx(cell(built, night.total, run), rel=1e-12)


def verdicts(built: Built) -> dict[str, str]:
    return {check.label: str(built.book.values[check.verdict][0]) for check in built.checks.all}


def test_no_verdict_about_a_line_that_is_not_there() -> None:
    inside, buried = verdicts(indoors("cottage").built), verdicts(books.built(COTTAGE, "us"))
    assert {label: inside[label] for label in ABOUT_LINES} == dict.fromkeys(ABOUT_LINES, "")
    assert all(buried[label] for label in ABOUT_LINES), "they are asked of a run in the ground"


def test_the_lowest_point_is_the_circulator() -> None:
    """No depth counts: 6 ft below the boiler's water is as low as it goes."""
    rows = [row for row in books.table_of(COTTAGE) if row[:2] not in (("run cottage", "circulator height"), ("run cottage", "arrangement"))]
    low = ("run cottage", "circulator height", "-1", "ft", "")
    deep, inside = (
        books.write_job([*rows, low, ("run cottage", "arrangement", how, "", "")], "us", books.folder() / f"low {how}.xlsx").built
        for how in ("one jacket", "indoors")
    )
    assert cell(deep, deep.sizing.pumps.pressures.lowest_height, "cottage") == pytest.approx(-3.25)  # its depth
    assert cell(inside, inside.sizing.pumps.pressures.lowest_height, "cottage") == pytest.approx(-1.0)
