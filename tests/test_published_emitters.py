"""Emitters against printed and computed check values (shared/published/emitters.csv)."""

from __future__ import annotations

import pytest
from published import Row, each, rows

from hydrocalc import emitters, exchangers
from hydrocalc.flow import capacity_rate
from hydrocalc.measures import HEAT_PER_AREA, POWER
from hydrocalc.tables import table

BASE_215 = 215.0 - 65.0  # °F, the excess of the old rating with steam at 215 °F in a room of 65 °F
# The row's water: 500 BTU/h for a gallon a minute and a degree, as 62.34 lb/ft³ and 1 BTU/(lb °F).
TRADE_DENSITY = 500.0 / 60.0 * 1728.0 / 231.0


def _near(row: Row, value: float) -> None:
    assert value == pytest.approx(row.value, rel=row.tolerance)


@each("emitters", "fin_tube_factor_vs_215F")
def test_fin_tube_from_steam(row: Row) -> None:
    excess = row.number("Tw_avg_F") - row.number("Tair_F")
    _near(row, emitters.emitter_output.us(1.0, BASE_215, excess, row.number("n")))


@each("emitters", "fin_tube_factor_vs_180F")
def test_fin_tube_from_hot_water(row: Row) -> None:
    excess, rated = row.number("Tw_avg_F") - row.number("Tair_F"), row.number("rated_F") - row.number("rated_air_F")
    _near(row, emitters.emitter_output.us(1.0, rated, excess, row.number("n")))


@each("emitters", "en442_factor")
def test_radiator(row: Row) -> None:
    _near(row, emitters.emitter_output(1.0, row.number("rated_dT_K"), row.number("dT_K"), row.number("n")))


@each("emitters", "en442_excess_temperature")
def test_mean_excess(row: Row) -> None:
    _near(row, emitters.mean_water_temperature(row.number("flow_C"), row.number("return_C")) - row.number("room_C"))


@each("emitters", "en442_log_mean_excess")
def test_log_mean_excess(row: Row) -> None:
    supply, back, room = row.number("flow_C"), row.number("return_C"), row.number("room_C")
    _near(row, exchangers.log_mean_difference(supply, back, room, room))
    # What the arithmetic mean neglects, as mean_water_temperature states it.
    assert 1.003 < (emitters.mean_water_temperature(supply, back) - room) / row.value < 1.022


@each("emitters", "output_exponent")
def test_exponents_of_the_table(row: Row) -> None:
    kinds = {
        "cast iron radiator": "cast-iron radiator",
        "baseboard": "cast-iron baseboard",
        "finned tube": "fin-tube baseboard",
        "convector (older ASHRAE)": "convector",
    }
    _near(row, table("emitters").lookup("exponent", kinds[row.inputs["emitter"]]))


def _baseboard(row: Row) -> tuple[float, float]:
    """Output and leaving water of a length of baseboard, in BTU/h and °F."""
    room, supply, exponent = row.number("Tair_F"), row.number("Tsupply_F"), row.number("n")
    rated = row.number("L_ft") * row.number("rated_Btuh_ft_at_180F")
    rate = capacity_rate.us(row.number("gpm"), TRADE_DENSITY, 1.0)
    resistance = emitters.mean_water_resistance.us(rate)
    excess = emitters.emitter_excess.us(supply - room, resistance, rated, 180.0 - room, exponent)
    output = emitters.emitter_output.us(rated, 180.0 - room, excess, exponent)
    return output, exchangers.hot_outlet_temperature.us(supply, output, rate)


def _neglected(row: Row, output: float) -> float:
    """What EN 442's mean of the two ends neglects along a run: n (n + 1)/24 of the square of drop over mean excess, at most.

    The rows follow the water along the tube, and their 2e-4 is that of the integration.
    """
    drop = output / (500.0 * row.number("gpm"))
    n = row.number("n")
    return n * (n + 1.0) / 24.0 * (drop / (row.number("Tsupply_F") - drop / 2.0 - row.number("Tair_F"))) ** 2


@each("emitters", "baseboard_run_output")
def test_baseboard_along_its_length(row: Row) -> None:
    output, _ = _baseboard(row)
    # 0.1 % for a drop of 11 °F, 0.8 % for 22 °F, and 4.6 % for 58 °F, which nobody would lay out.
    assert 0.6 * _neglected(row, row.value) < output / row.value - 1.0 < _neglected(row, row.value)


@each("emitters", "baseboard_run_outlet")
def test_leaving_water_of_a_baseboard(row: Row) -> None:
    _, leaving = _baseboard(row)
    drop = row.number("Tsupply_F") - row.value
    neglected = _neglected(row, drop * 500.0 * row.number("gpm")) * drop
    assert 0.6 * neglected < row.value - leaving < neglected


@each("emitters", "unit_heater_factor")
def test_fan_heater(row: Row) -> None:
    inputs = (row.number(n) for n in ("rated_EWT", "rated_EAT", "EWT_F", "EAT_F"))
    _near(row, emitters.fan_heater_output.us(1.0, *inputs))


@each("emitters", "steam_unit_heater_factor")
def test_fan_heater_rated_on_steam(row: Row) -> None:
    _near(row, emitters.fan_heater_output.us(1.0, 227.0, row.number("EAT_F"), row.number("hot_water_EWT"), row.number("EAT_F")))


@each("emitters", "air_coil_output_NTU")
def test_air_coil(row: Row) -> None:
    water = capacity_rate.us(row.number("gpm"), TRADE_DENSITY, 1.0)
    air = emitters.air_capacity_rate.us(row.number("cfm"), 0.075)  # 0.075 lb/ft³ and 0.24 BTU/(lb °F): the row's 1.08
    smaller, ratio = min(water, air), exchangers.capacity_ratio.us(water, air)
    effectiveness = exchangers.crossflow_effectiveness(row.number("UA") / smaller, ratio)
    output = exchangers.exchanger_output.us(100.0 * effectiveness, smaller, row.number("EWT_F"), row.number("EAT_F"))
    # 0.008 of effectiveness, which the formula states, is 1.4 % of the least of these, 0.563; the row's own is 0.5 %.
    assert output == pytest.approx(row.value, rel=0.014)


@each("emitters", "floor_surface_temp")
def test_floor_surface(row: Row) -> None:
    # Printed from a rule of 2 BTU/(h ft² °F) and rounded: EN 1264 wants up to 0.8 °F more for the same heat.
    room, wanted = row.number("room_F"), row.number("q_Btuh_ft2")
    assert emitters.floor_output.us(1.0, row.value, room) < wanted < emitters.floor_output.us(1.0, row.value + 0.8, room)


@each("emitters", "floor_coefficient_from_published", "floor_output_2p0")
def test_floor_by_the_rule_of_two(row: Row) -> None:
    # The trade's flat 2 BTU/(h ft² °F) lies 3 to 11.2 % above EN 1264 between 15 and 7 °F of excess.
    excess = row.number("dT") if "dT" in row.inputs else row.number("Ts_F") - row.number("Troom_F")
    ours = emitters.floor_output.us(1.0, 70.0 + excess, 70.0)
    ruled = row.value if "dT" not in row.inputs else row.value * excess
    assert 1.02 < ruled / ours < 1.112


@each("emitters", "en1264_basic_curve")
def test_floor_curve(row: Row) -> None:
    _near(row, emitters.floor_output(1.0, 20.0 + row.number("dT_K"), 20.0))


@each("emitters", "en1264_limit_occupied")
def test_floor_limit(row: Row) -> None:
    _near(row, emitters.floor_output(1.0, row.number("floor_C"), row.number("room_C")))


@each("emitters", "W_m2_to_Btuh_ft2")
def test_unit(row: Row) -> None:
    _near(row, HEAT_PER_AREA.us.from_coherent(row.number("W_m2")))
    assert POWER.us.to_coherent(1.0) == pytest.approx(0.29307107, rel=1e-8)


def test_what_is_unused_is_listed() -> None:
    import csv

    from published import FOLDER

    tested = {
        *("fin_tube_factor_vs_215F", "fin_tube_factor_vs_180F", "en442_factor", "en442_excess_temperature", "en442_log_mean_excess"),
        *("output_exponent", "baseboard_run_output", "baseboard_run_outlet", "unit_heater_factor", "steam_unit_heater_factor"),
        *("air_coil_output_NTU", "floor_surface_temp", "floor_coefficient_from_published", "floor_output_2p0"),
        *("en1264_basic_curve", "en1264_limit_occupied", "W_m2_to_Btuh_ft2"),
    }
    with (FOLDER / "unused.csv").open(encoding="utf-8", newline="") as file:
        unused = {r["id"] for r in csv.DictReader(file) if r["file"] == "emitters"}
    assert {r.id for r in rows("emitters") if r.quantity not in tested} == unused
