"""Two-dimensional conduction round buried lines, solved by collocation: a second route that shares no formula with hydrocalc.

Temperature is a sum of harmonic functions with free coefficients, fitted by least squares to the conditions on all
circles: the tube's temperature less what its wall takes, and equal temperature and flow across each jacket's surface.
The ground's surface is at zero by mirror images.  What is left of the conditions between the fitted points says how
exact the solution is, by the maximum principle.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]
Term = tuple[Callable[[Complex], Complex], Callable[[Complex], Complex], bool]  # analytic function, derivative, real or imaginary part


@dataclass(frozen=True)
class Solved:
    """Heat that leaves each line, W/m, and the largest error of a boundary condition, K."""

    heat: Real
    residual: float


def _logarithm(centre: complex) -> Term:
    return lambda z: np.log(z - centre), lambda z: 1.0 / (z - centre), True


def _powers(centre: complex, radius: float, orders: range) -> list[Term]:
    """Both parts of ((z - centre)/radius)**n: regular for positive orders, a multipole for negative ones."""

    def one(n: int, real: bool) -> Term:
        return lambda z: ((z - centre) / radius) ** n, lambda z: n / radius * ((z - centre) / radius) ** (n - 1), real

    return [one(n, real) for n in orders for real in (True, False)]


def _value(term: Term, z: Complex) -> Real:
    f, _, real = term
    return f(z).real if real else f(z).imag


def _slope(term: Term, z: Complex, normal: Complex) -> Real:
    """The derivative along a unit normal: of Re f, Re(f' n); of Im f, Im(f' n)."""
    _, d, real = term
    along = d(z) * normal
    return along.real if real else along.imag


def _mirrored(term: Term) -> tuple[Callable[[Complex], Real], Callable[[Complex, Complex], Real]]:
    """Less its mirror image in the ground's surface, the real axis."""
    return (
        lambda z: _value(term, z) - _value(term, z.conj()),
        lambda z, normal: _slope(term, z, normal) - _slope(term, z.conj(), normal.conj()),
    )


def _ring(centre: complex, radius: float, points: int, shift: float) -> tuple[Complex, Complex]:
    normal = np.exp(2j * np.pi * (np.arange(points) + shift) / points)
    return centre + radius * normal, normal


def solve(
    jackets: list[tuple[complex, float, list[tuple[complex, float, float, float]]]],
    insulation: float,
    soil: float,
    orders: int = 16,
    points: int = 64,
) -> Solved:
    """Jackets are (centre, radius, tubes), tubes (centre, radius, temperature, wall resistance); centres below the real axis."""
    outer: list[Term] = []
    for centre, radius, _ in jackets:
        outer += [_logarithm(centre), *_powers(centre, radius, range(-orders, 0))]
    mirrored = [_mirrored(t) for t in outer]
    inner: list[list[Term]] = []
    for centre, radius, tubes in jackets:
        terms = [(lambda z: np.ones_like(z), lambda z: np.zeros_like(z), True), *_powers(centre, radius, range(1, orders + 1))]
        for tube_centre, tube_radius, _, _ in tubes:
            terms += [_logarithm(tube_centre), *_powers(tube_centre, tube_radius, range(-orders, 0))]
        inner.append(terms)
    width = len(outer) + sum(len(t) for t in inner)

    def conditions(shift: float) -> tuple[Real, Real]:
        rows, right = [], []
        start = len(outer)
        for (centre, radius, tubes), terms in zip(jackets, inner, strict=True):
            z, normal = _ring(centre, radius, points, shift)
            same, flow = np.zeros((points, width)), np.zeros((points, width))
            for column, (value, slope) in enumerate(mirrored):
                same[:, column], flow[:, column] = value(z), slope(z, normal) * soil / insulation * radius
            for column, term in enumerate(terms, start):
                same[:, column], flow[:, column] = -_value(term, z), -_slope(term, z, normal) * radius
            rows += [same, flow]
            right += [np.zeros(points), np.zeros(points)]
            for tube_centre, tube_radius, temperature, wall in tubes:
                z, normal = _ring(tube_centre, tube_radius, points, shift)
                held = np.zeros((points, width))
                for column, term in enumerate(terms, start):
                    held[:, column] = _value(term, z) - 2 * np.pi * tube_radius * wall * insulation * _slope(term, z, normal)
                rows.append(held)
                right.append(np.full(points, temperature))
            start += len(terms)
        return np.vstack(rows), np.concatenate(right)

    matrix, right = conditions(0.0)
    scale = np.linalg.norm(matrix, axis=0)
    coefficients = np.linalg.lstsq(matrix / scale, right, rcond=None)[0] / scale
    between_points, wanted = conditions(0.5)
    residual = float(np.max(np.abs(between_points @ coefficients - wanted)))
    heat, start = [], len(outer)
    for (_, _, tubes), terms in zip(jackets, inner, strict=True):
        first = start + 1 + 2 * orders
        heat += [-2 * np.pi * insulation * coefficients[first + i * (1 + 2 * orders)] for i in range(len(tubes))]
        start += len(terms)
    return Solved(np.array(heat), residual)


def one(depth: float, outer: float, inner: float, insulation: float, soil: float, temperature: float) -> Solved:
    """One insulated line; diameters, temperature above the ground's."""
    centre = complex(0.0, -depth)
    return solve([(centre, outer / 2, [(centre, inner / 2, temperature, 0.0)])], insulation, soil)


def side_by_side(
    depth: float,
    spacing: float,
    outer: float,
    inner: float,
    insulation: float,
    soil: float,
    temperatures: tuple[float, float],
    wall: float = 0.0,
) -> Solved:
    """Two lines, each in its own jacket."""
    centres = (complex(-spacing / 2, -depth), complex(spacing / 2, -depth))
    jackets = [(c, outer / 2, [(c, inner / 2, t, wall)]) for c, t in zip(centres, temperatures, strict=True)]
    return solve(jackets, insulation, soil)


def in_one_jacket(
    depth: float,
    spacing: float,
    tube: float,
    jacket: float,
    insulation: float,
    soil: float,
    temperatures: tuple[float, float],
    wall: float = 0.0,
) -> Solved:
    """Two tubes in one round jacket, level with each other."""
    centre = complex(0.0, -depth)
    tubes = [(centre + side * spacing / 2, tube / 2, t, wall) for side, t in zip((-1, 1), temperatures, strict=True)]
    return solve([(centre, jacket / 2, tubes)], insulation, soil)
