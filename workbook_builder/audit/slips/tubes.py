"""Slips of tubes, of their length and of the friction in them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from fractions import Fraction
from typing import Any

import numpy as np

from hydrocalc import friction
from hydrocalc.measures import BORE, VELOCITY

from ...sheet_rows import Row
from ..worlds import World
from .slip import Lines, always

INCH = 0.0254  # m
LEAST_MILLIMETRES = 10.0  # a whole number below this is inches


def nominal_bore(size: str) -> float | None:
    """The trade size as a length (m): ``1-1/4`` is 1.25 in, ``32`` is 32 mm; None where it is not so named."""
    match = re.fullmatch(r"(?:(\d+)-)?(\d+)/(\d+)|(\d+)", size.strip())
    if match is None:
        return None
    if match.group(4):
        whole = float(match.group(4))
        return whole * INCH if whole < LEAST_MILLIMETRES else whole / 1000
    return float(int(match.group(1) or 0) + Fraction(int(match.group(2)), int(match.group(3)))) * INCH


def nominal_bore_taken(world: World) -> Lines:
    pipes = world.making.pipes

    def bore(_: Any, own: Any) -> Any:
        sizes = [nominal_bore(str(s)) for s in world.base[pipes.size]]
        return np.where([s is None for s in sizes], own, [world.trade(BORE, s or INCH) for s in sizes])

    yield pipes.bore, bore


def outside_bore(world: World) -> Lines:
    yield world.making.pipes.bore, always(world.making.pipes.outside)


def head_lines(world: World) -> Iterable[tuple[Row, Row]]:
    """Every line of head with the equivalent length of fittings that goes into it."""
    for row in world.rows("Pipes", "Head of line and fittings"):
        yield row, world.making.pipes.fittings
    for row in world.making.pumps.sheet.rows:
        if row.label.startswith("Head of line and fittings"):
            which = row.label.removeprefix("Head of line and fittings")
            yield row, world.rows("Pumps", f"Equivalent length of fittings{which}")[-1]


def lengths(ways: float, fittings: float) -> Callable[[World], Lines]:
    """Head with the length taken so many times and so much of the fittings."""

    def lines(world: World) -> Lines:
        length = world.making.pipes.length
        for row, extra in head_lines(world):
            yield (
                row,
                lambda v, own, extra=extra: own * (ways * v[length] + fittings * v[extra]) / (2 * v[length] + v[extra]),  # type: ignore[misc]
            )

    return lines


def gradients(world: World) -> Iterable[tuple[Row, Row]]:
    """Every line of head gradient of the size taken, with its velocity."""
    yield world.making.pipes.gradient, world.making.pipes.velocity
    for row in world.making.pumps.sheet.rows:
        if row.label.startswith("Head gradient"):
            which = row.label.removeprefix("Head gradient")
            yield row, world.rows("Pumps", f"Velocity{which}")[-1]


def hazen_williams(coefficient: float) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        bore = world.making.pipes.bore
        metres, per_second = BORE.unit(world.system), VELOCITY.unit(world.system)
        for row, velocity in gradients(world):

            def gradient(values: Any, own: Any, row: Row = row, velocity: Row = velocity) -> Any:
                d = metres.to_coherent(values[bore])
                flow = per_second.to_coherent(values[velocity]) * np.pi / 4 * d**2
                return world.call(friction.hazen_williams_gradient, values, flow, d, coefficient)

            yield row, gradient

    return lines
