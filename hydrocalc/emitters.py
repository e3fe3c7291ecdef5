"""Emitters: what baseboard, radiators, fan heaters and floors give at the water they really get.

Output follows the excess of the mean water over the room, to a power.  The water that arrives is hotter than
the mean by output times a resistance (the half drop along the emitter, an exchanger before it, a floor above
the tubes), so one equation covers them all: excess + resistance * output(excess) = arriving water less room.
"""

from __future__ import annotations

import numpy as np

from .exchangers import (
    capacity_ratio,
    counterflow_effectiveness,
    counterflow_transfer_units,
    effectiveness_from_output,
    smaller_capacity_rate,
    transfer_units,
)
from .loads import AIR_SPECIFIC_HEAT
from .measures import (
    AirFlow,
    Area,
    AreaResistance,
    Conductance,
    Density,
    Fraction_,
    Limits,
    Power,
    Ratio,
    Resistance,
    Temperature,
    TemperatureDifference,
    above,
    at_least,
    between,
)
from .named import named

FLOOR_COEFFICIENT = 8.92  # W/m² for an excess of 1 K
FLOOR_EXPONENT = 1.1
NEWTON_STEPS = 4
NO_FLOW = 5e8  # K/W, the resistance without flow: next to nothing comes through

_LAW = "EN 442: output = rated output * (excess / rated excess)^exponent"
_EQUATION = "excess + resistance * output(excess) = available, by Newton's method"
_EMITTER = {
    "rated_output": at_least(0.0),
    "rated_excess": above(0.0),
    "exponent": between(1.0, 2.0),
}
_VALID_EXPONENT = {"exponent": between(1.0, 1.6)}


@named(source="EN 442: arithmetic mean", accuracy="the logarithmic mean of the excess is 0.3 to 2.2 % lower at the usual drops")
def mean_water_temperature(supply: Temperature, return_: Temperature) -> Temperature:
    """Mean water temperature of an emitter.

    supply: water entering
    return_: water leaving

    >>> round(mean_water_temperature.us(180, 160), 6)
    170.0
    """
    return (supply + return_) / 2.0


@named(source=_LAW, accuracy="as the maker's exponent; fin-tube and baseboard 1.4, common practice", ranges=_EMITTER, valid=_VALID_EXPONENT)
def emitter_output(rated_output: Power, rated_excess: TemperatureDifference, excess: TemperatureDifference, exponent: Ratio) -> Power:
    """Output of an emitter at an excess of its mean water over the room.

    rated_output: at the rated excess
    rated_excess: mean water less room air at the rating
    excess: mean water less room air; at or below 0 nothing is given
    exponent: of the emitter, see the table of emitters

    >>> round(emitter_output.us(580, 115, 95, 1.4), 1)
    443.9
    """
    return rated_output * (np.maximum(excess, 0.0) / rated_excess) ** exponent


@named(
    source=_LAW + ", solved for the excess",
    accuracy="as the maker's exponent",
    ranges={**_EMITTER, "output": at_least(0.0), "rated_output": above(0.0)},
    valid=_VALID_EXPONENT,
)
def excess_for_output(output: Power, rated_output: Power, rated_excess: TemperatureDifference, exponent: Ratio) -> TemperatureDifference:
    """Excess of the mean water over the room at which an emitter gives an output.

    output: wanted
    rated_output: at the rated excess
    rated_excess: mean water less room air at the rating
    exponent: of the emitter

    >>> round(excess_for_output.us(443.9, 580, 115, 1.4), 2)
    95.0
    """
    return rated_excess * (output / rated_output) ** (1.0 / exponent)


@named(source="half the drop along the emitter: 1 / (2 * capacity rate)")
def mean_water_resistance(capacity_rate: Conductance) -> Resistance:
    """Degrees that arriving water is above the mean water, for each unit of output, direct.

    capacity_rate: heat that the emitter's flow carries per degree; with none next to nothing is given

    >>> round(mean_water_resistance(1000.0), 6)
    0.0005
    """
    return np.where(capacity_rate > 0.0, 1.0 / (2.0 * capacity_rate), NO_FLOW)


@named(
    source="exchanger and half the drop behind it: 1/(effectiveness * smaller rate) - 1/(2 * rate of the second side)",
    ranges={"effectiveness": Limits(0.0, 1.0, low_open=True)},
    requires=(
        (
            "smaller_capacity_rate must be at most second_capacity_rate",
            lambda _effectiveness, smaller_capacity_rate, second_capacity_rate: smaller_capacity_rate <= second_capacity_rate,
        ),
    ),
)
def exchanger_water_resistance(
    effectiveness: Fraction_, smaller_capacity_rate: Conductance, second_capacity_rate: Conductance
) -> Resistance:
    """Degrees that arriving water is above the mean water, for each unit of output, behind an exchanger.

    effectiveness: of the exchanger
    smaller_capacity_rate: smaller of the capacity rates of its two sides
    second_capacity_rate: of the emitter's own loop

    >>> round(exchanger_water_resistance(0.8, 1000.0, 1000.0), 6)
    0.00075
    """
    flows = (smaller_capacity_rate > 0.0) & (second_capacity_rate > 0.0)
    return np.where(flows, 1.0 / (effectiveness * smaller_capacity_rate) - 1.0 / (2.0 * second_capacity_rate), NO_FLOW)


@named(
    source=_EQUATION + ": a start above the root, exact for no resistance, for an endless one, and for an exponent of 1",
    accuracy="a start; four steps follow",
    ranges=_EMITTER,
    valid=_VALID_EXPONENT,
)
def emitter_excess_start(
    available: TemperatureDifference, resistance: Resistance, rated_output: Power, rated_excess: TemperatureDifference, exponent: Ratio
) -> TemperatureDifference:
    """Excess of the mean water over the room, first estimate.

    available: arriving water less room; at or below 0 nothing is given
    resistance: degrees from the arriving to the mean water for each unit of output
    rated_output: at the rated excess
    rated_excess: mean water less room air at the rating
    exponent: of the emitter

    >>> round(emitter_excess_start.us(110, 0.0001, 80000, 115, 1.4), 3)
    104.927
    """
    drop = resistance * emitter_output(rated_output, rated_excess, available, exponent)
    return np.where(available > 0.0, available / (1.0 + drop / available) ** (1.0 / exponent), 0.0)


@named(
    source=_EQUATION + ": one step",
    accuracy="a step; four give 1e-13 of the root",
    ranges={**_EMITTER, "excess": at_least(0.0)},
    valid=_VALID_EXPONENT,
)
def emitter_excess_step(
    excess: TemperatureDifference,
    available: TemperatureDifference,
    resistance: Resistance,
    rated_output: Power,
    rated_excess: TemperatureDifference,
    exponent: Ratio,
) -> TemperatureDifference:
    """Excess of the mean water over the room, one Newton step nearer.

    excess: estimate to be refined
    available: arriving water less room; at or below 0 nothing is given
    resistance: degrees from the arriving to the mean water for each unit of output
    rated_output: at the rated excess
    rated_excess: mean water less room air at the rating
    exponent: of the emitter

    >>> round(emitter_excess_step.us(104.927, 110, 0.0001, 80000, 115, 1.4), 3)
    103.132
    """
    drop = resistance * emitter_output(rated_output, rated_excess, excess, exponent)
    there = np.maximum(available, 0.0)
    return np.where(excess > 0.0, excess - (excess + drop - there) / (1.0 + exponent * drop / excess), there)


@named(source=_EQUATION, accuracy="within 1e-13 of the exact root (four steps)", ranges=_EMITTER, valid=_VALID_EXPONENT)
def emitter_excess(
    available: TemperatureDifference, resistance: Resistance, rated_output: Power, rated_excess: TemperatureDifference, exponent: Ratio
) -> TemperatureDifference:
    """Excess of the mean water over the room at the water that arrives.

    available: arriving water less room; at or below 0 nothing is given
    resistance: degrees from the arriving to the mean water for each unit of output
    rated_output: at the rated excess
    rated_excess: mean water less room air at the rating
    exponent: of the emitter

    >>> round(emitter_excess.us(110, 0.0001, 80000, 115, 1.4), 3)
    103.132
    """
    excess = emitter_excess_start(available, resistance, rated_output, rated_excess, exponent)
    for _ in range(NEWTON_STEPS):
        excess = emitter_excess_step(excess, available, resistance, rated_output, rated_excess, exponent)
    return excess


@named(
    source=_LAW + ", with the resistance from the arriving to the mean water",
    accuracy="as the maker's exponent",
    ranges={**_EMITTER, "need": at_least(0.0), "rated_output": above(0.0)},
    valid=_VALID_EXPONENT,
)
def lowest_water_temperature(
    room: Temperature, need: Power, resistance: Resistance, rated_output: Power, rated_excess: TemperatureDifference, exponent: Ratio
) -> Temperature:
    """Lowest arriving water at which an emitter covers a need.

    room: air temperature
    need: output wanted
    resistance: degrees from the arriving to the mean water for each unit of output
    rated_output: at the rated excess
    rated_excess: mean water less room air at the rating
    exponent: of the emitter

    >>> round(lowest_water_temperature.us(65, 60000, 0.0001, 80000, 115, 1.4), 2)
    164.64
    """
    return room + excess_for_output(need, rated_output, rated_excess, exponent) + resistance * need


# --- fan heaters and duct coils --------------------------------------------------------------------------------


@named(
    source="proportion of the entering differences at unchanged flows; common practice",
    accuracy="exact at the rated flows; 22 to 39 % above an unmixed crossflow coil at a quarter of the rated water flow",
    ranges={"rated_output": at_least(0.0)},
    requires=(
        (
            "rated_entering_water must exceed rated_entering_air",
            lambda _output, rated_entering_water, rated_entering_air, *_: rated_entering_water > rated_entering_air,
        ),
    ),
)
def fan_heater_output(
    rated_output: Power,
    rated_entering_water: Temperature,
    rated_entering_air: Temperature,
    entering_water: Temperature,
    entering_air: Temperature,
) -> Power:
    """Output of a fan heater by plain proportion, at its rated flows.

    rated_output: at the rated temperatures
    rated_entering_water: water entering at the rating
    rated_entering_air: air entering at the rating
    entering_water: water entering; no hotter than the air it gives nothing
    entering_air: air entering

    >>> round(fan_heater_output.us(50000, 200, 60, 160, 60))
    35714
    """
    return rated_output * np.maximum(entering_water - entering_air, 0.0) / (rated_entering_water - rated_entering_air)


@named(
    source="definition: flow * density * specific heat; specific heat of air 0.24 BTU/(lb °F), common practice",
    accuracy="0.1 % below CoolProp's dry air at 0 °C",
)
def air_capacity_rate(air_flow: AirFlow, air_density: Density) -> Conductance:
    """Heat that a flow of air carries per degree.

    air_flow: of the air
    air_density: of the air where its flow is measured, as by ``air_density`` at an elevation

    >>> round(air_capacity_rate.us(1200, 0.075), 3)
    1296.0
    """
    return air_flow * air_density * AIR_SPECIFIC_HEAT


@named(
    source="Kays and London 1984, counterflow, solved for the conductance",
    accuracy="gives the rating back within 1e-10; from a quarter to twice the flow within 6 % of an unmixed crossflow coil so rated",
    ranges={"rated_output": at_least(0.0), "water_capacity_rate": above(0.0), "air_capacity_rate": above(0.0)},
    requires=(
        (
            "rated_output must be below what the smaller flow can carry between the entering temperatures",
            lambda rated_output, water, air, water_capacity_rate, air_capacity_rate: (
                rated_output < np.minimum(water_capacity_rate, air_capacity_rate) * (water - air)
            ),
        ),
    ),
)
def fan_heater_conductance(
    rated_output: Power,
    rated_entering_water: Temperature,
    rated_entering_air: Temperature,
    water_capacity_rate: Conductance,
    air_capacity_rate: Conductance,
) -> Conductance:
    """Conductance of a fan heater or duct coil from its rating.

    rated_output: at the rated temperatures and flows
    rated_entering_water: water entering at the rating
    rated_entering_air: air entering at the rating
    water_capacity_rate: of the rated water flow
    air_capacity_rate: of the rated air flow

    The coil is taken as counterflow, which has an explicit inverse and never refuses a real rating. The conductance is
    taken as constant; a real coil's falls with the flow of the water, so that very small flows give less than is reckoned.

    >>> round(fan_heater_conductance.us(92557.5, 180, 65, 4000, 1296))
    1429
    """
    smaller = smaller_capacity_rate(water_capacity_rate, air_capacity_rate)
    effectiveness = effectiveness_from_output(rated_output, smaller, rated_entering_water, rated_entering_air)
    return smaller * counterflow_transfer_units(effectiveness, capacity_ratio(water_capacity_rate, air_capacity_rate))


@named(source="Kays and London 1984, counterflow: effectiveness * smaller capacity rate", accuracy="as that of fan_heater_conductance")
def fan_heater_rate(conductance: Conductance, water_capacity_rate: Conductance, air_capacity_rate: Conductance) -> Conductance:
    """Output of a fan heater for each degree of entering water over entering air.

    conductance: of its coil
    water_capacity_rate: of the water flow that it gets
    air_capacity_rate: of its air flow

    >>> round(fan_heater_rate.us(1429.5, 4000, 1296) * 115, -2)
    92600.0
    """
    smaller = smaller_capacity_rate(water_capacity_rate, air_capacity_rate)
    units = transfer_units(conductance, smaller)
    return smaller * counterflow_effectiveness(units, capacity_ratio(water_capacity_rate, air_capacity_rate))


# --- floors ------------------------------------------------------------------------------------------------------


@named(
    source="EN 1264-2, basic characteristic curve: 8.92 W/m² * (excess in K)^1.1, from memory",
    accuracy="the standard's own curve; see the tests for its distance from other rules",
    correlation=True,
    valid={"floor_temperature": between(0.0, 45.0)},
)
def floor_output(area: Area, floor_temperature: Temperature, room_temperature: Temperature) -> Power:
    """Output of a heated floor at its surface temperature.

    area: of the floor that gives heat
    floor_temperature: mean of the surface; 29 °C is the limit where people stay (EN 1264)
    room_temperature: of the room; no colder than the floor, nothing is given

    As an emitter a floor has its output at any rated excess and the exponent 1.1.

    >>> round(floor_output(1.0, 29.0, 20.0), 2)
    100.01
    """
    return area * FLOOR_COEFFICIENT * np.maximum(floor_temperature - room_temperature, 0.0) ** FLOOR_EXPONENT


@named(source="series resistance of one dimension, over the area", ranges={"area": above(0.0)})
def floor_resistance(area: Area, slab_resistance: AreaResistance, covering_resistance: AreaResistance) -> Resistance:
    """Degrees that the mean water of a floor is above its surface, for each unit of output.

    area: of the floor that gives heat
    slab_resistance: from the water to the covering
    covering_resistance: of the covering, see the table of floor coverings

    >>> round(floor_resistance.us(500, 0.4, 0.2), 6)
    0.0012
    """
    return (slab_resistance + covering_resistance) / area
