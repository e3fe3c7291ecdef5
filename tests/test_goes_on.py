"""A run whose water is what a load of another run leaves: the whole flow goes on, as through a house to a garage.

The random jobs of test_whole_job compare such runs with the independent solver; here stand what is refused, what a book says that is
typed in by hand, and that a blank book gives what a filled one gives.
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
from workbook_builder.model.rows import column_letters
from workbook_builder.table.job import Job, blank_job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import InputError, TableRow

GARAGE = """run shed,starts after,cottage,,
run shed,length,45,ft,
run shed,tube family,PEX SDR-9,,
run shed,jacket outer diameter,4.5,in,
load garage,run,shed,,
load garage,kind,fan heater,,
load garage,design loss,21000,BTU/h,
load garage,rated output,40000,BTU/h,
"""
PUMP = """run yard,circulator shutoff head,17,ft,
run yard,circulator middle flow,6,gpm,
run yard,circulator middle head,12,ft,
run yard,circulator high flow,12,gpm,
run yard,circulator high head,3,ft,
"""
REACHES = "Every run starts at the boiler in the end"


def job(more: str = "", garage: str = GARAGE) -> Job:
    rows = list(csv.reader(io.StringIO(SOUND + garage + more)))[1:]
    return job_from_rows("table.csv", [TableRow(n, *row) for n, row in enumerate(rows, 2)])


@cache
def built(more: str) -> Built:
    return build(job(more))


def of(row: object, more: str = "") -> list[float]:
    return [float(v) for v in np.asarray(built(more).book.values[row])]  # type: ignore[index]


def test_one_flow_and_one_circulator_for_both_runs() -> None:
    pumps, pipes = built(PUMP).sizing.pumps, built(PUMP).sizing.pipes
    yard, shed = of(pumps.flow, PUMP)
    assert yard == shed
    # Both loads, 39,000 and 21,000 BTU/h, at the flow that is asked for the one run: by hand, 20 °F and the water's 8.1 BTU/(gal °F).
    assert (
        of(pipes.flow, PUMP)[0] == pytest.approx(60_000 / (20 * 60 * 8.1), rel=0.01) and of(pipes.flow, PUMP)[0] == of(pipes.flow, PUMP)[1]
    )
    head, beyond = of(pumps.head, PUMP)
    alone = of(built(PUMP).sizing.pumps.meeting.head, PUMP)
    assert alone[0] == pytest.approx(head, rel=1e-3) and np.isnan(alone[1]), "one circulator makes the head of both runs"
    # A shed half as far as the yard, with the same tube and fewer feet, takes its share of the head: 45 of 88 + 45 ft of trench and
    # the same fittings in both.
    assert 0.3 < beyond / head < 0.5


def test_the_water_of_the_garage_is_what_the_house_leaves() -> None:
    sizing = built("").sizing
    inlet, taken = of(sizing.steady.case.inlet), of(sizing.steady.case.taken)
    rate = of(sizing.network.shares.rate)
    left = inlet[0] - taken[0] / rate[0]
    assert inlet[1] < left and left - inlet[1] < 1.0, "what the house leaves, less what 45 ft of line lose"
    assert of(sizing.returns.inlet)[1] == pytest.approx(left, abs=1e-9)
    assert of(sizing.returns.arrival)[1] == pytest.approx(inlet[1], abs=1e-9)


OTHERS = """load porch,run,yard,,
load porch,kind,known,,
load porch,heat,2000,BTU/h,
"""
REFUSED = {
    "not the last": (OTHERS, "run shed, starts after", "load cottage is not the last of run yard"),
    "two starts": ("run shed,starts at,yard,,\n", "run shed, starts at", "run yard, which goes on into it"),
    "a flow": ("run shed,flow,5,gpm,\n", "run shed, flow", "run yard, which goes on into it"),
    "twice": (
        GARAGE.replace("shed", "barn").replace("load garage", "load bench"),
        "run barn, starts after",
        "the flow goes on after load cottage into another run",
    ),
    "a branch": (
        GARAGE.replace("shed", "barn").replace("barn,starts after,cottage", "barn,starts at,shed").replace("load garage", "load bench"),
        "run shed, starts after",
        "run barn starts on the way",
    ),
    "again": (
        GARAGE.replace("shed,starts after,cottage", "barn,starts after,garage")
        .replace("shed", "barn")
        .replace("load garage", "load bench"),
        "run barn, starts after",
        "it goes on once",
    ),
}


def test_a_run_cannot_start_after_a_load_of_its_own() -> None:
    with pytest.raises(InputError) as refused:
        job(garage=GARAGE.replace("starts after,cottage", "starts after,garage"))
    assert "run shed, starts after" in str(refused.value) and "load garage hangs on this run itself" in str(refused.value)


@pytest.mark.parametrize("name", REFUSED)
def test_a_flow_that_cannot_go_on_is_refused(name: str) -> None:
    rows, place, words = REFUSED[name]
    with pytest.raises(InputError) as refused:
        job(rows)
    said = str(refused.value)
    assert place in said and words in said


def test_a_run_may_be_said_to_start_at_the_load() -> None:
    named = job(garage=GARAGE.replace("starts after,cottage", "starts at,load cottage"))
    assert named.goes_on_from("shed") == job().goes_on_from("shed") == "yard"


@pytest.mark.parametrize("by_hand", [{"run shed|starts after": "garage"}, {"load garage|run": "yard", "load cottage|run": "shed"}])
def test_what_a_hand_types_wrong_is_told_by_a_verdict(by_hand: dict[str, str], tmp_path: Path) -> None:
    book = built("")
    save(book, tmp_path / "book.xlsx")
    lines = [(book.context.inputs.by_key[key], value) for key, value in by_hand.items()]
    found = books.retyped_in_ironcalc(tmp_path / "book.xlsx", lines)
    assert engines.errors(found) == []
    check = next(c for c in book.checks.all if c.label == REACHES)
    cell = f"{column_letters(check.verdict.first_column)}{check.verdict.number}"
    assert found[check.verdict.sheet.name, cell] == "fail"


def test_a_book_without_such_rows_says_so(tmp_path: Path) -> None:
    alone = books.written(books.FULL, "us")
    line = alone.built.context.inputs.by_key["run barns|starts after"]
    found = books.retyped_in_ironcalc(alone.path, [(line, "dwelling")])
    assert found["Runs", f"{column_letters(line.column)}5"] == "not possible: starts after"


@pytest.mark.slow
def test_a_blank_book_gives_what_a_filled_one_gives(tmp_path: Path) -> None:
    blank = build(blank_job(2, 2, 1))
    save(blank, tmp_path / "blank.xlsx")
    # A run and a load are called here as they are called there.
    for family, names in (("run", ("yard", "shed")), ("load", ("cottage", "garage"))):
        assert blank.context.inputs.names[family] != names
    typed = filling.typing_into(blank, built(PUMP))
    found = books.retyped_in_ironcalc(tmp_path / "blank.xlsx", typed)
    assert engines.errors(found) == []
    for there, here in (
        (blank.sizing.night.lines.arrival, built(PUMP).sizing.night.lines.arrival),
        (blank.sizing.settled.case.inlet, built(PUMP).sizing.settled.case.inlet),
        (blank.sizing.pumps.head, built(PUMP).sizing.pumps.head),
        (blank.sizing.line_year.year, built(PUMP).sizing.line_year.year),
    ):
        cells = [found[there.sheet.name, f"{column_letters(there.first_column + n)}{there.number}"] for n in range(2)]
        assert cells == pytest.approx(of(here, PUMP), rel=1e-9)
