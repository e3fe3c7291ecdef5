"""Degree days of a place whose months are given: their own spread about the year is taken, not that of an inland year."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import logistic
from test_usage import DAYS, MONTHS
from test_verdicts import SOUND

from workbook_builder.build import Built, build
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

# A mild coast, invented: 5 °C in January to 17 °C in July, as a cosine.
COAST = [11.0 - 6.0 * float(np.cos(2 * np.pi * month / 12)) for month in range(12)]
BASE = (55 - 32) / 1.8


def _built(means: list[float] | None) -> Built:
    lines = {**SOUND, ("site", "degree day base"): ("55", "°F")}
    if means is not None:
        del lines["site", "annual degree days"]
        lines |= {("site", f"{m} mean temperature"): (f"{t!r}", "°C") for m, t in zip(MONTHS, means, strict=True)}
    rows = [(part, item, *(v if isinstance(v, tuple) else (v, ""))) for (part, item), v in lines.items()]
    return build(job_from_rows("t.csv", [TableRow(n, *line, "") for n, line in enumerate(rows, 2)]), "metric")


def _days_drawn(yearly: float) -> float:
    """A hundred thousand days of each month, drawn from the even steps of a logistic law (Erbs 1983), and what each is short."""
    steps = (np.arange(100_000) + 0.5) / 100_000
    total = 0.0
    for mean, days in zip(COAST, DAYS, strict=True):
        wide = (1.45 - 0.029 * mean + 0.0664 * yearly) * np.sqrt(days)
        total += days * float(np.maximum(BASE - logistic.ppf(steps, mean, wide / 3.396), 0.0).mean())
    return total


def test_a_mild_coast_has_its_own_spread() -> None:
    """A cosine of 6 K spreads its months by 6/√2 K; 9 K would find 7 % more degree days (a known review: about 6)."""
    own, fixed = _days_drawn(6 / np.sqrt(2)), _days_drawn(9.0)
    built = _built(COAST)
    assert float(built.book.values[built.sizing.site.degree_days][0]) == pytest.approx(own, rel=2e-4)
    assert fixed / own == pytest.approx(1.07, abs=0.01)


def test_without_the_months_an_inland_spread_is_taken() -> None:
    built = _built(None)
    row = next(r for r in built.book.sheets["Climate"].rows if r.label == "Spread of the year's months")
    assert built.book.values[row] == pytest.approx([9.0])
