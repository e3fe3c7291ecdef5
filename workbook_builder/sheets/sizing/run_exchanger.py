"""The exchanger at the start of a run with a liquid of its own: given, or ordered for the approach that is allowed.

It holds the run's supply back by so many kelvins for each kelvin of the run's own drop at its start.  With that number k the line's
two exact solutions keep their form: rise + decay becomes rise + decay + 2 × decay × k, and the exchange takes up the rest.
"""

from __future__ import annotations

import numpy as np

from hydrocalc import exchangers, flow
from hydrocalc.measures import CONDUCTANCE, RATIO, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import Pick
from workbook_builder.model.references import Both, Constant, FirstGiven, MoreThan, Says, Where
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet

from .context import Context
from .results import HIGHEST_EFFECTIVENESS, AtStart, Pipes, Pumps, Site

# Ordered for so much of the approach that is allowed (common practice, no source): what the branches' lines lose comes on top.
ORDERED = 0.9


def make_at_start(context: Context, sheet: Sheet, site: Site, pipes: Pipes, pumps: Pumps, line: tuple[Row, Row, Row, Row, Row]) -> AtStart:
    """``line``: capacity rate, the design drop, rise, decay and the ground's temperature of each line."""
    rate, drop, rise, decay, ground = line
    assert pipes.parted is not None
    so = Says(pipes.parted.so)
    sheet.heading("The exchanger at the start of a run with a liquid of its own")
    given = context.fetched(sheet, "exchanger conductance", "Exchanger conductance, typed")
    density, heat = (
        sheet.take(f"{row.label} of the other side", FirstGiven((Pick(row, sheet.names, pipes.start.on), of_boiler)))
        for row, of_boiler in ((pipes.density, site.density), (pipes.specific_heat, site.specific_heat))
    )
    through = FirstGiven((pipes.parted.flow, pumps.flow))
    other = sheet.line("Capacity rate of the other side", flow.capacity_rate, sheet.take("Flow of the other side", through), density, heat)
    smaller = sheet.line("Smaller capacity rate", exchangers.smaller_capacity_rate, other, rate)
    flows = MoreThan(smaller)
    ratio = sheet.line("Smaller over larger capacity rate", exchangers.capacity_ratio, other, rate)
    at_start = sheet.calc(
        "Drop at its start on the design night, at the approach allowed",
        TEMPERATURE_DIFFERENCE,
        lambda t, a, g, w, h, d: (2 * w * (t - a - g) + d) / (h + w),
        *(pipes.supply, context.job("limits", "exchanger approach"), ground, decay, rise, drop),
    )
    wanted = sheet.calc(
        "Effectiveness required there",
        RATIO,
        lambda c, d, a, least: np.minimum(c * d / ((d + ORDERED * a) * least), HIGHEST_EFFECTIVENESS),
        *(rate, at_start, context.job("limits", "exchanger approach"), smaller),
        when=flows,
        words="capacity rate × drop / ((drop + 0.9 × approach) × smaller capacity rate), 0.9 at most",
    )
    size = sheet.line("Transfer units required there", exchangers.counterflow_transfer_units, wanted, ratio)
    order = sheet.calc("Conductance to order, at its start", CONDUCTANCE, lambda n, c: n * c, size, smaller)
    conductance = sheet.take("Conductance of the exchanger at its start", FirstGiven((given, order)))
    units = sheet.line("Transfer units there", exchangers.transfer_units, conductance, smaller)
    effectiveness = sheet.line("Effectiveness there", exchangers.counterflow_effectiveness, units, ratio)
    held = sheet.calc(
        "Held back by the exchanger, for a kelvin of its own drop",
        RATIO,
        lambda c, e, m: c / (e * m) - 1,
        rate,
        effectiveness,
        smaller,
        when=Both(so, flows),
    )
    return AtStart(
        fall=sheet.take("Held back for a kelvin of drop, or nothing", FirstGiven((held, Constant(0, RATIO)))),
        rate=sheet.take("Capacity rate where it starts", FirstGiven((Where(other, so), rate))),
        conductance=sheet.take("Exchanger at its start", Where(conductance, so)),
    )
