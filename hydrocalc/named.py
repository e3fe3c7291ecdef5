"""Named functions: a plain numpy body with measures becomes a catalogue entry with checks, views and faces.

A body is written once, in coherent units, and never called directly by users.  Who calls the named function
decides what happens:

* numbers and arrays: arguments are checked, the body runs, numbers come back; plain numbers that nothing can be said
  against take a shorter way to the same (``scalar.py``);
* pint quantities: converted on the way in, a quantity comes back (``quantities.py``, imported late);
* anything whose type has ``__named_call__`` (a worksheet cell, say) takes the call over;
* inside another body, a hook decides: by default the body just runs, unchecked, since the outermost call was
  checked; a recorder may make a worked line of its own of the call instead.
"""

from __future__ import annotations

import contextlib
import inspect
import sys
import warnings
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextvars import ContextVar
from functools import partial, update_wrapper
from typing import TYPE_CHECKING, Any, Generic, ParamSpec, get_type_hints

import numpy as np

from .arguments import Parameter, bound, ends_of, is_masked, key_texts, misfits, number, outside, shown, unknown_keys, unmet
from .blocks import by_text, in_blocks, long_shape
from .measures import Key, Limits, Measure, System

if TYPE_CHECKING:
    from .scalar import Scalar

P = ParamSpec("P")
Hook = Callable[["Named[Any]", tuple[Any, ...]], Any]
Requirement = tuple[str, Callable[..., Any]]

_CATALOGUE: dict[str, Named[Any]] = {}
_hook: ContextVar[Hook | None] = ContextVar("hydrocalc_hook", default=None)


class RangeError(ValueError):
    """An argument is outside its physical range, is not a number, or does not fit the others."""


class ValidityWarning(UserWarning):
    """An argument is outside the range over which the source holds; the result is an extrapolation."""


class _RefusedError(Exception):
    """An argument cannot be; which and why is told when all are in view."""


class RegistrationError(TypeError):
    """A body cannot become a named function: a measure, a description, a docstring or a source is missing."""


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
        self._scalar: Scalar | None = None  # made at the first call, when all that the body calls is there
        self.us: Callable[P, Any] = _View(self, "us")
        self.metric: Callable[P, Any] = _View(self, "metric")

    def __repr__(self) -> str:
        return f"<named function {self.name}: {self.title}>"

    def __reduce__(self) -> tuple[Any, ...]:
        return _by_name, (self.name,)  # another process has the same catalogue

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> Any:
        hook = _hook.get()
        if hook is None:
            try:
                scalar = self._scalar or self._made_scalar()
                value = scalar(*args, **kwargs) if kwargs else scalar(*args)
            except Exception:  # whatever it is, the general way meets it too and tells it
                value = None
            if value is not None:
                return value
        given = self.bind(args, kwargs) if kwargs or len(args) != self._arity else args
        if hook is not None:
            return hook(self, given)
        return self._outermost(given, None)

    def _made_scalar(self) -> Scalar:
        from .scalar import scalar_form  # late: most processes that import the package work on arrays or cells

        self._scalar = scalar_form(self, None)
        return self._scalar

    def bind(self, args: tuple[Any, ...], kwargs: Mapping[str, Any]) -> tuple[Any, ...]:
        """The arguments in the order of the signature; TypeError as for any Python function."""
        return bound(self.name, self.body, args, kwargs)

    def _outermost(self, given: tuple[Any, ...], system: System | None) -> Any:
        args, among = given, None
        for arg in given:
            kind = type(arg)
            if hasattr(kind, "__named_call__"):
                return kind.__named_call__(self, given)
            if "pint" in sys.modules and among is None:
                from . import quantities

                if quantities.is_quantity(arg):
                    args, among = quantities.plain(self, given, system), arg
        token = _hook.set(_straight)
        try:
            result = self._computed(args, system, given)
        finally:
            _hook.reset(token)
        if system is not None:
            result = self.result.unit(system).from_coherent(result)
        result = result if isinstance(result, np.ndarray) and result.ndim else float(result)
        return result if among is None else quantities.quantity_like(among, result, self.result, system)

    def _computed(self, args: tuple[Any, ...], system: System | None, given: tuple[Any, ...]) -> Any:
        """The body's value of arguments that were checked; of long arrays block by block, checks and all.

        ``given`` are the same arguments as they came, quantities among them, for the words of a refusal.
        """
        coherent, problems = self._converted(args, system)
        problems += [] if problems else misfits(self.parameters, coherent)
        if problems:
            raise self._refusal(problems, given, coherent, system)
        shape, doubted = long_shape(coherent), set[str]()

        def checked(*part: Any) -> Any:
            doubted.update(self._doubted(part))
            return self._value(part)

        try:
            work = partial(by_text, checked)
            result = work(coherent) if shape is None else in_blocks(work, coherent, shape)
        except _RefusedError:
            raise self._refusal(problems, given, coherent, system) from None
        if doubted:
            warnings.warn(f"{self.name}: " + "; ".join(self._doubts(doubted, given, coherent, system)), ValidityWarning, stacklevel=4)
        return result

    def _value(self, part: Sequence[Any]) -> Any:
        """The body's value.  ``np.where`` works out the branch that it leaves as well: numpy is heard only on what shows in the result."""
        with np.errstate(divide="ignore", invalid="ignore"):
            value = self.body(*part)
        return value if np.isfinite(value).all() else self.body(*part)

    def _converted(self, args: tuple[Any, ...], system: System | None) -> tuple[list[Any], list[str]]:
        """The arguments in coherent units, and what cannot be one."""
        coherent: list[Any] = []
        problems: list[str] = []
        for parameter, arg in zip(self.parameters, args, strict=True):
            kind = parameter.kind
            if isinstance(kind, Key):
                coherent.append(key_texts(kind, arg))
                problems += unknown_keys(parameter, kind, coherent[-1])
                continue
            value = None if is_masked(arg) else number(arg)
            if is_masked(arg):
                problems.append(f"{parameter.name} is an array of which some is masked: give its compressed() values, or its filled() ones")
            elif value is None:
                problems.append(f"{parameter.name} is {shown(arg)}, which is not a number")
            elif system is not None:
                value = kind.unit(system).to_coherent(value)
            coherent.append(value)
        return coherent, problems

    def _doubted(self, coherent: Sequence[Any]) -> Iterator[str]:
        """What is doubtful, by an argument's name or in its own words; _RefusedError where an argument cannot be."""
        for parameter, value in zip(self.parameters, coherent, strict=True):
            if isinstance(parameter.kind, Key):
                continue
            ends = ends_of(value)
            if not all(map(parameter.limits.holds, ends)):
                raise _RefusedError
            if parameter.valid is not None and not all(map(parameter.valid.holds, ends)):
                yield parameter.name
        if not all(np.all(predicate(*coherent)) for _, predicate in self.requires):
            raise _RefusedError
        yield from (text for text, doubtful in self.doubts if np.any(doubtful(*coherent)))

    def _refusal(self, problems: list[str], args: tuple[Any, ...], coherent: list[Any], system: System | None) -> RangeError:
        """Every argument that cannot be, in words; those that do not go together where each by itself could be."""
        for parameter, arg, value in zip(self.parameters, args, coherent, strict=True):
            if isinstance(parameter.kind, Measure) and value is not None and not all(map(parameter.limits.holds, ends_of(value))):
                problems.append(outside(parameter, parameter.kind, arg, value, parameter.limits, system, "allowed"))
        if not problems:
            asked = [(text, predicate(*coherent)) for text, predicate in self.requires]
            problems = [unmet(text, met, self.parameters, args) for text, met in asked if not np.all(met)]
        return RangeError(f"{self.name}: " + "; ".join(problems))

    def _doubts(self, doubted: set[str], args: tuple[Any, ...], coherent: list[Any], system: System | None) -> list[str]:
        """Every doubt, in words."""
        beyond = [
            outside(parameter, parameter.kind, arg, value, parameter.valid, system, "its source holds")
            for parameter, arg, value in zip(self.parameters, args, coherent, strict=True)
            if parameter.name in doubted and isinstance(parameter.kind, Measure) and parameter.valid is not None
        ]
        return beyond + [text for text, _ in self.doubts if text in doubted]


class _View(Generic[P]):
    # A named function in trade units: numbers in, numbers out.

    def _told(self) -> str:
        from .telling import told  # late: only who asks for help reads it

        return told(self._function, self, self._system)

    __doc__ = property(_told)

    def __init__(self, function: Named[P], system: System) -> None:
        self._function, self._system = function, system
        self._scalar: Scalar | None = None
        self.__name__ = function.name
        self.__signature__ = inspect.signature(function.body)

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> Any:
        try:
            scalar = self._scalar or self._made_scalar()
            value = scalar(*args, **kwargs) if kwargs else scalar(*args)
        except Exception:  # as above
            value = None
        if value is not None:
            return value
        function = self._function
        return function._outermost(function.bind(args, kwargs) if kwargs or len(args) != function._arity else args, self._system)

    def _made_scalar(self) -> Scalar:
        from .scalar import scalar_form

        self._scalar = scalar_form(self._function, self._system)
        return self._scalar

    def __reduce__(self) -> tuple[Any, ...]:
        return getattr, (self._function, self._system)

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


def _by_name(name: str) -> Named[Any]:
    return _CATALOGUE[name]


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
