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

from .context import Making, over
from .ground import conductances, lay
from .results import Lines

FREEZING = 0.0  # °C
# Common practice, no source: still air about a bare tube takes 2 BTU/(h ft² °F).
BARE_TUBE_FILM = 2 * 5.678263341
STRETCH = 1.0  # m: freezing is reckoned for a stretch of this length; the time does not depend on it
DEPTH_SHARE = 0.01  # deeper "stops mattering" where another foot saves less than this share of the loss
FOOT = 0.3048


def make_lines(making: Making) -> Lines:
    """The sheet Lines."""
    sheet = making.book.sheet("Lines", making.runs, "Lines: what wet, better and deeper are worth")
    _wet(making, sheet)
    _better(making, sheet)
    _deeper(making, sheet)
    making.lines = Lines(sheet, _freezing(making, sheet))
    return making.lines


def _season(making: Making, sheet: Sheet, label: str, loss: Row) -> Row:
    """The season's loss with another conductance: in proportion, since water and ground stay what they are."""
    year, as_it_lies = making.line_year.year, making.ground.loss
    return sheet.calc(label, SEASON_ENERGY, lambda q, u, u0: q * over(u, u0), year, loss, as_it_lies)


def _cords(making: Making, sheet: Sheet, label: str, heat: Row) -> Row:
    return sheet.line(label, wood.cords_for_heat, heat, making.cords.cord_energy, making.cords.efficiency)


def _wet(making: Making, sheet: Sheet) -> None:
    lines = making.ground
    sheet.heading("The same line dry")
    dry, _ = conductances(making, sheet, lines.trench, lines.dry, lines.laid, None)
    _cords(making, sheet, "Cords for that, dry", _season(making, sheet, "Lost in a year, dry", dry))
    sheet.heading("The same line wet")
    wet, _ = conductances(making, sheet, lines.trench, lines.wet, lines.laid, None)
    _cords(making, sheet, "Cords for that, wet", _season(making, sheet, "Lost in a year, wet", wet))
    sheet.calc("Wet over dry", RATIO, over, wet, dry)


def _better(making: Making, sheet: Sheet) -> None:
    lines, system = making.ground, making.book.system
    sheet.heading("The next better line")
    material = making.fetched(sheet, "better insulation")
    same = sheet.take("Insulation, better or the same", FirstGiven((material, making.per(sheet, "insulation"))))
    table = sheet.take("Conductivity, table", TableNumber("insulation", "dry_conductivity", (same,), system))
    conductivity = sheet.take("Conductivity of the better line", FirstGiven((making.per(sheet, "better insulation conductivity"), table)))
    jacket = making.fetched(sheet, "better jacket outer diameter", "Outer diameter of the better line")
    is_apart = kind_is(lines.trench.arrangement, "apart")
    apart = sheet.calc("Spacing apart, a larger jacket", BORE, np.maximum, lines.spacing, jacket, when=is_apart)
    spacing = sheet.take("Spacing of the better line", FirstGiven((apart, lines.spacing)))
    laid = lay(making, sheet, lines.trench, jacket, spacing, "better jacket outer diameter")
    better, _ = conductances(making, sheet, lines.trench, conductivity, laid, None)
    better_year = _season(making, sheet, "Lost in a year, better line", better)
    year = making.line_year.year
    saved = sheet.calc("Heat saved in a year", SEASON_ENERGY, lambda a, b: np.maximum(a - b, 0.0), year, better_year)
    cords = _cords(making, sheet, "Cords saved in a year", saved)
    worth = sheet.line("Worth of those cords", money.wood_cost, cords, making.money.price)
    cost, better_cost = making.fetch(sheet, "line cost", "better line cost")
    extra = sheet.calc("Extra cost", MONEY, lambda a, b, n: (b - a) * n, cost, better_cost, making.pipes.length)
    sheet.line("Payback of the better line", money.simple_payback, extra, worth)


def _deeper(making: Making, sheet: Sheet) -> None:
    as_it_lies = making.ground.loss
    sheet.heading("Depth")
    sheet.calc(
        "Saved by another foot (0.3 m) of depth",
        FRACTION,
        lambda u, k, h: u * FOOT / (2 * np.pi * k * h),
        as_it_lies,
        making.site.conductivity,
        making.ground.trench.depth,
        words="loss conductance × 1 ft (0.3 m) / (2 π × soil conductivity × depth): the slope of the soil's resistance",
    )
    sheet.calc(
        "Depth beyond which a foot (0.3 m) saves less than 1 %",
        LENGTH,
        lambda u, k: u * FOOT / (2 * np.pi * k * DEPTH_SHARE),
        as_it_lies,
        making.site.conductivity,
        words="where the saving above falls to 1 %; frost and traffic may ask for more",
    )


def _first(making: Making, row: Row) -> Row:
    """The shortest of all runs, on Boiler beside the other times of a power cut."""
    sheet: Sheet = making.boiler.sheet
    return sheet.take("Hours until the first bare tube freezes", Across(row, "MIN"))


def _freezing(making: Making, sheet: Sheet) -> Row:
    """Hours until the first bare tube freezes."""
    pipes, lines, site = making.pipes, making.ground, making.site
    water = (site.density, site.specific_heat)
    on, outdoor = making.job("boiler", "fan on at"), making.job("site", "outdoor design temperature")
    sheet.heading("Power cut: hours until standing water freezes")
    stretch = sheet.calc("Water in a stretch of one tube", VOLUME, lambda v: v * STRETCH, pipes.per_length)
    bare = sheet.calc(
        "Conductance of that stretch, bare in the air", CONDUCTANCE, lambda d: np.pi * d * STRETCH * BARE_TUBE_FILM, pipes.outside
    )
    bare_freezes = sheet.line("Bare tube in the outdoor air", storage.cooling_time, stretch, on, FREEZING, outdoor, bare, *water)
    first = _first(making, bare_freezes)
    buried = sheet.calc("Conductance of that stretch, buried", CONDUCTANCE, lambda u: u * STRETCH, lines.loss)
    sheet.line("Buried line (100,000 h: never)", storage.cooling_time, stretch, on, FREEZING, lines.temperature, buried, *water)
    return first
