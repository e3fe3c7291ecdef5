"""The value of a sealed formula over columns, as arrays, in the order of operations in which it is printed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from hydrocalc.measures import System
from hydrocalc.tables import Column, table

from .nodes import Call, Leaf, Lookup, Node, Num, PowerSum, Product, Reference, Sum, TableSum, Text

Values = Callable[[Reference], Any]

_OPERATIONS: dict[str, Callable[..., Any]] = {
    "exp": np.exp,
    "ln": np.log,
    "log10": np.log10,
    "sqrt": np.sqrt,
    "abs": np.abs,
    "sin": np.sin,
    "cos": np.cos,
    "tan": np.tan,
    "atan": np.arctan,
    "sinh": np.sinh,
    "cosh": np.cosh,
    "tanh": np.tanh,
    "acosh": np.arccosh,
    "floor": np.floor,
    "ceil": np.ceil,
    "max": np.maximum,
    "min": np.minimum,
    "power": np.power,
    "if": np.where,
    "<": np.less,
    "<=": np.less_equal,
    ">": np.greater,
    ">=": np.greater_equal,
    "=": np.equal,
    "<>": np.not_equal,
    "and": np.logical_and,
    "or": np.logical_or,
    "not": np.logical_not,
}


def trade_values(column: Column, system: System | None) -> list[float | None]:
    """A column of a table in the trade unit of a system; the printed figure itself where the units agree."""
    unit = column.measure.unit(system)
    if column.measure.unit(column.system) == unit:
        return [float(text) if text else None for text in column.printed]
    return [None if v is None else float(unit.from_coherent(v)) for v in column.values]


def evaluate(node: Node, values: Values) -> Any:
    """The value of a node, with leaves taken from ``values``.  Blanks come in, and go out, as NaN."""
    with np.errstate(all="ignore"):
        return _value(node, values)


def _value(node: Node, values: Values) -> Any:
    if isinstance(node, Num):
        return np.float64(node.value)
    if isinstance(node, Leaf):
        return values(node.reference)
    if isinstance(node, Sum):
        return _sum(node, values)
    if isinstance(node, Product):
        return _product(node, values)
    if isinstance(node, Call):
        return _OPERATIONS[node.op](*(_value(a, values) for a in node.args))
    if isinstance(node, Text):
        return node.value
    if isinstance(node, PowerSum):
        x = _value(node.x, values)
        terms = (float(c) * np.power(x, float(p)) for c, p in zip(node.coefficients, node.powers, strict=True))
        return sum(terms, np.float64(0.0))
    if isinstance(node, Lookup):
        return _lookup(node, values)
    return _table_sum(node, values)


def _sum(node: Sum, values: Values) -> Any:
    total: Any = np.float64(node.constant)
    for term, coefficient in node.terms:
        total = total + float(coefficient) * _value(term, values)
    return total


def _product(node: Product, values: Values) -> Any:
    top: Any = np.float64(node.coefficient)
    below: Any = np.float64(node.divisor)
    for factor, exponent in node.factors:
        value = _value(factor, values)
        size = abs(exponent)
        raised = value if size == 1 else np.power(value, float(size))
        if exponent > 0:
            top = top * raised
        else:
            below = below * raised
    return top / below


def _texts(value: Any) -> Any:
    return np.asarray(value, dtype=object)


def _lookup(node: Lookup, values: Values) -> Any:
    source = table(node.table)
    column = trade_values(source.columns[node.column], node.system)
    return _by_key(node.keys, values, lambda *key: column[source.row(*key)])


def _by_key(keys: tuple[Node, ...], values: Values, pick: Callable[..., float | None]) -> Any:
    """The picked value for each column's keys; a blank or unknown key gives NaN, as a blank cell would."""
    spread = np.broadcast_arrays(*(_texts(_value(k, values)) for k in keys))
    out = np.full(spread[0].shape, np.nan)
    for index in np.ndindex(spread[0].shape):
        try:
            value = pick(*(s[index] for s in spread))
        except KeyError:
            continue
        out[index] = np.nan if value is None else value
    return out[()] if out.ndim == 0 else out


def _table_sum(node: TableSum, values: Values) -> Any:
    source = table(node.table)
    x, y = _value(node.x, values), _value(node.y, values)
    total: Any = np.float64(0.0)
    for name, (i, j) in zip(node.columns, node.powers, strict=True):
        column = source.columns[name].values
        coefficient = _by_key(node.keys, values, lambda *key, column=column: column[source.row(*key)])
        total = total + coefficient * np.power(x, float(i)) * np.power(y, float(j))
    return total
