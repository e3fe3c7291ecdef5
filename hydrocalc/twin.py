"""The buried line with both tubes in one round jacket: losses to the ground and from tube to tube.

A chapter beside ``ground``: the same conventions, the same use in ``line_outlet_temperature``.
"""

from __future__ import annotations

import numpy as np

from .ground import resistance_ratio
from .measures import Bore, ConductancePerLength, Conductivity, Length, Limits, LineResistance, Ratio, at_least, between
from .named import named

_TWIN = "order 1 of Wallentén 1991; from memory and a public transcription, corrected and verified against a two-dimensional solution"
_TWIN_OWN = "order 1 of Wallentén 1991 with the tubes' own term exact (arccosh); re-derived, verified against a two-dimensional solution"
_WALLED = "multipole of a cylinder with a contact resistance (Claesson and Hellström 2011, from memory); verified as below"
_SHAPE = {"dipole": between(-0.25, 0.25), "spread": between(0.0, 0.999)}

_INSIDE = (
    "the tubes must be apart and fit in the jacket, and the jacket in the ground:"
    " tube_diameter < spacing, spacing + tube_diameter < jacket_diameter < 2 * depth",
    lambda depth, spacing, tube_diameter, jacket_diameter, *_: (
        (tube_diameter < spacing) & (spacing + tube_diameter < jacket_diameter) & (jacket_diameter < 2.0 * depth)
    ),
)


@named(source="definition")
def twin_closeness(tube_diameter: Bore, spacing: Bore) -> Ratio:
    """Radius of a tube against the distance to the other's centre.

    tube_diameter: outside, of each tube
    spacing: of the tubes, from centre to centre

    >>> round(twin_closeness(0.032, 0.052), 4)
    0.3077
    """
    return tube_diameter / (2.0 * spacing)


@named(source="definition")
def twin_spread(spacing: Bore, jacket_diameter: Bore) -> Ratio:
    """Distance of the tubes from the jacket's centre against the jacket's radius.

    spacing: of the tubes, from centre to centre
    jacket_diameter: outside

    >>> twin_spread(0.052, 0.125)
    0.416
    """
    return spacing / jacket_diameter


@named(source="definition")
def conductivity_contrast(insulation_conductivity: Conductivity, soil_conductivity: Conductivity) -> Ratio:
    """Contrast of two conductivities: -1 for perfect insulation, 0 for equals.

    insulation_conductivity: of the jacket
    soil_conductivity: of the soil

    >>> round(conductivity_contrast(0.027, 1.5), 4)
    -0.9646
    """
    return (insulation_conductivity - soil_conductivity) / (insulation_conductivity + soil_conductivity)


@named(source=_WALLED, ranges={"closeness": between(0.0, 0.5), "wall_ratio": at_least(0.0)})
def twin_dipole(closeness: Ratio, wall_ratio: Ratio) -> Ratio:
    """How strongly a tube bends the heat that flows round it: a tube whose wall resists bends it less.

    closeness: radius of a tube against the distance to the other's centre
    wall_ratio: resistance of the tube's wall against that of the jacket's scale

    >>> round(twin_dipole(0.3077, 0.5), 5)
    0.03156
    """
    return closeness**2 * (1.0 - wall_ratio) / (1.0 + wall_ratio)


@named(source=_TWIN_OWN, ranges={"closeness": Limits(0.0, 0.5, low_open=True), "wall_ratio": at_least(0.0)})
def twin_own_term(closeness: Ratio, wall_ratio: Ratio) -> Ratio:
    """Resistance of two tubes of opposite temperatures in an endless jacket, without their walls and dipoles, over the jacket's scale.

    closeness: radius of a tube against the distance to the other's centre
    wall_ratio: resistance of the tube's wall against that of the jacket's scale

    >>> round(twin_own_term(0.3077, 0.0), 4)
    1.1713
    """
    # Isothermal tubes have an exact solution, arccosh; the part of it that the dipoles' correction holds again is taken out, and
    # what is left comes from quadrupoles, which a wall damps in its own way.
    far = np.log(closeness)
    quadrupoles = np.arccosh(1.0 / (2.0 * closeness)) + closeness**2 / (1.0 - closeness**2) + far
    return quadrupoles * (1.0 - 2.0 * wall_ratio) / (1.0 + 2.0 * wall_ratio) - far


@named(source=_TWIN, ranges={"contrast": between(-1.0, 1.0), **_SHAPE})
def twin_sum_correction(dipole: Ratio, spread: Ratio, contrast: Ratio) -> Ratio:
    """First-order correction for two tubes in one jacket, equally warm.

    dipole: how strongly a tube bends the heat that flows round it
    spread: distance of the tubes from the jacket's centre against its radius
    contrast: of the conductivities of jacket and soil

    >>> round(twin_sum_correction(0.0947, 0.416, -0.9646), 4)
    0.1132
    """
    inside = 4.0 * spread**2 / (1.0 - spread**4)
    above_line = dipole * (1.0 - contrast * spread**2 * inside) ** 2
    return above_line / (1.0 + dipole + contrast * dipole * inside**2)


@named(
    source=_TWIN,
    ranges={"contrast": between(-1.0, 1.0)},
    requires=(
        (
            "jacket_diameter must be below twice the depth",
            lambda depth, _spacing, jacket_diameter, _contrast: jacket_diameter < 2.0 * depth,
        ),
    ),
)
def twin_mirror_term(depth: Length, spacing: Bore, jacket_diameter: Bore, contrast: Ratio) -> Ratio:
    """Strength of the jacket's mirror image above the ground, where the tubes lie.

    depth: from the surface to the jacket's centre
    spacing: of the tubes, from centre to centre
    jacket_diameter: outside
    contrast: of the conductivities of jacket and soil

    >>> round(twin_mirror_term(0.6, 0.052, 0.125, -0.9646), 7)
    6.51e-05
    """
    strength = 2.0 * (1.0 - contrast**2) / (1.0 - contrast * (jacket_diameter / (4.0 * depth)) ** 2)
    return strength * (spacing / (4.0 * depth)) ** 2


@named(source=_TWIN, ranges={"contrast": between(-1.0, 1.0), **_SHAPE})
def twin_difference_correction(dipole: Ratio, spread: Ratio, contrast: Ratio, mirror: Ratio) -> Ratio:
    """First-order correction for two tubes in one jacket, one as much above the ground as the other below.

    dipole: how strongly a tube bends the heat that flows round it
    spread: distance of the tubes from the jacket's centre against its radius
    contrast: of the conductivities of jacket and soil
    mirror: strength of the jacket's mirror image where the tubes lie

    >>> round(twin_difference_correction(0.0947, 0.416, -0.9646, 0.0001), 4)
    0.012
    """
    inside = 4.0 * contrast * spread**2 / (1.0 - spread**4)
    above_line = dipole * (1.0 - 2.0 * mirror + inside) ** 2
    below = 1.0 - dipole - 4.0 * dipole * mirror + 2.0 * dipole * inside * (1.0 + spread**4) / (1.0 - spread**4)
    return above_line / below


@named(source=_TWIN, accuracy="within 0.3 % of an exact two-dimensional solution", requires=(_INSIDE,))
def twin_sum_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance from each of two tubes in one jacket, equally warm, to the ground.

    depth: from the surface to the jacket's centre
    spacing: of the tubes, from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside
    wall_resistance: of each tube's wall
    insulation_conductivity: of the jacket
    soil_conductivity: of the soil

    >>> round(twin_sum_resistance(0.6, 0.052, 0.032, 0.125, 0.0, 0.027, 1.5), 1)
    8.9
    """
    spread = twin_spread(spacing, jacket_diameter)
    contrast = conductivity_contrast(insulation_conductivity, soil_conductivity)
    closeness = twin_closeness(tube_diameter, spacing)
    wall = resistance_ratio(wall_resistance, insulation_conductivity)
    dipole = twin_dipole(closeness, wall)
    own = np.log(4.0 * closeness * spread**2) + contrast * np.log(1.0 - spread**4) + twin_sum_correction(dipole, spread, contrast)
    soil = np.log(4.0 * depth / jacket_diameter) / (np.pi * soil_conductivity)
    return wall_resistance + soil - own / (2.0 * np.pi * insulation_conductivity)


@named(source=_TWIN_OWN, accuracy="within 2.7 % of an exact two-dimensional solution, at the median 0.2 %", requires=(_INSIDE,))
def twin_difference_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance of each of two tubes in one jacket, one as much above the ground as the other below.

    depth: from the surface to the jacket's centre
    spacing: of the tubes, from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside
    wall_resistance: of each tube's wall
    insulation_conductivity: of the jacket
    soil_conductivity: of the soil

    >>> round(twin_difference_resistance(0.6, 0.052, 0.032, 0.125, 0.0, 0.027, 1.5), 2)
    4.85
    """
    spread = twin_spread(spacing, jacket_diameter)
    contrast = conductivity_contrast(insulation_conductivity, soil_conductivity)
    closeness = twin_closeness(tube_diameter, spacing)
    wall = resistance_ratio(wall_resistance, insulation_conductivity)
    dipole = twin_dipole(closeness, wall)
    mirror = twin_mirror_term(depth, spacing, jacket_diameter, contrast)
    own = twin_own_term(closeness, wall)
    jacket = contrast * np.log((1.0 + spread**2) / (1.0 - spread**2)) - twin_difference_correction(dipole, spread, contrast, mirror)
    return wall_resistance + (own + jacket - mirror) / (2.0 * np.pi * insulation_conductivity)


_TWIN_ACCURACY = (
    "total within 0.3 %, the supply's own loss within 1 %, of an exact two-dimensional solution with the tubes' walls,"
    " in dry jackets and wet"
)


@named(source=_TWIN, accuracy=_TWIN_ACCURACY, requires=(_INSIDE,))
def twin_loss_conductance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> ConductancePerLength:
    """Heat that each of two tubes in one round jacket loses to the ground per length and degree.

    depth: from the surface to the jacket's centre
    spacing: of the tubes, from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside
    wall_resistance: of each tube's wall
    insulation_conductivity: of the jacket
    soil_conductivity: of the soil

    >>> round(twin_loss_conductance(0.6, 0.052, 0.032, 0.125, 0.0, 0.027, 1.5), 3)
    0.112
    """
    place = (depth, spacing, tube_diameter, jacket_diameter)
    return 1.0 / twin_sum_resistance(*place, wall_resistance, insulation_conductivity, soil_conductivity)


@named(source=_TWIN_OWN, accuracy=_TWIN_ACCURACY, requires=(_INSIDE,))
def twin_exchange_conductance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> ConductancePerLength:
    """Heat that passes between two tubes in one round jacket per length and degree.

    depth: from the surface to the jacket's centre
    spacing: of the tubes, from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside
    wall_resistance: of each tube's wall
    insulation_conductivity: of the jacket
    soil_conductivity: of the soil

    >>> round(twin_exchange_conductance(0.6, 0.052, 0.032, 0.125, 0.0, 0.027, 1.5), 3)
    0.047
    """
    line = (depth, spacing, tube_diameter, jacket_diameter, wall_resistance, insulation_conductivity, soil_conductivity)
    return (1.0 / twin_difference_resistance(*line) - 1.0 / twin_sum_resistance(*line)) / 2.0
