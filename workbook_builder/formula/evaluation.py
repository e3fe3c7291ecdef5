"""The value of a sealed formula over columns, as arrays, in the order of operations in which it is printed."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from hydrocalc.measures import System
from hydrocalc.tables import Column, table

from .nodes import Call, Leaf, Lookup, Node, Num, PowerSum, Product, Reference, Sum, TableSum, Text

Values = Callable[[Reference], Any]
Step = Callable[[Values], Any]

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
    return compiled(node)(values)


def compiled(node: Node) -> Step:
    """A node made ready to be worked out many times: a chain goes over its rows again and again, samples do as well."""
    step = _step(node)

    def worked(values: Values) -> Any:
        with np.errstate(all="ignore"):
            return step(values)

    return worked


def _step(node: Node) -> Step:
    if isinstance(node, Num):
        number = np.float64(node.value)
        return lambda values: number
    if isinstance(node, Leaf):
        reference = node.reference
        return lambda values: values(reference)
    if isinstance(node, Sum):
        return _sum(node)
    if isinstance(node, Product):
        return _product(node)
    if isinstance(node, Call):
        operation, args = _OPERATIONS[node.op], [_step(a) for a in node.args]
        return lambda values: operation(*(a(values) for a in args))
    if isinstance(node, Text):
        text = node.value
        return lambda values: text
    if isinstance(node, PowerSum):
        return _power_sum(node)
    if isinstance(node, Lookup):
        return _lookup(node)
    return _table_sum(node)


def _sum(node: Sum) -> Step:
    constant = np.float64(node.constant)
    terms = [(float(coefficient), _step(term)) for term, coefficient in node.terms]

    def worked(values: Values) -> Any:
        total: Any = constant
        for coefficient, term in terms:
            value = term(values)
            # The same bits with one pass less over thousands of samples.
            total = total - value if coefficient == -1.0 else total + (value if coefficient == 1.0 else coefficient * value)
        return total

    return worked


def _product(node: Product) -> Step:
    coefficient, divisor = np.float64(node.coefficient), np.float64(node.divisor)
    above = [(float(e), _step(factor)) for factor, e in node.factors if e > 0]
    under = [(float(-e), _step(factor)) for factor, e in node.factors if e < 0]

    def worked(values: Values) -> Any:
        top = _multiplied(coefficient, above, values)
        return top / _multiplied(divisor, under, values) if under or divisor != 1.0 else top

    return worked


def _multiplied(start: Any, factors: list[tuple[float, Step]], values: Values) -> Any:
    total = start  # a factor of one is left out: a pass less, the same bits
    for exponent, factor in factors:
        value = factor(values)
        power = value if exponent == 1.0 else np.power(value, exponent)
        total = power if total is start and start == 1.0 else total * power
    return total


def _power_sum(node: PowerSum) -> Step:
    x = _step(node.x)
    terms = [(float(c), float(p)) for c, p in zip(node.coefficients, node.powers, strict=True)]

    def worked(values: Values) -> Any:
        at = x(values)
        return sum((c * np.power(at, p) for c, p in terms), np.float64(0.0))

    return worked


def _lookup(node: Lookup) -> Step:
    source = table(node.table)
    column = trade_values(source.columns[node.column], node.system)
    keys = [_step(k) for k in node.keys]
    return lambda values: by_key([k(values) for k in keys], lambda *key: column[source.row(*key)])


def by_key(keys: Sequence[Any], pick: Callable[..., Any], blank: Any = np.nan) -> Any:
    """What is picked for each column's keys; a blank or unknown key, or one without a figure, gives ``blank``, as a cell would.

    Each combination is looked up once: over thousands of samples there are still only a few.
    """
    code: Any = np.intp(0)
    known: list[list[Any]] = []
    for key in keys:
        texts = np.asarray(key, dtype=object)
        flat = texts.ravel().tolist()
        places = {text: place for place, text in enumerate(dict.fromkeys(flat))}
        known.append(list(places))
        code = code * len(places) + np.fromiter(map(places.__getitem__, flat), np.intp, len(flat)).reshape(texts.shape)
    sizes = [len(texts) for texts in known]
    found = np.full(math.prod(sizes), blank, dtype=object if isinstance(blank, str) else np.float64)
    for combination in np.flatnonzero(np.bincount(np.ravel(code))):
        wanted = np.unravel_index(combination, sizes)
        try:
            value = pick(*(texts[place] for texts, place in zip(known, wanted, strict=True)))
        except KeyError:
            value = None
        if value is not None:
            found[combination] = value
    return found[code]


def _table_sum(node: TableSum) -> Step:
    source = table(node.table)
    x, y, keys = _step(node.x), _step(node.y), [_step(k) for k in node.keys]
    columns = [(source.columns[name].values, float(i), float(j)) for name, (i, j) in zip(node.columns, node.powers, strict=True)]

    def worked(values: Values) -> Any:
        at_x, at_y, at_keys = x(values), y(values), [k(values) for k in keys]
        total: Any = np.float64(0.0)
        for column, i, j in columns:
            coefficient = by_key(at_keys, lambda *key, column=column: column[source.row(*key)])
            total = total + coefficient * np.power(at_x, i) * np.power(at_y, j)
        return total

    return worked
