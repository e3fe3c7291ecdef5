"""Plain numbers well inside every limit: the same body over Python's floats, which cost a tenth of numpy's.

``scalar_form`` writes one small function for a named function and a system: are all arguments floats or whole numbers, do they
lie inside every limit, do they go together, then the body, then back into the unit.  It gives None at the first of these that
fails, and what fails in the body raises: both send the call the general way, which alone refuses, warns and words it.

No body is written twice.  Its code is bound anew, at the first call, to globals in which ``np`` is Python's ``math`` and each
named function is its own body, bound likewise.  A body that needs what cannot be bound so (a table, a closure) has no scalar form.
"""

from __future__ import annotations

import builtins
import math
import sys
from collections.abc import Callable, Iterator
from types import BuiltinFunctionType, CodeType, FunctionType, SimpleNamespace
from typing import Any, Protocol

import numpy as np

from .arguments import Parameter
from .measures import Measure, System

Scalar = Callable[..., float | None]

# numpy warns where a product or a quotient overflows on the way, Python's floats do not.  From zero and from magnitudes between
# these no body gets there (it would have to multiply more than a dozen), and nothing in a yard lies outside them.
_LEAST, _MOST = 1e-20, 1e20
_LARGEST = sys.float_info.max


class NoScalarFormError(TypeError):
    """A body holds what cannot be bound to Python's floats."""


class Bodied(Protocol):
    """What is asked of a named function here."""

    body: Callable[..., Any]
    parameters: tuple[Parameter, ...]
    result: Any
    requires: tuple[tuple[str, Callable[..., Any]], ...]
    doubts: tuple[tuple[str, Callable[..., Any]], ...]


def scalar_form(function: Bodied, system: System | None) -> Scalar:
    """A function of plain numbers in the units of a system; it gives None where the call has to go the general way."""
    names = [p.name for p in function.parameters]
    given = ", ".join(names)
    checks = list(map(_inside, function.parameters))
    done: dict[Any, Any] = {}
    try:
        space: dict[str, Any] = {"_body": _over_floats(function.body, done)}
        for word, predicates in (("", function.requires), ("not ", function.doubts)):
            for _, predicate in predicates:
                checks.append(f"{word}_holds{len(space)}({given})")
                space[f"_holds{len(space)}"] = _over_floats(predicate, done)
        coherent = [f"{p.name} = {_measure(p).unit(system).to_coherent(_Text(p.name))}" for p in function.parameters]
    except NoScalarFormError:
        return _never
    start = [f"if not ({' and '.join(f'(type({n}) is float or type({n}) is int)' for n in names)}): return None", *coherent]
    if system is None:  # all that is left to convert are whole numbers, and a call with floats is spared a tenth of its time
        start = [f"if not ({' and '.join(f'type({n}) is float' for n in names)}):", *(f"    {line}" for line in start)]
    lines = [
        f"def call({given}):",
        *start,
        f"if not ({' and '.join(checks)}): return None",
        f"value = {function.result.unit(system).from_coherent(_Text(f'_body({given})'))}",
        f"return value if {-_LARGEST!r} <= value <= {_LARGEST!r} else None",
    ]
    exec("\n    ".join(lines), space)
    made: Scalar = space["call"]
    return made


def _never(*_: Any, **__: Any) -> None:
    return None


class _Text:
    """An operand that writes down what is done to it, so that the conversions stand in ``Unit`` and nowhere else."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __str__(self) -> str:
        return self.text

    def __mul__(self, other: float) -> _Text:
        return _Text(f"({self} * {other!r})")

    def __truediv__(self, other: float) -> _Text:
        return _Text(f"({self} / {other!r})")

    def __add__(self, other: float) -> _Text:
        return _Text(f"({self} + {other!r})")

    def __sub__(self, other: float) -> _Text:
        return _Text(f"({self} - {other!r})")


def _measure(parameter: Parameter) -> Measure:
    if not isinstance(parameter.kind, Measure):
        raise NoScalarFormError(f"{parameter.name} is a text")
    return parameter.kind


def _inside(parameter: Parameter) -> str:
    """The condition that a float lies inside all limits of an argument, and is zero or of a usual magnitude; NaN fulfils none."""
    limits = [parameter.limits, *([parameter.valid] if parameter.valid else [])]
    parts: list[str] = []
    for least, most in ((_LEAST, _MOST), (0.0, 0.0), (-_MOST, -_LEAST)):
        low, low_open = max((least, False), *((limit.low, limit.low_open) for limit in limits))
        high, high_closed = min((most, True), *((limit.high, not limit.high_open) for limit in limits))
        if low < high or (low == high and high_closed and not low_open):
            parts.append(f"{low!r} {'<' if low_open else '<='} {parameter.name} {'<=' if high_closed else '<'} {high!r}")
    return f"({' or '.join(parts) or False})"


# --- a body over floats --------------------------------------------------------------------------------------------


def _where(condition: Any, one: Any, other: Any) -> Any:
    return one if condition else other


def _maximum(a: Any, b: Any) -> Any:
    return a if a >= b or a != a else b


def _minimum(a: Any, b: Any) -> Any:
    return a if a <= b or a != a else b


# Where numpy warns and gives an infinity or NaN, math raises, and the call goes the general way.
_MATH = SimpleNamespace(
    where=_where,
    maximum=_maximum,
    minimum=_minimum,
    abs=abs,
    zeros_like=lambda _: 0.0,
    pi=math.pi,
    sqrt=math.sqrt,
    exp=math.exp,
    log=math.log,
    log10=math.log10,
    cos=math.cos,
    arccosh=math.acosh,
)


def _over_floats(function: Any, done: dict[Any, Any]) -> Any:
    """The same code, bound to globals that work on Python's floats; ``done`` has what was bound already, and is added to."""
    if not isinstance(function, FunctionType) or function.__closure__:
        raise NoScalarFormError(f"{function!r} is not a function of a module")
    if function in done:
        return done[function]
    known, space = function.__globals__, {"__builtins__": builtins}
    bound = done[function] = FunctionType(function.__code__, space, function.__name__)
    space |= {name: _bound(known[name], done) for name in _names(function.__code__) if name in known}
    bound.__defaults__ = tuple(_bound(value, done) for value in function.__defaults__ or ())
    bound.__kwdefaults__ = {name: _bound(value, done) for name, value in (function.__kwdefaults__ or {}).items()}
    return bound


def _names(code: CodeType) -> Iterator[str]:
    """The globals that code uses, and the attributes, with those of the functions inside it."""
    yield from code.co_names
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _names(constant)


def _bound(value: Any, done: dict[Any, Any]) -> Any:
    """What a body finds under a name, over floats."""
    if value is np:
        return _MATH
    if isinstance(value, tuple):
        return tuple(_bound(item, done) for item in value)
    if isinstance(value, float | int | str | type | BuiltinFunctionType):
        return value
    return _over_floats(getattr(value, "body", value), done)  # a named function, or a plain one
