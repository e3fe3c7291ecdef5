"""The boiler's water and its fire: bands, firings, charges, a month's fuel, a tank beside it, and a power cut.

Where something never happens (a fire that the load outruns never fills the band, water in a warm room never
freezes) the time is ``NEVER``, 100,000 hours, so that a sheet keeps a number.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from .measures import (
    DRY_WOOD_HEAT,
    EFFICIENCY,
    Conductance,
    ConductancePerArea,
    Density,
    Energy,
    Fraction_,
    HeatingValue,
    Length,
    Mass,
    Minutes,
    PerHour,
    Power,
    SeasonEnergy,
    Space,
    SpecificHeat,
    Temperature,
    TemperatureDifference,
    Time,
    Volume,
    above,
    at_least,
)
from .named import named

NEVER = 100_000.0 * 3600.0  # s

_BALANCE = "heat balance of well-mixed water"
_COOLING = "lumped cooling (Newton): exact for one temperature of the water and constant surroundings"
_BURN = "definition: heat of a charge against load"


@named(
    source=_BALANCE,
    requires=(("high must be at least low", lambda _volume, low, high, *_: high >= low),),
)
def stored_heat(volume: Volume, low: Temperature, high: Temperature, density: Density, specific_heat: SpecificHeat) -> Energy:
    """Heat that water stores between two temperatures.

    volume: of the water
    low: where the store is empty; equal to high, it holds nothing
    high: where the store is full
    density: of the water where its volume is measured
    specific_heat: of the water

    >>> round(stored_heat.us(300, 160, 180, 8.33 * 1728 / 231, 1.0))
    49980
    """
    return volume * density * specific_heat * (high - low)


@named(source=_BALANCE, ranges={"stored_heat": at_least(0.0), "firing_rate": at_least(0.0), "load": at_least(0.0)})
def recovery_time(stored_heat: Energy, firing_rate: Power, load: Power) -> Minutes:
    """Time that a firing takes to fill the band.

    stored_heat: of the band
    firing_rate: heat of the fire to the water
    load: heat that is taken meanwhile; at or above the firing rate the band never fills

    >>> round(recovery_time.us(49980, 150000, 40000), 2)
    27.26
    """
    return np.where(firing_rate > load, np.minimum(stored_heat / (firing_rate - load), NEVER), NEVER)


@named(source=_BALANCE, ranges={"stored_heat": at_least(0.0), "load": at_least(0.0)})
def idle_time(stored_heat: Energy, load: Power) -> Minutes:
    """Time that the band carries the load while the fire rests.

    stored_heat: of the band
    load: heat that is taken, the jacket's loss included; with none the band lasts for ever

    >>> round(idle_time.us(49980, 40000), 2)
    74.97
    """
    return np.where(load > 0.0, np.minimum(stored_heat / load, NEVER), NEVER)


@named(source=_BALANCE, ranges={"stored_heat": at_least(0.0), "firing_rate": at_least(0.0), "load": at_least(0.0)})
def firing_cycle_time(stored_heat: Energy, firing_rate: Power, load: Power) -> Minutes:
    """Time from one firing to the next.

    stored_heat: of the band
    firing_rate: heat of the fire to the water
    load: heat that is taken

    >>> round(firing_cycle_time.us(49980, 150000, 40000), 2)
    102.23
    """
    return recovery_time(stored_heat, firing_rate, load) + idle_time(stored_heat, load)


@named(source=_BALANCE, ranges={"stored_heat": at_least(0.0), "firing_rate": above(0.0)})
def shortest_cycle(stored_heat: Energy, firing_rate: Power) -> Minutes:
    """Shortest time from one firing to the next, at a load of half the firing rate.

    stored_heat: of the band
    firing_rate: heat of the fire to the water

    >>> round(shortest_cycle.us(49980, 150000), 2)
    79.97
    """
    return 4.0 * stored_heat / firing_rate


@named(source="definition", ranges={"firing_cycle_time": above(0.0)})
def cycles_per_hour(firing_cycle_time: Minutes) -> PerHour:
    """Firings in an hour.

    firing_cycle_time: from one firing to the next

    >>> cycles_per_hour.us(30)
    2.0
    """
    return 1.0 / firing_cycle_time


@named(source=_BALANCE, ranges={"firing_rate": above(0.0), "load": at_least(0.0)})
def firing_share(firing_rate: Power, load: Power) -> Fraction_:
    """Share of the time that the fire burns.

    firing_rate: heat of the fire to the water
    load: heat that is taken; at or above the firing rate the fire burns all the time

    >>> round(firing_share.us(150000, 40000), 2)
    26.67
    """
    return np.minimum(load / firing_rate, 1.0)


@named(source="definition: volume * bulk density")
def charge_mass(firebox_volume: Space, fill_fraction: Fraction_, bulk_density: Density) -> Mass:
    """Mass of a charge of wood, oven-dry.

    firebox_volume: usable
    fill_fraction: of that volume, filled with stacked wood
    bulk_density: oven-dry mass per volume of stacked wood

    >>> round(charge_mass.us(35, 80, 10), 6)
    280.0
    """
    return firebox_volume * fill_fraction * bulk_density


@named(
    source="definition: oven-dry mass * heating value * efficiency", ranges={"dry_heating_value": DRY_WOOD_HEAT, "efficiency": EFFICIENCY}
)
def charge_heat(charge_mass: Mass, dry_heating_value: HeatingValue, efficiency: Fraction_) -> Energy:
    """Heat of a charge to the water.

    charge_mass: oven-dry
    dry_heating_value: gross, of oven-dry wood
    efficiency: on the gross heat, at the wood's moisture

    >>> round(charge_heat.us(160, 8600, 60))
    825600
    """
    return charge_mass * dry_heating_value * efficiency


@named(source=_BURN, ranges={"charge_heat": at_least(0.0), "load": at_least(0.0)})
def burn_time(charge_heat: Energy, load: Power) -> Time:
    """Time that a charge carries the load.

    charge_heat: to the water
    load: heat that is taken, line and jacket losses and what the idling fire burns included; with none the charge lasts for ever

    >>> round(burn_time.us(825600, 60000), 2)
    13.76
    """
    return np.where(load > 0.0, np.minimum(charge_heat / load, NEVER), NEVER)


@named(source=_BURN, ranges={"charge_heat": at_least(0.0), "hours": above(0.0)})
def sustained_output(charge_heat: Energy, hours: Time) -> Power:
    """Heat that a charge gives steadily from one loading to the next.

    charge_heat: to the water
    hours: between loadings

    >>> round(sustained_output.us(1083600, 12))
    90300
    """
    return charge_heat / hours


@named(
    source=_BALANCE,
    ranges={"charge_heat": at_least(0.0), "load": at_least(0.0), "swing": above(0.0)},
)
def charge_buffer_volume(
    charge_heat: Energy, load: Power, burn_time: Time, swing: TemperatureDifference, density: Density, specific_heat: SpecificHeat
) -> Volume:
    """Water that holds what a charge gives beyond the load while it burns.

    charge_heat: to the water
    load: heat that is taken while the charge burns
    burn_time: of a charge at full fire
    swing: from the tank's coldest useful temperature to its hottest
    density: of the water
    specific_heat: of the water

    >>> round(charge_buffer_volume.us(825600, 30000, 4, 50, 61.0, 1.0))
    1731
    """
    return np.maximum(charge_heat - load * burn_time, 0.0) / (density * specific_heat * swing)


@named(
    source=_BALANCE,
    ranges={"minimum_firing_time": at_least(0.0), "firing_rate": at_least(0.0), "load": at_least(0.0), "swing": above(0.0)},
)
def buffer_volume(
    minimum_firing_time: Minutes,
    firing_rate: Power,
    load: Power,
    swing: TemperatureDifference,
    density: Density,
    specific_heat: SpecificHeat,
) -> Volume:
    """Water that makes each firing last at least so long.

    minimum_firing_time: wanted
    firing_rate: heat of the fire to the water
    load: heat that is taken meanwhile; at or above the firing rate no water is needed
    swing: of the water between the fire's start and its rest
    density: of the water
    specific_heat: of the water

    >>> round(buffer_volume.us(10, 68000, 5000, 20, 8.33 * 1728 / 231, 1.0), 2)
    63.03
    """
    return minimum_firing_time * np.maximum(firing_rate - load, 0.0) / (density * specific_heat * swing)


@named(source=_BALANCE, accuracy="the jacket's loss left out, which is the cautious side", ranges={"firing_rate": at_least(0.0)})
def time_to_boil(
    volume: Volume,
    temperature: Temperature,
    boiling_temperature: Temperature,
    firing_rate: Power,
    density: Density,
    specific_heat: SpecificHeat,
) -> Minutes:
    """Time in which a fire that nothing cools brings the boiler's water to boiling.

    volume: of the boiler's water
    temperature: of the water when the pump stops; at boiling there is no time left
    boiling_temperature: at the pressure in the boiler
    firing_rate: heat of the fire to the water; with none it never boils
    density: of the water
    specific_heat: of the water

    >>> round(time_to_boil.us(200, 185, 212, 200000, 60.5, 1.0), 1)
    13.1
    """
    heat = volume * density * specific_heat * np.maximum(boiling_temperature - temperature, 0.0)
    return np.where(firing_rate > 0.0, np.minimum(heat / firing_rate, NEVER), NEVER)


@named(source=_BALANCE, ranges={"heat_to_water": at_least(0.0), "jacket_loss": at_least(0.0), "rated_output": above(0.0)})
def month_idle_time(lit_time: Time, heat_to_water: SeasonEnergy, jacket_loss: SeasonEnergy, rated_output: Power) -> Time:
    """Hours of a month in which the boiler is lit and its fire rests.

    lit_time: hours of the month in which the boiler is lit
    heat_to_water: that leaves the boiler in the month
    jacket_loss: of the boiler in the month
    rated_output: heat of the full fire to the water

    >>> round(month_idle_time.us(730, 29.2, 0, 200000), 6)
    584.0
    """
    return np.maximum(lit_time - (heat_to_water + jacket_loss) / rated_output, 0.0)


@named(
    source="heat balance: full fire for the heat, an idle share of it for the rest of the time",
    ranges={
        "heat_to_water": at_least(0.0),
        "jacket_loss": at_least(0.0),
        "efficiency": EFFICIENCY,
        "rated_output": at_least(0.0),
    },
)
def month_fuel(
    heat_to_water: SeasonEnergy,
    jacket_loss: SeasonEnergy,
    efficiency: Fraction_,
    idle_share: Fraction_,
    rated_output: Power,
    idle_time: Time,
) -> SeasonEnergy:
    """Gross heat of the wood that a month burns.

    heat_to_water: that leaves the boiler in the month
    jacket_loss: of the boiler in the month
    efficiency: at full fire, on the gross heat; or over a season, then idle share and jacket loss are 0
    idle_share: fuel of a resting fire as a part of the full fire's
    rated_output: heat of the full fire to the water
    idle_time: hours in which the fire rests

    >>> round(month_fuel.us(29.2, 0, 65, 4, 200000, 584), 1)
    52.1
    """
    return (heat_to_water + jacket_loss + idle_share * rated_output * idle_time) / efficiency


def fire_heat(load: Any, jacket_loss: Any, idle_share: Any, rated_output: Any) -> Any:
    """What the fire makes of its wood for a load: the month's rule of ``month_fuel``, for a steady hour."""
    made = load + jacket_loss
    return made + idle_share * np.maximum(rated_output - made, 0.0)


def heat_left(fire_heat: Any, jacket_loss: Any, idle_share: Any, rated_output: Any) -> Any:
    """The load that so much heat of the fire carries: the same rule turned round."""
    idling = (fire_heat - idle_share * rated_output) / (1.0 - idle_share)
    return np.maximum(np.where(fire_heat < rated_output, idling, fire_heat) - jacket_loss, 0.0)


@named(source="definition: surface of a flat-ended cylinder * conductance of the surface")
def tank_conductance(diameter: Length, length: Length, conductance_per_area: ConductancePerArea) -> Conductance:
    """Conductance of the jacket of a cylindrical tank.

    diameter: of the tank
    length: of the tank
    conductance_per_area: of its insulation (one over its resistance of an area)

    >>> round(tank_conductance.us(4, 6, 1 / 20) * 120, 1)
    603.2
    """
    return np.pi * diameter * (length + diameter / 2.0) * conductance_per_area


@named(source=_COOLING, ranges={"volume": above(0.0)})
def cooled_temperature(
    volume: Volume,
    start: Temperature,
    surroundings: Temperature,
    conductance: Conductance,
    elapsed: Time,
    density: Density,
    specific_heat: SpecificHeat,
) -> Temperature:
    """Temperature of standing water after a time without heat.

    volume: of the water
    start: temperature at the beginning
    surroundings: temperature around it
    conductance: from the water to the surroundings
    elapsed: time since the beginning
    density: of the water
    specific_heat: of the water

    >>> round(cooled_temperature.us(300, 180, 0, 6, 12, 8.33 * 1728 / 231, 1.0), 2)
    174.89
    """
    return surroundings + (start - surroundings) * np.exp(-conductance * elapsed / (volume * density * specific_heat))


@named(source=_COOLING)
def cooling_constant(volume: Volume, conductance: Conductance, density: Density, specific_heat: SpecificHeat) -> Time:
    """Time in which water would cool to its surroundings if it went on losing heat as at first.

    volume: of the water
    conductance: from the water to the surroundings; with none the time is 100,000 hours
    density: of the water
    specific_heat: of the water

    >>> round(cooling_constant.us(300, 6, 8.33 * 1728 / 231, 1.0), 2)
    416.5
    """
    return np.where(conductance > 0.0, volume * density * specific_heat / conductance, NEVER)


@named(source=_COOLING, accuracy="exact down to freezing, whose own heat is left out on the cautious side")
def cooling_time(
    volume: Volume,
    start: Temperature,
    finish: Temperature,
    surroundings: Temperature,
    conductance: Conductance,
    density: Density,
    specific_heat: SpecificHeat,
) -> Time:
    """Time in which standing water cools to a temperature.

    volume: of the water
    start: temperature at the beginning
    finish: temperature to which it cools, 32 °F for freezing; at or above the start no time is needed
    surroundings: temperature around it; at or above the finish it never cools so far
    conductance: from the water to the surroundings
    density: of the water
    specific_heat: of the water

    >>> round(cooling_time.us(300, 180, 32, 0, 6, 8.33 * 1728 / 231, 1.0), 1)
    719.4
    """
    time = cooling_constant(volume, conductance, density, specific_heat) * np.log((start - surroundings) / (finish - surroundings))
    cools = (finish > surroundings) & (conductance > 0.0)
    return np.where(start <= finish, 0.0, np.where(cools, np.minimum(time, NEVER), NEVER))


@named(source="mixing balance at equal density")
def return_mixing_fraction(supply_temperature: Temperature, return_temperature: Temperature, limit_temperature: Temperature) -> Fraction_:
    """Share of the boiler's flow that must be supply water, mixed into the return to keep it warm.

    supply_temperature: of the water that leaves the boiler
    return_temperature: of the water that comes back from the loads
    limit_temperature: the lowest that may enter the boiler; at or above the supply nothing is enough and the share is all

    >>> round(return_mixing_fraction.us(180, 110, 140), 2)
    42.86
    """
    share = (limit_temperature - return_temperature) / (supply_temperature - return_temperature)
    return np.where(limit_temperature <= return_temperature, 0.0, np.where(limit_temperature < supply_temperature, share, 1.0))
