"""Buried lines against published and computed check values (shared/published/buried.csv)."""

from __future__ import annotations

import numpy as np
import pytest
from published import Row, each

from hydrocalc import ground, pair, twin
from hydrocalc.tables import table

_BTU_PER_HOUR_FOOT = 0.961496  # W/m


def _near(row: Row, value: float, tolerance: float | None = None) -> None:
    assert value == pytest.approx(row.value, rel=tolerance or row.tolerance)


@each("buried", "shape_factor_pipe_to_plane")
def test_shape_factor(row: Row) -> None:
    conductivity = 1.7
    per_length = 1 / (conductivity * ground.soil_resistance(row.number("z"), row.number("D"), conductivity))
    _near(row, row.number("L") * per_length)


@each("buried", "insulation_resistance")
def test_layer(row: Row) -> None:
    _near(row, ground.layer_resistance(row.number("D1"), row.number("D2"), row.number("k")))


@each("buried", "soil_resistance")
def test_soil(row: Row) -> None:
    _near(row, ground.soil_resistance(row.number("z"), row.number("D"), row.number("k")))


@each("buried", "heat_loss")
def test_bare_line(row: Row) -> None:
    if "OD_in" in row.inputs:
        earth = ground.soil_resistance.us(row.number("depth_in") / 12, row.number("OD_in"), row.number("k_Btu_hftF"))
        _near(row, ground.line_loss.us(row.number("T_F"), row.number("T_surface_F"), 0.0, earth))
        return
    earth = ground.soil_resistance(row.number("z"), row.number("D"), row.number("k_soil"))
    loss = ground.line_loss(row.number("T"), row.number("T_surface"), 0.0, earth) * row.number("L")
    # The row in the form ln(4z/D) is 0.1 % from arccosh, which is exact for a bare line, and printed to four figures.
    _near(row, loss, 1.2e-3 if "form" in row.inputs else None)


@each("buried", "heat_loss_single_insulated_pipe", "heat_loss_single_with_surface_film")
def test_single(row: Row) -> None:
    depth = row.number("depth_to_centre")
    outer, soil = row.number("insulation_outer_diameter"), row.number("k_soil")
    around = row.inputs.get("T_ground") or row.inputs["T_air"]
    if "surface_resistance" in row.inputs:
        assert row.number("surface_resistance") == ground.SURFACE_RESISTANCE
        depth = ground.depth_with_surface_film(depth, soil)
    jacket = ground.layer_resistance(row.number("pipe_outer_diameter"), outer, row.number("k_ins"))
    _near(row, ground.line_loss(row.number("T_pipe"), float(around), jacket, ground.soil_resistance(depth, outer, soil)))


def _share(row: Row, loss: float, exchange: float) -> float:
    warm, cool, around = row.number("T_supply"), row.number("T_return"), row.number("T_ground")
    supply = loss * (warm - around) + exchange * (warm - cool)
    back = loss * (cool - around) + exchange * (cool - warm)
    return {"supply": supply, "return": back, "total": supply + back}[row.quantity.split("_")[2]]


@each("buried", "heat_loss_supply_two_pipes", "heat_loss_return_two_pipes", "heat_loss_total_two_pipes")
def test_pair(row: Row) -> None:
    outer = row.number("insulation_outer_diameter")
    line = (row.number("pipe_outer_diameter"), outer, 0.0, row.number("k_ins"), row.number("k_soil"))
    place = (row.number("depth_to_centre"), row.number("centre_distance"), *line)
    _near(row, _share(row, pair.pair_loss_conductance(*place), pair.pair_exchange_conductance(*place)))


@each("buried", "heat_loss_total_twin_pipe", "heat_loss_supply_twin_pipe")
def test_twin(row: Row) -> None:
    place = (
        row.number("depth_to_centre"),
        row.number("pipe_centre_distance"),
        row.number("pipe_outer_diameter"),
        row.number("casing_diameter"),
    )
    rest = (0.0, row.number("k_ins"), row.number("k_soil"))
    _near(row, _share(row, twin.twin_loss_conductance(*place, *rest), twin.twin_exchange_conductance(*place, *rest)))


@each("buried", "U1_two_pipes_zero_order", "U2_two_pipes_zero_order")
def test_zero_order_of_the_standard(row: Row) -> None:
    """The standard's two conductances from its three resistances; the library's first order is within 1.5 % of them."""
    depth, spacing, outer = row.number("depth_to_centre"), row.number("centre_distance"), row.number("insulation_outer_diameter")
    soil = row.number("k_soil")
    tube, foam = row.number("pipe_outer_diameter"), row.number("k_ins")
    line = ground.layer_resistance(tube, outer, foam)
    own = line + np.log(4 * depth / outer) / (2 * np.pi * soil)
    mutual = pair.mutual_resistance(depth, spacing, soil)
    first = row.quantity.startswith("U1")
    _near(row, (own if first else mutual) / (own**2 - mutual**2))
    place = (depth, spacing, tube, outer, 0.0, foam, soil)
    loss, exchange = pair.pair_loss_conductance(*place), pair.pair_exchange_conductance(*place)
    u1 = row.value if first else own / (own**2 - mutual**2)
    assert (loss + exchange if first else exchange) == pytest.approx(row.value, abs=1.5e-2 * u1)


@each("buried", "ground_temperature_kusuda")
def test_ground_temperature(row: Row) -> None:
    value = ground.ground_temperature.metric(
        row.number("depth_m"),
        row.number("day"),
        row.number("T_mean"),
        row.number("amplitude"),
        row.number("day_of_min"),
        row.number("diffusivity_m2_per_day"),
    )
    _near(row, value)


@each("buried", "damping_depth")
def test_damping_depth(row: Row) -> None:
    _near(row, ground.damping_depth.metric(row.number("diffusivity_m2_per_day")))


@each("buried", "outlet_temperature_buried_line")
def test_outlet(row: Row) -> None:
    flow = row.number("m_kg_s") / 1000.0
    around = row.number("T_ground")
    value = ground.line_outlet_temperature(
        row.number("T_in"), around, around, row.number("L"), row.number("U_per_m"), 0.0, flow, 1000.0, row.number("cp")
    )
    _near(row, value)


_SOILS = {"sand or gravel": "sand or gravel", "clay or silt": "clay or silt", "soil, 300 K": "dry soil"}


@each("buried", "k_soil_design_low", "k_soil_design_high", "k_soil")
def test_soil_table(row: Row) -> None:
    low_or_high = row.quantity.removeprefix("k_soil_design_")
    soil = row.inputs["soil"]
    _near(row, table("soils").lookup("conductivity", _SOILS[soil] if row.quantity == "k_soil" else f"{soil}, {low_or_high}"))


_MATERIALS = {
    "polyurethane foam 30 kg/m3": "polyurethane foam",
    "spray polyurethane foam 40 kg/m3": "polyurethane foam, sprayed",
    "pre-insulated pipe PUR at 50 C, upper limit": "polyurethane foam of a bonded pipe",
}
_WALLS = {"PE-X": "PEX SDR-9", "HDPE": "PE100 SDR-11"}


@each("buried", "k_insulation")
def test_insulation_table(row: Row) -> None:
    _near(row, table("insulation").lookup("dry_conductivity", _MATERIALS[row.inputs["material"]]))


@each("buried", "k_pipe")
def test_wall_table(row: Row) -> None:
    _near(row, table("tube_walls").lookup("conductivity", _WALLS[row.inputs["material"]]))
