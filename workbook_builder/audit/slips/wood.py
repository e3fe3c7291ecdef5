"""Slips of wood, of efficiencies, of what a fire gives and what it costs."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hydrocalc.measures import FRACTION
from workbook_builder.audit.scenarios import Scenarios

from .slip import Lines, always, times

SEASONED = 0.20  # moisture on the wet basis
FULL_DEPTH = 48.0  # in, the depth of a full cord
LOOSE = 180 / 128  # ft³ of wood thrown loose for a cord, over the stacked cord


def dry_basis_as_wet(scenarios: Scenarios) -> Lines:
    full = scenarios.trade(FRACTION, 1.0)
    yield scenarios.sizing.cords.fire.moisture, lambda _, own: own / np.maximum(1 - own / full, 0.3)


def wet_basis_as_dry(scenarios: Scenarios) -> Lines:
    full = scenarios.trade(FRACTION, 1.0)
    yield scenarios.sizing.cords.fire.moisture, lambda _, own: own / (1 + own / full)


def green_as_dry(scenarios: Scenarios) -> Lines:
    seasoned = scenarios.trade(FRACTION, SEASONED)
    yield scenarios.sizing.cords.fire.moisture, lambda _, own: np.minimum(own, seasoned)


def gross_for_net(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.cords.fire.cord_net, always(scenarios.sizing.cords.fire.cord_energy)


def net_for_gross(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.cords.fire.cord_energy, always(scenarios.sizing.cords.fire.cord_net)


def net_efficiency_on_gross(scenarios: Scenarios) -> Lines:
    for row in scenarios.rows("Year", "Gross heat over net heat, at 20 % moisture"):
        yield row, lambda _, own: own * 0 + 1.0


def face_cord(depth: float) -> Callable[[Scenarios], Lines]:
    def lines(scenarios: Scenarios) -> Lines:
        cords = scenarios.sizing.cords.fire
        for row in (cords.cord_energy, cords.cord_net, cords.cord_mass):
            yield row, times(depth / FULL_DEPTH)

    return lines


def face_cord_price(scenarios: Scenarios) -> Lines:
    share = scenarios.rows("Money", "Cords in a face cord")[-1]
    yield scenarios.sizing.money.price, lambda v, own: own * v[share]


def loose_cord(scenarios: Scenarios) -> Lines:
    for row in (scenarios.sizing.cords.fire.cord_energy, scenarios.sizing.cords.fire.cord_net, scenarios.sizing.cords.fire.cord_mass):
        yield row, times(1 / LOOSE)


def boiler_efficiency(twice: bool) -> Callable[[Scenarios], Lines]:
    def lines(scenarios: Scenarios) -> Lines:
        full = scenarios.trade(FRACTION, 1.0)
        yield scenarios.sizing.cords.fire.efficiency, (lambda _, own: own * own / full) if twice else (lambda _, own: own * 0 + full)

    return lines


def fuel_efficiency(twice: bool) -> Callable[[Scenarios], Lines]:
    def lines(scenarios: Scenarios) -> Lines:
        full = scenarios.trade(FRACTION, 1.0)
        yield scenarios.sizing.fuels.efficiency, (lambda _, own: own * own / full) if twice else (lambda _, own: own * 0 + full)

    return lines


def wood_for_nothing(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.money.wood, lambda _, own: own * 0


def charge_as_burnt(scenarios: Scenarios) -> Lines:
    moisture, full = scenarios.sizing.cords.fire.moisture, scenarios.trade(FRACTION, 1.0)
    yield scenarios.sizing.boiler.charge.charge, lambda v, own: own / (1 - v[moisture] / full)


def nameplate(scenarios: Scenarios) -> Lines:
    rated = scenarios.rows("Boiler", "Rated output")[-1]
    yield scenarios.sizing.boiler.charge.sustained, always(rated)
