"""References for what the other pages leave: printed tables of glycols, dry air, and forms that are turned round."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from functools import partial
from typing import Any

from accuracy_water import PropsSI
from comparison import KELVIN, Comparison, Pairs
from published import Row, rows

import hydrocalc as hc

_PRINTED = (
    ("density", "liquid_density", 0.013),
    ("cp", "liquid_specific_heat", 0.021),
    ("viscosity", "liquid_viscosity", 0.13),
    ("thermal_conductivity", "liquid_conductivity", 0.04),
    ("freezing_point", "liquid_freezing_temperature", 2.9),
)


def _glycols() -> Iterator[Comparison]:
    printed = [r for r in rows("glycol") if "volume_fraction" in r.inputs and r.inputs.get("data_source") != "ASHRAE2001_polynomial"]

    def pairs(quantity: str, function: Any) -> Pairs:
        for row in printed:
            if row.quantity == quantity:
                liquid = f"{row.inputs['glycol']} glycol"
                fraction = hc.glycol_mass_fraction(liquid, row.number("volume_fraction"))
                yield function(liquid, fraction, *_temperature(row)), row.value

    for quantity, name, bound in _PRINTED:
        absolute = "K" if quantity == "freezing_point" else ""
        yield Comparison(
            name, "ASHRAE 2001, the printed tables", "the printed points", partial(pairs, quantity, getattr(hc, name)), bound, absolute
        )


def _temperature(row: Row) -> tuple[float, ...]:
    return (row.number("t_C"),) if "t_C" in row.inputs else ()


def _air() -> Iterator[Comparison]:
    """Dry air of 1 atm at 0 °C, of which one cubic meter a second is warmed by a degree."""
    state = ("T", KELVIN, "P", 101325.0, "Air")
    heat = PropsSI("C", *state)
    yield Comparison("air_capacity_rate", "CoolProp, dry air", "0 °C", lambda: [(hc.air_capacity_rate(1.0, 1.29), 1.29 * heat)], 0.001)
    yield Comparison(
        "infiltration_load", "CoolProp, dry air", "0 °C", lambda: [(hc.infiltration_load(1.0, 1.0, 1.0, 0.0, 1.29), 1.29 * heat)], 0.001
    )


def _turned_round() -> Iterator[Comparison]:
    def transfer_units(effectiveness: float, ratio: float) -> float:
        e, c = Decimal(effectiveness), Decimal(ratio)
        return float(((1 - e * c) / (1 - e)).ln() / (1 - c))

    for over, ratios, bound in (("ratios 0–0.9", (0.0, 0.3, 0.9), 1e-11), ("ratios 0.999 to 1 − 1e-8", (0.999, 1 - 1e-6, 1 - 1e-8), 2e-8)):
        points = [(e, c) for e in (0.01, 0.2, 0.5, 0.9) for c in ratios]
        yield Comparison(
            "counterflow_transfer_units",
            "the textbook's form in fifty digits",
            f"effectiveness 0.01–0.9, {over}",
            lambda points=points: ((hc.counterflow_transfer_units(*p), transfer_units(*p)) for p in points),
            bound,
        )

    def worth(rate: float, escalation: float, years: int) -> float:
        growth, interest = 1 + Fraction(escalation), 1 + Fraction(rate)
        return float(sum(growth ** (k - 1) / interest**k for k in range(1, years + 1)))

    even = [(r, g, n) for r in (0.0, 0.03, 0.12) for g in (-0.1, 0.05, 0.2) for n in (1, 10, 40)]
    near = [(0.05 + gap, 0.05, n) for gap in (0.0, 1e-6, 1e-7, 1e-8, 3e-9, 1e-10) for n in (1, 10, 40)]
    for over, points, bound in (("rates 0–12 %, 1–40 years", even, 1e-9), ("growth nearly the rate", near, 1e-7)):
        yield Comparison(
            "present_worth_factor",
            "the sum, in fractions",
            over,
            lambda points=points: ((hc.present_worth_factor(r, g, float(n)), worth(r, g, n)) for r, g, n in points),
            bound,
        )


def _draw() -> Iterator[Comparison]:
    def pairs(ends: tuple[tuple[float, float], ...]) -> Pairs:
        for cold, hot in ends:
            low, high = (PropsSI("H", "T", t + KELVIN, "P", 3e5, "Water") for t in (cold, hot))
            yield hc.hot_water_draw_load(1e-4, cold, hot), 1e-4 * PropsSI("D", "T", hot + KELVIN, "P", 3e5, "Water") * (high - low)

    for over, ends, bound in (
        ("5–60 °C", ((5.0, 45.0), (10.0, 60.0), (5.0, 60.0), (40.0, 55.0)), 1.2e-3),
        ("0.01–99 °C", ((0.01, 99.0), (0.01, 60.0), (15.0, 95.0)), 2.5e-3),
    ):
        yield Comparison("hot_water_draw_load", "CoolProp, enthalpies at 0.3 MPa", over, partial(pairs, ends), bound)


CHAPTERS = (_glycols, _air, _turned_round, _draw)
