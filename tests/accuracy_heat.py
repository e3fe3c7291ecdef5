"""References for the buried line, exchangers, loads, storage, wood and money."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from decimal import Decimal, getcontext
from functools import partial
from pathlib import Path
from typing import Any

import conduction
import numpy as np
import numpy_financial
from comparison import KELVIN, Comparison, Pairs
from CoolProp.CoolProp import PropsSI
from ht.conduction import S_isothermal_pipe_to_plane
from ht.hx import effectiveness_from_NTU
from scipy.integrate import quad, solve_ivp

import hydrocalc as hc
from hydrocalc.loads import spread_degree_days


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
            given = (z, spacing, inner, outer, 0.0, k, s)
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

    def worth(escalations: Iterable[float]) -> Pairs:
        for rate in (0.0, 0.03, 0.05, 0.12):
            for escalation in escalations:
                for years in (1, 10, 40):
                    value = hc.net_present_value(rate, 14000.0, 1800.0, escalation, years)
                    yield value, float(numpy_financial.npv(rate, [-14000.0, *(1800.0 * (1 + escalation) ** k for k in range(years))]))

    by_year, apart, alike = "numpy-financial, year by year", (-0.02, 0.0, 0.03, 0.05), (0.05 + 1e-7, 0.05 + 4e-9, 0.05 + 2e-9)
    yield Comparison("net_present_value", by_year, "rates 0–12 %, 1–40 years", lambda: worth(apart), 1e-9)
    yield Comparison("net_present_value", by_year, "the same, growth of 5 % and nearly so", lambda: worth(alike), 1e-7)


def _exchangers() -> Iterator[Comparison]:
    """The textbook's own forms in fifty digits, where they do not lose the ones that doubles lose, and ht's integral."""
    getcontext().prec = 50
    sizes = (0.01, 0.3, 1.0, 3.0, 10.0, 40.0)
    points = [(n, c) for n in sizes for c in (0.0, 0.1, 0.5, 0.9)]
    # Where the textbook's form loses digits, and across the switch to its limit.
    alike = [(n, c) for n in (1e-4, *sizes) for c in (0.999, 1.0 - 1e-6, 1.0 - 1e-7, 1.0 - 1e-8, 1.0 - 1e-9)]

    def counterflow(n: float, c: float) -> float:
        decay = (-Decimal(n) * (1 - Decimal(c))).exp()
        return float((1 - decay) / (1 - Decimal(c) * decay))

    def parallel(n: float, c: float) -> float:
        return float((1 - (-Decimal(n) * (1 + Decimal(c))).exp()) / (1 + Decimal(c)))

    over, near = "transfer units 0.01–40, ratios 0–0.9", "transfer units 1e-4–40, ratios 0.999 to 1 − 1e-9"
    everywhere = "transfer units 1e-4–40, ratios 0 to 1 − 1e-9"
    textbook = "the textbook's form in fifty digits"
    for where, given, bound in ((over, points, 1e-12), (near, alike, 2e-8)):
        yield Comparison(
            "counterflow_effectiveness",
            textbook,
            where,
            lambda given=given: ((hc.counterflow_effectiveness(*p), counterflow(*p)) for p in given),
            bound,
        )
    yield Comparison(
        "parallel_effectiveness",
        textbook,
        everywhere,
        lambda: ((hc.parallel_effectiveness(*p), parallel(*p)) for p in (*points, *alike)),
        1e-15,
        "of 1",
    )
    yield Comparison(
        "tank_coil_effectiveness",
        textbook,
        everywhere,
        lambda: ((hc.tank_coil_effectiveness(n), counterflow(n, 0.0)) for n, _ in alike),
        1e-15,
        "of 1",
    )
    crossed = [(n, c) for n in np.linspace(0.1, 10.0, 30).tolist() for c in (0.05, 0.25, 0.5, 0.75, 1.0)]
    yield Comparison(
        "crossflow_effectiveness",
        "ht, the exact integral",
        "transfer units 0.1–10",
        lambda: ((hc.crossflow_effectiveness(n, c), effectiveness_from_NTU(n, c, "crossflow")) for n, c in crossed),
        1e-3,
    )
    for mixed, name in (("larger", "Cmax"), ("smaller", "Cmin")):
        of = getattr(hc, f"{mixed}_mixed_effectiveness")
        yield Comparison(
            f"{mixed}_mixed_effectiveness",
            "ht, one side mixed",
            "transfer units 0.1–10",
            lambda of=of, name=name: ((of(n, c), effectiveness_from_NTU(n, c, f"crossflow, mixed {name}")) for n, c in crossed),
            2e-8,
        )

    def means(ends: Iterable[tuple[float, float]]) -> Pairs:
        for hot_out, cold_out in ends:
            one, other = Decimal(80) - Decimal(cold_out), Decimal(hot_out) - Decimal(40)
            yield hc.log_mean_difference(80.0, hot_out, 40.0, cold_out), float((one - other) / (one / other).ln())

    unlike = ((60.0, 55.0), (70.0, 45.0), (61.0, 58.9), (50.0, 65.0), (45.0, 60.0))
    yield Comparison("log_mean_difference", textbook, "ends as 1 to 1.1, or 1 to 4", lambda: means(unlike), 1e-12)
    nearly = [(60.0 + gap, 60.0) for gap in (0.1, 0.0021, 0.0019, 0.001, 1e-6)]
    yield Comparison("log_mean_difference", textbook, "ends alike to 1e-6 K or 0.1 K", lambda: means(nearly), 1e-9)


def _loads() -> Iterator[Comparison]:
    def drawn(pairs: list[tuple[float, float]]) -> Pairs:
        for cold, hot in pairs:
            low, high = (PropsSI("H", "T", t + KELVIN, "P", 3e5, "Water") for t in (cold, hot))
            yield hc.hot_water_energy(1.0, cold, hot), PropsSI("D", "T", hot + KELVIN, "P", 3e5, "Water") * (high - low)

    at_the_tap = [(5.0, 45.0), (10.0, 60.0), (5.0, 60.0), (40.0, 55.0), (20.0, 25.0)]
    enthalpies = "CoolProp, enthalpies at 0.3 MPa"
    yield Comparison("hot_water_energy", enthalpies, "5–60 °C", partial(drawn, at_the_tap), 1.2e-3)
    yield Comparison("hot_water_energy", enthalpies, "0.01–99 °C", partial(drawn, [(0.01, 99.0), (0.01, 60.0), (15.0, 95.0)]), 2.5e-3)

    def stations(base: float, own: bool) -> Iterator[list[tuple[float, float]]]:
        """The twelve months of each station, by the function alone, or with the spread that the twelve months have; in K day."""
        import pvlib

        for station in ("723170TYA.CSV", "703165TY.csv"):
            weather, _ = pvlib.iotools.read_tmy3(Path(pvlib.__file__).parent / "data" / station, map_variables=True)
            air = weather["temp_air"].to_numpy().reshape(365, 24).mean(axis=1)
            months = np.split(air, np.cumsum([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30]))
            yearly = float(np.std([m.mean() for m in months]))
            found = (
                spread_degree_days(m.mean(), base, len(m), hc.monthly_spread(m.mean(), yearly, float(len(m))))
                if own
                else hc.monthly_degree_days(m.mean(), base, float(len(m)))
                for m in months
            )
            yield list(zip(found, (float(np.maximum(base - m, 0.0).sum()) for m in months), strict=True))

    def years(base: float, own: bool) -> Pairs:
        for months in stations(base, own):
            yield sum(ours for ours, _ in months), sum(theirs for _, theirs in months)

    bases = {fahrenheit: (fahrenheit - 32) / 1.8 for fahrenheit in (65, 60, 55)}

    def heating(own: bool) -> Pairs:
        """Months of more than 300 °F day, at every base."""
        return (pair for base in bases.values() for months in stations(base, own) for pair in months if pair[1] > 300.0 / 1.8)

    def every(own: bool) -> Pairs:
        return (pair for base in bases.values() for months in stations(base, own) for pair in months)

    days = "daily means of pvlib's two TMY3 stations"
    for name, own, bounds, month, day in (
        ("monthly_degree_days", False, (0.025, 0.025, 0.05), 0.045, 45.0),
        ("monthly_spread", True, (0.02, 0.02, 0.035), 0.04, 34.0),
    ):
        for (fahrenheit, base), bound in zip(bases.items(), bounds, strict=True):
            yield Comparison(name, days, f"a year, base {fahrenheit} °F", partial(years, base, own), bound)
        yield Comparison(name, days, "each month of more than 300 °F day, base 55–65 °F", partial(heating, own), month)
        yield Comparison(name, days, "each month, base 55–65 °F", partial(every, own), day, "K day")


CHAPTERS = (_ground, _exchangers, _loads, _storage_wood_money)
