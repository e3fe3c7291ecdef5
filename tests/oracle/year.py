"""The year of a job: heat by month, line losses, wood and money, summed from the physics."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy_financial as npf
from scipy.optimize import brentq

from . import facts
from .facts import BTU, DAY, FOOT, HOUR, MONTH_DAYS, POUND
from .hydraulics import GRAVITY
from .network import Network
from .site import BUILDINGS

RATED_MOISTURE = 0.2
AIR, STACK = (60 - 32) / 1.8, (400 - 32) / 1.8  # °C, of the fire for which moistures are compared (a convention)
EXCESS = 0.5


def stack_share(heat: float, moisture: float) -> float:
    """Share of the gross heat that leaves: carbon 50.5, hydrogen 6, oxygen 43 % burnt with air (FPL-GTR-29's constants)."""
    unit, per_degree = BTU / POUND, BTU / POUND * 1.8
    oxygen = 0.505 * 32 / 12.011 + 0.06 * 8 / 1.008 * 1.0 - 0.43
    air = oxygen / 0.2315
    water = 9 * 0.06
    gas = 1 + air * (1 + EXCESS) - water
    vapor = moisture / (1 - moisture) + water
    steam = (100 - AIR) * per_degree + 970.3 * unit + 0.46 * per_degree * (STACK - 100)
    return (vapor * steam + gas * 0.24 * per_degree * (STACK - AIR)) / heat


@dataclass
class Year:
    """Sums of the twelve months."""

    loads: dict[str, list[float]]
    lines: list[float]
    cords: float
    fuel: float
    sustained: float | None
    efficiency: float
    saving: float
    net: float
    break_even: float
    today: float
    wood: float
    cords_by_month: list[float]
    charge_heat: float | None
    burn_time: float | None
    not_made: float


class Reckoning:
    """The year of a network."""

    def __init__(self, network: Network) -> None:
        self.network, self.site, self.job = network, network.site, network.job

    def load_months(self, name: str) -> list[float]:
        part, site = f"load {name}", self.site
        load = next(x for x in self.network.loads if x.name == name)
        first, last = site.word(part, "first month in use"), site.word(part, "last month in use")
        out = []
        for month, days in enumerate(MONTH_DAYS):
            if not (site.lit(month) and facts.in_season(month, first, last)):
                out.append(0.0)
            elif load.kind in BUILDINGS:
                conductance = site.conductance(part)
                need = site.degree_days(site.means[month], site.balance(part, conductance), days)
                out.append(conductance * need * DAY + site.num(part, "idle loss of the existing boiler") * days * DAY)
            elif load.kind == "hot water":
                out.append((load.extra["drawn"] * self.plate_share(name) + load.extra["loss"] * DAY) * days)
            elif load.kind == "tub":
                out.append(site.tub_at(part, site.means[month]) * days * DAY)
            else:
                out.append(site.num(part, "heat") * site.num(part, "hours a day") * days)
        return out

    def plate_share(self, name: str) -> float:
        """A plate that brings the cold feed only part of the way leaves the rest to what is behind it."""
        if self.site.word(f"load {name}", "heated by") not in ("plate", "plate then tank"):
            return 1.0
        load = next(x for x in self.network.loads if x.name == name)
        warmed = self.network.steady.stations[name].capacity / load.extra["draw rate"]
        return min(warmed / (load.extra["wanted"] - load.extra["cold"]), 1.0)

    def line_months(self, loads: dict[str, list[float]]) -> list[float]:
        """Both lines of every run at the mean of the band, with the month's mean heat and ground."""
        on, off, runs = self.network.on, self.site.num("boiler", "upper setpoint"), self.network.runs
        out = []
        for month, days in enumerate(MONTH_DAYS):
            lost = 0.0

            def beyond(name: str, inlet: float, month: int = month, days: int = days) -> tuple[float, float]:
                """What enters a run, and what is lost in it and beyond."""
                run = runs[name]
                assert run.pair is not None
                own = sum(loads[n][month] for n in self.job.loads_on(name)) / (days * DAY)
                ground = self.site.ground_at(self.site.num(f"run {name}", "depth"), facts.middle_day(month))
                given, taken, below, before = inlet, own, 0.0, math.inf
                # What runs take that start here hangs on the water that arrives, and that on what is taken.
                while abs(taken - before) > 1e-7 * taken:
                    before = taken
                    inlet = run.pair.behind(given, taken, lambda heat: heat * run.held, ground) if run.held else given
                    arrival, _ = run.pair.ends(inlet, taken, ground)
                    behind = arrival - own / run.rate(run.own_flow)
                    ends = [beyond(child, behind if runs[child].goes_on else arrival) for child in run.children]
                    taken, below = own + sum(enters for enters, _ in ends), sum(gone for _, gone in ends)
                here = run.pair.lost(inlet, taken, ground)
                return taken + here, below + here

            for name, run in runs.items():
                if run.parent is None and self.site.lit(month):
                    lost += beyond(name, (on + off) / 2)[1] * days * DAY
            out.append(lost)
        return out

    def wood(self) -> tuple[float, float, float]:
        """Heat of dry wood J/kg, gross heat of a cord J, moisture on the wet basis."""
        site = self.site
        species = self.job.text("wood", "species")
        heat, gravity = site.maybe("wood", "heating value"), site.maybe("wood", "specific gravity")
        heat = heat if heat is not None else facts.number("species", "heating_value", str(species))
        gravity = gravity if gravity is not None else facts.number("species", "specific_gravity", str(species))
        moisture = site.maybe("wood", "moisture")
        if moisture is None:
            moisture = facts.number("wood_moisture", "moisture", site.word("wood", "condition"))
        elif site.word("wood", "moisture basis") == "dry":
            moisture = moisture / (1 + moisture)
        return heat, gravity * 62.4 * POUND / FOOT**3 * site.num("wood", "solid volume of a cord") * heat, moisture

    def outputs(self) -> tuple[float, float]:
        """Of the first boiler, and of it and a second one."""
        first = self.site.num("boiler", "rated output")
        return first, first + (self.site.maybe("boiler", "second rated output") or 0.0)

    def burning(self, load: float, air: float, output: float) -> tuple[float, float]:
        """What a fire has to make for a load, W, and the part of the time that it burns: at full output, else it idles."""
        site, jackets = self.site, 1 if output == self.outputs()[0] else 2
        if site.maybe("boiler", "seasonal efficiency") is not None:
            return load, min(load / output, 1.0)
        surface = site.num("boiler", "jacket surface") * site.num("boiler", "jacket loss factor")
        water = (self.network.on + site.num("boiler", "upper setpoint")) / 2
        made = load + jackets * site.num("boiler", "jacket conductance", surface) * max(water - air, 0.0)
        if made >= output:
            return made, 1.0
        part = made / output
        return output * (part + site.num("boiler", "idle fuel share") * (1 - part)), part

    def sustained(self, heat: float) -> float:
        """The load on the design night for which the fire has to make just so much, by trial."""

        def beyond(load: float) -> float:
            return self.burning(load, self.site.outdoor, self.outputs()[1])[0] - heat

        return 0.0 if beyond(0.0) >= 0 else float(brentq(beyond, 0.0, heat, xtol=1e-9))

    def solve(self) -> Year:
        site = self.site
        loads = {name: self.load_months(name) for name in self.job.loads}
        lost = self.line_months(loads)
        heat, cord, moisture = self.wood()
        net_share = 1.0
        if site.word("boiler", "efficiency basis") == "net":
            wet = RATED_MOISTURE
            net_share = 1 - 1050 * BTU / POUND * (wet + 0.54 * (1 - wet)) / (heat * (1 - wet))
        kept = (1 - stack_share(heat, moisture)) / (1 - stack_share(heat, RATED_MOISTURE))
        seasonal = site.maybe("boiler", "seasonal efficiency")
        efficiency = (seasonal if seasonal is not None else site.num("boiler", "efficiency at full fire")) * net_share * kept
        firebox = site.maybe("boiler", "firebox volume")
        sustained, charge_heat, burn_time = None, None, None
        (first, output), burnt, lit_hours, idle_hours, short = self.outputs(), list[float](), 0.0, 0.0, 0.0
        if firebox is not None:
            if output > first:
                firebox += site.num("boiler", "second firebox volume", firebox)
            charge = firebox * site.num("boiler", "charge fill") * site.num("boiler", "bulk density")
            charge_heat = charge * heat * efficiency
            sustained = self.sustained(charge_heat / site.num("boiler", "hours between loadings"))
            night = sum(x.need for x in self.network.loads) + sum(self.network.steady.lost.values())
            burn_time = charge_heat / self.burning(night, site.outdoor, self.outputs()[1])[0]
        elif site.word("boiler", "rated output basis") == "average over a charge":
            sustained = output
        most = output if sustained is None else min(output, sustained)
        for month, days in enumerate(MONTH_DAYS):
            lit = days * DAY if site.lit(month) else 0.0
            taken = sum(x[month] for x in loads.values())
            made = min(taken, max(most * lit - lost[month], 0.0))
            short += taken - made
            # The second boiler is lit in a month of which the first does not carry its share of what both can count on.
            mean = (made + lost[month]) / lit if lit else 0.0
            fire = output if mean > most * first / output else first
            rate, fires = self.burning(mean, site.means[month], fire) if lit else (0.0, 0.0)
            burnt.append(rate * lit / efficiency)
            lit_hours += lit
            idle_hours += lit * (1 - fires)
        fuel = sum(burnt)
        cords = fuel / cord
        needed = sum(map(sum, loads.values()))
        money = self.money(loads, cords, lit_hours, idle_hours, 1 - short / needed if needed else 1.0)
        return Year(loads, lost, cords, fuel, sustained, efficiency, *money, [b / cord for b in burnt], charge_heat, burn_time, short)

    def by_loads(self, fuel: str, loads: dict[str, list[float]]) -> float:
        """What a fuel gives its loads in the months lit, without what only kept an old boiler warm."""
        mine = [n for n in loads if (self.job.text(f"load {n}", "fuel today") or self.job.fuels[0]) == fuel]
        return sum(sum(loads[n]) for n in mine) - sum(self.idle_heat(n, loads[n]) for n in mine)

    def taken_over(self, fuel: str, loads: dict[str, list[float]], made: float) -> float:
        """What is saved of a fuel: its bill, or without one what its loads take; less what the fire leaves to it."""
        by_loads = self.by_loads(fuel, loads)
        if by_loads <= 0:
            return 0.0
        part = f"fuel today {fuel}"
        return made * (by_loads if self.site.maybe(part, "use") is None else self.site.used_in_a_year(part, while_lit=True))

    def money(
        self, loads: dict[str, list[float]], cords: float, lit: float, idle: float, made: float
    ) -> tuple[float, float, float, float, float]:
        """Saving of the first year, net present value, the price of a cord at which that is nothing; today's fuels and the wood."""
        site, years = self.site, int(self.site.num("money", "life"))
        interest, cost = site.num("money", "interest"), site.num("money", "installed cost", 0.0)

        def worth(first: float, growth: float) -> float:
            return float(npf.npv(interest, [0.0, *(first * (1 + growth) ** n for n in range(years))]))

        today, fuels = 0.0, 0.0
        for fuel in self.job.fuels:
            part = f"fuel today {fuel}"
            name = site.word(part, "fuel")
            efficiency = site.num(part, "seasonal efficiency", facts.number("fuels", "efficiency", name))
            heat = self.taken_over(fuel, loads, made)
            first = heat / (facts.number("fuels", "heat_content", name) * efficiency) * site.num(part, "price")
            today += first
            fuels += worth(first, site.num(part, "escalation"))
        price = site.maybe("wood", "price of a cord")
        if price is None:
            stack = site.maybe("wood", "price of a face cord")
            hours = site.maybe("wood", "hours a cord")
            if stack is not None:
                price = stack / (8 * FOOT * 4 * FOOT * site.num("wood", "depth of a face cord") / (128 * FOOT**3))
            else:
                price = (hours or 0.0) / HOUR * site.num("wood", "worth of an hour")
        pumps = sum(map(self.circulator, self.job.runs))
        current = (pumps * lit + site.num("boiler", "fan power") * (lit - idle)) * site.num("money", "electricity price")
        upkeep = site.num("money", "upkeep a year")
        saving = today - cords * price - current - upkeep
        others = worth(current, site.num("money", "electricity escalation")) + worth(upkeep, 0.0) + cost
        per_dollar = worth(cords, site.num("wood", "escalation"))
        break_even = max(fuels - others, 0.0) / per_dollar
        return saving, fuels - others - per_dollar * price, break_even, today, cords * price

    def circulator(self, name: str) -> float:
        """W, typed or what lifts the run's flow by its head, over the efficiency of pump and motor."""
        run = self.network.runs[name]
        lifting = run.flow * run.liquid.density * GRAVITY * run.head
        if self.network.runs[name].goes_on:  # its circulator stands on the run before
            lifting = 0.0
        return self.site.num(f"run {name}", "circulator power", lifting / self.site.num(f"run {name}", "circulator efficiency"))

    def idle_heat(self, name: str, months: list[float]) -> float:
        """Heat that keeps an existing boiler warm: today's efficiency has it in it already."""
        part = f"load {name}"
        if self.job.kind_of(part) not in BUILDINGS:
            return 0.0
        idle = self.site.num(part, "idle loss of the existing boiler")
        return sum(idle * d * DAY for d, m in zip(MONTH_DAYS, months, strict=True) if m > 0)
