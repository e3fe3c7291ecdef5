"""What each load needs, and what it can take from the water it is given: one root for each, over all its unknowns."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from ht.hx import NTU_from_effectiveness, effectiveness_from_NTU
from scipy.optimize import brentq

from .liquids import state, vapor_pressure

HIGHEST_EFFECTIVENESS = 0.9  # a convention: what an exchanger is ordered for where the need wants more
FLOOR_COEFFICIENT, FLOOR_EXPONENT = 8.92, 1.1  # EN 1264: W/m² for an excess in K
AIR_GAS, AIR_HEAT = 287.0528, 1004.832  # J/(kg K); 0.24 BTU/(lb °F)
SEA_LEVEL = 101325.0
Capacity = Callable[[float, float], float]  # of water temperature and capacity rate
LEAST = 1e-9


def exchanged(conductance: float, one: float, other: float) -> float:
    """Counterflow: W for each degree between the entering temperatures."""
    smaller, larger = min(one, other), max(one, other)
    return smaller * float(effectiveness_from_NTU(conductance / smaller, smaller / larger, subtype="counterflow"))


def least_conductance(duty: float, one: float, other: float, difference: float) -> float:
    """The conductance that carries a duty, held to an effectiveness of 0.9."""
    smaller, larger = min(one, other), max(one, other)
    wanted = min(duty / (smaller * difference), HIGHEST_EFFECTIVENESS) if difference > 0.1 else HIGHEST_EFFECTIVENESS
    return smaller * float(NTU_from_effectiveness(wanted, smaller / larger, subtype="counterflow"))


def _root(surplus: Callable[[float], float], high: float) -> float:
    """Of a falling function between 0 and ``high``; 0 where nothing can be given."""
    return float(brentq(surplus, 0.0, high, xtol=1e-9, rtol=1e-14)) if high > 0 and surplus(0.0) > 0 else 0.0


@dataclass
class Load:
    """A load as the network sees it."""

    name: str
    run: str
    kind: str
    need: float
    full: float
    capacity: Capacity
    share: float = 1.0
    parallel: str | None = None
    draw: float | None = None  # heat of the peak draw
    plate: bool = False  # warms water as it is drawn: short at the peak draw, it is short in that part all day
    choose: Callable[[float, float], float] | None = None  # an exchanger to order, from the water it gets
    conductance: float | None = None
    extra: dict[str, float] = field(default_factory=dict)
    holder: Radiating | FanHeater | None = None


@dataclass(frozen=True)
class Exchanger:
    """An exchanger before a building's own loop."""

    second_rate: float


class Radiating:
    """Baseboard, radiators and floors: output follows a power of the excess of the mean water, or of the surface, over the room."""

    def __init__(self, room: float, output: Callable[[float], float], surface: float, limit: float, loop: Exchanger | None) -> None:
        self.room, self.output, self.surface, self.limit, self.loop = room, output, surface, limit, loop
        self.conductance: float | None = None

    def mean_water(self, power: float) -> float:
        """Of the emitter's water when it gives a power."""
        high = 1.0
        while self.output(high) < power:
            high *= 2
        excess = float(brentq(lambda x: self.output(x) - power, 0.0, high, xtol=1e-12)) if power > 0 else 0.0
        return self.room + excess + power * self.surface

    def capacity(self, water: float, rate: float) -> float:
        if water <= self.room:
            return 0.0
        return min(self._balanced(water, rate), self.limit)

    def _balanced(self, water: float, rate: float) -> float:
        """Power at which the emitter's own water and what the run gives agree."""
        if self.loop is None:
            return _root(lambda q: self.output(water - q / (2 * rate) - q * self.surface - self.room) - q, 2 * rate * (water - self.room))
        assert self.conductance is not None
        per_degree, second = exchanged(self.conductance, rate, self.loop.second_rate), self.loop.second_rate

        def surplus(q: float) -> float:
            back = water - q / per_degree  # what enters the exchanger from the loop
            mean = back + q / (2 * second)
            return self.output(mean - q * self.surface - self.room) - q

        return _root(surplus, per_degree * (water - self.room))

    def order(self, need: float) -> Callable[[float, float], float]:
        """The exchanger to order: back from the emitter's mean water to the cold side's inlet."""
        loop = self.loop
        assert loop is not None
        return lambda water, rate: least_conductance(
            need, rate, loop.second_rate, water - self.mean_water(need) + need / (2 * loop.second_rate)
        )


def power_law(rated: float, excess: float, exponent: float) -> Callable[[float], float]:
    return lambda x: rated * (max(x, 0.0) / excess) ** exponent


def floor_law(area: float) -> Callable[[float], float]:
    return lambda x: area * FLOOR_COEFFICIENT * max(x, 0.0) ** FLOOR_EXPONENT


class FanHeater:
    """A coil between water and air, known by its rating; direct or behind an exchanger."""

    def __init__(self, air: float, per_degree: Callable[[float], float], loop: Exchanger | None) -> None:
        self.air, self.per_degree, self.loop = air, per_degree, loop
        self.conductance: float | None = None

    def capacity(self, water: float, rate: float) -> float:
        if water <= self.air:
            return 0.0
        if self.loop is None:
            return self.per_degree(rate) * (water - self.air)
        assert self.conductance is not None
        second = self.loop.second_rate
        before, coil = exchanged(self.conductance, rate, second), self.per_degree(second)
        # Loop: out of the exchanger h, back b: q = before (water - b) = coil (h - air) = second (h - b).
        return _root(lambda q: coil * (water - q / before + q / second - self.air) - q, before * (water - self.air))

    def order(self, need: float) -> Callable[[float, float], float]:
        """The exchanger to order: the coil wants need / coil above its air, and the loop brings that less its own drop back."""
        loop = self.loop
        assert loop is not None
        second = loop.second_rate
        return lambda water, rate: least_conductance(
            need, rate, second, water - (self.air + need / self.per_degree(second) - need / second)
        )


def coil_law(output: float, difference: float, water_rate: float, air_rate: float, air_rate_here: float) -> Callable[[float], float]:
    """A rated coil taken as counterflow: its conductance found by trial from the rating."""

    def given(conductance: float) -> float:
        return exchanged(conductance, water_rate, air_rate) * difference - output

    high = 1.0
    while given(high) < 0:
        high *= 2
        if high > 1e12:
            raise ArithmeticError("the rating is beyond any coil")
    conductance = float(brentq(given, 1e-6, high, xtol=1e-10, rtol=1e-14))
    return lambda rate: exchanged(conductance, rate, air_rate_here)


def air_density(temperature: float, pressure: float) -> float:
    return pressure / (AIR_GAS * (temperature + 273.15))


def surface_pressure(elevation: float) -> float:
    """Of the standard atmosphere: hydrostatics with a lapse of 6.5 K/km."""
    return float(SEA_LEVEL * math.exp(9.80665 / (AIR_GAS * 0.0065) * math.log(1 - 0.0065 * elevation / 288.15)))


def drawn_heat(volume: float, cold: float, hot: float) -> float:
    """J (or W of a flow) that hot water takes, metered hot."""
    return volume * state("water", 0.0, hot).density * state("water", 0.0, (cold + hot) / 2).heat * (hot - cold)


def tub_loss(surface: float, cover: float, side: float, water: float, air: float, humidity: float, wind: float, open_share: float) -> float:
    """Mean heat that holds a tub: evaporation and its convection (Carrier), radiation to a sky 20 °F below the air, cover, sides."""
    per_area, mercury, fpm = 3.15459074506305, 3386.389, 0.00508  # BTU/(h ft²), in. of mercury, ft/min in coherent units
    film = (95 + 0.425 * wind / fpm) * per_area / mercury  # W/(m² Pa)
    evaporation = surface * film * max(vapor_pressure(water) - humidity * vapor_pressure(air), 0.0)
    bowen = 0.01 * mercury * 1.8  # Pa/K
    convection = surface * film * bowen * (water - air)
    radiation = surface * 0.95 * 5.670374419e-8 * ((water + 273.15) ** 4 - (air - 20 / 1.8 + 273.15) ** 4)
    shut = surface * (water - air) / (cover + 0.04)
    return max(shut + (evaporation + convection + radiation - shut) * open_share + side * (water - air), 0.0)
