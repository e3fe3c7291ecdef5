"""All inputs of a job as a book holds them: one line each, in the units of the book, and the references by which sheets fetch them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from hydrocalc.measures import Key, Measure, System
from workbook_builder.table import vocabulary
from workbook_builder.table.job import Job
from workbook_builder.table.vocabulary import NAME, Item

from .input_line import InputLine
from .input_references import Input, JobInput, input_name
from .needs import Needs
from .rows import column_letters
from .typed_sheets import JOB, SHEET_OF, column_of, name_row, row_of
from .typed_value import rounded

TEXT = Key("", "")


class Inputs:
    """All inputs of a job in the units of a book, by part and item."""

    def __init__(self, job: Job, system: System) -> None:
        self.job, self.system = job, system
        families = {"fuel today": job.fuels, "run": job.runs, "load": in_the_waters_order(job)}
        self.names = {family: tuple(names) for family, names in families.items()}
        self.lines = [self._line(part, index, item) for part, index in self._parts() for item in vocabulary.items(vocabulary.family(part))]
        self.by_key = {line.key: line for line in self.lines}
        self.needs = Needs(self.lines, self.names)

    def _parts(self) -> Iterator[tuple[str, int]]:
        """Every part of the job, with its place among those of its family."""
        for family in SHEET_OF:
            if family in self.names:
                yield from ((f"{family} {name}", index) for index, name in enumerate(self.names[family]))
            else:
                yield family, 0

    @property
    def ranges_row(self) -> int:
        """The row of the heading of the uncertain inputs, below all else on Job."""
        return self.needs.rows[JOB][-1].number + 4

    @property
    def currency(self) -> str:
        return str(self.job.value("job", "currency"))

    def symbol(self, kind: Measure | Key | None, part: str = "") -> str:
        """The trade unit as a book prints it, with the job's currency and the unit in which a fuel is sold."""
        if not isinstance(kind, Measure):
            return ""
        symbol = kind.unit(self.system).symbol
        if symbol in ("–", ""):
            return ""
        if part.startswith("fuel today ") and "unit" in symbol:
            from hydrocalc.tables import table

            fuels = table("fuels")
            fuel = self.job.value(part, "fuel")
            if isinstance(fuel, str):
                symbol = symbol.replace("unit", fuels.texts("unit")[fuels.row(fuel)])
        return symbol.replace("currency", self.currency).replace("$", self.currency)

    def _line(self, part: str, index: int, item: Item) -> InputLine:
        entry = self.job.entry(part, item.name)
        typed = self._trade(item, entry.value) if entry.given else None
        if item.name == NAME and part not in vocabulary.SINGLE:
            typed = vocabulary.name_of(part)
        default = self.default(item)
        used = typed if typed is not None else default
        if not item.serves(self.job.kind_of(part)):
            used = None  # of another kind, or of no kind yet
        family = vocabulary.family(part)
        low, high = (self._trade(item, end) for end in (entry.low, entry.high))
        return InputLine(
            SHEET_OF[family],
            row_of(family, item.name),
            column_of(index),
            part,
            item,
            typed,
            used,
            self.symbol(item.measure, part),
            entry.note,
            default,
            item.source or item.otherwise,
            low,  # type: ignore[arg-type]
            high,  # type: ignore[arg-type]
        )

    def _trade(self, item: Item, value: float | str | None) -> float | str | None:
        if item.measure is None or not isinstance(value, float):
            return value
        return rounded(float(item.measure.unit(self.system).from_coherent(value)))

    def default(self, item: Item) -> float | str | None:
        default = item.printed_default(self.system)
        return rounded(default) if isinstance(default, float) else default

    def used_address(self, key: str) -> str:
        """Where a formula of any sheet finds an item: its defined name, or the cell in which it is typed."""
        line = self.by_key[key]
        if line.part in vocabulary.SINGLE:
            return input_name(line.part, line.item.name)
        return f"{line.sheet}!${column_letters(line.column)}${line.row}"

    # -- references for the sizing sheets

    def job_input(self, part: str, item: str) -> JobInput:
        """An input of the whole job, as a defined name."""
        line = self.by_key[f"{part}|{item}"]
        return JobInput(part, item, _kind(line.item), _blank_if_none(line.used, line.item))

    def headings(self, family: str, names: tuple[str, ...]) -> list[str]:
        """The names at the heads of columns, as references to the cells in which they are typed."""
        if family not in SHEET_OF or not self.names[family]:
            return ["" for _ in names]
        sheet, row = SHEET_OF[family], name_row(family)
        return [f"={sheet}!{column_letters(column_of(index))}${row}" for index in range(len(names))]

    def of(self, family: str, names: tuple[str, ...], item: str) -> Input:
        """An item of each run or load, fetched by the name at the head of the column."""
        known = vocabulary.item(family, item)
        lines = [self.by_key.get(f"{family} {name}|{item}") for name in names]
        # The column of a job without fuels is no part, and its empty cells take the defaults all the same.
        used = tuple(_blank_if_none(line.used if line else self.default(known), known) for line in lines)
        return Input(family, item, _kind(known), names, used, self.system)


def _kind(item: Item) -> Measure | Key:
    return item.measure or TEXT


def _blank_if_none(value: float | str | None, item: Item) -> Any:
    if value is None:
        return np.nan if item.measure else ""
    return value


def in_the_waters_order(job: Job) -> tuple[str, ...]:
    """Run by run: a station takes over the water of the column to its left, so the loads of a run stand together."""
    place = {run: n for n, run in enumerate(job.runs)}
    # In a blank book no load has its run yet.
    return tuple(sorted(job.loads, key=lambda load: place.get(str(job.value(f"load {load}", "run")), len(place))))
