"""Loads: what a building, its hot water and a tub take, on the coldest night and over the year."""

from __future__ import annotations

from typing import Any

import numpy as np

from .liquids import ZERO_CELSIUS, water_density, water_specific_heat
from .measures import (
    COLDEST_AIR,
    SOURCE_EFFICIENCY,
    Area,
    AreaResistance,
    Conductance,
    Days,
    DegreeDays,
    Density,
    Energy,
    Fraction_,
    PerHour,
    Power,
    Pressure,
    SeasonEnergy,
    Space,
    SpecificHeat,
    Temperature,
    TemperatureDifference,
    Time,
    Volume,
    VolumeFlow,
    above,
    at_least,
    between,
)
from .named import named

SECONDS_PER_DAY = 86400.0  # s/day
AIR_GAS_CONSTANT = 287.05  # J/(kg K), dry air (ISO 2533)
AIR_SPECIFIC_HEAT = 1004.832  # J/(kg K), 0.24 BTU/(lb °F): what the trade takes, 0.1 % under that of dry air at 0 °C
NEVER = 100_000.0 * 3600.0  # s, stands for a time that never ends
NEAR = 1e-4  # of the net power: nearer, beginning and end are as good as equal

_CONDUCTION = "steady conduction: heat = conductance * difference"
_DEGREE_DAY = "degree-day method, ASHRAE Handbook of Fundamentals, energy estimating"


@named(source=_CONDUCTION)
def transmission_load(conductance: Conductance, indoor: Temperature, outdoor: Temperature) -> Power:
    """Heat that a building loses through its envelope.

    conductance: of the building, its air changes included where they are not reckoned apart
    indoor: room temperature
    outdoor: air temperature; above that of the room the loss is negative, a gain

    >>> round(transmission_load.us(500, 70, -10))
    40000
    """
    return conductance * (indoor - outdoor)


@named(source="series resistance of one dimension: area / resistance", ranges={"resistance": above(0.0)})
def surface_conductance(area: Area, resistance: AreaResistance) -> Conductance:
    """Conductance of a wall, a window or a cover.

    area: of the surface
    resistance: of one unit of area, the films of air included

    >>> round(surface_conductance.us(380, 1.1), 3)
    345.455
    """
    return area / resistance


@named(
    source="ideal gas: pressure / (gas constant of dry air * absolute temperature)",
    accuracy="0.4 % above moist air at 20 °C and 50 % humidity",
    ranges={"pressure": above(0.0)},
)
def air_density(temperature: Temperature, pressure: Pressure) -> Density:
    """Density of dry air.

    temperature: of the air
    pressure: absolute, as by ``surface_pressure`` at an elevation

    >>> round(air_density.us(70, 14.696), 4)
    0.0749
    """
    return pressure / (AIR_GAS_CONSTANT * (temperature + ZERO_CELSIUS))


@named(
    source="heat balance of the air exchanged; specific heat of air 0.24 BTU/(lb °F), common practice",
    accuracy="0.1 % below CoolProp's dry air; the moisture of the air is left out",
)
def infiltration_load(volume: Space, air_changes: PerHour, indoor: Temperature, outdoor: Temperature, air_density: Density) -> Power:
    """Heat that the outdoor air entering a building takes.

    volume: of the heated rooms
    air_changes: times in an hour that the air is exchanged
    indoor: room temperature
    outdoor: air temperature
    air_density: of the air; 0.075 lb/ft³ is the trade's figure near sea level

    >>> round(infiltration_load.us(12000, 0.8, 70, 10, 0.075))
    10368
    """
    return volume * air_changes * air_density * AIR_SPECIFIC_HEAT * (indoor - outdoor)


@named(
    source=_DEGREE_DAY + ", inverted",
    ranges={"fuel_heat": at_least(0.0), "other_heat": at_least(0.0), "efficiency": SOURCE_EFFICIENCY, "degree_days": above(0.0)},
)
def conductance_from_fuel(fuel_heat: SeasonEnergy, efficiency: Fraction_, degree_days: DegreeDays, other_heat: SeasonEnergy) -> Conductance:
    """Conductance of a building from the fuel that it burnt.

    fuel_heat: heat in the fuel, on the basis of the efficiency
    efficiency: seasonal, of what burnt it
    degree_days: of the time in which it was burnt, at the building's balance temperature
    other_heat: useful heat of it that did not heat the building, such as hot water

    Degree days at another base make the building look too small or too large: base 65 °F for a
    building that balances at 60 °F makes it a quarter too small.

    >>> round(conductance_from_fuel.us(900 * 0.13869, 80, 7200, 0), 3)
    577.875
    """
    useful = np.maximum(fuel_heat * efficiency - other_heat, 0.0)
    return np.where(degree_days > 0.0, useful / (degree_days * SECONDS_PER_DAY), 0.0)


@named(source=_DEGREE_DAY)
def seasonal_heat(conductance: Conductance, degree_days: DegreeDays) -> SeasonEnergy:
    """Heat that a building needs over a month or a season.

    conductance: of the building
    degree_days: of the time, at the building's balance temperature

    >>> round(seasonal_heat.us(500, 7000), 6)
    84.0
    """
    return conductance * degree_days * SECONDS_PER_DAY


@named(
    source="ASHRAE Handbook of Fundamentals, energy estimating: indoor temperature less gains over conductance",
    ranges={"gains": at_least(0.0), "conductance": above(0.0)},
    requires=(
        (
            "the gains must not outweigh the loss of the coldest air, -60 °C (-76 °F)",
            lambda indoor, gains, conductance: indoor * conductance - gains >= COLDEST_AIR * conductance,
        ),
    ),
)
def balance_temperature(indoor: Temperature, gains: Power, conductance: Conductance) -> Temperature:
    """Outdoor temperature at which a building needs no heat.

    indoor: room temperature
    gains: heat from sun, people and appliances
    conductance: of the building

    >>> round(balance_temperature.us(70, 3000, 500), 6)
    64.0
    """
    return indoor - np.where(conductance > 0.0, gains / conductance, 0.0)


# --- degree days from a month's mean: Erbs, Klein and Beckman 1983 --------------------------------------------------

_ERBS = "Erbs, Klein and Beckman 1983, ASHRAE Journal 25(6), from memory"
SPREAD_AT_ZERO = 1.45  # K
SPREAD_SLOPE = -0.029
SPREAD_OF_YEAR = 0.0664
YEARLY_SPREAD = 9.0  # K, standard deviation of the twelve monthly means where they are not known; 4 on a coast, 8 inland
LEAST_SPREAD = 0.3  # K, keeps the spread above zero in air hotter than any
STEEPNESS = 3.396


@named(
    source=_ERBS,
    accuracy="with the months' own spread a year within 2 % of the daily means of two stations' hourly weather at base 60 and 65 °F, "
    "3.5 % at 55 °F on a mild coast; a month of more than 300 °F day within 4 %, any month within 34 K day (61 °F day)",
    correlation=True,
    ranges={"yearly_spread": at_least(0.0), "days": between(1.0, 366.0)},
)
def monthly_spread(mean_temperature: Temperature, yearly_spread: TemperatureDifference, days: Days) -> TemperatureDifference:
    """Spread of the days of a month about their mean temperature, as the degree days see it.

    mean_temperature: of the air over the month
    yearly_spread: standard deviation of the twelve monthly means about that of the year, their number the divisor
    days: in the month

    >>> round(monthly_spread(0.0, 9.0, 31.0), 3)
    11.401
    """
    month = np.maximum(SPREAD_AT_ZERO + SPREAD_SLOPE * mean_temperature + SPREAD_OF_YEAR * yearly_spread, LEAST_SPREAD)
    return month * np.sqrt(days)


@named(
    source=_ERBS + "; written without overflow; the spread of the twelve monthly means taken as 9 K",
    accuracy="a year within 2.5 % of the daily means of two stations' hourly weather at base 60 and 65 °F, 5 % at 55 °F on a mild coast; "
    "a month of more than 300 °F day within 4.5 %, any month within 45 K day (81 °F day)",
    correlation=True,
    ranges={"days": between(1.0, 366.0)},
    valid={"mean_temperature": between(-40.0, 40.0), "days": between(28.0, 31.0)},
)
def monthly_degree_days(mean_temperature: Temperature, base_temperature: Temperature, days: Days) -> DegreeDays:
    """Heating degree days of a month from its mean temperature.

    mean_temperature: of the air over the month
    base_temperature: from which the degrees are counted, the balance temperature of the building
    days: in the month

    >>> round(monthly_degree_days.us(30, 65, 31))
    1086
    """
    return spread_degree_days(mean_temperature, base_temperature, days, monthly_spread(mean_temperature, YEARLY_SPREAD, days))


def spread_degree_days(mean_temperature: Any, base_temperature: Any, days: Any, spread: Any) -> Any:
    """Degree days of a month whose days' spread about their mean is known."""
    short = base_temperature - mean_temperature
    tail = spread / STEEPNESS * np.log(1.0 + np.exp(-STEEPNESS * np.abs(short / spread)))
    return days * (np.maximum(short, 0.0) + tail)


# --- hot water -------------------------------------------------------------------------------------------------

_METERED = "heat balance; density at the hot temperature, where the water is metered, specific heat at the mean (IAPWS SR6-08)"
_HOT_WATER = {"cold": between(0.0, 110.0), "hot": between(0.0, 110.0)}


@named(
    source=_METERED,
    accuracy="within 0.25 % of CoolProp's enthalpies between 0 and 100 °C, 0.12 % between 5 and 60 °C",
    ranges=_HOT_WATER,
    requires=(("hot must be at least cold", lambda volume, cold, hot: hot >= cold),),
)
def hot_water_energy(volume: Volume, cold: Temperature, hot: Temperature) -> Energy:
    """Heat that drawn hot water takes.

    volume: drawn, as metered hot
    cold: temperature of the main or the well
    hot: temperature at the tap

    >>> round(hot_water_energy.us(64, 55, 125), -1)
    36850.0
    """
    return volume * water_density(hot) * water_specific_heat((cold + hot) / 2.0) * (hot - cold)


@named(
    source=_METERED,
    accuracy="within 0.25 % of CoolProp's enthalpies between 0 and 100 °C, 0.12 % between 5 and 60 °C",
    ranges=_HOT_WATER,
    requires=(("hot must be at least cold", lambda flow, cold, hot: hot >= cold),),
)
def hot_water_draw_load(flow: VolumeFlow, cold: Temperature, hot: Temperature) -> Power:
    """Heat that hot water takes while it is drawn.

    flow: drawn, as metered hot
    cold: temperature of the main or the well
    hot: temperature at the tap

    >>> round(hot_water_draw_load.us(2.0, 50, 105), -2)
    54600.0
    """
    return flow * water_density(hot) * water_specific_heat((cold + hot) / 2.0) * (hot - cold)


@named(
    source="heat balance: what the exchanger warms over what is wanted, at most 1",
    requires=(("wanted must exceed cold", lambda outlet, cold, wanted: wanted > cold),),
)
def hot_water_share(outlet: Temperature, cold: Temperature, wanted: Temperature) -> Fraction_:
    """Share of the hot water's heat that an exchanger on the cold feed carries.

    outlet: of the exchanger, domestic side; colder than the feed it carries nothing
    cold: temperature of the main or the well
    wanted: temperature at the tap

    >>> round(hot_water_share.us(120, 50, 140), 2)
    77.78
    """
    return np.where(wanted > cold, np.minimum(np.maximum(outlet - cold, 0.0) / (wanted - cold), 1.0), 0.0)


# --- heating up ------------------------------------------------------------------------------------------------


@named(
    source="heat balance of well-mixed water",
    ranges={"power": at_least(0.0), "loss": at_least(0.0)},
    requires=(("finish must be at least start", lambda _volume, start, finish, *_: finish >= start),),
)
def heat_up_time(
    volume: Volume, start: Temperature, finish: Temperature, power: Power, loss: Power, density: Density, specific_heat: SpecificHeat
) -> Time:
    """Time to heat water at a steady loss.

    volume: of the water
    start: temperature at the beginning
    finish: temperature wanted
    power: heat put in
    loss: heat lost meanwhile, on the average; at or above the power it takes for ever, 100,000 hours
    density: of the water where its volume is measured
    specific_heat: of the water

    >>> round(heat_up_time.us(450, 50, 102, 30000, 4000, 8.33 * 1728 / 231, 1.0), 3)
    7.497
    """
    time = volume * density * specific_heat * (finish - start) / (power - loss)
    return np.where(power > loss, np.minimum(time, NEVER), np.where(finish > start, NEVER, 0.0))


@named(source="heat balance: power less conductance * difference")
def net_power(power: Power, conductance: Conductance, temperature: Temperature, surroundings: Temperature) -> Power:
    """Heat that is left to warm water after its losses.

    power: heat put in
    conductance: of the water's vessel to its surroundings
    temperature: of the water
    surroundings: temperature about the vessel

    >>> round(net_power.us(30000, 60, 102, 30))
    25680
    """
    return power - conductance * (temperature - surroundings)


@named(
    source="lumped heating at a loss that grows with temperature: heat capacity / conductance * ln(net power at first / at last)",
    ranges={"power": at_least(0.0)},
    requires=(("finish must be at least start", lambda _volume, start, finish, *_: finish >= start),),
)
def heat_up_time_losing(
    volume: Volume,
    start: Temperature,
    finish: Temperature,
    power: Power,
    conductance: Conductance,
    surroundings: Temperature,
    density: Density,
    specific_heat: SpecificHeat,
) -> Time:
    """Time to heat water that loses more the hotter it gets.

    volume: of the water
    start: temperature at the beginning
    finish: temperature wanted; where the losses eat all the power before, it takes for ever, 100,000 hours
    power: heat put in
    conductance: of the water's vessel to its surroundings
    surroundings: temperature about the vessel
    density: of the water where its volume is measured
    specific_heat: of the water

    >>> round(heat_up_time_losing.us(450, 50, 102, 30000, 60, 30, 8.33 * 1728 / 231, 1.0), 3)
    7.164
    """
    first, last = net_power(power, conductance, start, surroundings), net_power(power, conductance, finish, surroundings)
    # The logarithm loses digits as the net powers become equal; their mean errs by a twelfth of the square of what they differ by.
    equal = volume * density * specific_heat * (finish - start) / ((first + last) / 2.0)
    time = np.where(np.abs(first / last - 1.0) < NEAR, equal, volume * density * specific_heat / conductance * np.log(first / last))
    return np.where(last > 0.0, np.minimum(time, NEVER), np.where(finish > start, NEVER, 0.0))
