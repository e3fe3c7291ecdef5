"""Boiler: the sum of the loads against the fire, where the water settles, how the fire cycles, what a charge gives, and a power cut."""

from __future__ import annotations

from dataclasses import dataclass, fields
from types import SimpleNamespace

import numpy as np

from hydrocalc import liquids, pressure, storage
from hydrocalc.measures import (
    COUNT,
    ENERGY,
    MINUTES,
    POWER,
    PRESSURE,
    RATIO,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TIME,
    VOLUME,
    Measure,
    System,
)
from workbook_builder.model.aggregates import Across
from workbook_builder.model.base import Reference, ShowsNumber
from workbook_builder.model.copying import copy_sheet
from workbook_builder.model.references import FirstGiven, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BOILER

from .cascade import Case, make_case
from .context import ONE, Making
from .line_temperatures import heat_back, reached

LEAST_POWER = 1.0  # W
BUFFER_STEP: dict[System, float] = {"us": 5.0, "metric": 10.0}  # gal, L
WHOLE = 1e-6  # of a step: a volume that is a whole number of them but for the rounding of its arithmetic stays so
SETTLING_STEPS = 8
HALF = 0.5
FREEZING = 0.0  # °C
LEAST_SPAN = 1e-6  # K
FILL_TEMPERATURE = 10.0  # °C, water from the main or the well
BATCH_SWING = 50 / 1.8  # K, of a tank that takes up a whole charge (common practice, no source)


def make_boiler(making: Making) -> None:
    """The sheet Boiler."""
    sheet = making.book.sheet("Boiler", ONE, "Boiler: the sum of the loads and the fire")
    rows = SimpleNamespace(sheet=sheet)
    making.rows["boiler"] = rows
    _sum(making, sheet, rows)
    _charge(making, sheet, rows)
    _cycles(making, sheet, rows)
    _power_cut(making, sheet, rows)
    _expansion(making, sheet, rows)


def _sum(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    returns = making.returns
    sheet.heading("The sum on the design night")
    rows.loads = sheet.take("All loads, what they need", Across(making.needs.need, "SUM"), shows="whole")
    rows.taken = sheet.take("All loads, what they take", Across(making.steady.case.taken, "SUM"), shows="whole")
    rows.lines = sheet.take("All lines, what they lose", Across(returns.loss, "SUM"), shows="whole")
    rows.needed = sheet.calc("Load of the boiler", POWER, lambda a, b: a + b, rows.loads, rows.lines, shows="whole")
    rows.given = sheet.take("Heat that leaves the boiler", Across(returns.from_boiler, "SUM"), shows="whole")
    rows.residual = sheet.calc(
        "Leaving less taken less lost, over what leaves (0: it closes)",
        RATIO,
        lambda q, a, b: (q - a - b) / np.maximum(q, LEAST_POWER),
        rows.given,
        rows.taken,
        rows.lines,
    )
    rows.output = making.job("boiler", "rated output")
    rows.margin = sheet.calc(
        "Rated output over the load", RATIO, lambda q, load: q / np.maximum(load, LEAST_POWER), rows.output, rows.needed
    )


def _charge(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    cords = making.cords
    sheet.heading("What one charge gives")
    rows.charge = sheet.line(
        "Dry weight of a charge",
        storage.charge_mass,
        making.job("boiler", "firebox volume"),
        making.job("boiler", "charge fill"),
        making.job("boiler", "bulk density"),
    )
    rows.charge_heat = sheet.line(
        "Heat of a charge to the water", storage.charge_heat, rows.charge, cords.dry_heat, cords.efficiency, shows="whole"
    )
    of_charge = sheet.line(
        "Sustained output of a charge",
        storage.sustained_output,
        rows.charge_heat,
        making.job("boiler", "hours between loadings"),
        shows="whole",
    )
    # A maker's average over a charge is one; of a peak, or of a figure of which that is not said, nothing follows for the night.
    basis = sheet.take("Basis of the rated output", making.job("boiler", "rated output basis"))
    averaged = kind_is(basis, "average over a charge")
    rated = sheet.calc("Rated output, if an average over a charge", POWER, lambda q: q * 1.0, rows.output, when=averaged, shows="whole")
    rows.sustained = sheet.take("Sustained output", FirstGiven((of_charge, rated)), shows="whole")
    rows.sustained_margin = sheet.calc(
        "Sustained output over the load", RATIO, lambda q, load: q / np.maximum(load, LEAST_POWER), rows.sustained, rows.needed
    )
    rows.burn_time = sheet.line("Hours on a charge, design night", storage.burn_time, rows.charge_heat, rows.needed)
    rows.carries = sheet.take("Output that the night can count on", FirstGiven((rows.sustained, _rated(making, sheet))), shows="whole")
    least = sheet.calc("Output that limits the water", POWER, lambda a, b: np.minimum(a, b), rows.carries, rows.output, shows="whole")
    rows.limit = least


def _rated(making: Making, sheet: Sheet) -> Row:
    return sheet.take("Rated output", making.job("boiler", "rated output"), shows="whole")


def _cycles(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    site = making.site
    on, off = making.job("boiler", "fan on at"), making.job("boiler", "fan off at")
    sheet.heading("Band and cycle")
    tank = making.job("boiler", "buffer tank volume")
    content = making.job("boiler", "water content")
    rows.lines_volume = sheet.take("Water in the lines", Across(making.pipes.volume, "SUM"))
    rows.volume = sheet.calc("Water that swings with the fire", VOLUME, lambda a, b: a + b, content, tank)
    kind = sheet.take("Kind of boiler", making.job("boiler", "kind"))
    band = sheet.calc("Width of the band", TEMPERATURE_DIFFERENCE, lambda a, b: b - a, on, off)
    of_batch = sheet.calc("Swing of a batch boiler's tank", TEMPERATURE_DIFFERENCE, lambda: BATCH_SWING, when=kind_is(kind, "batch"))
    typed_swing = sheet.take("Swing of the buffer tank, typed", making.job("boiler", "buffer tank swing"))
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
    rows.band = sheet.calc("Heat in the band", ENERGY, lambda a, b: a + b, of_content, of_tank, shows="whole")
    half = sheet.calc("Half the load", POWER, lambda q: q * HALF, rows.needed, shows="whole")
    for name, load, key in (("design night", rows.needed, "design"), ("half load", half, "half")):
        firing = sheet.line(f"Firing time, {name}", storage.recovery_time, rows.band, rows.output, load)
        idle = sheet.line(f"Idle time, {name}", storage.idle_time, rows.band, load)
        cycle = sheet.line(f"Cycle, {name}", storage.firing_cycle_time, rows.band, rows.output, load)
        per_hour = sheet.line(f"Cycles an hour, {name}", storage.cycles_per_hour, cycle)
        share = sheet.line(f"Part of the time firing, {name}", storage.firing_share, rows.output, load)
        setattr(rows, key, SimpleNamespace(firing=firing, idle=idle, cycle=cycle, per_hour=per_hour, share=share))
    rows.shortest = sheet.line("Shortest cycle there is", storage.shortest_cycle, rows.band, rows.output)
    # Firing is the part load / output of a cycle: so long it has to be for no more cycles than wanted.
    for_cycles = sheet.calc(
        "Firing time for the cycles wanted, half load",
        MINUTES,
        lambda load, q, n: load / np.maximum(q, LEAST_POWER) / n,
        half,
        rows.output,
        making.job("limits", "cycles an hour"),
        words="half the load / rated output / cycles an hour wanted",
    )
    firing = sheet.calc(
        "Firing time that keeps both limits",
        MINUTES,
        lambda a, b: np.maximum(a, b),
        making.job("limits", "shortest firing time"),
        for_cycles,
    )
    of_both = sheet.line(
        "Water for that firing time, at the tank's swing",
        storage.buffer_volume,
        firing,
        rows.output,
        half,
        swing,
        site.density,
        site.specific_heat,
    )
    rows.buffer = sheet.calc(
        "Buffer for the shortest firing wanted, half load",
        VOLUME,
        lambda v, own, a, b: np.maximum(v - own * a / b, 0.0),
        of_both,
        content,
        band,
        swing,
        words="that water less what the boiler's own stands for: its content × width of the band / swing of the tank",
    )
    step = float(VOLUME.unit(making.book.system).to_coherent(BUFFER_STEP[making.book.system]))
    rows.buffer_to_order = sheet.calc(
        "Buffer to order",
        VOLUME,
        lambda v: (0.0 - np.floor(WHOLE - v / step)) * step,
        rows.buffer,
        words="rounded up to whole steps",
    )
    burn = sheet.calc(
        "Time in which a charge burns at the rated output", TIME, lambda e, q: e / np.maximum(q, LEAST_POWER), rows.charge_heat, rows.output
    )
    rows.batch_buffer = sheet.line(
        "Tank that holds a charge (batch boiler)",
        storage.charge_buffer_volume,
        rows.charge_heat,
        rows.needed,
        burn,
        swing,
        site.density,
        site.specific_heat,
        when=kind_is(kind, "batch"),
    )


def make_draw_and_return(making: Making) -> None:
    """On Boiler, of the design night as it will be: the peak draw, and what comes back."""
    sheet, rows = making.boiler.sheet, making.boiler
    _draw(making, sheet, rows)
    _return(making, sheet, rows)


def _draw(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("Hot water drawn at its peak on that night")
    lost = sheet.take("All lines, what they lose on that night", Across(making.night.loss, "SUM"), shows="whole")
    rows.drawn = sheet.take("All loads while it is drawn", Across(making.draw.case.taken, "SUM"), shows="whole")
    total = sheet.calc("Load of the boiler while it is drawn", POWER, lambda a, b: a + b, rows.drawn, lost, shows="whole")
    beyond = sheet.calc("Beyond the output", POWER, lambda q, most: np.maximum(q - most, LEAST_POWER), total, rows.output, shows="whole")
    rows.draw_lasts = sheet.line("Minutes that the heat in the band lasts", storage.idle_time, rows.band, beyond)


def _return(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    sheet.heading("Return to the boiler")
    rate = sheet.take("Capacity rate at the boiler", Across(making.night.boiler_rate, "SUM"))
    rows.boiler_rate = rate
    given = sheet.take("Heat that leaves the boiler on that night", Across(making.night.from_boiler, "SUM"), shows="whole")
    rows.return_temperature = sheet.calc(
        "Return temperature, design night", TEMPERATURE, lambda t, q, c: t - q / np.maximum(c, LEAST_POWER), rows.settled, given, rate
    )
    rows.mixing = sheet.line(
        "Part of the supply to mix into the return",
        storage.return_mixing_fraction,
        rows.settled,
        rows.return_temperature,
        making.job("boiler", "lowest return temperature"),
    )


def _power_cut(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    site = making.site
    on, off = making.job("boiler", "fan on at"), making.job("boiler", "fan off at")
    content = making.job("boiler", "water content")
    outdoor = making.job("site", "outdoor design temperature")
    water = (site.density, site.specific_heat)
    sheet.heading("Power cut on the design night")
    rows.band_left = sheet.line("Hours until the band is used, if the pumps ran on", storage.idle_time, rows.band, rows.needed)
    jacket = making.cords.jacket
    rows.freezes = sheet.line(
        "Hours until the boiler's water freezes", storage.cooling_time, content, on, FREEZING, outdoor, jacket, *water
    )
    rows.boils_in = sheet.line(
        "Minutes of a full fire until the boiler boils", storage.time_to_boil, content, off, site.boils, rows.output, *water
    )


def _expansion(making: Making, sheet: Sheet, rows: SimpleNamespace) -> None:
    site = making.site
    sheet.heading("Expansion and pressure")
    hottest = sheet.calc(
        "Hottest water", TEMPERATURE, lambda a, b: a + b, making.job("boiler", "fan off at"), making.job("boiler", "overshoot")
    )
    rows.hottest = hottest
    kind, fraction = making.job("liquid", "kind"), site.fraction
    total = sheet.calc("Water in boiler, tank and lines", VOLUME, lambda a, b: a + b, rows.volume, rows.lines_volume)
    rows.total_volume = total
    rows.expansion = sheet.line(
        "Expansion from filling to the hottest", pressure.expansion_volume, kind, fraction, total, FILL_TEMPERATURE, hottest
    )
    relief, fill = making.job("boiler", "relief pressure"), making.job("boiler", "fill pressure")
    top = sheet.calc(
        "Highest working pressure",
        PRESSURE,
        lambda p, share, least: p - np.maximum(p * share, least),
        relief,
        making.job("limits", "relief margin"),
        making.job("limits", "least relief margin"),
    )
    rows.top_pressure = top
    system = sheet.take("System", making.job("boiler", "system"))
    closed = kind_is(system, "closed")
    rows.tank = sheet.line(
        "Expansion tank of a closed system", pressure.expansion_tank_volume, rows.expansion, fill, top, site.surface, when=closed
    )
    rows.vapor = sheet.line("Vapor pressure of the hottest water", liquids.water_vapor_pressure, hottest)


class _Cases:
    """The loads at one water after another: the first is recorded, the others are copies of it."""

    def __init__(self, making: Making) -> None:
        self.making = making
        self.first: tuple[Case, Row] | None = None

    def at(self, name: str, title: str, arriving: Row) -> Case:
        if self.first is None:
            case = make_case(self.making, self.making.book.sheet(name, self.making.loads, title), arriving, None)
            self.first = case, arriving
            return case
        first, first_arriving = self.first
        sheet, copies = copy_sheet(first.sheet, name, title, {first_arriving: arriving})
        return Case(sheet, *(copies[getattr(first, part.name)] for part in fields(Case)[1:]))


@dataclass
class _Ends:
    """The cold and the hot end between which the water settles: the water, demand less output, and each run's drop."""

    water: tuple[Row, Row]
    miss: tuple[Row, Row]
    drop: tuple[Row, Row]


def make_settling(making: Making) -> None:
    """The sheets Settling and Settled: where the water comes to rest when the needs exceed the output."""
    rows, lines = making.boiler, making.ground
    sheet = rows.sheet
    # A sheet of its own, after Returns: two sheets that read each other's columns cannot both be lengthened by hand.
    along = making.book.sheet("SettlingRuns", making.runs, "Settling runs: the supply of each line at each try")
    on = making.job("boiler", "fan on at")
    sheet.heading("Where the water settles")
    coolest = sheet.take("Coolest room or sink", Across(making.needs.indoor, "MIN"))
    short = sheet.calc("Load beyond the output (1: yes)", COUNT, lambda q, most: np.where(q > most, 1.0, 0.0), rows.given, rows.limit)
    # Between water at which no room takes any heat and water at fan on lies the water at which demand equals output.  Demand is
    # level where all needs are met and falls steeply below: a straight line through two tries can miss by far, halving cannot.
    # Eight halvings leave some tenths of a kelvin, and there the straight line between the two ends is good.
    along.heading("Settling: no heat taken")
    idle = along.calc(
        "Lost by the lines, no heat taken",
        POWER,
        lambda c, t, g, w, h: 2 * w * c * (t - g) / (h + w),
        *(lines.rate, coolest, lines.temperature, lines.decay, lines.rise),
        when=kind_is(making.pipes.starts_at, BOILER),
        shows="whole",
    )
    nothing = along.calc("Drop, no heat taken", TEMPERATURE_DIFFERENCE, lambda d: 0 * d, making.returns.drop)
    lost = sheet.take("Lost by the lines, no heat taken", Across(idle, "SUM"), shows="whole")
    under = sheet.calc("Demand less output, no heat taken", POWER, lambda q, most: q - most, lost, rows.limit, shows="whole")
    over = sheet.calc("Demand less output, water at fan on", POWER, lambda q, most: q - most, rows.given, rows.limit, shows="whole")
    ends = _Ends((coolest, sheet.take("Water at fan on", on)), (under, over), (nothing, making.returns.drop))
    cases = _Cases(making)
    for step in range(1, SETTLING_STEPS + 1):
        ends = _narrowed(making, cases, ends, short, step)
    rows.settled = _met(sheet, ends, on, short)
    rows.short = short
    making.rows["settled"] = _settled(making, cases, ends)


def _narrowed(making: Making, cases: _Cases, ends: _Ends, short: Row, step: int) -> _Ends:
    """The water half way between the ends, and the end on whose side it lies moved there."""
    rows, along = making.boiler, making.book.sheets["SettlingRuns"]
    sheet = rows.sheet
    water = sheet.calc(
        f"Water, try {step}",
        TEMPERATURE,
        lambda a, b, t0, is_short: np.where(is_short > 0, (a + b) / 2, t0),
        *ends.water,
        making.job("boiler", "fan on at"),
        short,
        words="half way between the cold and the hot end",
    )
    name = f", settling {step}"
    along.heading(f"Settling, try {step}")
    # What the loads take there is not known before the water has arrived; it lies between what they take at the two ends.
    drop = along.calc(f"Drop half way{name}", TEMPERATURE_DIFFERENCE, lambda a, b: (a + b) / 2, *ends.drop)
    there = reached(making, along, water, drop, name)
    case = cases.at(f"Settling{step}", f"Settling, try {step}", there.arrival)
    back = heat_back(making, along, there.inlet, case.taken, name)
    demand = sheet.take(f"Demand, try {step}", Across(back.from_boiler, "SUM"), shows="whole")
    miss = sheet.calc(f"Demand less output, try {step}", POWER, lambda q, most: q - most, demand, rows.limit, shows="whole")

    def moved(on: Sheet, label: str, kind: Measure, pair: tuple[Row, Row], new: Row, shows: ShowsNumber = "general") -> tuple[Row, Row]:
        return (
            on.calc(
                f"{label} at the cold end, after try {step}", kind, lambda e, t, f: np.where(f > 0, e, t), pair[0], new, miss, shows=shows
            ),
            on.calc(
                f"{label} at the hot end, after try {step}", kind, lambda e, t, f: np.where(f > 0, t, e), pair[1], new, miss, shows=shows
            ),
        )

    return _Ends(
        moved(sheet, "Water", TEMPERATURE, ends.water, water),
        moved(sheet, "Demand less output", POWER, ends.miss, miss, "whole"),
        moved(along, "Drop", TEMPERATURE_DIFFERENCE, ends.drop, back.drop),
    )


def _met(sheet: Sheet, ends: _Ends, on: Reference, short: Row) -> Row:
    """Where the straight line between the two ends meets the output; fan on where the output is enough."""
    return sheet.calc(
        "Water where it settles",
        TEMPERATURE,
        lambda a, b, fa, fb, t0, is_short: np.where(
            is_short > 0, a + (b - a) * (np.maximum(0 - fa, 0.0) / np.maximum(np.maximum(0 - fa, 0.0) + fb, LEAST_POWER)), t0
        ),
        *ends.water,
        *ends.miss,
        on,
        short,
        words="the straight line between the cold and the hot end, met with the output",
    )


def _settled(making: Making, cases: _Cases, ends: _Ends) -> SimpleNamespace:
    """The loads at the settled water; where the output is enough, the water arrives as on the Cascade."""
    rows, along = making.boiler, making.book.sheets["SettlingRuns"]
    along.heading("Settled")
    drop = along.calc(
        "Drop, settled",
        TEMPERATURE_DIFFERENCE,
        lambda t, a, b, c, d: c + (d - c) * np.where(b - a > LEAST_SPAN, (t - a) / np.maximum(b - a, LEAST_SPAN), 1.0),
        rows.settled,
        *ends.water,
        *ends.drop,
        words="between the drops at the two ends as the settled water lies between them",
    )
    there = reached(making, along, rows.settled, drop, ", settled")
    arrival = along.calc(
        "Supply that counts, settled",
        TEMPERATURE,
        lambda t, t0, is_short: np.where(is_short > 0, t, t0),
        there.arrival,
        making.steady.reached.arrival,
        rows.short,
        words="as settled where the load is beyond the output, else as on the Cascade",
    )
    case = cases.at("Settled", "Settled: what the loads get on the design night, as it will be", arrival)
    sheet = case.sheet
    sheet.heading("Is it enough?")
    short = sheet.calc("Short of the need", POWER, lambda need, q: np.maximum(need - q, 0.0), case.need, case.taken, shows="whole")
    return SimpleNamespace(case=case, arrival=arrival, shortfall=short)
