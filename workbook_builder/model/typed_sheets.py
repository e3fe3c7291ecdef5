"""The sheets that are typed into: which item stands in which row, and which run, load or fuel in which column.

A run, a load or a fuel is a column and keeps its letter on every sheet of its axis, so that a formula reads its input by a plain
reference.  The items that a first answer needs stand at the head of each block, all others folded below them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from workbook_builder.table import vocabulary
from workbook_builder.table.vocabulary import NAME, Item

from .rows import FIRST_COLUMN, HEADING_ROW

JOB, RUNS, LOADS = "Job", "Runs", "Loads"
TYPED_SHEETS = (JOB, RUNS, LOADS)
ITEM, UNIT, DEFAULT = range(3)  # the columns before the typed ones
STATUS_ROW = HEADING_ROW + 1  # what is still needed
USED = FIRST_COLUMN + 1  # on Job: what is used of an item that stands once
MORE = "more, with defaults"
SOLD_IN = "sold by the"  # the unit of the fuel that is chosen above
FAMILIES = {
    JOB: ("job", "site", "liquid", "boiler", "wood", "fuel today", "money", "limits"),
    RUNS: ("run",),
    LOADS: ("load",),
}
SHEET_OF = {family: sheet for sheet, families in FAMILIES.items() for family in families}


@dataclass(frozen=True)
class TypedRow:
    """One row of a typed sheet: an item, or the heading of a block, or the line below which the further items are folded."""

    number: int
    family: str
    item: Item | None = None
    heading: str = ""
    folded: bool = False


@cache
def typed_rows(sheet: str) -> tuple[TypedRow, ...]:
    """The rows of a typed sheet, from the top down; the same in every book."""
    return tuple(_rows(sheet))


def _rows(sheet: str) -> Iterator[TypedRow]:
    number = STATUS_ROW
    for family in FAMILIES[sheet]:
        items = [i for i in vocabulary.items(family) if not is_at_the_head(i)]
        for block in dict.fromkeys(i.block for i in items):
            number += 1
            yield TypedRow(number, family, heading=block)
            of_block = [i for i in items if i.block == block]
            for item in (i for i in of_block if i.first):
                number += 1
                yield TypedRow(number, family, item)
                if item.part == "fuel today" and item.name == "fuel":
                    number += 1
                    yield TypedRow(number, family, heading=SOLD_IN)
            further = [i for i in of_block if not i.first]
            if further:
                number += 1
                yield TypedRow(number, family, heading=MORE)
            for item in further:
                number += 1
                yield TypedRow(number, family, item, folded=True)


def is_at_the_head(item: Item) -> bool:
    """The name of a run or a load stands at the head of its column; a fuel's, on a sheet of many parts, in a row of its own."""
    return item.name == NAME and item.part in ("run", "load")


@cache
def _places() -> dict[tuple[str, str], int]:
    found = {(family, NAME): HEADING_ROW for family in ("run", "load")}
    for sheet in TYPED_SHEETS:
        found |= {(row.family, row.item.name): row.number for row in typed_rows(sheet) if row.item is not None}
    return found


def row_of(family: str, item: str) -> int:
    """The row in which an item of a part is typed, on the sheet of its part."""
    return _places()[family, item]


@cache
def last_row(sheet: str) -> int:
    """The last row in which an item stands."""
    return typed_rows(sheet)[-1].number


def name_row(family: str) -> int:
    """The row in which runs, loads or fuels are named."""
    return row_of(family, NAME)


def column_of(index: int) -> int:
    """The column of the run, load or fuel of that place; what stands once in a job is typed in the first."""
    return FIRST_COLUMN + index
