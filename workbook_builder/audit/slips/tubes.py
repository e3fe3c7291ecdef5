"""Slips of tubes, of their length and of the friction in them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from fractions import Fraction
from typing import Any

import numpy as np

from hydrocalc import friction
from hydrocalc.measures import BORE, VELOCITY
from workbook_builder.audit.scenarios import Scenarios
from workbook_builder.model.rows import Row

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


def nominal_bore_taken(scenarios: Scenarios) -> Lines:
    pipes = scenarios.sizing.pipes

    def bore(_: Any, own: Any) -> Any:
        sizes = [nominal_bore(str(s)) for s in scenarios.base[pipes.size]]
        return np.where([s is None for s in sizes], own, [scenarios.trade(BORE, s or INCH) for s in sizes])

    yield pipes.bore, bore


def outside_bore(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.pipes.bore, always(scenarios.sizing.pipes.outside)


def head_lines(scenarios: Scenarios) -> Iterable[tuple[Row, Row]]:
    """Every line of head with the equivalent length of fittings that goes into it."""
    for row in scenarios.rows("Lines", "Head of line and fittings"):
        yield row, scenarios.sizing.pipes.fittings
    for row in scenarios.sizing.pumps.sheet.rows:
        if row.label.startswith("Head of line and fittings"):
            which = row.label.removeprefix("Head of line and fittings")
            yield row, scenarios.rows("Pumps", f"Equivalent length of fittings{which}")[-1]


def lengths(ways: float, fittings: float) -> Callable[[Scenarios], Lines]:
    """Head with the length taken so many times and so much of the fittings."""

    def lines(scenarios: Scenarios) -> Lines:
        length = scenarios.sizing.pipes.length
        for row, extra in head_lines(scenarios):
            yield (
                row,
                lambda v, own, extra=extra: own * (ways * v[length] + fittings * v[extra]) / (2 * v[length] + v[extra]),  # type: ignore[misc]
            )

    return lines


def gradients(scenarios: Scenarios) -> Iterable[tuple[Row, Row]]:
    """Every line of head loss per length of the size taken, with its velocity."""
    yield scenarios.sizing.pipes.gradient, scenarios.sizing.pipes.velocity
    for row in scenarios.sizing.pumps.sheet.rows:
        if row.label.startswith("Head loss per length"):
            which = row.label.removeprefix("Head loss per length")
            yield row, scenarios.rows("Pumps", f"Velocity{which}")[-1]


def hazen_williams(coefficient: float) -> Callable[[Scenarios], Lines]:
    def lines(scenarios: Scenarios) -> Lines:
        bore = scenarios.sizing.pipes.bore
        metres, per_second = BORE.unit(scenarios.system), VELOCITY.unit(scenarios.system)
        for row, velocity in gradients(scenarios):

            def gradient(values: Any, own: Any, row: Row = row, velocity: Row = velocity) -> Any:
                d = metres.to_coherent(values[bore])
                flow = per_second.to_coherent(values[velocity]) * np.pi / 4 * d**2
                return scenarios.call(friction.hazen_williams_gradient, values, flow, d, coefficient)

            yield row, gradient

    return lines
