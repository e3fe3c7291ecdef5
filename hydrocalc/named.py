"""Named functions: a plain numpy body with measures becomes a catalogue entry with checks, views and faces.

A body is written once, in coherent units, and never called directly by users.  Who calls the named function
decides what happens:

* numbers and arrays: arguments are checked, the body runs, numbers come back;
* pint quantities: converted on the way in, a quantity comes back (``quantities.py``, imported late);
* anything whose type has ``__named_call__`` (a worksheet cell, say) takes the call over;
* inside another body, a hook decides: by default the body just runs, unchecked, since the outermost call was
  checked; a recorder may make a worked line of its own of the call instead.
"""

from __future__ import annotations

import contextlib
import inspect
import math
import sys
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextvars import ContextVar
from dataclasses import dataclass
from functools import update_wrapper
from typing import Any, Generic, ParamSpec, get_type_hints

import numpy as np

from .measures import Key, Limits, Measure, System
from .tables import table

P = ParamSpec("P")
Hook = Callable[["Named[Any]", tuple[Any, ...]], Any]
Requirement = tuple[str, Callable[..., Any]]

_CATALOGUE: dict[str, Named[Any]] = {}
_BLOCK = 16384  # elements; the eight or so arrays of this length that a body holds at once fit in the cache of one core
_hook: ContextVar[Hook | None] = ContextVar("hydrocalc_hook", default=None)


class RangeError(ValueError):
    """An argument is outside its physical range, is not a number, or does not fit the others."""


class ValidityWarning(UserWarning):
    """An argument is outside the range over which the source holds; the result is an extrapolation."""


class RegistrationError(TypeError):
    """A body cannot become a named function: a measure, a description, a docstring or a source is missing."""


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


def _straight(function: Named[Any], args: tuple[Any, ...]) -> Any:
    return function.body(*args)


@contextlib.contextmanager
def calls_go_to(hook: Hook) -> Iterator[None]:
    """While active, every named call goes to ``hook(function, arguments)`` instead of being checked and run."""
    token = _hook.set(hook)
    try:
        yield
    finally:
        _hook.reset(token)


class Named(Generic[P]):
    """A function of the catalogue.  Calling it takes coherent units; ``.us`` and ``.metric`` take trade units."""

    __name__: str
    __wrapped__: Callable[P, Any]

    def __init__(
        self,
        body: Callable[P, Any],
        *,
        source: str,
        accuracy: str,
        correlation: bool,
        ranges: Mapping[str, Limits],
        valid: Mapping[str, Limits],
        requires: tuple[Requirement, ...],
        doubts: tuple[Requirement, ...],
    ) -> None:
        self.body: Callable[..., Any] = body
        update_wrapper(self, body)
        self.name = body.__name__
        self.chapter = body.__module__.rpartition(".")[2]
        self.source, self.accuracy, self.correlation = source, accuracy, correlation
        self.requires, self.doubts = requires, doubts
        self.title, self.notes, descriptions = _parsed(body)
        self.parameters, self.result = _signature(body, descriptions, ranges, valid)
        if not source.strip():
            raise RegistrationError(f"{self.name} has no source")
        self._arity = len(self.parameters)
        self.us: Callable[P, Any] = _View(self, "us")
        self.metric: Callable[P, Any] = _View(self, "metric")

    def __repr__(self) -> str:
        return f"<named function {self.name}: {self.title}>"

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> Any:
        bound = self.bind(args, kwargs) if kwargs or len(args) != self._arity else args
        hook = _hook.get()
        if hook is not None:
            return hook(self, bound)
        return self._outermost(bound, None)

    def bind(self, args: tuple[Any, ...], kwargs: Mapping[str, Any]) -> tuple[Any, ...]:
        """The arguments in the order of the signature; TypeError as for any Python function."""
        bound = inspect.signature(self.body).bind(*args, **kwargs)
        bound.apply_defaults()
        return bound.args

    def _outermost(self, args: tuple[Any, ...], system: System | None) -> Any:
        for arg in args:
            kind = type(arg)
            if hasattr(kind, "__named_call__"):
                return kind.__named_call__(self, args)
            if "pint" in sys.modules:
                from . import quantities

                if quantities.is_quantity(arg):
                    return quantities.call(self, args, system)
        token = _hook.set(_straight)
        try:
            coherent = self.checked(args, system)
            result = self._in_blocks(coherent)
        finally:
            _hook.reset(token)
        if system is not None:
            result = self.result.unit(system).from_coherent(result)
        return result if isinstance(result, np.ndarray) and result.ndim else float(result)

    def _in_blocks(self, coherent: list[Any]) -> Any:
        """The body over long arrays a block at a time: what lies between two steps stays in the processor's cache."""
        shapes = [c.shape for c in coherent if isinstance(c, np.ndarray)]
        if not shapes or max(map(math.prod, shapes)) <= 2 * _BLOCK:
            return self.body(*coherent)
        shape = np.broadcast_shapes(*shapes)
        flat = [np.broadcast_to(c, shape).ravel() if isinstance(c, np.ndarray) else c for c in coherent]
        result = np.empty(math.prod(shape))
        for start in range(0, result.size, _BLOCK):
            part = slice(start, start + _BLOCK)
            result[part] = self.body(*(f[part] if isinstance(f, np.ndarray) else f for f in flat))
        return result.reshape(shape)

    def checked(self, args: tuple[Any, ...], system: System | None) -> list[Any]:
        """The arguments in coherent units; RangeError with every argument that cannot be."""
        coherent: list[Any] = []
        problems: list[str] = []
        doubts: list[str] = []
        for parameter, arg in zip(self.parameters, args, strict=True):
            kind = parameter.kind
            if isinstance(kind, Key):
                problems += _unknown_keys(parameter, kind, arg)
                # A list would compare as a whole with the text of a row, an array compares cell by cell.
                coherent.append(arg if isinstance(arg, str) else np.asarray(arg, dtype=object))
                continue
            value = _number(arg)
            if value is None:
                problems.append(f"{parameter.name} is {arg!r}, which is not a number")
                continue
            if system is not None:
                value = kind.unit(system).to_coherent(value)
            coherent.append(value)
            ends = _ends(value)
            if not all(map(parameter.limits.holds, ends)):
                problems += _outside(parameter, kind, arg, value, parameter.limits, system, "allowed")
            if parameter.valid is not None and not problems and not all(map(parameter.valid.holds, ends)):
                doubts += _outside(parameter, kind, arg, value, parameter.valid, system, "its source holds")
        if not problems:
            problems = self._misfits(coherent)
        if not problems:
            for text, predicate in self.requires:
                if not np.all(predicate(*coherent)):
                    given = ", ".join(f"{p.name} is {_shown(a)}" for p, a in zip(self.parameters, args, strict=True))
                    problems.append(f"{text}, but {given}")
            doubts += [text for text, doubtful in self.doubts if not problems and np.any(doubtful(*coherent))]
        if problems:
            raise RangeError(f"{self.name}: " + "; ".join(problems))
        if doubts:
            warnings.warn(f"{self.name}: " + "; ".join(doubts), ValidityWarning, stacklevel=4)
        return coherent

    def _misfits(self, coherent: list[Any]) -> list[str]:
        shapes = {p.name: c.shape for p, c in zip(self.parameters, coherent, strict=True) if isinstance(c, np.ndarray)}
        if len(shapes) < 2:
            return []
        try:
            np.broadcast_shapes(*shapes.values())
        except ValueError:
            return ["the arrays do not fit one another: " + ", ".join(f"{name} has the shape {s}" for name, s in shapes.items())]
        return []


class _View(Generic[P]):
    """A named function in trade units: numbers in, numbers out."""

    def __init__(self, function: Named[P], system: System) -> None:
        self._function, self._system = function, system
        self.__doc__ = function.__doc__
        self.__name__ = function.name
        self.__signature__ = inspect.signature(function.body)

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> Any:
        function = self._function
        return function._outermost(function.bind(args, kwargs) if kwargs or len(args) != function._arity else args, self._system)

    def __repr__(self) -> str:
        return f"<{self._function.name} in {self._system} trade units>"


def named(
    *,
    source: str,
    accuracy: str = "exact",
    correlation: bool = False,
    ranges: Mapping[str, Limits] | None = None,
    valid: Mapping[str, Limits] | None = None,
    requires: tuple[Requirement, ...] = (),
    doubts: tuple[Requirement, ...] = (),
) -> Callable[[Callable[P, Any]], Named[P]]:
    """Make a body a named function.

    source: where the formula comes from, down to the equation; "from memory" where the original was not seen
    accuracy: against what reference, over what range; "exact" for a definition
    correlation: True where the body's dimensions do not close by themselves (a fit with units built in)
    ranges: physical limits of an argument, in coherent units, where they are narrower than its measure's
    valid: limits over which the source holds; outside, a ValidityWarning (a remark in a book)
    requires: (what must hold, predicate over all arguments) where arguments limit one another
    doubts: (what is doubtful, predicate true where it is) for doubts inside the limits; a ValidityWarning
    """

    def register(body: Callable[P, Any]) -> Named[P]:
        function = Named(
            body,
            source=source,
            accuracy=accuracy,
            correlation=correlation,
            ranges=ranges or {},
            valid=valid or {},
            requires=requires,
            doubts=doubts,
        )
        if function.name in _CATALOGUE:
            raise RegistrationError(f"{function.name} is registered twice")
        _CATALOGUE[function.name] = function
        return function

    return register


def catalogue() -> Mapping[str, Named[Any]]:
    """Every named function by its name, in the order of the chapters."""
    return dict(_CATALOGUE)


def _parsed(body: Callable[..., Any]) -> tuple[str, str, dict[str, str]]:
    """Title, notes and the description of each argument, from a docstring with lines ``argument: what it means``."""
    text = inspect.getdoc(body)
    if not text:
        raise RegistrationError(f"{body.__name__} has no docstring")
    names = set(inspect.signature(body).parameters)
    descriptions: dict[str, str] = {}
    notes: list[str] = []
    lines = text.splitlines()
    latest = ""
    for line in lines[1:]:
        head, colon, rest = line.partition(": ")
        if colon and head in names:
            latest = head
            descriptions[head] = rest.strip()
        elif latest and line.startswith("    "):
            descriptions[latest] += " " + line.strip()
        else:
            latest = ""
            notes.append(line)
    prose = "\n".join(notes).split(">>>")[0].strip()
    return lines[0].rstrip("."), prose, descriptions


def _signature(
    body: Callable[..., Any], descriptions: Mapping[str, str], ranges: Mapping[str, Limits], valid: Mapping[str, Limits]
) -> tuple[tuple[Parameter, ...], Measure]:
    hints = get_type_hints(body, include_extras=True)
    name = body.__name__
    parameters: list[Parameter] = []
    for argument in inspect.signature(body).parameters:
        kind = _kind(hints.get(argument))
        if kind is None:
            raise RegistrationError(f"{name}: argument {argument} has no measure")
        if argument not in descriptions:
            raise RegistrationError(f"{name}: argument {argument} is not described in the docstring")
        default = kind.limits if isinstance(kind, Measure) else Limits()
        parameters.append(Parameter(argument, kind, descriptions[argument], ranges.get(argument, default), valid.get(argument)))
    unknown = (set(ranges) | set(valid)) - {p.name for p in parameters}
    if unknown:
        raise RegistrationError(f"{name}: a range is given for {sorted(unknown)}, which it does not take")
    result = _kind(hints.get("return"))
    if not isinstance(result, Measure):
        raise RegistrationError(f"{name}: the result has no measure")
    return tuple(parameters), result


def _kind(hint: Any) -> Measure | Key | None:
    return next((m for m in getattr(hint, "__metadata__", ()) if isinstance(m, Measure | Key)), None)


def _number(arg: Any) -> Any:
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


def _ends(value: Any) -> tuple[Any, ...]:
    """The smallest and the largest value, all that limits need to see; NaN if there is one."""
    if isinstance(value, np.ndarray):
        return (value.min(), value.max()) if value.size else ()
    return (value,)


def _outside(parameter: Parameter, kind: Measure, arg: Any, value: Any, limits: Limits, system: System | None, what: str) -> list[str]:
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
    return [f"{parameter.name}{place} is {_shown(arg)}{symbol}, {what}: {describe_limits(limits, kind, system)}"]


def describe_limits(limits: Limits, kind: Measure, system: System | None) -> str:
    """The limits in words and in the unit of a system."""
    unit = kind.unit(system)
    symbol = "" if unit.symbol == "–" else f" {unit.symbol}"
    low = None if limits.low == float("-inf") else f"{_shown(unit.from_coherent(limits.low))}{symbol}"
    high = None if limits.high == float("inf") else f"{_shown(unit.from_coherent(limits.high))}{symbol}"
    low_word = "above" if limits.low_open else "at least"
    high_word = "below" if limits.high_open else "at most"
    if low and high:
        if not (limits.low_open or limits.high_open):
            return f"{low} to {high}"
        return f"{low_word} {low} and {high_word} {high}"
    return f"{low_word} {low}" if low else f"{high_word} {high}" if high else "any finite number"


def _unknown_keys(parameter: Parameter, key: Key, arg: Any) -> list[str]:
    known = table(key.table).texts(key.column)
    given = [arg] if isinstance(arg, str) else np.ravel(np.asarray(arg, dtype=object)).tolist()
    with contextlib.suppress(TypeError):  # what cannot even be hashed is no key either, and is told like any other
        given = list(dict.fromkeys(given))
    missing = [g for g in given if g not in known]
    return [f"{parameter.name} is {g!r}, which is not one of: {', '.join(dict.fromkeys(known))}" for g in missing]


def _shown(value: Any) -> str:
    return f"{_number(value):.10g}" if isinstance(value, float | int | np.number) else repr(value)
