"""Lines: dry against wet, the next better line and what it pays back, deeper, and what freezes first when all stops."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from hydrocalc import money, storage, wood
from hydrocalc.measures import BORE, CONDUCTANCE, FRACTION, LENGTH, MONEY, RATIO, SEASON_ENERGY, VOLUME
from workbook_builder.model.aggregates import Across
from workbook_builder.model.references import FirstGiven, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import TableNumber
from workbook_builder.model.worksheet import Sheet

from .context import Making
from .ground import conductances, lay

FREEZING = 0.0  # °C
# Common practice, no source: still air about a bare tube takes 2 BTU/(h ft² °F).
BARE_TUBE_FILM = 2 * 5.678263341
STRETCH = 1.0  # m: freezing is reckoned for a stretch of this length; the time does not depend on it
DEPTH_SHARE = 0.01  # deeper "stops mattering" where another foot saves less than this share of the loss
FOOT = 0.3048
LEAST = 1e-6


def make_lines(making: Making) -> None:
    """The sheet Lines."""
    sheet = making.book.sheet("Lines", making.runs, "Lines: what wet, better and deeper are worth")
    rows = SimpleNamespace(sheet=sheet)
    making.rows["lines"] = rows
    as_it_lies = making.ground.loss
    _wet(making, sheet, rows, as_it_lies)
    _better(making, sheet, rows, as_it_lies)
    _deeper(making, sheet, rows, as_it_lies)
    _freezing(making, sheet, rows)


def _season(making: Making, sheet: Sheet, label: str, loss: Row, as_it_lies: Row) -> Row:
    """The season's loss with another conductance: in proportion, since water and ground stay what they are."""
    return sheet.calc(label, SEASON_ENERGY, lambda q, u, u0: q * (u / np.maximum(u0, LEAST)), making.ground.year, loss, as_it_lies)


def _cords(making: Making, sheet: Sheet, label: str, heat: Row) -> Row:
    return sheet.line(label, wood.cords_for_heat, heat, making.cords.cord_energy, making.cords.efficiency)


def _wet(making: Making, sheet: Sheet, rows: SimpleNamespace, as_it_lies: Row) -> None:
    lines = making.ground
    sheet.heading("The same line dry")
    rows.dry, _ = conductances(making, sheet, lines, lines.dry, lines.laid, None)
    rows.dry_year = _season(making, sheet, "Lost in a year, dry", rows.dry, as_it_lies)
    rows.dry_cords = _cords(making, sheet, "Cords for that, dry", rows.dry_year)
    sheet.heading("The same line wet")
    rows.wet, _ = conductances(making, sheet, lines, lines.wet, lines.laid, None)
    rows.wet_year = _season(making, sheet, "Lost in a year, wet", rows.wet, as_it_lies)
    rows.wet_cords = _cords(making, sheet, "Cords for that, wet", rows.wet_year)
    rows.wet_times = sheet.calc("Wet over dry", RATIO, lambda a, b: a / np.maximum(b, LEAST), rows.wet, rows.dry)


def _better(making: Making, sheet: Sheet, rows: SimpleNamespace, as_it_lies: Row) -> None:
    lines, system = making.ground, making.book.system
    sheet.heading("The next better line")
    material = making.fetched(sheet, "better insulation")
    same = sheet.take("Insulation, better or the same", FirstGiven((material, making.per(sheet, "insulation"))))
    table = sheet.take("Conductivity, table", TableNumber("insulation", "dry_conductivity", (same,), system))
    conductivity = sheet.take("Conductivity of the better line", FirstGiven((making.per(sheet, "better insulation conductivity"), table)))
    jacket = making.fetched(sheet, "better jacket outer diameter", "Outer diameter of the better line")
    apart = sheet.calc("Spacing apart, a larger jacket", BORE, np.maximum, lines.spacing, jacket, when=kind_is(lines.arrangement, "apart"))
    spacing = sheet.take("Spacing of the better line", FirstGiven((apart, lines.spacing)))
    rows.better, _ = conductances(making, sheet, lines, conductivity, lay(making, sheet, lines, jacket, spacing), None)
    rows.better_year = _season(making, sheet, "Lost in a year, better line", rows.better, as_it_lies)
    rows.saved = sheet.calc("Heat saved in a year", SEASON_ENERGY, lambda a, b: np.maximum(a - b, 0.0), lines.year, rows.better_year)
    rows.saved_cords = _cords(making, sheet, "Cords saved in a year", rows.saved)
    rows.saved_money = sheet.line("Worth of those cords", money.wood_cost, rows.saved_cords, making.money.price)
    cost, better_cost = making.fetch(sheet, "line cost", "better line cost")
    rows.extra = sheet.calc("Extra cost", MONEY, lambda a, b, n: (b - a) * n, cost, better_cost, making.pipes.length)
    rows.payback = sheet.line("Payback of the better line", money.simple_payback, rows.extra, rows.saved_money)


def _deeper(making: Making, sheet: Sheet, rows: SimpleNamespace, as_it_lies: Row) -> None:
    sheet.heading("Depth")
    rows.foot_deeper = sheet.calc(
        "Saved by another foot (0.3 m) of depth",
        FRACTION,
        lambda u, k, h: u * FOOT / (2 * np.pi * k * h),
        as_it_lies,
        making.site.conductivity,
        making.ground.depth,
        words="loss conductance × 1 ft (0.3 m) / (2 π × soil conductivity × depth): the slope of the soil's resistance",
    )
    rows.enough = sheet.calc(
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


def _freezing(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    pipes, lines, site = making.pipes, making.ground, making.site
    water = (site.density, site.specific_heat)
    on, outdoor = making.job("boiler", "fan on at"), making.job("site", "outdoor design temperature")
    sheet.heading("Power cut: hours until standing water freezes")
    stretch = sheet.calc("Water in a stretch of one tube", VOLUME, lambda v: v * STRETCH, pipes.per_length)
    bare = sheet.calc(
        "Conductance of that stretch, bare in the air", CONDUCTANCE, lambda d: np.pi * d * STRETCH * BARE_TUBE_FILM, pipes.outside
    )
    rows.bare_freezes = sheet.line("Bare tube in the outdoor air", storage.cooling_time, stretch, on, FREEZING, outdoor, bare, *water)
    rows.bare_first = _first(making, rows.bare_freezes)
    buried = sheet.calc("Conductance of that stretch, buried", CONDUCTANCE, lambda u: u * STRETCH, lines.loss)
    rows.line_freezes = sheet.line(
        "Buried line (100,000 h: never)", storage.cooling_time, stretch, on, FREEZING, lines.temperature, buried, *water
    )
