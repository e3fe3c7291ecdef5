"""Returns: what comes back along each run, and whether the heat closes."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from hydrocalc import flow, ground
from hydrocalc.measures import FRACTION, POWER, RATIO, TEMPERATURE

from ..gathering import SumWhere
from ..references import kind_is
from ..vocabulary import BOILER
from ..worksheet import Row
from .common import Making
from .pipes import BRANCHING, generation
from .takers import LEAST


def make_returns(making: Making) -> None:
    """The sheet Returns: from the loads back to the boiler."""
    sheet = making.book.sheet("Returns", making.runs, "Returns: what comes back on the design night")
    rows = SimpleNamespace(sheet=sheet)
    making.rows["returns"] = rows
    pipes, pumps, lines, case = making.pipes, making.pumps, making.ground, making.steady.case
    water = (pumps.flow, pipes.density, pipes.specific_heat)
    sheet.heading("Heat taken")
    rate = sheet.line("Capacity rate of the line", flow.capacity_rate, *water)
    rows.own = sheet.take("Taken by this run's loads", SumWhere(case.taken, making.needs.run, sheet.names), shows="whole")
    sheet.heading("Back through the line")
    entering: Row | None = None
    for depth in range(BRANCHING + 1):
        if entering is None:
            total = rows.own
        else:
            branches = sheet.take(
                generation("Taken by the runs that start here", depth - 1), SumWhere(entering, pipes.starts_at, sheet.names)
            )
            total = sheet.calc(generation("Taken with those", depth - 1), POWER, lambda a, b: a + b, rows.own, branches, shows="whole")
        name = generation("Return into the line", depth)
        far = sheet.calc(name, TEMPERATURE, lambda t, q, c: t - q / np.maximum(c, LEAST), lines.arrival, total, rate)
        near = sheet.line(
            generation("Return arrives", depth),
            ground.line_outlet_temperature,
            far,
            lines.temperature,
            lines.mean_supply,
            pipes.length,
            lines.loss,
            lines.exchange,
            *water,
        )
        entering = sheet.calc(
            generation("Heat that enters the line", depth), POWER, lambda c, a, b: c * (a - b), rate, lines.inlet, near, shows="whole"
        )
    rows.far, rows.near, rows.entering, rows.total = far, near, entering, total
    sheet.heading("The balance of each line")
    rows.supply_loss = sheet.calc("Lost by the supply", POWER, lambda c, a, b: c * (a - b), rate, lines.inlet, lines.arrival, shows="whole")
    rows.return_loss = sheet.calc("Lost by the return", POWER, lambda c, a, b: c * (a - b), rate, far, near, shows="whole")
    rows.loss = sheet.calc("Lost by both", POWER, lambda a, b: a + b, rows.supply_loss, rows.return_loss, shows="whole")
    rows.residual = sheet.calc(
        "Entering less taken less lost, over what enters (0: it closes)",
        RATIO,
        lambda q, taken, lost: (q - taken - lost) / np.maximum(q, 1.0),
        entering,
        total,
        rows.loss,
    )
    rows.share = sheet.calc("Lost by both, over what enters", FRACTION, lambda lost, q: lost / np.maximum(q, 1.0), rows.loss, entering)
    from_boiler = kind_is(pipes.starts_at, BOILER)
    rows.from_boiler = sheet.calc("Heat from the boiler", POWER, lambda q: q * 1.0, entering, when=from_boiler, shows="whole")
    rows.boiler_rate = sheet.calc("Capacity rate at the boiler", making.units.second_rate.kind, lambda c: c * 1.0, rate, when=from_boiler)
