"""Remedies: the words are those of the side that is not kept, and a figure that is proposed mends what it is proposed for."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import books
import pytest
from jobs import random_job
from slow import but_first, few, some
from test_verdicts import FIRING, OUTPUT, SOUND, TOP, Change, verdict

from hydrocalc.measures import System
from workbook_builder.audit.scenarios import Scenarios
from workbook_builder.build import Built, build
from workbook_builder.sheets.sizing.results import Check
from workbook_builder.table.job import Job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

SAMPLES = sorted((Path(__file__).parent.parent / "samples").glob("*.csv"))
CYCLES = "Cycles an hour at half load"
# Where the figure of a remedy is typed.
TYPED_INTO = {
    OUTPUT: "boiler|rated output",
    FIRING: "boiler|buffer tank volume",
    CYCLES: "boiler|buffer tank volume",
    TOP: "boiler|fill pressure",
}
RANDOM_JOBS = few(6, of=50)
_FIGURE = re.compile(r"[0-9][0-9,]*(?:\.[0-9]+)?")


def _table(change: Change) -> list[TableRow]:
    merged = {**SOUND, **change}
    lines = [(part, item, *(value if isinstance(value, tuple) else (value, ""))) for (part, item), value in merged.items()]
    return [TableRow(n, *line, "") for n, line in enumerate(lines, 2)]


def _job(change: Change) -> Job:
    return job_from_rows("table.csv", _table(change))


def _remedy(built: Built, label: str) -> str:
    check = next(c for c in built.checks.all if c.label == label)
    return str(built.book.values[check.remedy][0])


def _found(built: Built, label: str) -> tuple[float, float]:
    check = next(c for c in built.checks.all if c.label == label)
    values = built.book.values
    assert check.wanted is not None
    return float(values[check.value][0]), float(values[check.wanted][0])


# -- the side that is not kept


def test_an_oversized_boiler_is_not_told_to_be_larger() -> None:
    """The sound job's load is some 60,000 BTU/h; 250,000 are four times as much, and twice is wanted at most."""
    built = build(_job({("boiler", "rated output"): ("250000", "BTU/h")}))
    assert verdict(built, OUTPUT)[0] == "remark"
    found, wanted = _found(built, OUTPUT)
    assert found > wanted == 2.0
    assert "at most" in _remedy(built, OUTPUT) and "larger boiler" not in _remedy(built, OUTPUT)


def test_a_boiler_that_is_too_small_is_told_the_least_that_would_do() -> None:
    built = build(_job({("boiler", "rated output"): ("40000", "BTU/h")}))
    assert verdict(built, OUTPUT)[0] == "fail"
    found, wanted = _found(built, OUTPUT)
    assert found < wanted == 1.1
    said = _remedy(built, OUTPUT)
    load = float(built.book.values[built.sizing.boiler.load.needed][0])
    assert "at least" in said
    assert 0 <= _figure(said) - 1.1 * load < 1000  # in whole thousands of BTU/h, rounded up


def test_what_is_kept_wants_no_remedy() -> None:
    built = build(_job({}))
    for check in built.checks.all:
        if built.book.values[check.verdict][0] == "pass":
            assert built.book.values[check.remedy][0] == ""


@pytest.mark.slow
def test_the_fill_pressure_that_would_do() -> None:
    """40 ft of water at 50 °F, 62.41 lb/ft³ (steam tables), are 17.3 psi; with 5 psi at the top that is 22.3, so 23."""
    water: Change = {("liquid", "kind"): "water", ("liquid", "antifreeze by mass"): ("0", "%")}
    built = build(
        _job(
            water
            | {("boiler", "system"): "closed", ("boiler", "fill pressure"): ("12", "psi"), ("run house", "highest point"): ("40", "ft")}
        )
    )
    assert "at least 23 psi" in _remedy(built, TOP)
    found, _ = _found(built, TOP)
    assert found == pytest.approx(12 - 62.41 * 40 / 144, abs=0.02)


# -- the figure, typed in


def _figure(text: str) -> float:
    found = _FIGURE.search(text)
    assert found, text
    return float(found[0].replace(",", ""))


def _proposed(built: Built) -> list[tuple[Check, float]]:
    """Every remedy with a figure that the book proposes, and the figure as it is printed."""
    values, found = built.book.values, []
    for check in built.checks.all:
        said = str(values[check.remedy][0])
        # A load that goes short may have company: its figure is tried in test_fire.
        if check.label in TYPED_INTO and values[check.verdict][0] in ("fail", "remark"):
            found.append((check, _figure(said)))
    return found


def _typed(scenarios: Scenarios, check: Check, figure: float) -> str:
    """The verdict with that figure typed, by the evaluator that audits work with."""
    inputs: dict[str, Any] = {TYPED_INTO[check.label]: figure}
    return str(scenarios.worked(check.verdict, {}, inputs)[0])


def _mended(built: Built) -> list[str]:
    scenarios, told = Scenarios(built), []
    for check, figure in _proposed(built):
        told.append(check.label)
        assert _typed(scenarios, check, figure) == "pass", f"{check.label}: {built.book.values[check.remedy][0]}"
    return told


@cache
def _samples(system: System) -> tuple[str, ...]:
    return tuple(label for path in SAMPLES for label in _mended(books.built(path, system)))


@pytest.mark.slow
@pytest.mark.parametrize("system", some(["us"], ["us", "metric"]))
def test_a_figure_of_the_samples_typed_in_mends(system: System) -> None:
    assert {OUTPUT, FIRING} <= set(_samples(system))


@pytest.mark.slow
@pytest.mark.parametrize("system", some(["metric"], ["us", "metric"]))
def test_every_kind_of_figure_mends(system: System) -> None:
    """Each requirement that proposes a figure does so in one of these jobs."""
    told: set[str] = set()
    for change in (
        {("boiler", "rated output"): ("40000", "BTU/h")},
        {("boiler", "rated output"): ("400000", "BTU/h"), ("boiler", "water content"): ("40", "gal")},
        {("boiler", "system"): "closed", ("boiler", "relief pressure"): ("90", "psi"), ("run house", "highest point"): ("33", "ft")},
        {("boiler", "water content"): ("150", "gal"), ("boiler", "buffer tank swing"): ("30", "°F")},
    ):
        told |= set(_mended(build(_job(change), system)))
    assert told == set(TYPED_INTO)


@pytest.mark.parametrize("seed", but_first(range(RANDOM_JOBS)))
def test_a_figure_of_a_random_job_typed_in_mends(seed: int) -> None:
    _mended(build(random_job(seed), "us" if seed % 2 else "metric"))


@pytest.mark.slow
def test_the_buffer_that_is_proposed_mends_in_a_book_written_anew() -> None:
    """239 gallons were proposed where 8.2 of 10 minutes came out: the tank was sized for one swing and judged by another."""
    small: Change = {("boiler", "water content"): ("40", "gal")}
    built = build(_job(small))
    assert verdict(built, FIRING)[0] == "fail"
    figure = _figure(_remedy(built, FIRING))
    assert figure == float(built.book.values[built.sizing.boiler.cycles.buffer_to_order][0])
    again = build(_job(small | {("boiler", "buffer tank volume"): (f"{figure:g}", "gal")}))
    assert verdict(again, FIRING)[0] == "pass" and verdict(again, CYCLES)[0] == "pass"
    # Heat that the band holds, by hand: the boiler's own 40 gal and the tank, both over the band of 15 °F.
    rows, values, site = again.sizing.boiler, again.book.values, again.sizing.site
    density, heat = (float(values[row][0]) for row in (site.density, site.specific_heat))
    gallon = 231 / 1728  # ft³
    assert float(values[rows.cycles.band][0]) == pytest.approx((40 + figure) * gallon * density * heat * 15, rel=1e-6)


def test_no_remedy_with_a_figure_is_left_out() -> None:
    """Those that are not tried here are tried in test_fire."""
    labels = {check.label for check in build(_job({})).checks.all if "{figure}" in "".join(check.words)}
    assert labels == set(TYPED_INTO) | {"Every load gets what it needs"}
