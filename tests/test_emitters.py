"""Emitters by second routes (scipy's root finding, ht, integration along a coil), at their ends, and every refusal."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
from ht.hx import NTU_from_effectiveness, effectiveness_from_NTU
from scipy.optimize import brentq

from hydrocalc import emitters, exchangers, loads
from hydrocalc.named import RangeError, ValidityWarning
from hydrocalc.tables import table

F = 5.0 / 9.0


def _cases() -> list[tuple[float, float, float, float, float]]:
    """Available degrees, resistance, rated output, rated excess, exponent; from no resistance to one that takes nearly all."""
    rng = np.random.default_rng(11)
    exponents = [1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6]
    return [
        (
            float(rng.choice([1e-6, 0.01, 1.0]) if rng.random() < 0.2 else rng.uniform(2.0, 90.0)),
            float(10.0 ** rng.uniform(-7.0, -1.0)),
            float(10.0 ** rng.uniform(2.0, 5.5)),
            float(rng.uniform(5.0, 90.0)),
            float(rng.choice(exponents)),
        )
        for _ in range(3000)
    ]


def test_excess_against_brentq() -> None:
    worst = 0.0
    for available, resistance, output, rated, exponent in _cases():
        root = brentq(
            lambda x, a=available, r=resistance, q=output, x0=rated, n=exponent: x + r * q * (x / x0) ** n - a,
            0.0,
            available,
            xtol=1e-15 * available,
            rtol=1e-14,
        )
        worst = max(worst, abs(emitters.emitter_excess(available, resistance, output, rated, exponent) / root - 1.0))
    assert worst < 1e-13
    # The same over arrays, and by the visible lines.
    a, r, q, x0, n = (np.array(c) for c in zip(*_cases(), strict=True))
    x = emitters.emitter_excess_start(a, r, q, x0, n)
    assert np.all(x >= emitters.emitter_excess(a, r, q, x0, n) * (1 - 1e-13))  # the start lies above the root, so the steps only fall
    for _ in range(4):
        x = emitters.emitter_excess_step(x, a, r, q, x0, n)
    assert np.array_equal(x, emitters.emitter_excess(a, r, q, x0, n))
    assert x + r * emitters.emitter_output(q, x0, x, n) == pytest.approx(a, rel=1e-13)


def test_heat_closes_around_an_emitter() -> None:
    """What the water gives between the arriving and the leaving temperature is what the emitter gives the room."""
    supply, room, rate = 80.0, 20.0, 500.0
    excess = emitters.emitter_excess(supply - room, emitters.mean_water_resistance(rate), 20000.0, 60.0, 1.3)
    output = emitters.emitter_output(20000.0, 60.0, excess, 1.3)
    leaving = exchangers.hot_outlet_temperature(supply, output, rate)
    assert emitters.mean_water_temperature(supply, leaving) - room == pytest.approx(excess, rel=1e-9)
    assert rate * (supply - leaving) == pytest.approx(output, rel=1e-12)


def test_heat_closes_behind_an_exchanger() -> None:
    """The loop behind an exchanger solved in the old way, both unknown temperatures at once."""
    hot_in, hot, cold, conductance, room = 82.0, 1500.0, 900.0, 2500.0, 20.0
    smaller, ratio = exchangers.smaller_capacity_rate(hot, cold), exchangers.capacity_ratio(hot, cold)
    effectiveness = effectiveness_from_NTU(conductance / smaller, ratio, "counterflow")

    def surplus(loop_return: float) -> float:
        passed = effectiveness * smaller * (hot_in - loop_return)
        mean = loop_return + passed / cold / 2.0
        return float(passed - 25000.0 * (max(mean - room, 0.0) / 60.0) ** 1.4)

    loop_return = brentq(surplus, room, hot_in, xtol=1e-13)
    wanted = effectiveness * smaller * (hot_in - loop_return)
    resistance = emitters.exchanger_water_resistance(exchangers.counterflow_effectiveness(conductance / smaller, ratio), smaller, cold)
    excess = emitters.emitter_excess(hot_in - room, resistance, 25000.0, 60.0, 1.4)
    assert emitters.emitter_output(25000.0, 60.0, excess, 1.4) == pytest.approx(wanted, rel=1e-9)


def test_lowest_water_gives_just_the_need() -> None:
    rng = np.random.default_rng(12)
    need, resistance = rng.uniform(0.0, 40000.0, 300), rng.uniform(0.0, 0.002, 300)
    exponent = rng.uniform(1.0, 1.6, 300)
    lowest = emitters.lowest_water_temperature(20.0, need, resistance, 25000.0, 60.0, exponent)
    excess = emitters.emitter_excess(lowest - 20.0, resistance, 25000.0, 60.0, exponent)
    assert emitters.emitter_output(25000.0, 60.0, excess, exponent) == pytest.approx(need, rel=1e-8, abs=1e-6)
    assert emitters.excess_for_output(need, 25000.0, 60.0, exponent) == pytest.approx(excess, rel=1e-8, abs=1e-9)
    assert emitters.lowest_water_temperature(20.0, 0.0, 0.001, 25000.0, 60.0, 1.3) == 20.0


def test_exchanger_to_order_grows_steeply_as_the_water_cools() -> None:
    """A 60,000 BTU/h house on baseboard rated 80,000 at 180 °F: at 165 °F no exchanger does, at 170 a far larger one than at 175."""
    need, rate, excess = 60000.0, 4000.0, emitters.excess_for_output.us(60000.0, 80000.0, 115.0, 1.4)
    mean = 65.0 + excess

    def conductance(arriving: float) -> float:
        cold_in = mean - need / rate / 2.0
        effectiveness = exchangers.effectiveness_from_output.us(need, rate, arriving, cold_in) / 100.0
        return float(exchangers.counterflow_transfer_units(effectiveness, 1.0) * rate)

    with pytest.raises(RangeError, match="output must be at most"):
        conductance(165.0)
    assert 2.0 < conductance(170.0) / conductance(175.0) < 4.0


def test_no_excess_gives_nothing_and_warns_of_nothing() -> None:
    with warnings.catch_warnings(), np.errstate(all="raise", under="ignore"):
        warnings.simplefilter("error")
        assert emitters.emitter_output(1000.0, 50.0, np.array([0.0, -5.0, -300.0]), 1.3).tolist() == [0.0, 0.0, 0.0]
        for available in (0.0, -10.0):
            for exponent in (1.0, 1.1, 1.4):
                assert emitters.emitter_excess_start(available, 0.001, 1000.0, 50.0, exponent) == 0.0
                assert emitters.emitter_excess_step(0.0, available, 0.001, 1000.0, 50.0, exponent) == 0.0
                assert emitters.emitter_excess(available, 0.001, 1000.0, 50.0, exponent) == 0.0
        assert emitters.emitter_excess(40.0, 0.0, 1000.0, 50.0, 1.4) == 40.0  # no resistance: all of it
        assert emitters.emitter_excess(40.0, 0.01, 0.0, 50.0, 1.4) == 40.0  # no emitter
        assert emitters.fan_heater_output(1000.0, 80.0, 15.0, np.array([15.0, 10.0]), 15.0).tolist() == [0.0, 0.0]
        assert emitters.floor_output(10.0, np.array([20.0, 15.0]), 20.0).tolist() == [0.0, 0.0]
        assert emitters.floor_output(0.0, 29.0, 20.0) == 0.0
        assert emitters.fan_heater_rate(500.0, 0.0, 400.0) == 0.0
        assert emitters.fan_heater_rate(0.0, 400.0, 400.0) == 0.0
        assert emitters.fan_heater_conductance(0.0, 80.0, 15.0, 900.0, 600.0) == 0.0
    # Without flow the resistance is enormous, and next to nothing is given.
    stuck = emitters.emitter_excess(60.0, emitters.mean_water_resistance(0.0), 20000.0, 60.0, 1.3)
    assert emitters.emitter_output(20000.0, 60.0, stuck, 1.3) == pytest.approx(0.0, abs=1e-6)
    assert emitters.exchanger_water_resistance(0.8, 0.0, 500.0) > 1e8


def test_fan_heater_gives_its_rating_back() -> None:
    rng = np.random.default_rng(13)
    water, air = rng.uniform(200.0, 5000.0, 500), rng.uniform(200.0, 3000.0, 500)
    rated = rng.uniform(0.02, 0.95, 500) * np.minimum(water, air) * 65.0
    conductance = emitters.fan_heater_conductance(rated, 80.0, 15.0, water, air)
    assert emitters.fan_heater_rate(conductance, water, air) * 65.0 == pytest.approx(rated, rel=1e-10)
    # Equal flows too, where the plain formula is 0/0.
    even = emitters.fan_heater_conductance(0.6 * 800.0 * 65.0, 80.0, 15.0, 800.0, 800.0)
    assert even == pytest.approx(800.0 * 0.6 / 0.4, rel=1e-12)


def test_fan_heater_at_other_flows_against_a_crossflow_coil() -> None:
    """Calibrated to the same rating by ht's exact unmixed crossflow: the bound that fan_heater_conductance states."""
    off: list[float] = []
    plain: list[float] = []
    air = 700.0
    for rated_effectiveness in (0.4, 0.55, 0.7, 0.8):
        for water in (0.5 * air, air, 2.0 * air, 3.0 * air, 4.0 * air, 6.0 * air):
            smaller = min(water, air)
            across = NTU_from_effectiveness(rated_effectiveness, smaller / max(water, air), "crossflow") * smaller
            rated = rated_effectiveness * smaller * 65.0
            ours = emitters.fan_heater_conductance(rated, 80.0, 15.0, water, air)
            for part in (0.25, 0.5, 2.0):
                least, most = sorted((part * water, air))
                exact = effectiveness_from_NTU(across / least, least / most, "crossflow") * least
                off.append(emitters.fan_heater_rate(ours, part * water, air) / exact - 1.0)
                if part == 0.25 and 3.0 * air <= water <= 4.0 * air and rated_effectiveness in (0.55, 0.7):
                    plain.append(rated / 65.0 / exact - 1.0)
    assert 0.05 < max(map(abs, off)) < 0.06
    # What fan_heater_output states: how much too high the plain proportion, which takes no notice of the flow, reads at a quarter
    # of it, for coils of 55 and 70 % whose water carries three and four times what the air does.
    assert min(plain) == pytest.approx(0.22, abs=0.005)
    assert max(plain) == pytest.approx(0.39, abs=0.005)


def test_plain_proportion_is_exact_at_the_rated_flows() -> None:
    conductance = emitters.fan_heater_conductance(15000.0, 80.0, 15.0, 900.0, 600.0)
    for water, air in ((80.0, 15.0), (60.0, 20.0), (71.0, -5.0)):
        law = emitters.fan_heater_rate(conductance, 900.0, 600.0) * (water - air)
        assert emitters.fan_heater_output(15000.0, 80.0, 15.0, water, air) == pytest.approx(law, rel=1e-12)


def test_air_thins_with_elevation() -> None:
    sea, high = (emitters.air_capacity_rate.us(1200, loads.air_density.us(70.0, p)) for p in (14.696, 12.228))
    # 14.696 and 12.228 psi: the standard atmosphere at sea level and 5,000 ft; 1.08 BTU/(h cfm °F) is the trade's sea level.
    assert sea == pytest.approx(1.08 * 1200, rel=2e-3)
    assert high / sea == pytest.approx(12.228 / 14.696, rel=1e-12)


def test_floor_as_an_emitter() -> None:
    """A floor through its slab and covering, solved with brentq on the curve of EN 1264 itself."""
    area, supply, room, rate = 60.0, 45.0, 20.0, 400.0
    beneath = emitters.floor_resistance(area, 0.07, table("floor_coverings").lookup("resistance", "ceramic tile"))
    resistance = emitters.mean_water_resistance(rate) + beneath
    output = brentq(lambda q: q - area * 8.92 * max(supply - room - resistance * q, 0.0) ** 1.1, 0.0, 60000.0, xtol=1e-9)
    excess = emitters.emitter_excess(supply - room, resistance, emitters.floor_output(area, 29.0, 20.0), 9.0, emitters.FLOOR_EXPONENT)
    assert emitters.floor_output(area, room + excess, room) == pytest.approx(output, rel=1e-9)


def test_tables() -> None:
    kinds, coverings = table("emitters"), table("floor_coverings")
    assert kinds.keys == ("kind",) and coverings.keys == ("covering",)
    assert all(1.0 <= e <= 1.6 for e in kinds.columns["exponent"].values if e is not None)
    assert kinds.lookup("exponent", "floor") == emitters.FLOOR_EXPONENT
    assert all(coverings.texts("source")) and all(kinds.texts("source"))
    # Worked from ht's conductivities (DIN EN 12524) and the thicknesses in the notes, given to four places.
    from ht.insulation import ASHRAE_flooring, building_materials

    for covering, material, thickness in (
        ("ceramic tile", "Tiles, ceramic or porcelain", 0.010),
        ("linoleum", "Floor covering, Linoleum", 0.0025),
        ("plastic sheet", "Plastics, Polyvinylchloride (PVC)", 0.0025),
        ("plywood", "Wood, plywood 500 kg/m^3", 0.0127),
        ("hardwood boards", "Timber, 700 kg/m^3", 0.019),
        ("carpet without pad", "Floor covering, carpet / textile flooring", 0.008),
    ):
        assert coverings.lookup("resistance", covering) == pytest.approx(thickness / building_materials[material][1], abs=5e-5)
    assert coverings.lookup("resistance", "carpet with rubber pad") == ASHRAE_flooring["Pile carpet with rubber pad"][3]
    assert coverings.lookup("resistance", "carpet with urethane pad") == ASHRAE_flooring["Carpet and rebounded urethane pad"][3]


def test_doubts() -> None:
    with pytest.warns(ValidityWarning, match="exponent is 1.9"):
        emitters.emitter_output(1000.0, 50.0, 40.0, 1.9)
    with pytest.warns(ValidityWarning, match="floor_temperature is 50 °C"):
        emitters.floor_output(1.0, 50.0, 20.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: emitters.mean_water_temperature(math.nan, 20.0), "supply is nan"),
        (lambda: emitters.mean_water_temperature.us(180, -500), "return_ is -500 °F"),
        (lambda: emitters.emitter_output(-1.0, 50.0, 40.0, 1.3), "rated_output is -1 W"),
        (lambda: emitters.emitter_output.us(1000, 0, 40, 1.3), "rated_excess is 0 °F, allowed: above 0 °F"),
        (lambda: emitters.emitter_output(1000.0, 50.0, 40.0, 0.9), "exponent is 0.9, allowed: 1 to 2"),
        (lambda: emitters.emitter_output(1000.0, 50.0, math.inf, 1.3), "excess is inf"),
        (lambda: emitters.excess_for_output(-1.0, 1000.0, 50.0, 1.3), "output is -1"),
        (lambda: emitters.excess_for_output(1.0, 0.0, 50.0, 1.3), "rated_output is 0"),
        (lambda: emitters.mean_water_resistance(-1.0), "capacity_rate is -1"),
        (lambda: emitters.exchanger_water_resistance(0.0, 100.0, 100.0), "effectiveness is 0"),
        (lambda: emitters.exchanger_water_resistance.us(120, 100, 100), "effectiveness is 120 %"),
        (lambda: emitters.emitter_excess(40.0, -1e-3, 1000.0, 50.0, 1.3), "resistance is -0.001"),
        (lambda: emitters.emitter_excess_start(40.0, 1e-3, 1000.0, -50.0, 1.3), "rated_excess is -50"),
        (lambda: emitters.emitter_excess_step(-1.0, 40.0, 1e-3, 1000.0, 50.0, 1.3), "excess is -1"),
        (lambda: emitters.lowest_water_temperature(20.0, -5.0, 1e-3, 1000.0, 50.0, 1.3), "need is -5"),
        (lambda: emitters.fan_heater_output(1000.0, 15.0, 15.0, 60.0, 15.0), "rated_entering_water must exceed rated_entering_air"),
        (lambda: emitters.fan_heater_output(-1.0, 80.0, 15.0, 60.0, 15.0), "rated_output is -1"),
        (lambda: emitters.fan_heater_conductance(65.0 * 600.0, 80.0, 15.0, 900.0, 600.0), "rated_output must be below what"),
        (lambda: emitters.fan_heater_conductance(10.0, 15.0, 80.0, 900.0, 600.0), "rated_output must be below what"),
        (lambda: emitters.fan_heater_conductance(10.0, 80.0, 15.0, 0.0, 600.0), "water_capacity_rate is 0"),
        (lambda: emitters.fan_heater_rate(-1.0, 900.0, 600.0), "conductance is -1"),
        (lambda: emitters.air_capacity_rate.us(-5, 0.075), "air_flow is -5 cfm"),
        (lambda: emitters.air_capacity_rate(1.0, 0.0), "air_density is 0"),
        (lambda: emitters.floor_output.us(-1, 84, 70), "area is -1 ft²"),
        (lambda: emitters.floor_resistance(0.0, 0.1, 0.1), "area is 0"),
        (lambda: emitters.floor_resistance(1.0, -0.1, 0.1), "slab_resistance is -0.1"),
    ],
)
def test_refusals(call: object, message: str) -> None:
    with pytest.raises(RangeError, match=message):
        call()  # type: ignore[operator]
