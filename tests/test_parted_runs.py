"""A run with a liquid of its own behind an exchanger at its start: by hand, and what a book says that is typed in by hand.

The random jobs of test_whole_job compare such runs with the independent solver.
"""

from __future__ import annotations

import csv
import io
from functools import cache
from pathlib import Path

import books
import engines
import filling
import numpy as np
import pytest
from broken_tables import SOUND

from workbook_builder.build import Built, build, save
from workbook_builder.model.rows import Row, column_letters
from workbook_builder.table.job import blank_job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

APPROACH = "A liquid of its own behind an exchanger"
WATER_BEHIND = "run yard,exchanger conductance,3000,BTU/(h °F),\nrun yard,flow,5,gpm,\n"
GLYCOL = "run yard,liquid,propylene glycol,,\nrun yard,antifreeze by volume,40,%,\n"


@cache
def built(more: str) -> Built:
    rows = list(csv.reader(io.StringIO(SOUND.replace("output,61000", "output,120000") + more)))[1:]
    return build(job_from_rows("table.csv", [TableRow(n, *row) for n, row in enumerate(rows, 2)]))


def of(more: str, row: Row) -> float:
    return float(np.asarray(built(more).book.values[row])[0])


def test_water_on_both_sides_of_equal_flow() -> None:
    """Counterflow of two equal capacity rates C: the difference is UA/C everywhere, so the supply lies C/UA of the drop below."""
    lines, back = built(WATER_BEHIND).sizing.ground, built(WATER_BEHIND).sizing.returns
    assert lines.at_start is not None
    rate = 5 * 60 * 8.1  # BTU/(h °F): 5 gpm of water, by hand
    assert of(WATER_BEHIND, lines.at_start.fall) == pytest.approx(rate / 3000, rel=0.015)  # 8.1 has two figures
    inlet, near = of(WATER_BEHIND, back.inlet), of(WATER_BEHIND, back.near)
    on = float(built(WATER_BEHIND).job.number("boiler", "lower setpoint") or 0) * 1.8 + 32
    assert on - inlet == pytest.approx(rate / 3000 * (inlet - near), rel=0.015)
    # The boiler's side carries the same heat with the same capacity rate: its return lies as far above the run's.
    assert of(WATER_BEHIND, built(WATER_BEHIND).sizing.back.temperature) - near == pytest.approx(on - inlet, rel=0.02)


def test_an_exchanger_to_order_keeps_the_approach() -> None:
    check = next(c for c in built(GLYCOL).checks.all if c.label == APPROACH)
    found, allowed = of(GLYCOL, check.value), of(GLYCOL, check.wanted)  # type: ignore[arg-type]
    # Ordered for nine tenths of the approach; this job has no branches whose losses would come on top.
    assert allowed == 10 and found == pytest.approx(9, rel=0.01)
    assert of(GLYCOL, check.worst) < 0.5


def test_the_run_is_filled_with_its_own_liquid() -> None:
    pipes = built(GLYCOL).sizing.pipes
    assert list(built(GLYCOL).book.values[pipes.liquid]) == ["propylene glycol"]
    # 40 % by volume of pure glycol, 1.036 against 0.998 kg/L: 41 % of the mass.
    assert of(GLYCOL, pipes.fraction) == pytest.approx(100 * 0.4 * 1.036 / (0.4 * 1.036 + 0.6 * 0.998), rel=0.02)


def test_a_closed_run_behind_an_exchanger_does_not_boil_above_an_open_boiler() -> None:
    """The usual cure for tube above the water level of an open boiler: a plate low in the house."""
    high = "run yard,highest point,24,ft,\n"
    fails = {c.label for more in (high,) for c in built(more).checks.all if built(more).book.values[c.verdict][0] == "fail"}
    assert "Highest point below boiling, circulator stopped" in fails
    behind = high + WATER_BEHIND
    kept = {c.label for c in built(behind).checks.all if built(behind).book.values[c.verdict][0] == "fail"}
    assert "Highest point below boiling, circulator stopped" not in kept


def test_a_book_without_rows_for_it_says_so() -> None:
    book = books.written(books.FULL, "us")
    lines = book.built.context.inputs.by_key
    typed = [(lines["run house|liquid"], "propylene glycol"), (lines["run house|antifreeze by volume"], 40.0)]
    found = books.retyped_in_ironcalc(book.path, typed)
    check = next(c for c in book.built.checks.all if c.label == APPROACH)
    assert engines.errors(found) == []
    assert found["Verdicts", f"{column_letters(check.verdict.first_column)}{check.verdict.number}"] == "fail"


@pytest.mark.slow
def test_a_blank_book_gives_what_a_filled_one_gives(tmp_path: Path) -> None:
    blank = build(blank_job(1, 1, 1))
    save(blank, tmp_path / "blank.xlsx")
    found = books.retyped_in_ironcalc(tmp_path / "blank.xlsx", filling.typing_into(blank, built(GLYCOL)))
    assert engines.errors(found) == []
    for there, here in (
        (blank.sizing.night.lines.inlet, built(GLYCOL).sizing.night.lines.inlet),
        (blank.sizing.settled.case.inlet, built(GLYCOL).sizing.settled.case.inlet),
        (blank.sizing.line_year.year, built(GLYCOL).sizing.line_year.year),
    ):
        cell = found[there.sheet.name, f"{column_letters(there.first_column)}{there.number}"]
        assert cell == pytest.approx(of(GLYCOL, here), rel=1e-9)
