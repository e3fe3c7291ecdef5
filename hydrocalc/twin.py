"""The buried line with both tubes in one round jacket: losses to the ground and from tube to tube.

A chapter beside ``ground``: the same conventions, the same use in ``line_outlet_temperature``.
"""

from __future__ import annotations

import numpy as np

from .measures import Bore, ConductancePerLength, Conductivity, Length, LineResistance, Ratio, between
from .named import named

_TWIN = "order 1 of Wallentén 1991; from memory and a public transcription, corrected and verified against a two-dimensional solution"
_TWIN_OWN = "order 1 of Wallentén 1991 with the tubes' own term exact (arccosh); re-derived, verified against a two-dimensional solution"
_SHAPE = {"closeness": between(0.0, 0.5), "spread": between(0.0, 0.999)}

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


@named(source=_TWIN, ranges={"contrast": between(-1.0, 1.0), **_SHAPE})
def twin_sum_correction(closeness: Ratio, spread: Ratio, contrast: Ratio) -> Ratio:
    """First-order correction for two tubes in one jacket, equally warm.

    closeness: radius of a tube against the distance to the other's centre
    spread: distance of the tubes from the jacket's centre against its radius
    contrast: of the conductivities of jacket and soil

    >>> round(twin_sum_correction(0.3077, 0.416, -0.9646), 4)
    0.1131
    """
    inside = 4.0 * spread**2 / (1.0 - spread**4)
    above_line = closeness**2 * (1.0 - contrast * spread**2 * inside) ** 2
    return above_line / (1.0 + closeness**2 + contrast * closeness**2 * inside**2)


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
def twin_difference_correction(closeness: Ratio, spread: Ratio, contrast: Ratio, mirror: Ratio) -> Ratio:
    """First-order correction for two tubes in one jacket, one as much above the ground as the other below.

    closeness: radius of a tube against the distance to the other's centre
    spread: distance of the tubes from the jacket's centre against its radius
    contrast: of the conductivities of jacket and soil
    mirror: strength of the jacket's mirror image where the tubes lie

    >>> round(twin_difference_correction(0.3077, 0.416, -0.9646, 0.0001), 4)
    0.012
    """
    inside = 4.0 * contrast * spread**2 / (1.0 - spread**4)
    above_line = closeness**2 * (1.0 - 2.0 * mirror + inside) ** 2
    below = 1.0 - closeness**2 - 4.0 * closeness**2 * mirror + 2.0 * closeness**2 * inside * (1.0 + spread**4) / (1.0 - spread**4)
    return above_line / below


@named(source=_TWIN, accuracy="within 0.3 % of an exact two-dimensional solution", requires=(_INSIDE,))
def twin_sum_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance from each of two tubes in one jacket, equally warm, to the ground.

    depth: from the surface to the jacket's centre
    spacing: of the tubes, from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside
    insulation_conductivity: of the jacket
    soil_conductivity: of the soil

    >>> round(twin_sum_resistance(0.6, 0.052, 0.032, 0.125, 0.027, 1.5), 1)
    8.9
    """
    spread = twin_spread(spacing, jacket_diameter)
    contrast = conductivity_contrast(insulation_conductivity, soil_conductivity)
    closeness = twin_closeness(tube_diameter, spacing)
    own = np.log(4.0 * closeness * spread**2) + contrast * np.log(1.0 - spread**4) + twin_sum_correction(closeness, spread, contrast)
    soil = np.log(4.0 * depth / jacket_diameter) / (np.pi * soil_conductivity)
    return soil - own / (2.0 * np.pi * insulation_conductivity)


@named(source=_TWIN_OWN, accuracy="within 2.7 % of an exact two-dimensional solution, at the median 0.2 %", requires=(_INSIDE,))
def twin_difference_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance of each of two tubes in one jacket, one as much above the ground as the other below.

    depth: from the surface to the jacket's centre
    spacing: of the tubes, from centre to centre
    tube_diameter: outside, of each tube
    jacket_diameter: outside
    insulation_conductivity: of the jacket
    soil_conductivity: of the soil

    >>> round(twin_difference_resistance(0.6, 0.052, 0.032, 0.125, 0.027, 1.5), 2)
    4.85
    """
    spread = twin_spread(spacing, jacket_diameter)
    contrast = conductivity_contrast(insulation_conductivity, soil_conductivity)
    closeness = twin_closeness(tube_diameter, spacing)
    mirror = twin_mirror_term(depth, spacing, jacket_diameter, contrast)
    # The tubes' own term is exact; the part of it that the first-order correction holds again is taken out.
    own = np.arccosh(1.0 / (2.0 * closeness)) + closeness**2 / (1.0 - closeness**2)
    jacket = contrast * np.log((1.0 + spread**2) / (1.0 - spread**2)) - twin_difference_correction(closeness, spread, contrast, mirror)
    return (own + jacket - mirror) / (2.0 * np.pi * insulation_conductivity)


_TWIN_ACCURACY = (
    "total within 0.3 %, the supply's own loss within 1 %, of an exact two-dimensional solution;"
    " with tube walls, which are taken in series, within 0.6 %, in a wet jacket 1.5 %, on the cautious side"
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
    equal = twin_sum_resistance(depth, spacing, tube_diameter, jacket_diameter, insulation_conductivity, soil_conductivity)
    return 1.0 / (equal + wall_resistance)


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
    equal = twin_sum_resistance(depth, spacing, tube_diameter, jacket_diameter, insulation_conductivity, soil_conductivity)
    opposed = twin_difference_resistance(depth, spacing, tube_diameter, jacket_diameter, insulation_conductivity, soil_conductivity)
    return (1.0 / (opposed + wall_resistance) - 1.0 / (equal + wall_resistance)) / 2.0
