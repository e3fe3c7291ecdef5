"""Liquids: by a second route (iapws' IAPWS-95, CoolProp), over the range, at its ends and beyond."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS95

from hydrocalc import liquids
from hydrocalc.named import RangeError, ValidityWarning

WATER = [1.0, 4.0, 15.0, 37.5, 62.0, 83.0, 99.0]
COOLPROP = {"propylene glycol": "MPG", "ethylene glycol": "MEG"}


@cache
def reference(celsius: float, megapascal: float = 0.1) -> Any:
    return IAPWS95(T=celsius + 273.15, P=megapascal)


@pytest.mark.parametrize("t", WATER)
def test_water_against_iapws_95(t: float) -> None:
    # The bound that the catalogue states; measured 4e-8, 3.5e-5, 3.1e-5, 2.5e-5.
    state = reference(t)
    assert liquids.water_density(t) == pytest.approx(state.rho, rel=1e-6)
    assert liquids.water_specific_heat(t) == pytest.approx(state.cp * 1000.0, rel=1e-4)
    assert liquids.water_viscosity(t) == pytest.approx(state.mu, rel=1e-4)
    assert liquids.water_conductivity(t) == pytest.approx(state.k, rel=1e-4)


@pytest.mark.parametrize("t", [60.0, 105.0, 109.0])
def test_water_under_pressure(t: float) -> None:
    # The equations are for 0.1 MPa; a closed system has up to 0.3 MPa absolute, worth 1e-4 in density and 3e-4 in the rest.
    state = reference(t, 0.3)
    assert liquids.water_density(t) == pytest.approx(state.rho, rel=1.1e-4)
    assert liquids.water_specific_heat(t) == pytest.approx(state.cp * 1000.0, rel=3e-4)
    assert liquids.water_viscosity(t) == pytest.approx(state.mu, rel=3e-4)
    assert liquids.water_conductivity(t) == pytest.approx(state.k, rel=3e-4)


@pytest.mark.parametrize("t", [1.0, 25.0, 80.0, 99.97, 120.0])
def test_boiling_against_coolprop(t: float) -> None:
    # CoolProp's reference equation (IAPWS-95): 1e-4 is the bound stated for the equation of region 4.
    pressure = PropsSI("P", "T", t + 273.15, "Q", 0, "Water")
    assert liquids.water_vapor_pressure(t) == pytest.approx(pressure, rel=1e-4)
    assert liquids.water_boiling_temperature(pressure) == pytest.approx(t, abs=5e-3)


def test_boiling_is_the_inverse_of_vapor_pressure() -> None:
    t = np.linspace(0.5, 180.0, 400)
    assert np.max(np.abs(liquids.water_boiling_temperature(liquids.water_vapor_pressure(t)) - t)) < 1e-9


@pytest.mark.parametrize("liquid", COOLPROP)
@pytest.mark.parametrize("fraction", [0.1, 0.3, 0.5, 0.6])
@pytest.mark.parametrize("t", [0.0, 25.0, 70.0, 98.0])
def test_glycols_against_coolprop(liquid: str, fraction: float, t: float) -> None:
    # The same coefficients by another program; the catalogue's bound is 1e-5.
    name = f"INCOMP::{COOLPROP[liquid]}[{fraction}]"
    if t == 0.0 and fraction == 0.1:
        t = 5.0  # CoolProp refuses to come within its freezing margin
    args = ("T", t + 273.15, "P", 3e5, name)
    assert liquids.liquid_density(liquid, fraction, t) == pytest.approx(PropsSI("D", *args), rel=1e-5)
    assert liquids.liquid_specific_heat(liquid, fraction, t) == pytest.approx(PropsSI("C", *args), rel=1e-5)
    assert liquids.liquid_viscosity(liquid, fraction, t) == pytest.approx(PropsSI("V", *args), rel=1e-5)
    assert liquids.liquid_conductivity(liquid, fraction, t) == pytest.approx(PropsSI("L", *args), rel=1e-5)
    freezing = PropsSI("T_FREEZE", *args) - 273.15
    assert liquids.liquid_freezing_temperature(liquid, fraction) == pytest.approx(freezing, abs=1e-4)


def test_water_as_a_liquid_is_water() -> None:
    t = np.array([1.0, 40.0, 95.0])
    for of_liquid, of_water in (
        (liquids.liquid_density, liquids.water_density),
        (liquids.liquid_specific_heat, liquids.water_specific_heat),
        (liquids.liquid_viscosity, liquids.water_viscosity),
        (liquids.liquid_conductivity, liquids.water_conductivity),
    ):
        assert np.array_equal(of_liquid("water", 0.0, t), of_water(t))
        assert np.array_equal(of_liquid("water", 0.4, t), of_water(t))  # the fraction counts for nothing
    assert liquids.liquid_freezing_temperature("water", 0.3) == 0.0
    assert liquids.glycol_mass_fraction("water", 0.3) == 0.0


def test_arrays_of_liquids_go_cell_by_cell() -> None:
    names = ["water", "ethylene glycol", "propylene glycol"]
    together = liquids.liquid_density(names, [0.0, 0.3, 0.4], 50.0)
    alone = [liquids.liquid_density(n, x, 50.0) for n, x in zip(names, (0.0, 0.3, 0.4), strict=True)]
    assert together.tolist() == alone
    assert liquids.liquid_freezing_temperature(np.array(names), 0.3).shape == (3,)


def test_long_arrays_are_the_same_in_blocks() -> None:
    t = np.linspace(1.0, 99.0, 300_003).reshape(1, -1)
    whole = liquids.liquid_density("propylene glycol", 0.4, t)
    assert whole.shape == t.shape
    assert np.array_equal(whole[0, ::10_000], liquids.liquid_density("propylene glycol", 0.4, t[0, ::10_000]))


@pytest.mark.filterwarnings("error")
def test_no_numpy_warning_anywhere_in_the_range() -> None:
    # Both branches of a choice are worked: the pole of the water equations at -41.15 °C must not show in a glycol.
    t = np.append(np.linspace(-50.0, 110.0, 4001), -41.15)
    t = t[t >= liquids.liquid_freezing_temperature("ethylene glycol", 0.6)]
    for f in (liquids.liquid_density, liquids.liquid_specific_heat, liquids.liquid_viscosity, liquids.liquid_conductivity):
        assert np.all(np.isfinite(f("ethylene glycol", 0.6, t)))


def test_volume_fraction_over_the_range() -> None:
    v = np.linspace(0.0, 0.6, 61)
    for name in COOLPROP:
        w = liquids.glycol_mass_fraction(name, v)
        assert w[0] == 0.0
        assert np.all(np.diff(w) > 0.0)
    with pytest.raises(RangeError, match=r"volume_fraction is 0\.7"):
        liquids.glycol_mass_fraction("propylene glycol", 0.7)


@pytest.mark.parametrize("f", [liquids.water_density, liquids.water_specific_heat, liquids.water_viscosity, liquids.water_conductivity])
def test_water_refusals(f: Any) -> None:
    for bad in (math.nan, math.inf, -math.inf, -31.0, 151.0, "warm", None):
        with pytest.raises(RangeError, match="temperature"):
            f(bad)
    with pytest.raises(RangeError, match=r"temperature\[1\] is nan °C"):
        f(np.array([20.0, math.nan]))
    with pytest.warns(ValidityWarning, match="temperature is 120 °C"):
        assert math.isfinite(f(120.0))


@pytest.mark.filterwarnings("ignore:Using extrapolated values")  # of iapws
def test_supercooled_water_is_in_the_source_but_ice_is_no_liquid() -> None:
    # IAPWS-95 is metastable there as well, and steeper: 1e-5.
    assert liquids.water_density(-10.0) == pytest.approx(reference(-10.0).rho, rel=1e-5)
    with pytest.raises(RangeError, match="must not be frozen"):
        liquids.liquid_density("water", 0.0, -0.1)
    with pytest.raises(RangeError, match="must not be frozen"):
        liquids.liquid_viscosity("propylene glycol", 0.3, -14.0)
    assert liquids.liquid_density("propylene glycol", 0.3, -12.0) > 1000.0


def test_liquid_refusals() -> None:
    with pytest.raises(RangeError, match="liquid is 'brine', which is not one of: water, propylene glycol, ethylene glycol"):
        liquids.liquid_density("brine", 0.0, 20.0)
    with pytest.raises(RangeError, match="glycol_fraction is 71 %, allowed: 0 % to 70 %"):
        liquids.liquid_density.us("propylene glycol", 71, 100)
    with pytest.warns(ValidityWarning, match="glycol_fraction is 0.65"):
        liquids.liquid_density("propylene glycol", 0.65, 20.0)
    with pytest.raises(RangeError, match="temperature is nan"):
        liquids.liquid_conductivity("water", 0.0, math.nan)


def test_boiling_refusals() -> None:
    with pytest.raises(RangeError, match="temperature is -1"):
        liquids.water_vapor_pressure(-1.0)
    with pytest.raises(RangeError, match="pressure is 0 Pa"):
        liquids.water_boiling_temperature(0.0)


def test_a_doubt_is_told_once() -> None:
    # The check that a liquid is not frozen calls named functions itself, and these must not warn on their own.
    with pytest.warns(ValidityWarning) as told:
        liquids.liquid_density("propylene glycol", 0.65, 20.0)
    assert [str(w.message).partition(":")[0] for w in told] == ["liquid_density"]
