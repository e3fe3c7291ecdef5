"""Two buried lines side by side, each in a jacket of its own: losses to the ground and from line to line.

A chapter beside ``ground``: the same conventions, the same use in ``line_outlet_temperature``.
"""

from __future__ import annotations

import numpy as np

from .ground import layer_resistance, resistance_ratio
from .measures import Bore, ConductancePerLength, Conductivity, Length, LineResistance, Ratio
from .named import named

_EN_13941 = "EN 13941, zero order of Wallentén 1991; from memory, verified against a two-dimensional solution"
_PAIR = "first order of Wallentén 1991 (dipoles); re-derived, verified numerically against a two-dimensional solution"
_ROUND = (
    "tube_diameter must not exceed jacket_diameter",
    lambda tube_diameter, jacket_diameter, *_: tube_diameter <= jacket_diameter,
)
_APART = (
    "spacing must be at least the outer diameter, and depth more than half of it",
    lambda depth, spacing, outer_diameter, *_: (spacing >= outer_diameter) & (2.0 * depth > outer_diameter),
)
_JACKETED = (
    "spacing must be at least the jackets' diameter, depth more than half of it, and the tubes no thicker",
    lambda depth, spacing, tube_diameter, jacket_diameter, *_: (
        (spacing >= jacket_diameter) & (2.0 * depth > jacket_diameter) & (tube_diameter <= jacket_diameter)
    ),
)


@named(source="order 1 of conduction in a round layer, re-derived", requires=(_ROUND,))
def line_dipole_ratio(
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> Ratio:
    """Resistance of a line to heat that enters on one side and leaves on the other, over that of the soil.

    tube_diameter: outside, of the tube
    jacket_diameter: outside
    wall_resistance: of the tube's wall
    insulation_conductivity: of the jacket
    soil_conductivity: of the soil

    >>> round(line_dipole_ratio(0.032, 0.14, 0.0, 0.027, 1.5), 2)
    50.04
    """
    wall = resistance_ratio(wall_resistance, insulation_conductivity)
    tube = (tube_diameter / jacket_diameter) ** 2 * (1.0 - wall) / (1.0 + wall)
    return soil_conductivity / insulation_conductivity * (1.0 - tube) / (1.0 + tube)


@named(source=_EN_13941)
def mutual_resistance(depth: Length, spacing: Bore, soil_conductivity: Conductivity) -> LineResistance:
    """Resistance by which two buried lines warm each other.

    depth: from the surface to the centres
    spacing: from centre to centre
    soil_conductivity: of the soil

    >>> round(mutual_resistance(0.6, 0.18, 1.5), 4)
    0.2025
    """
    return np.log(1.0 + (2.0 * depth / spacing) ** 2) / (4.0 * np.pi * soil_conductivity)


@named(source=_PAIR, requires=(_APART,))
def pair_sum_correction(depth: Length, spacing: Bore, outer_diameter: Bore, dipole_ratio: Ratio) -> Ratio:
    """First-order correction for two lines equally warm.

    depth: from the surface to the centres
    spacing: from centre to centre
    outer_diameter: of each line, over its jacket
    dipole_ratio: of the line to the soil, for heat that passes through it

    >>> round(pair_sum_correction(0.6, 0.18, 0.14, 81.05), 4)
    -0.1808
    """
    near = (outer_diameter / (2.0 * spacing)) ** 2
    terms = near + (outer_diameter / (4.0 * depth)) ** 2 + outer_diameter**2 / (4.0 * spacing**2 + 16.0 * depth**2)
    # The dipole's strength (1 - b)/(1 + b) is about -1 in good insulation; written so that b = 1 is no division by zero.
    return terms * (1.0 - dipole_ratio) / (1.0 + dipole_ratio + near * (1.0 - dipole_ratio))


@named(source=_PAIR, requires=(_APART,))
def pair_difference_correction(depth: Length, spacing: Bore, outer_diameter: Bore, dipole_ratio: Ratio) -> Ratio:
    """First-order correction for two lines, one as much above the ground as the other below.

    depth: from the surface to the centres
    spacing: from centre to centre
    outer_diameter: of each line, over its jacket
    dipole_ratio: of the line to the soil, for heat that passes through it

    >>> round(pair_difference_correction(0.6, 0.18, 0.14, 81.05), 4)
    -0.123
    """
    near = (outer_diameter / (2.0 * spacing)) ** 2
    terms = near + (outer_diameter / (4.0 * depth)) ** 2 - 3.0 * outer_diameter**2 / (4.0 * spacing**2 + 16.0 * depth**2)
    return terms * (1.0 - dipole_ratio) / (1.0 + dipole_ratio - near * (1.0 - dipole_ratio))


_PAIR_ACCURACY = (
    "total within 0.4 %, where the jackets touch 1 %, exchange between the lines within 0.4 % of the supply's loss, soaked 1.5 %,"
    " of an exact two-dimensional solution with the tubes' walls"
)


@named(source=_PAIR, accuracy="within 0.4 % of an exact two-dimensional solution, 1 % where the jackets touch", requires=(_JACKETED,))
def pair_sum_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance of each of two lines equally warm.

    depth: from the surface to the centres
    spacing: from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside, of each jacket
    wall_resistance: of each tube's wall
    insulation_conductivity: of the jackets
    soil_conductivity: of the soil

    >>> round(pair_sum_resistance(0.6, 0.18, 0.032, 0.14, 0.0, 0.027, 1.5), 4)
    9.2227
    """
    line = layer_resistance(tube_diameter, jacket_diameter, insulation_conductivity) + wall_resistance
    through = line_dipole_ratio(tube_diameter, jacket_diameter, wall_resistance, insulation_conductivity, soil_conductivity)
    correction = pair_sum_correction(depth, spacing, jacket_diameter, through)
    own = (np.log(4.0 * depth / jacket_diameter) - correction) / (2.0 * np.pi * soil_conductivity)
    return line + own + mutual_resistance(depth, spacing, soil_conductivity)


@named(source=_PAIR, accuracy="within 0.02 % of an exact two-dimensional solution", requires=(_JACKETED,))
def pair_difference_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance of each of two lines, one as much above the ground as the other below.

    depth: from the surface to the centres
    spacing: from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside, of each jacket
    wall_resistance: of each tube's wall
    insulation_conductivity: of the jackets
    soil_conductivity: of the soil

    >>> round(pair_difference_resistance(0.6, 0.18, 0.032, 0.14, 0.0, 0.027, 1.5), 4)
    8.8118
    """
    line = layer_resistance(tube_diameter, jacket_diameter, insulation_conductivity) + wall_resistance
    through = line_dipole_ratio(tube_diameter, jacket_diameter, wall_resistance, insulation_conductivity, soil_conductivity)
    correction = pair_difference_correction(depth, spacing, jacket_diameter, through)
    own = (np.log(4.0 * depth / jacket_diameter) - correction) / (2.0 * np.pi * soil_conductivity)
    return line + own - mutual_resistance(depth, spacing, soil_conductivity)


@named(source=_PAIR, accuracy=_PAIR_ACCURACY, requires=(_JACKETED,))
def pair_loss_conductance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> ConductancePerLength:
    """Heat that each of two lines side by side loses to the ground per length and degree.

    depth: from the surface to the centres
    spacing: from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside, of each jacket
    wall_resistance: of each tube's wall
    insulation_conductivity: of the jackets
    soil_conductivity: of the soil

    >>> round(pair_loss_conductance(0.6, 0.18, 0.032, 0.14, 0.0, 0.027, 1.5), 4)
    0.1084
    """
    line = (tube_diameter, jacket_diameter, wall_resistance, insulation_conductivity, soil_conductivity)
    return 1.0 / pair_sum_resistance(depth, spacing, *line)


@named(source=_PAIR, accuracy=_PAIR_ACCURACY, requires=(_JACKETED,))
def pair_exchange_conductance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> ConductancePerLength:
    """Heat that passes between two lines side by side per length and degree.

    depth: from the surface to the centres
    spacing: from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside, of each jacket
    wall_resistance: of each tube's wall
    insulation_conductivity: of the jackets
    soil_conductivity: of the soil

    >>> round(pair_exchange_conductance(0.6, 0.18, 0.032, 0.14, 0.0, 0.027, 1.5), 4)
    0.0025
    """
    line = (depth, spacing, tube_diameter, jacket_diameter, wall_resistance, insulation_conductivity, soil_conductivity)
    return (1.0 / pair_difference_resistance(*line) - 1.0 / pair_sum_resistance(*line)) / 2.0
