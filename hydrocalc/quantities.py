"""The bridge to pint.  Imported only when a quantity or a unit string is met, since pint costs more than a small job."""

from __future__ import annotations

import sys
from functools import cache
from typing import TYPE_CHECKING, Any, Protocol

from .measures import Key, Measure, System

if TYPE_CHECKING:
    import pint

# What the trade measures in and pint does not know.  The cord is not given a volume on purpose: how much wood
# a cord holds is an input of a job, not a constant.
_DEFINITIONS = (
    "gpm = gallon / minute",
    "igpm = imperial_gallon / minute",
    "MBH = 1000 * Btu_it / hour",
    "BTU = Btu_it",
    "BTUH = Btu_it / hour",
    "cord = [cord]",
    "currency = [currency] = USD",
    "sales_unit = [sales_unit]",
    "hectofoot = 100 * foot",
)


@cache
def registry() -> pint.UnitRegistry[Any]:
    """The one unit registry of the process, with the units of the trade added."""
    import pint

    units: pint.UnitRegistry[Any] = pint.UnitRegistry(cache_folder=":auto:", autoconvert_offset_to_baseunit=True)
    for definition in _DEFINITIONS:
        units.define(definition)
    return units


def is_quantity(value: Any) -> bool:
    """True for a pint quantity, of whatever registry, without importing pint."""
    pint_module = sys.modules.get("pint")
    return pint_module is not None and hasattr(pint_module, "Quantity") and isinstance(value, pint_module.Quantity)


def magnitude(value: Any, kind: Measure, system: System | None = None) -> Any:
    """The number in the measure's unit of a system; pint's DimensionalityError, naming both sides, if it cannot be."""
    return value.to(kind.unit(system).pint).magnitude


class Face(Protocol):
    """What is asked of a named function here."""

    name: str
    parameters: tuple[Any, ...]


def plain(function: Face, args: tuple[Any, ...], system: System | None) -> tuple[Any, ...]:
    """The arguments of a call as numbers in the units of its face; bare numbers count in these units."""
    import pint

    numbers = list(args)
    for index, (parameter, arg) in enumerate(zip(function.parameters, args, strict=True)):
        if not is_quantity(arg):
            continue
        if isinstance(parameter.kind, Key):
            numbers[index] = str(arg)  # no text of any table: refused with the list of those that are
            continue
        try:
            numbers[index] = magnitude(arg, parameter.kind, system)
        except pint.UndefinedUnitError:
            define_in(arg._REGISTRY)
            numbers[index] = magnitude(arg, parameter.kind, system)
        except pint.DimensionalityError as error:
            error.extra_msg = f"; {function.name}: {parameter.name} is {arg}"
            raise
    return tuple(numbers)


def quantity_like(among: Any, value: Any, kind: Measure, system: System | None) -> Any:
    """A value as a quantity of the registry of another, which learns what the trade measures in where it lacks that."""
    import pint

    units = among._REGISTRY
    try:
        return units.Quantity(value, kind.unit(system).pint)
    except pint.UndefinedUnitError:
        define_in(units)
        return units.Quantity(value, kind.unit(system).pint)


def define_in(units: Any) -> None:
    """Add the units of the trade to a registry that lacks some; what it has already stays what it is there."""
    for definition in _DEFINITIONS:
        if definition.partition(" = ")[0] not in units:
            units.define(definition)


def symbol(quantity: Any) -> str:
    """The unit of a quantity, as it follows a number in a message."""
    return f" {quantity.units:~P}".rstrip()


def end_beside(end: float, kind: Measure, quantity: Any) -> float:
    """An end of limits, in coherent units, in the unit of a quantity."""
    return float(quantity._REGISTRY.Quantity(end, kind.coherent.pint).to(quantity.units).magnitude)


def quantity(value: Any, kind: Measure | Key, system: System | None) -> Any:
    """A number in the trade unit of a system as a quantity; a text stays a text."""
    return registry().Quantity(value, kind.unit(system).pint) if isinstance(kind, Measure) else value
