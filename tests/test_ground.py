"""The buried line: against two-dimensional conduction, the heat equation and an ordinary differential equation."""

from __future__ import annotations

import itertools
from typing import Any

import conduction
import numpy as np
import pytest
from ht.conduction import S_isothermal_pipe_to_plane
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from hydrocalc import ground, pair, twin
from hydrocalc.named import RangeError

# Tubes and jackets (mm), soils, foams, depths and spacings of the trade, from nearly touching to far apart.
_SIZES = ((110.0, 25.0), (125.0, 32.0), (160.0, 40.0), (200.0, 63.0))
_random = np.random.default_rng(20)
_PAIRS = [
    (float(depth), outer / 1000, inner / 1000, float(gap) * outer / 1000, float(foam), float(soil))
    for (outer, inner), _ in itertools.product(_SIZES, range(4))
    for depth, gap, foam, soil in [_random.uniform((0.45, 1.1, 0.022, 0.8), (1.5, 4.0, 0.04, 2.5))]
]
_TWINS = [
    (depth, spacing / 1000, tube / 1000, jacket / 1000, foam, soil)
    for (tube, spacing, jacket), (depth, foam, soil) in itertools.product(
        ((25.0, 45.0, 125.0), (32.0, 52.0, 125.0), (40.0, 60.0, 160.0), (63.0, 93.0, 200.0), (32.0, 60.0, 200.0)),
        ((0.45, 0.022, 2.5), (0.6, 0.03, 1.0), (1.2, 0.04, 1.5)),
    )
]


def _conductances(supply_only: conduction.Solved, degrees: float) -> tuple[float, float]:
    """Loss and exchange conductance from the solution with the supply at ``degrees`` and the return at the ground's temperature."""
    warm, cold = supply_only.heat / degrees
    return float(warm + cold), float(-cold)


def test_the_collocation_solution_satisfies_its_conditions() -> None:
    solved = conduction.side_by_side(0.6, 0.18, 0.14, 0.032, 0.027, 1.5, (72.0, 52.0))
    assert solved.residual < 1e-3  # of 72 K: the maximum principle bounds the error inside by that on the circles
    # Reciprocity, which the least squares does not know: what B gets from A is what A gets from B.
    first, second = (conduction.side_by_side(0.6, 0.18, 0.14, 0.032, 0.027, 1.5, t).heat for t in ((1.0, 0.0), (0.0, 1.0)))
    assert first[1] == pytest.approx(second[0], rel=1e-8)


@pytest.mark.parametrize("depth, foam, soil", [(0.45, 0.022, 2.5), (0.6, 0.027, 1.5), (1.2, 0.04, 0.8)])
def test_one_line_against_two_dimensional_conduction(depth: float, foam: float, soil: float) -> None:
    exact = conduction.one(depth, 0.14, 0.032, foam, soil, 70.0)
    jacket = ground.layer_resistance(0.032, 0.14, foam)
    earth = ground.soil_resistance(depth, 0.14, soil)
    # The stated accuracy of the arccosh form for an insulated line.
    assert ground.line_loss(80.0, 10.0, jacket, earth) == pytest.approx(exact.heat[0], rel=1e-3)
    assert ground.single_loss_conductance(jacket, earth) * 70.0 == pytest.approx(exact.heat[0], rel=1e-3)


@pytest.mark.parametrize("geometry", _PAIRS)
@pytest.mark.parametrize("wall", [0.0, 0.1])
def test_pair_against_two_dimensional_conduction(geometry: tuple[float, ...], wall: float) -> None:
    depth, outer, inner, spacing, foam, soil = geometry
    exact = conduction.side_by_side(depth, spacing, outer, inner, foam, soil, (1.0, 0.0), wall)
    loss, exchange = _conductances(exact, 1.0)
    line = (depth, spacing, inner, outer, wall, foam, soil)
    ours = pair.pair_loss_conductance(*line)
    assert ours == pytest.approx(loss, rel=4e-3)  # the first-order form's stated accuracy
    assert pair.pair_exchange_conductance(*line) == pytest.approx(exchange, abs=4e-3 * loss)


@pytest.mark.parametrize("foam, soil", [(0.028, 1.0), (0.1, 1.7), (0.63, 0.5), (0.63, 1.0), (0.63, 1.7)])
@pytest.mark.parametrize("gap", [1.0, 1.1, 1.3])
def test_pair_dry_and_soaked_close_together(foam: float, soil: float, gap: float) -> None:
    """Soaked jackets in poor soil warm one another most; the first order says least where jackets of dry foam touch."""
    outer, inner, wall, apart = 0.11, 0.035, 0.11, 0.11 * gap + 1e-5
    line = (0.8, apart, inner, outer, wall, foam, soil)
    jackets = [(complex(side * apart / 2, -0.8), outer / 2, side) for side in (-1, 1)]
    exact = conduction.solve([(c, r, [(c, inner / 2, float(s < 0), wall)]) for c, r, s in jackets], foam, soil, 42, 168)
    loss, exchange = _conductances(exact, 1.0)
    assert pair.pair_loss_conductance(*line) == pytest.approx(loss, rel=1e-2 if gap == 1.0 else 4e-3)
    assert pair.pair_exchange_conductance(*line) == pytest.approx(exchange, abs=1.5e-2 * loss if foam > 0.5 else 4e-3 * loss)


@pytest.mark.parametrize("geometry", _TWINS)
@pytest.mark.parametrize("wall", [0.0, 0.1])
def test_twin_against_two_dimensional_conduction(geometry: tuple[float, ...], wall: float) -> None:
    depth, spacing, tube, jacket, foam, soil = geometry
    exact = conduction.in_one_jacket(depth, spacing, tube, jacket, foam, soil, (1.0, 0.0), wall)
    loss, _ = _conductances(exact, 1.0)
    assert twin.twin_loss_conductance(*geometry[:4], wall, foam, soil) == pytest.approx(loss, rel=3e-3)  # the stated accuracy
    supply = exact.heat[0]
    ours = twin.twin_loss_conductance(*geometry[:4], wall, foam, soil) + twin.twin_exchange_conductance(*geometry[:4], wall, foam, soil)
    assert ours == pytest.approx(supply, rel=1e-2)


def test_tight_twin_exchange_is_the_weak_part_of_the_form() -> None:
    """Two 63 mm tubes 10 mm apart: the total holds, the two tubes against each other are within the 2.7 % stated."""
    exact = conduction.in_one_jacket(0.6, 0.073, 0.063, 0.2, 0.03, 1.5, (1.0, 0.0))
    loss, exchange = _conductances(exact, 1.0)
    assert exact.residual < 0.02
    assert twin.twin_loss_conductance(0.6, 0.073, 0.063, 0.2, 0.0, 0.03, 1.5) == pytest.approx(loss, rel=5e-3)
    opposed = 1 / twin.twin_difference_resistance(0.6, 0.073, 0.063, 0.2, 0.0, 0.03, 1.5)
    assert opposed == pytest.approx(loss + 2 * exchange, rel=2.7e-2)


def test_wet_jacket_is_a_conductivity() -> None:
    """A jacket full of water loses several times what a dry one does: no factor, the same formula."""
    dry, wet = (twin.twin_loss_conductance(0.6, 0.052, 0.032, 0.125, 0.1, k, 1.5) for k in (0.028, 0.63))
    exact = conduction.in_one_jacket(0.6, 0.052, 0.032, 0.125, 0.63, 1.5, (1.0, 0.0), 0.1)
    assert wet == pytest.approx(_conductances(exact, 1.0)[0], rel=3e-3)
    assert wet > 5 * dry


@pytest.mark.parametrize("foam", [0.1, 0.63])
@pytest.mark.parametrize("spacing, jacket", [(1.3, 2.6), (1.3, 4.0), (1.6, 3.0)])
@pytest.mark.parametrize("soil", [0.5, 1.0, 1.7])
def test_walls_in_a_wet_jacket(foam: float, spacing: float, jacket: float, soil: float) -> None:
    """Where the flow round the tubes is least even their walls matter most: 0.1 m K/W is that of PEX."""
    line = (0.7, 0.035 * spacing, 0.035, 0.035 * jacket)
    exact = conduction.in_one_jacket(*line, foam, soil, (1.0, 0.0), 0.11)
    loss, _ = _conductances(exact, 1.0)
    ours = twin.twin_loss_conductance(*line, 0.11, foam, soil)
    assert ours == pytest.approx(loss, rel=3e-3)
    assert ours + twin.twin_exchange_conductance(*line, 0.11, foam, soil) == pytest.approx(exact.heat[0], rel=1e-2)


def test_far_apart_each_line_is_alone() -> None:
    line = ground.layer_resistance(0.032, 0.14, 0.027)
    alone = ground.single_loss_conductance(line, ground.soil_resistance(0.6, 0.14, 1.5))
    assert pair.pair_loss_conductance(0.6, 500.0, 0.032, 0.14, 0.0, 0.027, 1.5) == pytest.approx(alone, rel=1e-3)
    assert pair.pair_exchange_conductance(0.6, 500.0, 0.032, 0.14, 0.0, 0.027, 1.5) == pytest.approx(0.0, abs=1e-7)


def test_bare_lines_have_no_division_by_zero_where_line_and_soil_resist_alike() -> None:
    line = 1.0 / (2 * np.pi * 1.5)  # resistance ratio exactly 1
    assert ground.resistance_ratio(line, 1.5) == pytest.approx(1.0, rel=1e-15)
    assert pair.pair_sum_correction(0.6, 0.18, 0.14, 1.0) == 0.0
    assert pair.line_dipole_ratio(0.14, 0.14, line, 0.027, 1.5) == pytest.approx(1.0, rel=1e-12)  # a wall without a jacket
    walled, thin = (pair.pair_loss_conductance(0.6, 0.18, 0.14, 0.14, wall, 0.027, 1.5) for wall in (line, 0.0))
    assert 0 < walled < thin


def test_mutual_resistance_by_a_line_source_and_its_mirror() -> None:
    """A line source of one watt warms the other line by ln(distance to mirror / distance to source) / (2π conductivity)."""
    mirror, direct = np.hypot(0.18, 1.2), 0.18
    assert pair.mutual_resistance(0.6, 0.18, 1.5) == pytest.approx(np.log(mirror / direct) / (2 * np.pi * 1.5), rel=1e-12)


@pytest.mark.parametrize("depth, diameter", [(0.3, 0.2), (0.6, 0.14), (1.5, 0.05)])
def test_soil_resistance_against_ht(depth: float, diameter: float) -> None:
    assert 1 / (1.3 * ground.soil_resistance(depth, diameter, 1.3)) == pytest.approx(S_isothermal_pipe_to_plane(diameter, depth), rel=1e-12)


def test_layer_resistance_by_integration() -> None:
    r = np.linspace(0.016, 0.07, 200_001)
    integral = np.trapezoid(1 / (2 * np.pi * r * 0.027), r)
    assert ground.layer_resistance(0.032, 0.14, 0.027) == pytest.approx(integral, rel=1e-8)
    assert ground.layer_resistance(0.032, 0.032, 0.027) == 0.0


def test_ground_temperature_solves_the_heat_equation() -> None:
    diffusivity, day, step = 6e-7, 86400.0, 1e-3

    def at(depth: float, days: float) -> Any:
        return ground.ground_temperature(depth, days, 9.0, 13.0, 35.0, diffusivity)

    for depth, days in itertools.product((0.3, 1.0, 2.5), (10.0, 100.0, 300.0)):
        rate = (at(depth, days + 0.01) - at(depth, days - 0.01)) / (0.02 * day)
        bend = (at(depth + step, days) - 2 * at(depth, days) + at(depth - step, days)) / step**2
        assert rate == pytest.approx(diffusivity * bend, abs=1e-11)  # of rates of the order of 1e-6 K/s; finite differences


def test_ground_temperature_at_its_ends() -> None:
    assert ground.ground_temperature(0.0, 35.0, 9.0, 13.0, 35.0, 6e-7) == pytest.approx(-4.0, abs=1e-12)  # coldest surface
    assert ground.ground_temperature(60.0, 35.0, 9.0, 13.0, 35.0, 6e-7) == pytest.approx(9.0, abs=1e-9)  # far below: the mean
    days = np.arange(0.0, 366.0)
    assert ground.ground_temperature(1.0, days, 9.0, 13.0, 35.0, 6e-7).shape == (366,)
    assert ground.ground_temperature(1.0, days + 365, 9.0, 13.0, 35.0, 6e-7) == pytest.approx(
        ground.ground_temperature(1.0, days, 9.0, 13.0, 35.0, 6e-7), abs=1e-9
    )


def test_damping_depth_is_where_the_swing_is_one_over_e() -> None:
    depth = ground.damping_depth(6e-7)
    swing = np.ptp(ground.ground_temperature(depth, np.linspace(0, 365, 100_001), 9.0, 13.0, 35.0, 6e-7)) / 26.0
    assert swing == pytest.approx(np.exp(-1), rel=1e-6)


def test_surface_film_deepens_the_line() -> None:
    assert ground.depth_with_surface_film(0.6, 2.0) - 0.6 == pytest.approx(0.137, rel=1e-12)


@pytest.mark.parametrize("exchange, other", [(0.0, 5.0), (0.05, 55.0), (0.4, 70.0)])
@pytest.mark.parametrize("flow", [1e-5, 2e-4, 1e-3])
def test_outlet_temperature_against_an_integrated_line(exchange: float, other: float, flow: float) -> None:
    loss, around, rate = 0.15, 5.0, flow * 980.0 * 4190.0

    def slope(_: float, t: Any) -> Any:
        return -(loss * (t - around) + exchange * (t - other)) / rate

    solved = solve_ivp(slope, (0.0, 180.0), [80.0], rtol=1e-11, atol=1e-11)
    ours = ground.line_outlet_temperature(80.0, around, other, 180.0, loss, exchange, flow, 980.0, 4190.0)
    assert ours == pytest.approx(solved.y[0, -1], abs=1e-7)


def test_outlet_temperature_of_defined_cases() -> None:
    line = (100.0, 0.15, 0.05)
    assert ground.line_outlet_temperature(80.0, 5.0, 60.0, *line, 0.0, 980.0, 4190.0) == pytest.approx(18.75, abs=1e-9)  # standing
    assert ground.line_outlet_temperature(80.0, 5.0, 60.0, 0.0, 0.15, 0.05, 2e-4, 980.0, 4190.0) == 80.0  # no length
    assert ground.line_outlet_temperature(80.0, 5.0, 60.0, 0.0, 0.15, 0.05, 0.0, 980.0, 4190.0) == 80.0  # nor flow
    assert ground.line_outlet_temperature(80.0, 5.0, 60.0, 100.0, 0.0, 0.0, 2e-4, 980.0, 4190.0) == 80.0  # loses nothing
    assert ground.line_outlet_temperature(80.0, 5.0, 60.0, 100.0, 0.0, 0.0, 0.0, 980.0, 4190.0) == 80.0
    assert ground.line_outlet_temperature(5.0, 5.0, 5.0, *line, 2e-4, 980.0, 4190.0) == 5.0  # a line at ground temperature
    flows = np.array([0.0, 1e-5, 1e-3])
    outlets = ground.line_outlet_temperature(80.0, 5.0, 5.0, *line, flows, 980.0, 4190.0)
    assert outlets.shape == (3,) and np.all(np.diff(outlets) > 0)


def test_equilibrium_is_where_a_line_neither_gains_nor_loses() -> None:
    found = brentq(lambda t: 0.15 * (t - 5.0) + 0.05 * (t - 60.0), 0.0, 100.0)
    assert ground.line_equilibrium_temperature(5.0, 60.0, 0.15, 0.05) == pytest.approx(found, abs=1e-9)
    assert ground.line_equilibrium_temperature(5.0, 60.0, 0.0, 0.0) == 5.0


def test_heat_balance_of_supply_and_return_closes() -> None:
    """What both lines give up is what the ground takes: the exchange between them cancels."""
    loss, exchange, ambient = 0.11, 0.05, 4.0
    supply, back = 80.0, 65.0
    from_supply = loss * (supply - ambient) + exchange * (supply - back)
    from_return = loss * (back - ambient) + exchange * (back - supply)
    assert from_supply + from_return == pytest.approx(loss * (supply + back - 2 * ambient), rel=1e-14)
    tiny = ground.line_outlet_temperature(supply, ambient, back, 1e-3, loss, exchange, 2e-4, 980.0, 4190.0)
    assert ground.line_loss_from_readings(2e-4, supply, tiny, 980.0, 4190.0) / 1e-3 == pytest.approx(from_supply, rel=1e-6)


def test_loss_from_readings() -> None:
    assert ground.line_loss_from_readings(2e-4, 80.0, 79.0, 1000.0, 4200.0) == pytest.approx(840.0, rel=1e-12)
    assert ground.line_loss_from_readings(2e-4, 79.0, 80.0, 1000.0, 4200.0) == pytest.approx(-840.0, rel=1e-12)  # misread or warmed
    assert ground.line_loss_from_readings(0.0, 80.0, 20.0, 1000.0, 4200.0) == 0.0


_TWIN = (0.6, 0.052, 0.032, 0.125)


@pytest.mark.parametrize(
    "call, words",
    [
        (lambda: ground.soil_resistance(0.05, 0.14, 1.5), "depth must exceed"),
        (lambda: ground.soil_resistance(-0.6, 0.14, 1.5), "depth is -0.6 m"),
        (lambda: ground.soil_resistance(0.6, 0.14, 0.0), "conductivity is 0"),
        (lambda: ground.layer_resistance(0.14, 0.032, 0.027), "outer_diameter must be at least inner_diameter"),
        (lambda: ground.layer_resistance(0.0, 0.14, 0.027), "inner_diameter is 0"),
        (lambda: ground.line_loss(80.0, 10.0, 0.0, 0.0), "must not both be zero"),
        (lambda: ground.single_loss_conductance(0.0, 0.0), "must not both be zero"),
        (lambda: pair.pair_loss_conductance(0.6, 0.10, 0.032, 0.14, 0.0, 0.027, 1.5), "spacing must be at least"),
        (lambda: pair.pair_exchange_conductance(0.06, 0.18, 0.032, 0.14, 0.0, 0.027, 1.5), "depth more than half"),
        (lambda: pair.pair_sum_resistance(0.6, 0.10, 0.032, 0.14, 0.0, 0.027, 1.5), "spacing must be at least"),
        (lambda: pair.pair_difference_resistance(0.6, 0.10, 0.032, 0.14, 0.0, 0.027, 1.5), "spacing must be at least"),
        (lambda: pair.line_dipole_ratio(0.15, 0.14, 0.0, 0.027, 1.5), "tube_diameter must not exceed"),
        (lambda: pair.pair_sum_correction(0.6, 0.10, 0.14, 8.0), "spacing must be at least"),
        (lambda: pair.pair_difference_correction(0.6, 0.10, 0.14, 8.0), "spacing must be at least"),
        (lambda: twin.twin_loss_conductance(0.6, 0.03, 0.032, 0.125, 0.0, 0.027, 1.5), "the tubes must be apart"),
        (lambda: twin.twin_loss_conductance(0.6, 0.10, 0.032, 0.125, 0.0, 0.027, 1.5), "fit in the jacket"),
        (lambda: twin.twin_exchange_conductance(0.06, 0.052, 0.032, 0.125, 0.0, 0.027, 1.5), "jacket in the ground"),
        (lambda: twin.twin_sum_resistance(0.6, 0.03, 0.032, 0.125, 0.0, 0.027, 1.5), "the tubes must be apart"),
        (lambda: twin.twin_difference_resistance(0.6, 0.03, 0.032, 0.125, 0.0, 0.027, 1.5), "the tubes must be apart"),
        (lambda: twin.twin_mirror_term(0.05, 0.052, 0.125, -0.9), "jacket_diameter must be below"),
        (lambda: twin.twin_dipole(0.6, 0.0), "closeness is 0.6"),
        (lambda: twin.twin_difference_correction(0.09, 1.0, -0.9, 0.0), "spread is 1"),
        (lambda: twin.conductivity_contrast(0.0, 1.5), "insulation_conductivity is 0"),
        (lambda: ground.line_outlet_temperature(80.0, 5.0, 5.0, 100.0, -0.1, 0.0, 2e-4, 980.0, 4190.0), "loss_conductance is -0.1"),
        (lambda: ground.line_outlet_temperature(80.0, 5.0, 5.0, 100.0, 0.1, -0.1, 2e-4, 980.0, 4190.0), "exchange_conductance is -0.1"),
        (lambda: ground.line_outlet_temperature(80.0, 5.0, 5.0, 100.0, 0.1, 0.0, -2e-4, 980.0, 4190.0), "flow is -0.0002"),
        (lambda: ground.line_outlet_temperature(float("nan"), 5.0, 5.0, 100.0, 0.1, 0.0, 2e-4, 980.0, 4190.0), "inlet_temperature is nan"),
        (
            lambda: ground.line_outlet_temperature(80.0, float("inf"), 5.0, 100.0, 0.1, 0.0, 2e-4, 980.0, 4190.0),
            "ground_temperature is inf",
        ),
        (lambda: ground.line_outlet_temperature(-300.0, 5.0, 5.0, 100.0, 0.1, 0.0, 2e-4, 980.0, 4190.0), "inlet_temperature is -300"),
        (lambda: ground.ground_temperature(1.0, 35.0, 9.0, 13.0, 35.0, 0.0), "diffusivity is 0"),
    ],
)
def test_refusals_name_the_argument(call: Any, words: str) -> None:
    with pytest.raises(RangeError, match=words):
        call()


def test_us_trade_units() -> None:
    """The same line in feet, inches and BTU against the solution in metres and watts."""
    jacket = ground.layer_resistance.us(1.125, 5.0, 0.0162)
    earth = ground.soil_resistance.us(2.0, 5.0, 0.87)
    loss = ground.line_loss.us(180.0, 50.0, jacket, earth)
    exact = conduction.one(0.6096, 0.127, 0.028575, 0.0162 * 1.730735, 0.87 * 1.730735, 130 / 1.8)
    assert loss == pytest.approx(exact.heat[0] * 3.412142 * 0.3048, rel=1e-3)


def test_arrays_broadcast() -> None:
    depths = np.array([0.5, 1.0, 1.5])
    values = pair.pair_loss_conductance(depths, 0.18, 0.032, 0.14, 0.0, 0.027, 1.5)
    assert values == pytest.approx([pair.pair_loss_conductance(float(d), 0.18, 0.032, 0.14, 0.0, 0.027, 1.5) for d in depths], rel=1e-14)
    values = twin.twin_exchange_conductance(depths, *_TWIN[1:], 0.0, 0.027, 1.5)
    assert values == pytest.approx([twin.twin_exchange_conductance(float(d), *_TWIN[1:], 0.0, 0.027, 1.5) for d in depths], rel=1e-14)
