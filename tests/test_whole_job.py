"""A whole job in the book against the same job solved another way, in ``oracle``: nothing of hydrocalc, no sheet.

What the tolerances hold:

- stations 0.1 K, heads 0.5 %, seasonal heat and cords 0.5 %, settled water 0.1 K.
- Where a line takes more than 20 K from a trickle, 0.5 % of that: the conductances of the book's formulas are within 0.4 % of
  the two-dimensional solution used here, and of 38 K that is 0.15 K (one of fifty random jobs).
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import books
import numpy as np
import pytest
from oracle.network import Network, Night, Station
from oracle.year import Reckoning, Year
from oracle_jobs import random_job
from slow import but_first, few

from workbook_builder.build import Built, build
from workbook_builder.model.rows import Row
from workbook_builder.table.job import Job

SAMPLES = sorted((Path(__file__).parent.parent / "samples").glob("*.csv"))
SEEDS = range(few(8, of=60))
CASES = [*but_first([s.stem for s in SAMPLES]), *but_first([f"random {n}" for n in SEEDS], 0)]
KELVIN, SHARE, CLOSES = 0.1, 0.005, 1e-9
# The line losses of a season.
LINES = 0.005
JOULE = 1.0  # where all runs lie indoors nothing is lost, and the solver has the rounding of its exponentials


class Solved:
    """A job both ways."""

    def __init__(self, case: str) -> None:
        self.built: Built = build(random_job(int(case.split()[1]))) if case.startswith("random ") else books.built(_sample(case), "us")
        self.job: Job = self.built.job
        self.context, self.sizing = self.built.context, self.built.sizing
        self.network = Network(self.job, self._sizes())
        self.year: Year = Reckoning(self.network).solve()

    def of(self, row: Row) -> Any:
        """A row of the book in coherent units."""
        assert not row.is_text and row.kind is not None
        return np.asarray(row.kind.us.to_coherent(np.asarray(self.built.book.values[row], dtype=np.float64)))  # type: ignore[union-attr]

    def _sizes(self) -> dict[str, str]:
        """The book's sizes of tube, each checked to be the one that the limits ask for, or at a limit within 0.5 %."""
        book = dict(zip(self.job.runs, self.built.book.values[self.sizing.pipes.size], strict=True))
        mine = Network(self.job).runs
        for name, size in book.items():
            run = mine[name]
            if run.tube.size != size:
                limits = self.of(self.sizing.pipes.highest_velocity)[0], self.of(self.sizing.pipes.highest_gradient)[0]
                found = run.tube.velocity(run.design_flow), run.tube.gradient(run.design_flow, run.liquid)
                near = min(abs(f / w - 1) for f, w in zip(found, limits, strict=True))
                assert near < SHARE, f"run {name}: {size} in the book, {run.tube.size} by the limits"
        return book


def _sample(stem: str) -> Path:
    return next(s for s in SAMPLES if s.stem == stem)


# Of this scope the tests of a job stand together, so that workers that share the tests do not both solve it.
each_case = pytest.mark.parametrize("case", CASES, scope="module")


@cache
def solved(case: str) -> Solved:
    return Solved(case)


@each_case
def test_flows_and_heads(case: str) -> None:
    both = solved(case)
    runs = list(both.network.runs.values())
    np.testing.assert_allclose(both.of(both.sizing.pumps.head), [r.head for r in runs], rtol=SHARE)
    np.testing.assert_allclose(both.of(both.sizing.pumps.flow), [r.flow for r in runs], rtol=SHARE)


def _stations_agree(both: Solved, case: Any, stations: dict[str, Station]) -> None:
    inlet, taken = both.of(case.inlet), both.of(case.taken)
    rate = both.of(both.sizing.network.shares.rate)
    outlet = inlet - taken / rate
    for column, load in enumerate(both.network.loads):
        mine = stations[load.name]
        assert both.context.loads.labels[column] == load.name
        near = max(KELVIN, SHARE * (both.network.on - both.network.steady.arrival[load.run]))
        assert inlet[column] == pytest.approx(mine.inlet, abs=near), f"{load.name}: water in"
        assert outlet[column] == pytest.approx(mine.outlet, abs=near), f"{load.name}: water out"


@each_case
def test_stations_on_the_design_night(case: str) -> None:
    both = solved(case)
    _stations_agree(both, both.sizing.steady.case, both.network.steady.stations)


def _as_it_will_be(both: Solved) -> tuple[float, Night]:
    """The solver's design night, at its own water or, where the heat decides, at the book's."""
    site, rated = both.network.site, sum(both.network.site.maybe("boiler", f"{which}rated output") or 0.0 for which in ("", "second "))
    output = min(both.year.sustained or np.inf, rated) + (site.maybe("boiler", "backup output") or 0.0)
    water, night = both.network.settled(output)
    found = float(both.of(both.sizing.balance.water)[0])
    if water < both.network.on and found != pytest.approx(water, abs=KELVIN):
        # Where demand hardly depends on the water, a thousandth of the heat is some tenths of a kelvin: there the heat decides.
        night = both.network.night(found)
        assert night.given == pytest.approx(output, rel=SHARE)
        return found, night
    return water, night


@each_case
def test_the_design_night_as_it_will_be(case: str) -> None:
    """What Summary, Verdicts and Charts tell of: the water of the boiler, of each load and of each line, and what is lost."""
    both = solved(case)
    water, night = _as_it_will_be(both)
    assert float(both.of(both.sizing.balance.water)[0]) == pytest.approx(water, abs=KELVIN)
    _stations_agree(both, both.sizing.settled.case, night.stations)
    rows = both.sizing.night.lines
    for column, name in enumerate(both.context.runs.labels):
        near = max(KELVIN, SHARE * (both.network.on - both.network.steady.arrival[name]))
        assert both.of(rows.arrival)[column] == pytest.approx(night.arrival[name], abs=near), name
        assert both.of(rows.near)[column] == pytest.approx(night.back[name], abs=2 * near), name  # supply and drop both told
        assert both.of(rows.loss)[column] == pytest.approx(night.lost[name], rel=SHARE, abs=SHARE * night.given), name
    given = sum(night.entering[n] for n, run in both.network.runs.items() if run.parent is None)
    rate = sum(run.given_rate for run in both.network.runs.values() if run.parent is None)
    assert both.of(both.sizing.back.temperature)[0] == pytest.approx(water - given / rate, abs=2 * KELVIN)


@each_case
def test_stations_while_water_is_drawn(case: str) -> None:
    both = solved(case)
    _, night = _as_it_will_be(both)
    _stations_agree(both, both.sizing.draw.case, both.network.drawing(night))


@each_case
def test_the_year(case: str) -> None:
    both = solved(case)
    book = both.of(both.sizing.season.year)
    for column, name in enumerate(both.context.loads.labels):
        assert book[column] == pytest.approx(sum(both.year.loads[name]), rel=SHARE), name
    assert both.of(both.sizing.cords.lines_year)[0] == pytest.approx(sum(both.year.lines), rel=LINES, abs=JOULE)
    assert both.of(both.sizing.cords.cords_year)[0] == pytest.approx(both.year.cords, rel=SHARE)


@each_case
def test_money(case: str) -> None:
    """The saving is a difference: its tolerance is 0.5 % of the larger part, today's fuels or the wood."""
    both = solved(case)
    money = both.sizing.money
    wood = both.of(money.wood)[0]
    # What the fire makes in a month is the output less the lines' loss, which may be several times as much.
    lost = sum(both.year.lines) / max(sum(map(sum, both.year.loads.values())), JOULE)
    assert both.of(money.saving)[0] == pytest.approx(both.year.saving, abs=SHARE * max(wood, both.year.today) * (1 + lost))
    worth = wood * 30  # no more than thirty years of wood at its first year's cost
    assert both.of(money.net)[0] == pytest.approx(both.year.net, abs=SHARE * worth)
    # A difference too: of what today's fuels would cost for each cord, and all else.
    of_fuels = both.year.today / both.year.cords
    assert both.of(money.break_even)[0] == pytest.approx(both.year.break_even, rel=SHARE, abs=SHARE * max(of_fuels, 1.0))


@each_case
def test_what_a_year_uses_and_a_night_counts_on(case: str) -> None:
    both = solved(case)
    bought = both.of(both.sizing.fuels.bought)
    for column, name in enumerate(both.job.fuels):
        if both.job.given(f"fuel today {name}", "use"):
            assert bought[column] == pytest.approx(both.network.site.used_in_a_year(f"fuel today {name}"), rel=SHARE)
    sustained = float(both.of(both.sizing.boiler.charge.sustained)[0])
    assert sustained == pytest.approx(np.nan if both.year.sustained is None else both.year.sustained, rel=SHARE, nan_ok=True)


@each_case
def test_energy_closes_in_the_book_and_in_the_solver(case: str) -> None:
    both = solved(case)
    assert np.abs(both.of(both.sizing.returns.residual)).max() < CLOSES
    assert np.abs(both.of(both.sizing.boiler.load.residual)).max() < CLOSES
    night = both.network.steady
    assert night.given == pytest.approx(sum(s.taken for s in night.stations.values()) + sum(night.lost.values()), rel=1e-9)
