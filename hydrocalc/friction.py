"""Friction: what the tube and its fittings take from the pump."""

from __future__ import annotations

import numpy as np

from .measures import (
    Bore,
    Density,
    Fitting,
    FlowCoefficient,
    FlowFactor,
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
LAMINAR_LIMIT = 2000.0  # Reynolds number below which the flow is taken as laminar
TURBULENT_LIMIT = 4000.0  # Reynolds number above which it is surely turbulent
LAMINAR_FACTOR = 0.032  # 64/Re where laminar flow ends
INCH = 0.0254  # m
BAR = 1e5  # Pa
PSI = 6894.757293168361  # Pa
WATER_DENSITY = 1000.0  # kg/m³, of the cold water with which valves are rated

_COLEBROOK = "Colebrook and White: 1/√f = -2 log10(roughness/3.7 + 2.51/(Re √f))"
_DARCY = "Darcy and Weisbach: head = f * length/bore * velocity²/(2 g)"
_HYDROSTATIC = "hydrostatics: pressure = density * g * head"
_DUNLOP = "Dunlop 1991, as used by EPANET (from memory): a cubic in Re that meets both in value and slope"
_TURBULENT = {"reynolds": at_least(TURBULENT_LIMIT), "relative_roughness": between(0.0, 0.5)}
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


@named(source=_COLEBROOK + ", what does not change from step to step", ranges=_TURBULENT, valid=_ROUGHNESS)
def friction_target(reynolds: Ratio, relative_roughness: Ratio) -> Ratio:
    """One more than what the argument of Colebrook's logarithm and its logarithm sum to.

    reynolds: Reynolds number, turbulent
    relative_roughness: of the tube's wall

    >>> round(friction_target(62000, 6.8e-5), 4)
    11.7781
    """
    return reynolds * relative_roughness * _ROUGH + np.log(reynolds) + _SMOOTH


@named(
    source="Newton's rule for argument + ln(argument) + 1 = target, from the straight line 0.93 target - 2.18, fitted here",
    accuracy="within 2e-5 in smooth tubes, 1e-4 in rough ones",
    ranges=_TARGET,
)
def friction_start(target: Ratio) -> Ratio:
    """First value of the argument of Colebrook's logarithm.

    target: one more than what the argument and its logarithm sum to

    >>> round(friction_start(11.7781), 6)
    8.623465
    """
    line = 0.93 * target - 2.18
    return line * (target - np.log(line)) / (line + 1.0)


@named(
    source="Newton's rule for argument + ln(argument) + 1 = target",
    accuracy="one step from the start leaves less than 1e-10 of the friction factor",
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


@named(source="definition: Reynolds / 2000 - 1, from 0 to 1", ranges={"reynolds": at_least(0.0)})
def turbulent_share(reynolds: Ratio) -> Ratio:
    """How far the flow is on its way from laminar to turbulent.

    reynolds: Reynolds number

    0 in laminar flow, below 2000; 1 in turbulent flow, above 4000.

    >>> turbulent_share(1000), turbulent_share(2500), turbulent_share(5000)
    (0.0, 0.25, 1.0)
    """
    return np.minimum(np.maximum(reynolds / LAMINAR_LIMIT - 1.0, 0.0), 1.0)


# Dunlop's cubic between the two, in R = Re/2000, has the coefficients 7A - B, 0.128 - 17A + 2.5B, -0.128 + 13A - 2B and
# 0.032 - 3A + 0.5B, with Colebrook's factor A at Re 4000 and B = 2(A + 2000 dA/dRe) there.  Implicit differentiation gives
# dA/dRe = -2A/(4000 (t + 1)), t being the argument of the logarithm as above.  With s = R - 1 it then reads
# 0.032 (1 + s)(1 - s)² + A s² (3 - 2s + (1 - s)/(t + 1)): 64/2000 at s = 0, and A, whatever it is, at s = 1.
@named(
    source=f"{_COLEBROOK}; below Reynolds 2000 Hagen and Poiseuille: f = 64/Re; between 2000 and 4000 {_DUNLOP}",
    accuracy="within 1e-10 of 64/Re to Reynolds 2000, of the cubic to 4000, of the exact root to 1e8, relative roughness 0 to 0.05",
    ranges={"reynolds": at_least(0.0), "relative_roughness": between(0.0, 0.5)},
    valid={"reynolds": between(0.0, 1e8), **_ROUGHNESS},
    doubts=(
        (
            "between Reynolds 2000 and 4000 the flow is neither surely laminar nor surely turbulent, and the factor is uncertain",
            lambda reynolds, relative_roughness: (reynolds > LAMINAR_LIMIT) & (reynolds < TURBULENT_LIMIT),
        ),
    ),
)
def friction_factor(reynolds: Ratio, relative_roughness: Ratio) -> Ratio:
    """Friction factor of Darcy.

    reynolds: Reynolds number; 0 in still water
    relative_roughness: of the tube's wall

    Four times the factor of Fanning.  Neither the factor nor its slope jumps anywhere.  In still water the factor has no
    meaning and is given as 0; the head, which holds the square of the velocity, is zero.

    >>> round(friction_factor(62000, 6.8e-5), 6)
    0.020197
    """
    turbulent = np.maximum(reynolds, TURBULENT_LIMIT)
    target = friction_target(turbulent, relative_roughness)
    argument = friction_step(friction_start(target), target)
    root = argument - friction_rough_part(turbulent, relative_roughness)
    share = turbulent_share(reynolds)
    left = 1.0 - share
    laminar = np.where(reynolds > 0.0, 64.0 / reynolds, 0.0)
    cubic = LAMINAR_FACTOR * (1.0 + share) * left**2 + (share / (_K * root)) ** 2 * (1.0 + left * (2.0 + 1.0 / (argument + 1.0)))
    return np.where(reynolds < LAMINAR_LIMIT, laminar, cubic)


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
    source="curve drawn here through the factors that Crane TP-410 p. A-26 prints for clean steel, 1/2 to 12 in",
    accuracy="rounded to thousandths, as they are printed, all that Crane prints from 1/2 to 12 in; that is within 4 % of them",
)
def fitting_friction(bore: Bore) -> Ratio:
    """Friction factor of a fitting's size, fully turbulent.

    bore: inside diameter of the steel pipe that the fitting belongs to

    >>> round(fitting_friction(0.02664), 4)
    0.0233
    """
    return 0.00905 + 0.01456 * (INCH / bore) ** 0.48


@named(source="Crane TP-410: K = equivalent diameters * fully turbulent friction factor", accuracy="some 25 %; common practice, no source")
def fitting_loss_coefficient(fitting: Fitting, bore: Bore) -> Ratio:
    """Loss coefficient K of a fitting.

    fitting: its name in the table of fittings
    bore: inside diameter of the steel pipe that the fitting belongs to

    >>> round(fitting_loss_coefficient("90° elbow", 0.02664), 3)
    0.698
    """
    fittings = table("fittings")
    return fittings.lookup("equivalent_diameters", fitting) * fitting_friction(bore) + fittings.lookup("fixed_coefficient", fitting)


_BORDA = "Borda and Carnot; Crane TP-410 p. A-26"
_WIDER = (("larger_bore must be at least smaller_bore", lambda smaller_bore, larger_bore: larger_bore >= smaller_bore),)


@named(source=_BORDA + ": K = (1 - (smaller/larger)²)²", accuracy="within some 10 % in turbulent flow", requires=_WIDER)
def enlargement_coefficient(smaller_bore: Bore, larger_bore: Bore) -> Ratio:
    """Loss coefficient K of a sudden enlargement, for the velocity in the smaller bore.

    smaller_bore: inside diameter before it
    larger_bore: inside diameter behind it

    >>> round(enlargement_coefficient.us(0.785, 1.025), 4)
    0.171
    """
    return (1.0 - (smaller_bore / larger_bore) ** 2) ** 2


@named(
    source="Crane TP-410 p. A-26: K = 0.5 (1 - (smaller/larger)²), sharp edge",
    accuracy="within some 20 % in turbulent flow; common practice, no source",
    requires=_WIDER,
)
def contraction_coefficient(smaller_bore: Bore, larger_bore: Bore) -> Ratio:
    """Loss coefficient K of a sudden contraction, for the velocity in the smaller bore.

    smaller_bore: inside diameter behind it
    larger_bore: inside diameter before it

    >>> round(contraction_coefficient.us(0.785, 1.025), 4)
    0.2067
    """
    return 0.5 * (1.0 - (smaller_bore / larger_bore) ** 2)


_KV = "definition of Kv (IEC 60534-1): m³/h of water, 1000 kg/m³, at 1 bar; with K = 2 pressure/(density * velocity²)"
_CV = "definition of Cv: gpm of water at 1 psi; with K = 2 pressure/(density * velocity²)"
_CV_ACCURACY = "exact for water of 1000 kg/m³; Crane TP-410 prints K = 891 d⁴/Cv², which is 0.2 % more"
_LOSS = {"loss_coefficient": above(0.0)}


@named(source=_KV)
def loss_coefficient_from_kv(kv: FlowFactor, bore: Bore) -> Ratio:
    """Loss coefficient K of a valve or a strainer, from its Kv.

    kv: water that it lets through at 1 bar, printed by the maker
    bore: inside diameter of the tube in which K is to be counted

    >>> round(loss_coefficient_from_kv.metric(10, 26.64), 3)
    8.053
    """
    return 2.0 * BAR / WATER_DENSITY * (np.pi / 4.0 * bore**2 / kv) ** 2


@named(source=_KV, ranges=_LOSS)
def kv_from_loss_coefficient(loss_coefficient: Ratio, bore: Bore) -> FlowFactor:
    """Kv of a valve or a strainer, from its loss coefficient K.

    loss_coefficient: K, counted in the tube
    bore: inside diameter of that tube

    >>> round(kv_from_loss_coefficient.metric(8.053, 26.64), 3)
    10.0
    """
    return np.pi / 4.0 * bore**2 * np.sqrt(2.0 * BAR / (WATER_DENSITY * loss_coefficient))


@named(source=_CV, accuracy=_CV_ACCURACY)
def loss_coefficient_from_cv(cv: FlowCoefficient, bore: Bore) -> Ratio:
    """Loss coefficient K of a valve or a strainer, from its Cv.

    cv: water that it lets through at 1 psi, printed by the maker
    bore: inside diameter of the tube in which K is to be counted

    >>> round(loss_coefficient_from_cv.us(11.56, 1.049), 3)
    8.06
    """
    return 2.0 * PSI / WATER_DENSITY * (np.pi / 4.0 * bore**2 / cv) ** 2


@named(source=_CV, accuracy=_CV_ACCURACY, ranges=_LOSS)
def cv_from_loss_coefficient(loss_coefficient: Ratio, bore: Bore) -> FlowCoefficient:
    """Cv of a valve or a strainer, from its loss coefficient K.

    loss_coefficient: K, counted in the tube
    bore: inside diameter of that tube

    >>> round(cv_from_loss_coefficient.us(8.06, 1.049), 2)
    11.56
    """
    return np.pi / 4.0 * bore**2 * np.sqrt(2.0 * PSI / (WATER_DENSITY * loss_coefficient))


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
