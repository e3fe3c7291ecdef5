"""Loads, tubs and pools by second routes (CoolProp, scipy, hourly weather, psychrometrics), at their ends, and every refusal."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
import weather
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI
from scipy.integrate import solve_ivp
from scipy.stats import logistic

from hydrocalc import loads, pools, pressure
from hydrocalc.named import RangeError, ValidityWarning
from hydrocalc.tables import table

WATER = {"density": 990.0, "specific_heat": 4180.0}


# --- buildings -------------------------------------------------------------------------------------------------


def test_conductance_comes_back_from_the_fuel() -> None:
    conductance = np.array([50.0, 264.0, 900.0])
    heat = loads.seasonal_heat(conductance, 3900.0)
    bought = (heat + 1.2e10) / 0.8
    assert loads.conductance_from_fuel(bought, 0.8, 3900.0, 1.2e10) == pytest.approx(conductance, rel=1e-13)
    # A heat pump gives more than it is fed.
    assert loads.conductance_from_fuel(heat / 2.5, 2.5, 3900.0, 0.0) == pytest.approx(conductance, rel=1e-13)


def test_season_is_the_sum_of_its_hours() -> None:
    months = weather.air("723170TYA.CSV")
    hours = np.concatenate([m.ravel() for m in months.values()])
    lost = np.maximum(loads.transmission_load(264.0, 16.0, hours), 0.0).sum() * 3600.0
    assert loads.seasonal_heat(264.0, weather.hourly("723170TYA.CSV", 16.0)) == pytest.approx(lost, rel=1e-12)


def test_a_wrong_base_makes_the_house_too_small() -> None:
    """A house that balances at 60 °F, worked back with degree days of base 65 °F: a quarter too small at this station."""
    true, wrong = (sum(weather.daily("723170TYA.CSV", weather.celsius(b)).values()) for b in (60.0, 65.0))
    found = loads.conductance_from_fuel(loads.seasonal_heat(300.0, true), 1.0, wrong, 0.0)
    assert found / 300.0 == pytest.approx(0.74, abs=0.01)


def test_signs_and_ends_of_the_building() -> None:
    assert loads.transmission_load(300.0, 20.0, 20.0) == 0.0
    assert loads.transmission_load(300.0, 20.0, np.array([-20.0, 30.0])).tolist() == [12000.0, -3000.0]
    assert loads.infiltration_load(400.0, 0.0, 20.0, -20.0, 1.2) == 0.0
    assert loads.seasonal_heat(300.0, 0.0) == 0.0
    assert loads.conductance_from_fuel(1e9, 0.8, 3000.0, 1e9) == 0.0  # more went elsewhere than was bought
    assert loads.balance_temperature(21.0, 0.0, 300.0) == 21.0
    assert loads.surface_conductance(0.0, 3.0) == 0.0


@pytest.mark.parametrize(("celsius", "elevation"), [(-30.0, 0.0), (0.0, 1500.0), (21.0, 3000.0)])
def test_air_against_coolprop(celsius: float, elevation: float) -> None:
    ambient = pressure.surface_pressure(elevation)
    # A perfect gas against CoolProp's real air: within 0.2 % in the cold.
    assert loads.air_density(celsius, ambient) == pytest.approx(PropsSI("D", "T", celsius + 273.15, "P", ambient, "Air"), rel=2e-3)
    assert pytest.approx(PropsSI("C", "T", celsius + 273.15, "P", ambient, "Air"), rel=3e-3) == loads.AIR_SPECIFIC_HEAT


def test_moist_air_is_a_little_lighter() -> None:
    moist = 1.0 / HAPropsSI("Vha", "T", 293.15, "P", 101325.0, "R", 0.5)
    assert loads.air_density(20.0, 101325.0) / moist == pytest.approx(1.004, abs=1e-3)


# --- degree days -------------------------------------------------------------------------------------------------


def test_months_against_hourly_weather() -> None:
    """The known gap of a month's mean: what monthly_degree_days states, for both stations, reached within a third."""
    year: dict[tuple[str, float], float] = {}
    month: list[float] = []
    for name in weather.STATIONS:
        for base in (55.0, 60.0, 65.0):
            exact = weather.daily(name, weather.celsius(base))
            means = {m: float(v.mean()) for m, v in weather.air(name).items()}
            found = {m: loads.monthly_degree_days(t, weather.celsius(base), float(len(weather.air(name)[m]))) for m, t in means.items()}
            month += [found[m] - exact[m] for m in exact]
            year[name, base] = sum(found.values()) / sum(exact.values()) - 1.0
    coast = year.pop(("703165TY.csv", 55.0))
    assert 0.033 < coast < 0.05
    assert 0.016 < max(map(abs, year.values())) < 0.025
    # Single months miss by up to 45 K day, 1.5 K of mean temperature, where the mean lies near the base on a coast of even days.
    assert 30.0 < max(map(abs, month)) < 45.0


def test_degree_days_are_those_of_logistic_days() -> None:
    """The formula says: days spread about their mean by a logistic law. Its expected shortfall, integrated numerically."""
    for mean, base, days in ((5.0, 18.0, 31.0), (17.0, 18.0, 30.0), (25.0, 15.0, 28.0)):
        scale = loads.monthly_spread(mean, 9.0, days) / loads.STEEPNESS
        t = np.linspace(mean - 60.0 * scale, mean + 60.0 * scale, 400001)
        expected = np.trapezoid(np.maximum(base - t, 0.0) * logistic.pdf(t, mean, scale), t)
        assert loads.monthly_degree_days(mean, base, days) == pytest.approx(days * expected, rel=1e-7, abs=1e-9)


def test_spread_is_erbs() -> None:
    # Erbs, Klein and Beckman: 1.45 - 0.029 T + 0.0664 * 9 K of spread over the year, times the root of the days.
    assert loads.monthly_spread(10.0, 9.0, 31.0) == pytest.approx((1.45 - 0.29 + 0.5976) * math.sqrt(31.0), rel=1e-12)
    assert loads.monthly_spread(120.0, 0.0, 31.0) > 0.0


def test_the_months_own_spread_comes_nearer() -> None:
    """What monthly_spread states, for both stations; on the coast, whose months lie 4.2 K about their mean, 9 K cost half as much again."""
    for name in weather.STATIONS:
        months = weather.air(name)
        means = {m: float(v.mean()) for m, v in months.items()}
        own = float(np.std(list(means.values())))
        for base in (55.0, 60.0, 65.0):
            celsius, exact = weather.celsius(base), sum(weather.daily(name, weather.celsius(base)).values())
            miss = {
                spread: sum(
                    loads.spread_degree_days(t, celsius, n, loads.monthly_spread(t, spread, n))
                    for m, t in means.items()
                    for n in (float(len(months[m])),)
                )
                / exact
                - 1.0
                for spread in (own, 9.0)
            }
            assert abs(miss[own]) < abs(miss[9.0])
            assert abs(miss[own]) < (0.035 if (name, base) == ("703165TY.csv", 55.0) else 0.02)


def test_degree_days_at_their_ends() -> None:
    with warnings.catch_warnings(), np.errstate(all="raise", under="ignore"):
        warnings.simplefilter("error")
        cold = loads.monthly_degree_days(np.array([-40.0, -20.0]), 18.0, 31.0)
        assert cold == pytest.approx(31.0 * np.array([58.0, 38.0]), rel=1e-4)  # every day below the base: the plain difference
        assert loads.monthly_degree_days(40.0, 10.0, 31.0) == pytest.approx(0.0, abs=0.1)
        even = loads.monthly_degree_days(18.0, 18.0, 30.0)
        assert even == pytest.approx(30.0 * loads.monthly_spread(18.0, 9.0, 30.0) * math.log(2.0) / loads.STEEPNESS, rel=1e-12)
        falling = loads.monthly_degree_days(np.linspace(-30.0, 35.0, 200), 18.0, 30.0)
        assert np.all(np.diff(falling) < 0.0) and np.all(falling > 0.0)
    with pytest.warns(ValidityWarning, match="days is 20 day"):
        loads.monthly_degree_days(0.0, 18.0, 20.0)
    with pytest.warns(ValidityWarning, match="mean_temperature is -58 °F"):
        loads.monthly_degree_days.us(-58.0, 65.0, 31.0)


def test_month_tables() -> None:
    shares, months = table("month_shares"), table("months")
    assert sum(shares.columns["share"].values) == pytest.approx(1.0, abs=1e-9)  # type: ignore[arg-type]
    year = sum(shares.columns["degree_days"].values)  # type: ignore[arg-type]
    for month in shares.texts("month"):
        assert shares.lookup("share", month) == pytest.approx(shares.lookup("degree_days", month) / year, abs=1e-10)
    assert shares.texts("month") == months.texts("month")
    begun = 0.0
    for month in months.texts("month"):
        days = months.lookup("days", month)
        assert months.lookup("mid_day", month) == math.ceil(begun + days / 2.0)
        begun += days
    assert begun == 365.0


# --- hot water and heating up ------------------------------------------------------------------------------------


def test_hot_water_against_enthalpies() -> None:
    for cold, hot in ((5.0, 50.0), (10.0, 60.0), (15.0, 49.0), (50.0, 50.0)):
        density = PropsSI("D", "T", hot + 273.15, "P", 3e5, "Water")
        heat = density * (PropsSI("H", "T", hot + 273.15, "P", 3e5, "Water") - PropsSI("H", "T", cold + 273.15, "P", 3e5, "Water"))
        assert loads.hot_water_energy(1.0, cold, hot) == pytest.approx(heat, rel=1.2e-3)
        assert loads.hot_water_draw_load(1e-3, cold, hot) == pytest.approx(1e-3 * heat, rel=1.2e-3)
    assert loads.hot_water_energy(0.0, 10.0, 60.0) == 0.0


def test_share_of_an_exchanger_on_the_feed() -> None:
    assert loads.hot_water_share(np.array([5.0, 10.0, 35.0, 60.0, 90.0]), 10.0, 60.0).tolist() == [0.0, 0.0, 0.5, 1.0, 1.0]


def test_heating_up_by_integration() -> None:
    for power, conductance in ((9000.0, 30.0), (9000.0, 1e-6), (3000.0, 60.0)):
        capacity = 1.7 * WATER["density"] * WATER["specific_heat"]
        reached = solve_ivp(
            lambda _, y, p=power, u=conductance, c=capacity: [(p - u * (y[0] - 5.0)) / c],
            (0.0, 1e7),
            [10.0],
            events=_at_forty,
            rtol=1e-10,
            atol=1e-10,
        )
        time = loads.heat_up_time_losing(1.7, 10.0, 40.0, power, conductance, 5.0, *WATER.values())
        assert time == pytest.approx(reached.t_events[0][0], rel=1e-7)
    # Without losses it is the plain balance.
    plain = loads.heat_up_time(1.7, 10.0, 40.0, 9000.0, 0.0, *WATER.values())
    assert loads.heat_up_time_losing(1.7, 10.0, 40.0, 9000.0, 0.0, 5.0, *WATER.values()) == pytest.approx(plain, rel=1e-13)
    assert plain * 9000.0 == pytest.approx(1.7 * WATER["density"] * WATER["specific_heat"] * 30.0, rel=1e-14)


def _at_forty(_: float, y: np.ndarray) -> float:
    return float(y[0] - 40.0)


_at_forty.terminal = True  # type: ignore[attr-defined]


def test_heating_up_that_never_ends() -> None:
    assert loads.heat_up_time(1.0, 10.0, 40.0, 500.0, 500.0, *WATER.values()) == loads.NEVER
    assert loads.heat_up_time(1.0, 10.0, 40.0, 500.0, 900.0, *WATER.values()) == loads.NEVER
    assert loads.heat_up_time_losing(1.0, 10.0, 40.0, 500.0, 20.0, 5.0, *WATER.values()) == loads.NEVER
    assert loads.heat_up_time(1.0, 40.0, 40.0, 0.0, 0.0, *WATER.values()) == 0.0
    assert loads.heat_up_time_losing(1.0, 40.0, 40.0, 0.0, 10.0, 5.0, *WATER.values()) == 0.0
    assert loads.heat_up_time(0.0, 10.0, 40.0, 500.0, 0.0, *WATER.values()) == 0.0


# --- tubs and pools ----------------------------------------------------------------------------------------------


def test_vapor_of_the_air() -> None:
    for celsius in (0.5, 20.0, 38.0):
        saturated = HAPropsSI("P_w", "T", celsius + 273.15, "P", 101325.0, "R", 0.6)
        # CoolProp counts the enhancement by the air, 0.5 %.
        assert pools.air_vapor_pressure(celsius, 0.6) == pytest.approx(saturated, rel=6e-3)
    # Below freezing against the WMO's formula over supercooled water (WMO No. 8, annex 4.B).
    for celsius in (-30.0, -20.0, -10.0, -1.0):
        assert pools.air_vapor_pressure(celsius, 1.0) == pytest.approx(611.2 * math.exp(17.62 * celsius / (243.12 + celsius)), rel=0.01)


def test_open_water() -> None:
    inputs = (4.5, 39.0, np.array([-10.0, 5.0, 39.0]), 0.6)
    wet = pools.pool_evaporation_loss(*inputs, 1.5, 1.0)
    assert np.all(np.diff(wet) < 0.0)
    # Wind: 300 ft a minute against 10 takes 2.2 times as much (222.5 against 99.25).
    fast, slow = (pools.pool_evaporation_loss.us(49, 102, 40, 60, v / 60.0, 1) for v in (300.0, 10.0))
    assert fast / slow == pytest.approx(222.5 / 99.25, rel=1e-9)
    assert pools.pool_evaporation_loss(4.5, 10.0, 30.0, 1.0, 1.0, 1.0) == 0.0  # air moister than the water's vapor
    assert pools.pool_evaporation_loss(4.5, 39.0, 5.0, 0.6, 1.5, 0.5) == pytest.approx(wet[1] / 2.0, rel=1e-14)
    assert pools.pool_convection_loss(4.5, 39.0, inputs[2], 1.5)[2] == 0.0
    # Bowen's ratio of the two, 0.61 hPa/K times (39 - 5) K over the difference of vapor pressures.
    difference = pools.air_vapor_pressure(39.0, 1.0) - pools.air_vapor_pressure(5.0, 0.6)
    ratio = pools.pool_convection_loss(4.5, 39.0, 5.0, 1.5) / wet[1]
    assert ratio == pytest.approx(61.0 * 34.0 / difference, rel=2e-3)
    assert pools.pool_radiation_loss(4.5, 30.0, 30.0) == 0.0
    assert pools.pool_radiation_loss(1.0, 26.85, -273.15 + 180.0) == pytest.approx(0.95 * 5.670374419e-8 * (300.0**4 - 180.0**4), rel=1e-12)
    assert pools.sky_temperature(5.0) == pytest.approx(5.0 - 100.0 / 9.0, rel=1e-12)


def test_cover() -> None:
    # R-12 and a film of in series, 62 °F, 49 ft².
    assert pools.cover_loss.us(49, 12, 102, 40) == pytest.approx(49.0 * 62.0 / (12.0 + 0.04 * 5.678263), rel=1e-6)
    assert pools.cover_loss(4.0, 0.0, 40.0, 0.0) == pytest.approx(4000.0, rel=1e-12)  # the film of air alone: 25 W/(m² K)
    assert pools.cover_loss(4.0, 2.0, 40.0, 40.0) == 0.0
    assert pools.cover_loss(0.0, 2.0, 40.0, 0.0) == 0.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: loads.transmission_load.us(-1, 70, 0), r"conductance is -1 BTU/\(h °F\)"),
        (lambda: loads.transmission_load(1.0, math.inf, 0.0), "indoor is inf"),
        (lambda: loads.surface_conductance.us(10, 0), "resistance is 0 h ft² °F/BTU"),
        (lambda: loads.air_density(-300.0, 1e5), "temperature is -300 °C"),
        (lambda: loads.air_density(20.0, -1.0), "pressure is -1 Pa"),
        (lambda: loads.infiltration_load.us(-1, 0.5, 70, 0, 0.075), "volume is -1 ft³"),
        (lambda: loads.infiltration_load(400.0, -1.0, 20.0, 0.0, 1.2), "air_changes is -1"),
        (lambda: loads.conductance_from_fuel.us(100, 80, 0, 0), "degree_days is 0 °F day, allowed: above"),
        (lambda: loads.conductance_from_fuel.us(100, 0, 7000, 0), "efficiency is 0 %"),
        (lambda: loads.conductance_from_fuel.us(-1, 80, 7000, 0), "fuel_heat is -1 million BTU"),
        (lambda: loads.conductance_from_fuel.us(100, 80, 7000, -2), "other_heat is -2 million BTU"),
        (lambda: loads.seasonal_heat(300.0, -1.0), "degree_days is -1"),
        (lambda: loads.seasonal_heat(math.nan, 3000.0), "conductance is nan"),
        (lambda: loads.balance_temperature(20.0, -1.0, 300.0), "gains is -1"),
        (lambda: loads.balance_temperature(20.0, 1.0, 0.0), "conductance is 0"),
        (lambda: loads.monthly_degree_days(math.nan, 18.0, 31.0), "mean_temperature is nan"),
        (lambda: loads.monthly_degree_days(0.0, 18.0, 0.0), "days is 0"),
        (lambda: loads.monthly_spread(0.0, 9.0, 400.0), "days is 400"),
        (lambda: loads.hot_water_energy.us(60, 120, 50), "hot must be at least cold"),
        (lambda: loads.hot_water_energy.us(60, 20, 120), "cold is 20 °F"),
        (lambda: loads.hot_water_draw_load.us(-1, 50, 120), "flow is -1 gpm"),
        (lambda: loads.hot_water_draw_load.us(1, 50, 300), "hot is 300 °F"),
        (lambda: loads.hot_water_share(50.0, 60.0, 60.0), "wanted must exceed cold"),
        (lambda: loads.heat_up_time(1.0, 50.0, 40.0, 1.0, 0.0, 990.0, 4180.0), "finish must be at least start"),
        (lambda: loads.heat_up_time(1.0, 10.0, 40.0, -1.0, 0.0, 990.0, 4180.0), "power is -1"),
        (lambda: loads.heat_up_time(1.0, 10.0, 40.0, 1.0, -1.0, 990.0, 4180.0), "loss is -1"),
        (lambda: loads.heat_up_time_losing(1.0, 50.0, 40.0, 1.0, 0.0, 5.0, 990.0, 4180.0), "finish must be at least start"),
        (lambda: loads.heat_up_time_losing(1.0, 10.0, 40.0, 1.0, -2.0, 5.0, 990.0, 4180.0), "conductance is -2"),
        (lambda: loads.net_power(1.0, -1.0, 20.0, 10.0), "conductance is -1"),
        (lambda: pools.air_vapor_pressure(20.0, 1.2), "relative_humidity is 1.2"),
        (lambda: pools.pool_evaporation_loss.us(-49, 102, 40, 60, 1, 1), "area is -49 ft²"),
        (lambda: pools.pool_evaporation_loss.us(49, 250, 40, 60, 1, 1), "water_temperature is 250 °F"),
        (lambda: pools.pool_evaporation_loss.us(49, 102, 40, 60, -1, 1), "wind is -1 ft/s"),
        (lambda: pools.pool_evaporation_loss.us(49, 102, 40, 60, 1, -1), "activity is -1"),
        (lambda: pools.pool_convection_loss(1.0, -5.0, 0.0, 1.0), "water_temperature is -5"),
        (lambda: pools.pool_radiation_loss(1.0, 30.0, -200.0), "sky_temperature is -200"),
        (lambda: pools.sky_temperature(-100.0), "air_temperature is -100"),
        (lambda: pools.cover_loss(1.0, -1.0, 30.0, 0.0), "cover_resistance is -1"),
    ],
)
def test_refusals(call: object, message: str) -> None:
    with pytest.raises(RangeError, match=message):
        call()  # type: ignore[operator]
