"""By month: the ground about each line, the water's drop at the month's own mean load, and what both lines lose."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc import ground
from hydrocalc.measures import COUNT, SEASON_ENERGY, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import Across, At, SumWhere, total_of
from workbook_builder.model.base import Reference
from workbook_builder.model.references import FirstGiven, Says, Unguarded, Where
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
    """The drop of a month by what is taken, and by how much its supply is colder than at the boiler."""

    drop: Row
    fall: Row | None  # at the end of the line, and behind the run's loads; None where no run starts on another
    behind: Row | None

    def less(self, month: _Month) -> tuple[Reference, ...]:
        """At the start of each line, by the run on which it starts."""
        names, start = month.sheet.names, month.pipes.start
        at_end = (SumWhere(self.fall, names, start.at, blank=False),) if self.fall is not None else ()
        if self.behind is None or start.before is None:
            return at_end
        return (*at_end, SumWhere(self.behind, names, start.before, blank=False))


def make_months(context: Context, climate: Climate, site: Site, needs: Needs, pipes: Pipes, lines: Ground, season: Season) -> LineYear:
    """Months go down, the runs across."""
    sheet = lines.sheet
    band = (context.job("boiler", "lower setpoint"), context.job("boiler", "upper setpoint"))
    with sheet.folded("Workings: the ground and the water's drop by month"):
        grounds = _grounds(context, climate, site, lines)
        matters = _matters(context, sheet, pipes)
        each: list[_Month] = []
        waters: list[_Water] = []
        for i, name in enumerate(MONTHS):
            sheet.heading(f"Heat through the line, {name}")
            own = sheet.take("Heat of this run's loads", SumWhere(season.months[i], needs.run, sheet.names))
            month = _Month(sheet, pipes, lines, band, At(climate.days, i), grounds[i], own)
            each.append(month)
            waters.append(_water(context, month, matters))
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
            *waters[i].less(each[i]),
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


def _water(context: Context, month: _Month, matters: Row | None) -> _Water:
    """What the loads take; where a flow goes on or an exchanger holds the supply back, also what the lines beyond lose.

    Elsewhere that makes no difference worth its lines, and a book that has them, such as a blank one, shows what one without them shows.
    """
    water = _passing(context, month, None)
    if matters is None:
        return water
    again = _passing(context, month, water)

    def counts(label: str, before: Row | None, after: Row | None) -> Row | None:
        if before is None or after is None:
            return None
        return month.sheet.take(label, FirstGiven((Where(after, Says(matters)), before)))

    drop = counts("Mean temperature drop, as it counts", water.drop, again.drop)
    assert drop is not None
    fall = counts("Supply at the end of the line colder, as it counts", water.fall, again.fall)
    return _Water(drop, fall, counts("Behind the run's loads colder, as it counts", water.behind, again.behind))


def _passing(context: Context, month: _Month, before: _Water | None) -> _Water:
    """With a pass before, a branch takes what enters its line, else what its loads take."""
    sheet, again = month.sheet, "" if before is None else ", losses included"
    total = month.own
    for depth in range(context.branching):
        enters = total if before is None else _entering(month, total, before.less(month), generation("Heat that enters the line", depth))
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
    return _colder(context, month, drop, again)


def _entering(month: _Month, total: Row, colder: tuple[Reference, ...], label: str) -> Row:
    lines = month.lines
    return month.sheet.calc(
        label,
        SEASON_ENERGY,
        lambda c, w, a, b, g, q, n, x, *less: (2 * w * c * ((a + b) / 2 - sum(less) - g) * n * SECONDS_A_DAY + q) / x,
        *(lines.rate, lines.decay, *month.band, month.ground, total, month.days, lines.across, *colder),
    )


def _colder(context: Context, month: _Month, drop: Row, again: str) -> _Water:
    """By how much the supply is colder at the start of a line than at the boiler: by its fall along the lines before."""
    sheet, lines, start = month.sheet, month.lines, month.pipes.start
    water = _Water(drop, None, None)
    for depth in range(context.branching):
        fall = sheet.calc(
            generation(f"Supply at the end of the line colder than the boiler's{again}", depth),
            TEMPERATURE_DIFFERENCE,
            lambda a, b, g, c, y, d, *before: (
                sum(before) + (((a + b) / 2 - sum(before) - g) * (c - 1) + y * d) / c
                if before
                else (((a + b) / 2 - g) * (c - 1) + y * d) / c
            ),
            *(*month.band, month.ground, lines.across, lines.held, drop, *water.less(month)),
            words="((mean of the band − ground) × (rise + decay − 1) + exchange × the month's drop) / (rise + decay), and that before it",
        )
        behind = None
        if start.before is not None:
            behind = sheet.calc(
                generation(f"Behind the run's loads colder than the boiler's{again}", depth),
                TEMPERATURE_DIFFERENCE,
                lambda t, q, c, n: t + over(q, c * n * SECONDS_A_DAY),
                *(fall, month.own, lines.own_rate, month.days),
            )
        water = _Water(drop, fall, behind)
    return water


def _matters(context: Context, sheet: Sheet, pipes: Pipes) -> Row | None:
    """1 where a flow goes on or an exchanger holds the supply of a run back; None in a job that has neither."""
    if not (context.goes_on or context.parted):
        return None
    sheet.heading("What lines beyond a run lose, by month")
    of_runs: list[Reference] = []
    if pipes.parted is not None:
        of_runs.append(Across(pipes.parted.so, "MAX"))
    if pipes.start.before is not None:
        before = Unguarded(pipes.start.before)
        label = "Its flow comes of another run (1: yes)"
        goes_on = sheet.calc(label, COUNT, lambda run: np.where(run == "", 0.0, 1.0), before, shows="whole")
        of_runs.append(Across(goes_on, "MAX"))
    words = "a flow that goes on, or an exchanger at a run's start"
    with sheet.whole_job():
        return sheet.calc("It counts (1: yes)", COUNT, lambda *so: np.where(sum(so) > 0, 1.0, 0.0), *of_runs, shows="whole", words=words)
