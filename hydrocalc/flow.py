"""Flow, heat carried and velocity: what moves along a line."""

from __future__ import annotations

import numpy as np

from .measures import (
    Bore,
    Conductance,
    Density,
    Power,
    SpecificHeat,
    Temperature,
    TemperatureDifference,
    Velocity,
    VolumeFlow,
    above,
)
from .named import named

_HEAT_BALANCE = "heat balance: load = flow * density * specific heat * drop"


@named(source=_HEAT_BALANCE, ranges={"drop": above(0.0)})
def flow_from_load(load: Power, drop: TemperatureDifference, density: Density, specific_heat: SpecificHeat) -> VolumeFlow:
    """Flow that carries a heat load at a temperature drop.

    load: heat carried by the liquid
    drop: supply temperature less return temperature
    density: of the liquid, at the temperature where the flow is measured
    specific_heat: of the liquid, at its mean temperature

    >>> round(flow_from_load.us(62000, 20, 61.2, 1.0), 3)
    6.315
    """
    return load / (density * specific_heat * drop)
