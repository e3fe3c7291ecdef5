"""A tube's own wall in the loss of its line: the book against the two-dimensional solution, and what it costs to leave it out."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from oracle import lines
from oracle.lines import Pair
from oracle.network import Network
from slow import but_first

from hydrocalc.tables import table
from workbook_builder.build import Built, build
from workbook_builder.model.rows import Row
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

KELVIN, SHARE = 0.1, 0.005
# A long line of 1-1/4 in PEX in one soaked jacket, and the same otherwise.
CASES = {
    "one jacket, wet": ("one jacket", "wet", "PEX SDR-9", "5"),
    "one jacket, dry": ("one jacket", "dry", "PEX SDR-9", "5"),
    "apart, wet": ("apart", "wet", "PEX SDR-9", "4"),
    "apart, dry": ("apart", "dry", "PEX SDR-9", "4"),
    "copper, wet": ("one jacket", "wet", "copper L", "5"),
}


@cache
def both(case: str) -> tuple[Built, Network]:
    arrangement, condition, family, jacket = CASES[case]
    rows = [
        ("job", "title", "Walls", ""),
        ("site", "outdoor design temperature", "-10", "°F"),
        ("site", "annual degree days", "7500", "°F day"),
        ("site", "soil", "clay, high", ""),
        ("boiler", "rated output", "250000", "BTU/h"),
        ("boiler", "water content", "250", "gal"),
        ("wood", "species", "white ash", ""),
        ("run yard", "length", "200", "ft"),
        ("run yard", "tube family", family, ""),
        ("run yard", "size", "1-1/4", ""),
        ("run yard", "arrangement", arrangement, ""),
        ("run yard", "jacket condition", condition, ""),
        ("run yard", "jacket outer diameter", jacket, "in"),
        ("load house", "run", "yard", ""),
        ("load house", "kind", "baseboard", ""),
        ("load house", "design loss", "60000", "BTU/h"),
        ("load house", "rated output", "90000", "BTU/h"),
    ]
    job = job_from_rows("walls.csv", [TableRow(n, *row, "") for n, row in enumerate(rows, 2)])
    return build(job), Network(job)


def of(built: Built, row: Row) -> float:
    """A cell of the one run in coherent units."""
    return float(np.asarray(row.kind.us.to_coherent(built.book.values[row]))[0])  # type: ignore[union-attr]


@pytest.mark.slow
@pytest.mark.parametrize("case", but_first(CASES))
def test_the_line_with_its_walls(case: str) -> None:
    built, network = both(case)
    sizing, night, run = built.sizing, network.steady, network.runs["yard"]
    # The fire carries the load: the water as it will be is that of the lower setpoint.
    assert of(built, sizing.night.lines.arrival) == pytest.approx(night.arrival["yard"], abs=KELVIN)
    assert of(built, sizing.night.lines.loss) == pytest.approx(night.lost["yard"], rel=SHARE)
    assert run.pair is not None
    assert of(built, sizing.ground.loss) == pytest.approx(run.pair.conductances.loss, rel=SHARE)


@pytest.mark.parametrize(
    "case, least, most", [("one jacket, wet", 0.08, 0.14), ("one jacket, dry", 0.005, 0.03), ("copper, wet", 0.0, 1e-4)]
)
def test_what_it_costs_to_leave_the_wall_out(case: str, least: float, most: float) -> None:
    """Of plastic in a soaked jacket a tenth of the loss, by the two-dimensional solution; in a dry one a hundredth or two."""
    built, network = both(case)
    run = network.runs["yard"]
    assert run.pair is not None
    depth, jacket = (network.site.num("run yard", item) for item in ("depth", "jacket outer diameter"))
    soil, _ = lines.soil_of("clay, high", None)
    insulation = of(built, built.sizing.ground.insulation)
    spacing = run.tube.outside * lines.TWIN_SPACING
    without = lines.one_jacket(depth, spacing, run.tube.outside, jacket, insulation, soil, 0.0)
    bare = Pair(run.pair.length, without, run.pair.ground, run.pair.rate)
    taken = sum(station.taken for station in network.steady.stations.values())
    supply = network.on
    more = bare.lost(supply, taken) / run.pair.lost(supply, taken) - 1
    assert least <= more <= most
    assert of(built, built.sizing.ground.loss) == pytest.approx(run.pair.conductances.loss, rel=SHARE)


def test_every_family_of_tubes_has_a_wall() -> None:
    assert set(table("tube_walls").texts("family")) == set(table("tubes").texts("family"))
