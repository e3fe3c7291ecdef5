"""Facts of the tables, read from their files without hydrocalc: numbers in coherent units, found by their keys."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

TABLES = Path(__file__).parent.parent.parent / "hydrocalc" / "tables"
BTU, POUND, FOOT, RANKINE = 1055.05585262, 0.45359237, 0.3048, 5.0 / 9.0
DAY, HOUR = 86400.0, 3600.0
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

_SCALES = {
    ("Fraction", "us"): 0.01,
    ("Bore", "metric"): 1e-3,
    ("HeatingValue", "us"): BTU / POUND,
    ("FuelEnergy", "us"): BTU,
    ("VolumePerLength", "metric"): 1e-3,
    ("Count", "metric"): 1.0,
}


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of a table, their headings as printed."""
    with (TABLES / f"{name}.csv").open(encoding="utf-8", newline="") as stream:
        return tuple(csv.DictReader(stream))


@cache
def fact(name: str, column: str, *keys: str) -> float | None:
    """A number of the row that begins with these keys; None where the table has none."""
    for row in rows(name):
        if tuple(row.values())[: len(keys)] == keys:
            heading = next(h for h in row if h.split(":")[0] == column)
            _, measure, system = heading.split(":")
            scale = 1.0 if system == "coherent" else _SCALES[measure, system]
            return float(row[heading]) * scale if row[heading] else None
    raise KeyError((name, *keys))


def number(name: str, column: str, *keys: str) -> float:
    """A number that is there."""
    found = fact(name, column, *keys)
    if found is None:
        raise KeyError((name, column, *keys))
    return found


def sizes(family: str) -> list[str]:
    """The sizes of a family of tubes, the smallest first."""
    return [row["size"] for row in rows("tubes") if row["family"] == family]


def middle_day(month: int) -> int:
    """The day of an ordinary year in the middle of a month, rounded up."""
    return sum(MONTH_DAYS[:month]) + (MONTH_DAYS[month] + 1) // 2


def in_season(month: int, first: str, last: str) -> bool:
    """True from the first to the last month, which may be past the turn of the year."""
    a, b = MONTHS.index(first), MONTHS.index(last)
    return (month - a) % 12 <= (b - a) % 12
