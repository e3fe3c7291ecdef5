"""Slips of wood, of efficiencies, of what a fire gives and what it costs."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hydrocalc.measures import FRACTION

from ..worlds import World
from .slip import Lines, always, times

SEASONED = 0.20  # moisture on the wet basis
FULL_DEPTH = 48.0  # in, the depth of a full cord
LOOSE = 180 / 128  # ft³ of wood thrown loose for a cord, over the stacked cord


def dry_basis_as_wet(world: World) -> Lines:
    full = world.trade(FRACTION, 1.0)
    yield world.making.cords.moisture, lambda _, own: own / np.maximum(1 - own / full, 0.3)


def wet_basis_as_dry(world: World) -> Lines:
    full = world.trade(FRACTION, 1.0)
    yield world.making.cords.moisture, lambda _, own: own / (1 + own / full)


def green_as_dry(world: World) -> Lines:
    seasoned = world.trade(FRACTION, SEASONED)
    yield world.making.cords.moisture, lambda _, own: np.minimum(own, seasoned)


def gross_for_net(world: World) -> Lines:
    yield world.making.cords.cord_net, always(world.making.cords.cord_energy)


def net_for_gross(world: World) -> Lines:
    yield world.making.cords.cord_energy, always(world.making.cords.cord_net)


def net_efficiency_on_gross(world: World) -> Lines:
    for row in world.rows("Cords", "Gross heat over net heat, at 20 % moisture"):
        yield row, lambda _, own: own * 0 + 1.0


def face_cord(depth: float) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        cords = world.making.cords
        for row in (cords.cord_energy, cords.cord_net, cords.cord_mass):
            yield row, times(depth / FULL_DEPTH)

    return lines


def face_cord_price(world: World) -> Lines:
    share = world.rows("Money", "Cords in a face cord")[-1]
    yield world.making.money.price, lambda v, own: own * v[share]


def loose_cord(world: World) -> Lines:
    for row in (world.making.cords.cord_energy, world.making.cords.cord_net, world.making.cords.cord_mass):
        yield row, times(1 / LOOSE)


def boiler_efficiency(twice: bool) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        full = world.trade(FRACTION, 1.0)
        yield world.making.cords.efficiency, (lambda _, own: own * own / full) if twice else (lambda _, own: own * 0 + full)

    return lines


def fuel_efficiency(twice: bool) -> Callable[[World], Lines]:
    def lines(world: World) -> Lines:
        full = world.trade(FRACTION, 1.0)
        yield world.making.used_fuels.efficiency, (lambda _, own: own * own / full) if twice else (lambda _, own: own * 0 + full)

    return lines


def wood_for_nothing(world: World) -> Lines:
    yield world.making.money.wood, lambda _, own: own * 0


def charge_as_burnt(world: World) -> Lines:
    moisture, full = world.making.cords.moisture, world.trade(FRACTION, 1.0)
    yield world.making.boiler.charge, lambda v, own: own / (1 - v[moisture] / full)


def nameplate(world: World) -> Lines:
    rated = world.rows("Boiler", "Rated output")[-1]
    yield world.making.boiler.sustained, always(rated)
