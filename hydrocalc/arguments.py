"""Arguments of a named function: what one may be, and the words for one that may not."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from reprlib import Repr
from typing import Any

import numpy as np

from .measures import Key, Limits, Measure, System
from .tables import plain_text, table

TOLD = 5  # elements of an array that a message names; the others it counts
_REPR = Repr()
_REPR.maxstring, _REPR.maxother, _REPR.maxlist = 60, 200, TOLD


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


def bound(name: str, body: Callable[..., Any], args: tuple[Any, ...], kwargs: Mapping[str, Any]) -> tuple[Any, ...]:
    """The arguments in the order of the signature; a TypeError that names the function and the argument."""
    signature = inspect.signature(body)
    try:
        found = signature.bind(*args, **kwargs)
    except TypeError:
        names = list(signature.parameters)
        raise TypeError(f"{name} {_unbound(names, signature, args, kwargs)}; it has {', '.join(names)}") from None
    found.apply_defaults()
    return found.args


def _unbound(names: list[str], signature: inspect.Signature, args: tuple[Any, ...], kwargs: Mapping[str, Any]) -> str:
    unknown = [repr(k) for k in kwargs if k not in names]
    if unknown:
        return f"has no argument {', '.join(unknown)}"
    if len(args) > len(names):
        return f"was given {len(args)} arguments"
    twice = [repr(n) for n in names[: len(args)] if n in kwargs]
    if twice:
        return f"was given the argument {', '.join(twice)} twice"
    needed = [repr(n) for n in names[len(args) :] if n not in kwargs and signature.parameters[n].default is inspect.Parameter.empty]
    return f"was not given the argument {', '.join(needed)}"


def is_masked(arg: Any) -> bool:
    """True for a masked array of which an element is masked; without the mask what lies under it would count."""
    return isinstance(arg, np.ma.MaskedArray) and bool(np.ma.getmaskarray(arg).any())


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
    """A value outside limits in words, with its place if it is in an array; a quantity in the unit in which it came."""
    inside = np.isfinite(value)
    inside &= (value > limits.low) if limits.low_open else (value >= limits.low)
    inside &= (value < limits.high) if limits.high_open else (value <= limits.high)
    if hasattr(arg, "_REGISTRY"):
        from . import quantities  # late: it is a quantity, and pint is there

        magnitude, symbol = arg.magnitude, quantities.symbol(arg)
        allowed = ends_in_words(limits, lambda end: quantities.end_beside(end, kind, arg), symbol)
    else:
        unit = kind.unit(system)
        magnitude, symbol = arg, "" if unit.symbol == "–" else f" {unit.symbol}"
        allowed = describe_limits(limits, kind, system)
    if not isinstance(value, np.ndarray):
        return f"{parameter.name} is {shown(magnitude)}{symbol}, {what}: {allowed}"
    given = np.broadcast_to(np.asarray(magnitude), value.shape)
    each = (f"{parameter.name}{place} is {shown(given[at])}{symbol}" for place, at in places(~inside))
    return f"{listed(each, ~inside)}, {what}: {allowed}"


def places(wrong: Any) -> Iterable[tuple[str, tuple[int, ...]]]:
    """The first places of an array where something is wrong, in words and as an index."""
    for at in np.argwhere(wrong)[:TOLD]:
        yield f"[{', '.join(map(str, at))}]", tuple(at)


def listed(texts: Iterable[str], wrong: Any) -> str:
    """Texts of the first places, and how many more there are."""
    more = int(np.count_nonzero(wrong)) - TOLD
    return ", ".join(texts) + (f" and {more:,} more" if more > 0 else "")


def unmet(text: str, met: Any, parameters: tuple[Parameter, ...], args: tuple[Any, ...]) -> str:
    """A requirement between arguments that does not hold, in words: what was given, of arrays where it fails."""
    wrong = ~np.asarray(met, dtype=bool)
    if not wrong.ndim:
        return f"{text}, but " + ", ".join(f"{p.name} is {shown(a)}" for p, a in zip(parameters, args, strict=True))
    spread = [np.broadcast_to(np.asarray(getattr(a, "magnitude", a), dtype=object), wrong.shape) for a in args]
    named = [(p.name, s) for p, s in zip(parameters, spread, strict=True)]
    each = (f"at {place} " + ", ".join(f"{name} is {shown(s[at])}" for name, s in named) for place, at in places(wrong))
    return f"{text}, but {listed(each, wrong)}"


def describe_limits(limits: Limits, kind: Measure, system: System | None) -> str:
    """The limits in words and in the unit of a system."""
    unit = kind.unit(system)
    return ends_in_words(limits, unit.from_coherent, "" if unit.symbol == "–" else f" {unit.symbol}")


def ends_in_words(limits: Limits, converted: Callable[[float], Any], symbol: str) -> str:
    """The limits in words, their ends converted into the unit of a symbol."""
    low = None if limits.low == float("-inf") else f"{shown(converted(limits.low))}{symbol}"
    high = None if limits.high == float("inf") else f"{shown(converted(limits.high))}{symbol}"
    low_word = "above" if limits.low_open else "at least"
    high_word = "below" if limits.high_open else "at most"
    if low and high:
        if not (limits.low_open or limits.high_open):
            return f"{low} to {high}"
        return f"{low_word} {low} and {high_word} {high}"
    return f"{low_word} {low}" if low else f"{high_word} {high}" if high else "any finite number"


def key_texts(key: Key, arg: Any) -> Any:
    """Texts as the table writes them, whatever their capitals and blanks; what the table does not have stays as it is."""
    spelled = table(key.table).spelled(key.column)
    if isinstance(arg, str):
        return spelled.get(plain_text(arg), arg)
    # A list would compare as a whole with the text of a row, an array compares cell by cell.
    given = np.asarray(arg, dtype=object)
    known: dict[Any, Any] = {g: spelled.get(plain_text(g), g) for g in given.ravel().tolist() if isinstance(g, str)}
    found = np.empty(given.size, dtype=object)
    found[:] = [known[g] if isinstance(g, str) else g for g in given.ravel().tolist()]
    return found.reshape(given.shape)


def unknown_keys(parameter: Parameter, key: Key, texts: Any) -> list[str]:
    """What the table does not have, in words; ``texts`` as ``key_texts`` gives them."""
    known = table(key.table).texts(key.column)
    choices = ", ".join(dict.fromkeys(known))
    if not isinstance(texts, np.ndarray) or not texts.ndim:
        text = texts if isinstance(texts, str) else texts.item()
        return [] if isinstance(text, str) and text in known else [f"{parameter.name} is {shown(text)}, which is not one of: {choices}"]
    flat = texts.ravel().tolist()
    right = set(known)
    wrong = np.array([not (isinstance(t, str) and t in right) for t in flat], dtype=bool).reshape(texts.shape)
    if not wrong.any():
        return []
    each = (f"{parameter.name}{place} is {shown(texts[at])}" for place, at in places(wrong))
    return [f"{listed(each, wrong)}, which is not one of: {choices}"]


def shown(value: Any) -> str:
    """A value as a message shows it: never more than a line of it."""
    if hasattr(value, "_REGISTRY"):
        return f"{shown(value.magnitude)} {value.units:~P}".strip()
    figure = number(value) if isinstance(value, float | int | np.number) else None
    return _REPR.repr(value) if figure is None else f"{figure:.10g}"
