"""By month: the ground about each line, the water's drop at the month's own mean load, and what both lines lose."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc import ground
from hydrocalc.measures import SEASON_ENERGY, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import At, SumWhere, total_of
from workbook_builder.model.base import Reference
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import MONTHS

from .context import SECONDS_A_DAY, Context, over
from .pipes import generation
from .results import Climate, Ground, LineYear, Needs, Pipes, Season, Site


@dataclass(frozen=True)
class _Month:
    """One month of all lines: its days, the ground, the boiler's band, and the heat that the loads of each run take."""

    sheet: Sheet
    pipes: Pipes
    lines: Ground
    band: tuple[Reference, Reference]
    days: Reference
    ground: Row
    own: Row


@dataclass(frozen=True)
class _Water:
    """The drop of a month by what is taken, and by how much its supply is colder at the start of a line than at the boiler."""

    drop: Row
    colder: tuple[Reference, ...]


def make_months(context: Context, climate: Climate, site: Site, needs: Needs, pipes: Pipes, lines: Ground, season: Season) -> LineYear:
    """Months go down, the runs across."""
    sheet = lines.sheet
    band = (context.job("boiler", "lower setpoint"), context.job("boiler", "upper setpoint"))
    with sheet.folded("Workings: the ground and the water's drop by month"):
        grounds = _grounds(context, climate, site, lines)
        waters: list[_Water] = []
        for i, name in enumerate(MONTHS):
            sheet.heading(f"Heat through the line, {name}")
            own = sheet.take("Heat of this run's loads", SumWhere(season.months[i], needs.run, sheet.names))
            month = _Month(sheet, pipes, lines, band, At(climate.days, i), grounds[i], own)
            waters.append(_water(context, month))
    sheet.heading("Heat lost by both lines by month")
    months = [
        sheet.calc(
            name,
            SEASON_ENERGY,
            lambda c, w, x, a, b, drop, tg, d, lit, *less: (
                c * np.maximum((2 * w * ((a + b) / 2 - sum(less) - tg) - (x - 1) * drop) / x, 0.0) * d * lit * SECONDS_A_DAY
            ),
            lines.rate,
            lines.decay,
            lines.across,
            *band,
            waters[i].drop,
            grounds[i],
            At(climate.days, i),
            At(climate.lit, i),
            *waters[i].colder,
            words="capacity rate × (2 × decay × (mean of the band at its start − ground) − (rise + decay − 1) × the month's drop) "
            "/ (rise + decay) × days lit: both lines at once, exchange included",
        )
        for i, name in enumerate(MONTHS)
    ]
    return LineYear(tuple(months), sheet.take("The year", total_of(months)))


def _grounds(context: Context, climate: Climate, site: Site, lines: Ground) -> list[Row]:
    sheet, coldest = lines.sheet, context.job("site", "coldest day")
    sheet.heading("Ground temperature by month")
    wave = (site.mean, site.amplitude, coldest, site.diffusivity)
    return [sheet.line(name, ground.ground_temperature, lines.trench.depth, At(climate.middle, i), *wave) for i, name in enumerate(MONTHS)]


def _water(context: Context, month: _Month) -> _Water:
    """What the loads take; where a flow goes on or an exchanger holds the supply back, also what the lines beyond lose."""
    water = _passing(context, month, None)
    return _passing(context, month, water.colder) if context.goes_on or context.parted else water


def _passing(context: Context, month: _Month, colder: tuple[Reference, ...] | None) -> _Water:
    """With ``colder`` a branch takes what enters its line, else what its loads take."""
    sheet, again = month.sheet, "" if colder is None else ", losses included"
    total = month.own
    for depth in range(context.branching):
        enters = total if colder is None else _entering(month, total, colder, generation("Heat that enters the line", depth))
        branches = sheet.take(
            generation(f"Heat of the runs that start here{again}", depth), SumWhere(enters, month.pipes.start.on, sheet.names)
        )
        total = sheet.calc(generation(f"Heat with those{again}", depth), SEASON_ENERGY, lambda a, b: a + b, month.own, branches)
    drop = sheet.calc(
        f"Mean temperature drop{again}",
        TEMPERATURE_DIFFERENCE,
        lambda q, c, n: over(q, c * n * SECONDS_A_DAY),
        total,
        month.lines.rate,
        month.days,
    )
    return _Water(drop, _colder(context, month, drop, again))


def _entering(month: _Month, total: Row, colder: tuple[Reference, ...], label: str) -> Row:
    lines = month.lines
    return month.sheet.calc(
        label,
        SEASON_ENERGY,
        lambda c, w, a, b, g, q, n, x, *less: (2 * w * c * ((a + b) / 2 - sum(less) - g) * n * SECONDS_A_DAY + q) / x,
        *(lines.rate, lines.decay, *month.band, month.ground, total, month.days, lines.across, *colder),
    )


def _colder(context: Context, month: _Month, drop: Row, again: str) -> tuple[Reference, ...]:
    """By how much the supply is colder at the start of a line than at the boiler: by its fall along the lines before."""
    sheet, lines, start = month.sheet, month.lines, month.pipes.start
    less: tuple[Reference, ...] = ()
    for depth in range(context.branching):
        fall = sheet.calc(
            generation(f"Supply at the end of the line colder than the boiler's{again}", depth),
            TEMPERATURE_DIFFERENCE,
            lambda a, b, g, c, y, d, *before: (
                sum(before) + (((a + b) / 2 - sum(before) - g) * (c - 1) + y * d) / c
                if before
                else (((a + b) / 2 - g) * (c - 1) + y * d) / c
            ),
            *(*month.band, month.ground, lines.across, lines.held, drop, *less),
            words="((mean of the band − ground) × (rise + decay − 1) + exchange × the month's drop) / (rise + decay), and that before it",
        )
        less = (SumWhere(fall, sheet.names, start.at, blank=False),)
        if start.before is not None:
            behind = sheet.calc(
                generation(f"Behind the run's loads colder than the boiler's{again}", depth),
                TEMPERATURE_DIFFERENCE,
                lambda t, q, c, n: t + over(q, c * n * SECONDS_A_DAY),
                *(fall, month.own, lines.own_rate, month.days),
            )
            less = (*less, SumWhere(behind, sheet.names, start.before, blank=False))
    return less
