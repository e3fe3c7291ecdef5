"""Cascade: the water from load to load along each run.

What no water changes is worked out once for each load; a case is the few rows that are left, for one supply.  The design night at
at the lower setpoint, the peak draw, and every try of the two iterations are the same rows for another supply or another need.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hydrocalc import emitters, exchangers
from hydrocalc.measures import CONDUCTANCE, FRACTION, POWER, RATIO, TEMPERATURE, TEMPERATURE_DIFFERENCE, VOLUME_FLOW
from workbook_builder.model.aggregates import Pick, SumWhere
from workbook_builder.model.base import Reference
from workbook_builder.model.references import Both, FirstGiven, Guarded, Holds, SameColumn, Unguarded, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BOILER

from .context import Context, over
from .line_temperatures import heat_back, reached
from .load_models import EMITTERS, PLATES, Exchanger, capacity, capacity_rates, coil_rate, make_takes, second_rate
from .night_results import Case, Draw, Emitters, Network, Reached, Settled, Shares, Steady, Through
from .results import HIGHEST_EFFECTIVENESS, Ground, Needs, NeedsMet, Pipes, Pumps

MARGIN = 5 / 1.8  # K: water that may arrive so much cooler than reckoned (common practice, no source)
LEAST_CHANGE = 1e-5  # K: changes are counted in this, since what is left of large numbers that cancel is their rounding
MOST_RATIO = 0.8  # of the change before; with less the tries close in
AT_FAN_ON = "the design night with the boiler's water at the lower setpoint"
STATIONS, WHILE_DRAWN = "Station by station", "Station by station, while hot water is drawn"
FIRST, NEXT, BESIDE, THROUGH = "first", "next", "parallel", "through"


def make_network(
    context: Context, needs: Needs, pipes: Pipes, pumps: Pumps, ground: Ground, needs_met: NeedsMet, units: Emitters
) -> Network:
    """The sheet Cascade is begun: what no water changes."""
    sheet = context.sheet("Needs")
    shares = _shares(context, sheet, needs, pipes, ground)
    exchanger = _exchangers(context, sheet, pipes, pumps, ground, needs, needs_met, units, shares)
    takes = make_takes(context, sheet, needs, units, shares.rate, exchanger)
    return Network(sheet, pipes, ground, needs, units, shares, takes)


def make_cascade(context: Context, network: Network, needs_met: NeedsMet) -> tuple[Reached, Steady]:
    """On Cascade, the steady design night with water at the lower setpoint; the sheet Returns is begun with the supply that arrives."""
    runs = context.sheet("Lines")
    water = context.sheet("Water")
    there = _supply_iteration(context, network, water, runs, needs_met)
    with water.folded(f"Workings: {AT_FAN_ON}"):
        case = make_case(context, water, network, there)
    return there, _supply_water_needed(network, case)


def make_draw(context: Context, network: Network, settled: Settled) -> Draw:
    """The sheet Draw: hot water drawn at its peak on the design night as it will be.

    The supply arrives as on Settled: a draw is over before its colder return has told on the water coming the other way.
    """
    sheet = context.sheet("Water")
    sheet.heading("Need while hot water is drawn")
    drawn = sheet.take("Need of the draw", SameColumn(network.units.draw_load), shows="whole")
    need = sheet.take("Need", FirstGiven((drawn, network.needs.need)), shows="whole")
    return Draw(make_case(context, sheet, network, settled.there, need=need, per_degree=network.takes.at_draw, heading=WHILE_DRAWN))


def _shares(context: Context, sheet: Sheet, needs: Needs, pipes: Pipes, ground: Ground) -> Shares:
    """Loads side by side share a run's flow; all others have the whole of it, one after the other."""
    sheet.heading("The flow and its shares")
    with sheet.chain() as left:
        run = sheet.take("Run", SameColumn(needs.run))
        parallel = context.fetched(sheet, "parallel with")
        # A text, so that a person sees which water it is that enters a load.
        place = sheet.calc(
            "Place on its run",
            None,
            lambda this, before, beside: np.where(this == before, np.where(beside == "", NEXT, BESIDE), FIRST),
            run,
            left("Run", None),
            Unguarded(parallel),
            words="first on its run, next after the load before, or parallel with it",
        )
        through = None
        if pipes.start.after is not None:
            through = _through(sheet, pipes, ground, run)
            sheet.take("This load", SameColumn(sheet.names))
            place = sheet.calc(
                "Place on its run, or behind the line into which the flow goes on",
                None,
                lambda place, load, last: np.where((place == FIRST) & (load != "") & (load == last), THROUGH, place),
                place,
                Unguarded(through.after),
                left("This load", None),
                words="through the line of its run, where the flow of the load before goes on",
            )
    group = sheet.take("In parallel with", FirstGiven((parallel, sheet.names)))
    together = sheet.take("Need of all that stand side by side", SumWhere(needs.need, group, group), shows="whole")
    by_need = sheet.calc(
        "Share of the flow, by the needs", FRACTION, lambda q, total: np.where(total > 0, q / total, 1.0), needs.need, together
    )
    share = sheet.take("Share of the flow", FirstGiven((context.fetched(sheet, "share of flow", "Share of the flow, typed"), by_need)))
    run_rate = sheet.take("Capacity rate of the run's own flow", Pick(ground.own_rate, pipes.sheet.names, needs.run))
    rate = sheet.calc("Capacity rate at this load", CONDUCTANCE, lambda c, s: c * s, run_rate, share)
    return Shares(run, parallel, place, run_rate, rate, through)


def _through(sheet: Sheet, pipes: Pipes, ground: Ground, run: Row) -> Through:
    """The line of each load's run, by which the water comes to its first load where the flow of another run goes on here."""
    assert pipes.start.after is not None

    def of_run(label: str, row: Row) -> Row:
        return sheet.take(label, Pick(row, pipes.sheet.names, run))

    return Through(
        of_run("Load after which its run starts", pipes.start.after),
        of_run("Ground about its run's line", ground.temperature),
        of_run("Rise + decay of its run's line", ground.across),
        of_run("Exchange of its run's line", ground.held),
    )


def _along(sheet: Sheet, pipes: Pipes, shares: Shares, there: Reached, name: str, taken: Callable[[Row], Row]) -> tuple[Row, Row, Row]:
    """From station to station: the water that enters, what is taken of it, and the run's water after it."""
    with sheet.chain() as left:
        start: Reference = Pick(there.arrival, pipes.sheet.names, shares.run)
        if (line := shares.through) is not None:
            arrives = sheet.calc(
                f"Water behind the line{name}",
                TEMPERATURE,
                lambda t, g, c, y, d: g + ((t - g) - y * d) / c,
                Guarded(left(f"Run's water after{name}", TEMPERATURE)),
                line.ground,
                line.across,
                line.exchange,
                SumWhere(there.drop, pipes.sheet.names, shares.run, blank=False),
                when=kind_is(shares.place, THROUGH),
                words="ground + (what the load before leaves − ground − exchange × the run's drop) / (rise + decay)",
            )
            start = FirstGiven((arrives, start))
        inlet = sheet.calc(
            f"Entering water{name}",
            TEMPERATURE,
            lambda place, start, before, after: np.where(place == NEXT, after, np.where(place == BESIDE, before, start)),
            shares.place,
            start,
            left(f"Entering water{name}", TEMPERATURE),
            left(f"Run's water after{name}", TEMPERATURE),
            words="first on the run, what arrives; next, what the load before leaves; in parallel, what that got",
        )
        heat = taken(inlet)
        # On a line of its own: what stands to the left may be blank, and no arithmetic can be done with that.
        before = sheet.calc(
            f"Run's water before{name}",
            TEMPERATURE,
            lambda place, beside, t: np.where(place == BESIDE, beside, t),
            shares.place,
            left(f"Run's water after{name}", TEMPERATURE),
            inlet,
            words="water in; in parallel with another load, the run's water after that one",
        )
        after = sheet.calc(
            f"Run's water after{name}",
            TEMPERATURE,
            lambda t, q, c: t - over(q, c),
            before,
            heat,
            shares.run_rate,
            words="the run's water before − takes / capacity rate of the run",
        )
    return inlet, heat, after


def make_case(
    context: Context,
    sheet: Sheet,
    network: Network,
    there: Reached,
    name: str = "",
    *,
    need: Row | None = None,
    per_degree: Row | None = None,
    heading: str = STATIONS,
) -> Case:
    """All stations of all runs, for the water that arrives on each run."""
    wanted = need or network.needs.need
    if not name:
        sheet.heading(heading)
    most: list[Row] = []

    def taken(inlet: Row) -> Row:
        most.append(capacity(context, sheet, network, inlet, per_degree or network.takes.per_degree, name))
        return sheet.calc(f"Heat delivered{name}", POWER, lambda q, p: np.maximum(np.minimum(q, p), 0.0), wanted, most[0], shows="whole")

    inlet, heat, after = _along(sheet, network.pipes, network.shares, there, name, taken)
    return Case(sheet, wanted, inlet, most[0], heat, after)


def _exchangers(
    context: Context,
    sheet: Sheet,
    pipes: Pipes,
    pumps: Pumps,
    ground: Ground,
    needs: Needs,
    needs_met: NeedsMet,
    units: Emitters,
    shares: Shares,
) -> Exchanger:
    """Each load's exchanger, given or to be ordered: one that meets the need with the water that arrives when every need is met."""
    sheet.heading("The water when every need is met")
    there = Reached(ground.sheet, needs_met.inlet, needs_met.arrival, ground.drop)
    inlet, _, _ = _along(sheet, pipes, shares, there, ", every need met", lambda _: needs.need)
    sheet.heading("Exchangers to order")
    second = second_rate(sheet, units)
    smaller, ratio = capacity_rates(sheet, units, shares.rate, second)
    by_plate = kind_is(units.heated_by, *PLATES)
    sinks: list[Reference] = [
        Where(needs.cold, by_plate),
        Where(needs.stored, kind_is(units.heated_by, "coil in tank", "side-arm")),
        Where(needs.tub_set, kind_is(needs.kind, "tub")),
    ]
    if context.has(*EMITTERS):
        sinks.append(_return_of_loop(sheet, needs, units))
    if context.has("fan heater"):
        sinks.append(_return_of_coil(context, sheet, needs, units))
    cold = sheet.take("Cold side at the exchanger", FirstGiven(tuple(sinks)))
    duty = sheet.take("Duty of the exchanger", FirstGiven((Where(units.draw_load, by_plate), needs.need)), shows="whole")
    hot = sheet.calc("Boiler water into it, ordered for", TEMPERATURE, lambda t: t - MARGIN, inlet, words="what arrives − 5 °F (2.8 °C)")
    wanted = sheet.calc(
        "Effectiveness required",
        RATIO,
        lambda q, c, t, t_cold: np.where(
            c * (t - t_cold) > 0, np.minimum(q / (c * (t - t_cold)), HIGHEST_EFFECTIVENESS), HIGHEST_EFFECTIVENESS
        ),
        duty,
        smaller,
        hot,
        cold,
        words="duty / (smaller capacity rate × (water in − cold side in)), 0.9 at most",
    )
    size = sheet.line("Transfer units required", exchangers.counterflow_transfer_units, wanted, ratio)
    chosen = sheet.calc("Conductance to order", CONDUCTANCE, lambda n, c: n * c, size, smaller)
    is_there = Holds(cold)
    sheet.calc("Boiler water out of it", TEMPERATURE, lambda t, q, c: t - over(q, c), hot, duty, shares.rate, when=is_there)
    sheet.calc("Cold side out of it", TEMPERATURE, lambda t, q, c: t + over(q, c), cold, duty, second)
    sheet.calc(
        "Flow of boiler water through it",
        VOLUME_FLOW,
        lambda q, c, whole: q * over(c, whole),
        Guarded(Pick(pumps.own_flow, pipes.sheet.names, needs.run)),
        shares.rate,
        shares.run_rate,
        when=is_there,
    )
    drawn = Where(context.known(sheet, "peak draw"), by_plate)
    sheet.take("Flow on its cold side", FirstGiven((drawn, Where(units.second_flow, is_there))))
    return Exchanger(sheet.take("Exchanger conductance", FirstGiven((units.exchanger_given, chosen))), smaller, ratio)


def _return_of_loop(sheet: Sheet, needs: Needs, units: Emitters) -> Row:
    """The water that comes back from a building's own loop when its emitters give what is needed."""
    building = Both(kind_is(needs.kind, *EMITTERS), kind_is(units.behind, "yes"))
    mean = sheet.calc(
        "Mean water that gives the need",
        TEMPERATURE,
        lambda room, q, rated, excess, n, r: room + excess * over(q, rated) ** (1 / n) + r * q,
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
        lambda t, q, c: t - over(q, 2 * c),
        mean,
        needs.need,
        units.second_rate,
        when=building,
    )


def _return_of_coil(context: Context, sheet: Sheet, needs: Needs, units: Emitters) -> Row:
    """The water that comes back from a fan heater's own loop when it gives what is needed."""
    when = Both(kind_is(needs.kind, "fan heater"), kind_is(units.behind, "yes"))
    coil = coil_rate(context, sheet, units, units.second_rate, when, ", on its own loop")
    return sheet.calc(
        "Cold side, a fan heater's loop",
        TEMPERATURE,
        lambda air, q, g, c: air + over(q, g) - over(q, c),
        units.entering_air,
        needs.need,
        coil,
        units.second_rate,
        when=when,
    )


def _supply_iteration(context: Context, network: Network, loads: Sheet, sheet: Sheet, needs_met: NeedsMet) -> Reached:
    """The supply at the end of each line with what the loads really take, which may be less than they need.

    What arrives depends on what comes back, and that on what arrives.  Two tries along the loads show how the arrival closes in,
    each miss so many times the one before; where that ends (Aitken's rule) is known without a third.  An exchanger at the start
    of a run makes much of what comes back: there two more tries begin where the first two would have ended.
    """
    there = Reached(sheet, needs_met.inlet, needs_met.arrival, network.ground.drop)
    with loads.folded("Workings: the supply with what the loads really take"), sheet.folded(loads.last_heading):
        for first in (1, 3) if context.parted else (1,):
            there = _closing_in(context, network, loads, sheet, there, first)
        return there


def _closing_in(context: Context, network: Network, loads: Sheet, sheet: Sheet, there: Reached, first: int) -> Reached:
    pipes = network.pipes
    arrivals = [there.arrival]
    for n in (first, first + 1):
        name = f", try {n}"
        case = make_case(context, loads, network, there, name)
        back = heat_back(context, sheet, network, there.inlet, case, name)
        there = reached(context, sheet, pipes, network.ground, pipes.supply, back.drop, name)
        arrivals.append(there.arrival)
    step, last = (
        sheet.calc(
            f"Change by try {n}",
            TEMPERATURE_DIFFERENCE,
            lambda a, b: np.floor((b - a) / LEAST_CHANGE + 0.5) * LEAST_CHANGE,
            before,
            after,
            words="what arrives now less what arrived before, to a hundred-thousandth of a kelvin",
        )
        for n, before, after in ((first, arrivals[0], arrivals[1]), (first + 1, arrivals[1], arrivals[2]))
    )
    ratio = sheet.calc(
        "One change over the one before",
        RATIO,
        lambda a, b: np.where(a == 0, 0.0, np.minimum(np.maximum(b / a, -MOST_RATIO), MOST_RATIO)),
        step,
        last,
    )
    arrives = sheet.calc(
        "Supply arrives",
        TEMPERATURE,
        lambda t, d, r: t + d * (r / (1 - r)),
        arrivals[-1],
        last,
        ratio,
        words="arrival of the last try + its change × ratio / (1 − ratio): the sum of all further changes (Aitken)",
    )
    return Reached(sheet, supply_into(sheet, pipes, pipes.supply, arrives), arrives, there.drop)


def supply_into(sheet: Sheet, pipes: Pipes, supply: Reference, arrival: Row) -> Row:
    """The supply into each line: the boiler's, or what arrives on the run that it starts on."""
    of_parent = Pick(arrival, pipes.sheet.names, pipes.starts_at)
    return sheet.take("Supply into the line", FirstGiven((Where(supply, kind_is(pipes.starts_at, BOILER)), of_parent)))


def _supply_water_needed(network: Network, case: Case) -> Steady:
    """The question the customer asks: how cool may the water get before this load goes short?"""
    sheet, needs, units, takes = case.sheet, network.needs, network.units, network.takes
    sheet.heading("The supply water needed")
    found: list[Reference] = []
    if takes.resistance is not None:
        found.append(
            sheet.line(
                "Lowest water of an emitter",
                emitters.lowest_water_temperature,
                needs.indoor,
                needs.need,
                takes.resistance,
                units.output,
                units.excess,
                units.exponent,
                when=kind_is(needs.kind, *EMITTERS),
            )
        )
    # A plate has to carry its peak draw; for all the others the need is the mean of the day's.
    duty = sheet.take("Heat that has to be taken", FirstGiven((units.plate_load, needs.need)), shows="whole")
    found.append(
        sheet.calc(
            "Lowest water of the others",
            TEMPERATURE,
            lambda s, q, k: s + over(q, k),
            takes.sink,
            duty,
            takes.at_draw,
        )
    )
    lowest = sheet.take("Supply water needed", FirstGiven(tuple(found)))
    spare = sheet.calc("Warmer than that", TEMPERATURE_DIFFERENCE, lambda a, b: a - b, case.inlet, lowest)
    return Steady(case, lowest, spare)
