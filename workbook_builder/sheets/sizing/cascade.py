"""Cascade: the water from load to load along each run, for one temperature of the supply.

One function makes a case; the steady night, the draw in progress and the settling water are the same rows with
another supply or another need.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from hydrocalc import emitters, exchangers
from hydrocalc.measures import CONDUCTANCE, FRACTION, POWER, RATIO, TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.model.aggregates import Pick, SumWhere
from workbook_builder.model.base import Reference, SheetPlace, Values
from workbook_builder.model.copying import copy_sheet
from workbook_builder.model.references import Both, FirstGiven, SameColumn, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BOILER

from .context import Making
from .line_temperatures import Reached, heat_back, reached
from .load_models import HIGHEST_EFFECTIVENESS, LEAST, TAKERS, Water, coil_rate

BOUNDLESS = 1e12  # W/K
LEAST_CHANGE = 1e-5  # K: changes are counted in this, since what is left of large numbers that cancel is their rounding
MOST_RATIO = 0.8  # of the change before; with less the tries close in


@dataclass
class Case:
    """The rows of one case that others need."""

    sheet: Sheet
    inlet: Row
    taken: Row
    capacity: Row
    outlet: Row
    after: Row
    need: Row
    exchanger: Row


def make_cascade(making: Making) -> None:
    """The sheet Cascade: the steady design night with water at fan on."""
    sheet = making.book.sheet("Cascade", making.loads, "Cascade: design night, water at fan on")
    making.rows["shares"] = _shares(making, sheet)
    making.rows["steady"] = SimpleNamespace(reached=_arriving(making))
    making.steady.case = make_case(making, sheet, making.steady.reached.arrival, None, choose=True)
    making.steady.resistance = making.units.resistance
    making.steady.exchanged = FirstGiven((making.units.exchanged, making.units.fan_exchanged))
    _lowest_water(making, sheet)


def make_draw(making: Making) -> None:
    """The sheet Draw: hot water drawn at its peak on the design night as it will be.

    The supply arrives as on Settled: a draw is over before its colder return has told on the water coming the other way.
    """
    sheet = making.book.sheet("Draw", making.loads, "Draw in progress: the peak draw on the design night")
    sheet.heading("Need while hot water is drawn")
    drawn = sheet.take("Need of the draw", SameColumn(making.units.draw_load), shows="whole")
    need = sheet.take("Need", FirstGiven((drawn, making.needs.need)), shows="whole")
    making.rows["draw"] = SimpleNamespace(case=make_case(making, sheet, making.settled.arrival, need))


def _shares(making: Making, sheet: Sheet) -> SimpleNamespace:
    """Loads side by side share a run's flow; all others have the whole of it, one after the other."""
    needs, pipes = making.needs, making.pipes
    sheet.heading("The flow and its shares")
    rows = SimpleNamespace()
    rows.run = sheet.take("Run", SameColumn(needs.run))
    rows.parallel = making.fetched(sheet, "parallel with")
    rows.group = sheet.take("Side by side with", FirstGiven((rows.parallel, sheet.names)))
    together = sheet.take("Need of all that stand side by side", SumWhere(needs.need, rows.group, rows.group), shows="whole")
    by_need = sheet.calc(
        "Share of the flow, by the needs",
        FRACTION,
        lambda q, total: np.where(total > LEAST, q / np.maximum(total, LEAST), 1.0),
        needs.need,
        together,
    )
    rows.share = sheet.take("Share of the flow", FirstGiven((making.fetched(sheet, "share of flow", "Share of the flow, typed"), by_need)))
    rows.run_rate = sheet.take("Capacity rate of the run's own flow", Pick(making.ground.own_rate, pipes.sheet.names, needs.run))
    rows.rate = sheet.calc("Capacity rate at this load", CONDUCTANCE, lambda c, s: c * s, rows.run_rate, rows.share)
    return rows


def _arriving(making: Making) -> Reached:
    """The supply at the end of each line with what the loads really take, which may be less than they need.

    What arrives depends on what comes back, and that on what arrives.  Two tries along the loads show how the arrival closes in,
    each miss so many times the one before; where that ends is known without a third.
    """
    lines, starts_at, loads = making.needs_met, making.pipes.starts_at, making.loads
    sheet = making.book.sheet("Arrivals", making.runs, "Arrivals: the supply, with what the loads really take")
    first = make_case(making, making.book.sheet("Arriving1", loads, "Arriving, try 1"), lines.arrival, None, choose=True)
    sheet.heading("Try 1: the drop of what the loads take of water that came with every need met")
    back = heat_back(making, sheet, lines.inlet, first.taken, ", try 1")
    one = reached(making, sheet, making.pipes.supply, back.drop, ", try 1")
    _, copies = copy_sheet(first.sheet, "Arriving2", "Arriving, try 2", {lines.arrival: one.arrival})
    sheet.heading("Try 2: with the drop of what they take of that")
    back = heat_back(making, sheet, one.inlet, copies[first.taken], ", try 2")
    two = reached(making, sheet, making.pipes.supply, back.drop, ", try 2")
    sheet.heading("Where it ends")
    step, last = (
        sheet.calc(
            f"Change by try {n}",
            TEMPERATURE_DIFFERENCE,
            lambda a, b: np.floor((b - a) / LEAST_CHANGE + 0.5) * LEAST_CHANGE,
            before,
            after,
            words="what arrives now less what arrived before, to a hundred-thousandth of a kelvin",
        )
        for n, before, after in ((1, lines.arrival, one.arrival), (2, one.arrival, two.arrival))
    )
    ratio = sheet.calc(
        "One change over the one before",
        RATIO,
        lambda a, b: np.where(a == 0, 0.0, np.minimum(np.maximum(b / np.where(a == 0, 1.0, a), -MOST_RATIO), MOST_RATIO)),
        step,
        last,
    )
    arrival = sheet.calc(
        "Supply arrives",
        TEMPERATURE,
        lambda t, d, r: t + d * (r / (1 - r)),
        two.arrival,
        last,
        ratio,
        words="arrival of try 2 + its change × ratio / (1 − ratio): the sum of all further changes",
    )
    from_boiler = sheet.calc("Supply, from the boiler", TEMPERATURE, lambda t: t, making.pipes.supply, when=kind_is(starts_at, BOILER))
    from_parent = sheet.take("Arrival of the run it starts on", Pick(arrival, making.pipes.sheet.names, starts_at))
    return Reached(sheet.take("Supply into the line", FirstGiven((from_boiler, from_parent))), arrival)


def make_case(making: Making, sheet: Sheet, arriving: Row, need: Row | None, *, choose: bool = False) -> Case:
    """All stations of all runs, for the water that arrives on each run."""
    needs, shares = making.needs, making.shares
    sheet.heading("What arrives")
    arrival = sheet.take("Water arriving on the run", Pick(arriving, making.pipes.sheet.names, needs.run))
    need = need or sheet.take("Need that counts", SameColumn(needs.need), shows="whole")
    with sheet.chain() as left:
        sheet.heading("Station by station")
        run = sheet.take("On run", SameColumn(needs.run))
        parallel = sheet.take("Side by side with", SameColumn(shares.parallel))
        inlet = sheet.calc(
            "Water in",
            TEMPERATURE,
            lambda this, before, beside, left_in, left_after, start: np.where(
                this == before, np.where(beside == "", left_after, left_in), start
            ),
            run,
            left("On run", None),
            Blankable(parallel),
            left("Water in", TEMPERATURE),
            left("Run's water after", TEMPERATURE),
            arrival,
            words="what the load before leaves; beside it, what it got; first on the run, what arrives",
        )
        water = Water(inlet, shares.rate)
        exchanger = _exchanger(making, sheet, water, choose)
        making.units.exchanger = exchanger
        capacities = []
        for take in TAKERS:
            sheet.heading(take.__name__.replace("_", " ").capitalize())
            capacities.append(take(making, sheet, water))
        sheet.heading("What is taken")
        capacity = sheet.take("Can take", FirstGiven(tuple(capacities)), shows="whole")
        # A plate is judged while water is drawn: what it warms then only in part, it warms in part all day.
        of_draw = sheet.calc(
            "Plate can take, mean of the day",
            POWER,
            lambda most, q, drawn: most * (q / np.maximum(drawn, LEAST)),
            capacity,
            need,
            making.units.plate_load,
            shows="whole",
            words="what it can take at the peak draw × need / heat of the peak draw",
        )
        most = sheet.take("Can take of the need", FirstGiven((of_draw, capacity)), shows="whole")
        taken = sheet.calc("Takes", POWER, lambda q, most: np.maximum(np.minimum(q, most), 0.0), need, most, shows="whole")
        outlet = sheet.calc("Water out", TEMPERATURE, lambda t, q, c: t - q / np.maximum(c, LEAST), inlet, taken, shares.rate)
        # On a line of its own: what stands to the left may be blank, and no arithmetic can be done with that.
        before = sheet.calc(
            "Run's water before",
            TEMPERATURE,
            lambda beside, left_after, t: np.where(beside == "", t, left_after),
            Blankable(parallel),
            left("Run's water after", TEMPERATURE),
            inlet,
            words="water in; beside another load, the run's water after that one",
        )
        after = sheet.calc(
            "Run's water after",
            TEMPERATURE,
            lambda t, q, c: t - q / np.maximum(c, LEAST),
            before,
            taken,
            shares.run_rate,
            words="the run's water before − takes / capacity rate of the run",
        )
    return Case(sheet, inlet, taken, capacity, outlet, after, need, exchanger)


@dataclass(frozen=True)
class Blankable(Reference):
    """A text row that may be blank: a formula may use it all the same."""

    row: Row
    kind = None

    @property
    def name(self) -> str:
        return self.row.label

    def text(self, sheet: SheetPlace) -> str:
        return self.row.text(sheet)

    def value(self, values: Values) -> Any:
        return values[self.row]


def _exchanger(making: Making, sheet: Sheet, water: Water, choose: bool) -> Row:
    """The exchanger's conductance: given, or chosen so that the steady night is met."""
    if not choose:
        return sheet.take("Exchanger conductance", SameColumn(making.steady.case.exchanger))
    units, needs = making.units, making.needs
    sheet.heading("Exchangers to order")
    building = Both(kind_is(needs.kind, "baseboard", "floor"), kind_is(units.behind, "yes"))
    cold = sheet.take(
        "Cold side at the exchanger",
        FirstGiven(
            (
                sheet.calc(
                    "Cold side, hot water",
                    TEMPERATURE,
                    lambda t: t * 1.0,
                    needs.cold,
                    when=kind_is(units.heated_by, "plate", "plate then tank"),
                ),
                sheet.calc(
                    "Cold side, tank",
                    TEMPERATURE,
                    lambda t: t * 1.0,
                    needs.stored,
                    when=kind_is(units.heated_by, "coil in tank", "side-arm"),
                ),
                sheet.calc("Cold side, tub", TEMPERATURE, lambda t: t * 1.0, needs.tub_set, when=kind_is(needs.kind, "tub")),
                _return_of_loop(making, sheet, building),
                _return_of_coil(making, sheet),
            )
        ),
    )
    duty = sheet.take(
        "Duty of the exchanger",
        FirstGiven(
            (
                sheet.calc(
                    "Duty, plate at the peak draw",
                    POWER,
                    lambda q: q * 1.0,
                    units.draw_load,
                    when=kind_is(units.heated_by, "plate", "plate then tank"),
                ),
                needs.need,
            )
        ),
        shows="whole",
    )
    # A tank takes heat without warming while it does: its side counts as boundless, and counterflow becomes the coil's own law.
    tank = sheet.calc(
        "A tank's water, boundless",
        CONDUCTANCE,
        lambda t: BOUNDLESS + 0 * t,
        needs.stored,
        when=kind_is(units.heated_by, "coil in tank", "side-arm"),
        words="a number that no flow reaches",
    )
    second = sheet.take("Capacity rate of its cold side", FirstGiven((tank, units.draw_rate, units.second_rate)))
    smaller = sheet.calc("Smaller capacity rate, to order", CONDUCTANCE, lambda a, b: np.minimum(a, b), water.rate, second)
    larger = sheet.calc("Larger capacity rate, to order", CONDUCTANCE, lambda a, b: np.maximum(a, b), water.rate, second)
    ratio = sheet.calc("Capacity ratio, to order", RATIO, lambda a, b: a / np.maximum(b, LEAST), smaller, larger)
    wanted = sheet.calc(
        "Effectiveness wanted",
        RATIO,
        lambda q, c, t, t_cold: np.minimum(
            np.where(t - t_cold > 0.1, q / (np.maximum(c, LEAST) * np.maximum(t - t_cold, 0.1)), 1.0), HIGHEST_EFFECTIVENESS
        ),
        duty,
        smaller,
        water.temperature,
        cold,
        words="duty / (smaller capacity rate × (water in − cold side in)), 0.9 at most",
    )
    size = sheet.line("Transfer units wanted", exchangers.counterflow_transfer_units, wanted, ratio)
    chosen = sheet.calc("Conductance to order", CONDUCTANCE, lambda n, c: n * c, size, smaller)
    return sheet.take("Exchanger conductance", FirstGiven((units.exchanger_given, chosen)))


def _return_of_loop(making: Making, sheet: Sheet, building: Reference) -> Row:
    """The water that comes back from a building's own loop when its emitters give what is needed."""
    units, needs = making.units, making.needs
    mean = sheet.calc(
        "Mean water that gives the need",
        TEMPERATURE,
        lambda room, q, rated, excess, n, r: room + excess * (np.maximum(q, LEAST) / np.maximum(rated, LEAST)) ** (1 / n) + r * q,
        needs.indoor,
        needs.need,
        units.output,
        units.excess,
        units.exponent,
        units.surface_resistance,
        when=building,
    )
    return sheet.calc(
        "Cold side, a building's loop",
        TEMPERATURE,
        lambda t, q, c: t - q / (2 * np.maximum(c, LEAST)),
        mean,
        needs.need,
        units.second_rate,
        when=building,
    )


def _return_of_coil(making: Making, sheet: Sheet) -> Row:
    """The water that comes back from a fan heater's own loop when it gives what is needed."""
    units, needs = making.units, making.needs
    when = Both(kind_is(needs.kind, "fan heater"), kind_is(units.behind, "yes"))
    coil = coil_rate(making, sheet, units.second_rate, when, ", on its own loop")
    return sheet.calc(
        "Cold side, a fan heater's loop",
        TEMPERATURE,
        lambda air, q, g, c: air + q * (1 / np.maximum(g, LEAST) - 1 / np.maximum(c, LEAST)),
        units.entering_air,
        needs.need,
        coil,
        units.second_rate,
        when=when,
    )


def _lowest_water(making: Making, sheet: Sheet) -> None:
    """The question the customer asks: how cool may the water get before this load goes short?"""
    needs, units, case = making.needs, making.units, making.steady.case
    sheet.heading("The lowest water that would do")
    board = sheet.line(
        "Baseboard, radiators and floor",
        emitters.lowest_water_temperature,
        needs.indoor,
        needs.need,
        making.steady.resistance,
        units.output,
        units.excess,
        units.exponent,
        when=kind_is(needs.kind, "baseboard", "floor"),
    )
    # For everything else what is taken is in proportion to the water's excess over a sink.
    sink = sheet.take(
        "Sink of the others",
        FirstGiven(
            (
                sheet.calc("Sink, fan heater", TEMPERATURE, lambda t: t * 1.0, units.entering_air, when=kind_is(needs.kind, "fan heater")),
                sheet.calc(
                    "Sink, tank", TEMPERATURE, lambda t: t * 1.0, needs.stored, when=kind_is(units.heated_by, "coil in tank", "side-arm")
                ),
                sheet.calc("Sink, tub", TEMPERATURE, lambda t: t * 1.0, needs.tub_set, when=kind_is(needs.kind, "tub")),
                sheet.calc(
                    "Sink, cold water",
                    TEMPERATURE,
                    lambda t: t * 1.0,
                    needs.cold,
                    when=kind_is(units.heated_by, "plate", "plate then tank"),
                ),
            )
        ),
    )
    duty = sheet.take("Need of the others", FirstGiven((units.plate_load, case.need)), shows="whole")
    linear = sheet.calc(
        "Others, in proportion",
        TEMPERATURE,
        lambda s, t, q, most: s + (t - s) * (q / np.maximum(most, LEAST)),
        sink,
        case.inlet,
        duty,
        case.capacity,
    )
    making.steady.lowest = sheet.take("Lowest water that would do", FirstGiven((board, linear)))
    making.steady.spare = sheet.calc("Warmer than that", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, case.inlet, making.steady.lowest)
