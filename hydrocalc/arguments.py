"""Arguments of a named function: what one may be, and the words for one that may not."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from typing import Any

import numpy as np

from .measures import Key, Limits, Measure, System
from .tables import table


@dataclass(frozen=True, slots=True)
class Parameter:
    """One argument: its measure (or the table its text picks from), what it means, and where it may lie."""

    name: str
    kind: Measure | Key
    description: str
    limits: Limits
    valid: Limits | None

    def symbol(self, system: System | None) -> str:
        return self.kind.unit(system).symbol if isinstance(self.kind, Measure) else "text"


def number(arg: Any) -> Any:
    """A float64 or a float array; None for anything that is not a number (text and booleans are not)."""
    if isinstance(arg, float | int) and not isinstance(arg, bool):
        try:
            return np.float64(arg)
        except OverflowError:  # a whole number beyond any float
            return np.float64(np.copysign(np.inf, 1 if arg > 0 else -1))
    if isinstance(arg, str | bytes | bool) or arg is None:
        return None
    try:
        array = np.asarray(arg)
    except (TypeError, ValueError):
        return None
    if array.dtype.kind not in "fiu":
        return None
    return np.asarray(array, dtype=np.float64) if array.ndim else np.float64(array)


def misfits(parameters: tuple[Parameter, ...], coherent: list[Any]) -> list[str]:
    """What is wrong with the shapes of arrays, in words."""
    shapes = {p.name: c.shape for p, c in zip(parameters, coherent, strict=True) if isinstance(c, np.ndarray)}
    if len(shapes) < 2:
        return []
    try:
        np.broadcast_shapes(*shapes.values())
    except ValueError:
        return ["the arrays do not fit one another: " + ", ".join(f"{name} has the shape {s}" for name, s in shapes.items())]
    return []


def ends_of(value: Any) -> tuple[Any, ...]:
    """The smallest and the largest value, all that limits need to see; NaN if there is one."""
    if isinstance(value, np.ndarray):
        return (value.min(), value.max()) if value.size else ()
    return (value,)


def outside(parameter: Parameter, kind: Measure, arg: Any, value: Any, limits: Limits, system: System | None, what: str) -> str:
    """A value outside limits in words, the first of them if it is an array."""
    if isinstance(value, np.ndarray):
        inside = np.isfinite(value)
        inside &= (value > limits.low) if limits.low_open else (value >= limits.low)
        inside &= (value < limits.high) if limits.high_open else (value <= limits.high)
        where = tuple(int(i[0]) for i in np.nonzero(~inside))
        place = f"[{', '.join(map(str, where))}]"
        arg = np.asarray(arg)[where]
    else:
        place = ""
    unit = kind.unit(system)
    symbol = f" {unit.symbol}" if unit.symbol != "–" else ""
    return f"{parameter.name}{place} is {shown(arg)}{symbol}, {what}: {describe_limits(limits, kind, system)}"


def describe_limits(limits: Limits, kind: Measure, system: System | None) -> str:
    """The limits in words and in the unit of a system."""
    unit = kind.unit(system)
    symbol = "" if unit.symbol == "–" else f" {unit.symbol}"
    low = None if limits.low == float("-inf") else f"{shown(unit.from_coherent(limits.low))}{symbol}"
    high = None if limits.high == float("inf") else f"{shown(unit.from_coherent(limits.high))}{symbol}"
    low_word = "above" if limits.low_open else "at least"
    high_word = "below" if limits.high_open else "at most"
    if low and high:
        if not (limits.low_open or limits.high_open):
            return f"{low} to {high}"
        return f"{low_word} {low} and {high_word} {high}"
    return f"{low_word} {low}" if low else f"{high_word} {high}" if high else "any finite number"


def unknown_keys(parameter: Parameter, key: Key, arg: Any) -> list[str]:
    """The texts that the table does not have, each in words once."""
    known = table(key.table).texts(key.column)
    given = [arg] if isinstance(arg, str) else np.ravel(np.asarray(arg, dtype=object)).tolist()
    with contextlib.suppress(TypeError):  # what cannot even be hashed is no key either, and is told like any other
        given = list(dict.fromkeys(given))
    missing = [g for g in given if g not in known]
    return [f"{parameter.name} is {g!r}, which is not one of: {', '.join(dict.fromkeys(known))}" for g in missing]


def shown(value: Any) -> str:
    """A value as a message shows it."""
    return f"{number(value):.10g}" if isinstance(value, float | int | np.number) else repr(value)
