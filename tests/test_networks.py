"""Networks of runs and branches, each with its circulator, against EPANET by way of ``wntr``.

Both know a circulator as a curve and a tube as a head that rises with the flow, and agree on laminar flow.  In turbulent flow EPANET
takes the explicit formula of Swamee and Jain, which is 1 to 3 % off Colebrook and White's equation, and its cubic between Reynolds
2000 and 4000 joins that.  So the flows are compared twice: as they are, and EPANET's with those of a solver of this test that takes
EPANET's own formulas, from its users' manual.

A run is drawn as a source, the circulator, one tube out and back with its fittings as minor losses, and a sink of the same head: in a
loop what the boiler gives back.  A run that starts on another is fed where supply and return are joined without head between them.
EPANET fits three points by shutoff - r q^n; the curves here are such with n = 2, the parabola of the sheet Pumps.
"""

from __future__ import annotations

import math
import random
import warnings
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
import wntr
from oracle.hydraulics import GRAVITY, Circuit, Tube, operating_flow
from oracle.liquids import State
from oracle.network import Network
from slow import but_first

from workbook_builder.build import build
from workbook_builder.table.job import Job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

NETWORKS, AT_ONCE = 30, 3
GALLONS_A_MINUTE, FOOT = 6.30901964e-05, 0.3048
VISCOSITY = 1.1e-5 * FOOT**2  # m²/s, of which EPANET's option is a multiple
HEAD = 50.0  # m, of source and sink alike
AS_THEY_ARE, ONE_FORMULA = 0.01, 0.002
Points = tuple[float, float, float, float, float]


@dataclass(frozen=True)
class Made:
    """A job, and the three points of each circulator: feet and gallons a minute."""

    job: Job
    points: dict[str, Points]


def made(seed: int) -> Made:
    """One to four runs, some of which start on others, filled with water or with glycol of any strength; two of three cold and thick."""
    draw = random.Random(seed)
    thick = seed % 3 > 0
    liquid = "propylene glycol" if thick else draw.choice(("water", "propylene glycol", "ethylene glycol"))
    setpoint = draw.randint(100, 115) if thick else draw.randint(100, 175)
    lines = [
        ("job", "title", f"Network {seed}", ""),
        ("site", "outdoor design temperature", "0", "°F"),
        ("site", "annual degree days", "7000", "°F day"),
        ("liquid", "kind", liquid, ""),
        ("boiler", "rated output", "400000", "BTU/h"),
        ("boiler", "water content", "300", "gal"),
        ("boiler", "lower setpoint", f"{setpoint}", "°F"),
        ("boiler", "upper setpoint", f"{setpoint + 15}", "°F"),
        ("wood", "species", "white oak", ""),
    ]
    if liquid != "water":
        lines.append(("liquid", "antifreeze by mass", f"{draw.randint(45, 60) if thick else draw.randint(25, 60)}", "%"))
    names = ["north", "east", "south", "west"][: draw.randint(1, 4)]
    points = {}
    for place, name in enumerate(names):
        part = f"run {name}"
        size = draw.choice(("3/4", "1", "1-1/4"))
        middle = {"3/4": 1.0, "1": 1.7, "1-1/4": 2.6}[size] * (draw.uniform(0.3, 1.6) if thick else draw.uniform(0.7, 3.0))
        shutoff, steepness = draw.uniform(8.0, 30.0), draw.uniform(0.6, 0.95)
        at_middle, at_high = (round(shutoff * (1 - steepness * part_of**2), 9) for part_of in (0.5, 1.0))
        points[name] = (round(shutoff, 9), round(middle, 9), at_middle, round(2 * middle, 9), at_high)
        if place and draw.random() < 0.6:
            lines.append((part, "starts at", draw.choice(names[:place]), ""))
        lines += [
            (part, "length", f"{draw.randint(80, 700)}", "ft"),
            (part, "tube family", draw.choice(("PEX SDR-9", "copper L")), ""),
            (part, "size", size, ""),
            (part, "jacket outer diameter", "7", "in"),
            (part, "insulation", "polyurethane foam", ""),
            (part, "circulator shutoff head", f"{points[name][0]}", "ft"),
            (part, "circulator middle flow", f"{points[name][1]}", "gpm"),
            (part, "circulator middle head", f"{points[name][2]}", "ft"),
            (part, "circulator high flow", f"{points[name][3]}", "gpm"),
            (part, "circulator high head", f"{points[name][4]}", "ft"),
            (part, "elbows", f"{draw.randint(2, 20)}", ""),
        ]
        if draw.random() < 0.4:
            lines += [(part, "other head", f"{draw.uniform(1, 5):.2f}", "ft"), (part, "other head flow", f"{middle:.2f}", "gpm")]
        elif draw.random() < 0.3:
            lines.append((part, "equivalent length of fittings", f"{draw.randint(10, 60)}", "ft"))
        heat = 8000 * middle * draw.uniform(0.5, 1.5)
        load = f"load {name} rooms"
        lines += [(load, "run", name, ""), (load, "kind", "baseboard", "")]
        lines += [(load, "design loss", f"{heat:.0f}", "BTU/h"), (load, "rated output", f"{4 * heat:.0f}", "BTU/h")]
    return Made(job_from_rows("t.csv", [TableRow(n, *line, "") for n, line in enumerate(lines, 2)]), points)


# --- EPANET -----------------------------------------------------------------------------------------------------------


def minor(circuit: Circuit) -> float:
    """Coefficient of the velocity head of all that has no length of tube."""
    unit = replace(circuit, length=0.0)
    whole = unit.head(circuit.other_flow)
    if circuit.equivalent is not None:
        whole -= circuit.tube.gradient(circuit.other_flow, circuit.liquid) * circuit.equivalent
    return whole / (circuit.tube.velocity(circuit.other_flow) ** 2 / (2 * GRAVITY))


def by_epanet(network: Network, points: dict[str, Points], folder: Path) -> dict[str, float]:
    """Flow of each run, m³/s."""
    model = wntr.network.WaterNetworkModel()
    options = model.options.hydraulic
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says that roughness has another unit now
        options.headloss = "D-W"
    liquids = {run.liquid for run in network.runs.values()}
    (liquid,) = liquids
    options.inpfile_units, options.accuracy, options.trials = "GPM", 1e-7, 400
    options.viscosity = liquid.viscosity / liquid.density / VISCOSITY
    options.specific_gravity = liquid.density / 1000
    for name, run in network.runs.items():
        shutoff, middle, middle_head, high, high_head = points[name]
        circuit = run.circuit
        model.add_reservoir(f"{name}_out", base_head=HEAD)
        model.add_reservoir(f"{name}_back", base_head=HEAD)
        model.add_junction(f"{name}_pump", base_demand=0.0, elevation=0.0)
        curve = [(0.0, shutoff), (middle, middle_head), (high, high_head)]
        model.add_curve(f"{name}_curve", "HEAD", [(q * GALLONS_A_MINUTE, h * FOOT) for q, h in curve])
        model.add_pump(f"{name}_circulator", f"{name}_out", f"{name}_pump", "HEAD", f"{name}_curve")
        model.add_pipe(
            f"{name}_tube",
            f"{name}_pump",
            f"{name}_back",
            length=2 * circuit.length + (circuit.equivalent or 0.0),
            diameter=circuit.tube.bore,
            roughness=circuit.tube.roughness,
            minor_loss=minor(circuit),
        )
    flows = wntr.sim.EpanetSimulator(model).run_sim(file_prefix=str(folder / "network")).link["flowrate"].iloc[0]
    return {name: float(flows[f"{name}_tube"]) for name in network.runs}


@dataclass(frozen=True)
class TheirTube(Tube):
    """A tube with the friction of EPANET's users' manual, appendix on its formulas: Swamee and Jain, and Dunlop's cubic to it."""

    def factor(self, flow: float, liquid: State) -> float:
        reynolds, rough = self.reynolds(flow, liquid), self.roughness / (3.7 * self.bore)
        if reynolds < 2000:
            return 64 / reynolds
        if reynolds > 4000:
            return float(0.25 / math.log10(rough + 5.74 / reynolds**0.9) ** 2)
        y2 = rough + 5.74 / 4000**0.9
        y3 = -2 * math.log10(y2)
        fa = y3**-2
        slope = 2 * 5.74 * 0.9 * 2 / math.log(10) / 4000**0.9  # of the factor's logarithm, times 4000 y2 y3
        fb = fa * (2 - slope / (y2 * y3))
        r = reynolds / 2000
        x4 = 0.032 - 3 * fa + 0.5 * fb
        return 7 * fa - fb + r * (0.128 - 17 * fa + 2.5 * fb + r * (-0.128 + 13 * fa - 2 * fb + r * x4))


def with_their_friction(circuit: Circuit, points: Points) -> float:
    shutoff, middle, middle_head, high, high_head = points
    coherent = (shutoff * FOOT, middle * GALLONS_A_MINUTE, middle_head * FOOT, high * GALLONS_A_MINUTE, high_head * FOOT)
    return operating_flow(coherent, [replace(circuit, tube=TheirTube(circuit.tube.family, circuit.tube.size))])


@pytest.mark.parametrize("seed", but_first(list(range(NETWORKS)), AT_ONCE))
def test_flows_against_epanet(seed: int, tmp_path: Path) -> None:
    network = made(seed)
    built = build(network.job)
    solved = Network(network.job)
    theirs = by_epanet(solved, network.points, tmp_path)
    ours = dict(
        zip(built.context.runs.labels, np.asarray(built.book.values[built.sizing.pumps.flow], float) * GALLONS_A_MINUTE, strict=True)
    )
    for name, flow in theirs.items():
        run = solved.runs[name]
        assert ours[name] == pytest.approx(flow, rel=AS_THEY_ARE), (name, run.tube.reynolds(flow, run.liquid))
        corrected = with_their_friction(run.circuit, network.points[name])
        assert corrected == pytest.approx(flow, rel=ONE_FORMULA), name
        # What the formulas differ by is taken off ours.
        assert ours[name] * corrected / run.flow == pytest.approx(flow, rel=ONE_FORMULA), name


def test_the_networks_hold_laminar_transitional_and_turbulent_flow_and_branches() -> None:
    numbers, branches, glycols = [], 0, 0
    for seed in range(NETWORKS):
        solved = Network(made(seed).job)
        numbers += [run.tube.reynolds(run.flow, run.liquid) for run in solved.runs.values()]
        branches += sum(run.parent is not None for run in solved.runs.values())
        glycols += solved.job.text("liquid", "kind") != "water"
    kinds = np.histogram(numbers, [0, 2000, 4000, np.inf])[0]
    assert min(kinds) >= 8, kinds
    assert branches >= 10 and glycols >= 15
