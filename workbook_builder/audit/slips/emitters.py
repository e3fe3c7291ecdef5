"""Slips of emitters and exchangers, and of the water that reaches them."""

from __future__ import annotations

from typing import Any

import numpy as np

from ..worlds import World
from .slip import Lines, always, only, times

HEATING_EFFECT = 1.15


def catalogue_output(world: World) -> Lines:
    units = world.making.units
    yield world.making.steady.case.capacity, only(world.making.needs.kind, ("baseboard",), always(units.rated_output))


def heating_effect(world: World) -> Lines:
    yield world.making.steady.case.capacity, only(world.making.needs.kind, ("baseboard",), times(HEATING_EFFECT))


def supply_for_mean(world: World) -> Lines:
    units, case, indoor = world.making.units, world.making.steady.case, world.making.needs.indoor

    def output(values: Any, own: Any) -> Any:
        v = values
        excess = np.maximum(v[case.inlet] - v[indoor], 0.0)
        return v[units.output] * (excess / v[units.excess]) ** v[units.exponent]

    yield case.capacity, only(world.making.needs.kind, ("baseboard",), output)


def straight_proportion(world: World) -> Lines:
    yield world.making.units.exponent, only(world.making.needs.kind, ("baseboard",), lambda _, own: own * 0 + 1.0)


def fan_heater_rating(world: World) -> Lines:
    units = world.making.units
    yield world.making.steady.case.capacity, only(world.making.needs.kind, ("fan heater",), always(units.rated_output))


def arithmetic_mean(world: World) -> Lines:
    load, hot_in, hot_out, cold_in, cold_out = (
        world.rows("Emitters", f"Exchanger rated {what}")[-1] for what in ("load", "hot inlet", "hot outlet", "cold inlet", "cold outlet")
    )
    for row in world.rows("Emitters", "Exchanger conductance, from the rating"):
        yield row, lambda v, _: v[load] / (((v[hot_in] - v[cold_out]) + (v[hot_out] - v[cold_in])) / 2)


def parallel_water(world: World) -> Lines:
    for case in (world.making.steady.case, world.making.settled.case):
        yield case.inlet, always(world.rows(case.sheet.name, "Water arriving on the run")[-1])
