"""Exchangers by second routes (ht, differential equations), at their ends, and every refusal."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
from ht.hx import NTU_from_effectiveness, effectiveness_from_NTU
from scipy.integrate import solve_bvp
from scipy.stats import poisson

from hydrocalc import exchangers
from hydrocalc.named import RangeError

SIZES = np.array([1e-9, 1e-4, 0.01, 0.1, 0.5, 1.0, 2.0, 5.0, 10.0, 30.0])
RATIOS = np.array([1e-9, 1e-4, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99, 0.999, 1.0])


@pytest.mark.parametrize(("name", "body"), [("counterflow", "counterflow"), ("parallel", "parallel")])
def test_against_ht(name: str, body: str) -> None:
    function = getattr(exchangers, f"{body}_effectiveness")
    # From 0.01 upward and up to a ratio of 0.999: below and above, ht's plain forms lose the digits that are compared here.
    for size in SIZES[2:]:
        for ratio in RATIOS[:-1]:
            assert function(size, ratio) == pytest.approx(effectiveness_from_NTU(size, ratio, name), rel=1e-11)
        assert function(size, 1.0) == pytest.approx(effectiveness_from_NTU(size, 1.0, name), rel=1e-13)


def test_crossflow_against_the_exact_integral() -> None:
    sizes, ratios = np.concatenate([[0.001, 0.01], np.linspace(0.05, 10.0, 60)]), np.linspace(0.05, 1.0, 20)
    exact = np.array([[effectiveness_from_NTU(n, c, "crossflow") for n in sizes] for c in ratios])
    off = exchangers.crossflow_effectiveness(sizes, ratios[:, np.newaxis]) / exact - 1.0
    # The bound that the function states; nearly reached, so that it says what is so.
    assert 0.0006 < np.abs(off).max() < 0.001
    far = np.array([12.0, 15.0, 20.0, 30.0])
    beyond = np.array([[effectiveness_from_NTU(n, c, "crossflow") for n in far] for c in ratios])
    assert 0.01 < np.abs(exchangers.crossflow_effectiveness(far, ratios[:, np.newaxis]) / beyond - 1.0).max() < 0.015
    # The textbook's exponent, which was not taken.
    printed = 1.0 - np.exp(sizes**0.22 / ratios[:, np.newaxis] * (np.exp(-ratios[:, np.newaxis] * sizes**0.78) - 1.0))
    assert 0.035 < np.abs(printed / exact - 1.0).max() < 0.04


def test_crossflow_against_the_double_series() -> None:
    """Mason's series: 1/(C N) times the sum over n of the two Poisson tails beyond n, of N and of C N."""
    for size in (0.3, 1.0, 2.5, 6.0, 10.0):
        for ratio in (0.02, 0.3, 0.6, 1.0):
            n = np.arange(80)
            exact = float(np.sum(poisson.sf(n, size) * poisson.sf(n, ratio * size))) / (ratio * size)
            assert exchangers.crossflow_effectiveness(size, ratio) == pytest.approx(exact, rel=1e-3)


@pytest.mark.parametrize(("mixed", "name"), [("larger", "crossflow, mixed Cmax"), ("smaller", "crossflow, mixed Cmin")])
def test_one_side_mixed_against_ht(mixed: str, name: str) -> None:
    function = getattr(exchangers, f"{mixed}_mixed_effectiveness")
    for size in SIZES[2:]:
        for ratio in RATIOS[2:]:
            assert function(size, ratio) == pytest.approx(effectiveness_from_NTU(size, ratio, name), rel=1e-11)


def test_one_side_mixed_by_its_differential_equation() -> None:
    """The unmixed side, cut into tubes side by side, meets the mixed side along its way: dm/dx = -share (1 - exp(-NTU of a tube)) m."""
    for size, ratio in ((0.5, 0.3), (1.5, 1.0), (3.0, 0.8)):
        # The hot side mixed and smaller (1): each tube's cold stream of rate 1/ratio takes (1 - exp(-size ratio)) of what there is.
        cells = 200_000
        taken = (1.0 - math.exp(-size * ratio)) / ratio / cells
        assert exchangers.smaller_mixed_effectiveness(size, ratio) == pytest.approx(1.0 - (1.0 - taken) ** cells, rel=1e-5)
        taken = (1.0 - math.exp(-size)) * ratio / cells  # the mixed side larger: in shares of its own drop
        assert exchangers.larger_mixed_effectiveness(size, ratio) == pytest.approx((1.0 - (1.0 - taken) ** cells) / ratio, rel=1e-5)


@pytest.mark.parametrize("gap", [1e-12, 1e-9, 1e-8, 1e-7, 1e-6])
def test_one_side_mixed_where_the_other_is_endless(gap: float) -> None:
    for function in (exchangers.larger_mixed_effectiveness, exchangers.smaller_mixed_effectiveness):
        for size in (0.1, 1.0, 5.0):
            # To first order in the ratio both fall by less than it times the transfer units.
            assert function(size, gap) == pytest.approx(-math.expm1(-size), abs=2e-8 + gap * size)


def test_counterflow_by_its_differential_equations() -> None:
    """Both sides integrated along the exchanger: dh/dx = -NTU (h - c), dc/dx = -NTU ratio (h - c), h(0) = 1, c(1) = 0."""
    for size, ratio in ((0.5, 0.3), (2.0, 1.0), (3.0, 0.8)):
        x = np.linspace(0.0, 1.0, 50)
        found = solve_bvp(
            lambda _, y, n=size, r=ratio: np.array([-n * (y[0] - y[1]), -n * r * (y[0] - y[1])]),
            lambda a, b: np.array([a[0] - 1.0, b[1]]),
            x,
            np.vstack([1.0 - 0.5 * x, 0.5 - 0.5 * x]),
            tol=1e-9,
        )
        assert found.success
        assert exchangers.counterflow_effectiveness(size, ratio) == pytest.approx(1.0 - found.y[0, -1], abs=1e-8)


@pytest.mark.parametrize("gap", [1e-15, 1e-12, 1e-9, 1e-7, 1e-6, 1e-4, 1e-3, 1e-2])
def test_near_equal_rates(gap: float) -> None:
    # To first order in the gap, NTU/(1 + NTU) grows by gap/2 * (NTU/(1 + NTU))²; the second order is below gap² NTU.
    for size in (0.1, 1.0, 9.0):
        even, apart = size / (1.0 + size), size * gap
        # Beside the singular point the limit leaves out half of this, and the textbook's form has the rounding of 1 over it.
        near = min(1e-12 + (1e-15 / apart), 2e-8)
        found = exchangers.counterflow_effectiveness(size, 1.0 - gap)
        assert found == pytest.approx(even + gap / 2.0 * even**2, rel=near, abs=gap**2 * size)
        # What an effectiveness errs by counts (1 + NTU) times in the number.
        assert exchangers.counterflow_transfer_units(found, 1.0 - gap) == pytest.approx(size, rel=(2.0 + size) * near)


def test_ends_of_the_effectiveness() -> None:
    with warnings.catch_warnings(), np.errstate(all="raise", under="ignore"):
        warnings.simplefilter("error")
        for function in (
            exchangers.counterflow_effectiveness,
            exchangers.parallel_effectiveness,
            exchangers.crossflow_effectiveness,
            exchangers.larger_mixed_effectiveness,
            exchangers.smaller_mixed_effectiveness,
        ):
            assert np.all(function(0.0, RATIOS) == 0.0)
            assert function(0.0, 0.0) == 0.0
            # One side of endless capacity: all arrangements are one.
            # One less the exponential of almost nothing keeps what the rounding of 1 leaves of it.
            assert function(SIZES, 0.0) == pytest.approx(-np.expm1(-SIZES), rel=1e-12, abs=1e-15)
        assert exchangers.tank_coil_effectiveness(SIZES) == pytest.approx(-np.expm1(-SIZES), rel=1e-13, abs=1e-15)
        # A very large exchanger.
        assert exchangers.counterflow_effectiveness(1e9, np.array([0.0, 0.5, 0.99])) == pytest.approx([1.0, 1.0, 1.0], rel=1e-12)
        assert exchangers.counterflow_effectiveness(1e9, 1.0) == pytest.approx(1.0, abs=2e-9)
        assert exchangers.parallel_effectiveness(1e9, RATIOS) == pytest.approx(1.0 / (1.0 + RATIOS), rel=1e-12)
        assert exchangers.crossflow_effectiveness(1e9, 0.0) == 1.0
        assert exchangers.tank_coil_effectiveness(1e9) == pytest.approx(1.0, rel=1e-12)


def test_better_in_counterflow_than_across_than_parallel() -> None:
    # From 0.7 transfer units upward, where the arrangements differ by more than crossflow's own error.
    sizes, ratios = np.meshgrid(np.linspace(0.7, 5.0, 20), np.linspace(0.4, 1.0, 7))
    counter, cross = exchangers.counterflow_effectiveness(sizes, ratios), exchangers.crossflow_effectiveness(sizes, ratios)
    assert np.all(counter > cross)
    assert np.all(cross > exchangers.parallel_effectiveness(sizes, ratios))


def test_inverse_against_ht_and_itself() -> None:
    for ratio in (0.0001, 0.3, 0.7, 0.95, 1.0):
        for wanted in (0.01, 0.2, 0.5, 0.9):
            assert exchangers.counterflow_transfer_units(wanted, ratio) == pytest.approx(
                NTU_from_effectiveness(wanted, ratio, "counterflow"), rel=1e-11
            )
    sizes, ratios = np.meshgrid(np.array([0.0, 1e-6, 0.01, 0.5, 2.0, 6.0]), RATIOS)
    found = exchangers.counterflow_effectiveness(sizes, ratios)
    # At six transfer units the effectiveness is within 0.002 of 1, so an error of 1e-16 there is some 1e-13 of the number.
    assert exchangers.counterflow_transfer_units(found, ratios) == pytest.approx(sizes, rel=1e-11)


def test_log_mean_near_equal_ends() -> None:
    # With ends a and a(1 + e) the mean is a (1 + e/2 - e²/12 + e³/24 - ...): no logarithm needed.
    for e in (0.0, 1e-15, 1e-9, 1e-6, 1e-3):
        mean = exchangers.log_mean_difference(60.0 + 10.0 * (1.0 + e), 60.0, 50.0, 60.0)
        growth = ((60.0 + 10.0 * (1.0 + e)) - 60.0) / 10.0 - 1.0
        assert mean == pytest.approx(10.0 * (1.0 + growth / 2.0 - growth**2 / 12.0 + growth**3 / 24.0), rel=1e-12)
    # Across the seam of the arithmetic mean and the logarithm, within what the function states.
    e = np.concatenate([np.linspace(-3e-4, 3e-4, 61), np.geomspace(3e-4, 1e3, 30), -np.geomspace(3e-4, 0.99, 30)])
    mean = np.where(e == 0.0, 1.0, e / np.log1p(np.where(e == 0.0, 1.0, e)))
    assert exchangers.log_mean_difference(10.0 * (1.0 + e), 10.0, 0.0, 0.0) == pytest.approx(10.0 * mean, rel=1e-9)


def test_log_mean_lies_between_the_geometric_and_the_arithmetic_mean() -> None:
    rng = np.random.default_rng(5)
    hot_end, cold_end = rng.uniform(0.01, 100.0, 500), rng.uniform(0.01, 100.0, 500)
    mean = exchangers.log_mean_difference(50.0 + hot_end, 20.0 + cold_end, np.full(500, 20.0), np.full(500, 50.0))
    assert np.all(mean >= np.sqrt(hot_end * cold_end) * (1 - 1e-12))
    assert np.all(mean <= (hot_end + cold_end) / 2.0 * (1 + 1e-12))


def test_rating_and_back() -> None:
    """A rating gives a conductance, and the conductance gives the rating back."""
    rng = np.random.default_rng(6)
    for _ in range(200):
        hot, cold = rng.uniform(200.0, 8000.0, 2)
        hot_in, cold_in = rng.uniform(60.0, 95.0), rng.uniform(5.0, 50.0)
        duty = rng.uniform(0.01, 0.97) * min(hot, cold) * (hot_in - cold_in)
        ends = hot_in, hot_in - duty / hot, cold_in, cold_in + duty / cold
        conductance = exchangers.conductance_from_rating(duty, *ends)
        smaller = exchangers.smaller_capacity_rate(hot, cold)
        effectiveness = exchangers.counterflow_effectiveness(
            exchangers.transfer_units(conductance, smaller), exchangers.capacity_ratio(hot, cold)
        )
        found = exchangers.exchanger_output(effectiveness, smaller, hot_in, cold_in)
        # The rounding of temperatures of some 80 °C to 1e-14 counts against end differences of a degree or two.
        assert found == pytest.approx(duty, rel=1e-11)
        gone = hot * (hot_in - exchangers.hot_outlet_temperature(hot_in, found, hot))
        got = cold * (exchangers.cold_outlet_temperature(cold_in, found, cold) - cold_in)
        assert gone == pytest.approx(got, rel=1e-10)


def test_no_flow_and_equal_temperatures() -> None:
    assert exchangers.capacity_ratio(0.0, 0.0) == 0.0
    assert exchangers.capacity_ratio(0.0, 500.0) == 0.0
    assert exchangers.capacity_ratio(np.array([300.0, 500.0]), np.array([600.0, 500.0])).tolist() == [0.5, 1.0]
    assert exchangers.smaller_capacity_rate(0.0, 500.0) == 0.0
    stuck = exchangers.counterflow_effectiveness(exchangers.transfer_units(1000.0, 0.0), 0.0)
    assert stuck == 1.0
    assert exchangers.exchanger_output(stuck, 0.0, 80.0, 20.0) == 0.0
    assert exchangers.transfer_units(0.0, 0.0) == 0.0
    assert exchangers.exchanger_output(0.5, 1000.0, 60.0, 60.0) == 0.0
    assert exchangers.exchanger_output(0.5, 1000.0, 50.0, 60.0) == -5000.0
    assert exchangers.hot_outlet_temperature(70.0, 0.0, 0.0) == 70.0
    assert exchangers.cold_outlet_temperature(20.0, 0.0, 0.0) == 20.0
    assert exchangers.effectiveness_from_output(0.0, 100.0, 60.0, 60.0) == 0.0
    assert exchangers.conductance_from_rating(0.0, 80.0, 80.0, 20.0, 20.0) == 0.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: exchangers.log_mean_difference(60.0, 50.0, 20.0, 60.0), "hot_in must exceed cold_out"),
        (lambda: exchangers.log_mean_difference(80.0, 20.0, 20.0, 60.0), "hot_out must exceed cold_in"),
        (lambda: exchangers.conductance_from_rating.us(60000, 180, 160, 150, 190), "hot_in must exceed cold_out"),
        (lambda: exchangers.conductance_from_rating(-1.0, 80.0, 60.0, 20.0, 40.0), "load is -1 W"),
        (lambda: exchangers.transfer_units.us(-3, 100), r"conductance is -3 BTU/\(h °F\)"),
        (lambda: exchangers.transfer_units(3.0, -1.0), "smaller_capacity_rate is -1"),
        (lambda: exchangers.capacity_ratio(-1.0, 2.0), "hot_capacity_rate is -1"),
        (lambda: exchangers.smaller_capacity_rate(1.0, math.nan), "cold_capacity_rate is nan"),
        (lambda: exchangers.counterflow_effectiveness(math.inf, 0.5), "transfer_units is inf"),
        (lambda: exchangers.counterflow_effectiveness(1.0, 1.1), "capacity_ratio is 1.1"),
        (lambda: exchangers.counterflow_effectiveness(-0.1, 0.5), "transfer_units is -0.1"),
        (lambda: exchangers.parallel_effectiveness(1.0, -0.1), "capacity_ratio is -0.1"),
        (lambda: exchangers.crossflow_effectiveness(math.nan, 0.5), "transfer_units is nan"),
        (lambda: exchangers.larger_mixed_effectiveness(1.0, 1.1), "capacity_ratio is 1.1"),
        (lambda: exchangers.smaller_mixed_effectiveness(-1.0, 0.5), "transfer_units is -1"),
        (lambda: exchangers.tank_coil_effectiveness(-1.0), "transfer_units is -1"),
        (lambda: exchangers.counterflow_transfer_units(1.0, 0.5), "effectiveness is 1, allowed: .* below 1"),
        (lambda: exchangers.counterflow_transfer_units.us(110, 0.5), "effectiveness is 110 %"),
        (lambda: exchangers.counterflow_transfer_units(0.5, 2.0), "capacity_ratio is 2"),
        (lambda: exchangers.effectiveness_from_output(61.0, 1.0, 80.0, 20.0), "output must be at most"),
        (lambda: exchangers.effectiveness_from_output(1.0, 0.0, 80.0, 20.0), "smaller_capacity_rate is 0"),
        (lambda: exchangers.effectiveness_from_output(-1.0, 1.0, 80.0, 20.0), "output is -1"),
        (lambda: exchangers.exchanger_output(1.2, 100.0, 80.0, 20.0), "effectiveness is 1.2"),
        (lambda: exchangers.exchanger_output(0.5, 100.0, math.inf, 20.0), "hot_in is inf"),
        (lambda: exchangers.hot_outlet_temperature(80.0, 100.0, 0.0), "an output needs a hot_capacity_rate"),
        (lambda: exchangers.cold_outlet_temperature(20.0, 100.0, 0.0), "an output needs a cold_capacity_rate"),
        (lambda: exchangers.counterflow_effectiveness(np.array([1.0, -2.0]), 0.5), r"transfer_units\[1\] is -2"),
    ],
)
def test_refusals(call: object, message: str) -> None:
    with pytest.raises(RangeError, match=message):
        call()  # type: ignore[operator]
