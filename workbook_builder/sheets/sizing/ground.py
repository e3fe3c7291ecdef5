"""Ground: what each buried line loses, on the design night and by month, and with what temperature the water arrives."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from hydrocalc import flow, ground, twin
from hydrocalc.measures import (
    BORE,
    CONDUCTANCE_PER_LENGTH,
    CONDUCTIVITY,
    COUNT,
    HEAT_PER_LENGTH,
    POWER,
    RATIO,
    SEASON_ENERGY,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TEMPERATURE_GRADIENT,
)
from workbook_builder.model.aggregates import At, SumWhere, total_of
from workbook_builder.model.references import FirstGiven, IfNone, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import TableNumber
from workbook_builder.model.worksheet import BuildError, Sheet
from workbook_builder.table.vocabulary import BRANCHING, MONTHS, TWIN_SPACING

from .context import Making
from .line_temperatures import reached
from .pipes import generation

SECONDS_A_DAY = 86400.0
LEAST_RATE = 1e-6  # W/K
LEAST_NUMBER, MOST_NUMBER = 1e-6, 100.0
# The tube's own wall is left out: a few per cent of the jacket's resistance, and on the safe side.
WALL_RESISTANCE = 0.0


def make_ground(making: Making) -> None:
    """The sheet Ground, as far as the design night goes."""
    sheet = making.book.sheet("Ground", making.runs, "Ground: what the buried lines lose")
    rows = SimpleNamespace(sheet=sheet)
    making.rows["ground"] = rows
    _line(making, sheet, rows)
    _conductances(making, sheet, rows)
    _design_night(making, sheet, rows)


def _line(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    pipes = making.pipes
    system = making.book.system
    sheet.heading("The line")
    rows.arrangement, insulation, condition, rows.depth = making.fetch(sheet, "arrangement", "insulation", "jacket condition", "depth")
    rows.condition = condition
    twin_jacket = kind_is(rows.arrangement, "one jacket")
    typed_dry = making.fetched(sheet, "insulation conductivity", "Insulation conductivity, typed")
    table_dry = sheet.take("Insulation conductivity, table", TableNumber("insulation", "dry_conductivity", (insulation,), system))
    rows.dry = sheet.take("Insulation conductivity, dry", FirstGiven((typed_dry, table_dry)))
    typed_wet = making.fetched(sheet, "wet insulation conductivity", "Insulation conductivity when wet, typed")
    table_wet = sheet.take("Insulation conductivity when wet, table", TableNumber("insulation", "wet_conductivity", (insulation,), system))
    rows.wet = sheet.take("Insulation conductivity when wet", FirstGiven((typed_wet, table_wet)))
    as_dry = sheet.calc("Conductivity, if dry", CONDUCTIVITY, lambda k: k * 1.0, rows.dry, when=kind_is(condition, "dry"))
    as_wet = sheet.calc("Conductivity, if wet", CONDUCTIVITY, lambda k: k * 1.0, rows.wet, when=kind_is(condition, "wet"))
    rows.insulation = sheet.take("Insulation conductivity as it lies", FirstGiven((as_dry, as_wet)))
    rows.jacket = making.fetched(sheet, "jacket outer diameter")
    typed_spacing = making.fetched(sheet, "spacing", "Spacing, typed")
    apart = sheet.calc("Spacing, jackets touching", BORE, lambda d: d * 1.0, rows.jacket, when=kind_is(rows.arrangement, "apart"))
    close = sheet.calc("Spacing, tubes in one jacket", BORE, lambda d: d * TWIN_SPACING, pipes.outside, when=twin_jacket)
    rows.spacing = sheet.take("Spacing, middle to middle", FirstGiven((typed_spacing, apart, close)))
    rows.temperature = sheet.line(
        "Ground temperature on the design night",
        ground.ground_temperature,
        rows.depth,
        making.job("site", "coldest day"),
        making.site.mean,
        making.site.amplitude,
        making.job("site", "coldest day"),
        making.site.diffusivity,
    )


def _conductances(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("Conductances")
    stated, difference = making.fetch(sheet, "stated loss", "stated loss difference")
    by_maker = sheet.calc("Loss conductance, from the stated loss", CONDUCTANCE_PER_LENGTH, lambda q, d: q / (2 * d), stated, difference)
    no_exchange = sheet.calc(
        "Exchange conductance, with a stated loss", CONDUCTANCE_PER_LENGTH, lambda u: np.minimum(u, 0.0), by_maker, words="none"
    )
    rows.laid = lay(making, sheet, rows, rows.jacket, rows.spacing)
    rows.loss, rows.exchange = conductances(making, sheet, rows, rows.insulation, rows.laid, (by_maker, no_exchange))
    making.rows["ground"] = rows


@dataclass(frozen=True)
class Laid:
    """A jacket in the ground with its tubes: blank where they cannot lie so, and the count of what cannot be."""

    jacket: Row
    spacing: Row
    faults: Row


def lay(making: Making, sheet: Sheet, rows: SimpleNamespace, jacket: Row, spacing: Row) -> Laid:
    """A line's measures, looked at together: each may be possible, and the line not.  Its conductances would mean nothing."""
    _refuse_overfilled(making, rows, jacket, spacing)
    faults = sheet.calc(
        "What cannot be so in this line",
        COUNT,
        lambda d, s, t, z, how: (
            np.where(np.where(how == "one jacket", s + t, t) >= d, 1.0, 0.0)
            + np.where(np.where(how == "one jacket", t, d) > s, 1.0, 0.0)
            + np.where(d >= 2.0 * z, 1.0, 0.0)
        ),
        jacket,
        spacing,
        making.pipes.outside,
        rows.depth,
        rows.arrangement,
        shows="whole",
        words="1 for each: tubes that do not fit in the jacket; tubes or jackets in one another; a jacket that stands out of the ground",
    )
    return Laid(sheet.take("Jacket, if the line can be so", IfNone(jacket, faults)), spacing, faults)


def conductances(
    making: Making, sheet: Sheet, rows: SimpleNamespace, insulation: Row, laid: Laid, stated: tuple[Row, Row] | None
) -> tuple[Row, Row]:
    """Loss and exchange conductance of each line for an insulation and a jacket."""
    jacket = laid.jacket
    soil = making.site.conductivity
    apart, together = kind_is(rows.arrangement, "apart"), kind_is(rows.arrangement, "one jacket")
    pipes = making.pipes
    resistance = sheet.line("Resistance of one jacket", ground.layer_resistance, pipes.outside, jacket, insulation, when=apart)
    pair = (rows.depth, laid.spacing, jacket, resistance, soil)
    pair_loss = sheet.line("Loss conductance, lines apart", ground.pair_loss_conductance, *pair, when=apart)
    pair_exchange = sheet.line("Exchange conductance, lines apart", ground.pair_exchange_conductance, *pair, when=apart)
    inside = (rows.depth, laid.spacing, pipes.outside, jacket, WALL_RESISTANCE, insulation, soil)
    twin_loss = sheet.line("Loss conductance, one jacket", twin.twin_loss_conductance, *inside, when=together)
    twin_exchange = sheet.line("Exchange conductance, one jacket", twin.twin_exchange_conductance, *inside, when=together)
    first = (stated[0],) if stated else ()
    second = (stated[1],) if stated else ()
    loss = sheet.take("Loss conductance of each line", FirstGiven((*first, pair_loss, twin_loss)))
    exchange = sheet.take("Exchange conductance", FirstGiven((*second, pair_exchange, twin_exchange)))
    return loss, exchange


def _refuse_overfilled(making: Making, rows: SimpleNamespace, jacket: Row, spacing: Row) -> None:
    """A tube that the book chose may be too large for the jacket, which only shows here, when a book is written."""
    values, outside = making.book.values, making.pipes.outside
    beside = np.where(values[rows.arrangement] == "one jacket", values[spacing], 0.0)
    item = "jacket outer diameter" if jacket is rows.jacket else "better jacket outer diameter"
    for label, room, within in zip(making.runs.labels, beside + values[outside], values[jacket], strict=True):
        if room >= within:
            raise BuildError(
                f"{jacket.sheet.name}, {jacket.label}, {label}: is {within:.4g} {jacket.unit}, and the tube that was chosen takes "
                f"{room:.4g} {jacket.unit}; look at run {label}: {item}, size, temperature drop"
            )


def _design_night(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    pipes = making.pipes
    water = (making.pumps.flow, pipes.density, pipes.specific_heat)
    sheet.heading("Design night, water at fan on")
    rows.own_rate = sheet.line("Capacity rate of the run's own flow", flow.capacity_rate, making.pumps.own_flow, *water[1:])
    rows.rate = sheet.line("Capacity rate of the water", flow.capacity_rate, *water)
    rows.drop = sheet.line("Temperature drop at that flow", flow.drop_from_load, pipes.load, *water)
    _both_lines(making, sheet, rows)
    sheet.heading("Design night, every need met")
    along = reached(making, sheet, pipes.supply, rows.drop)
    rows.inlet, rows.arrival = along.inlet, along.arrival
    rows.return_in = sheet.calc("Return into the line, at the design drop", TEMPERATURE, lambda t, d: t - d, rows.arrival, rows.drop)
    rows.return_out = sheet.calc(
        "Return arrives",
        TEMPERATURE,
        lambda g, t, d, h, w: g + ((h - w) * (t - g) - d) / (h + w),
        rows.temperature,
        rows.inlet,
        rows.drop,
        rows.rise,
        rows.decay,
        words="ground + ((rise − decay) × (supply into the line − ground) − drop) / (rise + decay)",
    )
    _losses(making, sheet, rows)


def _both_lines(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    """The exact solution of the two coupled lines: supply and return follow sinh and cosh of one number."""
    sheet.heading("Both lines at once")
    line = (rows.loss, rows.exchange, making.pipes.length, rows.rate)
    number = sheet.calc(
        "Line number",
        RATIO,
        lambda u, x, n, c: n * np.sqrt(u * (u + 2 * x)) / np.maximum(c, LEAST_RATE),
        *line,
        words="length × √(loss conductance × (loss conductance + 2 × exchange conductance)) / capacity rate",
    )
    rows.rise = sheet.calc("Rise", RATIO, lambda k: np.cosh(np.minimum(k, MOST_NUMBER)), number, words="cosh of the line number")
    slope = sheet.calc(
        "Slope",
        RATIO,
        lambda k: np.sinh(np.minimum(np.maximum(k, LEAST_NUMBER), MOST_NUMBER)) / np.maximum(k, LEAST_NUMBER),
        number,
        words="sinh of the line number / the line number",
    )
    for name, conductance, key in (("Decay", rows.loss, "decay"), ("Exchange", rows.exchange, "swapped")):
        made = sheet.calc(
            name, RATIO, lambda u, n, c, s: u * n / np.maximum(c, LEAST_RATE) * s, conductance, making.pipes.length, rows.rate, slope
        )
        setattr(rows, key, made)


def _losses(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    pipes = making.pipes
    sheet.heading("What the line takes on the design night")
    rows.fall = sheet.calc("Temperature lost by the supply", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, rows.inlet, rows.arrival)
    rows.gradient = sheet.calc("Temperature lost per length", TEMPERATURE_GRADIENT, lambda d, n: d / n, rows.fall, pipes.length)
    rows.supply_loss = sheet.calc("Heat lost by the supply", POWER, lambda c, d: c * d, rows.rate, rows.fall)
    rows.return_loss = sheet.calc("Heat lost by the return", POWER, lambda c, a, b: c * (a - b), rows.rate, rows.return_in, rows.return_out)
    rows.design_loss = sheet.calc("Heat lost by both", POWER, lambda a, b: a + b, rows.supply_loss, rows.return_loss)
    rows.per_length = sheet.calc("Heat lost per length of trench", HEAT_PER_LENGTH, lambda q, n: q / n, rows.design_loss, pipes.length)


def make_months(making: Making) -> None:
    """By month: ground temperature, the water's drop at the month's own mean load, and what the lines lose.  Months go down."""
    rows, pipes, climate = making.ground, making.pipes, making.climate
    sheet = rows.sheet
    on, off = making.job("boiler", "fan on at"), making.job("boiler", "fan off at")
    sheet.heading("Ground temperature by month")
    ground_months = [
        sheet.line(
            month,
            ground.ground_temperature,
            rows.depth,
            At(climate.middle, i),
            making.site.mean,
            making.site.amplitude,
            making.job("site", "coldest day"),
            making.site.diffusivity,
        )
        for i, month in enumerate(MONTHS)
    ]
    needs, season = making.needs, making.season
    drops = []
    for i, month in enumerate(MONTHS):
        sheet.heading(f"Heat through the line, {month}")
        own = sheet.take("Heat of this run's loads", SumWhere(season.months[i], needs.run, sheet.names))
        total = own
        for depth in range(BRANCHING):
            branches = sheet.take(generation("Heat of the runs that start here", depth), SumWhere(total, pipes.starts_at, sheet.names))
            total = sheet.calc(generation("Heat with those", depth), SEASON_ENERGY, lambda a, b: a + b, own, branches)
        drops.append(
            sheet.calc(
                "Mean temperature drop",
                TEMPERATURE_DIFFERENCE,
                lambda q, c, n: q / (np.maximum(c, LEAST_RATE) * n * SECONDS_A_DAY),
                total,
                rows.rate,
                At(climate.days, i),
            )
        )
    colder = sheet.calc(
        "Supply colder than the boiler's, at its start", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, pipes.supply, rows.inlet
    )
    sheet.heading("Heat lost by both lines by month")
    rows.months = []
    for i, month in enumerate(MONTHS):
        rows.months.append(
            sheet.calc(
                month,
                SEASON_ENERGY,
                lambda c, w, h, a, b, less, drop, tg, d, lit: (
                    c * np.maximum((2 * w * ((a + b) / 2 - less - tg) - (h + w - 1) * drop) / (h + w), 0.0) * d * lit * SECONDS_A_DAY
                ),
                rows.rate,
                rows.decay,
                rows.rise,
                on,
                off,
                colder,
                drops[i],
                ground_months[i],
                At(climate.days, i),
                At(climate.lit, i),
                words="capacity rate × (2 × decay × (mean of the band at its start − ground) − (rise + decay − 1) × the month's drop) "
                "/ (rise + decay) × days lit: both lines at once, exchange included",
            )
        )
    rows.year = sheet.take("The year", total_of(rows.months))
