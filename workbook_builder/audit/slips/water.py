"""Slips of the liquid and of its temperature drop."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hydrocalc import liquids
from hydrocalc.measures import DENSITY, SPECIFIC_HEAT, TEMPERATURE_DIFFERENCE, VISCOSITY, Measure
from hydrocalc.tables import table
from workbook_builder.audit.scenarios import Scenarios

from .slip import Lines, only, times

# 500 BTU/h for a gpm and a °F is 8.33 lb/gal × 60 min × 1 BTU/(lb °F): water at about 60 °F.
COLD_DENSITY = 500 / (60 * 1.0) * 0.45359237 / 0.003785411784
COLD_HEAT = 4186.8
SIXTY = (60 - 32) / 1.8  # °C
USUAL_DROP = 20 / 1.8  # K


def five_hundred(kinds: tuple[str, ...]) -> Callable[[Scenarios], Lines]:
    def lines(scenarios: Scenarios) -> Lines:
        pipes, site = scenarios.sizing.pipes, scenarios.sizing.site
        density, heat = scenarios.trade(DENSITY, COLD_DENSITY), scenarios.trade(SPECIFIC_HEAT, COLD_HEAT)
        for row, number in ((pipes.density, density), (pipes.specific_heat, heat)):
            yield row, only(pipes.liquid, kinds, lambda _, own, n=number: own * 0 + n)  # type: ignore[misc]
        boiler = str(scenarios.built.job.value("liquid", "kind"))
        if boiler in kinds:
            yield site.density, lambda _, own: own * 0 + density
            yield site.specific_heat, lambda _, own: own * 0 + heat

    return lines


def antifreezes() -> tuple[str, ...]:
    return tuple(dict.fromkeys(k for k in table("liquids").texts(table("liquids").keys[0]) if k != "water"))


def sixty_degrees(scenarios: Scenarios) -> Lines:
    pipes = scenarios.sizing.pipes
    for row, function in (
        (pipes.density, liquids.liquid_density),
        (pipes.specific_heat, liquids.liquid_specific_heat),
        (pipes.viscosity, liquids.liquid_viscosity),
    ):
        assert isinstance(function.result, Measure)
        water = {DENSITY: liquids.water_density, SPECIFIC_HEAT: liquids.water_specific_heat, VISCOSITY: liquids.water_viscosity}
        number = float(function.result.unit(scenarios.system).from_coherent(water[function.result].body(np.float64(SIXTY))))
        yield row, only(pipes.liquid, ("water",), lambda _, own, n=number: own * 0 + n)  # type: ignore[misc]


def sixty_degrees_in_friction(scenarios: Scenarios) -> Lines:
    pipes = scenarios.sizing.pipes
    number = scenarios.trade(VISCOSITY, float(liquids.water_viscosity.body(np.float64(SIXTY))))
    yield pipes.viscosity, only(pipes.liquid, ("water",), lambda _, own: own * 0 + number)


def antifreeze_as_water(scenarios: Scenarios) -> Lines:
    pipes = scenarios.sizing.pipes
    for row, function in (
        (pipes.density, liquids.water_density),
        (pipes.specific_heat, liquids.water_specific_heat),
        (pipes.viscosity, liquids.water_viscosity),
    ):
        yield row, only(pipes.liquid, antifreezes(), lambda v, _, f=function: scenarios.call(f, v, pipes.mean))  # type: ignore[misc]


def drop(factor: float) -> Callable[[Scenarios], Lines]:
    return lambda scenarios: [(scenarios.sizing.pipes.drop, times(factor))]


def usual_drop(scenarios: Scenarios) -> Lines:
    usual = scenarios.trade(TEMPERATURE_DIFFERENCE, USUAL_DROP)
    yield scenarios.sizing.pipes.drop, lambda _, own: own * 0 + usual
