"""The published check values: rows of ``shared/published/*.csv`` as tests need them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent.parent / "shared" / "published"


@dataclass(frozen=True)
class Row:
    """One check value: what, from which inputs, how exact, and where it was printed."""

    id: str
    quantity: str
    inputs: dict[str, str]
    expected: str
    unit: str
    tolerance: float
    source: str
    status: str

    @property
    def value(self) -> float:
        return float(self.expected)

    def number(self, name: str) -> float:
        return float(self.inputs[name])


def rows(name: str, *quantities: str) -> list[Row]:
    """The rows of one file with one of these quantities (all, if none is named), in the file's order."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        found = [
            Row(
                r["id"],
                r["quantity"],
                dict(pair.split("=", 1) for pair in r["inputs"].split(";") if "=" in pair),
                r["expected"],
                r["unit"],
                float(r["tolerance_rel"] or 0),
                r["source"],
                r["status"],
            )
            for r in csv.DictReader(file)
        ]
    return [r for r in found if not quantities or r.quantity in quantities]


def each(name: str, *quantities: str) -> pytest.MarkDecorator:
    """Parametrize a test over rows, each named by its id."""
    picked = rows(name, *quantities)
    assert picked, f"no row of {name} is about {quantities}"
    return pytest.mark.parametrize("row", picked, ids=[r.id for r in picked])
