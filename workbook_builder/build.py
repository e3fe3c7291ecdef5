"""From a job to a book: the sheets in the order in which they need one another, and the file in the order in which they are read."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

import hydrocalc
from hydrocalc.measures import System
from workbook_builder.model.base import Axis
from workbook_builder.model.inputs import Inputs
from workbook_builder.model.worksheet import Book
from workbook_builder.output.files import BOOK, put, refuse_target
from workbook_builder.output.sheet_writer import write_sheet
from workbook_builder.output.writer import A4, LETTER, Writer
from workbook_builder.plugins.functions_page import define_functions, write_functions
from workbook_builder.sheets.pages.cautions import write_cautions, write_scratch
from workbook_builder.sheets.pages.charts import write_charts
from workbook_builder.sheets.pages.contents import write_contents
from workbook_builder.sheets.pages.tables import write_sources, write_tables
from workbook_builder.sheets.pages.typed import write_typed
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.table.job import Job

# The order of the sheets in the file.
READING_ORDER = (
    "Loads",
    "Emitters",
    "Cascade",
    "Draw",
    "Settled",
    "Night",
    "Pipes",
    "Pumps",
    "Ground",
    "Lines",
    "Returns",
    "Boiler",
    "Season",
    "Tubs",
    "Cords",
    "Money",
    "Checks",
    "LoadChecks",
    "RunChecks",
    "FuelChecks",
    "Fuels",
    "Usage",
    "Site",
    "Climate",
    "Curves",
    "Stations",
)


@dataclass
class Built:
    """A worked job: the book with its values, and what is needed to write it."""

    job: Job
    context: Context
    pages: list[Callable[[Writer], None]] = field(default_factory=list)  # further sheets, written after the verdicts

    @property
    def book(self) -> Book:
        return self.context.book


def build(job: Job, system: System = "us") -> Built:
    """Work out a job in the units of a system."""
    inputs = Inputs(job, system)
    book = Book(system, symbol=inputs.symbol, headings=inputs.headings)
    context = Context(
        book,
        inputs,
        Axis("run", tuple(job.runs)),
        Axis("load", inputs.names["load"]),
        Axis("fuel today", tuple(job.fuels) or ("none",)),
    )
    for make in _makers():
        make(context)
    return Built(job, context)


def _makers() -> tuple[Callable[[Context], object], ...]:
    from workbook_builder.sheets.sizing import (
        boiler,
        cascade,
        climate,
        cords,
        curves,
        emitters,
        ground,
        heat_balance,
        lines,
        loads,
        money,
        pipes,
        pumps,
        returns,
        season,
        site,
        usage,
    )
    from workbook_builder.sheets.verdicts import checks

    return (
        climate.make_climate,
        site.make_site,
        usage.make_fuels,
        usage.make_usage,
        loads.make_loads,
        pipes.make_pipes,
        pumps.make_pumps,
        ground.make_ground,
        ground.make_needs_met,
        emitters.make_emitters,
        cascade.make_cascade,
        returns.make_returns,
        season.make_tubs,
        season.make_season,
        ground.make_months,
        cords.make_cords,
        boiler.make_boiler,
        heat_balance.make_balance,
        returns.make_night,
        cascade.make_draw,
        boiler.make_draw_and_return,
        money.make_fuel_costs,
        money.make_money,
        lines.make_lines,
        curves.make_curves,
        curves.make_stations,
        checks.make_checks,
    )


def write_book(built: Built, target: Path | BinaryIO, *, stored: float | None = None) -> Writer:
    """Write a worked job to a file that does not exist yet."""
    writer = compose(built, target, stored)
    writer.close()
    return writer


def compose(built: Built, target: Path | BinaryIO, stored: float | None = None) -> Writer:
    """A worked job as a workbook in memory; closing the writer writes it."""
    from workbook_builder.sheets.pages.summary import write_summary, write_verdicts

    writer = Writer(target, str(built.job.value("job", "title") or ""), stored, A4 if built.book.system == "metric" else LETTER)
    write_contents(writer, built.context, [(name, "") for name in ("Summary", *READING_ORDER)])
    write_summary(writer, built.context)
    write_verdicts(writer, built.context)
    for write_page in built.pages:
        write_page(writer)
    write_cautions(writer, built.book.system)
    write_typed(writer, built.context.inputs)
    write_charts(writer, built.context)
    for name in READING_ORDER:
        write_sheet(writer, built.book.sheets[name], built.book.values)
    write_tables(writer, built.book.system, built.context.inputs.symbol)
    write_sources(writer, built.book, dict(hydrocalc.catalogue()))
    write_functions(writer, built.book.system)
    write_scratch(writer)
    define_functions(writer, built.book.system)
    return writer


def save(built: Built, target: Path, *, force: bool = False) -> Writer:
    """Write a book so that its target is the old file or the whole new one, never a part of it; OSError if it may not be replaced."""
    refuse_target(target, BOOK, force=force)
    data = io.BytesIO()
    writer = write_book(built, data)
    put(data.getvalue(), target, force=force)
    return writer
