"""Money: against numpy-financial, and where rates are equal, savings nothing, prices zero."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy_financial as npf
import pytest

from hydrocalc import money
from hydrocalc.named import RangeError


def _by_years(rate: float, cost: float, saving: float, escalation: float, years: int) -> float:
    return float(npf.npv(rate, [-cost, *(saving * (1 + escalation) ** k for k in range(years))]))


@pytest.mark.parametrize("rate", [0.0, 0.03, 0.05, 0.12])
@pytest.mark.parametrize("escalation", [-0.02, 0.0, 0.03, 0.05])
@pytest.mark.parametrize("years", [1, 10, 40])
def test_net_present_value_against_numpy_financial(rate: float, escalation: float, years: int) -> None:
    expected = _by_years(rate, 14000.0, 1800.0, escalation, years)
    assert money.net_present_value(rate, 14000.0, 1800.0, escalation, years) == pytest.approx(expected, rel=1e-11, abs=1e-6)


@pytest.mark.parametrize("gap", [0.0, 1e-15, 1e-12, 1e-9, 9e-7, 1.1e-6, 1e-4, -1e-12, -9e-7, -1.1e-6])
@pytest.mark.parametrize("years", [1, 20, 60])
def test_rate_and_escalation_nearly_equal(gap: float, years: int) -> None:
    """The closed form is 0/0 here; the sum of the years is not."""
    expected = _by_years(0.05 + gap, 0.0, 1.0, 0.05, years)
    # Nearer than 1e-6 the digits that the closed form loses, and what the plain number of years leaves out, are what the function states.
    assert money.present_worth_factor(0.05 + gap, 0.05, years) == pytest.approx(expected, rel=1e-7 if abs(gap) < 1e-6 else 1e-9)


def test_no_years_no_worth() -> None:
    assert money.present_worth_factor(0.05, 0.03, 0.0) == 0.0
    assert money.present_worth_factor(0.05, 0.05, 0.0) == 0.0
    assert money.net_present_value(0.05, 14000.0, 1800.0, 0.03, 0.0) == -14000.0


def test_break_even_price_makes_the_present_value_zero() -> None:
    factor = money.present_worth_factor(0.05, 0.03, 15)
    price = money.break_even_cord_price(3640.0, 150.0, 14000.0, factor, 9.0)
    saving = money.annual_saving(3640.0, money.wood_cost(9.0, price), 150.0)
    assert money.net_present_value(0.05, 14000.0, saving, 0.03, 15) == pytest.approx(0.0, abs=1e-8)
    assert money.break_even_cord_price(500.0, 150.0, 14000.0, factor, 9.0) < 0  # not even with wood for nothing


def test_parity_price_makes_heat_cost_the_same() -> None:
    oil = money.heat_price(3.5, 146.1e6, 0.83)
    price = money.parity_cord_price(oil, 2.53e10, 0.55)
    assert price / (2.53e10 * 0.55) == pytest.approx(oil, rel=1e-14)
    heat = money.useful_fuel_heat(900.0, 146.1e6, 0.83)
    assert money.heat_cost(heat, oil) == pytest.approx(money.fuel_cost(900.0, 3.5), rel=1e-14)


def test_payback_of_defined_cases() -> None:
    assert money.simple_payback(14000.0, 0.0) == money.NEVER_PAID
    assert money.simple_payback(14000.0, -300.0) == money.NEVER_PAID
    assert money.simple_payback(14000.0, 1.0) == money.NEVER_PAID
    assert money.simple_payback(0.0, 1800.0) == 0.0
    assert money.simple_payback(0.0, 0.0) == 0.0
    assert money.simple_payback(14000.0, np.array([0.0, 1400.0])) == pytest.approx([1000.0, 10.0])


def test_pump_cost_by_watts_and_hours() -> None:
    assert money.pump_running_cost.us(87, 24 * 210, 0.18) == pytest.approx(87 / 1000 * 24 * 210 * 0.18, rel=1e-12)
    assert money.pump_running_cost.metric(87, 24 * 210, 0.18) == pytest.approx(87 / 1000 * 24 * 210 * 0.18, rel=1e-12)
    assert money.pump_running_cost(0.0, 1e6, 1e-8) == 0.0


def test_labor_by_hours() -> None:
    assert money.cord_price_from_labor.us(7.5, 18) == pytest.approx(135.0)
    assert money.cord_price_from_labor(0.0, 0.005) == 0.0


def test_free_fuel_and_free_wood() -> None:
    assert money.heat_price(0.0, 1e8, 0.8) == 0.0
    assert money.wood_cost(9.0, 0.0) == 0.0
    assert money.annual_saving(0.0, 1980.0, 60.0) == -2040.0
    assert money.heat_price.us(0.16, 3412, 300) == pytest.approx(money.heat_price.us(0.16, 3412, 100) / 3)  # a heat pump


def test_arrays() -> None:
    rates = np.array([0.02, 0.05, 0.05 + 1e-12])
    factors = money.present_worth_factor(rates, 0.05, 12)
    assert factors == pytest.approx([_by_years(r, 0.0, 1.0, 0.05, 12) for r in rates], rel=1e-9)


@pytest.mark.parametrize(
    "call, words",
    [
        (lambda: money.heat_price(3.5, 0.0, 0.8), "heat_content is 0"),
        (lambda: money.heat_price(3.5, 1e8, 0.0), "efficiency is 0"),
        (lambda: money.heat_price.us(3.5, 138500, 1000), "efficiency is 1000 %"),
        (lambda: money.heat_price(-3.5, 1e8, 0.8), "fuel_price is -3.5"),
        (lambda: money.fuel_cost(-1.0, 3.5), "amount is -1"),
        (lambda: money.useful_fuel_heat(1.0, 1e8, 6.1), "efficiency is 6.1"),
        (lambda: money.heat_cost(-1.0, 1e-8), "heat is -1"),
        (lambda: money.wood_cost(-1.0, 200.0), "cords is -1"),
        (lambda: money.cord_price_from_stack(110.0, 0.0), "cords is 0"),
        (lambda: money.cord_price_from_stack(-110.0, 0.3), "price is -110"),
        (lambda: money.cord_price_from_labor(8 * 3600.0, -1.0), "wage is -1"),
        (lambda: money.pump_running_cost(-1.0, 1e6, 1e-8), "power is -1"),
        (lambda: money.annual_saving(float("nan"), 0.0, 0.0), "fuel_cost is nan"),
        (lambda: money.simple_payback(-1.0, 100.0), "cost is -1"),
        (lambda: money.present_worth_factor(-0.01, 0.0, 10), "rate is -0.01"),
        (lambda: money.present_worth_factor(5.0, 0.0, 10), "rate is 5"),
        (lambda: money.present_worth_factor(0.05, -0.6, 10), "escalation is -0.6"),
        (lambda: money.present_worth_factor(0.05, 0.0, -1), "years is -1"),
        (lambda: money.net_present_value(0.05, 14000.0, float("inf"), 0.0, 10), "saving is inf"),
        (lambda: money.parity_cord_price(-1e-8, 2.5e10, 0.5), "heat_price is -1e-08"),
        (lambda: money.break_even_cord_price(3640.0, 0.0, 14000.0, 0.0, 9.0), "present_worth_factor is 0"),
        (lambda: money.break_even_cord_price(3640.0, 0.0, 14000.0, 10.0, 0.0), "cords is 0"),
    ],
)
def test_refusals_name_the_argument(call: Any, words: str) -> None:
    with pytest.raises(RangeError, match=words):
        call()
