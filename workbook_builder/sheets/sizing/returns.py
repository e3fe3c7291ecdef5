"""Returns: what comes back along each run, and whether the heat closes; Night: the same of the design night as it will be."""

from __future__ import annotations

import numpy as np

from hydrocalc.measures import FRACTION, HEAT_PER_LENGTH, POWER, RATIO, TEMPERATURE, TEMPERATURE_DIFFERENCE, TEMPERATURE_GRADIENT
from workbook_builder.model.aggregates import Pick
from workbook_builder.model.references import FirstGiven, Where, kind_is
from workbook_builder.table.vocabulary import BOILER

from .cascade import AT_FAN_ON, supply_into
from .context import Context, over
from .line_temperatures import heat_back
from .night_results import Balance, Case, Network, Night, Reached, Returns, Settled, Steady

LEAST_DIFFERENCE = 1e-7  # K: less is the rounding of the temperatures


def make_returns(context: Context, network: Network, there: Reached, steady: Steady) -> Returns:
    """The sheet Returns: from the loads back to the boiler, with water at the lower setpoint."""
    with there.sheet.folded(f"Workings: what comes back on {AT_FAN_ON}"):
        return _back(context, network, there, steady.case)


def make_night(context: Context, network: Network, balance: Balance, settled: Settled) -> Night:
    """The sheet Night: each line on the design night as it will be, which is what Summary, Verdicts and Charts tell of."""
    sheet, pipes = settled.along, network.pipes
    sheet.heading("The supply")
    there = Reached(sheet, supply_into(sheet, pipes, balance.water, settled.arrival), settled.arrival, settled.there.drop)
    lines = _back(context, network, there, settled.case)
    sheet.heading("Temperature lost by the supply")
    drop = sheet.calc("Temperature lost by the supply", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, lines.inlet, lines.arrival)
    gradient = sheet.calc("Temperature lost per length", TEMPERATURE_GRADIENT, over, drop, pipes.length)
    sheet.calc("Lost by both, per length of trench", HEAT_PER_LENGTH, over, lines.loss, pipes.length)
    return Night(lines, drop, gradient)


def _back(context: Context, network: Network, there: Reached, case: Case) -> Returns:
    """From the loads of a case back to the boiler."""
    lines = network.ground
    sheet, arrival = there.sheet, there.arrival
    sheet.heading("Heat taken, and what enters the line for it")
    back = heat_back(context, sheet, network, there.inlet, case)
    inlet = back.inlet
    if network.pipes.start.after is not None:
        first = Pick(case.inlet, network.needs.run, sheet.names)
        arrival = sheet.take("Supply arrives, or enters its first load", FirstGiven((arrival, first)))
    of_boiler = kind_is(network.pipes.starts_at, BOILER)
    from_boiler = sheet.take("Heat from the boiler", Where(back.entering, of_boiler), shows="whole")
    sheet.heading("Back through the line")
    far = sheet.calc("Return into the line", TEMPERATURE, lambda t, d: t - d, arrival, back.drop)
    near = sheet.calc("Return arrives", TEMPERATURE, lambda t, q, c: t - over(q, c), inlet, back.entering, lines.rate)
    sheet.heading("The balance of each line")
    supply_loss = sheet.calc("Lost by the supply", POWER, lambda c, a, b: c * (a - b), lines.rate, inlet, arrival, shows="whole")
    return_loss = sheet.calc("Lost by the return", POWER, lambda c, a, b: c * (a - b), lines.rate, far, near, shows="whole")
    loss = sheet.calc("Lost by both", POWER, lambda a, b: a + b, supply_loss, return_loss, shows="whole")
    # What enters less what is lost is what is taken whatever the temperatures are; this is not: it follows both lines from the
    # boiler's end to the far end by the excess of their water, and asks whether they differ there by what the loads take.
    residual = sheet.calc(
        "Followed to the far end less taken, over both (0: it closes)",
        RATIO,
        lambda a, b, g, h, w, q, c: over(h * (a - b) - w * (a + b - 2 * g) - over(q, c), h * (a - b) + w * (a + b - 2 * g)),
        inlet,
        near,
        lines.temperature,
        lines.rise,
        lines.decay,
        back.total,
        lines.rate,
        words="(rise × (supply − return) − decay × (supply + return − 2 × ground) − taken / capacity rate) / the first two added: "
        "at the boiler's end the temperatures, at the far end the heat",
    )
    # The sum of both lines' excess follows the exchange too; half of sum and difference is the supply.
    followed = sheet.calc(
        "Supply followed to the far end, less what arrives",
        TEMPERATURE_DIFFERENCE,
        lambda a, b, g, h, w, y, t: np.floor((g + (h - w - y) * (a - g) + y * (b - g) - t) / LEAST_DIFFERENCE + 0.5) * LEAST_DIFFERENCE,
        inlet,
        near,
        lines.temperature,
        lines.rise,
        lines.decay,
        lines.swapped,
        arrival,
        words="ground + (rise − decay − exchange) × (supply − ground) + exchange × (return − ground), both at the boiler's end, "
        "less the supply that the loads are given: what the tries below leave open",
    )
    share = sheet.calc("Lost by both, over what enters", FRACTION, over, loss, back.entering)
    rate = sheet.take("Capacity rate at the boiler", Where(lines.at_start.rate if lines.at_start is not None else lines.rate, of_boiler))
    return Returns(
        sheet=sheet,
        inlet=inlet,
        arrival=arrival,
        own=back.own,
        total=back.total,
        drop=back.drop,
        entering=back.entering,
        from_boiler=from_boiler,
        near=near,
        supply_loss=supply_loss,
        return_loss=return_loss,
        loss=loss,
        residual=residual,
        followed=followed,
        share=share,
        boiler_rate=rate,
    )
