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
from workbook_builder.model.typed_sheets import JOB, LOADS, RUNS
from workbook_builder.model.worksheet import Book
from workbook_builder.output.files import BOOK, put, refuse_target
from workbook_builder.output.sheet_writer import write_sheet
from workbook_builder.output.writer import A4, LETTER, Writer
from workbook_builder.plugins.function_list import write_function_list
from workbook_builder.plugins.functions_page import define_functions
from workbook_builder.sheets.pages.cautions import write_cautions, write_scratch
from workbook_builder.sheets.pages.charts import top_of_charts, write_charts
from workbook_builder.sheets.pages.contents import write_contents
from workbook_builder.sheets.pages.summary import top_of_verdicts, write_summary, write_verdicts
from workbook_builder.sheets.pages.tables import write_sources, write_tables
from workbook_builder.sheets.pages.typed import write_typed
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.sheets.sizing.curves import CHARTS
from workbook_builder.sheets.sizing.design import Sizing, make_sizing
from workbook_builder.sheets.sizing.results import Checks
from workbook_builder.sheets.verdicts.checks import GATHERED_ON as VERDICTS
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
    answers: str
    write: Callable[[Writer, Built], object] | None = None


# Every sheet, in the order in which they are read, and what it answers.
SHEETS = (
    Listed("Contents", "", lambda writer, built: write_contents(writer, built.context, built.checks, listed(built))),
    Listed(
        "Summary",
        "For the customer: is it warm, what to buy, how much wood, what it saves, what fails; and two charts",
        lambda writer, built: write_summary(writer, built.context, built.sizing, built.checks),
    ),
    Listed(
        JOB,
        "To be typed: the job, the site, the liquid, the boiler, the wood, today's fuels, money and the limits",
        lambda writer, built: write_typed(writer, built.context.inputs, JOB),
    ),
    Listed(RUNS, "To be typed: each line in the ground", lambda writer, built: write_typed(writer, built.context.inputs, RUNS)),
    Listed(LOADS, "To be typed: each load", lambda writer, built: write_typed(writer, built.context.inputs, LOADS)),
    Listed(
        VERDICTS,
        "Every requirement, whether it is kept, and what would mend it",
        lambda writer, built: write_verdicts(writer, built.book, built.checks),
    ),
    Listed("Audit", "Somebody else's numbers, checked", lambda writer, built: built.audit(writer) if built.audit else None),
    Listed("Needs", "What does each load need, and what can its exchanger, emitter or coil take?"),
    Listed("Lines", "Which tube, what does the ground take, and what comes back?"),
    Listed("Pumps", "Which circulator: the flow that it delivers, head, velocity, suction and pressure"),
    Listed("Water", "Does the last load still get hot water on the coldest night, and while hot water is drawn?"),
    Listed("Boiler", "Does the fire carry the load, how long does a charge burn, how does it cycle, what if the power fails?"),
    Listed("Climate", "The twelve months"),
    Listed("Year", "How much heat by month, and how many cords?"),
    Listed("Money", "What do today's fuels cost, and what does the wood save?"),
    Listed(CHARTS, "The same to look at", lambda writer, built: write_charts(writer, built.context, built.sizing)),
    Listed("Cautions", "What can hurt, and what comes first", lambda writer, built: write_cautions(writer, built.book.system)),
    Listed(
        "Tables",
        "The figures of tubes, soils, woods, fuels and liquids that are calculated with, each with its source",
        lambda writer, built: write_tables(writer, built.book.system, built.context.inputs.symbol),
    ),
    Listed(
        "Sources",
        "Where each function comes from",
        lambda writer, built: write_sources(writer, built.book, dict(hydrocalc.catalogue())),
    ),
    Listed("Functions", "The functions that any cell can call", lambda writer, built: write_function_list(writer, built.book.system)),
    Listed("Scratch", "Room for figures of your own", lambda writer, built: write_scratch(writer)),
)


def listed(built: Built) -> list[tuple[str, str]]:
    """The sheets of a book but the first, each with what it answers."""
    return [(sheet.name, sheet.answers) for sheet in SHEETS[1:] if sheet.name != "Audit" or built.audit]


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
    sizing = make_sizing(context)
    checks = make_checks(context, sizing)
    book.sheets[CHARTS].begin_below(top_of_charts(len(context.runs.labels)))
    book.sheets[VERDICTS].begin_below(top_of_verdicts(checks))
    return Built(job, context, sizing, checks)


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
