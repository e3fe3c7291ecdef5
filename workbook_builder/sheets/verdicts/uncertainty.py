"""How sure is it: which defaults matter most, and the range of the results when inputs are uncertain.

Rows are worked out as arrays, so a whole job over thousands of samples is one pass.  What comes out are plain
numbers, computed when the book is written; the book says so beside them.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hydrocalc.blocks import cores
from hydrocalc.measures import TEMPERATURE, TEMPERATURE_DIFFERENCE, Measure, System
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import BuildError
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.sheets.sizing.design import Sizing
from workbook_builder.sheets.sizing.results import Check, Checks
from workbook_builder.sheets.verdicts.requirements import WHOLE

SAMPLES = 20_000
SEED = 20_260_101
# Samples of one pass: more leave the cache, fewer leave Python more to do than numpy.  A job of many columns takes fewer, so
# that the memory of a pass stays what it is; a job of thousands still takes some at once.
PART, PART_CELLS, LEAST_PART = 10_000, 70_000, 500
MOST_DEFAULTS = 5
# Only the largest loads and runs are tried, and so many columns at once, so that cost and memory grow with the job and no faster.
MOST_LOADS, MOST_RUNS, MOST_CELLS = 12, 8, 8000
# A default is moved by a tenth of itself; a temperature, whose zero means nothing, by this.
SHARE, DEGREES = 0.1, {"us": 5.0, "metric": 3.0}
PERCENTILES = (5, 50, 95)
LEAST_EFFECT = 5e-4  # of the result; what moves it less is not worth a line

Samples = NDArray[np.float64]


@dataclass(frozen=True)
class Effect:
    """What a default does to the cords of a year when it is moved."""

    line: InputLine
    moved_to: float
    change: float  # of the result, as a share


@dataclass(frozen=True)
class Range:
    """A result over all samples, and which inputs drive it."""

    label: str
    short: str
    unit: str
    low: float
    middle: float
    high: float
    shares: dict[str, float]  # of the spread, that goes with each input


def defaults_that_matter(context: Context, sizing: Sizing) -> list[Effect]:
    """The few defaults whose move changes the cords of a year most; none while there are no cords."""
    book, inputs = context.book, context.inputs
    result = sizing.cords.cords_year
    base = float(book.values[result][0])
    if not np.isfinite(base) or base <= 0:
        return []
    lines = [line for line in inputs.lines if line.typed is None and isinstance(line.used, float) and line.part != "limits"]
    small = _small_parts(context, sizing)
    lines = [line for line in lines if line.part not in small]
    moved = {line.key: _moved(line, book.system) for line in lines}
    lines = [line for line in lines if moved[line.key] is not None]
    effects = []
    together = max(MOST_CELLS // (len(context.loads.labels) + len(context.runs.labels)), 1)
    for start in range(0, len(lines), together):
        batch = lines[start : start + together]
        values = {line.key: np.full(len(batch), float(line.used or 0.0)) for line in batch}
        for place, line in enumerate(batch):
            values[line.key][place] = moved[line.key]
        outcome = np.broadcast_to(book.worked_with(dict(values), [result])[result][..., 0], (len(batch),))
        effects += [Effect(line, float(values[line.key][i]), float(outcome[i]) / base - 1) for i, line in enumerate(batch)]
    effects = [e for e in effects if np.isfinite(e.change) and abs(e.change) >= LEAST_EFFECT]
    return sorted(effects, key=lambda e: (-abs(e.change), e.line.row))[:MOST_DEFAULTS]


def _small_parts(context: Context, sizing: Sizing) -> set[str]:
    """Loads and runs whose heat is so little beside that of others that their defaults cannot be among the few that matter."""

    def small(family: str, labels: tuple[str, ...], heat: Samples, most: int) -> set[str]:
        order = sorted(range(len(labels)), key=lambda i: (-float(np.nan_to_num(heat[i])), i))
        return {f"{family} {labels[i]}" for i in order[most:]}

    values = context.book.values
    return small("load", context.loads.labels, values[sizing.season.year], MOST_LOADS) | small(
        "run", context.runs.labels, values[sizing.line_year.year], MOST_RUNS
    )


def _moved(line: InputLine, system: System) -> float | None:
    """The value a tenth up, or down where up is not possible; None where neither is, or nothing moves."""
    kind = line.item.measure
    assert isinstance(line.used, float) and isinstance(kind, Measure)
    step = DEGREES[system] if kind in (TEMPERATURE, TEMPERATURE_DIFFERENCE) else abs(line.used) * SHARE
    if step == 0:
        return None
    unit = kind.unit(system)
    for candidate in (line.used + step, line.used - step):
        if line.item.limits.holds(float(unit.to_coherent(candidate))):
            return candidate
    return None


def uncertain(context: Context) -> dict[str, tuple[float, float, float]]:
    """The inputs with a range, in the book's units: low, most likely, high."""
    found = {}
    for line in context.inputs.lines:
        if isinstance(line.used, float):
            low, high = (line.used if end is None else end for end in (line.low, line.high))
            if high > low:
                found[line.key] = low, line.used, high
    return found


def ranges(context: Context, sizing: Sizing, checks: Checks, samples: int = SAMPLES) -> list[Range]:
    """The main results over samples of the uncertain inputs, each drawn from a triangle between its ends.

    A result that some samples do not have, such as a payback where nothing is saved, has no range.
    """
    given = uncertain(context)
    if not given:
        return []
    random = np.random.default_rng(SEED)
    drawn = {key: random.triangular(low, mode, high, samples) for key, (low, mode, high) in given.items()}
    ranks = {key: _ranks(sample) for key, sample in drawn.items()}
    results, whole = main_results(sizing), [check for check in checks.all if check.section == WHOLE]
    outcomes = _outcomes(context, drawn, [*(row for *_, row in results), *(check.worst for check in whole)])
    _refuse_torn(context, list(given), whole, outcomes[len(results) :])
    found = []
    for (label, short, row), outcome in zip(results, outcomes[: len(results)], strict=True):
        if not np.isfinite(outcome).all():
            continue
        low, middle, high = (float(v) for v in np.percentile(outcome, PERCENTILES))
        found.append(Range(label, short, row.unit, low, middle, high, _shares(ranks, outcome)))
    return found


def _refuse_torn(context: Context, keys: list[str], whole: list[Check], outcomes: list[Samples]) -> None:
    """Ends that are each allowed may not go with the rest of the job, and a sum over such a draw would leave something out."""
    torn = {}
    for check, outcome in zip(whole, outcomes, strict=True):
        # Blank, where nothing is given for the requirement to be asked of, is what the book itself has, and no draw.
        if count := int((np.round(outcome) > np.maximum(np.round(np.nan_to_num(context.book.values[check.worst][0])), 0.0)).sum()):
            torn[check.label] = count
    if torn:
        where, labels = "; ".join(key.replace("|", ": ") for key in keys), ", ".join(torn)
        raise BuildError(f"in {max(torn.values()):,} of {SAMPLES:,} draws between low and high this is not so: {labels}; look at {where}")


def _outcomes(context: Context, drawn: dict[str, Samples], rows: list[Row]) -> list[Samples]:
    """The rows' values over all samples, in a pass over each part of them, the parts shared among the cores."""

    columns = max(len(context.loads.labels), len(context.runs.labels))
    size = min(PART, max(PART_CELLS // columns, LEAST_PART))

    def one(start: int) -> list[Samples]:
        part = {key: sample[start : start + size] for key, sample in drawn.items()}
        values, count = context.book.worked_with(dict(part), rows), len(next(iter(part.values())))
        return [np.broadcast_to(values[row][..., 0], (count,)) for row in rows]

    # The parts are the same on any machine, and so are the bits of what comes out.
    with ThreadPoolExecutor(cores()) as pool:
        parts = list(pool.map(one, range(0, len(next(iter(drawn.values()))), size)))
    return [np.concatenate(of_row) for of_row in zip(*parts, strict=True)]


def main_results(sizing: Sizing) -> list[tuple[str, str, Row]]:
    """The results whose range the Summary shows, with a short name where it shows what drives them."""
    boiler, cords, money = sizing.boiler, sizing.cords, sizing.money
    return [
        ("Wood burnt in a year", "cords", cords.cords_year),
        ("Load, design night", "load", boiler.load.needed),
        ("Rated output over the load", "", boiler.load.margin),
        ("Burn time", "", boiler.charge.burn_time),
        ("Saving in the first year", "saving", money.saving),
        ("Simple payback", "", money.payback),
    ]


def _shares(ranks: dict[str, Samples], outcome: Samples) -> dict[str, float]:
    """The share of the spread that goes with each input: the square of its rank correlation."""
    if float(np.ptp(outcome)) == 0:
        return dict.fromkeys(ranks, 0.0)
    ordered = _ranks(outcome)
    return {key: float(np.corrcoef(sample, ordered)[0, 1]) ** 2 for key, sample in ranks.items()}


def _ranks(values: Samples) -> Samples:
    order = np.argsort(values, kind="stable")
    ranks = np.empty(len(values))
    ranks[order] = np.arange(len(values), dtype=np.float64)
    return ranks
