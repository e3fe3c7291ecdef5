"""Formula: a stand-in for a number that records what a body does with it, by numpy's own dispatch.

A body that is called with formulas instead of floats returns a formula; no body is translated by hand, so the
sheet and the library cannot drift apart.  What a formula cannot record (an ``if`` on it, ``math.log``, a numpy
function with no worksheet counterpart) raises an error that says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from fractions import Fraction
from typing import Any

import numpy as np

from hydrocalc.measures import Key, Measure, System
from hydrocalc.named import Named, calls_go_to
from hydrocalc.tables import Table

from . import nodes
from .nodes import Node
from .rounding import seal

_MINUS = Fraction(-1)
_system: ContextVar[System | None] = ContextVar("recording_system", default=None)


class NotRecordableError(TypeError):
    """A body does something with a cell that a worksheet formula cannot say."""


def as_node(value: Any) -> Node:
    """The node of a formula or of a constant; NotRecordableError for anything else."""
    if isinstance(value, Formula):
        return value.node
    if isinstance(value, bool | np.bool_):
        return nodes.TRUE if value else nodes.FALSE
    if isinstance(value, float | int | np.floating | np.integer | Fraction):
        return nodes.number(value if isinstance(value, Fraction) else value.item() if isinstance(value, np.generic) else value)
    if isinstance(value, str):
        return nodes.Text(value)
    if isinstance(value, np.ndarray) and value.ndim == 0:
        return as_node(value.item())
    raise NotRecordableError(f"a {type(value).__name__} cannot stand in a recorded formula")


def _unary(op: str) -> Callable[[Any], Formula]:
    return lambda x: Formula(nodes.call(op, as_node(x)))


def _binary(op: str) -> Callable[[Any, Any], Formula]:
    return lambda a, b: Formula(nodes.call(op, as_node(a), as_node(b)))


def _divide(a: Any, b: Any) -> Formula:
    return Formula(nodes.multiply(as_node(a), as_node(b), _MINUS))


def _where(condition: Any, yes: Any, no: Any) -> Formula:
    return Formula(nodes.call("if", as_node(condition), as_node(yes), as_node(no)))


_UFUNCS: dict[np.ufunc, Callable[..., Formula]] = {
    np.add: lambda a, b: Formula(nodes.add(as_node(a), as_node(b))),
    np.subtract: lambda a, b: Formula(nodes.add(as_node(a), as_node(b), -1)),
    np.multiply: lambda a, b: Formula(nodes.multiply(as_node(a), as_node(b))),
    np.divide: _divide,
    np.power: lambda a, b: Formula(nodes.power(as_node(a), as_node(b))),
    np.float_power: lambda a, b: Formula(nodes.power(as_node(a), as_node(b))),
    np.square: lambda a: Formula(nodes.power(as_node(a), nodes.number(2))),
    np.negative: lambda a: Formula(nodes.scale(as_node(a), _MINUS)),
    np.positive: lambda a: a,
    np.reciprocal: lambda a: _divide(1, a),
    np.maximum: _binary("max"),
    np.minimum: _binary("min"),
    np.less: _binary("<"),
    np.less_equal: _binary("<="),
    np.greater: _binary(">"),
    np.greater_equal: _binary(">="),
    np.equal: _binary("="),
    np.not_equal: _binary("<>"),
    np.logical_and: _binary("and"),
    np.logical_or: _binary("or"),
    np.logical_not: _unary("not"),
    np.bitwise_and: _binary("and"),
    np.bitwise_or: _binary("or"),
    np.invert: _unary("not"),
    np.exp: _unary("exp"),
    np.log: _unary("ln"),
    np.log10: _unary("log10"),
    np.sqrt: _unary("sqrt"),
    np.absolute: _unary("abs"),
    np.sin: _unary("sin"),
    np.cos: _unary("cos"),
    np.tan: _unary("tan"),
    np.arctan: _unary("atan"),
    np.sinh: _unary("sinh"),
    np.cosh: _unary("cosh"),
    np.tanh: _unary("tanh"),
    np.arccosh: _unary("acosh"),
    np.floor: _unary("floor"),
    np.ceil: _unary("ceil"),
}
_FUNCTIONS: dict[Any, Callable[..., Formula]] = {np.where: _where}


class Formula:
    """A recorded formula.  Its value is known only where it is evaluated or printed."""

    __slots__ = ("node",)
    __hash__ = None  # type: ignore[assignment]  # == records a comparison, so a formula cannot be a key

    def __init__(self, node: Node) -> None:
        self.node = node

    def __repr__(self) -> str:
        return f"<formula {self.node}>"

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **kwargs: Any) -> Formula:
        record = _UFUNCS.get(ufunc)
        if record is None or method != "__call__" or kwargs:
            raise NotRecordableError(f"np.{ufunc.__name__} has no worksheet counterpart here")
        return record(*inputs)

    def __array_function__(self, func: Any, types: Any, args: Any, kwargs: Any) -> Formula:
        record = _FUNCTIONS.get(func)
        if record is None or kwargs:
            raise NotRecordableError(f"np.{func.__name__} cannot be recorded; use the functions that a worksheet has")
        return record(*args)

    def __bool__(self) -> bool:
        raise NotRecordableError("a body uses 'if', 'and' or 'or' on an argument; use np.where, & and |")

    def __float__(self) -> float:
        raise NotRecordableError("a body needs the number itself (math.log, float, range); use the numpy function")

    def __index__(self) -> int:
        raise NotRecordableError("a body uses an argument as a whole number")

    def __iter__(self) -> Iterator[Any]:
        raise NotRecordableError("a body loops over an argument or passes it to max() or sum(); use np.maximum and np.minimum")

    def __add__(self, other: Any) -> Formula:
        return Formula(nodes.add(self.node, as_node(other)))

    def __radd__(self, other: Any) -> Formula:
        return Formula(nodes.add(as_node(other), self.node))

    def __sub__(self, other: Any) -> Formula:
        return Formula(nodes.add(self.node, as_node(other), -1))

    def __rsub__(self, other: Any) -> Formula:
        return Formula(nodes.add(as_node(other), self.node, -1))

    def __mul__(self, other: Any) -> Formula:
        return Formula(nodes.multiply(self.node, as_node(other)))

    def __rmul__(self, other: Any) -> Formula:
        return Formula(nodes.multiply(as_node(other), self.node))

    def __truediv__(self, other: Any) -> Formula:
        return _divide(self, other)

    def __rtruediv__(self, other: Any) -> Formula:
        return _divide(other, self)

    def __pow__(self, other: Any) -> Formula:
        return Formula(nodes.power(self.node, as_node(other)))

    def __rpow__(self, other: Any) -> Formula:
        return Formula(nodes.power(as_node(other), self.node))

    def __neg__(self) -> Formula:
        return Formula(nodes.scale(self.node, _MINUS))

    def __pos__(self) -> Formula:
        return self

    def __abs__(self) -> Formula:
        return Formula(nodes.call("abs", self.node))

    def __lt__(self, other: Any) -> Formula:
        return Formula(nodes.call("<", self.node, as_node(other)))

    def __le__(self, other: Any) -> Formula:
        return Formula(nodes.call("<=", self.node, as_node(other)))

    def __gt__(self, other: Any) -> Formula:
        return Formula(nodes.call(">", self.node, as_node(other)))

    def __ge__(self, other: Any) -> Formula:
        return Formula(nodes.call(">=", self.node, as_node(other)))

    def __eq__(self, other: object) -> Formula:  # type: ignore[override]
        return Formula(nodes.call("=", self.node, as_node(other)))

    def __ne__(self, other: object) -> Formula:  # type: ignore[override]
        return Formula(nodes.call("<>", self.node, as_node(other)))

    def __and__(self, other: Any) -> Formula:
        return Formula(nodes.call("and", self.node, as_node(other)))

    __rand__ = __and__

    def __or__(self, other: Any) -> Formula:
        return Formula(nodes.call("or", self.node, as_node(other)))

    __ror__ = __or__

    def __invert__(self) -> Formula:
        return Formula(nodes.call("not", self.node))

    @staticmethod
    def __named_call__(function: Named[Any], args: tuple[Any, ...]) -> Any:
        """A named function called outside any recording: its body is recorded in line."""
        with calls_go_to(lambda inner, inner_args: inner.body(*inner_args)):
            return function.body(*args)

    @staticmethod
    def __power_sum__(x: Formula, coefficients: Sequence[float], powers: Sequence[float]) -> Formula:
        exact = tuple(nodes.number(c).value for c in coefficients)
        return Formula(nodes.PowerSum(x.node, exact, tuple(nodes.number(p).value for p in powers)))

    @staticmethod
    def __table_lookup__(table: Table, column: str, keys: Sequence[Any]) -> Formula:
        system = _system.get()
        node = nodes.Lookup(table.name, column, tuple(as_node(k) for k in keys), system)
        return _coherent(node, table.columns[column].measure, system)

    @staticmethod
    def __table_power_sum__(
        table: Table, keys: Sequence[Any], columns: Sequence[str], x: Any, y: Any, powers: Sequence[tuple[int, int]]
    ) -> Formula:
        return Formula(nodes.TableSum(table.name, tuple(columns), tuple(as_node(k) for k in keys), as_node(x), as_node(y), tuple(powers)))


def _coherent(node: nodes.Leaf | nodes.Lookup, kind: Measure, system: System | None) -> Formula:
    unit = kind.unit(system)
    return Formula(nodes.converted(node, unit.scale, unit.offset))


def leaf(reference: nodes.Reference, kind: Measure | Key | None, system: System | None) -> Formula:
    """A formula for a cell, a name or an argument that holds trade units: its coherent value, the conversion still unfolded."""
    if not isinstance(kind, Measure):
        return Formula(nodes.Leaf(reference, is_text=True))
    return _coherent(nodes.Leaf(reference), kind, system)


def in_trade_units(value: Any, kind: Measure, system: System | None) -> Node:
    """The node of a coherent value, converted to the trade unit of a system."""
    unit = kind.unit(system)
    node = as_node(value)
    return nodes.scale(nodes.add(node, nodes.Num(unit.offset), -1) if unit.offset else node, 1 / unit.scale)


@contextmanager
def recording(system: System | None) -> Iterator[None]:
    """While active, table values are recorded in the trade units of this system."""
    token = _system.set(system)
    try:
        yield
    finally:
        _system.reset(token)


def record(function: Named[Any], args: Sequence[Any], system: System | None, nested: Callable[[Named[Any], tuple[Any, ...]], Any]) -> Node:
    """What a named function does with these coherent arguments, in the trade unit of its result, sealed.

    Calls of other named functions inside the body go to ``nested``.
    """
    with recording(system), calls_go_to(nested):
        result = function.body(*args)
    return seal(in_trade_units(result, function.result, system))
