"""Water against the printed check values of the IAPWS releases and against IAPWS-95."""

from __future__ import annotations

import pytest
from published import Row, each

from hydrocalc import liquids

FUNCTIONS = {
    "density": liquids.water_density,
    "cp": liquids.water_specific_heat,
    "viscosity": liquids.water_viscosity,
    "thermal_conductivity": liquids.water_conductivity,
    "saturation_pressure": liquids.water_vapor_pressure,
}


def celsius(row: Row) -> float:
    return row.number("t_C") if "t_C" in row.inputs else row.number("T_K") - 273.15


@each("water", *FUNCTIONS)
def test_row(row: Row) -> None:
    scale = 1000.0 if row.unit == "kJ/(kg K)" else 1.0
    assert FUNCTIONS[row.quantity](celsius(row)) == pytest.approx(row.value * scale, rel=row.tolerance)


@each("water", "saturation_temperature")
def test_boiling(row: Row) -> None:
    assert liquids.water_boiling_temperature(row.number("p_MPa") * 1e6) + 273.15 == pytest.approx(row.value, rel=row.tolerance)


@each("water", "dv_dT_p")
def test_slope_of_volume(row: Row) -> None:
    # Central difference over 2 mK: its own error is below 1e-7 of the slope, and the rounding of two volumes of 1e-3
    # divided by 2e-3 K leaves some 1e-16/1e-3*1e3, 2e-10 of the slope of 4e-7: 1e-6 holds both.
    t, step = celsius(row), 1e-3
    slope = (1.0 / liquids.water_density(t + step) - 1.0 / liquids.water_density(t - step)) / (2.0 * step)
    assert slope == pytest.approx(row.value, rel=max(row.tolerance, 1e-6))
