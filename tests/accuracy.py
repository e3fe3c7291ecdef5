"""The accuracy of the functions, measured now by routes that share no formula with them: ``python tests/accuracy.py``.

Prints one Markdown table: what was measured, against what, over which range, the worst difference found, the bound that
the function states, and how it states it.  test_accuracy.py holds each row to its bound.
"""

from __future__ import annotations

import math
import sys
import warnings
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

if __name__ == "__main__":  # run from the folder of the project, installed or not
    sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent)]

import conduction
import fluids
import numpy_financial
from CoolProp.CoolProp import PropsSI
from ht.conduction import S_isothermal_pipe_to_plane
from iapws import IAPWS95
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

import hydrocalc as hc
from hydrocalc.named import ValidityWarning, catalogue

KELVIN = 273.15
GLYCOLS = {"propylene glycol": "MPG", "ethylene glycol": "MEG"}
Pairs = Iterable[tuple[Any, Any]]


@dataclass(frozen=True)
class Comparison:
    """One row: a function, its reference, pairs of (ours, theirs), and the bound it states."""

    function: str
    reference: str
    over: str
    pairs: Callable[[], Pairs]
    bound: float
    absolute: str = ""  # the unit, where a difference is meant and not a ratio

    def worst(self) -> float:
        """The largest difference, relative unless the row says otherwise."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", ValidityWarning)
            found = [abs(ours - theirs) / (1.0 if self.absolute else abs(theirs)) for ours, theirs in self.pairs()]
        assert found and all(map(math.isfinite, found)), f"{self.function}: nothing was compared, or a difference is not a number"
        return float(max(found))


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


def _friction() -> Iterator[Comparison]:
    rng = np.random.default_rng(3)
    reynolds = np.concatenate([10 ** rng.uniform(math.log10(2300.0), 8.0, 2000), [2300.0, 2300.0, 1e8, 1e8]])
    roughness = np.concatenate(
        [np.where(rng.random(2000) < 0.5, rng.uniform(0, 0.05, 2000), 10 ** rng.uniform(-8, -1.31, 2000)), [0, 0.05, 0, 0.05]]
    )
    points = list(zip(reynolds.tolist(), roughness.tolist(), strict=True))
    over = "Re 2300–1e8, roughness 0–0.05"
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
    still = np.linspace(1.0, 2299.0, 50).tolist()
    yield Comparison(
        "friction_factor",
        "fluids, laminar",
        "Re 1–2299",
        lambda: ((hc.friction_factor(r, 1e-3), fluids.friction.friction_laminar(r)) for r in still),
        1e-10,
    )
    bores = np.linspace(0.016, 0.08, 40).tolist()
    yield Comparison(
        "fitting_friction",
        "fluids, Crane TP-410",
        "bore 16–80 mm",
        lambda: ((hc.fitting_friction(d), fluids.ft_Crane(d)) for d in bores),
        0.05,
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


def _along(_: float, t: Any, exchange: float, other: float, rate: float) -> Any:
    """Degrees a meter, of a line in ground of 5 °C beside another line."""
    return -(0.15 * (t - 5.0) + exchange * (t - other)) / rate


def _ground() -> Iterator[Comparison]:
    lines = [(depth, diameter) for depth in (0.3, 0.6, 1.5) for diameter in (0.05, 0.11, 0.2)]
    yield Comparison(
        "soil_resistance",
        "ht, pipe under a plane",
        "depth 0.3–1.5 m",
        lambda: ((hc.soil_resistance(z, d, 1.3), 1 / (1.3 * S_isothermal_pipe_to_plane(d, z))) for z, d in lines),
        1e-12,
    )

    def layers() -> Pairs:
        for inner, outer in ((0.032, 0.14), (0.02, 0.024), (0.063, 0.2)):
            yield (
                hc.layer_resistance(inner, outer, 0.027),
                quad(lambda r: 1 / (2 * math.pi * r * 0.027), inner / 2, outer / 2, epsabs=0, epsrel=1e-13)[0],
            )

    yield Comparison("layer_resistance", "scipy, integral over the radius", "tubes and jackets", layers, 1e-12)

    def outlets() -> Pairs:
        for exchange, other, flow in ((0.0, 5.0, 2e-4), (0.05, 55.0, 1e-4), (0.4, 70.0, 1e-3), (0.05, 55.0, 1e-5)):
            rate = flow * 980.0 * 4190.0
            solved = solve_ivp(_along, (0.0, 180.0), [80.0], args=(exchange, other, rate), rtol=1e-12, atol=1e-12)
            yield hc.line_outlet_temperature(80.0, 5.0, other, 180.0, 0.15, exchange, flow, 980.0, 4190.0), float(solved.y[0, -1])

    yield Comparison("line_outlet_temperature", "scipy, integrated along 180 m", "0.6–60 L/min", outlets, 1e-7, "K")
    one = [(z, k, s) for z in (0.45, 0.6, 1.2) for k, s in ((0.022, 2.5), (0.027, 1.5), (0.04, 0.8))]

    def alone() -> Pairs:
        for z, k, s in one:
            ours = hc.line_loss(80.0, 10.0, hc.layer_resistance(0.032, 0.14, k), hc.soil_resistance(z, 0.14, s))
            yield ours, float(conduction.one(z, 0.14, 0.032, k, s, 70.0).heat[0])

    yield Comparison("line_loss", "two-dimensional conduction, collocation", "one insulated line", alone, 1e-3)
    rng = np.random.default_rng(20)
    pairs = [
        (z, gap * outer, outer, inner, k, s)
        for outer, inner in ((0.11, 0.025), (0.125, 0.032), (0.16, 0.04), (0.2, 0.063))
        for z, gap, k, s in rng.uniform((0.45, 1.1, 0.022, 0.8), (1.5, 4.0, 0.04, 2.5), (4, 4)).tolist()
    ]

    def side_by_side(which: str) -> Pairs:
        for z, spacing, outer, inner, k, s in pairs:
            warm, cold = conduction.side_by_side(z, spacing, outer, inner, k, s, (1.0, 0.0), 0.0).heat.tolist()
            given = (z, spacing, outer, hc.layer_resistance(inner, outer, k), s)
            loss = warm + cold
            yield (
                (hc.pair_loss_conductance(*given), loss)
                if which == "loss"
                else (1 + hc.pair_exchange_conductance(*given) / loss, 1 - cold / loss)
            )

    yield Comparison("pair_loss_conductance", "two-dimensional conduction, collocation", "16 pairs", lambda: side_by_side("loss"), 4e-3)
    yield Comparison(
        "pair_exchange_conductance", "the same, as a share of the loss", "16 pairs", lambda: side_by_side("exchange"), 4e-3, "of the loss"
    )
    twins = [
        (z, spacing, tube, jacket, k, s)
        for tube, spacing, jacket in (
            (0.025, 0.045, 0.125),
            (0.032, 0.052, 0.125),
            (0.04, 0.06, 0.16),
            (0.063, 0.093, 0.2),
            (0.032, 0.06, 0.2),
        )
        for z, k, s in ((0.45, 0.022, 2.5), (0.6, 0.03, 1.0), (1.2, 0.04, 1.5))
    ]

    def together() -> Pairs:
        for z, spacing, tube, jacket, k, s in twins:
            heat = conduction.in_one_jacket(z, spacing, tube, jacket, k, s, (1.0, 0.0), 0.0).heat
            yield hc.twin_loss_conductance(z, spacing, tube, jacket, 0.0, k, s), float(heat.sum())

    yield Comparison("twin_loss_conductance", "two-dimensional conduction, collocation", "15 twin lines", together, 3e-3)


def _storage_wood_money() -> Iterator[Comparison]:
    def cooled() -> Pairs:
        for hours in (1.0, 10.0, 100.0):
            solved = solve_ivp(lambda _, t: -12.0 * (t + 10.0) / (0.8 * 980 * 4190), (0, 3600 * hours), [80.0], rtol=1e-12, atol=1e-12)
            yield hc.cooled_temperature(0.8, 80.0, -10.0, 12.0, 3600 * hours, 980, 4190), float(solved.y[0, -1])

    yield Comparison("cooled_temperature", "scipy, integrated over the time", "1–100 h", cooled, 1e-7, "K")

    def left_by_the_stack() -> Pairs:
        from test_wood import _HHV, _balance

        for moisture in (0.0, 0.2, 0.35, 0.5):
            for excess, stack in ((0.4, 150.0), (0.5, 204.4), (1.0, 260.0)):
                yield 1 - hc.stack_loss_fraction(_HHV, moisture, excess, stack, 25.0), 1 - _balance(moisture, excess, stack, 25.0)

    yield Comparison(
        "stack_loss_fraction",
        "molar balance, enthalpies of CoolProp",
        "heat left at moisture 0–50 %, stack 150–260 °C",
        left_by_the_stack,
        2e-3,
    )

    def worth() -> Pairs:
        for rate in (0.0, 0.03, 0.05, 0.12):
            for escalation in (-0.02, 0.0, 0.03, 0.05, 0.05 + 1e-7):
                for years in (1, 10, 40):
                    value = hc.net_present_value(rate, 14000.0, 1800.0, escalation, years)
                    yield value, float(numpy_financial.npv(rate, [-14000.0, *(1800.0 * (1 + escalation) ** k for k in range(years))]))

    yield Comparison("net_present_value", "numpy-financial, year by year", "rates 0–12 %, 1–40 years", worth, 1e-9)

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


def comparisons() -> Iterator[Comparison]:
    """Every row, chapter by chapter."""
    for chapter in (_liquid_water, _glycols, _friction, _pumps_and_pressure, _ground, _storage_wood_money):
        yield from chapter()


def table() -> str:
    """The rows as Markdown, each measured now."""
    functions = catalogue()
    lines = [
        "| function | compared with | over | worst now | bound | as the catalogue states it |",
        "| --- | --- | --- | ---: | ---: | --- |",
    ]
    for row in comparisons():
        unit = f" {row.absolute}" if row.absolute else ""
        stated = functions[row.function].accuracy.replace("|", "/")
        lines.append(f"| `{row.function}` | {row.reference} | {row.over} | {row.worst():.1e}{unit} | {row.bound:g}{unit} | {stated} |")
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
