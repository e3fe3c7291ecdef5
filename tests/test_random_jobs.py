"""Random jobs: each book recalculates from false values to what was worked out, in both unit systems.

RANDOM_JOBS=100 makes a long run of it; RANDOM_FIRST begins with another job than number 0.
"""

from __future__ import annotations

import os
from pathlib import Path

import books
import engines
import pytest
from books import SYSTEMS
from jobs import random_job, random_table

from hydrocalc.measures import Measure
from workbook_builder.build import Built, build, write_book
from workbook_builder.model.rows import column_letters
from workbook_builder.table import vocabulary

FIRST, COUNT = int(os.environ.get("RANDOM_FIRST", "0")), int(os.environ.get("RANDOM_JOBS", "4"))
SEEDS = range(FIRST, FIRST + COUNT)


# Of the largest figure of a measure: what engines may make of differences of such figures (a handful of roundings of 2e-16).
ROUNDINGS = 1e-12


def worked_out(built: Built) -> tuple[engines.Cells, dict[tuple[str, str], float]]:
    """The values of all rows by their cells, and the difference that says nothing of each."""
    book = built.book
    largest = books.largest_by_measure(book)
    values: engines.Cells = {}
    least: dict[tuple[str, str], float] = {}
    for sheet in book.sheets.values():
        for row in sheet.rows:
            for i, value in enumerate(book.values[row].tolist() if row.formula else ()):
                place = sheet.name, f"{column_letters(row.first_column + i)}{row.number}"
                values[place] = None if value == "" or value != value else value
                if isinstance(row.kind, Measure):
                    difference = row.kind.unit(book.system)
                    least[place] = max(ROUNDINGS * largest[row.kind.name] / float(difference.scale), engines.ROUNDING)
    return values, least


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_ironcalc_finds_what_was_worked_out(seed: int, tmp_path: Path) -> None:
    built = build(random_job(seed), SYSTEMS[seed % 2])
    write_book(built, tmp_path / "twin.xlsx", stored=-1.0)
    found = engines.ironcalc_values(tmp_path / "twin.xlsx")
    expected, least = worked_out(built)
    assert sum(v is not None for v in expected.values()) > 250
    assert engines.compare(expected, found, least=least) == []
    assert engines.errors(found) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", [s for s in SEEDS if s % 4 == 1])
def test_both_systems_agree_on_a_random_job(seed: int) -> None:
    job = random_job(seed)
    assert books.differences_between_systems(*(built.book for built in books.in_both_systems(job))) == []


def test_the_random_jobs_are_of_every_kind() -> None:
    """What the generator is for: runs on runs, every kind of load, units mixed, few items given and many."""
    tables = [random_table(seed) for seed in range(60)]
    for tables_of in (tables, tables[: COUNT if COUNT > 30 else 60]):
        said = {(part.split(" ")[0], item, value) for rows in tables_of for part, item, value, _, _ in rows}
        assert {value for _, item, value in said if item == "kind"} >= set(vocabulary.KINDS)
    runs = [sum(item == "length" for _, item, *_ in rows) for rows in tables]
    assert set(runs) == {1, 2, 3, 4, 5, 6}
    starts = [{part: value for part, item, value, *_ in rows if item == "starts at"} for rows in tables]
    assert any(f"run {value}" in s for s in starts for value in s.values()), "a run on a run on a run"
    units = {unit for rows in tables for _, item, _, unit, _ in rows if item == "length"}
    assert units == {"ft", "m"}
    assert min(map(len, tables)) < 80 < 180 < max(map(len, tables))
