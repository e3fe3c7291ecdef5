"""Water by IAPWS-97 and antifreeze by CoolProp's incompressible fluids."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from CoolProp.CoolProp import PropsSI
from iapws import IAPWS97

ZERO = 273.15
PRESSURE = 0.3  # MPa, a little above the air's, so that hot water stays a liquid
_NAMES = {"propylene glycol": "MPG", "ethylene glycol": "MEG"}
_PURE = {"propylene glycol": 1036.1, "ethylene glycol": 1113.2}  # kg/m³ at 20 °C (CRC Handbook, from memory)
_WATER = 998.2


@dataclass(frozen=True)
class State:
    """Density kg/m³, specific heat J/(kg K), viscosity Pa s."""

    density: float
    heat: float
    viscosity: float


@cache
def state(liquid: str, fraction: float, temperature: float) -> State:
    """A liquid with a mass fraction of glycol at a temperature in °C."""
    if liquid == "water":
        water = IAPWS97(T=temperature + ZERO, P=PRESSURE)
        return State(water.rho, water.cp * 1000.0, water.mu)
    name = f"INCOMP::{_NAMES[liquid]}[{fraction!r}]"
    return State(*(PropsSI(what, "T", temperature + ZERO, "P", 3e5, name) for what in ("D", "C", "V")))


def mass_fraction(liquid: str, by_volume: float) -> float:
    """Glycol by mass from its share by volume, both measured before they are mixed."""
    if liquid == "water":
        return 0.0
    pure = _PURE[liquid] * by_volume
    return pure / (pure + _WATER * (1 - by_volume))


@cache
def vapor_pressure(temperature: float) -> float:
    """Of water, over the liquid also below freezing, Pa; °C."""
    if temperature >= 0.01:
        return float(IAPWS97(T=temperature + ZERO, x=0.0).P * 1e6)
    return float(PropsSI("P", "T", ZERO + 0.01, "Q", 0, "Water")) * _supercooled(temperature)


def _supercooled(temperature: float) -> float:
    """Vapor pressure over supercooled water, over that at the triple point (Murphy and Koop 2005, from memory)."""
    import math

    def logarithm(t: float) -> float:
        return (
            54.842763
            - 6763.22 / t
            - 4.210 * math.log(t)
            + 0.000367 * t
            + math.tanh(0.0415 * (t - 218.8)) * (53.878 - 1331.22 / t - 9.44523 * math.log(t) + 0.014025 * t)
        )

    return math.exp(logarithm(temperature + ZERO) - logarithm(ZERO + 0.01))
