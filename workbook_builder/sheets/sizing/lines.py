"""Lines: dry against wet, the next better line and what it pays back, deeper, and what freezes first when all stops."""

from __future__ import annotations

import numpy as np

from hydrocalc import money, storage, wood
from hydrocalc.measures import BORE, CONDUCTANCE, FRACTION, LENGTH, MONEY, RATIO, SEASON_ENERGY, VOLUME
from workbook_builder.model.aggregates import Across
from workbook_builder.model.references import FirstGiven, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import TableNumber
from workbook_builder.model.worksheet import Sheet

from .context import Context, over
from .ground import conductances, lay
from .results import Lines

FREEZING = 0.0  # °C
# Common practice, no source: still air about a bare tube takes 2 BTU/(h ft² °F).
BARE_TUBE_FILM = 2 * 5.678263341
STRETCH = 1.0  # m: freezing is reckoned for a stretch of this length; the time does not depend on it
DEPTH_SHARE = 0.01  # deeper "stops mattering" where another foot saves less than this share of the loss
FOOT = 0.3048


def make_lines(context: Context) -> Lines:
    """The sheet Lines."""
    sheet = context.book.sheet("Lines", context.runs, "Lines: what wet, better and deeper are worth")
    _wet(context, sheet)
    _better(context, sheet)
    _deeper(context, sheet)
    context.lines = Lines(sheet, _freezing(context, sheet))
    return context.lines


def _season(context: Context, sheet: Sheet, label: str, loss: Row) -> Row:
    """The season's loss with another conductance: in proportion, since water and ground stay what they are."""
    year, as_it_lies = context.line_year.year, context.ground.loss
    return sheet.calc(label, SEASON_ENERGY, lambda q, u, u0: q * over(u, u0), year, loss, as_it_lies)


def _cords(context: Context, sheet: Sheet, label: str, heat: Row) -> Row:
    return sheet.line(label, wood.cords_for_heat, heat, context.cords.cord_energy, context.cords.efficiency)


def _wet(context: Context, sheet: Sheet) -> None:
    lines = context.ground
    sheet.heading("The same line dry")
    dry, _ = conductances(context, sheet, lines.trench, lines.dry, lines.laid, None)
    _cords(context, sheet, "Cords for that, dry", _season(context, sheet, "Lost in a year, dry", dry))
    sheet.heading("The same line wet")
    wet, _ = conductances(context, sheet, lines.trench, lines.wet, lines.laid, None)
    _cords(context, sheet, "Cords for that, wet", _season(context, sheet, "Lost in a year, wet", wet))
    sheet.calc("Wet over dry", RATIO, over, wet, dry)


def _better(context: Context, sheet: Sheet) -> None:
    lines, system = context.ground, context.book.system
    sheet.heading("The next better line")
    material = context.fetched(sheet, "better insulation")
    same = sheet.take("Insulation, better or the same", FirstGiven((material, context.per(sheet, "insulation"))))
    table = sheet.take("Conductivity, table", TableNumber("insulation", "dry_conductivity", (same,), system))
    conductivity = sheet.take("Conductivity of the better line", FirstGiven((context.per(sheet, "better insulation conductivity"), table)))
    jacket = context.fetched(sheet, "better jacket outer diameter", "Outer diameter of the better line")
    is_apart = kind_is(lines.trench.arrangement, "apart")
    apart = sheet.calc("Spacing apart, a larger jacket", BORE, np.maximum, lines.spacing, jacket, when=is_apart)
    spacing = sheet.take("Spacing of the better line", FirstGiven((apart, lines.spacing)))
    laid = lay(context, sheet, lines.trench, jacket, spacing, "better jacket outer diameter")
    better, _ = conductances(context, sheet, lines.trench, conductivity, laid, None)
    better_year = _season(context, sheet, "Lost in a year, better line", better)
    year = context.line_year.year
    saved = sheet.calc("Heat saved in a year", SEASON_ENERGY, lambda a, b: np.maximum(a - b, 0.0), year, better_year)
    cords = _cords(context, sheet, "Cords saved in a year", saved)
    worth = sheet.line("Worth of those cords", money.wood_cost, cords, context.money.price)
    cost, better_cost = context.fetch(sheet, "line cost", "better line cost")
    extra = sheet.calc("Extra cost", MONEY, lambda a, b, n: (b - a) * n, cost, better_cost, context.pipes.length)
    sheet.line("Payback of the better line", money.simple_payback, extra, worth)


def _deeper(context: Context, sheet: Sheet) -> None:
    as_it_lies = context.ground.loss
    sheet.heading("Depth")
    sheet.calc(
        "Saved by another foot (0.3 m) of depth",
        FRACTION,
        lambda u, k, h: u * FOOT / (2 * np.pi * k * h),
        as_it_lies,
        context.site.conductivity,
        context.ground.trench.depth,
        words="loss conductance × 1 ft (0.3 m) / (2 π × soil conductivity × depth): the slope of the soil's resistance",
    )
    sheet.calc(
        "Depth beyond which a foot (0.3 m) saves less than 1 %",
        LENGTH,
        lambda u, k: u * FOOT / (2 * np.pi * k * DEPTH_SHARE),
        as_it_lies,
        context.site.conductivity,
        words="where the saving above falls to 1 %; frost and traffic may ask for more",
    )


def _first(context: Context, row: Row) -> Row:
    """The shortest of all runs, on Boiler beside the other times of a power cut."""
    sheet: Sheet = context.boiler.sheet
    return sheet.take("Hours until the first bare tube freezes", Across(row, "MIN"))


def _freezing(context: Context, sheet: Sheet) -> Row:
    """Hours until the first bare tube freezes."""
    pipes, lines, site = context.pipes, context.ground, context.site
    water = (site.density, site.specific_heat)
    on, outdoor = context.job("boiler", "fan on at"), context.job("site", "outdoor design temperature")
    sheet.heading("Power cut: hours until standing water freezes")
    stretch = sheet.calc("Water in a stretch of one tube", VOLUME, lambda v: v * STRETCH, pipes.per_length)
    bare = sheet.calc(
        "Conductance of that stretch, bare in the air", CONDUCTANCE, lambda d: np.pi * d * STRETCH * BARE_TUBE_FILM, pipes.outside
    )
    bare_freezes = sheet.line("Bare tube in the outdoor air", storage.cooling_time, stretch, on, FREEZING, outdoor, bare, *water)
    first = _first(context, bare_freezes)
    buried = sheet.calc("Conductance of that stretch, buried", CONDUCTANCE, lambda u: u * STRETCH, lines.loss)
    sheet.line("Buried line (100,000 h: never)", storage.cooling_time, stretch, on, FREEZING, lines.temperature, buried, *water)
    return first
