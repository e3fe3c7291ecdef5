"""From a job to a book, and its file: the sheets in the order in which they are read."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
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
from workbook_builder.sheets.pages.inputs import write_inputs
from workbook_builder.sheets.pages.summary import write_summary, write_verdicts
from workbook_builder.sheets.pages.tables import write_sources, write_tables
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.sheets.sizing.design import Sizing, make_sizing
from workbook_builder.sheets.sizing.results import Checks
from workbook_builder.sheets.verdicts.checks import make_checks
from workbook_builder.table.job import Job


@dataclass(frozen=True)
class Built:
    """A worked job: the book with its values, and what is needed to write it."""

    job: Job
    context: Context
    sizing: Sizing
    checks: Checks
    audit: Callable[[Writer], None] | None = None  # writes the sheet of the claims, if there are any

    @property
    def book(self) -> Book:
        return self.context.book


@dataclass(frozen=True)
class Listed:
    """A sheet of the book, and what writes it; a sizing sheet is written row by row."""

    name: str
    write: Callable[[Writer, Built], object] | None = None


# Every sheet, in the order in which they are read.
SHEETS = (
    Listed("Summary", lambda writer, built: write_summary(writer, built.context, built.sizing, built.checks)),
    Listed("Verdicts", lambda writer, built: write_verdicts(writer, built.book, built.checks)),
    Listed("Audit", lambda writer, built: built.audit(writer) if built.audit else None),
    Listed("Cautions", lambda writer, built: write_cautions(writer, built.book.system)),
    Listed("Inputs", lambda writer, built: write_inputs(writer, built.context.inputs)),
    Listed("Charts", lambda writer, built: write_charts(writer, built.context, built.sizing)),
    Listed("Loads"),
    Listed("Emitters"),
    Listed("Cascade"),
    Listed("Draw"),
    Listed("Settled"),
    Listed("Night"),
    Listed("Pipes"),
    Listed("Pumps"),
    Listed("Ground"),
    Listed("Lines"),
    Listed("Returns"),
    Listed("Boiler"),
    Listed("Season"),
    Listed("Tubs"),
    Listed("Cords"),
    Listed("Money"),
    Listed("Checks"),
    Listed("LoadChecks"),
    Listed("RunChecks"),
    Listed("FuelChecks"),
    Listed("Fuels"),
    Listed("Usage"),
    Listed("Site"),
    Listed("Climate"),
    Listed("Curves"),
    Listed("Stations"),
    Listed("Tables", lambda writer, built: write_tables(writer, built.book.system, built.context.inputs.symbol)),
    Listed("Sources", lambda writer, built: write_sources(writer, built.book, dict(hydrocalc.catalogue()))),
    Listed("Functions", lambda writer, built: write_functions(writer, built.book.system)),
    Listed("Scratch", lambda writer, built: write_scratch(writer)),
)


def build(job: Job, system: System = "us") -> Built:
    """Work out a job in the units of a system."""
    inputs = Inputs(job, system)
    book = Book(system, symbol=inputs.symbol, headings=inputs.headings)
    context = Context(
        book,
        inputs,
        Axis("run", tuple(job.runs)),
        Axis("load", _in_the_waters_order(job)),
        Axis("fuel today", tuple(job.fuels) or ("none",)),
    )
    sizing = make_sizing(context)
    return Built(job, context, sizing, make_checks(context, sizing))


def _in_the_waters_order(job: Job) -> tuple[str, ...]:
    """Run by run: a station takes over the water of the column to its left, so the loads of a run stand together."""
    place = {run: n for n, run in enumerate(job.runs)}
    # In a blank book no load has its run yet.
    return tuple(sorted(job.loads, key=lambda load: place.get(str(job.value(f"load {load}", "run")), len(place))))


def write_book(built: Built, target: Path | BinaryIO, *, stored: float | None = None) -> Writer:
    """Write a worked job to a file that does not exist yet."""
    writer = compose(built, target, stored)
    writer.close()
    return writer


def compose(built: Built, target: Path | BinaryIO, stored: float | None = None) -> Writer:
    """A worked job as a workbook in memory; closing the writer writes it."""
    writer = Writer(target, str(built.job.value("job", "title") or ""), stored, A4 if built.book.system == "metric" else LETTER)
    for sheet in SHEETS:
        if sheet.write is not None:
            sheet.write(writer, built)
        else:
            write_sheet(writer, built.book.sheets[sheet.name], built.book.values)
    define_functions(writer, built.book.system)
    return writer


def save(built: Built, target: Path, *, force: bool = False) -> Writer:
    """Write a book so that its target is the old file or the whole new one, never a part of it; OSError if it may not be replaced."""
    refuse_target(target, BOOK, force=force)
    data = io.BytesIO()
    writer = write_book(built, data)
    put(data.getvalue(), target, force=force)
    return writer
