"""Pressure: the standard atmosphere against fluids, expansion against CoolProp, tube limits, boiling heights, refusals."""

from __future__ import annotations

import math

import fluids
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from hydrocalc import liquids, pressure
from hydrocalc.named import RangeError, ValidityWarning
from hydrocalc.tables import table


@pytest.mark.parametrize("elevation", [0.0, 500.0, 1609.0, 3000.0, 10999.0])
def test_standard_atmosphere(elevation: float) -> None:
    # fluids turns geometric into geopotential height, which at 3 km is 1.4 m: 2e-4 of the pressure; 2.6e-3 at 11 km.
    wide = 2e-4 if elevation <= 3000.0 else 3e-3
    assert pressure.surface_pressure(elevation) == pytest.approx(fluids.ATMOSPHERE_1976(elevation).P, rel=wide)


def test_below_the_sea() -> None:
    assert pressure.surface_pressure(-400.0) > 101325.0
    for bad in (-501.0, 11001.0, math.nan):
        with pytest.raises(RangeError, match="elevation"):
            pressure.surface_pressure(bad)


@pytest.mark.parametrize(("liquid", "name", "fraction"), [("water", "Water", 0.0), ("propylene glycol", "INCOMP::MPG[0.4]", 0.4)])
def test_expansion_against_coolprop(liquid: str, name: str, fraction: float) -> None:
    cold, hot = 10.0, 80.0
    dense = [PropsSI("D", "T", t + 273.15, "P", 3e5, name) for t in (cold, hot)]
    # Water's own compression from 0.1 to 0.3 MPa nearly cancels in the ratio; 2e-3 is the bound stated.
    assert pressure.expansion_volume(liquid, fraction, 2.0, cold, hot) == pytest.approx(2.0 * (dense[0] / dense[1] - 1.0), rel=2e-3)


def test_no_change_no_expansion() -> None:
    assert pressure.expansion_volume("water", 0.0, 1.0, 50.0, 50.0) == 0.0
    assert pressure.metal_expansion(1.0, 1.2e-5, 50.0, 50.0) == 0.0
    assert pressure.expansion_tank_volume(0.0, 1e5, 2e5, 101325.0) == 0.0
    grown = pressure.expansion_volume(["water", "ethylene glycol"], 0.3, 1.0, 10.0, 80.0)
    assert grown[1] > grown[0] > 0.0


def test_tank_obeys_boyle() -> None:
    volume = pressure.expansion_tank_volume(0.01, 8e4, 1.9e5, 95e3)
    assert (8e4 + 95e3) * volume == pytest.approx((1.9e5 + 95e3) * (volume - 0.01), rel=1e-12)


def test_tube_limits() -> None:
    t = np.array([10.0, 23.0, 126.7 / 1.8 - 32 / 1.8, 82.2, 93.3])
    limits = pressure.tube_pressure_limit("PEX SDR-9", t) / 6894.757293168361
    assert limits[:2].tolist() == pytest.approx([160.0, 160.0])
    assert limits[2] == pytest.approx(130.0)  # half way from 160 to 100
    assert np.all(np.diff(limits) <= 0.0)
    with pytest.raises(RangeError, match="temperature must not exceed the family's highest"):
        pressure.tube_pressure_limit.us("PEX SDR-9", 201)
    with pytest.raises(RangeError, match="the family must be for heating"):
        pressure.tube_pressure_limit(["PEX SDR-9", "PE100 SDR-11"], 20.0)
    with pytest.raises(RangeError, match="family is 'PVC', which is not one of"):
        pressure.tube_pressure_limit("PVC", 20.0)
    assert pressure.tube_pressure_limit.metric("PE-X S5", 90) == pytest.approx(600.0, rel=1e-8)


def test_every_family_has_a_limit_that_falls() -> None:
    limits = table("tube_limits")
    for family in limits.texts("family"):
        if limits.lookup("heating", family) == 0.0:
            continue
        highest = float(limits.lookup("highest_temperature", family))
        allowed = pressure.tube_pressure_limit(family, np.linspace(5.0, highest, 50))
        assert np.all(allowed > 0.0), family
        assert np.all(np.diff(allowed) <= 1e-9), family
        with pytest.raises(RangeError, match="highest"):
            pressure.tube_pressure_limit(family, highest + 0.1)


def test_body_gives_no_pressure_where_the_function_refuses() -> None:
    # In a sheet nothing can be refused: the cell shows that no pressure is allowed.
    assert pressure.tube_pressure_limit.body("PEX SDR-9", np.float64(95.0)) == 0.0
    assert pressure.tube_pressure_limit.body("PE100 SDR-11", np.float64(20.0)) == 0.0


def test_heights() -> None:
    assert pressure.pressure_at_height(1e5, 0.0, 980.0) == 1e5
    assert pressure.pressure_at_height(0.0, -10.0, 1000.0) == pytest.approx(98066.5)
    # 2.31 ft of cold water to the pound per square inch; the trade's figure has three digits.
    assert pressure.pressure_at_height.us(0.0, -2.31, 62.37) == pytest.approx(1.0, rel=1e-3)


@pytest.mark.parametrize("t", [20.0, 60.0, 82.2, 95.0])
def test_boiling_height(t: float) -> None:
    height = pressure.boiling_height(101325.0, t)
    vapor, dense = (PropsSI(p, "T", t + 273.15, "Q", 0, "Water") for p in ("P", "D"))
    assert height == pytest.approx((101325.0 - vapor) / dense / 9.80665, rel=1e-3)
    # At that height the water is at its vapor pressure.
    left = pressure.pressure_at_height(101325.0, height, liquids.water_density(t))
    assert left == pytest.approx(liquids.water_vapor_pressure(t), rel=1e-9)


def test_boiling_water_stands_at_no_height() -> None:
    assert pressure.boiling_height(101325.0, 101.0) == 0.0
    with pytest.warns(ValidityWarning, match="temperature is 120"):
        assert pressure.boiling_height(101325.0, 120.0) == 0.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: pressure.expansion_volume("water", 0.0, 1.0, 60.0, 20.0), "hot must be at least cold"),
        (lambda: pressure.expansion_volume("water", 0.0, 1.0, -5.0, 20.0), "must not be frozen at cold"),
        (lambda: pressure.expansion_volume("water", 0.0, -1.0, 10.0, 20.0), "system_volume is -1"),
        (lambda: pressure.expansion_volume("oil", 0.0, 1.0, 10.0, 20.0), "liquid is 'oil'"),
        (lambda: pressure.metal_expansion(1.0, -1e-5, 10.0, 20.0), "expansion_coefficient is -1e-05"),
        (lambda: pressure.length_expansion(-1.0, 1e-5, 10.0, 20.0), "length is -1"),
        (lambda: pressure.metal_expansion(1.0, 1e-5, 30.0, 20.0), "hot must be at least cold"),
        (lambda: pressure.expansion_tank_volume(0.01, 2e5, 2e5, 1e5), "top_pressure must exceed fill_pressure"),
        (lambda: pressure.expansion_tank_volume(0.01, -1.1e5, 2e5, 1e5), "above vacuum"),
        (lambda: pressure.expansion_tank_volume(0.01, 1e5, 2e5, 0.0), "surface_pressure is 0"),
        (lambda: pressure.tube_pressure_limit("PEX SDR-9", math.nan), "temperature is nan"),
        (lambda: pressure.pressure_at_height(math.inf, 1.0, 980.0), "datum_pressure is inf"),
        (lambda: pressure.boiling_height(101325.0, -1.0), "temperature is -1"),
        (lambda: pressure.boiling_height(0.0, 20.0), "surface_pressure is 0"),
    ],
)
def test_refusals(call: object, message: str) -> None:
    with pytest.raises(RangeError, match=message):
        call()  # type: ignore[operator]


def test_length_by_the_rules_of_the_trade() -> None:
    """Copper: 1-1/8 in per 100 ft and 100 °F; PEX: 1.1 in per 100 ft and 10 °F; from memory, rounded to a tenth."""
    expansion = table("expansion")
    of = {m: float(expansion.lookup("expansion_coefficient", m)) / 1.8 for m in expansion.texts("material")}
    assert pressure.length_expansion.us(100, of["copper"], 60, 160) == pytest.approx(1.125, rel=0.01)
    assert pressure.length_expansion.us(100, of["PEX"], 60, 70) == pytest.approx(1.1, rel=0.1)
    # Colder than it was laid, and where it is not: three lengths grow as the volume of metal_expansion does, to first order.
    assert pressure.length_expansion(10.0, 1.2e-5, 20.0, -5.0) == pytest.approx(-0.003, rel=1e-12)
    assert 3.0 * pressure.length_expansion(1.0, 1.7e-5, 10.0, 80.0) == pytest.approx(
        pressure.metal_expansion(1.0, 1.7e-5, 10.0, 80.0), rel=1e-12
    )
    assert all(1e-5 <= value * 1.8 <= 2e-4 for value in of.values())
    assert of["steel"] < of["copper"] < of["PEX-AL-PEX"] < of["PEX"]
