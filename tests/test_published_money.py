"""Money against published and computed check values (shared/published/money.csv)."""

from __future__ import annotations

import pytest
from published import Row, each
from scipy.optimize import brentq

from hydrocalc import money


def _near(row: Row, value: float, tolerance: float | None = None) -> None:
    assert value == pytest.approx(row.value, rel=tolerance or row.tolerance)


def _flows(row: Row) -> list[float]:
    return [float(f) for f in row.inputs["flows"].split("|")]


def _worth(rate: float, flows: list[float]) -> float:
    """Present worth of any flows: a single payment of year k is a series of k less one of k - 1."""
    total = flows[0]
    for year, payment in enumerate(flows[1:], 1):
        earlier = money.present_worth_factor(rate, 0.0, year - 1)
        total += payment * (money.present_worth_factor(rate, 0.0, year) - earlier)
    return total


@each("money", "npv")
def test_present_value(row: Row) -> None:
    rate, flows = row.number("rate"), _flows(row)
    _near(row, _worth(rate, flows))
    if len(set(flows[1:])) == 1:  # an even saving, which the library takes in one step
        _near(row, money.net_present_value(rate, -flows[0], flows[1], 0.0, len(flows) - 1))


@each("money", "irr", "irr_incremental", "irr_incremental_exact")
def test_rate_at_which_the_present_value_is_zero(row: Row) -> None:
    flows = _flows(row)
    _near(row, float(brentq(lambda rate: _worth(rate, flows), 1e-3, 1.0, xtol=1e-14)))


@each("money", "pmt")
def test_payment_of_a_loan(row: Row) -> None:
    _near(row, -row.number("pv") / money.present_worth_factor(row.number("rate"), 0.0, row.number("n")))


@each("money", "loan_payment_monthly", "loan_total_interest")
def test_monthly_loan(row: Row) -> None:
    months, principal = row.number("months"), row.number("principal")
    payment = principal / money.present_worth_factor(row.number("annual_rate") / 12, 0.0, months)
    _near(row, payment if row.quantity == "loan_payment_monthly" else months * payment - principal)


@each("money", "capital_recovery_factor")
def test_capital_recovery(row: Row) -> None:
    _near(row, 1 / money.present_worth_factor(row.number("rate"), 0.0, row.number("n")))


@each("money", "simple_payback")
def test_payback(row: Row) -> None:
    _near(row, money.simple_payback(row.number("cost"), row.number("saving")))


@each("money", "simple_payback_furnace")
def test_payback_of_a_better_furnace(row: Row) -> None:
    """The row's price is that of a million BTU of fuel, so a sales unit holds just that."""
    costs = [
        money.heat_cost.us(row.number("load_MMBtu"), money.heat_price.us(row.number("price"), 1e6, 100 * row.number(e)))
        for e in ("eff_old", "eff_new")
    ]
    _near(row, money.simple_payback(row.number("extra_cost"), money.annual_saving(costs[0], costs[1], 0.0)))


@each("money", "payback_escalating", "discounted_payback")
def test_payback_of_a_changing_saving(row: Row) -> None:
    """The year in which the cumulated worth reaches the cost, straight within the year: from the library's series, year by year."""
    saving = row.number("saving_yr1") if "saving_yr1" in row.inputs else row.number("saving")
    rate, escalation = float(row.inputs.get("rate", "0")), float(row.inputs.get("esc", "0"))
    year = 0
    while saving * money.present_worth_factor(rate, escalation, year + 1) < row.number("cost"):
        year += 1
    before, after = (saving * money.present_worth_factor(rate, escalation, y) for y in (year, year + 1))
    _near(row, year + (row.number("cost") - before) / (after - before))


@each("money", "pv_geometric_series")
def test_growing_series(row: Row) -> None:
    rate, growth, n, first = (row.number(name) for name in ("rate", "esc", "n", "first"))
    _near(row, first * money.present_worth_factor(rate, growth, n))
    _near(row, money.net_present_value(rate, 0.0, first, growth, n))


@each("money", "fuel_price_year_n")
def test_price_in_a_later_year(row: Row) -> None:
    """Undiscounted, the last payment of a growing series is the price of that year."""
    growth, year = row.number("esc"), row.number("year")
    last = money.present_worth_factor(0.0, growth, year + 1) - money.present_worth_factor(0.0, growth, year)
    _near(row, row.number("price0") * last)


@each("money", "fuel_price_average")
def test_average_price(row: Row) -> None:
    years = row.number("years")
    _near(row, row.number("price0") * money.present_worth_factor(0.0, row.number("esc"), years) / years)


@each("money", "levelised_cost_of_heat")
def test_levelised_cost(row: Row) -> None:
    rate, n = row.number("rate"), row.number("n")
    flat, growing = money.present_worth_factor(rate, 0.0, n), money.present_worth_factor(rate, row.number("fuel_esc"), n)
    cost = row.number("capital") + row.number("om_yr") * flat + row.number("fuel_yr1") * growing
    _near(row, cost / (row.number("useful_MMBtu_yr") * flat))


@each("money", "real_rate")
def test_real_rate(row: Row) -> None:
    """Discounting a growing saving is discounting an even one at the real rate."""
    inflation = row.number("inflation")
    for years in (1, 7, 20):
        growing = money.present_worth_factor(row.number("nominal"), inflation, years) * (1 + inflation)
        assert growing == pytest.approx(money.present_worth_factor(row.value, 0.0, years), rel=1e-8)


@each("money", "annual_saving")
def test_saving(row: Row) -> None:
    fuel = money.fuel_cost(row.number("fuel_units"), row.number("price"))
    _near(row, money.annual_saving(fuel, money.wood_cost(row.number("cords"), row.number("cord_price")), 0.0))
