"""Along the lines: with what temperature the supply arrives, and what heat comes back to the start, for one drop of the water.

Supply and return warm each other through the jacket, so that what arrives depends on what comes back.  For two lines in one
ground this has an exact solution: with the rise h, the decay w and the exchange y of a line, and all temperatures as their
excess over the ground, arrival = (inlet − y × drop) / (h + w), and return = ((h − w) × inlet − drop) / (h + w).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hydrocalc.measures import POWER, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import Pick, SumWhere
from workbook_builder.model.base import Reference
from workbook_builder.model.references import FirstGiven, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BOILER, BRANCHING

from .context import Making
from .load_models import LEAST
from .pipes import generation

STARTS = ("", ", starting on a run", ", starting on a branch")


@dataclass
class Reached:
    """The supply of each run where it enters its line and where it arrives."""

    inlet: Row
    arrival: Row


@dataclass
class Back:
    """What the loads of a run and of the runs that start on it take, and what enters the line for it."""

    own: Row
    total: Row
    drop: Row
    entering: Row
    from_boiler: Row


def reached(making: Making, sheet: Sheet, supply: Reference, drop: Row, name: str = "") -> Reached:
    """The supply at the end of each line; a run that starts on another takes over what arrives there."""
    lines, starts_at = making.ground, making.pipes.starts_at
    from_boiler = sheet.calc(f"Supply, from the boiler{name}", TEMPERATURE, lambda t: t, supply, when=kind_is(starts_at, BOILER))
    arrival: Row | None = None
    for depth in range(BRANCHING + 1):
        where = f"{STARTS[depth]}{name}"
        if arrival is None:
            inlet = sheet.take(f"Supply into the line{where}", supply)
        else:
            from_parent = sheet.take(f"Arrival of the run it starts on{where}", Pick(arrival, making.pipes.sheet.names, starts_at))
            inlet = sheet.take(f"Supply into the line{where}", FirstGiven((from_boiler, from_parent)))
        arrival = sheet.calc(
            f"Supply arrives{where}",
            TEMPERATURE,
            lambda g, t, y, d, h, w: g + ((t - g) - y * d) / (h + w),
            lines.temperature,
            inlet,
            lines.swapped,
            drop,
            lines.rise,
            lines.decay,
            words="ground + (supply into the line − ground − exchange × drop) / (rise + decay): both lines at once",
        )
    assert arrival is not None
    return Reached(inlet, arrival)


def heat_back(making: Making, sheet: Sheet, inlet: Row, taken: Row, name: str = "") -> Back:
    """From the loads back to the boiler: what each line carries, and what it must be given at its start."""
    lines, starts_at = making.ground, making.pipes.starts_at
    own = sheet.take(f"Taken by this run's loads{name}", SumWhere(taken, making.needs.run, making.pipes.sheet.names), shows="whole")
    total, entering = own, _entering(making, sheet, inlet, own, name, 0)
    for depth in range(1, BRANCHING + 1):
        branches = sheet.take(
            generation(f"Taken by the runs that start here{name}", depth - 1),
            SumWhere(entering, starts_at, making.pipes.sheet.names),
            shows="whole",
        )
        total = sheet.calc(generation(f"Taken with those{name}", depth - 1), POWER, lambda a, b: a + b, own, branches, shows="whole")
        entering = _entering(making, sheet, inlet, total, name, depth)
    drop = sheet.calc(f"Drop of what is taken{name}", TEMPERATURE_DIFFERENCE, lambda q, c: q / np.maximum(c, LEAST), total, lines.rate)
    from_boiler = sheet.calc(
        f"Heat from the boiler{name}", POWER, lambda q: q * 1.0, entering, when=kind_is(starts_at, BOILER), shows="whole"
    )
    return Back(own, total, drop, entering, from_boiler)


def _entering(making: Making, sheet: Sheet, inlet: Row, total: Row, name: str, depth: int) -> Row:
    lines = making.ground
    return sheet.calc(
        generation(f"Heat that enters the line{name}", depth),
        POWER,
        lambda c, t, g, w, h, q: (2 * w * c * (t - g) + q) / (h + w),
        lines.rate,
        inlet,
        lines.temperature,
        lines.decay,
        lines.rise,
        total,
        shows="whole",
        words="(2 × decay × capacity rate × (supply into the line − ground) + taken) / (rise + decay): both lines at once",
    )
