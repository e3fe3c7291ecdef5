"""Slips of the season and of the sum: what is counted, when, and how much of it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hydrocalc.measures import FRACTION, POWER

from ..worlds import World
from .slip import Lines, times

HOURS_OF_YEAR = 8760.0


def season_factor(world: World) -> float:
    """The book's unit of a season's heat for an hour of the book's unit of power."""
    kind = world.making.season.year.kind
    return float(kind.unit(world.system).from_coherent(POWER.unit(world.system).to_coherent(1.0) * 3600.0))


def peak_all_season(world: World) -> Lines:
    season, design, hour = world.making.season, world.making.needs.design_loss, season_factor(world)
    for month, days in zip(season.building, season.served, strict=True):
        yield month, lambda v, _, days=days: v[design] * v[days] * 24 * hour  # type: ignore[misc]


def mean_as_peak(world: World) -> Lines:
    design, year, hour = world.making.needs.design_loss, world.making.season.year, season_factor(world)
    yield design, lambda _, own: world.base[year] / (HOURS_OF_YEAR * hour)


def hot_water_in_fuel(world: World) -> Lines:
    yield world.making.used_fuels.hot_water, lambda _, own: own * 0


def all_at_once(world: World) -> Lines:
    full = world.trade(FRACTION, 1.0)
    yield world.making.needs.coincidence, lambda _, own: own * 0 + full


def no_idle_loss(world: World) -> Lines:
    yield world.making.needs.idle_loss, lambda _, own: own * 0


def without(kind: str) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        needs, kinds = world.making.needs.need, world.base[world.making.needs.kind]
        yield world.making.boiler.loads, lambda v, own: own - np.nansum(np.where(kinds == kind, v[needs], 0.0))

    return lines


def still_air(world: World) -> Lines:
    yield world.making.needs.tub.wind, lambda _, own: own * 0


def imperial_use(factor: float) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        yield world.making.pipes.own_flow, times(factor)
        for row in world.rows("Loads", "Use a day"):
            yield row, times(factor)

    return lines
