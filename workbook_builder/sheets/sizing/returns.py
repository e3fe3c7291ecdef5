"""Returns: what comes back along each run, and whether the heat closes; Night: the same of the design night as it will be."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from hydrocalc.measures import CONDUCTANCE, FRACTION, POWER, RATIO, TEMPERATURE, TEMPERATURE_DIFFERENCE, TEMPERATURE_GRADIENT
from workbook_builder.model.aggregates import Pick
from workbook_builder.model.references import FirstGiven, SameColumn, kind_is
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BOILER

from .cascade import Case
from .context import Making
from .line_temperatures import Reached, heat_back
from .load_models import LEAST

LEAST_EXCESS = 1e-6  # K
LEAST_DIFFERENCE = 1e-7  # K: less is the rounding of the temperatures


def make_returns(making: Making) -> None:
    """The sheet Returns: from the loads back to the boiler, with water at fan on."""
    sheet = making.book.sheet("Returns", making.runs, "Returns: what comes back, water at fan on")
    night = making.steady.reached
    sheet.heading("The supply, with what is really taken")
    there = Reached(sheet.take("Supply into the line", SameColumn(night.inlet)), sheet.take("Supply arrives", SameColumn(night.arrival)))
    making.rows["returns"] = _back(making, sheet, there, making.steady.case)


def make_night(making: Making) -> None:
    """The sheet Night: each line on the design night as it will be, which is what Summary, Verdicts and Charts tell of."""
    sheet = making.book.sheet("Night", making.runs, "Night: each line on the design night, as it will be")
    starts_at, settled = making.pipes.starts_at, making.settled
    sheet.heading("The supply")
    arrival = sheet.take("Supply arrives", SameColumn(settled.arrival))
    from_boiler = sheet.calc("Supply, from the boiler", TEMPERATURE, lambda t: t, making.boiler.settled, when=kind_is(starts_at, BOILER))
    from_parent = sheet.take("Arrival of the run it starts on", Pick(arrival, making.pipes.sheet.names, starts_at))
    there = Reached(sheet.take("Supply into the line", FirstGiven((from_boiler, from_parent))), arrival)
    making.rows["night"] = rows = _back(making, sheet, there, settled.case)
    sheet.heading("Temperature lost by the supply")
    rows.supply_drop = sheet.calc("Temperature lost by the supply", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, there.inlet, there.arrival)
    rows.gradient = sheet.calc(
        "Temperature lost per length", TEMPERATURE_GRADIENT, lambda d, n: d / n, rows.supply_drop, making.pipes.length
    )


def _back(making: Making, sheet: Sheet, there: Reached, case: Case) -> SimpleNamespace:
    """From the loads of a case back to the boiler."""
    lines = making.ground
    rows = SimpleNamespace(sheet=sheet, inlet=there.inlet, arrival=there.arrival)
    sheet.heading("Heat taken, and what enters the line for it")
    back = heat_back(making, sheet, rows.inlet, case.taken)
    rows.own, rows.total, rows.drop, rows.entering, rows.from_boiler = back.own, back.total, back.drop, back.entering, back.from_boiler
    sheet.heading("Back through the line")
    rows.far = sheet.calc("Return into the line", TEMPERATURE, lambda t, d: t - d, rows.arrival, rows.drop)
    rows.near = sheet.calc(
        "Return arrives", TEMPERATURE, lambda t, q, c: t - q / np.maximum(c, LEAST), rows.inlet, rows.entering, lines.rate
    )
    sheet.heading("The balance of each line")
    rows.supply_loss = sheet.calc(
        "Lost by the supply", POWER, lambda c, a, b: c * (a - b), lines.rate, rows.inlet, rows.arrival, shows="whole"
    )
    rows.return_loss = sheet.calc("Lost by the return", POWER, lambda c, a, b: c * (a - b), lines.rate, rows.far, rows.near, shows="whole")
    rows.loss = sheet.calc("Lost by both", POWER, lambda a, b: a + b, rows.supply_loss, rows.return_loss, shows="whole")
    # What enters less what is lost is what is taken whatever the temperatures are; this is not: it follows both lines from the
    # boiler's end to the far end by the excess of their water, and asks whether they differ there by what the loads take.
    rows.residual = sheet.calc(
        "Followed to the far end less taken, over both (0: it closes)",
        RATIO,
        lambda a, b, g, h, w, q, c: (
            (h * (a - b) - w * (a + b - 2 * g) - q / np.maximum(c, LEAST)) / np.maximum(h * (a - b) + w * (a + b - 2 * g), LEAST_EXCESS)
        ),
        rows.inlet,
        rows.near,
        lines.temperature,
        lines.rise,
        lines.decay,
        rows.total,
        lines.rate,
        words="(rise × (supply − return) − decay × (supply + return − 2 × ground) − taken / capacity rate) / the first two added: "
        "at the boiler's end the temperatures, at the far end the heat",
    )
    # The sum of both lines' excess follows the exchange too; half of sum and difference is the supply.
    rows.followed = sheet.calc(
        "Supply followed to the far end, less what arrives",
        TEMPERATURE_DIFFERENCE,
        lambda a, b, g, h, w, y, t: np.floor((g + (h - w - y) * (a - g) + y * (b - g) - t) / LEAST_DIFFERENCE + 0.5) * LEAST_DIFFERENCE,
        rows.inlet,
        rows.near,
        lines.temperature,
        lines.rise,
        lines.decay,
        lines.swapped,
        rows.arrival,
        words="ground + (rise − decay − exchange) × (supply − ground) + exchange × (return − ground), both at the boiler's end, "
        "less the supply that the loads are given: what the tries of Arrivals leave open",
    )
    rows.share = sheet.calc("Lost by both, over what enters", FRACTION, lambda lost, q: lost / np.maximum(q, 1.0), rows.loss, rows.entering)
    rows.boiler_rate = sheet.calc(
        "Capacity rate at the boiler", CONDUCTANCE, lambda c: c * 1.0, lines.rate, when=kind_is(making.pipes.starts_at, BOILER)
    )
    return rows
