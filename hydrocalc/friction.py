"""Friction: what the tube and its fittings take from the pump."""

from __future__ import annotations

import numpy as np

from .measures import (
    Bore,
    Density,
    Fitting,
    Head,
    HeadGradient,
    Pressure,
    Ratio,
    Velocity,
    Viscosity,
    VolumeFlow,
    above,
    at_least,
    between,
)
from .named import named
from .tables import table

STANDARD_GRAVITY = 9.80665  # m/s²
LAMINAR_LIMIT = 2300.0  # Reynolds number below which the flow is taken as laminar
TURBULENT_LIMIT = 4000.0  # Reynolds number above which it is surely turbulent
STEEL_ROUGHNESS = 4.5e-5  # m, clean commercial steel, for which fittings are rated

_COLEBROOK = "Colebrook and White: 1/√f = -2 log10(roughness/3.7 + 2.51/(Re √f))"
_DARCY = "Darcy and Weisbach: head = f * length/bore * velocity²/(2 g)"
_HYDROSTATIC = "hydrostatics: pressure = density * g * head"
_TURBULENT = {"reynolds": at_least(LAMINAR_LIMIT), "relative_roughness": between(0.0, 0.5)}
_TARGET = {"target": above(6.0)}
_ROUGHNESS = {"relative_roughness": between(0.0, 0.05)}


@named(source="definition: velocity * bore * density / viscosity")
def reynolds_number(velocity: Velocity, bore: Bore, density: Density, viscosity: Viscosity) -> Ratio:
    """Reynolds number of the flow in a tube.

    velocity: mean over the bore
    bore: inside diameter of the tube
    density: of the liquid
    viscosity: of the liquid, dynamic

    >>> round(reynolds_number.us(3.3, 0.862, 60.6, 0.347))
    61608
    """
    return velocity * bore * density / viscosity


@named(source="definition: roughness / bore")
def relative_roughness(roughness: Bore, bore: Bore) -> Ratio:
    """Roughness of a tube's wall as a share of its bore.

    roughness: height of the wall's grain
    bore: inside diameter of the tube

    >>> round(relative_roughness(1.5e-6, 0.0219), 8)
    6.849e-05
    """
    return roughness / bore


# Colebrook and White's equation, with x = 1/√f, reads x = -k ln(inner), inner = roughness/3.7 + 2.51 x/Re, k = 2/ln 10.
# In t = inner * Re/(2.51 k), the argument of the logarithm counted in a smooth tube's part, it becomes
# t + ln t = rough part + ln(Re/(2.51 k)), the same for every tube, and x = k (t - rough part).
# One logarithm and one quotient a step, no power: that is what makes a million factors cheap.
_K = 0.868588963806504  # 2/ln 10
_ROUGH = 1.0 / (3.7 * 2.51 * _K)
_SMOOTH = 1.0 - 0.779397488455682  # 1 - ln(2.51 k); the 1 belongs to Newton's rule


@named(source=_COLEBROOK + ", first term over the second's scale", ranges=_TURBULENT, valid=_ROUGHNESS)
def friction_rough_part(reynolds: Ratio, relative_roughness: Ratio) -> Ratio:
    """Roughness' part in the argument of Colebrook's logarithm.

    reynolds: Reynolds number, turbulent
    relative_roughness: of the tube's wall

    >>> round(friction_rough_part(62000, 6.8e-5), 5)
    0.52265
    """
    return reynolds * relative_roughness * _ROUGH


@named(
    source=_COLEBROOK + ", what does not change from step to step",
    ranges={"reynolds": at_least(LAMINAR_LIMIT), "rough_part": at_least(0.0)},
)
def friction_target(reynolds: Ratio, rough_part: Ratio) -> Ratio:
    """One more than what the argument of Colebrook's logarithm and its logarithm sum to.

    reynolds: Reynolds number, turbulent
    rough_part: roughness' part in the argument

    >>> round(friction_target(62000, 0.52265), 4)
    11.7781
    """
    return rough_part + np.log(reynolds) + _SMOOTH


@named(source="straight line through smooth tubes, fitted here", accuracy="within 1.5 % in smooth tubes, 7 % in rough ones", ranges=_TARGET)
def friction_start(target: Ratio) -> Ratio:
    """First value of the argument of Colebrook's logarithm.

    target: one more than what the argument and its logarithm sum to

    >>> round(friction_start(11.7781), 4)
    8.7736
    """
    return 0.93 * target - 2.18


@named(
    source="Newton's rule for argument + ln(argument) + 1 = target",
    accuracy="two steps from the start leave less than 1e-10 of the friction factor",
    ranges={**_TARGET, "argument": above(0.0)},
)
def friction_step(argument: Ratio, target: Ratio) -> Ratio:
    """Better value of the argument of Colebrook's logarithm.

    argument: value so far
    target: one more than what the argument and its logarithm sum to

    >>> round(friction_step(8.7736, 11.7781), 6)
    8.623465
    """
    return argument * (target - np.log(argument)) / (argument + 1.0)


@named(
    source=_COLEBROOK + "; below Reynolds 2300 Hagen and Poiseuille: f = 64/Re",
    accuracy="within 1e-10 of the exact root over Reynolds 2300 to 1e8, relative roughness 0 to 0.05",
    ranges={"reynolds": at_least(0.0), "relative_roughness": between(0.0, 0.5)},
    valid={"reynolds": between(0.0, 1e8), **_ROUGHNESS},
    doubts=(
        (
            "between Reynolds 2300 and 4000 the flow is neither surely laminar nor surely turbulent, and the factor is uncertain",
            lambda reynolds, relative_roughness: (reynolds >= LAMINAR_LIMIT) & (reynolds < TURBULENT_LIMIT),
        ),
    ),
)
def friction_factor(reynolds: Ratio, relative_roughness: Ratio) -> Ratio:
    """Friction factor of Darcy.

    reynolds: Reynolds number; 0 in still water
    relative_roughness: of the tube's wall

    Four times the factor of Fanning.  In still water the factor has no meaning and is given as 0; the head, which holds
    the square of the velocity, is zero.

    >>> round(friction_factor(62000, 6.8e-5), 6)
    0.020197
    """
    turbulent = np.maximum(reynolds, LAMINAR_LIMIT)
    rough_part = friction_rough_part(turbulent, relative_roughness)
    target = friction_target(turbulent, rough_part)
    argument = friction_step(friction_step(friction_start(target), target), target)
    root = argument - rough_part
    laminar = np.where(reynolds > 0.0, 64.0 / reynolds, 0.0)
    return np.where(reynolds < LAMINAR_LIMIT, laminar, _K**-2 / root**2)


@named(source="common practice: 1 where Reynolds lies between 2300 and 4000", ranges={"reynolds": at_least(0.0)})
def uncertain_flow(reynolds: Ratio) -> Ratio:
    """Whether the flow is neither surely laminar nor surely turbulent.

    reynolds: Reynolds number

    1 where the friction factor is uncertain, otherwise 0.

    >>> uncertain_flow(3000), uncertain_flow(5000)
    (1.0, 0.0)
    """
    return np.where((reynolds >= LAMINAR_LIMIT) & (reynolds < TURBULENT_LIMIT), 1.0, 0.0)


@named(source=_DARCY, ranges={"friction_factor": at_least(0.0)})
def head_gradient(velocity: Velocity, bore: Bore, friction_factor: Ratio) -> HeadGradient:
    """Head lost to friction per length of tube.

    velocity: mean over the bore
    bore: inside diameter of the tube
    friction_factor: of Darcy

    >>> round(head_gradient.us(3.3, 0.862, 0.0200), 2)
    4.71
    """
    return friction_factor * velocity**2 / (2.0 * STANDARD_GRAVITY * bore)


@named(source="definition: head = K * velocity²/(2 g)", ranges={"loss_coefficient": at_least(0.0)})
def fitting_head(velocity: Velocity, loss_coefficient: Ratio) -> Head:
    """Head lost in a fitting.

    velocity: mean over the bore
    loss_coefficient: K of the fitting, or the sum of several

    >>> round(fitting_head.us(3.3, 1.5), 3)
    0.254
    """
    return loss_coefficient * velocity**2 / (2.0 * STANDARD_GRAVITY)


@named(
    source="Colebrook and White at infinite Reynolds number, roughness 0.045 mm of clean steel",
    accuracy="within 5 % of the rounded factors that Crane TP-410 p. A-26 prints, 1/2 to 3 in",
)
def fitting_friction(bore: Bore) -> Ratio:
    """Friction factor of a fitting's size, fully turbulent.

    bore: inside diameter of the steel pipe that the fitting belongs to

    >>> round(fitting_friction(0.02664), 4)
    0.0224
    """
    return 0.25 / np.log10(STEEL_ROUGHNESS / (3.7 * bore)) ** 2


@named(source="Crane TP-410: K = equivalent diameters * fully turbulent friction factor", accuracy="some 25 %; common practice, no source")
def fitting_loss_coefficient(fitting: Fitting, bore: Bore) -> Ratio:
    """Loss coefficient K of a fitting.

    fitting: its name in the table of fittings
    bore: inside diameter of the steel pipe that the fitting belongs to

    >>> round(fitting_loss_coefficient("90° elbow", 0.02664), 3)
    0.672
    """
    fittings = table("fittings")
    return fittings.lookup("equivalent_diameters", fitting) * fitting_friction(bore) + fittings.lookup("fixed_coefficient", fitting)


@named(
    source="square law of turbulent flow; common practice, no source",
    accuracy="exact for a constant friction factor; real heads follow a power of 1.75 to 2",
    ranges={"rated_flow": above(0.0)},
)
def scaled_head(flow: VolumeFlow, rated_flow: VolumeFlow, rated_head: Head) -> Head:
    """Head of a part at another flow than its rating.

    flow: through the part
    rated_flow: at which the maker states the head
    rated_head: lost in the part at the rated flow

    >>> round(scaled_head.us(8.0, 10.0, 5.0), 6)
    3.2
    """
    return rated_head * (flow / rated_flow) ** 2


@named(source=_HYDROSTATIC)
def pressure_from_head(head: Head, density: Density) -> Pressure:
    """Pressure of a head of liquid.

    head: height of liquid
    density: of the liquid

    >>> round(pressure_from_head.us(10.0, 62.4), 2)
    4.33
    """
    return head * density * STANDARD_GRAVITY


@named(source=_HYDROSTATIC)
def head_from_pressure(pressure: Pressure, density: Density) -> Head:
    """Head of liquid of a pressure.

    pressure: pressure, or a difference of pressures
    density: of the liquid

    >>> round(head_from_pressure.us(4.33, 62.4), 2)
    9.99
    """
    return pressure / (density * STANDARD_GRAVITY)


@named(
    source="Hazen and Williams, metric form 10.67 Q^1.852/(C^1.852 d^4.8704); public page",
    accuracy="for comparison only: a fit to cold water that knows neither temperature nor viscosity",
    correlation=True,
    ranges={"coefficient": above(0.0)},
    valid={"coefficient": between(60.0, 160.0)},
)
def hazen_williams_gradient(flow: VolumeFlow, bore: Bore, coefficient: Ratio) -> HeadGradient:
    """Head lost per length by the rule of Hazen and Williams.

    flow: of the liquid
    bore: inside diameter of the tube
    coefficient: C of the tube, 150 for plastic, 140 for copper, 120 for steel

    For comparison with other people's figures only.

    >>> round(hazen_williams_gradient(0.001, 0.0207, 150), 4)
    0.4405
    """
    return 10.67 * (flow / coefficient) ** 1.852 / bore**4.8704
