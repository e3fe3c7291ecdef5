"""Measures: what kind of quantity an argument or a result is, and the units it is written in.

A measure has one coherent unit, in which every body works, and one trade unit for each of the two unit
systems, in which people read and write.  Bodies are annotated with measures, and everything that is shown
to a person (a sheet, an error, a reference page) is converted by the numbers below and nowhere else.

The factors are exact ratios: a conversion folded into a worksheet formula is rounded once, when the formula
is sealed, and never here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any, Literal

System = Literal["us", "metric"]
SYSTEMS: tuple[System, System] = ("us", "metric")

# The defining ratios (exact by international agreement; the BTU is the International Table one).
_FOOT = Fraction("0.3048")
_INCH = _FOOT / 12
_POUND = Fraction("0.45359237")
_GALLON = 231 * _INCH**3
_BTU = Fraction("1055.05585262")
_RANKINE = Fraction(5, 9)
_G = Fraction("9.80665")
_HOUR = Fraction(3600)
_PSI = _POUND * _G / _INCH**2


@dataclass(frozen=True, slots=True)
class Unit:
    """A trade unit: how it is printed, how pint spells it, and coherent = scale * value + offset."""

    symbol: str
    pint: str
    scale: Fraction = Fraction(1)
    offset: Fraction = Fraction(0)

    def to_coherent(self, value: Any) -> Any:
        if self.scale.numerator == 1 and not self.offset:
            return value / float(self.scale.denominator)  # 70 % is 0.7, and not 70 times the nearest binary fraction to 0.01
        return value * float(self.scale) + float(self.offset) if self.offset else value * float(self.scale)

    def from_coherent(self, value: Any) -> Any:
        if self.scale.numerator == 1 and not self.offset:
            return value * float(self.scale.denominator)
        # Dividing by the scale, not multiplying by a rounded inverse, keeps 20 °F from coming back as 20.000000000000004.
        return (value - float(self.offset)) / float(self.scale) if self.offset else value / float(self.scale)


@dataclass(frozen=True, slots=True)
class Limits:
    """An interval; an end is open where the bound itself is not allowed.  In coherent units."""

    low: float = float("-inf")
    high: float = float("inf")
    low_open: bool = False
    high_open: bool = False

    def holds(self, value: float) -> bool:
        """True when the value lies inside; False for NaN and for infinities."""
        return (
            (self.low < value if self.low_open else self.low <= value)
            and (value < self.high if self.high_open else value <= self.high)
            and abs(value) != float("inf")
        )


def above(low: float) -> Limits:
    return Limits(low, low_open=True)


def at_least(low: float) -> Limits:
    return Limits(low)


def between(low: float, high: float) -> Limits:
    return Limits(low, high)


ANY = Limits()

# Limits of one thing wherever it is an argument.
EFFICIENCY = Limits(0.0, 1.0, low_open=True)  # of a fire, on gross heat or, uncondensed, on net; of a circulator
SOURCE_EFFICIENCY = Limits(0.0, 6.0, low_open=True)  # of whatever turns what is bought into heat: a heat pump gives several times that
DRY_WOOD_HEAT = between(10e6, 35e6)  # J/kg, gross: straw has 17 MJ/kg, charcoal 33; common practice, no source
COLDEST_AIR = -60.0  # °C
LIQUID_TEMPERATURE = between(-60.0, 150.0)  # °C, of what flows in tubes: nothing colder or hotter is still a liquid here


@dataclass(frozen=True, slots=True)
class Measure:
    """One kind of quantity.  ``limits`` is the physical range of any argument of this measure."""

    name: str
    coherent: Unit
    us: Unit
    metric: Unit
    limits: Limits = ANY

    def unit(self, system: System | None) -> Unit:
        """The trade unit of a system; the coherent unit for None."""
        return self.coherent if system is None else self.us if system == "us" else self.metric


@dataclass(frozen=True, slots=True)
class Key:
    """The kind of an argument that picks a row of a table by its text: the table's name and the column that holds the key."""

    table: str
    column: str


_ABSOLUTE_ZERO = above(-273.15)
_POSITIVE = above(0.0)
_NOT_NEGATIVE = at_least(0.0)

_REGISTRY: dict[str, Measure] = {}


def _measure(
    name: str,
    coherent: tuple[str, str],
    us: tuple[str, str, Fraction] | tuple[str, str, Fraction, Fraction],
    metric: tuple[str, str, Fraction] | tuple[str, str] | None = None,
    limits: Limits = ANY,
) -> Measure:
    si = Unit(*coherent)
    made = Measure(name, si, Unit(*us), Unit(*metric) if metric else si, limits)
    _REGISTRY[name] = made
    return made


_ONE = Fraction(1)
_KILO = Fraction(1000)
_MILLI = Fraction(1, 1000)
_BTUH = _BTU / _HOUR

POWER = _measure("Power", ("W", "watt"), ("BTU/h", "Btu_it/hour", _BTUH), ("kW", "kilowatt", _KILO))
ENERGY = _measure("Energy", ("J", "joule"), ("BTU", "Btu_it", _BTU), ("kWh", "kilowatt_hour", _KILO * _HOUR))
SEASON_ENERGY = _measure(
    "SeasonEnergy", ("J", "joule"), ("million BTU", "megaBtu_it", _BTU * 10**6), ("kWh", "kilowatt_hour", _KILO * _HOUR)
)
TEMPERATURE = _measure(
    "Temperature",
    ("°C", "degC"),
    ("°F", "degF", _RANKINE, -32 * _RANKINE),
    limits=_ABSOLUTE_ZERO,
)
TEMPERATURE_DIFFERENCE = _measure("TemperatureDifference", ("K", "delta_degC"), ("°F", "delta_degF", _RANKINE), ("K", "delta_degC"))
VOLUME_FLOW = _measure(
    "VolumeFlow", ("m³/s", "m**3/s"), ("gpm", "gallon/minute", _GALLON / 60), ("L/min", "liter/minute", _MILLI / 60), _NOT_NEGATIVE
)
MASS_FLOW = _measure("MassFlow", ("kg/s", "kg/s"), ("lb/h", "lb/hour", _POUND / _HOUR), limits=_NOT_NEGATIVE)
LENGTH = _measure("Length", ("m", "m"), ("ft", "ft", _FOOT), limits=_NOT_NEGATIVE)
BORE = _measure("Bore", ("m", "m"), ("in", "inch", _INCH), ("mm", "mm", _MILLI), _POSITIVE)
AREA = _measure("Area", ("m²", "m**2"), ("ft²", "ft**2", _FOOT**2), limits=_NOT_NEGATIVE)
VOLUME = _measure("Volume", ("m³", "m**3"), ("gal", "gallon", _GALLON), ("L", "liter", _MILLI), _NOT_NEGATIVE)
SPACE = _measure("Space", ("m³", "m**3"), ("ft³", "ft**3", _FOOT**3), limits=_NOT_NEGATIVE)
VELOCITY = _measure("Velocity", ("m/s", "m/s"), ("ft/s", "ft/s", _FOOT), limits=_NOT_NEGATIVE)
DENSITY = _measure("Density", ("kg/m³", "kg/m**3"), ("lb/ft³", "lb/ft**3", _POUND / _FOOT**3), limits=_POSITIVE)
SPECIFIC_HEAT = _measure(
    "SpecificHeat",
    ("J/(kg K)", "J/(kg*delta_degC)"),
    ("BTU/(lb °F)", "Btu_it/(lb*delta_degF)", _BTU / _POUND / _RANKINE),
    ("kJ/(kg K)", "kJ/(kg*delta_degC)", _KILO),
    _POSITIVE,
)
VISCOSITY = _measure("Viscosity", ("Pa s", "Pa*s"), ("cP", "mPa*s", _MILLI), ("mPa s", "mPa*s", _MILLI), _POSITIVE)
CONDUCTIVITY = _measure(
    "Conductivity",
    ("W/(m K)", "W/(m*delta_degC)"),
    ("BTU/(h ft °F)", "Btu_it/(hour*ft*delta_degF)", _BTUH / _FOOT / _RANKINE),
    limits=_POSITIVE,
)
DIFFUSIVITY = _measure(
    "Diffusivity", ("m²/s", "m**2/s"), ("ft²/day", "ft**2/day", _FOOT**2 / 86400), ("m²/day", "m**2/day", _ONE / 86400), _POSITIVE
)
PRESSURE = _measure("Pressure", ("Pa", "Pa"), ("psi", "psi", _PSI), ("kPa", "kPa", _KILO))
HEAD = _measure("Head", ("m", "m"), ("ft", "ft", _FOOT))
HEAD_GRADIENT = _measure(
    "HeadGradient", ("m/m", "m/m"), ("ft per 100 ft", "ft/hectofoot", Fraction(1, 100)), ("m per 100 m", "m/hectometer", Fraction(1, 100))
)
HEAT_PER_LENGTH = _measure("HeatPerLength", ("W/m", "W/m"), ("BTU/(h ft)", "Btu_it/(hour*ft)", _BTUH / _FOOT))
HEAT_PER_AREA = _measure("HeatPerArea", ("W/m²", "W/m**2"), ("BTU/(h ft²)", "Btu_it/(hour*ft**2)", _BTUH / _FOOT**2))
CONDUCTANCE = _measure(
    "Conductance", ("W/K", "W/delta_degC"), ("BTU/(h °F)", "Btu_it/(hour*delta_degF)", _BTUH / _RANKINE), limits=_NOT_NEGATIVE
)
CONDUCTANCE_PER_LENGTH = _measure(
    "ConductancePerLength",
    ("W/(m K)", "W/(m*delta_degC)"),
    ("BTU/(h ft °F)", "Btu_it/(hour*ft*delta_degF)", _BTUH / _FOOT / _RANKINE),
)
CONDUCTANCE_PER_AREA = _measure(
    "ConductancePerArea",
    ("W/(m² K)", "W/(m**2*delta_degC)"),
    ("BTU/(h ft² °F)", "Btu_it/(hour*ft**2*delta_degF)", _BTUH / _FOOT**2 / _RANKINE),
    limits=_NOT_NEGATIVE,
)
RESISTANCE = _measure("Resistance", ("K/W", "delta_degC/W"), ("h °F/BTU", "hour*delta_degF/Btu_it", _RANKINE / _BTUH), limits=_NOT_NEGATIVE)
LINE_RESISTANCE = _measure(
    "LineResistance",
    ("m K/W", "m*delta_degC/W"),
    ("h ft °F/BTU", "hour*ft*delta_degF/Btu_it", _FOOT * _RANKINE / _BTUH),
    limits=_NOT_NEGATIVE,
)
DEGREE_DAYS = _measure("DegreeDays", ("K day", "delta_degC*day"), ("°F day", "delta_degF*day", _RANKINE), limits=_NOT_NEGATIVE)
MASS = _measure("Mass", ("kg", "kg"), ("lb", "lb", _POUND), limits=_NOT_NEGATIVE)
HEATING_VALUE = _measure("HeatingValue", ("J/kg", "J/kg"), ("BTU/lb", "Btu_it/lb", _BTU / _POUND), ("MJ/kg", "MJ/kg", Fraction(10**6)))
CORDS = _measure("Cords", ("cord", "cord"), ("cords", "cord", _ONE), ("cords", "cord", _ONE), _NOT_NEGATIVE)
CORD_ENERGY = _measure(
    "CordEnergy",
    ("J/cord", "J/cord"),
    ("million BTU/cord", "megaBtu_it/cord", _BTU * 10**6),
    ("kWh/cord", "kilowatt_hour/cord", _KILO * _HOUR),
    _NOT_NEGATIVE,
)
TIME = _measure("Time", ("s", "s"), ("h", "hour", _HOUR), ("h", "hour", _HOUR), _NOT_NEGATIVE)
MINUTES = _measure("Minutes", ("s", "s"), ("min", "minute", Fraction(60)), ("min", "minute", Fraction(60)), _NOT_NEGATIVE)
DAYS = _measure("Days", ("day", "day"), ("day", "day", _ONE), limits=ANY)
YEARS = _measure("Years", ("year", "year"), ("years", "year", _ONE), limits=_NOT_NEGATIVE)
PER_HOUR = _measure("PerHour", ("1/s", "1/s"), ("per hour", "1/hour", 1 / _HOUR), ("per hour", "1/hour", 1 / _HOUR), _NOT_NEGATIVE)
FRACTION = _measure("Fraction", ("–", ""), ("%", "percent", Fraction(1, 100)), ("%", "percent", Fraction(1, 100)), between(0.0, 1.0))
RATIO = _measure("Ratio", ("–", ""), ("–", "", _ONE))
COUNT = _measure("Count", ("–", ""), ("–", "", _ONE), limits=_NOT_NEGATIVE)
MONEY = _measure("Money", ("currency", "currency"), ("$", "currency", _ONE), ("currency", "currency", _ONE))
MONEY_PER_ENERGY = _measure(
    "MoneyPerEnergy",
    ("currency/J", "currency/J"),
    ("$ per million BTU", "currency/megaBtu_it", 1 / (_BTU * 10**6)),
    ("currency per kWh", "currency/kilowatt_hour", 1 / (_KILO * _HOUR)),
    _NOT_NEGATIVE,
)
MONEY_PER_LENGTH = _measure(
    "MoneyPerLength", ("currency/m", "currency/m"), ("$/ft", "currency/ft", 1 / _FOOT), ("currency/m", "currency/m", _ONE), _NOT_NEGATIVE
)
MONEY_PER_CORD = _measure("MoneyPerCord", ("currency/cord", "currency/cord"), ("$/cord", "currency/cord", _ONE), limits=_NOT_NEGATIVE)
MONEY_PER_TIME = _measure(
    "MoneyPerTime",
    ("currency/s", "currency/s"),
    ("$/h", "currency/hour", 1 / _HOUR),
    ("currency/h", "currency/hour", 1 / _HOUR),
    _NOT_NEGATIVE,
)
FUEL_ENERGY = _measure(
    "FuelEnergy",
    ("J/unit", "J/sales_unit"),
    ("BTU/unit", "Btu_it/sales_unit", _BTU),
    ("kWh/unit", "kilowatt_hour/sales_unit", _KILO * _HOUR),
    _POSITIVE,
)
MONEY_PER_UNIT = _measure(
    "MoneyPerUnit", ("currency/unit", "currency/sales_unit"), ("$/unit", "currency/sales_unit", _ONE), limits=_NOT_NEGATIVE
)
FUEL_AMOUNT = _measure("FuelAmount", ("unit", "sales_unit"), ("units", "sales_unit", _ONE), limits=_NOT_NEGATIVE)
# What a valve lets through is printed as m³/h at 1 bar and as gpm at 1 psi in either system: each keeps its own unit.
_KV = ("m³/h", "m**3/hour", 1 / _HOUR)
_CV = ("gpm", "gallon/minute", _GALLON / 60)
FLOW_FACTOR = _measure("FlowFactor", ("m³/s", "m**3/s"), _KV, _KV, _POSITIVE)
FLOW_COEFFICIENT = _measure("FlowCoefficient", ("m³/s", "m**3/s"), _CV, _CV, _POSITIVE)
ELECTRIC_POWER = _measure("ElectricPower", ("W", "watt"), ("W", "watt", _ONE), limits=_NOT_NEGATIVE)
ELECTRICITY_PRICE = _measure(
    "ElectricityPrice",
    ("currency/J", "currency/J"),
    ("$/kWh", "currency/kilowatt_hour", 1 / (_KILO * _HOUR)),
    ("currency/kWh", "currency/kilowatt_hour", 1 / (_KILO * _HOUR)),
    _NOT_NEGATIVE,
)
AIR_FLOW = _measure("AirFlow", ("m³/s", "m**3/s"), ("cfm", "ft**3/minute", _FOOT**3 / 60), ("L/s", "liter/s", _MILLI), _NOT_NEGATIVE)
AREA_RESISTANCE = _measure(
    "AreaResistance",
    ("m² K/W", "m**2*delta_degC/W"),
    ("h ft² °F/BTU", "hour*ft**2*delta_degF/Btu_it", _FOOT**2 * _RANKINE / _BTUH),
    limits=_NOT_NEGATIVE,
)
TEMPERATURE_GRADIENT = _measure(
    "TemperatureGradient",
    ("K/m", "delta_degC/m"),
    ("°F per 100 ft", "delta_degF/hectofoot", _RANKINE / _FOOT / 100),
    ("K per 100 m", "delta_degC/hectometer", Fraction(1, 100)),
)
VOLUME_PER_LENGTH = _measure(
    "VolumePerLength", ("m³/m", "m**3/m"), ("gal/ft", "gallon/ft", _GALLON / _FOOT), ("L/m", "liter/m", _MILLI), _NOT_NEGATIVE
)
HEAD_PER_FLOW = _measure(
    "HeadPerFlow",
    ("m per m³/s", "m/(m**3/s)"),
    ("ft per gpm", "ft/(gallon/minute)", _FOOT / (_GALLON / 60)),
    ("m per L/min", "m/(liter/minute)", 60 * _KILO),
)
HEAD_PER_FLOW_SQUARED = _measure(
    "HeadPerFlowSquared",
    ("m per (m³/s)²", "m/(m**3/s)**2"),
    ("ft per gpm²", "ft/(gallon/minute)**2", _FOOT / (_GALLON / 60) ** 2),
    ("m per (L/min)²", "m/(liter/minute)**2", (60 * _KILO) ** 2),
)
EXPANSION_COEFFICIENT = _measure(
    "ExpansionCoefficient", ("1/K", "1/delta_degC"), ("per °F", "1/delta_degF", 1 / _RANKINE), limits=_NOT_NEGATIVE
)

# What bodies are annotated with.  To a type checker each is Any: one body takes floats, arrays, quantities and cells.
Power = Annotated[Any, POWER]
Energy = Annotated[Any, ENERGY]
SeasonEnergy = Annotated[Any, SEASON_ENERGY]
Temperature = Annotated[Any, TEMPERATURE]
TemperatureDifference = Annotated[Any, TEMPERATURE_DIFFERENCE]
VolumeFlow = Annotated[Any, VOLUME_FLOW]
MassFlow = Annotated[Any, MASS_FLOW]
Length = Annotated[Any, LENGTH]
Bore = Annotated[Any, BORE]
Area = Annotated[Any, AREA]
Volume = Annotated[Any, VOLUME]
Space = Annotated[Any, SPACE]
Velocity = Annotated[Any, VELOCITY]
Density = Annotated[Any, DENSITY]
SpecificHeat = Annotated[Any, SPECIFIC_HEAT]
Viscosity = Annotated[Any, VISCOSITY]
Conductivity = Annotated[Any, CONDUCTIVITY]
Diffusivity = Annotated[Any, DIFFUSIVITY]
Pressure = Annotated[Any, PRESSURE]
Head = Annotated[Any, HEAD]
HeadGradient = Annotated[Any, HEAD_GRADIENT]
HeatPerLength = Annotated[Any, HEAT_PER_LENGTH]
HeatPerArea = Annotated[Any, HEAT_PER_AREA]
Conductance = Annotated[Any, CONDUCTANCE]
ConductancePerLength = Annotated[Any, CONDUCTANCE_PER_LENGTH]
ConductancePerArea = Annotated[Any, CONDUCTANCE_PER_AREA]
Resistance = Annotated[Any, RESISTANCE]
LineResistance = Annotated[Any, LINE_RESISTANCE]
DegreeDays = Annotated[Any, DEGREE_DAYS]
Mass = Annotated[Any, MASS]
HeatingValue = Annotated[Any, HEATING_VALUE]
Cords = Annotated[Any, CORDS]
CordEnergy = Annotated[Any, CORD_ENERGY]
Time = Annotated[Any, TIME]
Minutes = Annotated[Any, MINUTES]
Days = Annotated[Any, DAYS]
Years = Annotated[Any, YEARS]
PerHour = Annotated[Any, PER_HOUR]
Fraction_ = Annotated[Any, FRACTION]
Ratio = Annotated[Any, RATIO]
Count = Annotated[Any, COUNT]
Money = Annotated[Any, MONEY]
MoneyPerEnergy = Annotated[Any, MONEY_PER_ENERGY]
MoneyPerLength = Annotated[Any, MONEY_PER_LENGTH]
MoneyPerCord = Annotated[Any, MONEY_PER_CORD]
MoneyPerTime = Annotated[Any, MONEY_PER_TIME]
FuelEnergy = Annotated[Any, FUEL_ENERGY]
MoneyPerUnit = Annotated[Any, MONEY_PER_UNIT]
FuelAmount = Annotated[Any, FUEL_AMOUNT]
ElectricPower = Annotated[Any, ELECTRIC_POWER]
ElectricityPrice = Annotated[Any, ELECTRICITY_PRICE]
AirFlow = Annotated[Any, AIR_FLOW]
AreaResistance = Annotated[Any, AREA_RESISTANCE]
TemperatureGradient = Annotated[Any, TEMPERATURE_GRADIENT]
VolumePerLength = Annotated[Any, VOLUME_PER_LENGTH]
HeadPerFlow = Annotated[Any, HEAD_PER_FLOW]
HeadPerFlowSquared = Annotated[Any, HEAD_PER_FLOW_SQUARED]
ExpansionCoefficient = Annotated[Any, EXPANSION_COEFFICIENT]
FlowFactor = Annotated[Any, FLOW_FACTOR]
FlowCoefficient = Annotated[Any, FLOW_COEFFICIENT]

# Arguments that pick a row of a table.
Liquid = Annotated[Any, Key("liquids", "liquid")]
TubeFamily = Annotated[Any, Key("tube_limits", "family")]
Fitting = Annotated[Any, Key("fittings", "fitting")]


def measures() -> Iterator[Measure]:
    """Every measure, in the order of this page."""
    return iter(_REGISTRY.values())


def measure(name: str) -> Measure:
    """The measure of that name; KeyError if there is none."""
    return _REGISTRY[name]
