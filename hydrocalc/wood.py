"""Wood as fuel: moisture, heat of a pound and of a cord, what the stack takes, and the cords that a winter needs.

Moisture is on the wet basis (water per wet wood) unless an argument says dry; heat is gross (the water of the flue
gas condensed) unless a name says net.  Gross heat per dry mass does not depend on moisture: what moisture costs
leaves through the stack, and ``stack_loss_fraction`` is where it enters the efficiency.
"""

from __future__ import annotations

import numpy as np

from .measures import (
    DRY_WOOD_HEAT,
    EFFICIENCY,
    SPACE,
    CordEnergy,
    Cords,
    Fraction_,
    HeatingValue,
    Length,
    Limits,
    Mass,
    Ratio,
    SeasonEnergy,
    Space,
    Temperature,
    above,
    at_least,
    between,
)
from .named import named

# The sources print BTU, lb and °F; the ratios below are exact: 1 BTU/lb = 2326 J/kg, 1 BTU/(lb °F) = 4186.8 J/(kg K).
HYDROGEN = 0.06  # kg/kg of dry wood
WATER_OF_HYDROGEN = 9.0  # kg/kg: water that hydrogen burns to
LATENT_HEAT = 1050.0 * 2326.0  # J/kg, of the water in the flue gas at the reference temperature
BOILING_LATENT_HEAT = 970.3 * 2326.0  # J/kg, at the boiling point
BOILING_TEMPERATURE = 100.0  # °C
WATER_SPECIFIC_HEAT = 4186.8  # J/(kg K), 1 BTU/(lb °F)
STEAM_SPECIFIC_HEAT = 0.46 * 4186.8  # J/(kg K)
GAS_SPECIFIC_HEAT = 0.24 * 4186.8  # J/(kg K), of dry flue gas
AIR_FOR_WOOD = 6.04  # kg/kg of dry wood with 50.5 % carbon, 6 % hydrogen, 43 % oxygen
WATER_DENSITY = 62.4 * 0.45359237 / 0.3048**3  # kg/m³, of which specific gravity is a multiple
CORD = 1.0  # cord
CORD_SPACE = 128.0 * 0.3048**3  # m³/cord: a stack of 4 ft by 4 ft by 8 ft

_SOLID = between(0.0, SPACE.us.to_coherent(128.0))  # a cord holds no more than its stack
_MOIST = Limits(0.0, 1.0, high_open=True)
_DEFINITION = "definition (Wood Handbook, chapter 4)"
_GROSS_AND_NET = "FPL-GTR-29 (formula from memory): gross less 1050 BTU per lb of water, hydrogen 6 % of dry wood"
_CORD = "Wood Handbook density relation: specific gravity * 62.4 lb/ft³ * solid volume"
_STACK = "FPL-GTR-29 (constants from memory), air from the stoichiometry of C 50.5, H 6, O 43 %; flue-gas balance re-derived"
_STACK_ACCURACY = "within 0.2 % of the heat left, of a balance with ideal-gas enthalpies, at 300 to 500 °F; no unburnt gas"
_FLUE_VALID = {"stack_temperature": between(100.0, 350.0), "excess_air": between(0.2, 2.0)}
_WARM_STACK = "stack_temperature must be at least air_temperature"


@named(source=_DEFINITION, ranges={"dry_basis": at_least(0.0)})
def wet_basis_moisture(dry_basis: Fraction_) -> Fraction_:
    """Moisture on the wet basis: water per wet wood.

    dry_basis: water per oven-dry wood, as a pin meter shows it

    >>> round(wet_basis_moisture(0.25), 6)
    0.2
    """
    return dry_basis / (1.0 + dry_basis)


@named(source=_DEFINITION, ranges={"wet_basis": _MOIST})
def dry_basis_moisture(wet_basis: Fraction_) -> Fraction_:
    """Moisture on the dry basis: water per oven-dry wood.

    wet_basis: water per wet wood; all water (100 %) has no dry basis

    >>> dry_basis_moisture(0.5)
    1.0
    """
    return wet_basis / (1.0 - wet_basis)


@named(source=_GROSS_AND_NET, ranges={"dry_heating_value": DRY_WOOD_HEAT})
def gross_heating_value(dry_heating_value: HeatingValue, moisture: Fraction_) -> HeatingValue:
    """Gross heat of wood per mass as fired.

    dry_heating_value: gross, of oven-dry wood
    moisture: on the wet basis

    >>> round(gross_heating_value.us(8600, 20), 1)
    6880.0
    """
    return dry_heating_value * (1.0 - moisture)


@named(source=_GROSS_AND_NET, accuracy="within 0.1 % of a molar balance", ranges={"dry_heating_value": DRY_WOOD_HEAT})
def net_heating_value(dry_heating_value: HeatingValue, moisture: Fraction_) -> HeatingValue:
    """Net heat of wood per mass as fired: all water leaves as vapour.

    dry_heating_value: gross, of oven-dry wood
    moisture: on the wet basis; of nearly all water the net heat is negative

    >>> round(net_heating_value.us(8600, 20), 1)
    6216.4
    """
    net_of_dry_wood = dry_heating_value - LATENT_HEAT * WATER_OF_HYDROGEN * HYDROGEN
    return net_of_dry_wood * (1.0 - moisture) - LATENT_HEAT * moisture


@named(
    source=_CORD,
    ranges={"specific_gravity": above(0.0), "moisture": _MOIST, "solid_volume": _SOLID},
    valid={"specific_gravity": between(0.25, 1.1)},
)
def cord_mass(specific_gravity: Ratio, moisture: Fraction_, solid_volume: Space) -> Mass:
    """Mass of a cord as stacked; with no moisture, of its oven-dry wood.

    specific_gravity: oven-dry mass over volume, the volume on the same basis (12 % moisture or green) as the stack's
    moisture: on the wet basis
    solid_volume: of wood in a cord, 70 to 90 ft³ of its 128

    >>> round(cord_mass.us(0.63, 100 / 6, 80), 1)
    3774.0
    """
    return specific_gravity * WATER_DENSITY * solid_volume / (1.0 - moisture)


@named(source=_CORD, ranges={"specific_gravity": above(0.0), "solid_volume": _SOLID, "dry_heating_value": DRY_WOOD_HEAT})
def cord_energy(specific_gravity: Ratio, solid_volume: Space, dry_heating_value: HeatingValue) -> CordEnergy:
    """Gross heat of a cord, whatever its moisture.

    specific_gravity: oven-dry mass over volume, the volume on the same basis (12 % moisture or green) as the stack's
    solid_volume: of wood in a cord, 70 to 90 ft³ of its 128
    dry_heating_value: gross, of oven-dry wood

    >>> round(cord_energy.us(0.63, 80, 8600), 3)
    27.047
    """
    return specific_gravity * WATER_DENSITY * solid_volume * dry_heating_value / CORD


@named(
    source=_CORD + "; " + _GROSS_AND_NET,
    ranges={"specific_gravity": above(0.0), "moisture": _MOIST, "solid_volume": _SOLID, "dry_heating_value": DRY_WOOD_HEAT},
    requires=(
        (
            "the wood must be dry enough to have net heat",
            lambda _gravity, moisture, _volume, dry_heating_value: net_heating_value(dry_heating_value, moisture) >= 0.0,
        ),
    ),
)
def cord_net_energy(specific_gravity: Ratio, moisture: Fraction_, solid_volume: Space, dry_heating_value: HeatingValue) -> CordEnergy:
    """Net heat of a cord: all water leaves as vapour.

    specific_gravity: oven-dry mass over volume, the volume on the same basis (12 % moisture or green) as the stack's
    moisture: on the wet basis
    solid_volume: of wood in a cord, 70 to 90 ft³ of its 128
    dry_heating_value: gross, of oven-dry wood

    >>> round(cord_net_energy.us(0.63, 100 / 6, 80, 8600), 3)
    24.603
    """
    return cord_mass(specific_gravity, moisture, solid_volume) * net_heating_value(dry_heating_value, moisture) / CORD


@named(
    source="definition: heat / (heat of a cord * efficiency)",
    ranges={"heat": at_least(0.0), "cord_energy": above(0.0), "efficiency": EFFICIENCY},
)
def cords_for_heat(heat: SeasonEnergy, cord_energy: CordEnergy, efficiency: Fraction_) -> Cords:
    """Cords that give a heat to the water.

    heat: to the water
    cord_energy: gross or net heat of a cord
    efficiency: on the same basis, gross or net, as cord_energy

    >>> round(cords_for_heat.us(100, 24, 60), 4)
    6.9444
    """
    return heat / (cord_energy * efficiency)


@named(source="definition: a cord is 128 ft³ of stack (NIST Handbook 130)")
def cords_in_stack(length: Length, height: Length, depth: Length) -> Cords:
    """Cords in a stack, bark and air included.

    length: of the stack
    height: of the stack
    depth: from face to face; of a single row, the length of a stick

    >>> round(cords_in_stack.us(8, 4, 16 / 12), 4)
    0.3333
    """
    return length * height * depth / CORD_SPACE


@named(source="definition: a cord is 128 ft³ of stack (NIST Handbook 130)", ranges={"height": above(0.0), "depth": above(0.0)})
def stack_length(cords: Cords, height: Length, depth: Length) -> Length:
    """Length of the stack that holds so many cords.

    cords: in the stack
    height: of the stack
    depth: from face to face; of a single row, the length of a stick

    >>> round(stack_length.us(7, 4, 16 / 12), 1)
    168.0
    """
    return cords * CORD_SPACE / (height * depth)


@named(source=_STACK, ranges={"moisture": _MOIST})
def flue_water(moisture: Fraction_) -> Ratio:
    """Water that leaves with the flue gas per mass of dry wood.

    moisture: of the wood, on the wet basis

    >>> round(flue_water(0.2), 4)
    0.79
    """
    return dry_basis_moisture(moisture) + WATER_OF_HYDROGEN * HYDROGEN


@named(source=_STACK, ranges={"excess_air": at_least(0.0)})
def dry_flue_gas(excess_air: Fraction_) -> Ratio:
    """Dry flue gas per mass of dry wood.

    excess_air: more than the flame needs, as a part of what it needs

    >>> round(dry_flue_gas(0.5), 2)
    9.52
    """
    return 1.0 + AIR_FOR_WOOD * (1.0 + excess_air) - WATER_OF_HYDROGEN * HYDROGEN


@named(
    source=_STACK,
    accuracy=_STACK_ACCURACY,
    valid={"stack_temperature": between(100.0, 350.0)},
    requires=((_WARM_STACK, lambda stack_temperature, air_temperature: stack_temperature >= air_temperature),),
)
def flue_water_heat(stack_temperature: Temperature, air_temperature: Temperature) -> HeatingValue:
    """Heat that a mass of water takes through the stack.

    stack_temperature: of the flue gas where it leaves the boiler
    air_temperature: of the air for the fire

    >>> round(flue_water_heat.us(400, 77), 1)
    1191.8
    """
    # Below boiling the steam's share of the way is taken at the same rate: a small negative term, not a case of its own.
    heating = WATER_SPECIFIC_HEAT * (BOILING_TEMPERATURE - air_temperature)
    return heating + BOILING_LATENT_HEAT + STEAM_SPECIFIC_HEAT * (stack_temperature - BOILING_TEMPERATURE)


@named(
    source=_STACK,
    accuracy=_STACK_ACCURACY,
    ranges={"dry_heating_value": DRY_WOOD_HEAT, "moisture": _MOIST, "excess_air": at_least(0.0)},
    valid=_FLUE_VALID,
    requires=((_WARM_STACK, lambda _value, _moisture, _air, stack_temperature, air_temperature: stack_temperature >= air_temperature),),
)
def stack_loss_fraction(
    dry_heating_value: HeatingValue,
    moisture: Fraction_,
    excess_air: Fraction_,
    stack_temperature: Temperature,
    air_temperature: Temperature,
) -> Fraction_:
    """Share of the gross heat that leaves through the stack.

    dry_heating_value: gross, of oven-dry wood
    moisture: of the wood, on the wet basis
    excess_air: more than the flame needs, as a part of what it needs
    stack_temperature: of the flue gas where it leaves the boiler
    air_temperature: of the air for the fire

    >>> round(stack_loss_fraction.us(8600, 20, 50, 400, 77), 1)
    19.5
    """
    gas = dry_flue_gas(excess_air) * GAS_SPECIFIC_HEAT * (stack_temperature - air_temperature)
    return (flue_water(moisture) * flue_water_heat(stack_temperature, air_temperature) + gas) / dry_heating_value


@named(
    source=_STACK,
    accuracy="within 2 % of a balance with ideal-gas enthalpies; an upper bound of what reaches the water",
    ranges={"dry_heating_value": DRY_WOOD_HEAT, "moisture": _MOIST, "excess_air": at_least(0.0)},
    valid=_FLUE_VALID,
    requires=((_WARM_STACK, lambda _value, _moisture, _air, stack_temperature, air_temperature: stack_temperature >= air_temperature),),
)
def recoverable_heating_value(
    dry_heating_value: HeatingValue,
    moisture: Fraction_,
    excess_air: Fraction_,
    stack_temperature: Temperature,
    air_temperature: Temperature,
) -> HeatingValue:
    """Heat that the stack leaves, per mass of wood as fired.

    dry_heating_value: gross, of oven-dry wood
    moisture: of the wood, on the wet basis
    excess_air: more than the flame needs, as a part of what it needs
    stack_temperature: of the flue gas where it leaves the boiler
    air_temperature: of the air for the fire

    >>> round(recoverable_heating_value.us(8600, 20, 50, 400, 77) / 10) * 10
    5540
    """
    loss = stack_loss_fraction(dry_heating_value, moisture, excess_air, stack_temperature, air_temperature)
    return gross_heating_value(dry_heating_value, moisture) * (1.0 - loss)


@named(
    source=_STACK,
    accuracy="a lower bound: the cooler, smokier fire of wet wood costs more",
    ranges={"dry_heating_value": DRY_WOOD_HEAT, "moisture": _MOIST, "reference_moisture": _MOIST, "excess_air": at_least(0.0)},
    valid=_FLUE_VALID,
    requires=((_WARM_STACK, lambda _value, _wet, _dry, _air, stack_temperature, air_temperature: stack_temperature >= air_temperature),),
)
def green_penalty(
    dry_heating_value: HeatingValue,
    moisture: Fraction_,
    reference_moisture: Fraction_,
    excess_air: Fraction_,
    stack_temperature: Temperature,
    air_temperature: Temperature,
) -> Ratio:
    """Cords of wet wood for one cord at a reference moisture.

    dry_heating_value: gross, of oven-dry wood
    moisture: of the wood burned, on the wet basis
    reference_moisture: of the wood it is compared with, on the wet basis
    excess_air: more than the flame needs, as a part of what it needs
    stack_temperature: of the flue gas where it leaves the boiler
    air_temperature: of the air for the fire

    The ratio of what the stack leaves at the two moistures.

    >>> round(green_penalty.us(8600, 50, 20, 100, 500, 77), 2)
    1.17
    """
    wet = stack_loss_fraction(dry_heating_value, moisture, excess_air, stack_temperature, air_temperature)
    reference = stack_loss_fraction(dry_heating_value, reference_moisture, excess_air, stack_temperature, air_temperature)
    # Wood so wet that the stack takes all has no penalty, but no heat: held at a thousandth.
    return (1.0 - reference) / np.maximum(1.0 - wet, 0.001)


@named(
    source="definition of the penalty",
    ranges={"efficiency": EFFICIENCY, "green_penalty": above(0.0)},
    requires=(("efficiency must be at most green_penalty", lambda efficiency, green_penalty: efficiency <= green_penalty),),
)
def efficiency_at_moisture(efficiency: Fraction_, green_penalty: Ratio) -> Fraction_:
    """Efficiency with wood of another moisture.

    efficiency: on the gross heat, at the reference moisture
    green_penalty: cords of the wood burned for one cord at the reference moisture

    >>> round(efficiency_at_moisture(0.6, 1.2), 6)
    0.5
    """
    return efficiency / green_penalty
