"""Boiler: the sum of the loads against the fire, where the water settles, how the fire cycles, what a charge gives, and a power failure."""

from __future__ import annotations

import numpy as np

from hydrocalc import liquids, loads, pressure, storage
from hydrocalc.measures import (
    ENERGY,
    MINUTES,
    POWER,
    PRESSURE,
    RATIO,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TIME,
    VOLUME,
    System,
)
from workbook_builder.model.aggregates import Across
from workbook_builder.model.base import Reference
from workbook_builder.model.references import Constant, FirstGiven, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet

from .context import Context, over
from .night_results import Balance, Boiler, Charge, Cycle, Cycles, Draw, Expansion, Load, Night, PowerCut, Return, Returns, Steady
from .results import Fire, Needs, Pipes, Site

BUFFER_STEP: dict[System, float] = {"us": 5.0, "metric": 10.0}  # gal, L
WHOLE = 1e-6  # of a step: a volume that is a whole number of them but for the rounding of its arithmetic stays so
HALF = 0.5
FREEZING = 0.0  # °C
FILL_TEMPERATURE = 10.0  # °C, water from the main or the well
BATCH_SWING = 50 / 1.8  # K, of a tank that takes up a whole charge (common practice, no source)


def make_boiler(context: Context, site: Site, needs: Needs, pipes: Pipes, steady: Steady, returns: Returns, fire: Fire) -> Boiler:
    """The sheet Boiler."""
    sheet = context.sheet("Boiler")
    load = _sum(context, sheet, needs, steady, returns)
    charge = _charge(context, sheet, fire, load)
    cycles = _cycles(context, sheet, site, pipes, load, charge)
    power_cut = _power_cut(context, sheet, site, fire, load, cycles)
    return Boiler(sheet, load, charge, cycles, power_cut, _expansion(context, sheet, site, cycles))


def _sum(context: Context, sheet: Sheet, needs: Needs, steady: Steady, returns: Returns) -> Load:
    """What leaves the boiler with water at the lower setpoint, and whether it adds up."""
    sheet.heading("The sum on the design night")
    loads = sheet.take("All loads, what they need", Across(needs.need, "SUM"), shows="whole")
    taken = sheet.take("All loads, what they take", Across(steady.case.taken, "SUM"), shows="whole")
    lines = sheet.take("All lines, what they lose", Across(returns.loss, "SUM"), shows="whole")
    needed = sheet.calc("Load of the boiler", POWER, lambda a, b: a + b, loads, lines, shows="whole")
    given = sheet.take("Heat that leaves the boiler", Across(returns.from_boiler, "SUM"), shows="whole")
    residual = sheet.calc(
        "Leaving less taken less lost, over what leaves (0: it closes)",
        RATIO,
        lambda q, a, b: over(q - a - b, q),
        given,
        taken,
        lines,
    )
    first = sheet.take("Rated output", context.job("boiler", "rated output"), shows="whole")
    output = first
    if context.beside_the_fire("second rated output"):
        second = FirstGiven((context.job("boiler", "second rated output"), Constant(0, POWER)))
        output = sheet.calc("Rated output of both boilers", POWER, lambda a, b: a + b, first, second, shows="whole")
    margin = sheet.calc("Rated output over the load", RATIO, over, output, needed)
    if context.beside_the_fire("backup output"):
        margin = sheet.calc(
            "Rated output, and what the backup has to add, over the load",
            RATIO,
            lambda own, more, least, q: over(np.maximum(own, np.minimum(own + more, least * q)), q),
            *(output, _backup(context), context.job("limits", "lowest output to load"), needed),
            words="the larger of the rated output and what is required, as far as the backup makes that up / load",
        )
    return Load(loads, taken, lines, needed, given, residual, first, output, margin)


def _both(context: Context, sheet: Sheet, label: str, first: Reference, item: str) -> Reference:
    """The first boiler's with that of the second, which where it is not told is as the first's."""
    if not context.beside_the_fire("second rated output"):
        return first
    there = FirstGiven((context.job("boiler", "second rated output"), Constant(0, POWER)))
    typed = FirstGiven((context.job("boiler", item), first))
    return sheet.calc(label, first.kind, lambda a, b, q: a + np.where(q > 0, b, 0.0), first, typed, there)


def _backup(context: Context) -> Reference:
    return FirstGiven((context.job("boiler", "backup output"), Constant(0, POWER)))


def _charge(context: Context, sheet: Sheet, fire: Fire, load: Load) -> Charge:
    """What a charge holds, how long it lasts, and what output the night can count on."""
    sheet.heading("What one charge gives")
    charge = sheet.line(
        "Dry weight of a charge",
        storage.charge_mass,
        _both(context, sheet, "Firebox volume of both boilers", context.job("boiler", "firebox volume"), "second firebox volume"),
        context.job("boiler", "charge fill"),
        context.job("boiler", "bulk density"),
    )
    charge_heat = sheet.line("Heat of a charge to the water", storage.charge_heat, charge, fire.dry_heat, fire.efficiency, shows="whole")
    # What holds for the wood of a month holds for a charge: the fire makes the jacket's loss as well, and burns while it idles.
    jacket = sheet.calc(
        "Jacket loss, design night",
        POWER,
        lambda u, lower, upper, t, adds: u * np.maximum((lower + upper) / 2 - t, 0.0) * adds,
        fire.jacket,
        context.job("boiler", "lower setpoint"),
        context.job("boiler", "upper setpoint"),
        context.job("site", "outdoor design temperature"),
        fire.standby,
        shows="whole",
    )
    if load.output is not load.first_output:
        jackets = (jacket, load.output, load.first_output)
        jacket = sheet.calc(
            "Jacket loss of the boilers", POWER, lambda u, both, own: u * np.where(both > own, 2, 1), *jackets, shows="whole"
        )
    standby = jacket, fire.idle_share, load.output
    of_charge = sheet.calc(
        "Sustained output of a charge",
        POWER,
        lambda q, hours, *standby: storage.heat_left(q / hours, *standby),
        charge_heat,
        context.job("boiler", "hours between loadings"),
        *standby,
        shows="whole",
        words="heat of a charge / hours between loadings, less what the idling fire burns and the jacket loses",
    )
    # A maker's average over a charge is one; of a peak, or of a figure of which that is not said, nothing follows for the night.
    basis = sheet.take("Basis of the rated output", context.job("boiler", "rated output basis"))
    averaged = Where(load.output, kind_is(basis, "average over a charge"))
    sustained = sheet.take("Sustained output", FirstGiven((of_charge, averaged)), shows="whole")
    backup = context.beside_the_fire("backup output")
    with_backup = sustained
    if backup:
        label = "Sustained output with the backup"
        with_backup = sheet.calc(label, POWER, lambda a, b: a + b, sustained, _backup(context), shows="whole")
    margin = sheet.calc("Sustained output over the load", RATIO, over, with_backup, load.needed)
    burnt = sheet.calc(
        "Load, jacket and idling fire",
        POWER,
        storage.fire_heat,
        load.needed,
        *standby,
        shows="whole",
        words="load + jacket loss + idle fuel share × what they leave of the rated output",
    )
    burn_time = sheet.line("Burn time, design night", storage.burn_time, charge_heat, burnt)
    carries = sheet.take("Output that the night can count on", FirstGiven((sustained, load.output)), shows="whole")
    least = sheet.calc("Output that limits the water", POWER, np.minimum, carries, load.output, shows="whole")
    limits = least
    if backup:
        limits = sheet.calc("Output and backup that limit the water", POWER, lambda a, b: a + b, least, _backup(context), shows="whole")
    return Charge(charge, charge_heat, sustained, margin, burn_time, least, limits)


def _cycles(context: Context, sheet: Sheet, site: Site, pipes: Pipes, load: Load, charge: Charge) -> Cycles:
    """The band, the cycles that it makes, and the buffer that keeps both limits."""
    on, off = context.job("boiler", "lower setpoint"), context.job("boiler", "upper setpoint")
    sheet.heading("Differential and cycle")
    tank = context.job("boiler", "buffer tank volume")
    content = _both(context, sheet, "Water content of both boilers", context.job("boiler", "water content"), "second water content")
    lines_volume = sheet.take("Water in the lines", Across(pipes.volume, "SUM"))
    volume = sheet.calc("Water that swings with the fire", VOLUME, lambda a, b: a + b, content, tank)
    total = sheet.calc("Water in boiler, tank and lines", VOLUME, lambda a, b: a + b, volume, lines_volume)
    kind = sheet.take("Kind of boiler", context.job("boiler", "kind"))
    band = sheet.calc("Width of the band", TEMPERATURE_DIFFERENCE, lambda a, b: b - a, on, off)
    of_batch = sheet.calc("Swing of a batch boiler's tank", TEMPERATURE_DIFFERENCE, lambda: BATCH_SWING, when=kind_is(kind, "batch"))
    typed_swing = sheet.take("Swing of the buffer tank, typed", context.job("boiler", "buffer tank swing"))
    swing = sheet.take("Swing of the buffer tank", FirstGiven((typed_swing, of_batch, band)))
    of_content = sheet.line(
        "Heat in the boiler's own water", storage.stored_heat, content, on, off, site.density, site.specific_heat, shows="whole"
    )
    of_tank = sheet.calc(
        "Heat in the buffer tank",
        ENERGY,
        lambda v, r, c, d: v * r * c * d,
        tank,
        site.density,
        site.specific_heat,
        swing,
        shows="whole",
    )
    stored = sheet.calc("Heat in the band", ENERGY, lambda a, b: a + b, of_content, of_tank, shows="whole")
    half = sheet.calc("Half the load", POWER, lambda q: q * HALF, load.needed, shows="whole")

    def cycle_at(name: str, at: Row, output: Row) -> Cycle:
        firing = sheet.line(f"Firing time, {name}", storage.recovery_time, stored, output, at)
        idle = sheet.line(f"Idle time, {name}", storage.idle_time, stored, at)
        cycle = sheet.line(f"Cycle, {name}", storage.firing_cycle_time, stored, output, at)
        per_hour = sheet.line(f"Cycles an hour, {name}", storage.cycles_per_hour, cycle)
        return Cycle(firing, idle, cycle, per_hour, sheet.line(f"Part of the time firing, {name}", storage.firing_share, output, at))

    half_output = load.output
    if context.beside_the_fire("second rated output"):
        half_output = sheet.calc(
            "Output of the boilers lit at half load",
            POWER,
            lambda q, first, both: np.where(q > first, both, first),
            *(half, load.first_output, load.output),
            shows="whole",
            words="the first alone where it carries that, else both",
        )
    at_design, at_half = cycle_at("design night", load.needed, load.output), cycle_at("half load", half, half_output)
    shortest = sheet.line("Shortest cycle there is", storage.shortest_cycle, stored, load.output)
    # Firing is the part load / output of a cycle: so long it has to be for no more cycles than wanted.
    for_cycles = sheet.calc(
        "Firing time for the cycles wanted, half load",
        MINUTES,
        lambda at, q, n: over(at, q) / n,
        half,
        half_output,
        context.job("limits", "cycles an hour"),
        words="half the load / rated output / cycles an hour wanted",
    )
    firing = sheet.calc(
        "Firing time that keeps both limits",
        MINUTES,
        lambda a, b: np.maximum(a, b),
        context.job("limits", "shortest firing time"),
        for_cycles,
    )
    of_both = sheet.line(
        "Water for that firing time, at the tank's swing",
        storage.buffer_volume,
        firing,
        half_output,
        half,
        swing,
        site.density,
        site.specific_heat,
    )
    buffer = sheet.calc(
        "Buffer for the shortest firing wanted, half load",
        VOLUME,
        lambda v, own, a, b: np.maximum(v - own * a / b, 0.0),
        of_both,
        content,
        band,
        swing,
        words="that water less what the boiler's own stands for: its content × width of the band / swing of the tank",
    )
    step = float(VOLUME.unit(context.book.system).to_coherent(BUFFER_STEP[context.book.system]))
    to_order = sheet.calc(
        "Buffer to order",
        VOLUME,
        lambda v: (0.0 - np.floor(WHOLE - v / step)) * step,
        buffer,
        words="rounded up to whole steps",
    )
    burn = sheet.calc("Time in which a charge burns at the rated output", TIME, over, charge.charge_heat, load.output)
    batch = sheet.line(
        "Tank that holds a charge (batch boiler)",
        storage.charge_buffer_volume,
        charge.charge_heat,
        load.needed,
        burn,
        swing,
        site.density,
        site.specific_heat,
        when=kind_is(kind, "batch"),
    )
    return Cycles(total, stored, at_design, at_half, shortest, buffer, to_order, batch)


def _power_cut(context: Context, sheet: Sheet, site: Site, fire: Fire, load: Load, cycles: Cycles) -> PowerCut:
    """How long the house has when all stops."""
    on, off = context.job("boiler", "lower setpoint"), context.job("boiler", "upper setpoint")
    content = context.job("boiler", "water content")
    outdoor = context.job("site", "outdoor design temperature")
    water = (site.density, site.specific_heat)
    sheet.heading("Power failure on the design night")
    band_left = sheet.line("Hours until the band is used, if the pumps ran on", storage.idle_time, cycles.band, load.needed)
    freezes = sheet.line(
        "Hours until the boiler's water freezes", storage.cooling_time, content, on, FREEZING, outdoor, fire.jacket, *water
    )
    boils_in = sheet.line(
        "Minutes of a full fire until the boiler boils", storage.time_to_boil, content, off, site.boils, load.first_output, *water
    )
    if context.beside_the_fire("second rated output"):
        own = FirstGiven((context.job("boiler", "second water content"), content))
        second = (sheet.take("Water content of the second boiler", own), off, site.boils, context.job("boiler", "second rated output"))
        other = sheet.line("Minutes until the second boils", storage.time_to_boil, *second, *water)
        sooner = sheet.calc("Minutes until the sooner of both boils", MINUTES, lambda a, b: np.minimum(a, b), boils_in, other)
        boils_in = sheet.take("Minutes of a full fire until a boiler boils", FirstGiven((sooner, boils_in)))
    # Not of what is cut but of what comes after: from cold, the house asking for all its heat.
    from_cold = sheet.line(
        "Hours from cold to the lower setpoint, every load served",
        loads.heat_up_time,
        cycles.total_volume,
        context.job("boiler", "start temperature"),
        on,
        load.output,
        load.needed,
        *water,
    )
    return PowerCut(band_left, freezes, boils_in, from_cold)


def _expansion(context: Context, sheet: Sheet, site: Site, cycles: Cycles) -> Expansion:
    """What the water gains from filling to its hottest, and what pressure that may make."""
    sheet.heading("Expansion and pressure")
    hottest = sheet.calc(
        "Hottest water", TEMPERATURE, lambda a, b: a + b, context.job("boiler", "upper setpoint"), context.job("boiler", "overshoot")
    )
    kind, fraction = context.job("liquid", "kind"), site.fraction
    expansion = sheet.line(
        "Expansion from filling to the hottest", pressure.expansion_volume, kind, fraction, cycles.total_volume, FILL_TEMPERATURE, hottest
    )
    relief, fill = context.job("boiler", "relief pressure"), context.job("boiler", "fill pressure")
    top = sheet.calc(
        "Highest working pressure",
        PRESSURE,
        lambda p, share, least: p - np.maximum(p * share, least),
        relief,
        context.job("limits", "relief margin"),
        context.job("limits", "least relief margin"),
    )
    system = sheet.take("System", context.job("boiler", "system"))
    closed = kind_is(system, "closed")
    tank = sheet.line("Expansion tank of a closed system", pressure.expansion_tank_volume, expansion, fill, top, site.surface, when=closed)
    vapor = sheet.line("Vapor pressure of the hottest water", liquids.water_vapor_pressure, hottest)
    return Expansion(hottest, expansion, top, tank, vapor)


def make_draw_and_return(context: Context, boiler: Boiler, balance: Balance, night: Night, draw: Draw) -> Return:
    """On Boiler, of the design night as it will be: the peak draw, and what comes back."""
    sheet, lines, supply = boiler.sheet, night.lines, balance.water
    sheet.heading("Hot water drawn at its peak on that night")
    lost = sheet.take("All lines, what they lose on that night", Across(lines.loss, "SUM"), shows="whole")
    drawn = sheet.take("All loads while it is drawn", Across(draw.case.taken, "SUM"), shows="whole")
    total = sheet.calc("Load of the boiler while it is drawn", POWER, lambda a, b: a + b, drawn, lost, shows="whole")
    beyond = sheet.calc("Beyond the output", POWER, lambda q, most: np.maximum(q - most, 0.0), total, boiler.load.output, shows="whole")
    lasts = sheet.line("Minutes that the heat in the band lasts", storage.idle_time, boiler.cycles.band, beyond)
    sheet.heading("Return to the boiler")
    rate = sheet.take("Capacity rate at the boiler", Across(lines.boiler_rate, "SUM"))
    given = sheet.take("Heat that leaves the boiler on that night", Across(lines.from_boiler, "SUM"), shows="whole")
    temperature = sheet.calc("Return temperature, design night", TEMPERATURE, lambda t, q, c: t - over(q, c), supply, given, rate)
    mixing = sheet.line(
        "Part of the supply to mix into the return",
        storage.return_mixing_fraction,
        supply,
        temperature,
        context.job("boiler", "lowest return temperature"),
    )
    return Return(drawn, lasts, temperature, rate, mixing)
