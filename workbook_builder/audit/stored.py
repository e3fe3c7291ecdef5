"""Stored values of a given book against what their formulas give from the stored values that they read."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import Any

import numpy as np

from workbook_builder.build import Built
from workbook_builder.model.base import Values
from workbook_builder.model.rows import Row
from workbook_builder.model.typed_sheets import DEFAULT, USED
from workbook_builder.model.worksheet import BuildError
from workbook_builder.table.vocabulary import SINGLE

from .alignment import Layout
from .cells import Cell, CellKey, same_value
from .changes import Edits, shown_value

STORED = 1e-7  # relative: another engine may round the last digits otherwise

CANCELLED = 1e-10  # of the largest figure that a formula reads: what rounding leaves where figures cancel

Place = tuple[str, int, int]  # sheet, row and column in the fresh book


class Stored:
    """What a given book stores, and what it should.

    A stored value is right if its formula gives it from the stored values that it reads, or if it is what a fresh book
    has.  Cells that were changed (``touched``), and what reads a table that was, are left alone.
    """

    def __init__(self, built: Built, layout: Layout, touched: Collection[Place], tables: Collection[str]) -> None:
        self.built, self.layout, self.touched, self.tables = built, layout, touched, tables

    def compare(self, edits: Edits) -> None:
        """Note every stored value that is not what its formula gives."""
        formulas = [c for cells in self.layout.theirs.sheets.values() for c in cells.values() if c.formula]
        if formulas and all(c.value is None for c in formulas):
            edits.remarks.append(
                f"the file holds no values for its {len(formulas):,} formulas (it was saved by a program that does not work them out); "
                "stored values were not compared"
            )
            return
        edited = bool(edits.found)
        values: Values | None = None
        for (sheet, row, column), ours, (their_row, their) in self._formulas():
            if same_value(ours.value, their.value, STORED):
                continue
            values = values or self._values()
            expected = self._expected(sheet, row, column, ours, their, values, edited)
            if expected is not None and not same_value(expected.value, their.value, STORED, self._rounding(sheet, row, column, values)):
                what = self.layout.cell_name(sheet, row, column)
                told = f"the file stores {shown_value(their.value)}, but the formula gives {shown_value(expected.value)}"
                edits.note(self.layout.place(sheet, their_row, column), "stored value", f"{what}: {told}" if what else told)

    def _formulas(self) -> Iterator[tuple[Place, Cell, tuple[int, Cell]]]:
        """Every formula that was left as it was: its place, the fresh cell, the row of the given book and its cell."""
        for sheet in self.layout.there():
            theirs = self.layout.cells(sheet)
            for (row, column), ours in sorted(self.layout.fresh.sheets[sheet].items()):
                their_row = self.layout.row(sheet, row)
                if not ours.formula or their_row is None or (sheet, row, column) in self.touched:
                    continue
                their = theirs.get((their_row, column), Cell())
                if their.formula:
                    yield (sheet, row, column), ours, (their_row, their)

    def _values(self) -> Values:
        """The values of all worked lines as the file stores them."""
        inputs: dict[str, Any] = {}
        for line in self.built.context.inputs.lines:
            columns = [USED] if line.part in SINGLE else []
            columns += [DEFAULT] if line.typed is None else []  # what stands in where nothing is typed
            for column in columns:
                if (line.sheet, line.row, column + 1) in self.touched:
                    row = self.layout.row(line.sheet, line.row) or line.row
                    cell = self.layout.cells(line.sheet).get((row, column + 1), Cell())
                    blank: Any = np.nan if line.item.measure is not None else ""
                    inputs[line.key] = blank if cell.value in (None, "") else cell.value
                    break
        values = Values(self.built.book.values, inputs=inputs)
        for worked in self.built.book.order:
            theirs = self.layout.cells(worked.sheet.name)
            number = self.layout.row(worked.sheet.name, worked.number)
            if not theirs or number is None or not worked.formula:
                continue
            read = [theirs.get((number, worked.first_column + 1 + i), Cell()).value for i in range(len(worked.axis.labels))]
            if worked.is_text:
                values[worked] = np.array(["" if v is None else str(v) for v in read], dtype=object)
            else:
                values[worked] = np.array([v if isinstance(v, float) else np.nan for v in read])
        return values

    def _expected(self, sheet: str, row: int, column: int, ours: Cell, their: Cell, values: Values, edited: bool) -> Cell | None:
        """What a cell should hold given what the file stores elsewhere; None where that cannot be told."""
        worked = self.layout.worked.get((sheet, row, column))
        if worked is not None and worked.formula:
            if any(t and t in their.formula for t in self.tables) or not self._sound(worked):
                return None
            try:
                result = self.built.book.computed(worked, values)
            except BuildError:
                return None
            value = result[column - 1 - worked.first_column]
            return Cell(value=str(value)) if worked.is_text else Cell(value=None if np.isnan(value) else float(value))
        match = re.fullmatch(r"=(\w+)!\$?([A-Z]+)\$?(\d+)", their.formula)
        if match is not None and match[1] in self.layout.theirs.sheets:
            return self.layout.theirs.sheets[match[1]].get(_key(match[2], match[3]), Cell())
        return None if edited else ours

    def _rounding(self, sheet: str, row: int, column: int, values: Values) -> float:
        """How far rounding may move a line that is a difference of large figures."""
        worked = self.layout.worked.get((sheet, row, column))
        if worked is None:
            return 0.0
        read = [np.abs(values[r]) for r in self.built.book.reads(worked)[0] if not r.is_text and r in values]
        return CANCELLED * max((float(np.max(v[np.isfinite(v)], initial=0.0)) for v in read), default=0.0)

    def _sound(self, row: Row) -> bool:
        """False where a row that this one reads is gone, so that its formula reads something else."""
        return not any(
            read.sheet.name in self.layout.gone or (read.number and self.layout.row(read.sheet.name, read.number) is None)
            for read in self.built.book.reads(row)[0]
        )


def _key(letters: str, row: str) -> CellKey:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return int(row), number
