"""The boiler's water and fire against published and computed check values (shared/published/boiler_storage.csv)."""

from __future__ import annotations

import pytest
from published import Row, each

from hydrocalc import flow, liquids, storage

# Rows in "8.33 lb/gal" and in "500" are rules of the trade: a density and a specific heat that give them exactly.
_GALLONS_PER_CUBIC_FOOT = 1728 / 231
_RULE = (8.33 * _GALLONS_PER_CUBIC_FOOT, 1.0)  # lb/ft³, BTU/(lb °F)
_RULE_500 = (500 / 60 * _GALLONS_PER_CUBIC_FOOT, 1.0)


def _near(row: Row, value: float, tolerance: float | None = None) -> None:
    assert value == pytest.approx(row.value, rel=tolerance or row.tolerance)


def _water(row: Row, fahrenheit: float) -> tuple[float, float]:
    """Density and specific heat of the row's liquid, lb/ft³ and BTU/(lb °F)."""
    liquid, share = row.inputs.get("fluid", "water"), 100 * float(row.inputs.get("mass_frac", "0"))
    return liquids.liquid_density.us(liquid, share, fahrenheit), liquids.liquid_specific_heat.us(liquid, share, fahrenheit)


@each("boiler_storage", "stored_volume_weight")
def test_weight_of_a_gallon(row: Row) -> None:
    _near(row, _water(row, row.number("T_F"))[0] / _GALLONS_PER_CUBIC_FOOT)


@each("boiler_storage", "true_500_constant")
def test_what_the_500_of_the_trade_really_is(row: Row) -> None:
    _near(row, flow.load_from_flow.us(1.0, 1.0, *_water(row, row.number("T_F"))))


@each("boiler_storage", "expansion_water_vol_frac")
def test_expansion_of_water(row: Row) -> None:
    cold, hot = (_water(row, row.number(t))[0] for t in ("T1_F", "T2_F"))
    _near(row, cold / hot - 1)


@each("boiler_storage", "if97_check_specific_volume")
def test_specific_volume(row: Row) -> None:
    """The row is at 3 MPa, the library's water at 0.1 MPa: 0.13 % more, by water's compressibility of 4.5e-10 per pascal."""
    compressed = liquids.water_density(row.number("T_K") - 273.15) * (1 + 4.5e-10 * (row.number("P_MPa") - 0.1) * 1e6)
    _near(row, 1 / compressed, 2e-5)


@each("boiler_storage", "stored_heat_8p33")
def test_stored_heat_by_rule(row: Row) -> None:
    _near(row, storage.stored_heat.us(row.number("gal"), row.number("T1_F"), row.number("T2_F"), *_RULE))


@each("boiler_storage", "stored_heat_props")
def test_stored_heat(row: Row) -> None:
    low, high = row.number("T1_F"), row.number("T2_F")
    density, _ = _water(row, high)
    _, specific_heat = _water(row, (low + high) / 2)
    _near(row, storage.stored_heat.us(row.number("gal_at_T2"), low, high, density, specific_heat))


def _band(row: Row) -> float:
    return float(storage.stored_heat.us(row.number("gal"), row.number("low_F"), row.number("high_F"), *_RULE))


@each("boiler_storage", "recover_band_time")
def test_recovery_time(row: Row) -> None:
    _near(row, storage.recovery_time.us(_band(row), row.number("fire_Btuh"), row.number("load_Btuh")))


@each("boiler_storage", "coast_time")
def test_idle_time(row: Row) -> None:
    _near(row, storage.idle_time.us(_band(row), row.number("load_Btuh")))


@each("boiler_storage", "cycle_length")
def test_cycle(row: Row) -> None:
    _near(row, storage.firing_cycle_time.us(_band(row), row.number("fire_Btuh"), row.number("load_Btuh")))


@each("boiler_storage", "cycle_length_minimum_load")
def test_shortest_cycle(row: Row) -> None:
    _near(row, storage.shortest_cycle.us(_band(row), row.number("fire_Btuh")))


@each("boiler_storage", "duty")
def test_firing_share(row: Row) -> None:
    _near(row, storage.firing_share(row.number("fire_Btuh"), row.number("load_Btuh")))


@each("boiler_storage", "buffer_volume", "buffer_volume_499p8")
def test_buffer(row: Row) -> None:
    rule = _RULE_500 if "const" in row.inputs else _RULE
    _near(row, storage.buffer_volume.us(row.number("t_min"), row.number("Qfire"), row.number("Qload"), row.number("dT_F"), *rule))


@each("boiler_storage", "firebox_load")
def test_charge(row: Row) -> None:
    _near(row, storage.charge_mass.us(row.number("firebox_ft3"), 100.0, row.number("lb_per_ft3")))


def _charge_heat(row: Row) -> float:
    """Charges of the rows are weighed wet, the library's dry."""
    dry = row.number("lb") * (1 - row.number("Mwet"))
    return float(storage.charge_heat.us(dry, row.number("HHV_dry"), 100 * row.number("eff_on_HHV")))


@each("boiler_storage", "load_useful_heat_gross_basis")
def test_heat_of_a_charge(row: Row) -> None:
    _near(row, _charge_heat(row))


@each("boiler_storage", "burn_time")
def test_burn_time(row: Row) -> None:
    _near(row, storage.burn_time.us(_charge_heat(row), row.number("load_Btuh")))
    assert storage.sustained_output.us(_charge_heat(row), row.value) == pytest.approx(row.number("load_Btuh"), rel=1e-9)


@each("boiler_storage", "efficiency_from_burn")
def test_efficiency_of_a_burn(row: Row) -> None:
    dry = row.number("lb_wet") * (1 - row.number("Mwet"))
    heat = storage.charge_heat.us(dry, row.number("HHV_dry"), 100 * row.value)
    assert heat == pytest.approx(row.number("useful_Btu"), rel=row.tolerance)


@each("boiler_storage", "storage_rise_full_load")
def test_rise_of_a_tank_that_takes_a_charge(row: Row) -> None:
    dry = storage.charge_mass.us(row.number("chamber_ft3"), 100.0, row.number("lb_per_ft3")) * (1 - row.number("Mwet"))
    heat = storage.charge_heat.us(dry, 8600, 100 * row.number("eff"))
    assert storage.charge_buffer_volume.us(heat, 0.0, 0.0, row.value, *_RULE) == pytest.approx(row.number("gal"), rel=row.tolerance)


@each("boiler_storage", "cool_down_temperature")
def test_cooling(row: Row) -> None:
    names = ("gal", "T0_F", "Ta_F", "UA", "hours")
    _near(row, storage.cooled_temperature.us(*map(row.number, names), *_RULE))


@each("boiler_storage", "cool_down_temperature_props")
def test_cooling_with_real_water(row: Row) -> None:
    names = ("gal_filled_60F", "T0_F", "Ta_F", "UA", "hours")
    density, _ = _water(row, 60.0)
    _, specific_heat = _water(row, 165.0)
    _near(row, storage.cooled_temperature.us(*map(row.number, names), density, specific_heat))


@each("boiler_storage", "time_to_temperature")
def test_cooling_time(row: Row) -> None:
    names = ("gal", "T0_F", "T_F", "Ta_F", "UA")
    _near(row, storage.cooling_time.us(*map(row.number, names), *_RULE))


@each("boiler_storage", "tank_standby_loss")
def test_loss_of_a_tank(row: Row) -> None:
    conductance = storage.tank_conductance.us(row.number("D_ft"), row.number("L_ft"), 1 / row.number("R"))
    _near(row, conductance * (row.number("T_F") - row.number("Ta_F")))


@each("boiler_storage", "bypass_fraction", "bypass_flow")
def test_mixing(row: Row) -> None:
    share = storage.return_mixing_fraction.us(row.number("Tsupply_F"), row.number("Treturn_F"), row.number("Ttarget_F")) / 100
    _near(row, share * float(row.inputs.get("boiler_gpm", "1")))
