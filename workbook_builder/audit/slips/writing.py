"""Slips in how a result is written down: its unit taken for another."""

from __future__ import annotations

from collections.abc import Callable

from hydrocalc.measures import Measure
from workbook_builder.audit.scenarios import Scenarios

FOOT = 0.3048  # m
IMPERIAL = 4.54609 / 3.785411784  # a gallon over a US gallon
KILOWATT = 3412.141633  # BTU/h
PSI_HEAD = 2.309  # ft of cold water for a psi
METRE_PRESSURE = 9.797  # kPa of a metre of cold water


def written(factor: float, *measures: str) -> Callable[[Scenarios, Measure], float | None]:
    return lambda _, kind: factor if kind.name in measures else None


def to_celsius(_: Scenarios, kind: Measure, value: float) -> float | None:
    return (value - 32) / 1.8 if kind.name == "Temperature" else None


def to_fahrenheit(_: Scenarios, kind: Measure, value: float) -> float | None:
    return value * 1.8 + 32 if kind.name == "Temperature" else None


HEATS = ("Power", "Energy", "SeasonEnergy", "HeatPerLength", "Conductance", "CordEnergy")
GRADIENTS = ("HeadGradient", "TemperatureGradient", "HeatPerLength", "ConductancePerLength", "Head")
DEGREES = ("TemperatureDifference", "TemperatureGradient", "DegreeDays")
PER_DEGREE = ("Conductance", "ConductancePerLength", "Conductivity")
GALLONS = ("Volume", "VolumeFlow")
