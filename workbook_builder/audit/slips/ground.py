"""Slips of the lines in the ground."""

from __future__ import annotations

from ..worlds import World
from .slip import Lines, always, times

NOTHING = 1e-9


def no_line_loss(world: World) -> Lines:
    ground = world.making.ground
    for row in (ground.loss, ground.exchange):
        yield row, times(NOTHING)


def one_line(world: World) -> Lines:
    ground = world.making.ground
    for lines in (world.making.returns, world.making.night):
        yield lines.loss, always(lines.supply_loss)
    yield ground.design_loss, always(ground.supply_loss)
    for month in ground.months:
        yield month, times(0.5)


def dry_in_wet(world: World) -> Lines:
    yield world.making.ground.insulation, always(world.making.ground.dry)


def wet_in_dry(world: World) -> Lines:
    yield world.making.ground.insulation, always(world.making.ground.wet)


def yearly_ground(world: World) -> Lines:
    mean = world.making.site.mean
    yield world.making.ground.temperature, lambda values, own: own * 0 + values[mean]
