"""Exchangers against printed and computed check values (shared/published/exchangers.csv)."""

from __future__ import annotations

import pytest
from published import Row, each, rows
from scipy.optimize import brentq

from hydrocalc import exchangers

# The explicit formula for two unmixed flows is an approximation; the catalogue states it as within 0.1 % of the exact integral.
CROSSFLOW_ERROR = 0.001
ARRANGEMENTS = {
    "counter": exchangers.counterflow_effectiveness,
    "parallel": exchangers.parallel_effectiveness,
    "crossflow_unmixed": exchangers.crossflow_effectiveness,
    "crossflow_Cmax_mixed": exchangers.larger_mixed_effectiveness,
}


def _near(row: Row, value: float) -> None:
    assert value == pytest.approx(row.value, rel=row.tolerance)


def _rates(row: Row) -> tuple[float, float]:
    return row.number("mh") * row.number("cph"), row.number("mc") * row.number("cpc")


def _counterflow_duty(row: Row) -> tuple[float, float, float]:
    """Heat from conductance and flows, and the two capacity rates."""
    hot, cold = _rates(row)
    smaller = exchangers.smaller_capacity_rate(hot, cold)
    units = exchangers.transfer_units(row.number("UA"), smaller)
    effectiveness = exchangers.counterflow_effectiveness(units, exchangers.capacity_ratio(hot, cold))
    return exchangers.exchanger_output(effectiveness, smaller, row.number("Th_in"), row.number("Tc_in")), hot, cold


def _heated(row: Row) -> tuple[float, float, float]:
    """Duty of a row that gives the heated side's temperatures, and the two capacity rates."""
    hot, cold = _rates(row)
    return cold * (row.number("Tc_out") - row.number("Tc_in")), hot, cold


@each("exchangers", "lmtd")
def test_log_mean(row: Row) -> None:
    hot_in, hot_out, cold_in, cold_out = (row.number(n) for n in ("Th_in", "Th_out", "Tc_in", "Tc_out"))
    if row.inputs["flow"] == "parallel":
        cold_in, cold_out = cold_out, cold_in  # the ends of a parallel exchanger are its inlets and its outlets
    _near(row, exchangers.log_mean_difference(hot_in, hot_out, cold_in, cold_out))


@each("exchangers", "effectiveness")
def test_effectiveness(row: Row) -> None:
    flow = row.inputs.get("flow", "rating")
    if "NTU" in row.inputs and flow == "phase_change":
        _near(row, exchangers.tank_coil_effectiveness(row.number("NTU")))
    elif flow == "crossflow_unmixed":
        value = exchangers.crossflow_effectiveness(row.number("NTU"), row.number("Cr"))
        # Not the row's 1e-9: the formula is an approximation whose error the catalogue states, and it must not be exact by chance.
        assert 0.0 < abs(value / row.value - 1.0) <= CROSSFLOW_ERROR
    elif "NTU" in row.inputs:
        _near(row, ARRANGEMENTS[flow](row.number("NTU"), row.number("Cr")))
    elif flow == "counter":
        duty, hot, cold = _heated(row)
        _near(row, exchangers.effectiveness_from_output(duty, min(hot, cold), row.number("Th_in"), row.number("Tc_in")))
    else:
        # The hot side has the smaller rate: per degree of it, the duty is its own drop.
        duty = row.number("Th_in") - row.number("Th_out")
        _near(row, exchangers.effectiveness_from_output(duty, 1.0, row.number("Th_in"), row.number("Tc_in")))


@each("exchangers", "ntu")
def test_transfer_units(row: Row) -> None:
    if "U" in row.inputs:
        _near(row, exchangers.transfer_units(row.number("U") * row.number("A"), exchangers.smaller_capacity_rate(*_rates(row))))
    elif row.inputs["flow"] == "counter":
        _near(row, exchangers.counterflow_transfer_units(row.number("effectiveness"), row.number("Cr")))
    else:
        wanted, ratio = row.number("effectiveness"), row.number("Cr")
        found = brentq(lambda n: exchangers.crossflow_effectiveness(n, ratio) - wanted, 0.1, 10.0)
        _near(row, found)


@each("exchangers", "heat_rate")
def test_heat(row: Row) -> None:
    if "UA" in row.inputs:
        _near(row, _counterflow_duty(row)[0])
    else:
        rate = row.number("mh") * row.number("cph")
        # The printed duty must cool the oil to the printed outlet: 1e-4 of its 40 K drop.
        outlet = exchangers.hot_outlet_temperature(row.number("Th_in"), row.value, rate)
        drop = row.number("Th_in") - row.number("Th_out")
        assert row.number("Th_in") - outlet == pytest.approx(drop, rel=row.tolerance)


@each("exchangers", "hot_outlet_temperature")
def test_hot_outlet(row: Row) -> None:
    duty, hot, _ = _counterflow_duty(row)
    _near(row, exchangers.hot_outlet_temperature(row.number("Th_in"), duty, hot))


@each("exchangers", "cold_outlet_temperature")
def test_cold_outlet(row: Row) -> None:
    if "UA" in row.inputs:
        duty, _, cold = _counterflow_duty(row)
    else:
        cold = row.number("mc") * row.number("cpc")
        given = "q_W" in row.inputs
        duty = row.number("q_W") if given else row.number("mh") * row.number("cph") * (row.number("Th_in") - row.number("Th_out"))
    _near(row, exchangers.cold_outlet_temperature(row.number("Tc_in"), duty, cold))


@each("exchangers", "area")
def test_area(row: Row) -> None:
    duty, hot, cold = _heated(row)
    ends = row.number("Th_in"), row.number("Th_in") - duty / hot, row.number("Tc_in"), row.number("Tc_out")
    by_mean = exchangers.conductance_from_rating(duty, *ends)
    effectiveness = exchangers.effectiveness_from_output(duty, min(hot, cold), ends[0], ends[2])
    by_units = exchangers.counterflow_transfer_units(effectiveness, exchangers.capacity_ratio(hot, cold)) * min(hot, cold)
    assert by_units == pytest.approx(by_mean, rel=1e-12)
    _near(row, by_mean / row.number("U"))


@each("exchangers", "coil_in_tank_outlet_temperature")
def test_tank_coil(row: Row) -> None:
    rate, hot, tank = row.number("C_W_per_K"), row.number("T_in"), row.number("T_tank")
    effectiveness = exchangers.tank_coil_effectiveness(exchangers.transfer_units(row.number("UA"), rate))
    given = exchangers.exchanger_output(effectiveness, rate, hot, tank)
    _near(row, exchangers.hot_outlet_temperature(hot, given, rate))


def test_every_quantity_has_its_test() -> None:
    tested = {"lmtd", "effectiveness", "ntu", "heat_rate", "hot_outlet_temperature", "cold_outlet_temperature", "area"}
    assert {r.quantity for r in rows("exchangers")} == tested | {"coil_in_tank_outlet_temperature"}
