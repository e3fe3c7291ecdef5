"""References for liquids, flow, friction, pumps and pressure."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

import fluids
import numpy as np
from comparison import KELVIN, Comparison, Pairs
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS95
from scipy.optimize import brentq

import hydrocalc as hc

# Crane TP-410 p. A-26: 1/2, 3/4, 1, 1-1/2, 2 and 3 in from a public copy, the others from memory.
CRANE_TURBULENT = {
    0.5: 0.027,
    0.75: 0.025,
    1: 0.023,
    1.25: 0.022,
    1.5: 0.021,
    2: 0.019,
    2.5: 0.018,
    3: 0.018,
    4: 0.017,
    5: 0.016,
    6: 0.015,
    8: 0.014,
    10: 0.014,
    12: 0.013,
}
GLYCOLS = {"propylene glycol": "MPG", "ethylene glycol": "MEG"}


def _water(megapascal: float, low: float, high: float) -> Iterator[tuple[float, Any]]:
    for t in np.linspace(low, high, 25).tolist():
        yield t, IAPWS95(T=t + KELVIN, P=megapascal)


def _against_iapws(function: Any, property_: str, factor: float, megapascal: float, low: float, high: float) -> Callable[[], Pairs]:
    return lambda: ((function(t), getattr(state, property_) * factor) for t, state in _water(megapascal, low, high))


def _held_liquid(function: Any, letter: str, temperatures: list[float]) -> Callable[[], Pairs]:
    return lambda: ((function(t), PropsSI(letter, "T|liquid", t + KELVIN, "P", 1e5, "Water")) for t in temperatures)


def _liquid_water() -> Iterator[Comparison]:
    for function, symbol, factor, bound in (
        (hc.water_density, "rho", 1.0, 1e-4),
        (hc.water_specific_heat, "cp", 1000.0, 1e-4),
        (hc.water_viscosity, "mu", 1.0, 1e-4),
        (hc.water_conductivity, "k", 1.0, 1e-4),
    ):
        near = _against_iapws(function, symbol, factor, 0.1, 1.0, 99.0)
        yield Comparison(function.name, "iapws, IAPWS-95 at 0.1 MPa", "1–99 °C", near, bound)
        pressed = _against_iapws(function, symbol, factor, 0.3, 1.0, 109.0)
        yield Comparison(function.name, "iapws, IAPWS-95 at 0.3 MPa", "1–109 °C", pressed, 3e-4)
    hot = np.linspace(99.0, 109.0, 21).tolist()  # above its boiling point, water held liquid as the source's equations hold it
    for function, letter, bound in (
        (hc.water_density, "D", 1e-4),
        (hc.water_specific_heat, "C", 1e-4),
        (hc.water_viscosity, "V", 1e-4),
        (hc.water_conductivity, "L", 2e-4),
    ):
        held = _held_liquid(function, letter, hot)
        yield Comparison(function.name, "CoolProp, IAPWS-95 at 0.1 MPa, held liquid", "99–109 °C", held, bound)
    t = np.linspace(1.0, 120.0, 120)
    saturated = [(PropsSI("P", "T", x + KELVIN, "Q", 0, "Water"), x) for x in t.tolist()]
    yield Comparison(
        "water_vapor_pressure", "CoolProp, IAPWS-95", "1–120 °C", lambda: ((hc.water_vapor_pressure(x), p) for p, x in saturated), 1e-4
    )
    yield Comparison(
        "water_boiling_temperature",
        "CoolProp, IAPWS-95",
        "1–120 °C",
        lambda: ((hc.water_boiling_temperature(p) + KELVIN, x + KELVIN) for p, x in saturated),
        1e-4,
    )


def _glycols() -> Iterator[Comparison]:
    points = [
        (liquid, x, t, f"INCOMP::{name}[{x}]")
        for liquid, name in GLYCOLS.items()
        for x in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6)
        for t in np.linspace(5.0, 98.0, 8).tolist()
    ]

    def pairs(function: Any, symbol: str) -> Callable[[], Pairs]:
        return lambda: ((function(liquid, x, t), PropsSI(symbol, "T", t + KELVIN, "P", 3e5, name)) for liquid, x, t, name in points)

    for function, symbol in (
        (hc.liquid_density, "D"), (hc.liquid_specific_heat, "C"), (hc.liquid_viscosity, "V"), (hc.liquid_conductivity, "L")
    ):  # fmt: skip
        yield Comparison(function.name, "CoolProp, glycols", "10–60 % by mass, 5–98 °C", pairs(function, symbol), 1e-5)
    yield Comparison(
        "liquid_freezing_temperature",
        "CoolProp, glycols",
        "10–60 % by mass",
        lambda: (
            (hc.liquid_freezing_temperature(q, x) + KELVIN, PropsSI("T_FREEZE", "T", t + KELVIN, "P", 3e5, n)) for q, x, t, n in points
        ),
        1e-5,
    )


def colebrook(reynolds: float, roughness: float) -> float:
    """The friction factor of Colebrook and White, by bracketing to twelve digits."""
    x = brentq(lambda x: x + 2.0 * math.log10(roughness / 3.7 + 2.51 * x / reynolds), 1.0, 30.0, xtol=1e-14, rtol=1e-14)
    return float(x**-2)


def dunlop(reynolds: float, roughness: float) -> float:
    """Dunlop's cubic from 64/Re at 2000 to Colebrook and White at 4000, the slope there by central differences of fourth order."""
    near = [colebrook(4000.0 + step, roughness) for step in (-30.0, -15.0, 15.0, 30.0)]
    slope = (near[0] - 8 * near[1] + 8 * near[2] - near[3]) / (12 * 15.0)
    a = colebrook(4000.0, roughness)
    b = 2 * (a + 2000 * slope)
    x = 7 * a - b, 0.128 - 17 * a + 2.5 * b, -0.128 + 13 * a - 2 * b, 0.032 - 3 * a + 0.5 * b
    r = reynolds / 2000
    return x[0] + r * (x[1] + r * (x[2] + r * x[3]))


def _friction() -> Iterator[Comparison]:
    rng = np.random.default_rng(3)
    reynolds = np.concatenate([10 ** rng.uniform(math.log10(4000.0), 8.0, 2000), [4000.0, 4000.0, 1e8, 1e8]])
    roughness = np.concatenate(
        [np.where(rng.random(2000) < 0.5, rng.uniform(0, 0.05, 2000), 10 ** rng.uniform(-8, -1.31, 2000)), [0, 0.05, 0, 0.05]]
    )
    points = list(zip(reynolds.tolist(), roughness.tolist(), strict=True))
    over = "Re 4000–1e8, roughness 0–0.05"
    yield Comparison(
        "friction_factor",
        "Colebrook's root by scipy, twelve digits",
        over,
        lambda: ((hc.friction_factor(*p), colebrook(*p)) for p in points),
        1e-10,
    )
    yield Comparison(
        "friction_factor", "fluids, Colebrook", over, lambda: ((hc.friction_factor(*p), fluids.Colebrook(*p)) for p in points[:400]), 1e-10
    )
    between = list(zip(rng.uniform(2000.0, 4000.0, 500).tolist(), roughness[:500].tolist(), strict=True))
    yield Comparison(
        "friction_factor",
        "Dunlop's cubic as printed, slope by differences",
        "Re 2000–4000, roughness 0–0.05",
        lambda: ((hc.friction_factor(*p), dunlop(*p)) for p in between),
        1e-10,
    )
    still = np.linspace(1.0, 2000.0, 50).tolist()
    yield Comparison(
        "friction_factor",
        "fluids, laminar",
        "Re 1–2000",
        lambda: ((hc.friction_factor(r, 1e-3), fluids.friction.friction_laminar(r)) for r in still),
        1e-10,
    )
    bores = np.linspace(0.016, 0.08, 40).tolist()
    yield Comparison(
        "fitting_friction",
        "Crane TP-410 p. A-26, as printed",
        "steel 1/2 to 12 in",
        lambda: ((hc.fitting_friction(fluids.nearest_pipe(NPS=size, schedule="40")[1]), f) for size, f in CRANE_TURBULENT.items()),
        0.04,
    )
    yield Comparison(
        "head_gradient",
        "fluids, Darcy and Weisbach",
        "bore 16–80 mm",
        lambda: ((hc.head_gradient(1.3, d, 0.021), fluids.head_from_K(fluids.K_from_f(0.021, 1.0, d), 1.3)) for d in bores),
        1e-12,
    )


def _pumps_and_pressure() -> Iterator[Comparison]:
    curve = (6.0, 5e-4, 4.5, 1e-3, 1.5)
    fitted = np.polynomial.Polynomial.fit([0.0, curve[1], curve[3]], [curve[0], curve[2], curve[4]], 2)
    flows = np.linspace(0.0, 1.1e-3, 30).tolist()
    yield Comparison(
        "pump_head",
        "numpy, polynomial through three points",
        "0–110 % of the flow",
        lambda: ((hc.pump_head(q, *curve), fitted(q)) for q in flows),
        1e-9,
    )

    def crossings() -> Pairs:
        linear, square = hc.pump_linear_coefficient(*curve), hc.pump_square_coefficient(*curve)
        for static, a, b in ((0.0, 0.0, 4e6), (1.0, 500.0, 2e6), (0.0, 2000.0, 0.0), (5.9, 0.0, 1e7)):
            root = brentq(lambda q, s, a, b: hc.pump_head(q, *curve) - (s + a * q + b * q * q), 0.0, 1e-2, (static, a, b), 1e-16, 1e-14)
            yield hc.operating_flow(curve[0], linear, square, static, a, b), root

    yield Comparison("operating_flow", "scipy, root of the two curves", "four systems", crossings, 1e-9)

    def growth() -> Pairs:
        for cold, hot in ((5.0, 60.0), (10.0, 82.0), (15.0, 95.0), (5.0, 95.0)):
            ratio = IAPWS95(T=cold + KELVIN, P=0.3).rho / IAPWS95(T=hot + KELVIN, P=0.3).rho
            yield hc.expansion_volume("water", 0.0, 1.0, cold, hot), ratio - 1.0

    yield Comparison("expansion_volume", "iapws, IAPWS-95 at 0.3 MPa", "water, 5–95 °C", growth, 2e-3)
    heights = np.linspace(-400.0, 5000.0, 28).tolist()
    yield Comparison(
        "surface_pressure",
        "fluids, standard atmosphere 1976",
        "−400–5000 m by the tape",
        lambda: ((hc.surface_pressure(z), fluids.ATMOSPHERE_1976(z).P) for z in heights),
        1e-3,
    )


def _mixing() -> Iterator[Comparison]:
    def mixed() -> Pairs:
        for share in (0.25, 0.5, 0.75):
            for warm, cool in ((80.0, 20.0), (80.0, 60.0), (60.0, 30.0)):
                mass = [
                    share * PropsSI("D", "T", warm + KELVIN, "P", 2e5, "Water"),
                    (1 - share) * PropsSI("D", "T", cool + KELVIN, "P", 2e5, "Water"),
                ]
                heat = [PropsSI("H", "T", t + KELVIN, "P", 2e5, "Water") for t in (warm, cool)]
                true = PropsSI("T", "H", float(np.average(heat, weights=mass)), "P", 2e5, "Water") - KELVIN
                yield hc.mixed_temperature(share, warm, 1 - share, cool), true

    yield Comparison("mixed_temperature", "CoolProp, masses and enthalpies", "water, 20–80 °C", mixed, 0.5, "K")


CHAPTERS = (_liquid_water, _glycols, _friction, _pumps_and_pressure, _mixing)
