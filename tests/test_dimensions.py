"""Dimensions of every homogeneous body of the catalogue.

A body is called with pint quantities in US units, its numeric constants replaced by quantities as well, temperatures absolute.
Where its dimensions close, the declared measure comes out, and the number that the plain call in coherent units gives; a
constant without its unit, a forgotten factor, a temperature taken where a difference belongs, make pint refuse or the number differ.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib import import_module
from types import CodeType
from typing import Any

import namespaces
import numpy as np
import pint
import pytest
from faces import drawn

from hydrocalc import quantities
from hydrocalc.measures import Key, Measure, Power, Temperature, TemperatureDifference, Velocity
from hydrocalc.named import Named, calls_go_to, named
from hydrocalc.tables import Table

UNITS = quantities.registry()
Q = UNITS.Quantity
FUNCTIONS = namespaces.named_functions()

CORRELATIONS = {
    # IAPWS and Melinder: fits in °C, bar and percent
    *("water_density", "water_specific_heat", "water_viscosity", "water_conductivity"),
    *("water_vapor_pressure", "water_boiling_temperature", "saturation_variable", "boiling_root"),
    *("liquid_density", "liquid_specific_heat", "liquid_viscosity", "liquid_conductivity", "liquid_freezing_temperature"),
    # fits with their dimensions in their powers, or in kelvin and days
    *("hazen_williams_gradient", "floor_output", "monthly_spread"),
}
# Marked as correlations since they are read as their title alone; their own dimensions close, given those of what they call.
OF_CORRELATIONS = {"boiling_variable", "glycol_fraction_offset", "expansion_volume", "boiling_height", "monthly_degree_days"}
HOMOGENEOUS = {name: f for name, f in FUNCTIONS.items() if name not in CORRELATIONS}

# What a chapter's constants measure.  A °C is a temperature, an offset what makes one absolute; all others are as pint spells
# them; "" is a plain number.
CONSTANTS: Mapping[str, Mapping[str, str]] = {
    "liquids": dict.fromkeys(("PERCENT", *(f"_N{i}" for i in range(1, 9))), ""),
    "friction": {
        "STANDARD_GRAVITY": "m/s**2",
        "INCH": "m",
        "BAR": "Pa",
        "PSI": "Pa",
        "WATER_DENSITY": "kg/m**3",
        **dict.fromkeys(("LAMINAR_LIMIT", "TURBULENT_LIMIT", "LAMINAR_FACTOR", "_K", "_ROUGH", "_SMOOTH"), ""),
    },
    "pumps": {"STANDARD_GRAVITY": "m/s**2"},
    "ground": {
        "YEAR_IN_DAYS": "day",
        "YEAR_IN_SECONDS": "s",
        "SURFACE_RESISTANCE": "m**2*K/W",
        "ENDLESS": "",
    },
    "exchangers": dict.fromkeys(("ENDLESS", "NEAR", "NEAR_EQUAL"), ""),
    "emitters": {"AIR_SPECIFIC_HEAT": "J/(kg*K)", "NEWTON_STEPS": "", "NO_FLOW": "K/W"},
    "loads": {
        "SECONDS_PER_DAY": "s/day",
        "AIR_GAS_CONSTANT": "J/(kg*K)",
        "AIR_SPECIFIC_HEAT": "J/(kg*K)",
        "YEARLY_SPREAD": "delta_degC",
        "NEAR": "",
        "NEVER": "s",
        "ZERO_CELSIUS": "offset",
    },
    "pools": {
        "STILL_AIR": "W/(m**2*Pa)",
        "MOVING_AIR": "W/(m**2*Pa)/(m/s)",
        "BOWEN": "Pa/K",
        "SKY_BELOW_AIR": "K",
        "STEFAN_BOLTZMANN": "W/(m**2*K**4)",
        "WATER_EMISSIVITY": "",
        "OUTSIDE_FILM": "m**2*K/W",
        "ZERO_CELSIUS": "offset",
    },
    "storage": {"NEVER": "s"},
    "pressure": {
        "STANDARD_GRAVITY": "m/s**2",
        "SEA_LEVEL_PRESSURE": "Pa",
        "SEA_LEVEL_TEMPERATURE": "K",
        "LAPSE_RATE": "K/m",
        "ATMOSPHERE_EXPONENT": "",
        "COOL_POINT": "°C",
        "WARM_POINT": "°C",
        "HOT_POINT": "°C",
    },
    "wood": {
        "LATENT_HEAT": "J/kg",
        "BOILING_LATENT_HEAT": "J/kg",
        "BOILING_TEMPERATURE": "°C",
        **dict.fromkeys(("WATER_SPECIFIC_HEAT", "STEAM_SPECIFIC_HEAT", "GAS_SPECIFIC_HEAT"), "J/(kg*K)"),
        "WATER_DENSITY": "kg/m**3",
        "CORD": "cord",
        "CORD_SPACE": "m**3/cord",
        **dict.fromkeys(("HYDROGEN", "WATER_OF_HYDROGEN", "AIR_FOR_WOOD"), ""),
    },
    "money": {"YEAR": "year", "NEVER_PAID": "year", "CORD": "cord", "NEAR": ""},
}


def absolute(celsius: Any, unit: str = "K") -> Any:
    """A temperature above absolute zero: pint refuses to multiply degrees that have an offset."""
    return Q(np.asarray(celsius) + 273.15, "K").to(unit)


def as_quantity(value: Any, kind: Measure) -> Any:
    """A coherent number as a quantity in the US trade unit."""
    if kind.name == "Temperature":
        return absolute(value, "degR")
    return Q(kind.us.from_coherent(value), kind.us.pint)


def as_number(value: Any, kind: Measure) -> Any:
    """The coherent number of a quantity; pint's DimensionalityError if it is of another kind."""
    found = Q(value)
    return found.to("K").magnitude - 273.15 if kind.name == "Temperature" else found.to(kind.coherent.pint).magnitude


def constants(function: Named[Any]) -> set[str]:
    """The names of the module-level numbers that a body reads."""

    def read(code: CodeType) -> Iterator[str]:
        yield from code.co_names
        for inner in code.co_consts:
            if isinstance(inner, CodeType):
                yield from read(inner)

    return {n for n in read(function.body.__code__) if isinstance(function.body.__globals__.get(n), float | int)}


def _with_unit(value: float, unit: str) -> Any:
    if unit == "offset":  # what is added to °C has been added already: temperatures are absolute here
        return Q(0.0, "K")
    return absolute(value) if unit == "°C" else Q(value, unit) if unit else value


@contextmanager
def with_units() -> Iterator[None]:
    """While active, constants and table values are quantities, and nested calls run straight.

    A correlation has its units built in: called from a homogeneous body it takes and gives quantities by its measures.
    """
    plain = Table.lookup

    def lookup(self: Table, column: str, *keys: Any) -> Any:
        with pytest.MonkeyPatch.context() as inside:
            inside.setattr(Table, "lookup", plain)
            return as_quantity(self.lookup(column, *keys), self.columns[column].measure)

    def run(inner: Named[Any], args: tuple[Any, ...]) -> Any:
        if not inner.correlation:
            return inner.body(*args)
        kinds = [p.kind for p in inner.parameters]
        numbers = [a if isinstance(k, Key) else as_number(a, k) for a, k in zip(args, kinds, strict=True)]
        with pytest.MonkeyPatch.context() as inside, calls_go_to(lambda function, given: function.body(*given)):
            inside.setattr(Table, "lookup", plain)
            return as_quantity(inner.body(*numbers), inner.result)

    with pytest.MonkeyPatch.context() as patch:
        for chapter, units in CONSTANTS.items():
            module = import_module(f"hydrocalc.{chapter}")
            for name, unit in units.items():
                value = getattr(module, name)
                patch.setattr(module, name, _with_unit(value, unit))
        patch.setattr(Table, "lookup", lookup)
        with calls_go_to(run):
            yield


def answers(function: Named[Any], count: int = 12) -> tuple[Any, Any]:
    """What a body gives for the same random points: called with plain numbers, and with quantities."""
    points = drawn(function, np.random.default_rng(7), count)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with calls_go_to(lambda inner, args: inner.body(*args)):
            plain = function.body(*points)
        given = [p if isinstance(q.kind, Key) else as_quantity(p, q.kind) for p, q in zip(points, function.parameters, strict=True)]
        with with_units():
            found = function.body(*given)
    return np.asarray(plain), as_number(found, function.result)


@pytest.mark.parametrize("function", HOMOGENEOUS.values(), ids=HOMOGENEOUS)
def test_dimensions_close(function: Named[Any]) -> None:
    plain, found = answers(function)
    assert np.isfinite(plain).all()
    scale = 300.0 if function.result.name == "Temperature" else float(np.max(np.abs(plain))) or 1.0
    assert np.allclose(found, plain, rtol=1e-9, atol=1e-12 * scale)


@pytest.mark.parametrize("function", HOMOGENEOUS.values(), ids=HOMOGENEOUS)
def test_every_constant_has_its_unit(function: Named[Any]) -> None:
    missing = constants(function) - set(CONSTANTS.get(function.chapter, {}))
    assert not missing, f"tests/test_dimensions.py does not say what {sorted(missing)} of {function.chapter} measure"


def test_no_unit_is_stated_for_nothing() -> None:
    used: dict[str, set[str]] = {}
    for function in HOMOGENEOUS.values():
        used.setdefault(function.chapter, set()).update(constants(function))
    assert {chapter: set(names) for chapter, names in CONSTANTS.items()} == {c: names for c, names in used.items() if names}


# --- the test itself ---------------------------------------------------------------------------------------------

FORGOTTEN = 9.80665


def without_a_factor(load: Power, drop: TemperatureDifference) -> Power:
    """Wrong: a power times a difference.

    load: any
    drop: any
    """
    return load * drop


def with_a_bare_constant(velocity: Velocity) -> Velocity:
    """Wrong: a number without its unit.

    velocity: any
    """
    return velocity**2 / FORGOTTEN


def with_a_bare_sum(velocity: Velocity) -> Velocity:
    """Wrong: one of nobody knows what is added.

    velocity: any
    """
    return velocity + 1.0


def of_celsius(temperature: Temperature) -> Temperature:
    """Wrong: twice as many degrees, which no temperature is.

    temperature: any
    """
    return temperature * 2.0


def of_a_hidden_unit(velocity: Velocity) -> Velocity:
    """Wrong: two of nobody knows what is the limit.

    velocity: any
    """
    return np.where(velocity > 2.0, velocity, 0.0 * velocity)


@pytest.mark.parametrize("body", [without_a_factor, with_a_bare_constant, with_a_bare_sum, of_a_hidden_unit])
def test_a_body_whose_dimensions_do_not_close_is_found(body: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("hydrocalc.named._CATALOGUE", {})
    with pytest.raises((pint.DimensionalityError, ValueError), match=r"Cannot (convert|compare)"):
        answers(named(source="invented")(body))


def test_degrees_that_are_multiplied_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Kelvin closes where degrees are multiplied: only the number shows it."""
    monkeypatch.setattr("hydrocalc.named._CATALOGUE", {})
    plain, found = answers(named(source="invented")(of_celsius))
    assert not np.allclose(found, plain, rtol=1e-6)


def test_a_constant_is_found() -> None:
    assert constants(FUNCTIONS["head_gradient"]) == {"STANDARD_GRAVITY"}
    assert re.fullmatch("[A-Z_]+", *constants(FUNCTIONS["depth_with_surface_film"]))


# --- what is left out --------------------------------------------------------------------------------------------


def test_correlations_are_these() -> None:
    assert {name for name, f in FUNCTIONS.items() if f.correlation} == CORRELATIONS | OF_CORRELATIONS


@pytest.mark.parametrize("name", sorted(CORRELATIONS))
def test_a_correlation_is_one(name: str) -> None:
    """A body whose dimensions close by themselves should not be left out."""
    with pytest.raises(pint.errors.PintTypeError), warnings.catch_warnings():
        answers(FUNCTIONS[name])
