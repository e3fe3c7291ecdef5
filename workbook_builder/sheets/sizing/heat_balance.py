"""Heat balance: the temperature of the water at which demand and output balance, and the loads at that water.

Between water at which no load takes any heat and water at the lower setpoint lies the water at which demand equals output.  Demand is level
where every need is met and falls steeply below; Dekker's method finds it in a few tries: the secant through the last two, and the
half of what is left where that leads outside it.  Each try is the rows of a case for another supply.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import COUNT, POWER, RATIO, TEMPERATURE, TEMPERATURE_DIFFERENCE, Measure
from workbook_builder.model.aggregates import Across
from workbook_builder.model.references import FirstGiven, Says, Where, kind_is
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.table.vocabulary import BOILER

from .cascade import make_case
from .context import Context, over
from .line_temperatures import heat_back, reached
from .night_results import Balance, Boiler, Network, Reached, Returns, Settled

TRIES = 7
CLOSE = 1e-6  # of the output: nearer than that a try stays where it is, and no rounding decides where the next one goes
TITLE = "Workings: tries of the heat balance"


@dataclass(frozen=True)
class _End:
    """One water: its temperature, by how much of the output demand exceeds it there, and the drop of each run."""

    water: Row
    miss: Row
    drop: Row


@dataclass(frozen=True)
class _Search:
    """What all tries have in common: their sheets, 1 where there is something to be found, and the output that is to be met."""

    context: Context
    network: Network
    sheet: Sheet
    along: Sheet
    loads: Sheet
    short: Row
    limit: Row


def make_balance(context: Context, network: Network, as_asked: Reached, returns: Returns, boiler: Boiler) -> tuple[Balance, Settled]:
    """The sheets Settled and Night get their tries, and Settled the loads at the water that was found."""
    sheet = boiler.sheet
    loads = context.sheet("Water")
    along = context.sheet("Lines")
    on = context.job("boiler", "lower setpoint")
    sheet.heading("Heat balance")
    given, limit = boiler.load.given, boiler.charge.with_backup
    short = sheet.calc("Load beyond the output (1: yes)", COUNT, lambda q, most: np.where(q > most, 1.0, 0.0), given, limit)
    with sheet.folded(TITLE), along.folded(TITLE), loads.folded(TITLE):
        search = _Search(context, network, sheet, along, loads, short, limit)
        cold, hot = _ends(search, returns, given)
        before, last = cold, hot
        for step in range(1, TRIES + 1):
            now = _try(search, cold, before, last, step)
            cold = _kept(sheet, along, cold, last, now, step)
            before, last = last, now
        met = sheet.calc(
            "Water at which demand meets the output",
            TEMPERATURE,
            lambda a, b, fa, fb: np.where(fa == fb, b, (a * fb - b * fa) / (fb - fa)),
            cold.water,
            last.water,
            cold.miss,
            last.miss,
            words="the straight line between the last try and the end on the other side, met with the output",
        )
        drop = _drop_between(along, cold, last, met, ", balanced")
        there = reached(context, along, network.pipes, network.ground, met, drop, ", balanced")
    fan_on = Where(on, Says(short, yes=False))
    words = "where demand meets the output; the lower setpoint where the output is enough"
    water = sheet.take("Equilibrium water temperature", FirstGiven((met, fan_on)), words=words)
    along.heading("The supply of the loads")
    as_found = FirstGiven((there.arrival, as_asked.arrival))
    arrival = along.take("Supply arrives", as_found, words="as balanced; as on Returns where the output is enough")
    drop_there = drop if network.pipes.start.after is None else along.take("Drop", FirstGiven((drop, as_asked.drop)))
    there = Reached(along, there.inlet, arrival, drop_there)
    case = make_case(context, loads, network, there)
    outlet = loads.calc("Leaving water", TEMPERATURE, lambda t, q, c: t - over(q, c), case.inlet, case.taken, network.shares.rate)
    loads.heading("Is it enough?")
    shortfall = loads.calc("Short of the need", POWER, lambda need, q: np.maximum(need - q, 0.0), case.need, case.taken, shows="whole")
    return Balance(water, short), Settled(case, along, there, arrival, outlet, shortfall)


def _beyond(demand: Any, output: Any) -> Any:
    """The share of the output by which demand exceeds it."""
    return over(demand, output) - 1


def _ends(search: _Search, returns: Returns, given: Row) -> tuple[_End, _End]:
    """Water at which neither a load nor a line takes any heat, so that any fire carries it, and water at the lower setpoint."""
    sheet, along, limit, lines = search.sheet, search.along, search.limit, search.network.ground
    room = sheet.take("Coolest room", Across(search.network.needs.indoor, "MIN"))
    idle = along.calc(
        "Lost by the lines, no heat taken",
        POWER,
        lambda c, t, g, w, a: 2 * w * c * (t - g) / a,
        *(lines.rate, room, lines.temperature, lines.decay, lines.across),
        when=kind_is(search.network.pipes.starts_at, BOILER),
        shows="whole",
    )
    nothing = along.calc("Drop, no heat taken", TEMPERATURE_DIFFERENCE, lambda d: 0 * d, returns.drop)
    lost = sheet.take("Lost by the lines, no heat taken", Across(idle, "SUM"), shows="whole")
    # A fire that does not even carry that lets the water sink towards the ground, where the lines lose nothing either.
    ground = sheet.take("Coldest ground about a line", Across(lines.temperature, "MIN"))
    coldest = sheet.calc(
        "Water that heats nothing",
        TEMPERATURE,
        lambda q, most, t, g: np.where(q < most, t, np.minimum(t, g)),
        *(lost, limit, room, ground),
        words="the coolest room; the coldest ground where the output is less than what the lines lose at that",
    )
    under = sheet.calc(
        "Demand over output, less 1, no heat taken", RATIO, lambda q, most: np.where(q < most, q / most, 0.0) - 1, lost, limit
    )
    over_ = sheet.calc("Demand over output, less 1, at the lower setpoint", RATIO, _beyond, given, limit)
    hot = sheet.take("Water at the lower setpoint", search.context.job("boiler", "lower setpoint"))
    return _End(coldest, under, nothing), _End(hot, over_, returns.drop)


def _try(search: _Search, other: _End, before: _End, last: _End, step: int) -> _End:
    """The next water, and what is asked of the boiler there."""
    context, network, sheet, along = search.context, search.network, search.sheet, search.along
    name = f", try {step}"
    secant = sheet.calc(
        f"Secant through the last two{name}",
        TEMPERATURE,
        # Through two tries that both meet the output it would be drawn through their rounding.
        lambda b, c, fb, fc: np.where((fb == fc) | (np.abs(fb) < CLOSE), b, (c * fb - b * fc) / (fb - fc)),
        last.water,
        before.water,
        last.miss,
        before.miss,
        when=Says(search.short),
    )
    water = sheet.calc(
        f"Water{name}",
        TEMPERATURE,
        lambda s, a, b, f: np.where(np.abs(f) < CLOSE, b, np.where((s - b) * (s - (a + b) / 2) < 0, s, (a + b) / 2)),
        secant,
        other.water,
        last.water,
        last.miss,
        words="the secant, where it falls between the last try and half way to the other end; else half way; the last where that will do",
    )
    drop = _drop_between(along, other, last, water, name)
    there = reached(context, along, network.pipes, network.ground, water, drop, name)
    case = make_case(context, search.loads, network, there, name)
    back = heat_back(context, along, network, there.inlet, case, name)
    of_boiler = along.take(f"Heat from the boiler{name}", Where(back.entering, kind_is(network.pipes.starts_at, BOILER)), shows="whole")
    demand = sheet.take(f"Demand{name}", Across(of_boiler, "SUM"), shows="whole")
    miss = sheet.calc(f"Demand over output, less 1{name}", RATIO, _beyond, demand, search.limit, when=Says(search.short))
    return _End(water, miss, back.drop)


def _kept(sheet: Sheet, along: Sheet, other: _End, last: _End, now: _End, step: int) -> _End:
    """The end on the other side of the balance: the old one, or the last try if the new one lies on the old one's side."""

    def moved(on: Sheet, label: str, kind: Measure, old: Row, new: Row) -> Row:
        return on.calc(
            f"{label} of the other end, after try {step}",
            kind,
            lambda a, b, f, g: np.where((np.abs(f) >= CLOSE) & (f * g > 0), b, a),
            old,
            new,
            now.miss,
            other.miss,
            words="as before; the last try where this one lies on the same side",
        )

    return _End(
        moved(sheet, "Water", TEMPERATURE, other.water, last.water),
        moved(sheet, "Demand over output, less 1,", RATIO, other.miss, last.miss),
        moved(along, "Drop", TEMPERATURE_DIFFERENCE, other.drop, last.drop),
    )


def _drop_between(along: Sheet, a: _End, b: _End, water: Row, name: str) -> Row:
    """What the loads take there is not known before the water has arrived: their drop is read from the line between two ends."""
    return along.calc(
        f"Drop, on the line between the ends{name}",
        TEMPERATURE_DIFFERENCE,
        lambda da, db, ta, tb, t: np.where(ta == tb, db, da + (db - da) * (t - ta) / (tb - ta)),
        a.drop,
        b.drop,
        a.water,
        b.water,
        water,
    )
