"""Slips of emitters and exchangers, and of the water that reaches them."""

from __future__ import annotations

from typing import Any

import numpy as np

from workbook_builder.audit.scenarios import Change, Scenarios
from workbook_builder.model.rows import Row

from .slip import Lines, always, only, times

HEATING_EFFECT = 1.15


def catalogue_output(scenarios: Scenarios) -> Lines:
    units = scenarios.context.units
    yield scenarios.context.steady.case.capacity, only(scenarios.context.needs.kind, ("baseboard",), always(units.rated_output))


def heating_effect(scenarios: Scenarios) -> Lines:
    yield scenarios.context.steady.case.capacity, only(scenarios.context.needs.kind, ("baseboard",), times(HEATING_EFFECT))


def supply_for_mean(scenarios: Scenarios) -> Lines:
    units, case, indoor = scenarios.context.units, scenarios.context.steady.case, scenarios.context.needs.indoor

    def output(values: Any, own: Any) -> Any:
        v = values
        excess = np.maximum(v[case.inlet] - v[indoor], 0.0)
        return v[units.output] * (excess / v[units.excess]) ** v[units.exponent]

    yield case.capacity, only(scenarios.context.needs.kind, ("baseboard",), output)


def straight_proportion(scenarios: Scenarios) -> Lines:
    yield scenarios.context.units.exponent, only(scenarios.context.needs.kind, ("baseboard",), lambda _, own: own * 0 + 1.0)


def fan_heater_rating(scenarios: Scenarios) -> Lines:
    units = scenarios.context.units
    yield scenarios.context.steady.case.capacity, only(scenarios.context.needs.kind, ("fan heater",), always(units.rated_output))


def arithmetic_mean(scenarios: Scenarios) -> Lines:
    load, hot_in, hot_out, cold_in, cold_out = (
        scenarios.rows("Emitters", f"Exchanger rated {what}")[-1]
        for what in ("load", "hot inlet", "hot outlet", "cold inlet", "cold outlet")
    )
    for row in scenarios.rows("Emitters", "Exchanger conductance, from the rating"):
        yield row, lambda v, _: v[load] / (((v[hot_in] - v[cold_out]) + (v[hot_out] - v[cold_in])) / 2)


def parallel_water(scenarios: Scenarios) -> Lines:
    context = scenarios.context
    runs = {name: column for column, name in enumerate(context.runs.labels)}
    of_load = np.array([runs.get(str(name), 0) for name in scenarios.base[context.shares.run]], dtype=np.intp)

    def arriving(arrival: Row) -> Change:
        return lambda values, _: np.asarray(values[arrival])[..., of_load]

    yield context.steady.case.inlet, arriving(context.reached.arrival)
    yield context.settled.case.inlet, arriving(context.settled.arrival)
