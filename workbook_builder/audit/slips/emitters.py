"""Slips of emitters and exchangers, and of the water that reaches them."""

from __future__ import annotations

from typing import Any

import numpy as np

from workbook_builder.audit.scenarios import Change, Scenarios
from workbook_builder.model.rows import Row
from workbook_builder.sheets.sizing.night_results import Case

from .slip import Lines, always, only, times

HEATING_EFFECT = 1.15


def cases(scenarios: Scenarios) -> tuple[Case, ...]:
    """The design night at the lower setpoint, and as it will be: a mistake about an emitter is made in both."""
    return scenarios.sizing.steady.case, scenarios.sizing.settled.case


def catalogue_output(scenarios: Scenarios) -> Lines:
    units = scenarios.sizing.network.units
    for case in cases(scenarios):
        yield case.capacity, only(scenarios.sizing.needs.kind, ("baseboard",), always(units.rated_output))


def heating_effect(scenarios: Scenarios) -> Lines:
    for case in cases(scenarios):
        yield case.capacity, only(scenarios.sizing.needs.kind, ("baseboard",), times(HEATING_EFFECT))


def supply_for_mean(scenarios: Scenarios) -> Lines:
    units, indoor = scenarios.sizing.network.units, scenarios.sizing.needs.indoor

    def output(inlet: Row) -> Any:
        def at_the_entering_water(v: Any, own: Any) -> Any:
            excess = np.maximum(v[inlet] - v[indoor], 0.0)
            return v[units.output] * (excess / v[units.excess]) ** v[units.exponent]

        return at_the_entering_water

    for case in cases(scenarios):
        yield case.capacity, only(scenarios.sizing.needs.kind, ("baseboard",), output(case.inlet))


def straight_proportion(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.network.units.exponent, only(scenarios.sizing.needs.kind, ("baseboard",), lambda _, own: own * 0 + 1.0)


def fan_heater_rating(scenarios: Scenarios) -> Lines:
    units = scenarios.sizing.network.units
    for case in cases(scenarios):
        yield case.capacity, only(scenarios.sizing.needs.kind, ("fan heater",), always(units.rated_output))


def arithmetic_mean(scenarios: Scenarios) -> Lines:
    load, hot_in, hot_out, cold_in, cold_out = (
        scenarios.rows("Needs", f"Exchanger rated {what}")[-1] for what in ("load", "hot inlet", "hot outlet", "cold inlet", "cold outlet")
    )
    for row in scenarios.rows("Needs", "Exchanger conductance, from the rating"):
        yield row, lambda v, _: v[load] / (((v[hot_in] - v[cold_out]) + (v[hot_out] - v[cold_in])) / 2)


def parallel_water(scenarios: Scenarios) -> Lines:
    sizing = scenarios.sizing
    runs = {name: column for column, name in enumerate(sizing.pipes.sheet.axis.labels)}
    of_load = np.array([runs.get(str(name), 0) for name in scenarios.base[sizing.network.shares.run]], dtype=np.intp)

    def arriving(arrival: Row) -> Change:
        return lambda values, _: np.asarray(values[arrival])[..., of_load]

    yield sizing.steady.case.inlet, arriving(sizing.reached.arrival)
    yield sizing.settled.case.inlet, arriving(sizing.settled.arrival)
