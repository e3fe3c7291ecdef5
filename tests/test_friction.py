"""Friction: against the root of Colebrook and White to twelve digits and against fluids; still water and refusals."""

from __future__ import annotations

import math

import fluids
import numpy as np
import pytest
from accuracy_water import CRANE_TURBULENT
from scipy.optimize import brentq

from hydrocalc import friction
from hydrocalc.named import RangeError, ValidityWarning
from hydrocalc.tables import table

ROUGHNESSES = (0.0, 1e-6, 6.85e-5, 1e-3, 1e-2, 0.05)
REYNOLDS = (4000.0, 4001.0, 1.2e4, 6.2e4, 5e5, 1e7, 1e8)


def root(reynolds: float, roughness: float) -> float:
    """Colebrook and White's f, by bracketing 1/√f to twelve digits."""
    x = brentq(lambda x: x + 2.0 * math.log10(roughness / 3.7 + 2.51 * x / reynolds), 1.0, 30.0, xtol=1e-14, rtol=1e-14)
    return float(1.0 / x**2)


@pytest.mark.parametrize("roughness", ROUGHNESSES)
@pytest.mark.parametrize("reynolds", REYNOLDS)
def test_against_the_root(reynolds: float, roughness: float) -> None:
    f = friction.friction_factor(reynolds, roughness)
    assert f == pytest.approx(root(reynolds, roughness), rel=1e-10)  # the bound that the function states
    assert f == pytest.approx(fluids.friction.Colebrook(reynolds, roughness), rel=1e-10)


def test_whole_range_at_once() -> None:
    generator = np.random.default_rng(7)
    reynolds = 10.0 ** generator.uniform(np.log10(4000.0), 8.0, 200_000)
    roughness = generator.uniform(0.0, 0.05, 200_000)
    roughness[::2] = 10.0 ** generator.uniform(-8.0, -1.31, 100_000)
    x = 1.0 / np.sqrt(friction.friction_factor(reynolds, roughness))
    left = x + 2.0 * np.log10(roughness / 3.7 + 2.51 * x / reynolds)
    # The equation's slope in x is between 1 and 1.2, so what is left over is the error of x.
    assert np.max(np.abs(left / x)) < 1e-10


def test_each_step_gains() -> None:
    reynolds, roughness = 62000.0, 6.8e-5
    rough = friction.friction_rough_part(reynolds, roughness)
    target = friction.friction_target(reynolds, roughness)
    start = friction.friction_start(target)
    once = friction.friction_step(start, target)
    true = rough + math.log(10.0) / 2.0 / math.sqrt(root(reynolds, roughness))
    errors = [abs(a / true - 1.0) for a in (start, once)]
    assert errors[0] < 2e-5
    assert errors[1] < 1e-10


def test_laminar_and_still() -> None:
    re = np.array([1.0, 64.0, 2000.0])
    assert np.allclose(friction.friction_factor(re, 0.01) * re, 64.0, rtol=1e-11)
    still = friction.friction_factor(0.0, 0.001)
    assert math.isfinite(still)
    assert friction.head_gradient(0.0, 0.02, still) == 0.0
    assert friction.reynolds_number(0.0, 0.02, 980.0, 4e-4) == 0.0
    assert friction.fitting_head(0.0, 2.0) == 0.0
    assert friction.hazen_williams_gradient(0.0, 0.02, 150.0) == 0.0
    assert friction.scaled_head(0.0, 1e-3, 5.0) == 0.0


def dunlop(reynolds: float, roughness: float) -> float:
    """Dunlop's cubic with its coefficients as EPANET's documentation has them (from memory), A and its slope Colebrook's."""
    step = 20.0
    below, at, above = (root(4000.0 + n * step, roughness) for n in (-1, 0, 1))
    a, b = at, 2.0 * (at + 2000.0 * (above - below) / (2.0 * step))
    x1, x2, x3, x4 = 7 * a - b, 0.128 - 17 * a + 2.5 * b, -0.128 + 13 * a - 2 * b, 0.032 - 3 * a + 0.5 * b
    r = reynolds / 2000.0
    return x1 + r * (x2 + r * (x3 + r * x4))


@pytest.mark.filterwarnings("ignore::hydrocalc.named.ValidityWarning")
@pytest.mark.parametrize("roughness", ROUGHNESSES)
def test_between_laminar_and_turbulent(roughness: float) -> None:
    for reynolds in (2000.001, 2300.0, 2700.0, 3000.0, 3500.0, 3999.999):
        # The slope by differences over 20 on either side, out of 4000, is 3e-5 off, a third of which comes to the factor midway.
        assert friction.friction_factor(reynolds, roughness) == pytest.approx(dunlop(reynolds, roughness), rel=1e-6)


@pytest.mark.filterwarnings("ignore::hydrocalc.named.ValidityWarning")
@pytest.mark.parametrize("roughness", ROUGHNESSES)
@pytest.mark.parametrize("end", [2000.0, 4000.0])
def test_value_and_slope_meet_at_both_ends(end: float, roughness: float) -> None:
    """By differences to either side: one and the same value, one and the same slope."""

    def of(reynolds: float) -> float:
        return float(friction.friction_factor(reynolds, roughness))

    def slope(step: float) -> float:  # one-sided, of second order
        return (-3 * of(end) + 4 * of(end + step) - of(end + 2 * step)) / (2 * step)

    assert of(end + 1e-6) == pytest.approx(of(end - 1e-6), rel=1e-8)
    assert slope(0.1) == pytest.approx(slope(-0.1), rel=1e-4)
    beyond = -64.0 / 2000.0**2 if end == 2000.0 else (root(4001.0, roughness) - root(3999.0, roughness)) / 2.0
    assert slope(0.1) == pytest.approx(beyond, rel=1e-4)
    assert slope(-0.1) == pytest.approx(beyond, rel=1e-4)


@pytest.mark.filterwarnings("ignore::hydrocalc.named.ValidityWarning")
@pytest.mark.parametrize("roughness", ROUGHNESSES)
def test_more_flow_always_takes_more_head(roughness: float) -> None:
    """Head goes with f Re²: a circulator whose head falls has one flow in a tube."""
    reynolds = np.linspace(1.0, 6000.0, 60_000)
    assert np.all(np.diff(friction.friction_factor(reynolds, roughness) * reynolds**2) > 0)


def test_uncertain_range_is_told() -> None:
    with pytest.warns(ValidityWarning, match="neither surely laminar nor surely turbulent"):
        friction.friction_factor(3000.0, 1e-4)
    with pytest.warns(ValidityWarning, match="neither surely laminar"):
        friction.friction_factor(np.array([1000.0, 3999.0, 1e5]), 1e-4)
    friction.friction_factor(np.array([1000.0, 2000.0, 4000.0]), 1e-4)  # warnings are errors in this suite
    assert friction.turbulent_share(np.array([0.0, 2000.0, 3500.0, 4000.0, 1e6])).tolist() == [0.0, 0.0, 0.75, 1.0, 1.0]
    with pytest.warns(ValidityWarning, match="relative_roughness is 0.06"):
        friction.friction_factor(1e5, 0.06)


def test_heads_against_fluids() -> None:
    v, bore, f, rho = 1.1, 0.0219, 0.0213, 977.0
    drop = fluids.core.dP_from_K(fluids.core.K_from_f(f, 30.0, bore), rho, v)
    assert friction.head_gradient(v, bore, f) * 30.0 == pytest.approx(drop / rho / fluids.constants.g, rel=1e-12)
    assert friction.fitting_head(v, 3.2) == pytest.approx(fluids.core.head_from_K(3.2, v), rel=1e-12)
    assert friction.reynolds_number(v, bore, rho, 4e-4) == pytest.approx(fluids.core.Reynolds(V=v, D=bore, rho=rho, mu=4e-4), rel=1e-14)
    assert friction.pressure_from_head(friction.head_from_pressure(12345.0, rho), rho) == pytest.approx(12345.0, rel=1e-15)


def test_hazen_williams_stays_near_darcy_in_cold_water() -> None:
    # Copper, cold water, 1 m/s: the rule was fitted there.  10 % is what two handbooks differ by; common practice.
    bore, velocity = 0.026, 1.0
    f = friction.friction_factor(velocity * bore * 999.0 / 1.14e-3, 1.5e-6 / bore)
    rule = friction.hazen_williams_gradient(velocity * math.pi * bore**2 / 4.0, bore, 145.0)
    assert rule == pytest.approx(friction.head_gradient(velocity, bore, f), rel=0.10)


def test_fittings_table() -> None:
    for name in table("fittings").texts("fitting"):
        assert friction.fitting_loss_coefficient(name, 0.0266) > 0.0
    with pytest.raises(RangeError, match="fitting is 'bend', which is not one of: 90° elbow"):
        friction.fitting_loss_coefficient("bend", 0.0266)


@pytest.mark.parametrize("size", ["3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "4"])
def test_steel_against_fluids(size: str) -> None:
    whole, _, part = size.rpartition("-")
    inches = float(whole or 0) + (int(part[0]) / int(part[2]) if "/" in part else float(part))
    _, inside, outside, wall = fluids.piping.nearest_pipe(NPS=inches, schedule="40")
    tubes = table("tubes")
    for column, value in (("inside_diameter", inside), ("outside_diameter", outside), ("wall", wall)):
        assert tubes.lookup(column, "steel schedule 40", size) == pytest.approx(value, abs=1e-8)


# Least wall's tolerance, all of it above: ASTM F876 in thousandths of an inch, ASTM F1281 in hundredths of a millimetre; from memory.
_WALL_TOLERANCES = {
    "PEX SDR-9": {"3/8": 10, "1/2": 10, "5/8": 10, "3/4": 10, "1": 13, "1-1/4": 15, "1-1/2": 19, "2": 24},
    "PEX-AL-PEX": {"3/8": 40, "1/2": 40, "5/8": 40, "3/4": 50, "1": 60, "1-1/4": 60, "1-1/2": 80, "2": 100},
}
_WALL_TOLERANCES["PE-RT SDR-9"] = _WALL_TOLERANCES["PEX SDR-9"]  # ASTM F2769 takes the dimensions of F876
_TOLERANCE_UNIT = {"PEX SDR-9": 25.4e-6, "PE-RT SDR-9": 25.4e-6, "PEX-AL-PEX": 1e-5}
# F876 prints the average outside diameter, F1281 the least, 0.30 mm of tolerance above it.
_OUTSIDE_TOLERANCE = {"PEX SDR-9": 0.0, "PE-RT SDR-9": 0.0, "PEX-AL-PEX": 3e-4}


def test_average_bores_are_the_outside_diameter_less_two_average_walls() -> None:
    """One rule for every row whose bore is called an average; how it is rounded in the table is not its matter."""
    tubes = table("tubes")
    averages = [key for key in tubes_keys() if tubes.texts("bore_basis")[tubes.row(*key)] == "average"]
    assert averages == [key for key in tubes_keys() if key[0] in _WALL_TOLERANCES]  # a family has one rule, not two
    for family, size in averages:
        outside, wall, inside = (float(tubes.lookup(c, family, size)) for c in ("outside_diameter", "wall", "inside_diameter"))
        walls = 2.0 * (wall + _WALL_TOLERANCES[family][size] * _TOLERANCE_UNIT[family] / 2.0)
        assert inside == pytest.approx(outside + _OUTSIDE_TOLERANCE[family] / 2.0 - walls, abs=1e-8), (family, size)


def tubes_keys() -> list[tuple[str, str]]:
    tubes = table("tubes")
    return list(zip(tubes.texts("family"), tubes.texts("size"), strict=True))


def test_tubes_agree_with_themselves() -> None:
    tubes = table("tubes")
    order: dict[str, list[float]] = {}
    bores: dict[str, list[float]] = {}
    for key in tubes_keys():
        outside, wall, inside = (float(tubes.lookup(c, *key)) for c in ("outside_diameter", "wall", "inside_diameter"))
        basis = tubes.texts("bore_basis")[tubes.row(*key)]
        nominal = outside - 2.0 * wall
        assert basis in ("average", "minimum wall", "nominal wall")
        # An average bore allows for half the tolerance of the wall, so it is smaller, by up to 4 % in the smallest tube.
        assert 0.955 * nominal < inside < nominal if basis == "average" else inside == pytest.approx(nominal, rel=1e-9)
        assert tubes.lookup("volume_per_length", *key) == pytest.approx(math.pi / 4.0 * inside**2, rel=1e-7)
        assert 0.0 < tubes.lookup("roughness", *key) < 1e-4
        assert tubes.texts("source")[tubes.row(*key)]
        order.setdefault(key[0], []).append(float(tubes.lookup("order", *key)))
        bores.setdefault(key[0], []).append(inside)
    for family, numbers in order.items():
        assert numbers == list(range(1, len(numbers) + 1)), family
        assert bores[family] == sorted(bores[family]), family
    assert set(order) == set(table("tube_limits").texts("family"))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: friction.friction_factor(-1.0, 0.0), "reynolds is -1"),
        (lambda: friction.friction_factor(math.nan, 0.0), "reynolds is nan"),
        (lambda: friction.friction_factor(1e5, math.inf), "relative_roughness is inf"),
        (lambda: friction.friction_factor(np.array([1e5, math.nan]), 0.0), r"reynolds\[1\] is nan"),
        (lambda: friction.friction_factor(1e5, -1e-4), "relative_roughness is -0.0001"),
        (lambda: friction.friction_rough_part(3999.0, 0.0), "reynolds is 3999"),
        (lambda: friction.friction_target(3999.0, 0.0), "reynolds is 3999"),
        (lambda: friction.turbulent_share(-1.0), "reynolds is -1"),
        (lambda: friction.friction_step(0.0, 11.0), "argument is 0"),
        (lambda: friction.friction_start(1.0), "target is 1"),
        (lambda: friction.reynolds_number(1.0, 0.02, 980.0, 0.0), "viscosity is 0"),
        (lambda: friction.relative_roughness(0.0, 0.02), "roughness is 0"),
        (lambda: friction.head_gradient(1.0, -0.02, 0.02), "bore is -0.02"),
        (lambda: friction.head_gradient.us(-3, 0.8, 0.02), "velocity is -3 ft/s"),
        (lambda: friction.fitting_head(1.0, -0.5), "loss_coefficient is -0.5"),
        (lambda: friction.fitting_friction(0.0), "bore is 0"),
        (lambda: friction.enlargement_coefficient(0.03, 0.02), "larger_bore must be at least smaller_bore"),
        (lambda: friction.contraction_coefficient(0.03, 0.02), "larger_bore must be at least smaller_bore"),
        (lambda: friction.loss_coefficient_from_kv.us(0, 1.0), "kv is 0 m³/h"),
        (lambda: friction.loss_coefficient_from_cv.metric(0, 20.0), "cv is 0 gpm"),
        (lambda: friction.kv_from_loss_coefficient(0.0, 0.02), "loss_coefficient is 0"),
        (lambda: friction.cv_from_loss_coefficient(-1.0, 0.02), "loss_coefficient is -1"),
        (lambda: friction.scaled_head(1e-4, 0.0, 1.0), "rated_flow is 0"),
        (lambda: friction.head_from_pressure(1e3, 0.0), "density is 0"),
        (lambda: friction.hazen_williams_gradient(1e-3, 0.02, 0.0), "coefficient is 0"),
    ],
)
def test_refusals(call: object, message: str) -> None:
    with pytest.raises(RangeError, match=message):
        call()  # type: ignore[operator]


@pytest.mark.parametrize(
    ("fitting", "valve"),
    [
        ("swing check valve", fluids.fittings.K_swing_check_valve_Crane(D=0.05, fd=0.02)),
        ("swing check valve, straight", fluids.fittings.K_swing_check_valve_Crane(D=0.05, fd=0.02, angled=False)),
        ("butterfly valve", fluids.fittings.K_butterfly_valve_Crane(D=0.05, fd=0.02)),
    ],
)
def test_valves_against_fluids(fitting: str, valve: float) -> None:
    assert table("fittings").lookup("equivalent_diameters", fitting) * 0.02 == pytest.approx(valve, rel=1e-12)


@pytest.mark.parametrize(("inches", "printed"), CRANE_TURBULENT.items())
def test_fitting_friction_is_what_crane_prints(inches: float, printed: float) -> None:
    bore = fluids.nearest_pipe(NPS=inches, schedule="40")[1]
    assert round(friction.fitting_friction(bore), 3) == printed


def test_sudden_changes_of_bore_against_fluids() -> None:
    for smaller, larger in ((0.02, 0.02), (0.0199, 0.026), (0.0153, 0.0525)):
        enlarged = fluids.fittings.diffuser_sharp(Di1=smaller, Di2=larger)
        contracted = fluids.fittings.contraction_conical_Crane(Di1=larger, Di2=smaller, l=0.0)  # no cone: a sharp edge
        assert friction.enlargement_coefficient(smaller, larger) == pytest.approx(enlarged, rel=1e-12, abs=1e-15)
        assert friction.contraction_coefficient(smaller, larger) == pytest.approx(contracted, rel=1e-9, abs=1e-15)


def test_ends_of_sudden_changes_are_entrance_and_exit() -> None:
    fittings = table("fittings")
    exit_, entrance = (float(fittings.lookup("fixed_coefficient", f)) for f in ("pipe exit", "pipe entrance, sharp"))
    assert friction.enlargement_coefficient(0.001, 100.0) == pytest.approx(exit_, rel=1e-9)
    assert friction.contraction_coefficient(0.001, 100.0) == pytest.approx(entrance, rel=1e-9)


def test_valve_ratings_against_fluids_and_back() -> None:
    for bore, kv in ((0.0199, 4.0), (0.0525, 63.0)):
        k = friction.loss_coefficient_from_kv.metric(kv, bore * 1000.0)
        # fluids rounds what a circle's area and the units make of it, 1.59887e9, to 1.6e9: 0.07 %.
        assert k == pytest.approx(fluids.fittings.Kv_to_K(kv, bore), rel=8e-4)
        assert friction.kv_from_loss_coefficient.metric(k, bore * 1000.0) == pytest.approx(kv, rel=1e-12)
        # By its definition: the head of K at Kv is 1 bar.
        velocity = kv / 3600.0 / (math.pi / 4.0 * bore**2)
        assert friction.pressure_from_head(friction.fitting_head(velocity, k), 1000.0) == pytest.approx(1e5, rel=1e-12)
        cv = friction.cv_from_loss_coefficient.us(k, bore / 0.0254)
        assert cv / kv == pytest.approx(1.156, rel=5e-4)  # the trade's factor, Kv = 0.865 Cv
        assert friction.loss_coefficient_from_cv.us(cv, bore / 0.0254) == pytest.approx(k, rel=1e-12)
        # Crane TP-410: K = 891 d⁴/Cv², in inches; the 0.2 % that the function states.
        assert k == pytest.approx(891.0 * (bore / 0.0254) ** 4 / cv**2, rel=2e-3)


def test_a_rating_is_printed_the_same_in_both_systems() -> None:
    assert friction.loss_coefficient_from_kv.us(10.0, 1.0) == pytest.approx(friction.loss_coefficient_from_kv.metric(10.0, 25.4), rel=1e-14)
    assert friction.loss_coefficient_from_cv.us(10.0, 1.0) == pytest.approx(friction.loss_coefficient_from_cv.metric(10.0, 25.4), rel=1e-14)
