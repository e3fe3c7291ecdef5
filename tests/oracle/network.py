"""The whole network at once: flows of the runs, the water from load to load, and where it settles."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import brentq, root

from workbook_builder.table.job import Job

from . import lines
from .facts import fact
from .hydraulics import Circuit, Tube, operating_flow, smallest_that_fits
from .lines import Conductances, Pair
from .liquids import State, state
from .site import Site
from .takers import Load, exchanged

LEAST_FLOW = 1e-9
MARGIN = 5 / 1.8  # K under the water reckoned with, for which an exchanger is ordered (common practice, no source)
COLDEST = 5.0  # °C: water at which no room takes any heat
PUMP = ("circulator shutoff head", "circulator middle flow", "circulator middle head", "circulator high flow", "circulator high head")


@dataclass
class Station:
    """A load's water and heat."""

    inlet: float
    outlet: float
    taken: float
    capacity: float


@dataclass
class Night:
    """All stations, and each run's supply and return."""

    supply: float
    stations: dict[str, Station]
    arrival: dict[str, float]
    back: dict[str, float]
    entering: dict[str, float]
    lost: dict[str, float]
    given: float


@dataclass
class Run:
    """A run: its tube, its flow and its pair of lines."""

    name: str
    parent: str | None
    goes_on: bool  # the whole flow of the parent, behind its last load
    tube: Tube
    liquid: State
    circuit: Circuit
    flow: float = 0.0
    own_flow: float = 0.0
    design_flow: float = 0.0
    head: float = 0.0
    pair: Pair | None = None
    held: float = 0.0  # K of the supply for each watt that enters behind an exchanger at the start
    given_rate: float = 0.0  # W/K of the water that it takes where it starts
    children: list[str] = field(default_factory=list)

    def rate(self, flow: float) -> float:
        return flow * self.liquid.density * self.liquid.heat


class Network:
    """A job solved as one network."""

    def __init__(self, job: Job, sizes: dict[str, str] | None = None) -> None:
        self.job, self.site = job, Site(job)
        self.on = self.site.num("boiler", "lower setpoint")
        self.sizes = sizes or {}
        needs = {n: load.need for n, load in self._needs().items()}
        self.runs = self._runs(needs)
        self.loads = self.site.loads({n: r.own_flow for n, r in self.runs.items()})
        self._share()
        # Exchangers are ordered for the water that arrives when every need is met; then they take what they can.
        self.chosen = False
        self.night(self.on)
        self.chosen = True
        self.steady = self.night(self.on)

    def _needs(self) -> dict[str, Load]:
        return {load.name: load for load in self.site.loads(dict.fromkeys(self.job.runs, 1e-4))}

    # -- flows

    def _filled(self, run: str | None) -> tuple[str, float]:
        """The liquid of a run and its strength: its own, else that of where it starts; the boiler's for None."""
        if run is None:
            liquid = str(self.job.text("liquid", "kind"))
            return liquid, self.site.fraction("liquid", liquid) or 0.0
        parent = self.job.starts_on(run)
        before = self._filled(None if parent == "boiler" else parent)
        own = self.job.text(f"run {run}", "liquid")
        fraction = self.site.fraction(f"run {run}", own or before[0])
        return own or before[0], before[1] if fraction is None else fraction

    def _liquid(self, run: str | None, drop: float) -> State:
        return state(*self._filled(run), self.on - drop / 2)

    def _runs(self, needs: dict[str, float]) -> dict[str, Run]:
        job, site = self.job, self.site
        behind = {n: job.text(f"run {n}", "starts after") for n in job.runs}
        parents: dict[str, str | None] = {}
        for n in job.runs:
            start = site.word(f"run {n}", "starts at")
            parents[n] = job.text(f"load {behind[n]}", "run") if behind[n] else None if start == "boiler" else start
        children = {n: [c for c in job.runs if parents[c] == n] for n in job.runs}
        branches = {n: [c for c in children[n] if not behind[c]] for n in job.runs}
        on_flow = {n: [n, *(c for c in children[n] if behind[c])] for n in job.runs}
        liquids = {n: self._liquid(n, site.num(f"run {n}", "temperature drop")) for n in job.runs}
        own: dict[str, float] = {}
        for n in job.runs:
            load = sum(needs[x] for one in on_flow[n] for x in job.loads_on(one))
            by_drop = load / (liquids[n].density * liquids[n].heat * site.num(f"run {n}", "temperature drop"))
            own[n] = site.num(f"run {n}", "flow", by_drop)
        for n in job.runs:
            own |= dict.fromkeys(on_flow[n][1:], own[n])

        def design(n: str) -> float:
            return own[n] + sum(self._at_start(c, design(c)) for c in branches[n])

        runs = {}
        for n in job.runs:
            part, flow = f"run {n}", design(n)
            tube = self._tube(part, n, flow, liquids[n])
            other, other_flow = site.maybe(part, "other head"), site.maybe(part, "other head flow")
            at_design = other * (own[n] / other_flow) ** 2 if other is not None and other_flow is not None else 0.0
            circuit = Circuit(
                tube,
                liquids[n],
                site.num(part, "length"),
                tuple((w, site.num(part, w)) for w in ("elbows", "tees", "valves")),
                site.maybe(part, "equivalent length of fittings"),
                at_design,
                flow,
            )
            runs[n] = Run(n, parents[n], behind[n] is not None, tube, liquids[n], circuit, children=children[n], design_flow=flow)

        def working(n: str) -> float:
            points = [site.maybe(f"run {n}", p) for p in PUMP]
            if all(p is not None for p in points):
                in_series = [runs[one].circuit for one in on_flow[n]]
                return operating_flow(tuple(p for p in points if p is not None), in_series)  # type: ignore[arg-type]
            return own[n] + sum(self._at_start(c, working(c)) for c in branches[n])

        for n, run in runs.items():
            before = run.parent if run.goes_on else None
            run.flow = working(before or n)
            run.own_flow = max(run.flow - sum(self._at_start(c, working(c)) for c in branches[n]), LEAST_FLOW)
            run.head = sum(runs[one].circuit.head(run.flow) for one in on_flow[n])
            run.pair = self._pair(f"run {n}", run)
        for n, run in runs.items():
            run.held, run.given_rate = self._exchanger(n, run, runs, needs)
        return runs

    def _parted(self, run: str) -> bool:
        parent = self.job.starts_on(run)
        mine, before = self._filled(run), self._filled(None if parent == "boiler" else parent)
        typed = self.site.maybe(f"run {run}", "exchanger conductance") is not None
        return typed or mine[0] != before[0] or abs(mine[1] - before[1]) > 1e-9

    def _at_start(self, run: str, flow: float) -> float:
        """The flow that a run takes where it starts."""
        return self.site.num(f"run {run}", "flow before the exchanger", flow) if self._parted(run) else flow

    def _exchanger(self, name: str, run: Run, runs: dict[str, Run], needs: dict[str, float]) -> tuple[float, float]:
        """What an exchanger at the start holds back, and the capacity rate on its other side."""
        second = run.rate(run.flow)
        if not self._parted(name):
            return 0.0, second
        parent = self.job.starts_on(name)
        other = self._liquid(None, 0.0) if parent == "boiler" else runs[parent].liquid
        first = self._at_start(name, run.flow) * other.density * other.heat
        typed = self.site.maybe(f"run {name}", "exchanger conductance")
        if typed is not None:
            carried = exchanged(typed, first, second)
        else:
            # Ordered for the approach that is allowed when every need is met, with the water at the lower setpoint.
            allowed = self.site.num("limits", "exchanger approach")

            def load(n: str) -> float:
                return sum(needs[x] for x in self.job.loads_on(n)) + sum(load(c) for c in runs[n].children)

            assert run.pair is not None
            supply = self.on - allowed
            entering = second * (supply - run.pair.ends(supply, load(name))[1])
            # Nine tenths of it, and held to an effectiveness of 0.9.
            carried = min(entering / (0.9 * allowed + entering / second), 0.9 * min(first, second))
        return 1 / carried - 1 / second, first

    def _tube(self, part: str, name: str, flow: float, liquid: State) -> Tube:
        family, size = self.site.word(part, "tube family"), self.sizes.get(name, self.site.word(part, "size"))
        if size != "chosen":
            return Tube(family, size)
        velocity = self.site.num(part, "highest velocity", self.site.num("limits", "highest velocity"))
        gradient = self.site.num(part, "highest head loss", self.site.num("limits", "highest head loss"))
        return smallest_that_fits(family, flow, liquid, velocity, gradient)

    def _pair(self, part: str, run: Run) -> Pair:
        site = self.site
        depth = site.num(part, "depth")
        return Pair(
            site.num(part, "length"),
            self._conductances(part, run.tube, depth),
            site.ground_at(depth, site.num("site", "coldest day")),
            run.rate(run.flow),
        )

    def _conductances(self, part: str, tube: Tube, depth: float) -> Conductances:
        site = self.site
        if site.word(part, "arrangement") == "indoors":
            return Conductances(0.0, 0.0)
        stated, difference = site.maybe(part, "stated loss"), site.maybe(part, "stated loss difference")
        if stated is not None and difference is not None:
            return Conductances(stated / (2 * difference), 0.0)
        soil, _ = lines.soil_of(site.word("site", "soil"), site.maybe("site", "soil conductivity"))
        wet = site.word(part, "jacket condition") == "wet"
        typed = site.maybe(part, "wet insulation conductivity" if wet else "insulation conductivity")
        listed = fact("insulation", "wet_conductivity" if wet else "dry_conductivity", site.word(part, "insulation"))
        insulation = typed if typed is not None else listed
        assert insulation is not None
        jacket = site.num(part, "jacket outer diameter")
        if site.word(part, "arrangement") == "apart":
            return lines.apart(depth, site.num(part, "spacing", jacket), jacket, tube.outside, insulation, soil, tube.wall_resistance)
        spacing = site.num(part, "spacing", tube.outside * lines.TWIN_SPACING)
        return lines.one_jacket(depth, spacing, tube.outside, jacket, insulation, soil, tube.wall_resistance)

    # -- water

    def _share(self) -> None:
        """Loads side by side share the flow by their needs, unless a share is typed."""
        for load in self.loads:
            group = load.parallel or load.name
            together = sum(x.need for x in self.loads if (x.parallel or x.name) == group)
            typed = self.site.maybe(f"load {load.name}", "share of flow")
            load.share = typed if typed is not None else load.need / together if together > 0 else 1.0

    def _along(self, run: Run, arrival: float, draw: bool) -> dict[str, Station]:
        stations: dict[str, Station] = {}
        water, first = arrival, arrival
        rate = run.rate(run.own_flow)
        for load in (x for x in self.loads if x.run == run.name):
            if load.parallel is None:
                first = water
            mine = rate * load.share
            if load.choose is not None and not self.chosen:
                load.conductance = load.choose(first - MARGIN, mine)
            if load.holder is not None:
                load.holder.conductance = load.conductance
            capacity = load.capacity(first, mine)
            need = load.draw if draw and load.draw is not None else load.need
            if not self.chosen:
                stations[load.name] = Station(first, first - need / mine, need, need)
                water -= need / rate
                continue
            most = capacity * need / load.draw if load.plate and load.draw else capacity
            taken = max(min(need, most), 0.0)
            stations[load.name] = Station(first, first - taken / mine, taken, capacity)
            water -= taken / rate
        return stations

    def drawing(self, night: Night) -> dict[str, Station]:
        """The stations while hot water is drawn: the water arrives as it did before, a draw being over before its return tells."""
        stations: dict[str, Station] = {}
        for name, run in self.runs.items():
            arrival = night.arrival[name]
            if run.goes_on and run.parent is not None and run.pair is not None:
                # What a draw leaves goes on into this line; its own return is still that of before.
                taken = sum(night.stations[x.name].taken for x in self.loads if x.run == name)
                passed = self.runs[run.parent]
                drawn = sum(stations[x.name].taken for x in self.loads if x.run == passed.name)
                arrival = run.pair.ends(night.arrival[passed.name] - drawn / passed.rate(passed.own_flow), taken)[0]
            stations |= self._along(run, arrival, draw=True)
        return stations

    def night(self, supply: float) -> Night:
        """The water of every station: the arrivals on all runs are the unknowns."""
        names = list(self.runs)
        night: list[Night] = []

        def misfit(arrivals: np.ndarray) -> np.ndarray:
            arrival = dict(zip(names, (float(a) for a in arrivals), strict=True))
            stations: dict[str, Station] = {}
            for n in names:
                stations |= self._along(self.runs[n], arrival[n], draw=False)
            entering: dict[str, float] = {}
            lost: dict[str, float] = {}
            back: dict[str, float] = {}
            reached: dict[str, float] = {}

            def beyond(n: str) -> float:
                run = self.runs[n]
                assert run.pair is not None
                taken = sum(stations[x.name].taken for x in self.loads if x.run == n) + sum(beyond(c) for c in run.children)
                inlet = supply if run.parent is None else arrival[run.parent]
                if run.goes_on and run.parent is not None:
                    passed = self.runs[run.parent]
                    inlet -= sum(stations[x.name].taken for x in self.loads if x.run == passed.name) / passed.rate(passed.own_flow)
                if run.held:
                    inlet = run.pair.behind(inlet, taken, lambda heat: heat * run.held)
                reached[n], back[n] = run.pair.ends(inlet, taken)
                entering[n] = run.pair.rate * (inlet - back[n])
                lost[n] = entering[n] - taken
                return entering[n]

            given = sum(beyond(n) for n in names if self.runs[n].parent is None)
            night[:] = [Night(supply, stations, arrival, back, entering, lost, given)]
            return np.array([reached[n] - arrival[n] for n in names])

        # The lines change little with what is taken: plain iteration settles, and the root finder only polishes.
        arrivals = np.full(len(names), supply)
        for _ in range(40):
            miss = misfit(arrivals)
            arrivals = arrivals + miss
            if float(np.max(np.abs(miss))) < 1e-9:
                break
        else:
            solved = root(misfit, arrivals, tol=1e-9)
            misfit(solved.x)
        return night[0]

    def settled(self, output: float) -> tuple[float, Night]:
        """The boiler's water where demand equals output; the band itself where the output is enough."""
        if self.steady.given <= output:
            return self.on, self.steady
        found = float(brentq(lambda t: self.night(t).given - output, COLDEST, self.on, xtol=1e-6))
        return found, self.night(found)
