"""How close the book's heat balance comes to the independent solver's: ``python tests/balance_accuracy.py [JOBS]``

Random jobs, every second one short of heat: its boiler is given a share of what the night asks for, drawn between 0.35 and 0.97.  What
is compared is the temperature at which demand meets the output, and the heat that the loads get, all of them together.  The solver
takes the sizes of tubes and the conductances of the buried lines from the book: its own, of the plane in two dimensions, differ from
the book's formulas by up to 0.4 %, which tests/test_ground.py holds, and which would hide what is asked here.
"""

from __future__ import annotations

import dataclasses
import random
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))
from oracle.lines import Conductances
from oracle.network import Network
from oracle_jobs import random_job

from workbook_builder.build import Built, build
from workbook_builder.model.rows import Row

KELVIN, SHARE = 0.05, 0.001
LOW, HIGH = 0.35, 0.97


def _take_over_lines(network: Network, built: Built) -> None:
    """The book's conductances of the buried lines instead of the solver's, and the night at the lower setpoint once more."""
    ground, values = built.sizing.ground, built.book.values
    loss, exchange = (row.kind.us.to_coherent(values[row]) for row in (ground.loss, ground.exchange))  # type: ignore[union-attr]
    for run, u, x in zip(network.runs.values(), loss, exchange, strict=True):
        assert run.pair is not None
        run.pair = dataclasses.replace(run.pair, conductances=Conductances(float(u), float(x)))
    network.chosen = False
    network.night(network.on)
    network.chosen = True
    network.steady = network.night(network.on)


def main() -> int:
    """Print the largest differences; 1 where one is larger than it may be."""
    seeds = [int(a) for a in sys.argv[2:]] or list(range(int(sys.argv[1]) if len(sys.argv) > 1 else 200))
    kelvin: list[float] = []
    shares: list[float] = []
    short = 0
    for seed in seeds:
        job = random_job(seed)
        for item in ("firebox volume", "rated output basis"):
            job.entries.pop(("boiler", item), None)
        network = Network(job)
        part = random.Random(seed).uniform(LOW, HIGH) if seed % 2 else 1.5
        output = network.steady.given * part
        entry = job.entries["boiler", "rated output"]
        job.entries["boiler", "rated output"] = dataclasses.replace(entry, value=output)
        built = build(job)
        sizes = dict(zip(job.runs, built.book.values[built.sizing.pipes.size], strict=True))
        network = Network(job, sizes)
        _take_over_lines(network, built)
        water, night = network.settled(output)
        short += water < network.on

        def of(row: Row, built: object = built) -> float:
            return float(np.sum(row.kind.us.to_coherent(built.book.values[row])))  # type: ignore[union-attr, attr-defined]

        heat = sum(station.taken for station in night.stations.values())
        kelvin.append(abs(of(built.sizing.balance.water) - water))
        shares.append(abs(of(built.sizing.settled.case.taken) - heat) / max(heat, 1.0))  # a fire below the lines' own loss heats nothing
        if kelvin[-1] > KELVIN or shares[-1] > SHARE:
            print(f"job {seed}: {kelvin[-1]:.4f} K, {shares[-1]:.2e} of the heat, output {part:.2f} of the demand")
    print(f"{len(seeds)} jobs, {short} short of heat: at most {max(kelvin):.4f} K and {max(shares):.1e} of the heat delivered")
    return int(max(kelvin) > KELVIN or max(shares) > SHARE)


if __name__ == "__main__":
    sys.exit(main())
