"""The bridge to pint.  Imported only when a quantity or a unit string is met, since pint costs more than a small job."""

from __future__ import annotations

import sys
from functools import cache
from typing import TYPE_CHECKING, Any

from .measures import Key, Measure, System

if TYPE_CHECKING:
    import pint

    from .named import Named

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


def magnitude(value: Any, kind: Measure) -> Any:
    """The number in the measure's coherent unit; pint's DimensionalityError, naming both sides, if it cannot be."""
    return value.to(kind.coherent.pint).magnitude


def call(function: Named[Any], args: tuple[Any, ...]) -> Any:
    """Call a named function with quantities: bare numbers count as coherent, the result is a quantity."""
    source = next(a for a in args if is_quantity(a))
    plain = [
        magnitude(a, p.kind) if is_quantity(a) and isinstance(p.kind, Measure) else a
        for a, p in zip(args, function.parameters, strict=True)
    ]
    result = function(*plain)
    return source._REGISTRY.Quantity(result, function.result.coherent.pint)


def quantity(value: Any, kind: Measure | Key, system: System | None) -> Any:
    """A number in the trade unit of a system as a quantity; a text stays a text."""
    return registry().Quantity(value, kind.unit(system).pint) if isinstance(kind, Measure) else value
