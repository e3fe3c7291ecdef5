"""Zeros are numbers: a load of no heat, a run of no length, a use of no fuel are taken and give zero, not blanks or errors."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path

import books
import engines
import numpy as np
import pytest
from books import TableRecord
from slow import but_first

from workbook_builder.build import Built
from workbook_builder.model.rows import Row

COTTAGE = next(s for s in books.SAMPLES if s.stem == "small-cottage")
CIRCULATOR = [
    ("run cottage", "size", "1", "", ""),
    *(
        ("run cottage", f"circulator {item}", value, unit, "")
        for item, value, unit in (
            ("shutoff head", "18", "ft"),
            ("middle flow", "6", "gpm"),
            ("middle head", "12", "ft"),
            ("high flow", "12", "gpm"),
            ("high head", "2", "ft"),
        )
    ),
]
NO_HEAT: TableRecord = ("load cottage", "design loss", "0", "BTU/h", "")
NO_LENGTH: TableRecord = ("run cottage", "length", "0", "ft", "")
NO_USE: TableRecord = ("fuel today propane", "use", "0", "gal", "")
# The job, what is zero in it, and what else is another.
Case = tuple[Path, Sequence[TableRecord]]
CASES: dict[str, Case] = {
    "the only load": (COTTAGE, [NO_HEAT]),
    "the only run": (COTTAGE, [NO_LENGTH]),
    "the only fuel": (COTTAGE, [NO_USE]),
    "all of them": (COTTAGE, [NO_HEAT, NO_LENGTH, NO_USE]),
    "a load behind a circulator": (COTTAGE, [NO_HEAT, *CIRCULATOR]),
    "a known load": (books.FULL, [("load kettle", "heat", "0", "BTU/h", "")]),
    "no hot water": (books.FULL, [("load taps", "use a day", "0", "gal", "")]),
    "a run on which another starts": (books.FULL, [("run barns", "length", "0", "ft", "")]),
    "the fuel of a share": (books.FULL, [("fuel today oil", "use", "0", "gal", "")]),
}


def changed(sample: Path, rows: Sequence[TableRecord]) -> list[TableRecord]:
    others = {(part, item) for part, item, *_ in rows}
    return [row for row in books.table_of(sample) if row[:2] not in others] + list(rows)


@cache
def written(case: str) -> books.Written:
    sample, rows = CASES[case]
    return books.write_job(changed(sample, rows), "us", books.folder() / f"zero {case}.xlsx")


def blanks(built: Built) -> set[tuple[str, str, int]]:
    """The cells of the sheets that hold nothing, but for remedies, which stand where they are wanted."""
    found = set()
    for row in built.book.order:
        for column, value in enumerate(np.ravel(built.book.values[row])):
            if (value == "" or (isinstance(value, float) and not np.isfinite(value))) and not row.label.endswith(": remedy"):
                found.add((row.sheet.name, row.label, column))
    return found


def figure(built: Built, row: Row) -> float:
    return float(built.book.values[row][0])


@pytest.mark.slow
@pytest.mark.parametrize("case", but_first(CASES))
def test_no_error_and_nothing_missing(case: str) -> None:
    """In another engine than the one that wrote the book, whose stored values are compared."""
    cells = engines.ironcalc_values(written(case).path)
    assert not engines.errors(cells)
    assert not engines.compare(books.stored(written(case).path), cells)
    assert "Nothing is missing" in [value for (sheet, _), value in cells.items() if sheet == "Contents"]


@pytest.mark.parametrize("case", but_first(CASES))
def test_no_cell_goes_blank(case: str) -> None:
    """What is worked out of the sample is worked out of zeros."""
    sample, _ = CASES[case]
    # Of water that stands still it is not asked whether it is laminar.
    gone = {place for place in blanks(written(case).built) if not place[1].startswith("Flow neither laminar nor turbulent")}
    assert gone <= blanks(books.built(sample, "us"))


def test_no_heat_is_no_flow_no_head_and_no_loss() -> None:
    built = written("the only load").built
    sizing = built.sizing
    for row in (sizing.pipes.load, sizing.pumps.flow, sizing.pumps.head, sizing.pumps.velocity, sizing.night.lines.loss):
        assert figure(built, row) == pytest.approx(0.0, abs=1e-9), row.label
    assert figure(built, sizing.season.year) == 0.0
    assert figure(built, sizing.cords.lines_year) == pytest.approx(0.0, abs=1e-9)
    assert figure(built, sizing.money.today) == 0.0


def test_no_length_is_no_loss() -> None:
    built = written("the only run").built
    sizing, night = built.sizing, built.sizing.night
    assert figure(built, night.lines.arrival) == pytest.approx(figure(built, night.lines.inlet), abs=1e-9)
    assert figure(built, night.lines.loss) == pytest.approx(0.0, abs=1e-6)  # of some 40,000 BTU/h
    assert figure(built, night.gradient) == 0.0
    assert figure(built, sizing.pipes.volume) == 0.0
    assert figure(built, sizing.cords.lines_year) == pytest.approx(0.0, abs=1e-9)


def test_no_use_is_nothing_bought() -> None:
    built = written("the only fuel").built
    assert figure(built, built.sizing.fuels.bought) == 0.0


def test_a_circulator_runs_without_a_load() -> None:
    """The flow in a tube of one size does not ask what the loads take."""
    loaded = books.write_job(changed(COTTAGE, CIRCULATOR), "us", books.folder() / "loaded.xlsx").built
    idle = written("a load behind a circulator").built
    assert figure(idle, idle.sizing.pumps.flow) == pytest.approx(figure(loaded, loaded.sizing.pumps.flow), rel=0.005)
    assert figure(idle, idle.sizing.pumps.flow) > 1.0
