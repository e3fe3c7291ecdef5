"""Climate, ground and loads of a job, as the network and the year need them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from functools import cached_property
from statistics import pstdev

from ht.hx import effectiveness_from_NTU
from scipy.integrate import quad
from scipy.optimize import brentq

from workbook_builder.table.job import Job

from . import facts, lines
from .facts import DAY, MONTH_DAYS, MONTHS
from .liquids import mass_fraction, state
from .takers import (
    SEA_LEVEL,
    Exchanger,
    FanHeater,
    Load,
    Radiating,
    air_density,
    coil_law,
    drawn_heat,
    exchanged,
    floor_law,
    least_conductance,
    power_law,
    surface_pressure,
    tub_loss,
)

AIR_HEAT = 1004.832  # J/(kg K), the trade's 0.24 BTU/(lb °F)
YEARLY_SPREAD = 9.0  # K, a convention: spread of the twelve monthly means where they are not given
BUILDINGS = ("baseboard", "fan heater", "floor")


def degree_days(mean: float, base: float, days: int, yearly: float = YEARLY_SPREAD) -> float:
    """Area under the distribution of the daily means (Erbs, Klein and Beckman), integrated numerically."""
    import math

    spread = max(1.45 - 0.029 * mean + 0.0664 * yearly, 0.3) * math.sqrt(days)

    def colder(t: float) -> float:
        return 1 / (1 + math.exp(min(-3.396 * (t - mean) / spread, 700.0)))

    low = min(mean, base) - 15 * spread
    points = sorted({p for p in (mean, mean - spread, mean + spread) if low < p < base})
    return days * float(quad(colder, low, base, points=points or None, epsabs=1e-9, epsrel=1e-10, limit=200)[0])


class Site:
    """The job's values, and what follows from them before any water flows."""

    def __init__(self, job: Job) -> None:
        self.job = job

    def num(self, part: str, item: str, default: float | None = None) -> float:
        value = self.job.number(part, item)
        if value is None:
            if default is None:
                raise KeyError((part, item))
            return default
        return value

    def maybe(self, part: str, item: str) -> float | None:
        return self.job.number(part, item)

    def word(self, part: str, item: str) -> str:
        return str(self.job.text(part, item))

    @cached_property
    def means(self) -> list[float]:
        """Monthly means, given or such that each month has its share of the year's degree days."""
        given = [self.maybe("site", f"{m.lower()} mean temperature") for m in MONTHS]
        if all(g is not None for g in given):
            return [g for g in given if g is not None]
        total, base = self.num("site", "annual degree days"), self.num("site", "degree day base")
        found = []
        for month, days in zip(MONTHS, MONTH_DAYS, strict=True):
            wanted = total * facts.number("month_shares", "share", month)
            found.append(float(brentq(lambda t, d=days, w=wanted: degree_days(t, base, d) - w, base - 100, base + 30, xtol=1e-9)))
        return found

    @cached_property
    def yearly(self) -> float:
        """Standard deviation of the twelve months about the year, each counted alike, if they are given."""
        given = [self.maybe("site", f"{m.lower()} mean temperature") for m in MONTHS]
        return YEARLY_SPREAD if None in given else pstdev(t for t in given if t is not None)

    def degree_days(self, mean: float, base: float, days: int) -> float:
        return degree_days(mean, base, days, self.yearly)

    @cached_property
    def ground(self) -> tuple[float, float]:
        mean, amplitude = lines.swing(self.means)
        return self.num("site", "mean ground temperature", mean), self.num("site", "ground amplitude", amplitude)

    def ground_at(self, depth: float, day: float) -> float:
        _, diffusivity = lines.soil_of(self.word("site", "soil"), None)
        return lines.ground_temperature(depth, day, *self.ground, self.num("site", "coldest day"), diffusivity)

    def lit(self, month: int) -> bool:
        return facts.in_season(month, self.word("boiler", "first month lit"), self.word("boiler", "last month lit"))

    def fraction(self, part: str, liquid: str, before: str = "") -> float | None:
        by_mass, by_volume = self.maybe(part, f"{before}antifreeze by mass"), self.maybe(part, f"{before}antifreeze by volume")
        if by_mass is not None:
            return by_mass
        return mass_fraction(liquid, by_volume) if by_volume is not None else None

    # -- loads

    @cached_property
    def outdoor(self) -> float:
        return self.num("site", "outdoor design temperature")

    def indoor(self, part: str) -> float:
        return self.num(part, "indoor temperature", self.num("site", "indoor temperature"))

    def conductance(self, part: str) -> float:
        """Of a building, by the first of the four ways that is given."""
        span = self.indoor(part) - self.outdoor
        typed, design, area = (self.maybe(part, i) for i in ("conductance", "design loss", "heated area"))
        per_area = self.maybe(part, "loss per area")
        if typed is not None:
            return typed
        if design is not None:
            return design / span
        if area is not None and per_area is not None:
            return area * per_area / span
        return self.from_fuel(part)

    def from_fuel(self, part: str) -> float:
        """The conductance with which the season would have burnt the fuel; its balance temperature depends on it."""
        fuel = f"fuel today {self.job.text(part, 'fuel today') or self.job.fuels[0]}"
        name = self.word(fuel, "fuel")
        efficiency = self.num(fuel, "seasonal efficiency", facts.number("fuels", "efficiency", name))
        useful = self.num(fuel, "use") * facts.number("fuels", "heat_content", name) * efficiency
        useful *= (1 - self.num(fuel, "share for hot water")) * self.num(part, "share of fuel")
        base = self.num("site", "degree day base")
        share = self.share_of_the_year(fuel, base)

        def used(conductance: float) -> float:
            return conductance * self.year_degree_days(self.balance(part, conductance)) * share * DAY - useful

        return float(brentq(used, 1e-3, 1e6, xtol=1e-9))

    def days_of_use(self, fuel: str) -> list[date]:
        """The days between two dates, both counted; none where no dates are given.  The year has no 29 February."""
        first, last = (self.job.text(fuel, item) for item in ("first date", "last date"))
        if first is None or last is None:
            return []
        begins, ends = date.fromisoformat(first), date.fromisoformat(last)
        days = (begins + timedelta(n) for n in range((ends - begins).days + 1))
        return [day for day in days if (day.month, day.day) != (2, 29)]

    def share_of_the_year(self, fuel: str, base: float) -> float:
        """The degree days of a use over those of a year: as typed, or day by day, each with those of a mean day of its month."""
        typed, days, year = self.maybe(fuel, "degree days of the use"), self.days_of_use(fuel), self.year_degree_days(base)
        if typed is not None:
            return typed / year
        if not days:
            return 1.0
        mean = [self.degree_days(t, base, n) / n for t, n in zip(self.means, MONTH_DAYS, strict=True)]
        return sum(mean[day.month - 1] for day in days) / year

    def used_in_a_year(self, fuel: str, while_lit: bool = False) -> float:
        """Useful heat, J: what heated buildings as the degree days are, what heated water as the days; or of it in the months lit."""
        name = self.word(fuel, "fuel")
        efficiency = self.num(fuel, "seasonal efficiency", facts.number("fuels", "efficiency", name))
        useful = self.num(fuel, "use") * facts.number("fuels", "heat_content", name) * efficiency
        water = useful * self.num(fuel, "share for hot water")
        days = len(self.days_of_use(fuel)) or 365
        heating = (useful - water) / self.share_of_the_year(fuel, self.num("site", "degree day base"))
        if not while_lit:
            return heating + water * 365 / days
        lit, base = [m for m in range(12) if self.lit(m)], self.num("site", "degree day base")
        cold = sum(self.degree_days(self.means[m], base, MONTH_DAYS[m]) for m in lit)
        return heating * cold / self.year_degree_days(base) + water / days * sum(MONTH_DAYS[m] for m in lit)

    def year_degree_days(self, base: float) -> float:
        return sum(self.degree_days(t, base, n) for t, n in zip(self.means, MONTH_DAYS, strict=True))

    def balance(self, part: str, conductance: float) -> float:
        """Typed, or as far below the rooms as the gains hold, or as is usual where nothing is said of them."""
        gains = self.maybe(part, "gains")
        below = self.num("site", "balance below indoor temperature") if gains is None else gains / conductance
        return self.num(part, "balance temperature", self.indoor(part) - below)

    def loads(self, run_flow: dict[str, float]) -> list[Load]:
        return [self._load(name, run_flow) for run in self.job.runs for name in self.job.loads_on(run)]

    def _load(self, name: str, run_flow: dict[str, float]) -> Load:
        part = f"load {name}"
        kind, run = self.word(part, "kind"), self.word(part, "run")
        make: dict[str, Callable[[str, float], Load]] = {"hot water": self._taps, "tub": self._tub, "known": self._known}
        load = make.get(kind, self._building)(part, run_flow[run])
        load.name, load.run, load.kind = name, run, kind
        load.need = load.full * self.num(part, "coincidence")
        if load.choose is None and isinstance(load.holder, Radiating | FanHeater):
            load.holder.conductance = load.conductance
        load.parallel = self.job.text(part, "parallel with")
        return load

    def exchanger(self, part: str) -> float | None:
        """Given, or by the logarithmic mean of the rating."""
        typed, rated = self.maybe(part, "exchanger conductance"), self.maybe(part, "exchanger rated load")
        if typed is not None or rated is None:
            return typed
        hot_in, hot_out, cold_in, cold_out = (
            self.num(part, f"exchanger rated {w}") for w in ("hot inlet", "hot outlet", "cold inlet", "cold outlet")
        )
        hot, cold = rated / (hot_in - hot_out), rated / (cold_out - cold_in)
        given = lambda ua: exchanged(ua, hot, cold) * (hot_in - cold_in) - rated  # noqa: E731
        return float(brentq(given, 1e-3, 1e7, xtol=1e-9))

    def _second(self, part: str, flow: float, water: float | None = None) -> Exchanger:
        liquid = str(self.job.text(part, "second side liquid") or self.job.text("liquid", "kind")) if water is None else "water"
        fraction = (self.fraction(part, liquid, "second side ") or 0.0) if water is None else 0.0
        at = self.num("boiler", "lower setpoint") if water is None else water
        found = state(liquid, fraction, at)
        return Exchanger(self.num(part, "second side flow", flow) * found.density * found.heat)

    def _building(self, part: str, flow: float) -> Load:
        conductance, room, kind = self.conductance(part), self.indoor(part), self.word(part, "kind")
        loop = self._second(part, flow) if self.word(part, "behind an exchanger") == "yes" else None
        full = conductance * (room - self.outdoor) + self.num(part, "idle loss of the existing boiler")
        holder: Radiating | FanHeater
        if kind == "fan heater":
            holder = self._fan_heater(part, room, loop)
        elif kind == "floor":
            area = self.num(part, "floor area")
            surface = (self.num(part, "covering resistance") + self.num(part, "slab resistance")) / area
            law = floor_law(area)
            holder = Radiating(room, law, surface, law(self.num(part, "highest floor temperature") - room), loop)
        else:
            excess = self.num(part, "rated mean water temperature") - self.num(part, "rated air temperature")
            holder = Radiating(room, power_law(self.num(part, "rated output"), excess, self.num(part, "exponent")), 0.0, 1e9, loop)
        load = Load("", "", kind, 0.0, full, holder.capacity, holder=holder)
        if loop is not None:
            load.conductance = self.exchanger(part)
            if load.conductance is None:
                load.choose = holder.order(full * self.num(part, "coincidence"))
        return load

    def _fan_heater(self, part: str, room: float, loop: Exchanger | None) -> FanHeater:
        air, output = self.num(part, "entering air temperature", room), self.num(part, "rated output")
        water_in, air_in = self.num(part, "rated entering water temperature"), self.num(part, "rated entering air temperature")
        water_flow, air_flow = self.maybe(part, "rated water flow"), self.maybe(part, "rated air flow")
        if water_flow is None or air_flow is None:
            plain, share = output / (water_in - air_in), self.num("limits", "highest fan heater share")
            return FanHeater(air, lambda rate: min(plain, share * rate), loop)
        at_rating = state("water", 0.0, water_in)
        rated_air = air_flow * air_density(air_in, SEA_LEVEL) * AIR_HEAT
        here = air_flow * air_density(air, surface_pressure(self.num("site", "elevation"))) * AIR_HEAT
        return FanHeater(air, coil_law(output, water_in - air_in, water_flow * at_rating.density * at_rating.heat, rated_air, here), loop)

    def _taps(self, part: str, flow: float) -> Load:
        cold, wanted, stored = (self.num(part, f"{w} temperature") for w in ("cold water", "hot water", "stored"))
        heat = drawn_heat(self.num(part, "use a day"), cold, wanted)
        loss = self.num(part, "tank loss") * (stored - self.num("site", "indoor temperature")) if self.num(part, "tank volume") > 0 else 0.0
        full = heat / DAY + loss
        draw = drawn_heat(self.num(part, "peak draw"), cold, wanted)
        draw_rate = draw / (wanted - cold)  # metered hot
        load = Load("", "", "hot water", 0.0, full, lambda t, c: 0.0, draw=draw, conductance=self.exchanger(part))
        load.extra = {"drawn": heat, "loss": loss, "cold": cold, "wanted": wanted, "draw rate": draw_rate}
        if self.word(part, "heated by") in ("plate", "plate then tank"):
            load.plate = True
            load.capacity = lambda t, c: exchanged(load.conductance or 0.0, c, draw_rate) * max(t - cold, 0.0)
            load.choose = None if load.conductance else lambda t, c: least_conductance(draw, c, draw_rate, t - cold)
            return load
        load.capacity = lambda t, c: c * float(effectiveness_from_NTU((load.conductance or 0.0) / c, 0.0)) * max(t - stored, 0.0)
        need = full * self.num(part, "coincidence")
        load.choose = None if load.conductance else lambda t, c: least_conductance(need, c, 1e15, t - stored)
        return load

    def tub_at(self, part: str, outdoor: float) -> float:
        return tub_loss(
            self.num(part, "surface"),
            self.num(part, "cover resistance"),
            self.num(part, "side loss"),
            self.num(part, "set temperature"),
            self.num(part, "air temperature", outdoor),
            self.num(part, "air humidity"),
            self.num(part, "wind"),
            self.num(part, "hours uncovered") / DAY,
        )

    def _tub(self, part: str, flow: float) -> Load:
        kept = self.num(part, "set temperature")
        second = self._second(part, flow, kept).second_rate
        full = self.tub_at(part, self.outdoor)
        load = Load("", "", "tub", 0.0, full, lambda t, c: 0.0, conductance=self.exchanger(part))
        load.capacity = lambda t, c: exchanged(load.conductance or 0.0, c, second) * max(t - kept, 0.0)
        need = full * self.num(part, "coincidence")
        load.choose = None if load.conductance else lambda t, c: least_conductance(need, c, second, t - kept)
        return load

    def _known(self, part: str, flow: float) -> Load:
        heat = self.num(part, "heat")
        room = self.num("site", "indoor temperature")
        return Load("", "", "known", 0.0, heat, lambda t, c: min(heat, c * max(t - room, 0.0)))
