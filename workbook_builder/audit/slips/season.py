"""Slips of the season and of the sum: what is counted, when, and how much of it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hydrocalc.measures import FRACTION, POWER, SEASON_ENERGY
from workbook_builder.audit.scenarios import Scenarios

from .slip import Lines, times

HOURS_OF_YEAR = 8760.0


def season_factor(scenarios: Scenarios) -> float:
    """The book's unit of a season's heat for an hour of the book's unit of power."""
    return float(SEASON_ENERGY.unit(scenarios.system).from_coherent(POWER.unit(scenarios.system).to_coherent(1.0) * 3600.0))


def peak_all_season(scenarios: Scenarios) -> Lines:
    season, design, hour = scenarios.sizing.season, scenarios.sizing.needs.design_loss, season_factor(scenarios)
    for month, days in zip(season.building, season.served, strict=True):
        yield month, lambda v, _, days=days: v[design] * v[days] * 24 * hour  # type: ignore[misc]


def mean_as_peak(scenarios: Scenarios) -> Lines:
    design, year, hour = scenarios.sizing.needs.design_loss, scenarios.sizing.season.year, season_factor(scenarios)
    yield design, lambda _, own: scenarios.base[year] / (HOURS_OF_YEAR * hour)


def hot_water_in_fuel(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.fuels.hot_water, lambda _, own: own * 0


def all_at_once(scenarios: Scenarios) -> Lines:
    full = scenarios.trade(FRACTION, 1.0)
    yield scenarios.sizing.needs.coincidence, lambda _, own: own * 0 + full


def no_idle_loss(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.needs.idle_loss, lambda _, own: own * 0


def without(kind: str) -> Callable[[Scenarios], Lines]:
    def lines(scenarios: Scenarios) -> Lines:
        needs, kinds = scenarios.sizing.needs.need, scenarios.base[scenarios.sizing.needs.kind]
        yield scenarios.sizing.boiler.load.loads, lambda v, own: own - np.nansum(np.where(kinds == kind, v[needs], 0.0))

    return lines


def still_air(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.needs.tub.wind, lambda _, own: own * 0


def imperial_use(factor: float) -> Callable[[Scenarios], Lines]:
    def lines(scenarios: Scenarios) -> Lines:
        yield scenarios.sizing.pipes.own_flow, times(factor)
        for row in scenarios.rows("Needs", "Use a day"):
            yield row, times(factor)

    return lines
