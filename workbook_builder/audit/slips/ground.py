"""Slips of the lines in the ground."""

from __future__ import annotations

from workbook_builder.audit.scenarios import Scenarios

from .slip import Lines, always, times

NOTHING = 1e-9


def no_line_loss(scenarios: Scenarios) -> Lines:
    ground = scenarios.context.ground
    for row in (ground.loss, ground.exchange):
        yield row, times(NOTHING)


def one_line(scenarios: Scenarios) -> Lines:
    night, year = scenarios.context.needs_met, scenarios.context.line_year
    for lines in (scenarios.context.returns, scenarios.context.night.lines):
        yield lines.loss, always(lines.supply_loss)
    yield night.design_loss, always(night.supply_loss)
    for month in year.months:
        yield month, times(0.5)


def dry_in_wet(scenarios: Scenarios) -> Lines:
    yield scenarios.context.ground.insulation, always(scenarios.context.ground.dry)


def wet_in_dry(scenarios: Scenarios) -> Lines:
    yield scenarios.context.ground.insulation, always(scenarios.context.ground.wet)


def yearly_ground(scenarios: Scenarios) -> Lines:
    mean = scenarios.context.site.mean
    yield scenarios.context.ground.temperature, lambda values, own: own * 0 + values[mean]
