"""Flow: closed heat balances, still water, and every refusal."""

from __future__ import annotations

import math

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from hydrocalc import flow
from hydrocalc.named import RangeError

DENSITY, HEAT = 977.8, 4190.0


def test_balance_closes() -> None:
    load, drop = np.array([0.0, 1e3, 5e4]), np.array([5.0, 11.1, 20.0])
    q = flow.flow_from_load(load, drop, DENSITY, HEAT)
    assert np.allclose(flow.load_from_flow(q, drop, DENSITY, HEAT), load, rtol=1e-15)
    assert np.allclose(flow.drop_from_load(load, q, DENSITY, HEAT)[1:], drop[1:], rtol=1e-15)
    assert np.allclose(flow.capacity_rate(q, DENSITY, HEAT) * drop, load, rtol=1e-15)


def test_trade_rule() -> None:
    # 500 BTU/h for a gallon a minute and a degree is the trade's rule for water near 60 °F; common practice, no source.
    assert flow.load_from_flow.us(1.0, 1.0, 62.37, 1.0) == pytest.approx(500.0, rel=1e-3)


def test_continuity() -> None:
    bore = np.array([0.01, 0.0219, 0.05])
    v = flow.velocity_from_flow(3e-4, bore)
    assert np.allclose(v * np.pi * (bore / 2.0) ** 2, 3e-4, rtol=1e-15)
    assert np.allclose(flow.flow_from_velocity(v, bore), 3e-4, rtol=1e-15)
    assert flow.velocity_from_flow(0.0, 0.02) == 0.0


def test_no_flow_is_defined() -> None:
    assert flow.drop_from_load(0.0, 0.0, DENSITY, HEAT) == 0.0
    assert flow.flow_from_load(0.0, 10.0, DENSITY, HEAT) == 0.0
    assert flow.mixed_temperature(0.0, 40.0, 0.0, 80.0) == 40.0
    with pytest.raises(RangeError, match="a load needs a flow"):
        flow.drop_from_load(1.0, 0.0, DENSITY, HEAT)


def test_mixing() -> None:
    assert flow.mixed_temperature(1e-4, 60.0, 0.0, 90.0) == 60.0
    assert flow.mixed_temperature(0.0, 60.0, 1e-4, 90.0) == pytest.approx(90.0, rel=1e-12)
    assert flow.mixed_temperature(1e-4, 70.0, 3e-4, 70.0) == 70.0
    mixed = flow.mixed_temperature(1e-4, 80.0, np.array([1e-4, 2e-4]), 20.0)
    assert mixed == pytest.approx([50.0, 40.0])


@pytest.mark.parametrize(("share", "warm", "cool"), [(0.5, 80.0, 20.0), (0.25, 80.0, 20.0), (0.5, 80.0, 60.0)])
def test_mixing_against_enthalpy(share: float, warm: float, cool: float) -> None:
    # By masses and enthalpies (CoolProp): the equal densities that the function takes cost at most 0.5 K.
    mass = [share * PropsSI("D", "T", warm + 273.15, "P", 2e5, "Water"), (1 - share) * PropsSI("D", "T", cool + 273.15, "P", 2e5, "Water")]
    heat = [PropsSI("H", "T", t + 273.15, "P", 2e5, "Water") for t in (warm, cool)]
    true = PropsSI("T", "H", float(np.average(heat, weights=mass)), "P", 2e5, "Water") - 273.15
    assert flow.mixed_temperature(share, warm, 1 - share, cool) == pytest.approx(true, abs=0.5)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: flow.flow_from_load.us(1e4, 0, 61.2, 1), "drop is 0 °F, allowed: above 0 °F"),
        (lambda: flow.flow_from_load.us(1e4, -20, 61.2, 1), "drop is -20 °F"),
        (lambda: flow.flow_from_load(math.nan, 10, 977, 4190), "load is nan"),
        (lambda: flow.load_from_flow.us(-3, 20, 61.2, 1), "flow is -3 gpm, allowed: at least 0 gpm"),
        (lambda: flow.load_from_flow(1e-4, 10, 0, 4190), "density is 0"),
        (lambda: flow.velocity_from_flow(1e-4, 0), "bore is 0 m"),
        (lambda: flow.velocity_from_flow(math.inf, 0.02), "flow is inf"),
        (lambda: flow.flow_from_velocity(-1.0, 0.02), "velocity is -1"),
        (lambda: flow.capacity_rate(1e-4, 977, -1), "specific_heat is -1"),
        (lambda: flow.mixed_temperature(1e-4, -300.0, 1e-4, 20.0), "temperature_a is -300"),
        (lambda: flow.mixed_temperature(-1e-4, 20.0, 1e-4, 20.0), "flow_a is -0.0001"),
    ],
)
def test_refusals(call: object, message: str) -> None:
    with pytest.raises(RangeError, match=message):
        call()  # type: ignore[operator]
