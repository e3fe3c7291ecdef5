"""Pressure: expansion, what the tube may carry, and where still water boils.

Pressures are gauge pressures unless they are called absolute.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from .friction import STANDARD_GRAVITY
from .liquids import is_liquid, liquid_density, water_density, water_vapor_pressure
from .measures import (
    ANY,
    LIQUID_TEMPERATURE,
    Bore,
    Density,
    ExpansionCoefficient,
    Fraction_,
    Length,
    Liquid,
    Pressure,
    Ratio,
    Temperature,
    TubeFamily,
    Volume,
    above,
    at_least,
    between,
)
from .named import named
from .tables import table

SEA_LEVEL_PRESSURE = 101325.0  # Pa
SEA_LEVEL_TEMPERATURE = 288.15  # K
LAPSE_RATE = 0.0065  # K/m
ATMOSPHERE_EXPONENT = 5.255880  # g/(gas constant of air * lapse rate)

# The temperatures at which ASTM F876 rates tube; the table holds every family at these.
COOL_POINT = 23.0  # °C, 73.4 °F
WARM_POINT = (180.0 - 32.0) / 1.8  # °C
HOT_POINT = (200.0 - 32.0) / 1.8  # °C

_ASHRAE = "ASHRAE Handbook, HVAC Systems and Equipment, hydronic chapter: closed diaphragm tank"


@named(
    source="ISO 2533 standard atmosphere, below 11 km",
    accuracy="exact for the standard atmosphere; weather moves it by some 3 %",
    ranges={"elevation": between(-500.0, 11000.0)},
)
def surface_pressure(elevation: Length) -> Pressure:
    """Atmospheric pressure at an elevation, absolute.

    elevation: above sea level; below it negative

    >>> round(surface_pressure.us(5000), 2)
    12.23
    """
    return SEA_LEVEL_PRESSURE * (1.0 - LAPSE_RATE * elevation / SEA_LEVEL_TEMPERATURE) ** ATMOSPHERE_EXPONENT


@named(
    source="equal mass: volume * (density cold / density hot - 1); density from IAPWS SR6-08(2011) and Melinder 2010",
    accuracy="within 0.2 % of IAPWS-95 at 0.3 MPa for water from 5 to 95 °C",
    correlation=True,
    ranges={"glycol_fraction": between(0.0, 0.7), "cold": LIQUID_TEMPERATURE, "hot": LIQUID_TEMPERATURE},
    valid={"glycol_fraction": between(0.0, 0.6), "cold": between(-50.0, 110.0), "hot": between(-50.0, 110.0)},
    requires=(
        ("hot must be at least cold", lambda liquid, glycol_fraction, system_volume, cold, hot: hot >= cold),
        (
            "the liquid must not be frozen at cold",
            lambda liquid, glycol_fraction, system_volume, cold, hot: is_liquid(liquid, glycol_fraction, cold),
        ),
    ),
)
def expansion_volume(liquid: Liquid, glycol_fraction: Fraction_, system_volume: Volume, cold: Temperature, hot: Temperature) -> Volume:
    """Volume by which the liquid of a system grows when heated.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing
    system_volume: of all the liquid, cold
    cold: temperature at filling
    hot: highest mean temperature

    The growth of the tubes and the vessel themselves is not taken off. Below zero where water between freezing and 4 °C shrinks.

    >>> round(expansion_volume.us("water", 0, 300, 50, 185), 2)
    9.63
    """
    return system_volume * (liquid_density(liquid, glycol_fraction, cold) / liquid_density(liquid, glycol_fraction, hot) - 1.0)


@named(
    source=_ASHRAE + ", term 3 α Δt",
    accuracy="exact to first order",
    requires=(("hot must be at least cold", lambda system_volume, expansion_coefficient, cold, hot: hot >= cold),),
)
def metal_expansion(system_volume: Volume, expansion_coefficient: ExpansionCoefficient, cold: Temperature, hot: Temperature) -> Volume:
    """Volume by which tubes and vessels grow when heated.

    system_volume: of all they hold, cold
    expansion_coefficient: linear, of the metal: 11.7e-6 per K for steel, 17.1e-6 for copper
    cold: temperature at filling
    hot: highest mean temperature

    >>> round(metal_expansion(1.0, 11.7e-6, 10.0, 80.0), 6)
    0.002457
    """
    return 3.0 * expansion_coefficient * (hot - cold) * system_volume


@named(
    source="definition: length * coefficient * difference of temperature", accuracy="exact for a constant coefficient; see table expansion"
)
def length_expansion(length: Length, expansion_coefficient: ExpansionCoefficient, cold: Temperature, hot: Temperature) -> Bore:
    """Length by which a straight tube or bar grows when heated.

    length: cold
    expansion_coefficient: linear, of the material, as in the table of expansion: 17e-6 per K for copper, 150e-6 for PEX
    cold: temperature at which it was laid
    hot: highest temperature

    Below zero where it becomes colder than it was laid.

    >>> round(length_expansion.us(100, 9.4e-6, 60, 180), 2)
    1.35
    """
    return length * expansion_coefficient * (hot - cold)


@named(
    source=_ASHRAE + ", absolute pressures",
    ranges={"surface_pressure": above(0.0), "expansion_volume": at_least(0.0)},
    requires=(
        (
            "top_pressure must exceed fill_pressure, and both must be above vacuum",
            lambda expansion_volume, fill_pressure, top_pressure, surface_pressure: (
                (top_pressure > fill_pressure) & (fill_pressure + surface_pressure > 0)
            ),
        ),
    ),
)
def expansion_tank_volume(expansion_volume: Volume, fill_pressure: Pressure, top_pressure: Pressure, surface_pressure: Pressure) -> Volume:
    """Volume of a closed diaphragm tank.

    expansion_volume: by which the liquid grows, less what tubes and vessels grow
    fill_pressure: gauge, of the cold system at the tank, equal to the tank's air charge
    top_pressure: gauge, highest allowed at the tank, below that of the relief valve
    surface_pressure: absolute, of the atmosphere

    For a closed system only: an open boiler lets its water rise and fall.

    >>> round(expansion_tank_volume.us(8.0, 12.0, 27.0, 14.7), 1)
    22.2
    """
    return expansion_volume / (1.0 - (fill_pressure + surface_pressure) / (top_pressure + surface_pressure))


# --- what the tube may carry -------------------------------------------------------------------------------------


@named(source="linear between the temperatures at which ASTM F876 rates tube")
def warm_share(temperature: Temperature) -> Ratio:
    """How far a temperature lies from 23 °C (73.4 °F) towards 82 °C (180 °F).

    temperature: of the water

    >>> round(warm_share.us(126.7), 6)
    0.5
    """
    return np.minimum(np.maximum((temperature - COOL_POINT) / (WARM_POINT - COOL_POINT), 0.0), 1.0)


@named(source="linear between the temperatures at which ASTM F876 rates tube")
def hot_share(temperature: Temperature) -> Ratio:
    """How far a temperature lies from 82 °C (180 °F) towards 93 °C (200 °F).

    temperature: of the water

    >>> round(hot_share.us(190), 6)
    0.5
    """
    return np.minimum(np.maximum((temperature - WARM_POINT) / (HOT_POINT - WARM_POINT), 0.0), 1.0)


@named(source="the family's standard, in the table of tube limits, linear between its points")
def tube_rated_pressure(family: TubeFamily, temperature: Temperature) -> Pressure:
    """Pressure rating of a tube between the points of its standard.

    family: of tubes, name in the table of tube limits
    temperature: of the water

    Constant below the first point and above the last.

    >>> round(tube_rated_pressure.us("PEX SDR-9", 190), 6)
    90.0
    """
    limits = table("tube_limits")
    warm, hot = warm_share(temperature), hot_share(temperature)
    cool_part = limits.lookup("pressure_at_73", family) * (1.0 - warm)
    return cool_part + limits.lookup("pressure_at_180", family) * (warm - hot) + limits.lookup("pressure_at_200", family) * hot


def _for_heating(family: Any, temperature: Any) -> Any:
    return table("tube_limits").lookup("heating", family) > 0.0


def _cool_enough(family: Any, temperature: Any) -> Any:
    limits = table("tube_limits")
    # A family that is not for heating has been refused already; its own limit need not be told as well.
    return (temperature <= limits.lookup("highest_temperature", family)) | (limits.lookup("heating", family) == 0.0)


@named(
    source="PEX: ASTM F876; other families: their standards, in the table of tube limits",
    accuracy="linear between the standard's points; makers' instructions come first",
    requires=(
        ("the family must be for heating", _for_heating),
        ("temperature must not exceed the family's highest", _cool_enough),
    ),
)
def tube_pressure_limit(family: TubeFamily, temperature: Temperature) -> Pressure:
    """Highest pressure allowed in a tube.

    family: of tubes, name in the table of tube limits
    temperature: of the water

    Refused for a family that is not for heating and above the family's highest temperature; in a sheet it is 0 there.

    >>> round(tube_pressure_limit.us("PEX SDR-9", 180), 6)
    100.0
    """
    allowed = temperature <= table("tube_limits").lookup("highest_temperature", family)
    return np.where(allowed, tube_rated_pressure(family, temperature), 0.0)


# --- heights -----------------------------------------------------------------------------------------------------


@named(source="hydrostatics: pressure = density * g * height", ranges={"height": ANY})
def pressure_at_height(datum_pressure: Pressure, height: Length, density: Density) -> Pressure:
    """Pressure of still water at a height.

    datum_pressure: at the height counted as zero: 0 gauge at the level of open water
    height: above that level; below it negative
    density: of the water

    >>> round(pressure_at_height.us(12.0, 20.0, 61.0), 2)
    3.53
    """
    return datum_pressure - density * STANDARD_GRAVITY * height


@named(
    source="hydrostatics, vapor pressure from IAPWS R7-97(2012) region 4, density from IAPWS SR6-08(2011)",
    accuracy="within 0.1 % for still water without dissolved air, which comes out earlier",
    correlation=True,
    ranges={"surface_pressure": above(0.0), "temperature": between(0.0, 150.0)},
    valid={"temperature": between(0.0, 110.0)},
)
def boiling_height(surface_pressure: Pressure, temperature: Temperature) -> Length:
    """Height above the open water level at which still water boils.

    surface_pressure: absolute, on the open water
    temperature: of the water

    Tubes that rise higher hold steam, not water.  0 where the open water itself boils.

    >>> round(boiling_height.us(14.696, 180), 1)
    17.1
    """
    surplus = np.maximum(surface_pressure - water_vapor_pressure(temperature), 0.0)
    return surplus / (water_density(temperature) * STANDARD_GRAVITY)
