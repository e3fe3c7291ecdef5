"""Slips of the lines in the ground."""

from __future__ import annotations

from workbook_builder.audit.scenarios import Scenarios

from .slip import Lines, always, times

NOTHING = 1e-9


def no_line_loss(scenarios: Scenarios) -> Lines:
    ground = scenarios.sizing.ground
    for row in (ground.loss, ground.exchange):
        yield row, times(NOTHING)


def one_line(scenarios: Scenarios) -> Lines:
    night, year = scenarios.sizing.needs_met, scenarios.sizing.line_year
    for lines in (scenarios.sizing.returns, scenarios.sizing.night.lines):
        yield lines.loss, always(lines.supply_loss)
    yield night.design_loss, always(night.supply_loss)
    for month in year.months:
        yield month, times(0.5)


def dry_in_wet(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.ground.insulation, always(scenarios.sizing.ground.dry)


def wet_in_dry(scenarios: Scenarios) -> Lines:
    yield scenarios.sizing.ground.insulation, always(scenarios.sizing.ground.wet)


def yearly_ground(scenarios: Scenarios) -> Lines:
    mean = scenarios.sizing.site.mean
    yield scenarios.sizing.ground.temperature, lambda values, own: own * 0 + values[mean]
