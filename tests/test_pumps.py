"""Pumps: the curve through its points, the crossing with a system against a bracketed root, and every refusal."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from hydrocalc import pumps
from hydrocalc.named import RangeError, ValidityWarning

CURVE = (6.0, 4e-4, 5.0, 1e-3, 2.0)  # m, m³/s


def test_curve_goes_through_its_points() -> None:
    flows = np.array([0.0, CURVE[1], CURVE[3]])
    assert np.allclose(pumps.pump_head(flows, *CURVE), [CURVE[0], CURVE[2], CURVE[4]], rtol=1e-14)


def test_curve_against_polyfit() -> None:
    square, linear, shutoff = np.polyfit([0.0, CURVE[1], CURVE[3]], [CURVE[0], CURVE[2], CURVE[4]], 2)
    assert pumps.pump_square_coefficient(*CURVE) == pytest.approx(square, rel=1e-9)
    assert pumps.pump_linear_coefficient(*CURVE) == pytest.approx(linear, rel=1e-9)
    assert shutoff == pytest.approx(CURVE[0])


def test_beyond_the_curve_is_told() -> None:
    with pytest.warns(ValidityWarning, match="beyond the last point"):
        pumps.pump_head(1.1e-3, *CURVE)


def test_system_goes_through_its_points() -> None:
    points = (1.0, 3e-4, 1.8, 9e-4, 5.5)
    linear, square = pumps.system_linear_coefficient(*points), pumps.system_square_coefficient(*points)
    heads = pumps.system_head(np.array([0.0, 3e-4, 9e-4]), 1.0, linear, square)
    assert np.allclose(heads, [1.0, 1.8, 5.5], rtol=1e-14)


heads = st.floats(0.5, 20.0)


@given(
    shutoff=heads,
    linear=st.floats(-5e3, 3e3, allow_subnormal=False),  # a head over 1e-311 overflows on the way, which numpy says
    square=st.floats(-2e7, -1e4),
    static=st.floats(0.0, 25.0),
    a=st.floats(0.0, 5e3, allow_subnormal=False),
    b=st.floats(0.0, 2e7, allow_subnormal=False),
)
def test_crossing_against_a_bracketed_root(shutoff: float, linear: float, square: float, static: float, a: float, b: float) -> None:
    """Falling and humped curves; where the shut-off head does not lift the static head, the flow is 0 by definition."""
    q = pumps.operating_flow(shutoff, linear, square, static, a, b)
    if shutoff <= static:
        assert q == 0.0
        return

    def surplus(x: float) -> float:
        return shutoff - static + (linear - a) * x + (square - b) * x * x

    high = 1e-6
    while surplus(high) > 0.0:
        high *= 2.0
    assert q == pytest.approx(brentq(surplus, 0.0, high, xtol=1e-18, rtol=1e-14), rel=1e-9, abs=1e-15)


def test_straight_lines_and_curves_that_do_not_meet() -> None:
    assert pumps.operating_flow(6.0, -3000.0, 0.0, 0.0, 1000.0, 0.0) == pytest.approx(6.0 / 4000.0)  # two straight lines
    assert pumps.operating_flow(6.0, 0.0, 0.0, 0.0, 0.0, 0.0) == 0.0  # parallel
    assert pumps.operating_flow(6.0, 0.0, 4e6, 0.0, 2000.0, 0.0) == 0.0  # the pump's curve bends up and away
    assert pumps.operating_flow(6.0, 2000.0, 0.0, 0.0, 1000.0, 0.0) == 0.0  # rises faster than the system
    first_of_two = (3000.0 - math.sqrt(9e6 - 2.4e6)) / 2e5
    assert pumps.operating_flow(6.0, -3000.0, 1e5, 0.0, 0.0, 0.0) == pytest.approx(first_of_two)
    both = pumps.operating_flow(np.array([6.0, 1.0]), -1000.0, -4e6, 2.0, 0.0, 1e6)
    assert both[0] > 0.0 == both[1]


def test_operating_point_lies_on_both_curves() -> None:
    linear, square = pumps.pump_linear_coefficient(*CURVE), pumps.pump_square_coefficient(*CURVE)
    q = pumps.operating_flow(CURVE[0], linear, square, 0.3, 500.0, 3e6)
    assert pumps.pump_head(q, *CURVE) == pytest.approx(pumps.system_head(q, 0.3, 500.0, 3e6), rel=1e-12)


def test_power_and_suction() -> None:
    assert pumps.pump_power(0.0, 5.0, 980.0, 0.3) == 0.0
    # 3960 gpm ft of water at 8.33 lb/gal are a horsepower of 745.7 W; the trade's constant has four digits.
    assert pumps.pump_power.us(10.0, 20.0, 62.32, 50.0) == pytest.approx(10.0 * 20.0 / 3960.0 / 0.5 * 745.7, rel=2e-3)
    # 10.33 m of cold water is one atmosphere.
    assert pumps.net_positive_suction_head(101325.0, 0.0, 0.0, 0.0, 1000.0) == pytest.approx(10.33, abs=0.01)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: pumps.pump_head(1e-4, 6.0, 1e-3, 5.0, 4e-4, 2.0), "the flows must rise: 0 < mid_flow < high_flow"),
        (lambda: pumps.pump_square_coefficient(6.0, 0.0, 5.0, 1e-3, 2.0), "the flows must rise"),
        (lambda: pumps.pump_linear_coefficient(6.0, 1e-3, 5.0, 1e-3, 2.0), "the flows must rise"),
        (lambda: pumps.pump_head(-1e-4, *CURVE), "flow is -0.0001"),
        (lambda: pumps.pump_head(math.nan, *CURVE), "flow is nan"),
        (lambda: pumps.system_square_coefficient(0.0, 1e-4, 1.0, 1e-4, 2.0), "the two flows must be above zero and differ"),
        (lambda: pumps.system_linear_coefficient(0.0, 0.0, 1.0, 1e-4, 2.0), "the two flows must be above zero"),
        (lambda: pumps.operating_flow(math.inf, 0.0, -1e6, 0.0, 0.0, 1e6), "shutoff_head is inf"),
        (lambda: pumps.pump_power(1e-4, 2.0, 980.0, 0.0), "efficiency is 0"),
        (lambda: pumps.pump_power.us(1, 2, 61, 101), "efficiency is 101"),
        (lambda: pumps.net_positive_suction_head(0.0, 1.0, 0.1, 1e3, 980.0), "surface_pressure is 0"),
        (lambda: pumps.net_positive_suction_head(1e5, 1.0, -0.1, 1e3, 980.0), "friction_head is -0.1"),
    ],
)
def test_refusals(call: object, message: str) -> None:
    with pytest.raises(RangeError, match=message):
        call()  # type: ignore[operator]
