"""Books of the samples for tests: built and written once, with ways to change their inputs and their tables."""

from __future__ import annotations

import copy
import csv
import functools
import re
import tempfile
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import engines
import numpy as np
import openpyxl

from hydrocalc.measures import TEMPERATURE, Measure, System
from workbook_builder.build import Built, build, write_book
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.worksheet import Book
from workbook_builder.table.job import Job
from workbook_builder.table.reader import job_from_rows, read_job
from workbook_builder.table.rows import TableRow

ROOT = Path(__file__).parent.parent
SAMPLES = tuple(sorted((ROOT / "samples").glob("*.csv")))
SYSTEMS: tuple[System, ...] = ("us", "metric")
FULL = next(s for s in SAMPLES if s.stem == "ridge-orchard")  # runs on runs, loads of every kind

TableRecord = tuple[str, str, str | float, str, str]


@dataclass(frozen=True)
class Written:
    """A built job and the file it was written to."""

    built: Built
    path: Path


@functools.cache
def folder() -> Path:
    """Where books stand that several tests read."""
    keeper = tempfile.TemporaryDirectory(prefix="books-")
    _keepers.append(keeper)
    return Path(keeper.name)


_keepers: list[tempfile.TemporaryDirectory[str]] = []  # they clear up when the tests end


FALSE = -1.0
_STORED = re.compile(rb'(<c [^>]*?)(?: t="\w+")?(><f[^>]*>[^<]*</f>)<v>[^<]*</v>')


@functools.cache
def written(sample: Path, system: System, false: bool = False) -> Written:
    """The book of a sample; or its twin, in which every formula cell has a false value stored."""
    if false:
        return Written(built(sample, system), twin(written(sample, system).path, folder() / f"{sample.stem}-{system}-twin.xlsx"))
    path = folder() / f"{sample.stem}-{system}.xlsx"
    write_book(built(sample, system), path)
    return Written(built(sample, system), path)


def twin(book: Path, path: Path) -> Path:
    """A copy with a false value in every formula cell."""
    with zipfile.ZipFile(book) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as new:
        for name in old.namelist():
            data = old.read(name)
            new.writestr(name, _STORED.sub(rb"\1\2<v>-1</v>", data) if name.startswith("xl/worksheets/") else data)
    return path


@functools.cache
def built(sample: Path, system: System) -> Built:
    """The worked job of a sample, for tests that change nothing in it."""
    return build(read_job(sample), system)


@functools.cache
def stored(path: Path) -> engines.Cells:
    """The stored values of all formula cells of a file of ours, blank ones included."""
    return engines.stored_values(path)


def write_job(rows: Iterable[TableRecord], system: System, path: Path) -> Written:
    """The book of a table that stands in no file."""
    table = [TableRow(n, part, item, value, unit, note) for n, (part, item, value, unit, note) in enumerate(rows, 2)]
    worked = build(job_from_rows("table.csv", table), system)
    write_book(worked, path)
    return Written(worked, path)


def table_of(sample: Path) -> list[TableRecord]:
    """The rows of a sample as they stand in its file."""
    with sample.open(encoding="utf-8", newline="") as stream:
        return [(r["part"], r["item"], r["value"], r["unit"], r["note"] or "") for r in csv.DictReader(stream)]


def save_as_workbook(rows: Sequence[TableRecord], path: Path) -> Path:
    """The same table as a plain sheet, numbers as numbers, as somebody types it in an office program."""
    book = openpyxl.Workbook()
    sheet: Any = book.active
    sheet.append(["part", "item", "value", "unit", "note"])
    for part, item, value, unit, note in rows:
        sheet.append([part, item, _number_or_text(value), unit, note])
    book.save(path)
    return path


def _number_or_text(value: str | float) -> str | float:
    try:
        return float(value)
    except ValueError:
        return value


def table_in_book(book: Written, changes: Iterable[tuple[InputLine, float | str]] = ()) -> list[TableRecord]:
    """The input table as the typed sheets of the book show it, in the book's units, with other values typed over some."""
    changed = {line.key: value for line, value in changes}
    shown = ((line, changed.get(line.key, line.typed)) for line in book.built.context.inputs.lines)
    return [(line.part, line.item.name, value, line.unit, line.note) for line, value in shown if value is not None]


@functools.lru_cache(maxsize=2)
def _opened(source: Path) -> Any:
    """A book open in IronCalc; who types into it puts back what stood there."""
    import ironcalc

    return ironcalc.load_from_xlsx(str(source), "en", "UTC", "en")


def retyped_in_ironcalc(source: Path, lines: Iterable[tuple[InputLine, float | str]]) -> engines.Cells:
    """All cells of a book after values have been typed over inputs in IronCalc."""
    model, typed = _opened(source), list(lines)
    sheets = engines.sheet_numbers(model)
    for line, value in typed:
        model.set_user_input(sheets[line.sheet], line.row, line.column + 1, repr(value) if isinstance(value, float) else value)
    found = engines.values_of_model(model)
    for line, _ in typed:
        put_back = repr(line.typed) if isinstance(line.typed, float) else f"'{line.typed}" if line.typed else ""
        model.set_user_input(sheets[line.sheet], line.row, line.column + 1, put_back)
    return found


def in_both_systems(job: Job) -> tuple[Built, Built]:
    """The books of a job in both unit systems, of the same figures: of a default that is a round figure in each the US one is given."""
    same = copy.copy(job)
    same.entries = dict(job.entries)
    for part in job.parts():
        for item in job.items_of(part):
            if item.metric_default is not None and not job.given(part, item.name):
                same.entries[part, item.name] = replace(job.entry(part, item.name), given=True)
    us, metric = (build(same, system) for system in SYSTEMS)
    return us, metric


def largest_by_measure(book: Book) -> dict[str, float]:
    """The largest figure of each measure in a book: what a difference of two such figures is to be judged by."""
    found: dict[str, float] = {}
    for row in book.order:
        if isinstance(row.kind, Measure):
            finite = np.abs(row.kind.unit(book.system).to_coherent(book.values[row]))
            found[row.kind.name] = max(found.get(row.kind.name, 0.0), float(np.max(finite[np.isfinite(finite)], initial=0.0)))
    return found


# What is proposed in whole steps of a system's own units: 5 gal or 10 L.  What it is rounded from is compared.
IN_STEPS = ("Buffer to order", "Firing time at half load: figure", "Cycles an hour at half load: figure")


def differences_between_systems(us: Book, metric: Book) -> list[str]:
    """Rows of the same job's books in the two unit systems that do not agree after conversion.

    1e-6 of the figure itself (constants are sealed to nine digits in each system), or, for what is left where figures
    cancel, 1e-9 of the largest figure of that measure; temperatures by their absolute value.
    """
    largest, found = largest_by_measure(us), []
    for a, b in zip(us.order, metric.order, strict=True):
        place, first, second = f"{a.sheet.name}, {a.label}", us.values[a], metric.values[b]
        if (a.sheet.name, a.number, a.label, a.kind) != (b.sheet.name, b.number, b.label, b.kind):
            found.append(f"{place}: is {b.sheet.name}, {b.label} in the metric book")
        elif a.label in IN_STEPS or a.label.endswith(": remedy"):
            continue
        elif a.label.startswith("Verdict (") or a.label.endswith(": code"):
            # What comes to the code tells of two columns which lies further beyond the limit, in the unit of the book.
            if not np.array_equal(np.round(first), np.round(second), equal_nan=True):
                found.append(f"{place}: {first} and {second}")
        elif isinstance(a.kind, Measure):
            first, second = a.kind.us.to_coherent(first), a.kind.metric.to_coherent(second)
            least = 1e-6 * 273.15 if a.kind is TEMPERATURE else 1e-9 * max(largest[a.kind.name], 1e-3)
            if not np.allclose(first, second, rtol=1e-6, atol=least, equal_nan=True):
                found.append(f"{place}: {first} and {second}")
        elif first.tolist() != second.tolist():
            found.append(f"{place}: {first} and {second}")
    return found
