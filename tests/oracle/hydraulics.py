"""Friction, the size of a tube, and where a circulator's true curve meets the run's true curve."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache

import numpy as np
from fluids.friction import Colebrook
from scipy.interpolate import CubicHermiteSpline
from scipy.optimize import brentq

from . import facts
from .liquids import State

GRAVITY = 9.80665
LAMINAR, TURBULENT = 2000.0, 4000.0  # Reynolds numbers up to which the flow is laminar, and from which it is turbulent
DIAMETERS = {"elbows": 30.0, "tees": 60.0, "valves": 3.0}  # Crane TP-410: equivalent diameters at full turbulence
CANDIDATES = 5


def crane_turbulent(bore: float) -> float:
    """Friction factor by which Crane rates fittings: 0.00905 and a power of the bore, at 1 in 0.01456 (drawn through its table)."""
    return 0.00905 + 0.01456 * math.exp(-0.48 * math.log(bore / 0.0254))


@cache
def joining(roughness: float) -> CubicHermiteSpline:
    """The cubic with the values and slopes of 64/Re at 2000 and of Colebrook and White at 4000."""
    step = 4.0
    near = [float(Colebrook(TURBULENT + n * step, roughness, tol=-1)) for n in (-1, 0, 1)]
    slopes = [-64 / LAMINAR**2, (near[2] - near[0]) / (2 * step)]
    return CubicHermiteSpline([LAMINAR, TURBULENT], [64 / LAMINAR, near[1]], slopes)


@dataclass(frozen=True)
class Tube:
    """A tube with its bore and the roughness of its wall."""

    family: str
    size: str

    @property
    def bore(self) -> float:
        return facts.number("tubes", "inside_diameter", self.family, self.size)

    @property
    def outside(self) -> float:
        return facts.number("tubes", "outside_diameter", self.family, self.size)

    @property
    def roughness(self) -> float:
        return facts.number("tubes", "roughness", self.family, self.size)

    @property
    def wall_resistance(self) -> float:
        """m K/W through the tube's own wall."""
        return math.log(self.outside / self.bore) / (2 * math.pi * facts.number("tube_walls", "conductivity", self.family))

    def velocity(self, flow: float) -> float:
        return flow / (math.pi / 4 * self.bore**2)

    def factor(self, flow: float, liquid: State) -> float:
        """Darcy's friction factor: Hagen and Poiseuille, the exact root of Colebrook and White, or what joins them."""
        reynolds, roughness = self.reynolds(flow, liquid), self.roughness / self.bore
        if reynolds < LAMINAR:
            return 64 / reynolds
        if reynolds < TURBULENT:
            return float(joining(roughness)(reynolds))
        return float(Colebrook(reynolds, roughness, tol=-1))

    def gradient(self, flow: float, liquid: State) -> float:
        return self.factor(flow, liquid) * self.velocity(flow) ** 2 / (2 * GRAVITY * self.bore)

    def reynolds(self, flow: float, liquid: State) -> float:
        return self.velocity(flow) * self.bore * liquid.density / liquid.viscosity


@dataclass(frozen=True)
class Circuit:
    """All that a run's circulator has to overcome."""

    tube: Tube
    liquid: State
    length: float  # of the trench
    counts: tuple[tuple[str, float], ...]
    equivalent: float | None  # typed length of fittings
    other: float  # head of exchangers, at ...
    other_flow: float  # ... this flow of the line

    def head(self, flow: float) -> float:
        gradient = self.tube.gradient(flow, self.liquid)
        line = gradient * (2 * self.length + (self.equivalent or 0.0))
        if self.equivalent is None:
            turbulent = crane_turbulent(self.tube.bore)
            coefficient = sum(n * DIAMETERS[what] for what, n in self.counts) * turbulent
            line += coefficient * self.tube.velocity(flow) ** 2 / (2 * GRAVITY)
        return line + self.other * (flow / self.other_flow) ** 2


def operating_flow(points: tuple[float, float, float, float, float], circuits: Collection[Circuit]) -> float:
    """Of circuits one behind the other.  Root of pump less system; the pump's curve is the parabola through its three points."""
    shutoff, middle, middle_head, high, high_head = points
    curve = np.polyfit([0.0, middle / high, 1.0], [shutoff, middle_head, high_head], 2)
    roots = np.roots(curve)
    real = sorted(float(r.real) for r in roots if abs(r.imag) < 1e-12 and r.real > 0)
    top = real[0] if real else 10.0

    def surplus(share: float) -> float:
        return float(np.polyval(curve, share)) - sum(circuit.head(share * high) for circuit in circuits)

    while surplus(top) > 0:
        top *= 2
    return high * float(brentq(surplus, 1e-6, top, xtol=1e-12))


def smallest_that_fits(family: str, flow: float, liquid: State, velocity: float, gradient: float) -> Tube:
    """The smallest size that keeps both limits; if none of five from the first that might, the last of those."""
    known = [Tube(family, s) for s in facts.sizes(family)]
    first = max(sum(t.velocity(flow) > velocity for t in known) - 1, 0)
    tried = known[first : first + CANDIDATES] or known[-1:]
    fitting = [t for t in tried if t.velocity(flow) <= velocity and t.gradient(flow, liquid) <= gradient]
    return fitting[0] if fitting else tried[-1]
