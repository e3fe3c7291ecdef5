"""Ground: what each buried line loses, on the design night and by month, and with what temperature the water arrives."""

from __future__ import annotations

import numpy as np

from hydrocalc import flow, ground, pair, twin
from hydrocalc.measures import (
    BORE,
    CONDUCTANCE_PER_LENGTH,
    COUNT,
    HEAT_PER_LENGTH,
    POWER,
    RATIO,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TEMPERATURE_GRADIENT,
)
from workbook_builder.model.aggregates import Pick
from workbook_builder.model.references import Both, Constant, FirstGiven, IfNone, Says, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.table_references import TableNumber
from workbook_builder.model.worksheet import BuildError, Sheet
from workbook_builder.table.vocabulary import INDOORS, TWIN_SPACING

from .context import Context, over
from .line_temperatures import arriving, reached
from .night_results import Reached
from .results import AtStart, Ground, Laid, NeedsMet, Pipes, Pumps, Site, Trench
from .run_exchanger import make_at_start

MOST_NUMBER = 100.0


def make_ground(context: Context, site: Site, pipes: Pipes, pumps: Pumps) -> Ground:
    """The sheet Ground: each line, its conductances, and both its lines at once."""
    sheet = context.sheet("Lines")
    sheet.heading("The line")
    arrangement, insulation, condition, depth = context.fetch(sheet, "arrangement", "insulation", "jacket condition", "depth")
    of_wall = sheet.take("Conductivity of the tube's wall", TableNumber("tube_walls", "conductivity", (pipes.family,), context.book.system))
    wall = sheet.line("Resistance of the tube's wall", ground.layer_resistance, pipes.bore, pipes.outside, of_wall)
    trench = Trench(arrangement, depth, pipes.outside, wall, site.conductivity)
    dry, wet, as_it_lies = _conductivity(context, sheet, insulation, condition)
    jacket, spacing = _jacket(context, sheet, trench)
    temperature = sheet.line(
        "Ground temperature on the design night",
        ground.ground_temperature,
        depth,
        context.job("site", "coldest day"),
        site.mean,
        site.amplitude,
        context.job("site", "coldest day"),
        site.diffusivity,
    )
    sheet.heading("Conductances")
    stated, difference = context.fetch(sheet, "stated loss", "stated loss difference")
    by_maker = sheet.calc(
        "Loss conductance, from the stated loss", CONDUCTANCE_PER_LENGTH, lambda q, d: q / (2 * d), stated, difference, when=trench.buried
    )
    no_exchange = sheet.calc(
        "Exchange conductance, with a stated loss", CONDUCTANCE_PER_LENGTH, lambda u: np.minimum(u, 0.0), by_maker, words="none"
    )
    laid = lay(sheet, trench, jacket, spacing)
    loss, exchange = conductances(sheet, trench, as_it_lies, laid, (by_maker, no_exchange))
    water = (pumps.flow, pipes.density, pipes.specific_heat)
    sheet.heading("Flow and drop on the design night")
    own_rate = sheet.line("Capacity rate of the run's own flow", flow.capacity_rate, pumps.own_flow, *water[1:])
    rate = sheet.line("Capacity rate of the water", flow.capacity_rate, *water)
    drop = sheet.line("Temperature drop at that flow", flow.drop_from_load, pipes.load, *water)
    with sheet.folded("Workings: both lines at once"):
        rise, decay, swapped = _both_lines(sheet, loss, exchange, pipes.length, rate)
        line = (rate, drop, rise, decay, temperature)
        at_start = make_at_start(context, sheet, site, pipes, pumps, line) if context.parted else None
        sheet.heading("Both lines, from end to end")
        across, held = _across(sheet, rise, decay, swapped, at_start)
    return Ground(
        sheet=sheet,
        trench=trench,
        condition=condition,
        dry=dry,
        wet=wet,
        insulation=as_it_lies,
        spacing=spacing,
        temperature=temperature,
        laid=laid,
        loss=loss,
        exchange=exchange,
        own_rate=own_rate,
        rate=rate,
        drop=drop,
        rise=rise,
        decay=decay,
        swapped=swapped,
        across=across,
        held=held,
        at_start=at_start,
    )


def _conductivity(context: Context, sheet: Sheet, insulation: Row, condition: Row) -> tuple[Row, Row, Row]:
    """Of the insulation: dry, wet, and as it lies."""
    system = context.book.system
    typed_dry = context.per(sheet, "insulation conductivity")
    table_dry = sheet.take("Insulation conductivity, table", TableNumber("insulation", "dry_conductivity", (insulation,), system))
    dry = sheet.take("Insulation conductivity, dry", FirstGiven((typed_dry, table_dry)))
    typed_wet = context.per(sheet, "wet insulation conductivity")
    table_wet = sheet.take("Insulation conductivity when wet, table", TableNumber("insulation", "wet_conductivity", (insulation,), system))
    wet = sheet.take("Insulation conductivity when wet", FirstGiven((typed_wet, table_wet)))
    as_it_lies = FirstGiven((Where(dry, kind_is(condition, "dry")), Where(wet, kind_is(condition, "wet"))))
    return dry, wet, sheet.take("Insulation conductivity as it lies", as_it_lies)


def _jacket(context: Context, sheet: Sheet, trench: Trench) -> tuple[Row, Row]:
    """Outer diameter, and spacing of the lines in it or of two beside one another."""
    jacket = context.fetched(sheet, "jacket outer diameter")
    typed_spacing = context.fetched(sheet, "spacing", "Spacing, typed")
    apart = Where(jacket, kind_is(trench.arrangement, "apart"))  # jackets touching
    close = sheet.calc(
        "Spacing, tubes in one jacket", BORE, lambda d: d * TWIN_SPACING, trench.outside, when=kind_is(trench.arrangement, "one jacket")
    )
    return jacket, sheet.take("Spacing, middle to middle", FirstGiven((typed_spacing, apart, close)))


def lay(sheet: Sheet, trench: Trench, jacket: Row, spacing: Row, item: str = "jacket outer diameter") -> Laid:
    """A line's measures, looked at together: each may be possible, and the line not.  Its conductances would mean nothing."""
    _refuse_overfilled(sheet, trench, jacket, spacing, item)
    faults = sheet.calc(
        "What cannot be so in this line",
        COUNT,
        lambda d, s, t, z, how: (
            np.where(np.where(how == "one jacket", s + t, t) >= d, 1.0, 0.0)
            + np.where(np.where(how == "one jacket", t, d) > s, 1.0, 0.0)
            + np.where(d >= 2.0 * z, 1.0, 0.0)
        ),
        jacket,
        spacing,
        trench.outside,
        trench.depth,
        trench.arrangement,
        when=trench.buried,
        shows="whole",
        words="1 for each: tubes that do not fit in the jacket; tubes or jackets in one another; a jacket that stands out of the ground",
    )
    return Laid(sheet.take("Jacket, if the line can be so", IfNone(jacket, faults)), spacing, faults)


def conductances(sheet: Sheet, trench: Trench, insulation: Row, laid: Laid, stated: tuple[Row, Row] | None) -> tuple[Row, Row]:
    """Loss and exchange conductance of each line for an insulation and a jacket."""
    jacket = laid.jacket
    # Two tubes in one another have no conductance that could be written down.
    sound = Says(laid.faults, yes=False)
    apart, together = (Both(kind_is(trench.arrangement, how), sound) for how in ("apart", "one jacket"))
    sheet.line("Resistance of one jacket", ground.layer_resistance, trench.outside, jacket, insulation, when=apart)
    inside = (trench.depth, laid.spacing, trench.outside, jacket, trench.wall, insulation, trench.soil)
    pair_loss = sheet.line("Loss conductance, lines apart", pair.pair_loss_conductance, *inside, when=apart)
    pair_exchange = sheet.line("Exchange conductance, lines apart", pair.pair_exchange_conductance, *inside, when=apart)
    twin_loss = sheet.line("Loss conductance, one jacket", twin.twin_loss_conductance, *inside, when=together)
    twin_exchange = sheet.line("Exchange conductance, one jacket", twin.twin_exchange_conductance, *inside, when=together)
    first = (stated[0],) if stated else ()
    second = (stated[1],) if stated else ()
    # Indoors nothing is lost; another condition or a better jacket is not asked there.
    nothing = (Where(Constant(0, CONDUCTANCE_PER_LENGTH), kind_is(trench.arrangement, INDOORS)),) if stated else ()
    loss = sheet.take("Loss conductance of each line", FirstGiven((*first, pair_loss, twin_loss, *nothing)))
    exchange = sheet.take("Exchange conductance", FirstGiven((*second, pair_exchange, twin_exchange, *nothing)))
    return loss, exchange


def _refuse_overfilled(sheet: Sheet, trench: Trench, jacket: Row, spacing: Row, item: str) -> None:
    """A tube that the book chose may be too large for the jacket, which only shows here, when a book is written."""
    values = sheet.book.values
    beside = np.where(values[trench.arrangement] == "one jacket", values[spacing], 0.0)
    buried = trench.buried.value(values)
    for label, lies, room, within in zip(sheet.axis.labels, buried, beside + values[trench.outside], values[jacket], strict=True):
        if lies and room >= within:
            raise BuildError(
                f"{jacket.sheet.name}, {jacket.label}, {label}: is {within:.4g} {jacket.unit}, and the tube that was chosen takes "
                f"{room:.4g} {jacket.unit}; look at run {label}: {item}, size, temperature drop"
            )


def _both_lines(sheet: Sheet, loss: Row, exchange: Row, length: Row, rate: Row) -> tuple[Row, Row, Row]:
    """The exact solution of the two coupled lines: supply and return follow sinh and cosh of one number.  Rise, decay, exchange."""
    number = sheet.calc(
        "Line number",
        RATIO,
        lambda u, x, n, c: over(n * np.sqrt(u * (u + 2 * x)), c),
        loss,
        exchange,
        length,
        rate,
        words="length × √(loss conductance × (loss conductance + 2 × exchange conductance)) / capacity rate",
    )
    rise = sheet.calc("Rise", RATIO, lambda k: np.cosh(np.minimum(k, MOST_NUMBER)), number, words="cosh of the line number")
    slope = sheet.calc(
        "Slope",
        RATIO,
        lambda k: np.where(k > 0, np.sinh(np.minimum(k, MOST_NUMBER)) / k, 1.0),
        number,
        words="sinh of the line number / the line number",
    )
    decay, swapped = (
        sheet.calc(name, RATIO, lambda u, n, c, s: over(u * n, c) * s, conductance, length, rate, slope)
        for name, conductance in (("Decay", loss), ("Exchange", exchange))
    )
    return rise, decay, swapped


def _across(sheet: Sheet, rise: Row, decay: Row, swapped: Row, at_start: AtStart | None) -> tuple[Row, Row]:
    """Rise and decay, and the exchange, with what an exchanger at the start of the run holds back."""
    if at_start is None:
        return sheet.calc("Rise + decay", RATIO, lambda h, w: h + w, rise, decay), swapped
    across = sheet.calc("Rise + decay", RATIO, lambda h, w, k: h + w + 2 * w * k, rise, decay, at_start.fall)
    held = sheet.calc(
        "(Held back + exchange × that) / (rise + decay)",
        RATIO,
        lambda k, y, a, h, w: (k + y * a) / (h + w),
        at_start.fall,
        swapped,
        across,
        rise,
        decay,
    )
    return across, held


def make_needs_met(context: Context, pipes: Pipes, lines: Ground) -> NeedsMet:
    """On Ground, the design night with every need met: what arrives, what comes back, and what the lines take."""
    with lines.sheet.folded("Workings: the design night with every need met"):
        return _needs_met(context, lines.sheet, pipes, lines)


def _needs_met(context: Context, sheet: Sheet, pipes: Pipes, lines: Ground) -> NeedsMet:
    along = reached(context, sheet, pipes, lines, pipes.supply, lines.drop)
    if pipes.start.before is not None:
        along = _going_on(sheet, pipes, lines, along)
    into = along.inlet
    if lines.at_start is not None:
        behind = sheet.calc(
            "Supply behind the exchanger at its start",
            TEMPERATURE,
            lambda t, k, w, g, d, a: t - k * (2 * w * (t - g) + d) / a,
            *(along.inlet, lines.at_start.fall, lines.decay, lines.temperature, lines.drop, lines.across),
        )
        into = behind
    return_in = sheet.calc("Return into the line, at the design drop", TEMPERATURE, lambda t, d: t - d, along.arrival, lines.drop)
    return_out = sheet.calc(
        "Return arrives",
        TEMPERATURE,
        lambda g, t, d, h, w: g + ((h - w) * (t - g) - d) / (h + w),
        lines.temperature,
        into,
        lines.drop,
        lines.rise,
        lines.decay,
        words="ground + ((rise − decay) × (supply into the line − ground) − drop) / (rise + decay)",
    )
    sheet.heading("What the line takes on the design night")
    fall = sheet.calc("Temperature lost by the supply", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, into, along.arrival)
    sheet.calc("Temperature lost per length", TEMPERATURE_GRADIENT, over, fall, pipes.length)
    supply_loss = sheet.calc("Heat lost by the supply", POWER, lambda c, d: c * d, lines.rate, fall)
    return_loss = sheet.calc("Heat lost by the return", POWER, lambda c, a, b: c * (a - b), lines.rate, return_in, return_out)
    design_loss = sheet.calc("Heat lost by both", POWER, lambda a, b: a + b, supply_loss, return_loss)
    per_length = sheet.calc("Heat lost per length of trench", HEAT_PER_LENGTH, over, design_loss, pipes.length)
    return NeedsMet(inlet=along.inlet, arrival=along.arrival, supply_loss=supply_loss, design_loss=design_loss, per_length=per_length)


def _going_on(sheet: Sheet, pipes: Pipes, lines: Ground, along: Reached) -> Reached:
    """The supply into the lines where another run's flow goes on: what its loads leave, every need met."""
    assert pipes.start.before is not None
    left = sheet.calc(
        "Water behind the run's own loads", TEMPERATURE, lambda t, q, c: t - over(q, c), along.arrival, pipes.own_load, lines.rate
    )
    inlet = sheet.take("Supply into the line, as it goes on", FirstGiven((along.inlet, Pick(left, sheet.names, pipes.start.before))))
    return arriving(sheet, lines, inlet, lines.drop, "Supply arrives, as it goes on")
