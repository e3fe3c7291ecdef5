"""The buried line: what the ground and the line beside it take from the water.

Two tubes share the ground in one of two ways: side by side in separate jackets (``pair_…``, in ``pair``), or both in one
round jacket (``twin_…``, in ``twin``).  In both, the heat that leaves one line per length is
loss conductance * (its temperature - ground) + exchange conductance * (its temperature - the other line's).
"""

from __future__ import annotations

import numpy as np

from .measures import (
    Bore,
    ConductancePerLength,
    Conductivity,
    Days,
    Density,
    Diffusivity,
    HeatPerLength,
    Length,
    LineResistance,
    Power,
    Ratio,
    SpecificHeat,
    Temperature,
    TemperatureDifference,
    VolumeFlow,
    above,
    at_least,
)
from .named import named

YEAR_IN_DAYS = 365.0  # day
YEAR_IN_SECONDS = 365.0 * 86400.0  # s
SURFACE_RESISTANCE = 0.0685  # m² K/W, between the ground's surface and the air
ENDLESS = 1000.0  # transfer units: water that stands has all the time to come to rest

_KUSUDA = "Kusuda and Achenbach 1965; formula from a public page, verified against the heat equation"
_FIRST_LAW = "first law with a constant conductance per length"

_BURIED = ("depth must exceed half the outer diameter", lambda depth, outer_diameter, *_: 2.0 * depth > outer_diameter)


# --- the ground itself ---------------------------------------------------------------------------------------


@named(source=_KUSUDA)
def damping_depth(diffusivity: Diffusivity) -> Length:
    """Depth at which the yearly swing of the ground has shrunk to 37 %.

    diffusivity: of the soil

    >>> round(damping_depth.metric(0.05), 4)
    2.4102
    """
    return np.sqrt(YEAR_IN_SECONDS * diffusivity / np.pi)


@named(source=_KUSUDA, accuracy="solves the heat equation exactly; the ground itself departs from it by snow, frost and water")
def ground_temperature(
    depth: Length,
    day: Days,
    mean_temperature: Temperature,
    amplitude: TemperatureDifference,
    coldest_day: Days,
    diffusivity: Diffusivity,
) -> Temperature:
    """Undisturbed ground temperature at a depth on a day of the year.

    depth: below the surface
    day: of the year
    mean_temperature: yearly mean of the ground's surface, near that of the air
    amplitude: half the yearly swing of the surface, from mean to coldest
    coldest_day: day of the year when the surface is coldest
    diffusivity: of the soil

    >>> round(ground_temperature.metric(0.6, 35, 10, 12, 35, 0.05), 4)
    0.9329
    """
    lag = depth / damping_depth(diffusivity)
    return mean_temperature - amplitude * np.exp(-lag) * np.cos(2.0 * np.pi * (day - coldest_day) / YEAR_IN_DAYS - lag)


@named(
    source="EN 13941, equivalent depth for R0 = 0.0685 m² K/W; from memory",
    accuracy="within 5e-5 of a true surface film (finite elements)",
)
def depth_with_surface_film(depth: Length, conductivity: Conductivity) -> Length:
    """Depth that stands for the soil and the film of air above it.

    depth: from the surface to the centre of the line
    conductivity: of the soil

    With this depth in place of the true one, the ground temperature of the other formulas is that of the air.

    >>> round(depth_with_surface_film(0.6, 1.0), 4)
    0.6685
    """
    return depth + SURFACE_RESISTANCE * conductivity


# --- one line ------------------------------------------------------------------------------------------------


@named(
    source="conduction through a cylinder (Incropera, table 3.3)",
    ranges={"outer_diameter": above(0.0)},
    requires=(
        ("outer_diameter must be at least inner_diameter", lambda inner_diameter, outer_diameter, _: outer_diameter >= inner_diameter),
    ),
)
def layer_resistance(inner_diameter: Bore, outer_diameter: Bore, conductivity: Conductivity) -> LineResistance:
    """Thermal resistance of a round layer: a tube's wall, a jacket.

    inner_diameter: of the layer
    outer_diameter: of the layer; equal to the inner one, there is no layer and no resistance
    conductivity: of the layer's material; a wet jacket has that of a wet jacket

    >>> round(layer_resistance(0.5, 0.7, 0.069), 3)
    0.776
    """
    return np.log(outer_diameter / inner_diameter) / (2.0 * np.pi * conductivity)


@named(
    source="shape factor 2πL/arccosh(2z/D) (Incropera, table 4.1)",
    accuracy="exact for a surface of one temperature; within 0.1 % for an insulated line, 0.3 % at 0.3 m in poor insulation",
    requires=(_BURIED,),
)
def soil_resistance(depth: Length, outer_diameter: Bore, conductivity: Conductivity) -> LineResistance:
    """Thermal resistance of the soil between one buried line and the ground's surface.

    depth: from the surface to the centre of the line
    outer_diameter: of the line, over its jacket
    conductivity: of the soil

    >>> round(soil_resistance(1.5, 0.7, 0.52), 3)
    0.653
    """
    return np.arccosh(2.0 * depth / outer_diameter) / (2.0 * np.pi * conductivity)


@named(
    source="resistances in series",
    requires=(("line_resistance and soil_resistance must not both be zero", lambda line, soil: line + soil > 0),),
)
def single_loss_conductance(line_resistance: LineResistance, soil_resistance: LineResistance) -> ConductancePerLength:
    """Heat that one line alone loses per length and degree.

    line_resistance: of the tube's wall and the jacket together
    soil_resistance: from the line to the ground's surface

    >>> round(single_loss_conductance(8.696, 0.301), 4)
    0.1111
    """
    return 1.0 / (line_resistance + soil_resistance)


@named(
    source="resistances in series",
    requires=(("line_resistance and soil_resistance must not both be zero", lambda _water, _ground, line, soil: line + soil > 0),),
)
def line_loss(
    temperature: Temperature, ground_temperature: Temperature, line_resistance: LineResistance, soil_resistance: LineResistance
) -> HeatPerLength:
    """Heat that one buried line loses per length.

    temperature: of the water
    ground_temperature: undisturbed, at the depth of the line
    line_resistance: of the tube's wall and the jacket together
    soil_resistance: from the line to the ground's surface

    >>> round(line_loss(80.0, 10.0, 8.696, 0.301), 2)
    7.78
    """
    return (temperature - ground_temperature) / (line_resistance + soil_resistance)


@named(source="definition: 2π * conductivity * resistance")
def resistance_ratio(resistance: LineResistance, conductivity: Conductivity) -> Ratio:
    """Resistance of a round layer as a multiple of the scale of what lies round it.

    resistance: of the layer
    conductivity: of what lies round it

    >>> round(resistance_ratio(8.6, 1.5), 2)
    81.05
    """
    return 2.0 * np.pi * conductivity * resistance


# --- what a line does to the water ------------------------------------------------------------------------------


@named(source=_FIRST_LAW, ranges={"loss_conductance": at_least(0.0), "exchange_conductance": at_least(0.0)})
def line_equilibrium_temperature(
    ground_temperature: Temperature,
    other_temperature: Temperature,
    loss_conductance: ConductancePerLength,
    exchange_conductance: ConductancePerLength,
) -> Temperature:
    """Temperature that standing water in a line would take.

    ground_temperature: undisturbed, at the depth of the line
    other_temperature: of the line beside it
    loss_conductance: of the line to the ground
    exchange_conductance: between the lines; 0 for one line alone

    >>> line_equilibrium_temperature(10.0, 70.0, 0.2, 0.1)
    30.0
    """
    # By differences, so that a conversion of temperatures folds into the formula; a line that loses nothing takes the ground's.
    both = loss_conductance + exchange_conductance
    share = np.where(both > 0.0, exchange_conductance / both, 0.0)
    return ground_temperature + share * (other_temperature - ground_temperature)


@named(source=_FIRST_LAW, ranges={"loss_conductance": at_least(0.0), "exchange_conductance": at_least(0.0)})
def line_transfer_units(
    length: Length,
    loss_conductance: ConductancePerLength,
    exchange_conductance: ConductancePerLength,
    flow: VolumeFlow,
    density: Density,
    specific_heat: SpecificHeat,
) -> Ratio:
    """Conductance of a whole line against the heat its water carries per degree.

    length: of the line, one way
    loss_conductance: of the line to the ground
    exchange_conductance: between the lines; 0 for one line alone
    flow: in the line; without one the number is 1000, as good as endless
    density: of the liquid
    specific_heat: of the liquid

    >>> round(line_transfer_units(100.0, 0.25, 0.0, 0.0002, 1000.0, 4180.0), 5)
    0.0299
    """
    conductance = (loss_conductance + exchange_conductance) * length
    return np.where(flow > 0.0, conductance / (flow * density * specific_heat), np.where(conductance > 0.0, ENDLESS, 0.0))


@named(
    source=_FIRST_LAW,
    accuracy="exact for a ground and another line of one temperature along the whole length",
    ranges={"loss_conductance": at_least(0.0), "exchange_conductance": at_least(0.0)},
)
def line_outlet_temperature(
    inlet_temperature: Temperature,
    ground_temperature: Temperature,
    other_temperature: Temperature,
    length: Length,
    loss_conductance: ConductancePerLength,
    exchange_conductance: ConductancePerLength,
    flow: VolumeFlow,
    density: Density,
    specific_heat: SpecificHeat,
) -> Temperature:
    """Temperature of the water at the end of a buried line.

    inlet_temperature: of the water where it enters
    ground_temperature: undisturbed, at the depth of the line
    other_temperature: mean of the line beside it
    length: of the line, one way
    loss_conductance: of the line to the ground
    exchange_conductance: between the lines; 0 for one line alone
    flow: in the line; with none the water takes the temperature that standing water would
    density: of the liquid
    specific_heat: of the liquid

    >>> round(line_outlet_temperature(70.0, 5.0, 5.0, 100.0, 0.25, 0.0, 0.0002, 1000.0, 4180.0), 4)
    68.085
    """
    rest = line_equilibrium_temperature(ground_temperature, other_temperature, loss_conductance, exchange_conductance)
    units = line_transfer_units(length, loss_conductance, exchange_conductance, flow, density, specific_heat)
    return rest + (inlet_temperature - rest) * np.exp(-units)


@named(source="heat balance: load = flow * density * specific heat * drop")
def line_loss_from_readings(
    flow: VolumeFlow, inlet_temperature: Temperature, outlet_temperature: Temperature, density: Density, specific_heat: SpecificHeat
) -> Power:
    """Heat that a line loses, as a thermometer at each end says.

    flow: in the line
    inlet_temperature: read where the water enters
    outlet_temperature: read where it leaves; above the other, the loss is negative
    density: of the liquid
    specific_heat: of the liquid

    >>> round(line_loss_from_readings.us(8, 180, 178.5, 60.6, 1.0))
    5833
    """
    return flow * density * specific_heat * (inlet_temperature - outlet_temperature)
