"""Pumps, expansion, tube limits and fittings against published and separately computed figures; safety figures too."""

from __future__ import annotations

import csv

import pytest
from published import FOLDER, Row, each, rows

from hydrocalc import flow, friction, liquids, pressure, pumps
from hydrocalc.named import RangeError
from hydrocalc.tables import table

FOOT, PSI, GALLON = 0.3048, 6894.757293168361, 3.785411784e-3
WATER = 998.2  # kg/m³; cancels where a row gives heads


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


@pytest.mark.parametrize("row", [r for r in rows("pump_and_pressure", "npsh_available") if "Ha_ft" in r.inputs], ids=lambda r: r.id)
def test_suction_head_in_feet(row: Row) -> None:
    static = row.inputs.get("h_static_ft", "0")
    losses = sum(row.number(n) for n in ("h_entrance_ft", "h_friction_ft", "h_inlet_ft") if n in row.inputs)
    to_pressure = FOOT * WATER * 9.80665
    head = pumps.net_positive_suction_head(
        row.number("Ha_ft") * to_pressure, float(static) * FOOT, losses * FOOT, row.number("h_vapor_ft") * to_pressure, WATER
    )
    assert head / FOOT == pytest.approx(row.value, rel=row.tolerance)


@pytest.mark.parametrize("row", [r for r in rows("pump_and_pressure", "npsh_available") if "Ha_ft" not in r.inputs], ids=lambda r: r.id)
def test_suction_head(row: Row) -> None:
    t = row.number("water_t_C")
    head = pumps.net_positive_suction_head(
        row.number("p_gauge_Pa") + row.number("p_atm_Pa"),
        row.number("static_head_m"),
        row.number("friction_head_m"),
        liquids.water_vapor_pressure(t),
        liquids.water_density(t),
    )
    assert head == pytest.approx(row.value, rel=row.tolerance)


@each("pump_and_pressure", "vapor_pressure")
def test_vapor_pressure(row: Row) -> None:
    t = row.number("t_C") if "t_C" in row.inputs else celsius(row.number("t_F"))
    assert liquids.water_vapor_pressure(t) / (PSI if row.unit == "psi" else 1.0) == pytest.approx(row.value, rel=row.tolerance)


@each("pump_and_pressure", "volume_expansion_ratio")
def test_expansion(row: Row) -> None:
    grown = pressure.expansion_volume("water", 0.0, 1.0, row.number("t_cold_C"), row.number("t_hot_C"))
    assert grown == pytest.approx(row.value, rel=row.tolerance)


@each("pump_and_pressure", "diaphragm_tank_volume")
def test_tank(row: Row) -> None:
    if "Vs_gal" in row.inputs:  # the handbook's own example, with its own specific volumes and degrees Fahrenheit
        size = row.number("Vs_gal")
        steel = pressure.metal_expansion.us(size, row.number("alpha"), 40.0, 40.0 + row.number("dT_F"))
        grown = size * (row.number("v2") / row.number("v1") - 1.0) - steel
        volume = pressure.expansion_tank_volume.us(grown, row.number("p1_psia") - 14.7, row.number("p2_psia") - 14.7, 14.7)
    else:
        size, cold, hot = (row.number(n) for n in ("Vs_L", "t_cold_C", "t_hot_C"))
        metal = pressure.metal_expansion.metric(size, row.number("alpha_per_K"), cold, hot)
        grown = pressure.expansion_volume.metric("water", 0.0, size, cold, hot) - metal
        fill, top = ((row.number(n) - 101325.0) / 1000.0 for n in ("p1_abs_Pa", "p2_abs_Pa"))
        volume = pressure.expansion_tank_volume.metric(grown, fill, top, 101.325)
    assert volume == pytest.approx(row.value, rel=row.tolerance)


STEEL_BORES = {"1/2": 0.01576, "3/4": 0.02096, "1": 0.02664, "1-1/2": 0.04094, "2": 0.05248, "3": 0.07792}


@each("pump_and_pressure", "crane_fT")
def test_fitting_friction(row: Row) -> None:
    assert round(friction.fitting_friction(STEEL_BORES[row.inputs["nominal_in"]]), 3) == row.value


@each("pump_and_pressure", "crane_fT_continuous")
def test_fitting_friction_continuous(row: Row) -> None:
    # Another curve for the rounded table, up to 5.1 % below its figures (at 1-1/4 in), where this one is within 4 % of all.
    assert friction.fitting_friction(row.number("D_m")) == pytest.approx(row.value, rel=0.06)


FITTINGS = {
    "gate_valve_open": "gate valve",
    "swing_check_valve": "swing check valve",
    "globe_valve_open": "globe valve",
    "ball_valve_open": "ball valve",
    "elbow_90_standard": "90° elbow",
    "return_bend_180": "180° return bend",
    "tee_run": "tee, straight through",
    "tee_branch": "tee, branch",
    "pipe_entrance_sharp_K": "pipe entrance, sharp",
    "pipe_exit_K": "pipe exit",
}


@each("pump_and_pressure", "crane_K_over_fT")
def test_fitting(row: Row) -> None:
    k = friction.fitting_loss_coefficient(FITTINGS[row.inputs["fitting"]], 0.02664)
    assert k / friction.fitting_friction(0.02664) == pytest.approx(row.value, rel=row.tolerance)


@each("pump_and_pressure", "crane_K")
def test_fitting_of_fixed_loss(row: Row) -> None:
    assert friction.fitting_loss_coefficient(FITTINGS[row.inputs["fitting"]], 0.02664) == pytest.approx(row.value, rel=row.tolerance)


@each("pump_and_pressure", "minor_loss_head")
def test_minor_loss(row: Row) -> None:
    velocity = flow.velocity_from_flow.us(row.number("flow_gpm"), row.number("ID_in"))
    assert friction.fitting_head.us(velocity, row.number("K")) == pytest.approx(row.value, rel=row.tolerance)


@each("pump_and_pressure", "pex_pressure_rating")
def test_pex_limit(row: Row) -> None:
    assert pressure.tube_pressure_limit.us("PEX SDR-9", row.number("t_F")) == pytest.approx(row.value, rel=row.tolerance)


@each("pump_and_pressure", "pex_pressure_from_hds")
def test_pex_limit_from_stress(row: Row) -> None:
    # The standard rounds 157.5 psi to 160 psi, 1.6 %.
    assert pressure.tube_pressure_limit.us("PEX SDR-9", row.number("t_F")) == pytest.approx(row.value, rel=0.017)


@each("pump_and_pressure", "pump_shaft_power")
def test_pump_power(row: Row) -> None:
    density = liquids.water_density(row.number("water_t_C"))
    power = pumps.pump_power(row.number("Q_m3s"), row.number("head_m"), density, row.number("efficiency"))
    assert power == pytest.approx(row.value, rel=row.tolerance)


@each("pump_and_pressure", "btuh_per_gpm_degF")
def test_heat_per_gallon(row: Row) -> None:
    t = row.number("water_t_C")
    density, heat = liquids.water_density.metric(t), liquids.water_specific_heat.metric(t)
    load = flow.load_from_flow.us(1.0, 1.0, density / 16.018463373960142, heat / 4.1868)
    assert load == pytest.approx(row.value, rel=row.tolerance)


# --- safety.csv: the few figures that a formula of these chapters gives -------------------------------------------


def safety(identity: str) -> str:
    with (FOLDER / "safety.csv").open(encoding="utf-8", newline="") as file:
        return next(r["value"] for r in csv.DictReader(file) if r["id"] == identity)


@pytest.mark.parametrize(("identity", "fahrenheit"), [("SAFE-032", 73.4), ("SAFE-033", 180.0), ("SAFE-034", 200.0)])
def test_pex_ratings(identity: str, fahrenheit: float) -> None:
    assert pressure.tube_pressure_limit.us("PEX SDR-9", fahrenheit) == pytest.approx(float(safety(identity)), rel=1e-9)


def test_dimension_ratio() -> None:
    # SDR 9 is outside diameter / minimum wall; from 3/4 in up, below that the standard's walls are thicker.
    assert safety("SAFE-036") == "SDR9"
    tubes = table("tubes")
    for size in ("3/4", "1", "1-1/4", "1-1/2", "2"):
        ratio = tubes.lookup("outside_diameter", "PEX SDR-9", size) / tubes.lookup("wall", "PEX SDR-9", size)
        assert ratio == pytest.approx(9.0, abs=0.05)


@pytest.mark.parametrize(("identity", "fraction"), [("SAFE-064", 0.3), ("SAFE-065", 0.4), ("SAFE-066", 0.5)])
def test_freezing_points(identity: str, fraction: float) -> None:
    # Printed to 0.1 °F.
    assert liquids.liquid_freezing_temperature.us("propylene glycol", fraction * 100) == pytest.approx(float(safety(identity)), abs=0.06)


@pytest.mark.parametrize(("identity", "feet"), [("SAFE-067", 0.0), ("SAFE-068", 5000.0)])
def test_open_water_boils(identity: str, feet: float) -> None:
    # Printed to 0.01 °F.
    at = pressure.surface_pressure.us(feet)
    assert liquids.water_boiling_temperature.us(at) == pytest.approx(float(safety(identity)), abs=0.011)


def test_expansion_from_60_to_180() -> None:
    # Printed to three digits.
    assert pressure.expansion_volume.us("water", 0, 100, 60, 180) / 100 == pytest.approx(float(safety("SAFE-070")), abs=5e-5)


def test_cold_water_pipe_is_refused() -> None:
    with pytest.raises(RangeError, match="the family must be for heating"):
        pressure.tube_pressure_limit.us("PE100 SDR-11", 60)
