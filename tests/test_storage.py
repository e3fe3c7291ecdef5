"""The boiler's water and fire: against integrated heat balances, and where something never happens."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from hydrocalc import storage
from hydrocalc.named import RangeError
from hydrocalc.storage import NEVER

_VOLUME, _RHO, _CP = 1.2, 975.0, 4190.0
_HEAT = _VOLUME * _RHO * _CP  # J/K


def _hours_until(power: float, start: float, finish: float) -> float:
    """Integrate the water's temperature until it crosses ``finish``; seconds."""

    def crossed(_: float, t: Any) -> Any:
        return t[0] - finish

    crossed.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(lambda _t, _y: [power / _HEAT], (0, 1e7), [start], events=crossed, rtol=1e-11, atol=1e-9)
    return float(solved.t_events[0][0])


def test_a_cycle_against_integration() -> None:
    band = storage.stored_heat(_VOLUME, 70.0, 82.0, _RHO, _CP)
    up, down = _hours_until(40e3 - 15e3, 70.0, 82.0), _hours_until(-15e3, 82.0, 70.0)
    assert storage.recovery_time(band, 40e3, 15e3) == pytest.approx(up, rel=1e-8)
    assert storage.idle_time(band, 15e3) == pytest.approx(down, rel=1e-8)
    cycle = storage.firing_cycle_time(band, 40e3, 15e3)
    assert cycle == pytest.approx(up + down, rel=1e-8)
    assert up / cycle == pytest.approx(storage.firing_share(40e3, 15e3), rel=1e-8)
    assert storage.cycles_per_hour(cycle) * cycle == pytest.approx(1.0)


def test_shortest_cycle_is_the_least_of_all_loads() -> None:
    loads = np.linspace(100.0, 39.9e3, 4000)
    cycles = storage.firing_cycle_time(5e7, 40e3, loads)
    assert storage.shortest_cycle(5e7, 40e3) == pytest.approx(cycles.min(), rel=1e-6)
    assert loads[cycles.argmin()] == pytest.approx(20e3, rel=1e-3)


def test_load_at_or_above_the_firing_rate_never_recovers() -> None:
    assert storage.recovery_time(5e7, 40e3, 40e3) == NEVER
    assert storage.recovery_time(5e8, 40e3, 50e3) == NEVER
    assert storage.firing_share(40e3, 40e3) == 1.0
    assert storage.firing_share(40e3, 90e3) == 1.0
    assert storage.buffer_volume(600.0, 40e3, 40e3, 20.0, _RHO, _CP) == 0.0
    assert storage.buffer_volume(600.0, 40e3, 90e3, 20.0, _RHO, _CP) == 0.0


def test_no_load_and_no_band() -> None:
    assert storage.idle_time(5e8, 0.0) == NEVER
    assert storage.burn_time(1e9, 0.0) == NEVER
    assert storage.stored_heat(_VOLUME, 80.0, 80.0, _RHO, _CP) == 0.0
    assert storage.recovery_time(0.0, 40e3, 15e3) == storage.idle_time(0.0, 15e3) == 0.0
    assert storage.firing_share(40e3, 0.0) == 0.0


def test_a_charge_is_all_given_to_the_load_and_the_tank() -> None:
    dry = storage.charge_mass(0.9, 0.75, 160.0)
    assert dry == pytest.approx(108.0)
    heat = storage.charge_heat(dry, 20e6, 0.7)
    hours = 4 * 3600.0
    volume = storage.charge_buffer_volume(heat, 20e3, hours, 25.0, _RHO, _CP)
    assert volume * _RHO * _CP * 25.0 + 20e3 * hours == pytest.approx(heat, rel=1e-13)
    assert storage.charge_buffer_volume(heat, 900e3, hours, 25.0, _RHO, _CP) == 0.0  # the load takes it all
    assert storage.sustained_output(heat, storage.burn_time(heat, 18e3)) == pytest.approx(18e3, rel=1e-13)


def test_buffer_makes_the_firing_last() -> None:
    volume = storage.buffer_volume(1200.0, 35e3, 3e3, 20.0, _RHO, _CP)
    band = storage.stored_heat(volume, 60.0, 80.0, _RHO, _CP)
    assert storage.recovery_time(band, 35e3, 3e3) == pytest.approx(1200.0, rel=1e-12)


def test_time_to_boil() -> None:
    assert storage.time_to_boil(_VOLUME, 85.0, 100.0, 58e3, _RHO, _CP) == pytest.approx(_hours_until(58e3, 85.0, 100.0), rel=1e-8)
    assert storage.time_to_boil(_VOLUME, 100.0, 100.0, 58e3, _RHO, _CP) == 0.0
    assert storage.time_to_boil(_VOLUME, 105.0, 100.0, 58e3, _RHO, _CP) == 0.0
    assert storage.time_to_boil(_VOLUME, 20.0, 100.0, 0.0, _RHO, _CP) == NEVER


def test_a_month_of_fuel_by_its_hours() -> None:
    """Sum the fuel hour by hour: full fire while it burns, an idle share of full fire while it rests."""
    output, efficiency, idle_share, jacket = 58e3, 0.68, 0.04, 600.0
    load = 11e3
    hours = 730
    burning = (load + jacket) / output
    rate = output / efficiency
    by_hours = sum(3600 * rate * (burning + idle_share * (1 - burning)) for _ in range(hours))
    month = hours * 3600.0
    idle = storage.month_idle_time(month, load * month, jacket * month, output)
    fuel = storage.month_fuel(load * month, jacket * month, efficiency, idle_share, output, idle)
    assert fuel == pytest.approx(by_hours, rel=1e-12)
    # Standby costs most where least is used.
    small = storage.month_fuel(2e3 * month, jacket * month, efficiency, idle_share, output, month * (1 - 2600 / output))
    assert 2e3 * month / small < load * month / fuel < efficiency


def test_a_month_beyond_the_boiler_has_no_idle_time() -> None:
    assert storage.month_idle_time(2.6e6, 3e11, 0.0, 58e3) == 0.0
    assert storage.month_idle_time(0.0, 0.0, 0.0, 58e3) == 0.0
    assert storage.month_fuel(0.0, 0.0, 0.7, 0.0, 58e3, 2.6e6) == 0.0
    assert storage.month_fuel(7e10, 0.0, 0.7, 0.0, 0.0, 0.0) == pytest.approx(1e11)  # a seasonal efficiency: nothing is added


def test_tank_by_its_surfaces() -> None:
    side, _ = quad(lambda _: np.pi * 1.1, 0, 1.9)
    end, _ = quad(lambda r: 2 * np.pi * r, 0, 0.55)
    assert storage.tank_conductance(1.1, 1.9, 0.3) == pytest.approx(0.3 * (side + 2 * end), rel=1e-12)


@pytest.mark.parametrize("surroundings", [-20.0, 0.0, 15.0])
def test_cooling_against_integration(surroundings: float) -> None:
    conductance, hours = 3.5, 60 * 3600.0
    solved = solve_ivp(lambda _, t: -conductance / _HEAT * (t - surroundings), (0, hours), [80.0], rtol=1e-11, atol=1e-11)
    end = float(solved.y[0, -1])
    assert storage.cooled_temperature(_VOLUME, 80.0, surroundings, conductance, hours, _RHO, _CP) == pytest.approx(end, abs=1e-7)
    assert storage.cooling_time(_VOLUME, 80.0, end, surroundings, conductance, _RHO, _CP) == pytest.approx(hours, rel=1e-8)


def test_cooling_of_defined_cases() -> None:
    rest = (_RHO, _CP)
    assert storage.cooled_temperature(_VOLUME, 80.0, 10.0, 3.5, 0.0, *rest) == 80.0
    assert storage.cooled_temperature(_VOLUME, 80.0, 10.0, 0.0, 1e6, *rest) == 80.0
    assert storage.cooled_temperature(_VOLUME, 10.0, 10.0, 3.5, 1e6, *rest) == 10.0
    assert storage.cooled_temperature(_VOLUME, 5.0, 20.0, 3.5, 1e9, *rest) == pytest.approx(20.0)  # warmed by a warm room
    assert storage.cooling_time(_VOLUME, 80.0, 0.0, 5.0, 3.5, *rest) == NEVER  # a room above freezing
    assert storage.cooling_time(_VOLUME, 80.0, 0.0, 0.0, 3.5, *rest) == NEVER  # at freezing: never quite
    assert storage.cooling_time(_VOLUME, 80.0, 0.0, -20.0, 0.0, *rest) == NEVER  # loses nothing
    assert storage.cooling_time(_VOLUME, 40.0, 40.0, -20.0, 3.5, *rest) == 0.0
    assert storage.cooling_time(_VOLUME, 30.0, 40.0, -20.0, 3.5, *rest) == 0.0  # already colder
    assert storage.cooling_time(_VOLUME, 30.0, 40.0, 60.0, 3.5, *rest) == 0.0  # already colder, in a warm room
    assert storage.cooling_time(0.0, 80.0, 0.0, -20.0, 3.5, *rest) == 0.0  # no water


def test_return_mixing_closes_its_balance() -> None:
    share = storage.return_mixing_fraction(80.0, 45.0, 60.0)
    assert share * 80.0 + (1 - share) * 45.0 == pytest.approx(60.0, rel=1e-13)
    assert storage.return_mixing_fraction(80.0, 65.0, 60.0) == 0.0  # warm enough
    assert storage.return_mixing_fraction(55.0, 45.0, 60.0) == 1.0  # nothing is enough
    assert storage.return_mixing_fraction(70.0, 70.0, 60.0) == 0.0
    assert storage.return_mixing_fraction(50.0, 50.0, 60.0) == 1.0
    assert storage.return_mixing_fraction(50.0, 70.0, 60.0) == 0.0


def test_arrays() -> None:
    loads = np.array([0.0, 10e3, 40e3, 60e3])
    assert storage.recovery_time(5e8, 40e3, loads) == pytest.approx([12500.0, 5e8 / 30e3, NEVER, NEVER])
    finish = np.array([90.0, 40.0, -30.0])
    times = storage.cooling_time(_VOLUME, 80.0, finish, -20.0, 3.5, _RHO, _CP)
    assert times[0] == 0.0 and 0 < times[1] < NEVER and times[2] == NEVER


@pytest.mark.parametrize(
    "call, words",
    [
        (lambda: storage.stored_heat(1.0, 80.0, 70.0, _RHO, _CP), "high must be at least low"),
        (lambda: storage.stored_heat(-1.0, 60.0, 70.0, _RHO, _CP), "volume is -1"),
        (lambda: storage.stored_heat.us(300, 160, float("nan"), 61.0, 1.0), "high is nan °F"),
        (lambda: storage.recovery_time(-1.0, 4e4, 1e4), "stored_heat is -1"),
        (lambda: storage.recovery_time(1e7, -4e4, 1e4), "firing_rate is -40000"),
        (lambda: storage.idle_time(1e7, -1.0), "load is -1"),
        (lambda: storage.firing_cycle_time(1e7, 4e4, float("inf")), "load is inf"),
        (lambda: storage.shortest_cycle(1e7, 0.0), "firing_rate is 0"),
        (lambda: storage.cycles_per_hour(0.0), "firing_cycle_time is 0"),
        (lambda: storage.firing_share(0.0, 1e4), "firing_rate is 0"),
        (lambda: storage.charge_mass(1.0, 1.2, 160.0), "fill_fraction is 1.2"),
        (lambda: storage.charge_heat(100.0, -1.0, 0.7), "dry_heating_value is -1"),
        (lambda: storage.charge_heat(100.0, 2e7, 1.2), "efficiency is 1.2"),
        (lambda: storage.burn_time(-1.0, 1e4), "charge_heat is -1"),
        (lambda: storage.sustained_output(1e9, 0.0), "hours is 0"),
        (lambda: storage.charge_buffer_volume(1e9, 1e4, 1e4, 0.0, _RHO, _CP), "swing is 0"),
        (lambda: storage.buffer_volume(600.0, 4e4, 1e4, -5.0, _RHO, _CP), "swing is -5"),
        (lambda: storage.buffer_volume(-600.0, 4e4, 1e4, 5.0, _RHO, _CP), "minimum_firing_time is -600"),
        (lambda: storage.time_to_boil(1.0, 80.0, 100.0, -1.0, _RHO, _CP), "firing_rate is -1"),
        (lambda: storage.month_idle_time(1e6, 1e9, 0.0, 0.0), "rated_output is 0"),
        (lambda: storage.month_fuel(1e9, 0.0, 0.0, 0.0, 5e4, 0.0), "efficiency is 0"),
        (lambda: storage.month_fuel(1e9, -1.0, 0.7, 0.0, 5e4, 0.0), "jacket_loss is -1"),
        (lambda: storage.month_fuel(1e9, 0.0, 0.7, 1.5, 5e4, 0.0), "idle_share is 1.5"),
        (lambda: storage.tank_conductance(-1.0, 2.0, 0.3), "diameter is -1"),
        (lambda: storage.cooled_temperature(0.0, 80.0, 10.0, 3.5, 1e5, _RHO, _CP), "volume is 0"),
        (lambda: storage.cooling_time(1.0, 80.0, 0.0, -20.0, -3.5, _RHO, _CP), "conductance is -3.5"),
        (lambda: storage.cooling_constant(-1.0, 3.5, _RHO, _CP), "volume is -1"),
        (lambda: storage.return_mixing_fraction(80.0, -300.0, 60.0), "return_temperature is -300"),
    ],
)
def test_refusals_name_the_argument(call: Any, words: str) -> None:
    with pytest.raises(RangeError, match=words):
        call()
