"""All inputs of a job as a book holds them: one line each, in the units of the book, and the references by which sheets fetch them."""

from __future__ import annotations

from typing import Any

import numpy as np

from hydrocalc.measures import Key, Measure, System
from workbook_builder.table import vocabulary
from workbook_builder.table.job import Job
from workbook_builder.table.vocabulary import NAME, Item

from .input_line import InputLine
from .input_references import Input, JobInput
from .needs import Needs

FIRST_ROW = 5  # of the sheet Inputs, counted from 1; the headings of the table stand in the row above
TEXT = Key("", "")


def rounded(value: float) -> float:
    """Twelve significant digits: what was typed comes back as it was typed after two conversions."""
    return float(f"{value:.12g}")


class Inputs:
    """All inputs of a job in the units of a book, by part and item."""

    def __init__(self, job: Job, system: System) -> None:
        self.job, self.system = job, system
        self.lines: list[InputLine] = []
        row = FIRST_ROW
        for part in job.parts():
            for item in job.items_of(part):
                self.lines.append(self._line(row, part, item))
                row += 1
        self.by_key = {line.key: line for line in self.lines}
        self.needs = Needs(self.lines)

    @property
    def last_row(self) -> int:
        """The row after the last line: ranges include it, so that lines can be added before it."""
        return FIRST_ROW + len(self.lines)

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

    def _line(self, row: int, part: str, item: Item) -> InputLine:
        entry = self.job.entry(part, item.name)
        typed = self._trade(item, entry.value) if entry.given else None
        if item.name == NAME and part not in vocabulary.SINGLE:
            typed = vocabulary.name_of(part)
        default = self._default(item)
        used = typed if typed is not None else default
        if item.kinds and self.job.kind_of(part) is None:
            used = None  # what goes with some kinds only is blank while the kind is not known
        unit = self.symbol(item.measure, part)
        source = item.source or item.otherwise
        low, high = (self._trade(item, end) for end in (entry.low, entry.high))
        return InputLine(row, part, item, typed, used, unit, entry.note, default, source, low, high)  # type: ignore[arg-type]

    def _trade(self, item: Item, value: float | str | None) -> float | str | None:
        if item.measure is None or not isinstance(value, float):
            return value
        return rounded(float(item.measure.unit(self.system).from_coherent(value)))

    def _default(self, item: Item) -> float | str | None:
        default = item.printed_default(self.system)
        return rounded(default) if isinstance(default, float) else default

    # -- references for the sizing sheets

    def job_input(self, part: str, item: str) -> JobInput:
        """An input of the whole job, as a defined name."""
        line = self.by_key[f"{part}|{item}"]
        return JobInput(part, item, _kind(line.item), _blank_if_none(line.used, line.item))

    def kind_test(self, line: InputLine) -> str:
        """The test that an item goes with the kind of its load; empty where the kind is fixed or makes no difference."""
        if not line.item.kinds or self.job.kind_of(line.part) is not None:
            return ""
        cell = f"C{self.by_key[f'{line.part}|kind'].row}"
        tests = [f'{cell}="{kind}"' for kind in line.item.kinds]
        return tests[0] if len(tests) == 1 else f"OR({','.join(tests)})"

    def name_cell(self, part: str) -> str:
        """The cell in which a run, a load or a fuel is named; relative, so that a copy of a part's rows follows its own."""
        return f"C{self.by_key[f'{part}|{NAME}'].row}"

    def headings(self, family: str, names: tuple[str, ...]) -> list[str]:
        """The names at the heads of columns, as references to the cells in which they are typed."""
        lines = [self.by_key.get(f"{family} {name}|{NAME}") for name in names]
        return [f"=Inputs!$C${line.row}" if line else "" for line in lines]

    def of(self, family: str, names: tuple[str, ...], item: str) -> Input:
        """An item of each run or load, fetched by the name at the head of the column."""
        known = vocabulary.item(family, item)
        lines = [self.by_key.get(f"{family} {name}|{item}") for name in names]
        used = tuple(_blank_if_none(line.used if line else None, known) for line in lines)
        return Input(family, item, _kind(known), names, used)


def _kind(item: Item) -> Measure | Key:
    return item.measure or TEXT


def _blank_if_none(value: float | str | None, item: Item) -> Any:
    if value is None:
        return np.nan if item.measure else ""
    return value
