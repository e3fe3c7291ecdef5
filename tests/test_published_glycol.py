"""Glycols against CoolProp's evaluation of Melinder 2010 and against the printed ASHRAE 2001 tables.

The two sources differ: Melinder measured pure mixtures, ASHRAE prints inhibited ones.  The rows of ASHRAE carry
the measured gap as their tolerance.
"""

from __future__ import annotations

import pytest
from published import Row, each, rows

from hydrocalc import liquids

FUNCTIONS = {
    "density": liquids.liquid_density,
    "cp": liquids.liquid_specific_heat,
    "viscosity": liquids.liquid_viscosity,
    "thermal_conductivity": liquids.liquid_conductivity,
}
_ALL = rows("glycol")
MELINDER = [r for r in _ALL if r.inputs.get("data_source") == "Melinder2010"]
ASHRAE = [r for r in _ALL if "volume_fraction" in r.inputs and r.inputs.get("data_source") != "ASHRAE2001_polynomial"]


def liquid(row: Row) -> str:
    return f"{row.inputs['glycol']} glycol"


def result(row: Row, fraction: float) -> float:
    if row.quantity == "freezing_point":
        return float(liquids.liquid_freezing_temperature(liquid(row), fraction))
    return float(FUNCTIONS[row.quantity](liquid(row), fraction, row.number("t_C")))


@pytest.mark.parametrize("row", MELINDER, ids=[r.id for r in MELINDER])
def test_melinder(row: Row) -> None:
    # CoolProp rounds ln(1000) in its viscosity, hence the rows' 1e-6.
    assert result(row, row.number("mass_fraction")) == pytest.approx(row.value, rel=row.tolerance)


# 60 % by volume is 62 % by mass, just outside Melinder's data, and told by a warning.
@pytest.mark.filterwarnings("ignore::hydrocalc.named.ValidityWarning")
@pytest.mark.parametrize("row", [r for r in ASHRAE if r.quantity in FUNCTIONS], ids=lambda r: r.id)
def test_ashrae_table(row: Row) -> None:
    fraction = liquids.glycol_mass_fraction(liquid(row), row.number("volume_fraction"))
    assert result(row, fraction) == pytest.approx(row.value, rel=row.tolerance)


@pytest.mark.parametrize("row", [r for r in ASHRAE if r.quantity == "freezing_point"], ids=lambda r: r.id)
def test_ashrae_freezing(row: Row) -> None:
    fraction = liquids.glycol_mass_fraction(liquid(row), row.number("volume_fraction"))
    assert result(row, fraction) == pytest.approx(row.value, rel=row.tolerance)


@each("glycol", "mass_fraction_from_volume")
def test_mass_fraction(row: Row) -> None:
    # The printed fractions have two digits, so half a hundredth is all that the table itself knows.
    assert liquids.glycol_mass_fraction(liquid(row), row.number("volume_fraction")) == pytest.approx(row.value, abs=0.005)
