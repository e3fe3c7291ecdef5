"""Tubs and pools: what an open water surface loses to the air and the sky, and what a cover lets through."""

from __future__ import annotations

import numpy as np

from .liquids import ZERO_CELSIUS, water_vapor_pressure
from .measures import COLDEST_AIR, Area, AreaResistance, Fraction_, Power, Pressure, Ratio, Temperature, Velocity, at_least, between
from .named import named

# The printed figures, for BTU/(h ft²), inches of mercury, feet a minute and °F, are converted here and nowhere else.
_HEAT_PER_AREA = 1055.05585262 / 3600.0 / 0.3048**2  # W/m² in BTU/(h ft²)
_INCH_OF_MERCURY = 3386.389  # Pa
_FOOT_A_MINUTE = 0.3048 / 60.0  # m/s
_FAHRENHEIT = 5.0 / 9.0  # K
STILL_AIR = 95.0 * _HEAT_PER_AREA / _INCH_OF_MERCURY  # W/(m² Pa)
MOVING_AIR = 0.425 * _HEAT_PER_AREA / _INCH_OF_MERCURY / _FOOT_A_MINUTE  # W/(m² Pa) for each m/s
BOWEN = 0.01 * _INCH_OF_MERCURY / _FAHRENHEIT  # Pa/K: 0.61 hPa/K at sea level
SKY_BELOW_AIR = 20.0 * _FAHRENHEIT  # K

STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m² K⁴)
WATER_EMISSIVITY = 0.95
OUTSIDE_FILM = 0.04  # m² K/W, air over an outer surface (ISO 6946, from memory)

_CARRIER = "evaporation from indoor pools, (95 + 0.425 v)(pw - pa), as printed in ASHRAE Transactions 1998, 104(1A)"
_WATER = between(0.0, 60.0)
_AIR = between(COLDEST_AIR, 60.0)


@named(
    source="definition of relative humidity, over water also below freezing; vapor pressure from IAPWS R7-97(2012)",
    accuracy="below 0 °C the equation is extrapolated, within 1 % of the WMO's formula over supercooled water down to -30 °C",
    ranges={"air_temperature": _AIR},
)
def air_vapor_pressure(air_temperature: Temperature, relative_humidity: Fraction_) -> Pressure:
    """Pressure of the water vapor in air.

    air_temperature: of the air
    relative_humidity: of the air

    >>> round(air_vapor_pressure(20, 0.5))
    1170
    """
    return relative_humidity * water_vapor_pressure(air_temperature)


@named(
    source=_CARRIER,
    accuracy="an empirical formula; undisturbed pools were measured at 74 % of it (Smith, Löf and Jones 1998)",
    ranges={"water_temperature": _WATER, "air_temperature": _AIR, "activity": at_least(0.0)},
)
def pool_evaporation_loss(
    area: Area, water_temperature: Temperature, air_temperature: Temperature, relative_humidity: Fraction_, wind: Velocity, activity: Ratio
) -> Power:
    """Heat that a pool loses by evaporation.

    area: of the water's surface
    water_temperature: of the water
    air_temperature: of the air over it
    relative_humidity: of that air
    wind: speed of the air over the water
    activity: 1 for a pool in use, 0.5 for one at rest at a house (ASHRAE, from memory)

    Air that is moister than the water's own vapor takes nothing.

    >>> round(pool_evaporation_loss.us(49, 102, 40, 60, 10 / 60, 1), -1)
    9270.0
    """
    excess = np.maximum(water_vapor_pressure(water_temperature) - air_vapor_pressure(air_temperature, relative_humidity), 0.0)
    return area * activity * (STILL_AIR + MOVING_AIR * wind) * excess


@named(
    source="Bowen's ratio, 0.61 hPa/K at sea level (Bowen 1926, from memory), on the evaporation " + _CARRIER,
    accuracy="as that of the evaporation",
    ranges={"water_temperature": _WATER, "air_temperature": _AIR},
)
def pool_convection_loss(area: Area, water_temperature: Temperature, air_temperature: Temperature, wind: Velocity) -> Power:
    """Heat that a pool loses to the air by convection.

    area: of the water's surface
    water_temperature: of the water
    air_temperature: of the air over it; warmer than the water, the loss is negative
    wind: speed of the air over the water

    >>> round(pool_convection_loss.us(49, 102, 40, 10 / 60))
    3015
    """
    return area * BOWEN * (STILL_AIR + MOVING_AIR * wind) * (water_temperature - air_temperature)


@named(
    source="common practice, no source: 20 °F below the air",
    accuracy="a rule; a clear night is colder and a cloudy one warmer",
    ranges={"air_temperature": _AIR},
)
def sky_temperature(air_temperature: Temperature) -> Temperature:
    """Temperature of the sky as a radiator.

    air_temperature: near the ground

    >>> round(sky_temperature.us(40), 6)
    20.0
    """
    return air_temperature - SKY_BELOW_AIR


@named(
    source="Stefan and Boltzmann; emissivity of water 0.95",
    accuracy="exact for a black sky of that temperature",
    ranges={"water_temperature": _WATER, "sky_temperature": between(-120.0, 60.0)},
)
def pool_radiation_loss(area: Area, water_temperature: Temperature, sky_temperature: Temperature) -> Power:
    """Heat that a pool radiates to the sky.

    area: of the water's surface
    water_temperature: of the water
    sky_temperature: of what it faces: the sky, or the ceiling of a room

    >>> round(pool_radiation_loss.us(49, 102, 20))
    3713
    """
    fourths = (water_temperature + ZERO_CELSIUS) ** 4 - (sky_temperature + ZERO_CELSIUS) ** 4
    return area * WATER_EMISSIVITY * STEFAN_BOLTZMANN * fourths


@named(
    source="steady conduction through the cover and the outer film of air of ISO 6946 (from memory)",
    accuracy="exact for a dry cover that lies tight",
    ranges={"water_temperature": _WATER, "air_temperature": _AIR},
)
def cover_loss(area: Area, cover_resistance: AreaResistance, water_temperature: Temperature, air_temperature: Temperature) -> Power:
    """Heat that a covered pool loses through its cover.

    area: of the cover
    cover_resistance: of the cover itself; 0 leaves the film of air alone
    water_temperature: under the cover
    air_temperature: over it

    >>> round(cover_loss.us(49, 12, 102, 40))
    248
    """
    return area * (water_temperature - air_temperature) / (cover_resistance + OUTSIDE_FILM)
