"""Water and antifreeze: what the liquid in the system weighs, carries and resists.

Water follows the equations of the IAPWS, glycols those of Melinder; both are fits with their units built in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Any

import numpy as np

from .measures import (
    LIQUID_TEMPERATURE,
    Conductivity,
    Density,
    Fraction_,
    Liquid,
    Pressure,
    Ratio,
    SpecificHeat,
    Temperature,
    TemperatureDifference,
    Viscosity,
    between,
)
from .named import named
from .tables import power_sum, table

ZERO_CELSIUS = 273.15  # K
COLDEST_WATER = -20.0  # °C, where the equations of the IAPWS begin (supercooled)
PERCENT = 100.0
WATER = "water"

_SR6 = "IAPWS SR6-08(2011), liquid water at 0.1 MPa"
_SR6_ACCURACY = "within 1e-4 of IAPWS-95 at 0.1 MPa over 1 to 109 °C, 3e-4 at 0.3 MPa"
_R7 = "IAPWS R7-97(2012), region 4"
_R7_ACCURACY = "within 1e-4 of IAPWS-95 over 1 to 120 °C"
_MELINDER = "water: IAPWS SR6-08(2011); glycols: Melinder 2010, coefficients as transcribed in CoolProp"
_MELINDER_ACCURACY = "water within 1e-4 of IAPWS-95; glycols equal to CoolProp's within 1e-5, and {} of the printed ASHRAE 2001 tables"

# Colder the equations run into their poles, where the specific heat falls below zero; nothing hotter is a liquid here.
_WATER_RANGE = {"temperature": between(COLDEST_WATER, LIQUID_TEMPERATURE.high)}
_WATER_VALID = {"temperature": between(COLDEST_WATER, 110.0)}

# --- water: IAPWS SR6-08(2011), tables 1 to 4 --------------------------------------------------------------------

_VOLUME_SCALE = 461.51805 * 10.0 / 1e5  # R * 10 K / 0.1 MPa, m³/kg
_VOLUME_CONSTANT = 1.93763157e-2
_VOLUME_ALPHA = (6.74458446e3, -2.22521604e5, 1.00231247e8, -1.63552118e9, 8.32299658e9)
_VOLUME_ALPHA_POWERS = (4, 5, 7, 8, 9)
_VOLUME_BETA = (5.78545292e-3, -1.53195665e-2, 3.11337859e-2, -4.23546241e-2, 3.38713507e-2, -1.19946761e-2)
_VOLUME_BETA_POWERS = (1, 2, 3, 4, 5, 6)

_GAS_CONSTANT = 461.51805  # J/(kg K)
_HEAT_CONSTANT = -8.983025854
# The release gives a_i and n_i; its derivative holds n(n+1)a with the power n + 2, formed here in decimals, as they are printed.
_HEAT_ALPHA = tuple(float(n * (n + 1) * Decimal(a)) for n, a in ((4, "-1.661470539e5"), (5, "2.708781640e6"), (7, "-1.557191544e8")))
_HEAT_ALPHA_POWERS = (6, 7, 9)
_HEAT_BETA = tuple(
    float(m * (m + 1) * Decimal(b)) for m, b in ((2, "-8.237426256e-1"), (3, "1.908956353"), (4, "-2.017597384"), (5, "8.546361348e-1"))
)
_HEAT_BETA_POWERS = (4, 5, 6, 7)

_VISCOSITY = (280.68e-6, 511.45e-6, 61.131e-6, 0.45903e-6)
_VISCOSITY_POWERS = (-1.9, -7.7, -19.6, -40)
_CONDUCTIVITY = (1.6630, -1.7781, 1.1567, -0.432115)
_CONDUCTIVITY_POWERS = (-1.15, -3.4, -6.0, -7.6)


def _alpha(temperature: Any) -> Any:
    return 10.0 / (593.0 - (temperature + ZERO_CELSIUS))


def _beta(temperature: Any) -> Any:
    return 10.0 / (temperature + ZERO_CELSIUS - 232.0)


@named(source=_SR6, accuracy=_SR6_ACCURACY, correlation=True, ranges=_WATER_RANGE, valid=_WATER_VALID)
def water_density(temperature: Temperature) -> Density:
    """Density of water.

    temperature: of the water

    >>> round(water_density(60), 3)
    983.195
    """
    volume = (
        _VOLUME_CONSTANT
        + power_sum(_alpha(temperature), _VOLUME_ALPHA, _VOLUME_ALPHA_POWERS)
        + power_sum(_beta(temperature), _VOLUME_BETA, _VOLUME_BETA_POWERS)
    )
    return 1.0 / (_VOLUME_SCALE * volume)


@named(source=_SR6, accuracy=_SR6_ACCURACY, correlation=True, ranges=_WATER_RANGE, valid=_WATER_VALID)
def water_specific_heat(temperature: Temperature) -> SpecificHeat:
    """Specific heat of water at constant pressure.

    temperature: of the water

    >>> round(water_specific_heat(60), 1)
    4184.9
    """
    terms = power_sum(_alpha(temperature), _HEAT_ALPHA, _HEAT_ALPHA_POWERS) + power_sum(_beta(temperature), _HEAT_BETA, _HEAT_BETA_POWERS)
    return -_GAS_CONSTANT * (_HEAT_CONSTANT + (temperature + ZERO_CELSIUS) / 10.0 * terms)


@named(source=_SR6, accuracy=_SR6_ACCURACY, correlation=True, ranges=_WATER_RANGE, valid=_WATER_VALID)
def water_viscosity(temperature: Temperature) -> Viscosity:
    """Dynamic viscosity of water.

    temperature: of the water

    >>> round(water_viscosity(60) * 1000, 4)
    0.466
    """
    return power_sum((temperature + ZERO_CELSIUS) / 300.0, _VISCOSITY, _VISCOSITY_POWERS)


@named(
    source=_SR6,
    accuracy="within 1e-4 of IAPWS-95 at 0.1 MPa over 1 to 106 °C, 2e-4 to 109 °C; 3e-4 at 0.3 MPa",
    correlation=True,
    ranges=_WATER_RANGE,
    valid={"temperature": between(0.0, 110.0)},
)
def water_conductivity(temperature: Temperature) -> Conductivity:
    """Thermal conductivity of water.

    temperature: of the water

    >>> round(water_conductivity(60), 4)
    0.651
    """
    return power_sum((temperature + ZERO_CELSIUS) / 300.0, _CONDUCTIVITY, _CONDUCTIVITY_POWERS)


# --- water: when it boils, IAPWS R7-97(2012), equations 29 to 31 --------------------------------------------------

_N1, _N2, _N3, _N4, _N5 = 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7
_N6, _N7, _N8, _N9, _N10 = 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3
_MEGA = 1e6  # Pa/MPa


@named(source=_R7 + ", equation 29b", correlation=True, ranges={"temperature": between(0.0, 370.0)})
def saturation_variable(temperature: Temperature) -> Ratio:
    """Transformed temperature of the saturation line.

    temperature: of the water

    >>> round(saturation_variable(100), 4)
    373.1509
    """
    return temperature + ZERO_CELSIUS + _N9 / (temperature + ZERO_CELSIUS - _N10)


@named(source=_R7 + ", equation 30", accuracy=_R7_ACCURACY, correlation=True, ranges={"temperature": between(0.0, 370.0)})
def water_vapor_pressure(temperature: Temperature) -> Pressure:
    """Vapor pressure of water, absolute.

    temperature: of the water

    >>> round(water_vapor_pressure(100))
    101418
    """
    x = saturation_variable(temperature)
    a = (x + _N1) * x + _N2
    b = (_N3 * x + _N4) * x + _N5
    c = (_N6 * x + _N7) * x + _N8
    root = 2.0 * c / (np.sqrt(b * b - 4.0 * a * c) - b)
    return root**4 * _MEGA


@named(source=_R7 + ", equation 29a", correlation=True, ranges={"pressure": between(611.3, 21.0e6)})
def boiling_root(pressure: Pressure) -> Ratio:
    """Fourth root of a pressure in MPa.

    pressure: absolute

    >>> round(boiling_root(101325), 6)
    0.564195
    """
    return np.sqrt(np.sqrt(pressure / _MEGA))


@named(source=_R7 + ", equation 31", correlation=True, ranges={"pressure": between(611.3, 21.0e6)})
def boiling_variable(pressure: Pressure) -> Ratio:
    """Transformed pressure of the saturation line.

    pressure: absolute

    >>> round(boiling_variable(101325), 4)
    373.1252
    """
    x = boiling_root(pressure)
    e = (x + _N3) * x + _N6
    f = (_N1 * x + _N4) * x + _N7
    g = (_N2 * x + _N5) * x + _N8
    return -2.0 * g / (f + np.sqrt(f * f - 4.0 * e * g))


@named(source=_R7 + ", equation 31", accuracy=_R7_ACCURACY, correlation=True, ranges={"pressure": between(611.3, 21.0e6)})
def water_boiling_temperature(pressure: Pressure) -> Temperature:
    """Temperature at which water boils.

    pressure: absolute

    >>> round(water_boiling_temperature(101325), 2)
    99.97
    """
    x = boiling_variable(pressure)
    # The release prints (n10 + x)² - 4 (n9 + n10 x) under the root, which is the same and loses digits near the critical point.
    return (x + _N10 - np.sqrt((x - _N10) ** 2 - 4.0 * _N9)) / 2.0 - ZERO_CELSIUS


# --- glycols: Melinder 2010 ----------------------------------------------------------------------------------

_PAIRS = (*((i, j) for i in range(4) for j in range(4 if i < 3 else 3)), (4, 0), (4, 1), (5, 0))


def _glycol(liquid: Any, quantity: str, fraction: Any, temperature: Any, pairs: Sequence[tuple[int, int]] = _PAIRS) -> Any:
    return table(f"glycol_{quantity}").power_sum((liquid,), [f"c{i}{j}" for i, j in pairs], fraction, temperature, pairs)


@named(source=_MELINDER, correlation=True, valid={"glycol_fraction": between(0.0, 0.6)})
def glycol_fraction_offset(liquid: Liquid, glycol_fraction: Fraction_) -> Ratio:
    """Percent of glycol by mass, less the middle of Melinder's data.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass

    >>> round(glycol_fraction_offset("propylene glycol", 0.4), 4)
    9.2969
    """
    return glycol_fraction * PERCENT - table("liquids").lookup("middle_fraction", liquid)


@named(source=_MELINDER)
def glycol_temperature_offset(liquid: Liquid, temperature: Temperature) -> TemperatureDifference:
    """Temperature less the middle of Melinder's data.

    liquid: name in the table of liquids
    temperature: of the liquid

    >>> round(glycol_temperature_offset("propylene glycol", 40), 4)
    7.2917
    """
    return temperature - table("liquids").lookup("middle_temperature", liquid)


def _mixed(liquid: Any, quantity: str, glycol_fraction: Any, temperature: Any) -> Any:
    x, t = glycol_fraction_offset(liquid, glycol_fraction), glycol_temperature_offset(liquid, temperature)
    return _glycol(liquid, quantity, x, t)


def is_liquid(liquid: Any, glycol_fraction: Any, temperature: Any) -> Any:
    """True where a liquid is not frozen; for the checks of arguments."""
    if isinstance(liquid, str) and liquid == WATER:
        return temperature >= 0.0
    return temperature >= liquid_freezing_temperature.body(liquid, glycol_fraction)


def _by_liquid(liquid: Any, water: Callable[[], Any], glycol: Callable[[], Any]) -> Any:
    """What belongs to a liquid; of a plain text only that is worked out, in a cell the choice stands in the formula."""
    if isinstance(liquid, str):
        return water() if liquid == WATER else glycol()
    mixed = glycol()
    return np.where(liquid == WATER, water(), mixed)


_RANGE = {"glycol_fraction": between(0.0, 0.7), "temperature": LIQUID_TEMPERATURE}
_VALID = {"glycol_fraction": between(0.0, 0.6), "temperature": between(-50.0, 110.0)}
_LIQUID = (("the liquid must not be frozen at temperature", is_liquid),)


@named(source=_MELINDER, accuracy=_MELINDER_ACCURACY.format("1.3 %"), correlation=True, ranges=_RANGE, valid=_VALID, requires=_LIQUID)
def liquid_density(liquid: Liquid, glycol_fraction: Fraction_, temperature: Temperature) -> Density:
    """Density of a liquid.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing
    temperature: of the liquid

    >>> round(liquid_density("propylene glycol", 0.4, 80), 2)
    991.63
    """
    return _by_liquid(
        liquid,
        lambda: water_density(np.maximum(temperature, COLDEST_WATER)),
        lambda: _mixed(liquid, "density", glycol_fraction, temperature),
    )


@named(source=_MELINDER, accuracy=_MELINDER_ACCURACY.format("2.1 %"), correlation=True, ranges=_RANGE, valid=_VALID, requires=_LIQUID)
def liquid_specific_heat(liquid: Liquid, glycol_fraction: Fraction_, temperature: Temperature) -> SpecificHeat:
    """Specific heat of a liquid at constant pressure.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing
    temperature: of the liquid

    >>> round(liquid_specific_heat("propylene glycol", 0.4, 80), 1)
    3895.8
    """
    return _by_liquid(
        liquid,
        lambda: water_specific_heat(np.maximum(temperature, COLDEST_WATER)),
        lambda: _mixed(liquid, "specific_heat", glycol_fraction, temperature),
    )


@named(source=_MELINDER, accuracy=_MELINDER_ACCURACY.format("13 %"), correlation=True, ranges=_RANGE, valid=_VALID, requires=_LIQUID)
def liquid_viscosity(liquid: Liquid, glycol_fraction: Fraction_, temperature: Temperature) -> Viscosity:
    """Dynamic viscosity of a liquid.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing
    temperature: of the liquid

    >>> round(liquid_viscosity("propylene glycol", 0.4, 80) * 1000, 4)
    0.8743
    """
    return _by_liquid(
        liquid,
        lambda: water_viscosity(np.maximum(temperature, COLDEST_WATER)),
        lambda: np.exp(_mixed(liquid, "log_viscosity", glycol_fraction, temperature)) / 1000.0,
    )


@named(source=_MELINDER, accuracy=_MELINDER_ACCURACY.format("4 %"), correlation=True, ranges=_RANGE, valid=_VALID, requires=_LIQUID)
def liquid_conductivity(liquid: Liquid, glycol_fraction: Fraction_, temperature: Temperature) -> Conductivity:
    """Thermal conductivity of a liquid.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing
    temperature: of the liquid

    >>> round(liquid_conductivity("propylene glycol", 0.4, 80), 4)
    0.44
    """
    return _by_liquid(
        liquid,
        lambda: water_conductivity(np.maximum(temperature, COLDEST_WATER)),
        lambda: _mixed(liquid, "conductivity", glycol_fraction, temperature),
    )


@named(
    source="water: 0 °C; glycols: Melinder 2010, coefficients as transcribed in CoolProp",
    accuracy="equal to CoolProp's within 1e-5; within 2.9 K of the printed ASHRAE 2001 table to 60 % by volume",
    correlation=True,
    ranges={"glycol_fraction": between(0.0, 0.7)},
    valid={"glycol_fraction": between(0.0, 0.6)},
)
def liquid_freezing_temperature(liquid: Liquid, glycol_fraction: Fraction_) -> Temperature:
    """Temperature at which the first ice forms in a liquid.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing

    >>> round(liquid_freezing_temperature("propylene glycol", 0.4), 2)
    -20.57
    """
    x = glycol_fraction_offset(liquid, glycol_fraction)
    # The neutral row gives water 0 °C.  The fit ends a little above 0 °C for a glycol that is all but water.
    pairs = tuple((i, 0) for i in range(6))
    return np.minimum(_glycol(liquid, "freezing", x, 0.0 * x, pairs), 0.0)


@named(
    source="least-squares fit to the ASHRAE 2001 Fundamentals table (ch. 21), in the table of liquids",
    accuracy="within 0.0009 of the printed table, 0 to 60 % by volume",
    ranges={"volume_fraction": between(0.0, 0.6)},
)
def glycol_mass_fraction(liquid: Liquid, volume_fraction: Fraction_) -> Fraction_:
    """Glycol by mass from glycol by volume.

    liquid: name in the table of liquids
    volume_fraction: glycol by volume, measured before mixing

    >>> round(glycol_mass_fraction("propylene glycol", 0.4), 4)
    0.4041
    """
    first, second, third = (table("liquids").lookup(f"volume_to_mass_{n}", liquid) for n in (1, 2, 3))
    return volume_fraction * (first + volume_fraction * (second + volume_fraction * third))
