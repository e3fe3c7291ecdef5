"""Every figure of the Summary against a value worked out another way: the independent solver, or by hand from its results.

Each label has its line below, in words and arithmetic that share nothing with the sheets; a label without one fails.  What is read from
the job is read from the job.  Tolerances are those of the comparison of whole jobs: 0.1 K, 0.5 %, of a difference 0.5 % of its parts.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from iapws import IAPWS97
from oracle.facts import HOUR
from oracle.liquids import State, state
from oracle.takers import Radiating, surface_pressure
from oracle.year import Reckoning
from scipy.optimize import brentq
from slow import but_first, some
from test_whole_job import KELVIN, SHARE, Solved, _as_it_will_be, solved

from workbook_builder.sheets.pages.figures import Figure, blocks

CASES = ["failing-marsh-farm", "ridge-orchard", "small-cottage", *(f"random {n}" for n in some((3, 21), (3, 8, 17, 21, 33, 40)))]
GALLON, FOOT, MINUTE = 0.003785411784, 0.3048, 60.0
# Common practice, no source: still air about a bare tube takes 2 BTU/(h ft² °F); a batch boiler's tank swings by 50 °F.
BARE_FILM, BATCH_SWING = 2 * 5.678263341, 50 / 1.8
FILLED_AT, NEVER = 10.0, math.inf
ROUNDING = 1e-9  # in coherent units: what is left where kilowatts cancel, of a run indoors
COLDEST = -30.0  # °C: water of which no load takes anything


class Known:
    """What the lines below are worked out from."""

    def __init__(self, both: Solved) -> None:
        self.both, self.job, self.network, self.year = both, both.job, both.network, both.year
        self.site = both.network.site
        self.water, self.night = _as_it_will_be(both)
        self.load = sum(x.need for x in self.network.loads) + sum(self.network.steady.lost.values())
        self.first = self.boiler("rated output")
        self.second = self.site.maybe("boiler", "second rated output") or 0.0
        self.output, self.backup = self.first + self.second, self.site.maybe("boiler", "backup output") or 0.0
        fraction = self.site.fraction("liquid", self.liquid) or 0.0
        self.state: State = state(self.liquid, fraction, self.on)
        self.fraction = fraction

    @property
    def liquid(self) -> str:
        return self.site.word("liquid", "kind")

    @property
    def on(self) -> float:
        return self.network.on

    def boiler(self, item: str) -> float:
        return self.site.num("boiler", item, 0.0)

    @property
    def capacity(self) -> float:
        """J/(m³ K) of the boiler's water."""
        return self.state.density * self.state.heat

    @property
    def swing(self) -> float:
        typed = self.site.maybe("boiler", "buffer tank swing")
        batch = self.site.word("boiler", "kind") == "batch"
        return typed if typed is not None else BATCH_SWING if batch else self.boiler("upper setpoint") - self.on

    @property
    def at_half(self) -> float:
        """Of the boilers that are lit at half the load."""
        return self.first if self.load / 2 <= self.first else self.output

    @property
    def content(self) -> float:
        own = self.boiler("water content")
        return own + (self.site.num("boiler", "second water content", own) if self.second else 0.0)

    @property
    def band(self) -> float:
        own = self.content * (self.boiler("upper setpoint") - self.on)
        return self.capacity * (own + self.boiler("buffer tank volume") * self.swing)

    def freezing(self, volume: float, conductance: float) -> float:
        """Seconds until water at the lower setpoint stands at 0 °C in the air of the design night; never where that is no colder."""
        outdoor = self.site.outdoor
        if outdoor >= 0 or conductance <= 0:
            return NEVER
        return volume * self.capacity / conductance * math.log((self.on - outdoor) / (0 - outdoor))

    @property
    def system_volume(self) -> float:
        lines = sum(2 * run.pair.length * math.pi / 4 * run.tube.bore**2 for run in self.network.runs.values() if run.pair)
        return self.content + self.boiler("buffer tank volume") + lines

    @property
    def expansion(self) -> float:
        hottest = self.boiler("upper setpoint") + self.boiler("overshoot")
        cold, hot = (state(self.liquid, self.fraction, t).density for t in (FILLED_AT, hottest))
        return self.system_volume * (cold / hot - 1)

    def lowest_water(self, column: int) -> float:
        """The water at which a load just gets its need (a plate: its peak draw), by trial."""
        load = self.network.loads[column]
        rate = self.network.runs[load.run].rate(self.network.runs[load.run].own_flow) * load.share
        duty = (load.draw if load.plate and load.draw else load.need) * (1 - 1e-9)  # a known load takes no more than its heat
        # What a floor's highest temperature holds back is no matter of its water.
        capacity = load.holder._balanced if isinstance(load.holder, Radiating) else load.capacity

        def short(water: float) -> float:
            return (capacity(water, rate) if water > COLDEST else 0.0) - duty

        return float(brentq(short, COLDEST, 900.0, xtol=1e-9))


Expected = Callable[[Known], Any]
LOADS: dict[str, Expected] = {
    "on run": lambda k: [x.run for x in k.network.loads],
    "kind": lambda k: [x.kind for x in k.network.loads],
    "need": lambda k: [x.need for x in k.network.loads],
    "delivered": lambda k: [k.night.stations[x.name].taken for x in k.network.loads],
    "entering water": lambda k: [k.night.stations[x.name].inlet for x in k.network.loads],
    "supply water needed": lambda k: [k.lowest_water(i) for i in range(len(k.network.loads))],
    "season": lambda k: [sum(k.year.loads[x.name]) for x in k.network.loads],
}
RUNS: dict[str, Expected] = {
    "tube": lambda k: [run.tube.size for run in k.network.runs.values()],
    "length": lambda k: [k.site.num(f"run {n}", "length") for n in k.network.runs],
    "flow": lambda k: [run.flow for run in k.network.runs.values()],
    "circulator head required": lambda k: [run.head for run in k.network.runs.values()],
    "velocity": lambda k: [run.flow / (math.pi / 4 * run.tube.bore**2) for run in k.network.runs.values()],
    "arrives at": lambda k: [k.night.arrival[n] for n in k.network.runs],
    "line heat loss": lambda k: [k.night.lost[n] for n in k.network.runs],
}


def _firing(k: Known) -> float:
    """Firing time that keeps both limits at half the load: the shortest wanted, and so long that the cycles are no more than wanted."""
    wanted = k.site.num("limits", "shortest firing time")
    return max(wanted, k.load / 2 / k.at_half / k.site.num("limits", "cycles an hour"))


def _buffer(k: Known) -> float:
    """While it fires, output less half the load goes into the water; the boiler's own takes its share of it at its own swing."""
    water = _firing(k) * max(k.at_half - k.load / 2, 0.0) / (k.capacity * k.swing)
    return max(water - k.content * (k.boiler("upper setpoint") - k.on) / k.swing, 0.0)


def _batch(k: Known) -> float:
    """What a charge gives while it burns at the rated output and the night does not take."""
    if k.site.word("boiler", "kind") != "batch" or k.year.charge_heat is None:
        return math.nan
    return max(k.year.charge_heat - k.load * k.year.charge_heat / k.output, 0.0) / (k.capacity * k.swing)


def _tank(k: Known) -> float:
    """Boyle's law from filling to the highest working pressure, both absolute (ASME's form for a diaphragm tank)."""
    if k.site.word("boiler", "system") != "closed":
        return math.nan
    relief, fill = k.boiler("relief pressure"), k.boiler("fill pressure")
    top = relief - max(relief * k.site.num("limits", "relief margin"), k.site.num("limits", "least relief margin"))
    air = surface_pressure(k.site.num("site", "elevation"))
    return k.expansion / (1 - (fill + air) / (top + air))


def _band_time(k: Known, load: float) -> float:
    output = k.at_half if load < k.load else k.output
    return k.band / (output - load) if output > load else NEVER


def _jacket(k: Known) -> float:
    return k.site.num("boiler", "jacket conductance", k.boiler("jacket surface") * k.boiler("jacket loss factor"))


def _bare_tube(k: Known) -> float:
    """A metre of the tube of each run outdoors, the first that freezes."""
    tubes = [run.tube for name, run in k.network.runs.items() if k.site.word(f"run {name}", "arrangement") != "indoors"]
    resistances = [t.wall_resistance + 1 / (math.pi * t.outside * BARE_FILM) for t in tubes]
    return min((k.freezing(math.pi / 4 * t.bore**2, 1 / r) for t, r in zip(tubes, resistances, strict=True)), default=math.nan)


def boiling(pressure: float) -> float:
    """Of water, °C (IAPWS-97)."""
    return float(IAPWS97(P=pressure / 1e6, x=0.0).T) - 273.15


def _boils_in(k: Known) -> float:
    """The boiler's own water from fan off to its boiling at the site, at the rated output."""
    rise = boiling(surface_pressure(k.site.num("site", "elevation"))) - k.boiler("upper setpoint")
    waters = [(k.boiler("water content"), k.first)]
    if k.second:
        waters.append((k.site.num("boiler", "second water content", waters[0][0]), k.second))
    return min(water * k.capacity * rise / output for water, output in waters)


def _given(k: Known) -> float:
    return sum(k.night.entering[n] for n, run in k.network.runs.items() if run.parent is None)


def _of_bills(k: Known) -> list[float]:
    """What its loads take of a fuel, over what its bill says, of the fuels with a bill."""
    reckoning = Reckoning(k.network)
    found = []
    for fuel in k.job.fuels:
        part = f"fuel today {fuel}"
        if k.site.maybe(part, "use") is not None:
            found.append(reckoning.by_loads(fuel, k.year.loads) / k.site.used_in_a_year(part, while_lit=True))
    return found


WHOLE: dict[str, Expected] = {
    "Load of the boiler, every need met": lambda k: k.load,
    "Rated output over the load": lambda k: (
        max(k.output, min(k.output + k.backup, k.site.num("limits", "lowest output to load") * k.load)) / k.load
    ),
    "Sustained output over the load": lambda k: math.nan if k.year.sustained is None else (k.year.sustained + k.backup) / k.load,
    "Equilibrium water temperature": lambda k: k.water,
    "Buffer for the firing time required": _buffer,
    "Tank that holds a charge (batch)": _batch,
    "Expansion of the water": lambda k: k.expansion,
    "Expansion tank (closed system)": _tank,
    "Burn time, every need met": lambda k: math.nan if k.year.burn_time is None else k.year.burn_time,
    "Firing time at half load": lambda k: _band_time(k, k.load / 2),
    "Cycles an hour at half load": lambda k: 1 / (_band_time(k, k.load / 2) + k.band / (k.load / 2)),
    "Return to the boiler": lambda k: (
        k.water - _given(k) / sum(run.rate(run.flow) for run in k.network.runs.values() if run.parent is None)
    ),
    "Cords a year": lambda k: k.year.cords,
    # A cord is 128 ft³.
    "Stack 4 ft (1.2 m) high and deep": lambda k: k.year.cords * 128 / 16 * FOOT,
    "Cords in July": lambda k: k.year.cords_by_month[6],
    "Line losses over the year's heat": lambda k: (
        sum(k.year.lines) / (sum(k.year.lines) + sum(map(sum, k.year.loads.values())) - k.year.not_made)
    ),
    "A full fire boils the boiler in": _boils_in,
    "The differential lasts": lambda k: k.band / k.load,
    "Bare tube freezes in": _bare_tube,
    "The boiler's water freezes in": lambda k: k.freezing(k.boiler("water content"), _jacket(k)),
    "Today's fuels for the same heat": lambda k: k.year.today,
    "Wood in a year": lambda k: k.year.wood,
    "Saving in the first year": lambda k: k.year.saving,
    "Simple payback": lambda k: k.site.num("money", "installed cost", 0.0) / k.year.saving if k.year.saving > 0 else NEVER,
    "Net present value over the life": lambda k: k.year.net,
    "Break-even cord price": lambda k: k.year.break_even,
    "Loads over bills, least": lambda k: min(_of_bills(k), default=math.nan),
    "Loads over bills, most": lambda k: max(_of_bills(k), default=math.nan),
}
BY_AXIS = {"load": LOADS, "run": RUNS, "one": WHOLE}
# What the book rounds up to whole gallons of five, and may be so much larger.
ROUNDED_UP = {"Buffer for the firing time required": 5 * GALLON}
# A time that never comes has the longest figure that its function gives: 100,000 hours, in seconds; 1,000 years.
LONG = {"h": 100_000 * HOUR, "min": 100_000 * HOUR, "years": 1_000.0}
# Differences: half a per cent of what is subtracted.
OF_WOOD = {"Saving in the first year": 1.0, "Net present value over the life": 30.0}


def shown(case: str) -> list[tuple[str, Figure]]:
    return [(block.axis, figure) for block in blocks(solved(case).sizing) for figure in block.figures]


def test_every_figure_of_the_summary_has_its_line() -> None:
    for axis in BY_AXIS:
        assert {f.label for a, f in shown("small-cottage") if a == axis} == set(BY_AXIS[axis])


@pytest.mark.parametrize("case", but_first(CASES))
def test_what_the_summary_shows(case: str) -> None:
    both = solved(case)
    known = Known(both)
    wrong = []
    for axis, figure in shown(case):
        expected = BY_AXIS[axis][figure.label](known)
        if figure.row.is_text:
            if list(both.built.book.values[figure.row]) != expected:
                wrong.append(f"{figure.label}: {list(both.built.book.values[figure.row])} instead of {expected}")
            continue
        for found, wanted in zip(np.ravel(both.of(figure.row)), np.ravel(np.asarray(expected, dtype=float)), strict=True):
            if not _close(figure, float(found), float(wanted), known):
                wrong.append(f"{figure.label}: {found:.6g} instead of {wanted:.6g}")
    assert not wrong, "\n".join(wrong)


def _close(figure: Figure, found: float, wanted: float, known: Known) -> bool:
    if math.isnan(wanted):
        return math.isnan(found)
    if wanted == NEVER:
        return found >= LONG[figure.row.unit]
    if figure.row.kind is not None and figure.row.kind.name == "Temperature":  # type: ignore[union-attr]
        return abs(found - wanted) <= KELVIN
    if figure.label in OF_WOOD:
        return abs(found - wanted) <= SHARE * known.year.wood * OF_WOOD[figure.label]
    if figure.label == "Simple payback":
        return abs(found / wanted - 1) <= SHARE * known.year.wood / known.year.saving + SHARE
    if abs(wanted) < ROUNDING:
        return abs(found) < ROUNDING
    above = ROUNDED_UP.get(figure.label, 0.0)
    return wanted * (1 - SHARE) <= found <= wanted * (1 + SHARE) + above
