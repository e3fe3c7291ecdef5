"""Hourly weather of a typical year: the two TMY3 files (NREL, public domain) that the pvlib package ships."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import numpy as np
import pvlib
from numpy.typing import NDArray

FOLDER = Path(pvlib.__file__).parent / "data"
STATIONS = ("723170TYA.CSV", "703165TY.csv")  # Greensboro, North Carolina, and Sand Point, Alaska


@cache
def air(name: str) -> dict[int, NDArray[np.float64]]:
    """The air temperature in °C by month: days down, the 24 hours of the file's own dates across."""
    days: dict[str, list[float]] = {}
    with (FOLDER / name).open(encoding="ascii", newline="") as file:
        next(file)  # the station
        for row in csv.DictReader(file):
            days.setdefault(row["Date (MM/DD/YYYY)"], []).append(float(row["Dry-bulb (C)"]))
    months: dict[int, list[list[float]]] = {}
    for date, hours in days.items():
        assert len(hours) == 24
        months.setdefault(int(date[:2]), []).append(hours)
    assert sum(map(len, months.values())) == 365
    return {m: np.array(v) for m, v in sorted(months.items())}


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) * 5.0 / 9.0


def daily(name: str, base: float) -> dict[int, float]:
    """Degree days of each month from the means of its days, in K day."""
    return {m: float(np.maximum(base - v.mean(axis=1), 0.0).sum()) for m, v in air(name).items()}


def hourly(name: str, base: float) -> float:
    """Degree days of the year from its hours, in K day."""
    return float(sum(np.maximum(base - v, 0.0).sum() for v in air(name).values())) / 24.0
