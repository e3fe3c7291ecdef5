"""The rows of the input table out of a book of ours: its sheets Job, Runs and Loads, a run, a load or a fuel a column.

Rows and columns are found by what they are called, so that nothing depends on where somebody moved them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from . import vocabulary
from .rows import Cell, TableRow, refuse
from .vocabulary import NAME

JOB, RUNS, LOADS = "Job", "Runs", "Loads"
SHEETS = (JOB, RUNS, LOADS)
ITEM, UNIT, DEFAULT, VALUE, LOWEST = "item", "unit", "default", "value", "lowest"
CHECKS, RANGES = "What is still needed", "Uncertain inputs"
_HEADING_ROWS = 60
_FAMILY = {RUNS: "run", LOADS: "load"}


def is_grid(titles: set[str]) -> bool:
    """True for a book with our three typed sheets."""
    return set(SHEETS) <= titles


def grid_rows(file: str, sheets: Mapping[str, Any], cell: Callable[[Any], Cell]) -> list[TableRow]:
    """What is typed on the three sheets, part by part.

    sheets: each as cells by row and column, counted from 1; cell: what counts as the content of one
    """
    rows: list[TableRow] = []
    for title in SHEETS:
        rows += _Grid(file, title, sheets[title], cell).rows()
    ranges = _ranges(sheets[JOB], cell)
    found = []
    for row in rows:
        _, low, high = ranges.pop((row.part.casefold(), row.item), (0, "", ""))
        further = {name: end for name, end in (("low", low), ("high", high)) if str(end).strip()}
        found.append(TableRow(row.number, row.part, row.item, row.value, row.unit, row.note, further) if further else row)
    for (part, item), (number, low, high) in ranges.items():  # of an item that is not typed: said by the reader
        found.append(TableRow(number, part, item, "", "", "", {"low": low, "high": high}))
    return found


@dataclass
class _Grid:
    """One typed sheet."""

    file: str
    title: str
    cells: Mapping[tuple[int, int], Any]
    content: Callable[[Any], Cell]
    head: int = 0
    columns: dict[str, int] = field(default_factory=dict)

    def rows(self) -> list[TableRow]:
        self._find_head()
        by_part: dict[tuple[int, str], list[TableRow]] = {}
        for number, family, item in self._items():
            for part, column in self._parts(family):
                value = self._at(number, column)
                if not str(value).strip():
                    continue
                note = getattr(getattr(self.cells.get((number, column)), "comment", None), "text", None) or ""
                unit = str(self._at(number, self.columns[UNIT])) if vocabulary.item(family, item).measure is not None else ""
                by_part.setdefault((column, part), []).append(TableRow(number, part, item, value, unit, note.strip()))
        return [row for _, rows in sorted(by_part.items()) for row in self._of_its_kind(rows)]

    def _at(self, row: int, column: int) -> Cell:
        cell = self.cells.get((row, column))
        return "" if cell is None else self.content(cell)

    def _find_head(self) -> None:
        for row in range(1, _HEADING_ROWS):
            words = {str(self._at(row, column)).strip().casefold(): column for column in range(self._last_column, 0, -1)}
            if words.keys() >= {ITEM, UNIT, DEFAULT, LOWEST}:
                self.head, self.columns = row, words
                return
        raise refuse(self.file, f"sheet {self.title} has no row with the headings Item, Unit, Default and Lowest any more")

    @property
    def _last_column(self) -> int:
        return max((column for _, column in self.cells), default=0)

    def _items(self) -> Iterator[tuple[int, str, str]]:
        """Row, family and item of each row of the grid."""
        family = _FAMILY.get(self.title, "")
        blocks = {i.block.casefold(): f for f, items in vocabulary.vocabulary().items() for i in items.values()}
        for row in range(self.head + 1, max((r for r, _ in self.cells), default=0) + 1):
            label = str(self._at(row, self.columns[ITEM])).strip()
            if label == CHECKS:
                return
            if self.title == JOB and label.casefold() in blocks and label[:1].isupper():
                family = blocks[label.casefold()]
            elif family and label in vocabulary.vocabulary()[family]:
                yield row, family, label

    def _parts(self, family: str) -> Iterator[tuple[str, int]]:
        """The part of each typed column, and the column."""
        if family in vocabulary.SINGLE:
            yield family, self.columns[VALUE]
            return
        names = self.head if self.title != JOB else self._name_row()
        for column in range(self.columns[DEFAULT] + 1, self.columns[LOWEST]):
            yield f"{family} {str(self._at(names, column)).strip()}".strip(), column

    def _name_row(self) -> int:
        return next((row for row, family, item in self._items() if item == NAME), self.head)

    @staticmethod
    def _of_its_kind(rows: list[TableRow]) -> list[TableRow]:
        """Without what the kind of a load does not use: it is greyed on the sheet, and no other sheet reads it."""
        kind = next((str(row.value).strip().casefold() for row in rows if row.item == "kind"), None)
        family = vocabulary.family(rows[0].part) if " " in rows[0].part or rows[0].part in vocabulary.SINGLE else None
        if family != "load" or kind not in vocabulary.KINDS:
            return rows
        return [row for row in rows if vocabulary.item("load", row.item).serves(kind)]


def _ranges(cells: Mapping[tuple[int, int], Any], content: Callable[[Any], Cell]) -> dict[tuple[str, str], tuple[int, Cell, Cell]]:
    """The row, the low and the high end of each uncertain input, by part and item."""

    def at(row: int, column: int) -> Cell:
        cell = cells.get((row, column))
        return "" if cell is None else content(cell)

    last = max((row for row, _ in cells), default=0)
    top = next((row for row in range(1, last + 1) if str(at(row, 1)).strip() == RANGES), None)
    found: dict[tuple[str, str], tuple[int, Cell, Cell]] = {}
    if top is None:
        return found
    width = max(column for _, column in cells)
    ends = {str(at(top, column)).strip().casefold(): column for column in range(width, 0, -1)}
    for row in range(top + 1, last + 1):
        low, high = (at(row, ends[end]) if end in ends else "" for end in ("low", "high"))
        if str(low).strip() or str(high).strip():
            part, _, item = str(at(row, 1)).strip().casefold().rpartition(",")
            found[part.strip(), item.strip()] = row, low, high
    return found
