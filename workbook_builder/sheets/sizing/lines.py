"""Lines: dry against wet, the upgraded line and what it pays back, deeper, and what freezes first when all stops."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc import money, storage, wood
from hydrocalc.measures import BORE, CONDUCTANCE, FRACTION, LENGTH, MONEY, RATIO, SEASON_ENERGY, VOLUME
from workbook_builder.model.aggregates import Across
from workbook_builder.model.references import Both, FirstGiven, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import TableNumber
from workbook_builder.model.worksheet import Sheet

from .context import Context, over
from .ground import conductances, lay
from .night_results import Boiler
from .results import Cords, Ground, Lines, LineYear, Money, Pipes, Site

FREEZING = 0.0  # °C
# Common practice, no source: still air about a bare tube takes 2 BTU/(h ft² °F).
BARE_TUBE_FILM = 2 * 5.678263341
STRETCH = 1.0  # m: freezing is calculated for a stretch of this length; the time does not depend on it
DEPTH_SHARE = 0.01  # deeper "stops mattering" where another foot saves less than this share of the loss
FOOT = 0.3048


@dataclass(frozen=True)
class _Year:
    """What the lines lose in a year as they lie, their conductance, and the wood that makes up for it."""

    lost: Row
    loss: Row
    cords: Cords

    def lost_with(self, sheet: Sheet, label: str, loss: Row) -> Row:
        """The season's loss with another conductance: in proportion, since water and ground stay what they are."""
        return sheet.calc(label, SEASON_ENERGY, lambda q, u, u0: q * over(u, u0), self.lost, loss, self.loss)

    def cords_for(self, sheet: Sheet, label: str, heat: Row) -> Row:
        return sheet.line(label, wood.cords_for_heat, heat, self.cords.fire.cord_energy, self.cords.fire.efficiency)


# Shorter than what the function's formula says with its guards, which has no room on a line of print.
COOLING = "heat of the stretch's water / its conductance × ln((lower setpoint − around it) / (32 °F (0 °C) − around it))"


def make_lines(
    context: Context, site: Site, pipes: Pipes, ground: Ground, line_year: LineYear, cords: Cords, prices: Money, boiler: Boiler
) -> Lines:
    """The sheet Lines."""
    sheet = context.sheet("Lines")
    year = _Year(line_year.year, ground.loss, cords)
    _wet(sheet, ground, year)
    _better(context, sheet, pipes, ground, year, prices)
    _deeper(sheet, ground)
    return Lines(sheet, _freezing(context, sheet, site, pipes, ground, boiler))


def _wet(sheet: Sheet, lines: Ground, year: _Year) -> None:
    is_dry, is_wet = (Both(lines.trench.buried, kind_is(lines.condition, condition)) for condition in ("dry", "wet"))
    with sheet.folded("Workings: the same line in the other condition"):
        other_way = FirstGiven((Where(lines.wet, is_dry), Where(lines.dry, is_wet)))
        conductivity = sheet.take("Conductivity of the insulation, dry if it is wet, wet if it is dry", other_way)
        other, _ = conductances(sheet, lines.trench, conductivity, lines.laid, None)
    sheet.heading("Dry and wet")
    dry = sheet.take("Loss conductance, dry", FirstGiven((Where(lines.loss, is_dry), Where(other, is_wet))))
    year.cords_for(sheet, "Cords for that, dry", year.lost_with(sheet, "Lost in a year, dry", dry))
    wet = sheet.take("Loss conductance, wet", FirstGiven((Where(lines.loss, is_wet), Where(other, is_dry))))
    year.cords_for(sheet, "Cords for that, wet", year.lost_with(sheet, "Lost in a year, wet", wet))
    sheet.calc("Wet over dry", RATIO, over, wet, dry)


def _better(context: Context, sheet: Sheet, pipes: Pipes, lines: Ground, year: _Year, prices: Money) -> None:
    system = context.book.system
    sheet.heading("The upgraded line")
    material = context.fetched(sheet, "upgraded insulation")
    same = sheet.take("Insulation, better or the same", FirstGiven((material, context.per(sheet, "insulation"))))
    table = sheet.take("Conductivity, table", TableNumber("insulation", "dry_conductivity", (same,), system))
    conductivity = sheet.take(
        "Conductivity of the upgraded line", FirstGiven((context.per(sheet, "upgraded insulation conductivity"), table))
    )
    jacket = context.fetched(sheet, "upgraded jacket outer diameter", "Outer diameter of the upgraded line")
    is_apart = kind_is(lines.trench.arrangement, "apart")
    apart = sheet.calc("Spacing apart, a larger jacket", BORE, np.maximum, lines.spacing, jacket, when=is_apart)
    spacing = sheet.take("Spacing of the upgraded line", FirstGiven((apart, lines.spacing)))
    with sheet.folded("Workings: the upgraded line"):
        laid = lay(sheet, lines.trench, jacket, spacing, "upgraded jacket outer diameter")
        better, _ = conductances(sheet, lines.trench, conductivity, laid, None)
    better_year = year.lost_with(sheet, "Lost in a year, upgraded line", better)
    saved = sheet.calc("Heat saved in a year", SEASON_ENERGY, lambda a, b: np.maximum(a - b, 0.0), year.lost, better_year)
    cords = year.cords_for(sheet, "Cords saved in a year", saved)
    worth = sheet.line("Worth of those cords", money.wood_cost, cords, prices.price)
    cost, better_cost = context.fetch(sheet, "line cost", "upgraded line cost")
    extra = sheet.calc("Extra cost", MONEY, lambda a, b, n: (b - a) * n, cost, better_cost, pipes.length)
    sheet.line("Payback of the upgraded line", money.simple_payback, extra, worth)


def _deeper(sheet: Sheet, lines: Ground) -> None:
    trench = lines.trench
    sheet.heading("Depth")
    sheet.calc(
        "Saved by another foot (0.3 m) of depth",
        FRACTION,
        lambda u, k, h: u * FOOT / (np.pi * k * h),
        lines.loss,
        trench.soil,
        trench.depth,
        when=trench.buried,
        words="loss conductance × 1 ft (0.3 m) / (π × soil conductivity × depth): the slope of the soil's resistance to both lines",
    )
    sheet.calc(
        "Depth beyond which that is less than 1 %",
        LENGTH,
        lambda u, k: u * FOOT / (np.pi * k * DEPTH_SHARE),
        lines.loss,
        trench.soil,
        when=trench.buried,
        words="where the saving above falls to 1 %; frost and traffic may ask for more",
    )


def _freezing(context: Context, sheet: Sheet, site: Site, pipes: Pipes, lines: Ground, boiler: Boiler) -> Row:
    """Hours until the first bare tube freezes, the shortest of all runs: on Boiler beside the other times of a power failure."""
    water = (site.density, site.specific_heat)
    on, outdoor = context.job("boiler", "lower setpoint"), context.job("site", "outdoor design temperature")
    sheet.heading("Power failure: hours until standing water freezes")
    stretch = sheet.calc("Water in a stretch of one tube", VOLUME, lambda v: v * STRETCH, pipes.per_length)
    bare = sheet.calc(
        "Conductance of that stretch, bare in the air",
        CONDUCTANCE,
        lambda d, r: STRETCH / (r + 1 / (np.pi * d * BARE_TUBE_FILM)),
        pipes.outside,
        lines.trench.wall,
    )
    of_air = (stretch, on, FREEZING, outdoor, bare, *water)
    bare_freezes = sheet.line("Bare tube in the outdoor air", storage.cooling_time, *of_air, when=lines.trench.buried)
    first = boiler.sheet.take("Hours until the first bare tube freezes", Across(bare_freezes, "MIN"))
    buried = sheet.calc("Conductance of that stretch, buried", CONDUCTANCE, lambda u: u * STRETCH, lines.loss)
    of_ground = (stretch, on, FREEZING, lines.temperature, buried, *water)
    never = sheet.line("Buried line (100,000 h: never)", storage.cooling_time, *of_ground, when=lines.trench.buried)
    for row in (bare_freezes, never):
        row.words = COOLING
    return first
