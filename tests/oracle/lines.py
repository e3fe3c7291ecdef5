"""The buried pair: conductances from a two-dimensional solution, temperatures from the two coupled equations at once."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from conduction import Solved, solve
from scipy.linalg import expm

from . import facts
from .facts import DAY

TWIN_SPACING = 1.3  # convention: tubes in one jacket lie a third of their diameter apart
SAME = 5e-4  # of the heat: the two-dimensional solution is believed if a finer one changes it by no more


@dataclass(frozen=True)
class Conductances:
    """W/(m K) of each line: to the ground's surface, and to the other line."""

    loss: float
    exchange: float


def _believed(solve: Callable[[int, int], Solved]) -> Solved:
    """The first solution that agrees with a coarser one; where jackets touch, the series settles slowly."""
    coarse, off = solve(16, 64), 1.0
    for orders in (22, 30, 42):
        fine = solve(orders, 4 * orders)
        off = float(abs(fine.heat - coarse.heat).max() / abs(fine.heat).max())
        if off < SAME:
            return fine
        coarse = fine
    raise ArithmeticError(f"the two-dimensional solution has not settled: {off}")


def _from(equal: Solved, one_hot: Solved) -> Conductances:
    """From the heat of both lines at the same temperature, and of one at 1 K and the other at 0."""
    loss = float(equal.heat.mean())
    return Conductances(loss, float(one_hot.heat[0]) - loss)


@cache
def one_jacket(depth: float, spacing: float, tube: float, jacket: float, insulation: float, soil: float, wall: float) -> Conductances:
    """Two tubes in one round jacket, each with the resistance of its wall, m K/W."""
    centre = complex(0.0, -depth)

    def at(pair: tuple[float, float]) -> Solved:
        tubes = [(centre + side * spacing / 2, tube / 2, t, wall) for side, t in zip((-1, 1), pair, strict=True)]
        return _believed(lambda orders, points: solve([(centre, jacket / 2, tubes)], insulation, soil, orders, points))

    return _from(at((1.0, 1.0)), at((1.0, 0.0)))


@cache
def apart(depth: float, spacing: float, jacket: float, tube: float, insulation: float, soil: float, wall: float) -> Conductances:
    """Two lines, each in its own jacket, with the resistance of the tube's wall, m K/W."""
    centres = (complex(-spacing / 2, -depth), complex(spacing / 2, -depth))

    def at(pair: tuple[float, float]) -> Solved:
        jackets = [(c, jacket / 2, [(c, tube / 2, t, wall)]) for c, t in zip(centres, pair, strict=True)]
        return _believed(lambda orders, points: solve(jackets, insulation, soil, orders, points))

    return _from(at((1.0, 1.0)), at((1.0, 0.0)))


def ground_temperature(depth: float, day: float, mean: float, amplitude: float, coldest: float, diffusivity: float) -> float:
    """A yearly wave that runs into the ground: the real part of a complex exponential that solves the heat equation."""
    frequency = 2 * math.pi / (365.0 * DAY)
    into = cmath.sqrt(1j * frequency / diffusivity) * depth
    return mean - amplitude * (cmath.exp(1j * frequency * (day - coldest) * DAY - into)).real


@dataclass(frozen=True)
class Pair:
    """A supply and its return in the ground."""

    length: float
    conductances: Conductances
    ground: float
    rate: float  # W/K

    def carried(self) -> np.ndarray:
        """From the near end to the far end: what supply and return are above the ground, as a matrix."""
        u, x = self.conductances.loss, self.conductances.exchange
        return np.asarray(expm(np.array([[-(u + x), x], [-x, u + x]]) * self.length / self.rate))

    def ends(self, supply: float, taken: float, ground: float | None = None) -> tuple[float, float]:
        """Supply at the far end and return at the near end, when the loads beyond take so much heat."""
        base = self.ground if ground is None else ground
        m, inlet, drop = self.carried(), supply - base, taken / self.rate
        # At the far end the return is the supply less the drop; that fixes the return at the near end.
        near = ((m[0, 0] - m[1, 0]) * inlet - drop) / (m[1, 1] - m[0, 1])
        return base + m[0, 0] * inlet + m[0, 1] * near, base + near

    def behind(self, given: float, taken: float, held: Callable[[float], float], ground: float | None = None) -> float:
        """The supply behind an exchanger at the start that holds it back by so much for the heat that enters: where both agree."""

        def misfit(supply: float) -> float:
            entering = self.rate * (supply - self.ends(supply, taken, ground)[1])
            return given - held(entering) - supply

        # All of it is linear: two tries give it.
        low, high = misfit(given - 50.0), misfit(given)
        return given - 50.0 + 50.0 * low / (low - high)

    def lost(self, supply: float, taken: float, ground: float | None = None) -> float:
        """What both lines lose to the ground, W."""
        _, near = self.ends(supply, taken, ground)
        return self.rate * (supply - near) - taken


def swing(means: list[float]) -> tuple[float, float]:
    """Mean and half the swing of the months."""
    return sum(means) / len(means), (max(means) - min(means)) / 2


def soil_of(name: str, typed: float | None) -> tuple[float, float]:
    """Conductivity and diffusivity."""
    return typed or facts.number("soils", "conductivity", name), facts.number("soils", "diffusivity", name)
