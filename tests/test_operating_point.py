"""The operating point of a circulator, through laminar, transitional and turbulent flow: one solution, found by the rows of Pumps.

The friction factor has no jump, head rises with flow and the curve of a circulator falls, so the two meet once.  Found is what the
book shows; the solver in ``oracle``, with its own form of the cubic and scipy's brentq, says where the curves meet.
"""

from __future__ import annotations

import itertools
from functools import cache
from typing import Any

import numpy as np
import pytest
from oracle.hydraulics import operating_flow
from oracle.network import PUMP, Network
from oracle.year import Reckoning
from test_verdicts import MEETS, verdict

from workbook_builder.build import Built, build
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

EXCESS, REACH, UNSURE = (
    "The circulator gives no more flow than is needed",
    "Head within one circulator's reach",
    "Flow neither laminar nor turbulent",
)
LEFT = 0.001  # of the flow: what the fits of the run's curve leave, as the sheet says

LONG_LINE = [
    ("job", "title", "Long line", ""),
    ("site", "outdoor design temperature", "0", "°F"),
    ("site", "annual degree days", "7000", "°F day"),
    ("liquid", "kind", "propylene glycol", ""),
    ("liquid", "antifreeze by mass", "50", "%"),
    ("boiler", "rated output", "110000", "BTU/h"),
    ("boiler", "water content", "300", "gal"),
    ("boiler", "lower setpoint", "100", "°F"),
    ("boiler", "upper setpoint", "115", "°F"),
    ("wood", "species", "white oak", ""),
    ("run shed", "length", "600", "ft"),
    ("run shed", "tube family", "PEX SDR-9", ""),
    ("run shed", "size", "1", ""),
    ("run shed", "jacket outer diameter", "5", "in"),
    ("run shed", "insulation", "polyurethane foam", ""),
    ("run shed", "circulator shutoff head", "15", "ft"),
    ("run shed", "circulator middle flow", "4", "gpm"),
    ("run shed", "circulator middle head", "12", "ft"),
    ("run shed", "circulator high flow", "8", "gpm"),
    ("run shed", "circulator high head", "3", "ft"),
    ("load shed", "run", "shed", ""),
    ("load shed", "kind", "baseboard", ""),
    ("load shed", "design loss", "20000", "BTU/h"),
    ("load shed", "rated output", "60000", "BTU/h"),
]


Changes = dict[tuple[str, str], tuple[str, str]]


@cache
def _job(changes: tuple[tuple[tuple[str, str], tuple[str, str]], ...] = ()) -> Built:
    lines: Changes = {(part, item): (value, unit) for part, item, value, unit in LONG_LINE}
    lines |= dict(changes)
    rows = [TableRow(n, part, item, value, unit, "") for n, ((part, item), (value, unit)) in enumerate(lines.items(), 2) if value]
    return build(job_from_rows("t.csv", rows))


def job(changes: Changes | None = None) -> Built:
    return _job(tuple((changes or {}).items()))


def shown(built: Built, row: Any) -> float:
    return float(built.book.values[row][0])


def flow(built: Built) -> float:
    """m³/s."""
    return shown(built, built.sizing.pumps.flow) * 6.30901964e-05


def heads_apart(built: Built) -> float:
    """Of the larger: the circulator's head less the run's at the flow shown."""
    return shown(built, next(c for c in built.checks.all if c.label == MEETS).value) / 100


def solved(built: Built) -> tuple[float, float]:
    """Flow and Reynolds number where the two curves meet; the curves are looked at all along that they meet nowhere else."""
    network = Network(built.job)
    (run,) = network.runs.values()
    points = tuple(float(built.job.number("run shed", item) or 0.0) for item in PUMP)
    found = operating_flow(points, [run.circuit])  # type: ignore[arg-type]
    tried = np.linspace(0.002, 1.0, 500) * points[3]
    surplus = np.polyval(np.polyfit([0.0, points[1], points[3]], [points[0], points[2], points[4]], 2), tried)
    signs = np.sign(surplus - [run.circuit.head(q) for q in tried])
    assert np.count_nonzero(np.diff(signs)) <= 1, "the curves meet more than once"
    return found, run.tube.reynolds(found, run.liquid)


def curve(shutoff: float, middle: tuple[float, float], high: tuple[float, float]) -> Changes:
    figures = (shutoff, *middle, *high)
    return {("run shed", item): (f"{x:.6g}", "gpm" if item.endswith("flow") else "ft") for item, x in zip(PUMP, figures, strict=True)}


def test_a_long_line_of_antifreeze_between_laminar_and_turbulent() -> None:
    """15 − 3/16 Q² ft against 600 ft of 1 in PEX, half propylene glycol at 100 °F: the case that had no flow at all before."""
    built = job()
    q, reynolds = solved(built)
    assert 2000 < reynolds < 4000, "the case shows nothing"
    assert flow(built) == pytest.approx(q, rel=LEFT)
    gallons, head = (shown(built, row) for row in (built.sizing.pumps.flow, built.sizing.pumps.head))
    assert head == pytest.approx(15 - 3 / 16 * gallons**2, rel=0.003)
    assert verdict(built, MEETS) == ("pass", "shed")
    assert verdict(built, UNSURE) == ("remark", "shed")
    check = next(c for c in built.checks.all if c.label == UNSURE)
    assert check.wanted is not None
    assert shown(built, check.value) == pytest.approx(reynolds, rel=2 * LEFT)
    assert shown(built, check.wanted) == 4000


SWEEPS: dict[str, list[Changes]] = {
    "stronger": [curve(15 * x**2, (4 * x, 12 * x**2), (8 * x, 3 * x**2)) for x in np.linspace(0.7, 2.6, 20)],
    "thinner": [{("liquid", "antifreeze by mass"): (f"{share}", "%")} for share in (59, 57, 55, 53, 50, 47, 44, 40, 36, 32, 28, 24, 20)],
    "shorter": [{("run shed", "length"): (f"{n}", "ft")} for n in (1150, 1000, 850, 700, 600, 500, 400, 300, 200, 140, 100, 70, 50)],
    "wider": [{("run shed", "size"): (size, "")} for size in ("1/2", "3/4", "1", "1-1/4")],
    "asked for more": [{("run shed", "flow"): (f"{q}", "gpm")} for q in (0.8, 1.2, 1.7, 2.1, 2.6, 3.5, 5)],
}


@pytest.mark.slow
@pytest.mark.parametrize("what", SWEEPS)
def test_through_the_transition_there_is_one_flow_and_it_never_falls_back(what: str) -> None:
    flows, numbers = [], []
    for changes in SWEEPS[what]:
        built = job(changes)
        q, reynolds = solved(built)
        assert flow(built) == pytest.approx(q, rel=LEFT), (what, changes)
        assert verdict(built, MEETS) == ("pass", "shed")
        assert heads_apart(built) < 0.005
        told = verdict(built, UNSURE)[0]
        assert told == ("" if reynolds < 2000 else "remark" if reynolds < 4000 else "pass"), reynolds
        flows.append(flow(built))
        numbers.append(reynolds)
    if what == "asked for more":  # where the curves meet is not asked of the design flow
        assert max(flows) / min(flows) < 1 + 2 * LEFT
        return
    if what == "thinner":  # the factor rises by two thirds while the viscosity falls by half: less flow for a while, and no jump
        assert max(abs(b / a - 1) for a, b in itertools.pairwise(flows)) < 0.1
        assert all(a < b for a, b in itertools.pairwise(numbers))
    else:
        assert all(a < b for a, b in itertools.pairwise(flows))
    if what != "wider":
        assert min(numbers) < 1500 and max(numbers) > 5000, "the sweep does not go through the transition"


@pytest.mark.slow
@pytest.mark.parametrize("asked", ["10", "60"])
def test_a_flow_far_from_the_one_asked_for_is_found(asked: str) -> None:
    """2.4 gpm where 10 or 60 are asked, in the steepest part of the run's curve: a fifth of a per cent off at most."""
    built = job({("run shed", "flow"): (asked, "gpm")})
    q, _ = solved(built)
    assert flow(built) == pytest.approx(q, rel=0.002)
    assert heads_apart(built) < 0.005
    assert verdict(built, MEETS) == ("pass", "shed")


@pytest.mark.parametrize(
    ("label", "changes", "told"),
    [
        (EXCESS, {("run shed", "flow"): ("1.5", "gpm")}, "remark"),
        (EXCESS, {("run shed", "flow"): ("2.5", "gpm")}, "pass"),
        (EXCESS, {("run shed", "flow"): ("1.5", "gpm"), ("limits", "highest flow to design flow"): ("3", "")}, "pass"),
        (REACH, curve(40, (4, 38), (9, 15)), "remark"),
        (REACH, curve(40, (4, 38), (9, 15)) | {("limits", "highest circulator head"): ("45", "ft")}, "pass"),
        (REACH, {}, "pass"),
    ],
)
def test_remarks_on_a_circulator(label: str, changes: Changes, told: str) -> None:
    assert verdict(job(changes), label) == (told, "shed")


@pytest.mark.parametrize("efficiency", ["20", "35"])
def test_power_follows_from_flow_head_and_efficiency(efficiency: str) -> None:
    built = job({("run shed", "circulator efficiency"): (efficiency, "%")})
    reckoning = Reckoning(Network(built.job))
    watts = shown(built, built.sizing.pumps.power)
    assert watts == pytest.approx(reckoning.circulator("shed"), rel=0.005)
    pumps = built.sizing.pumps
    density = shown(built, built.sizing.pipes.density)
    # 550 ft lbf/s are a horsepower, 745.7 W.
    horses = shown(built, pumps.flow) / 448.831 * density * shown(built, pumps.head) / 550
    assert watts == pytest.approx(745.7 * horses / (float(efficiency) / 100), rel=1e-4)


def test_typed_power_wins() -> None:
    built = job({("run shed", "circulator power"): ("87", "W")})
    assert shown(built, built.sizing.pumps.power) == 87
