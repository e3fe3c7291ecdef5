"""The nodes of a recorded formula, in a normal form in which numeric factors and unit conversions have folded.

Constants are exact ratios until a formula is sealed, so that a chain of conversions is rounded once and not at
every step.  A sum keeps its terms and a product its factors in the order in which the body wrote them, because
that is the order in which a person will read them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import Protocol, TypeAlias

from hydrocalc.measures import System

ONE = Fraction(1)
ZERO = Fraction(0)
# (k*x)^n is opened up only for small whole n; for others the bracket keeps its numbers short.
LARGEST_OPENED_POWER = 4
SEALED_DIGITS = 9  # of a constant in a sealed formula


class Reference(Protocol, Hashable):
    """What a leaf stands for: a cell, a defined name, an argument.  Printers and evaluation know what to do with it."""

    @property
    def name(self) -> str: ...


# The hash of a ratio costs a modular inverse; numerators alone tell constants apart well enough.


@dataclass(frozen=True, slots=True)
class Num:
    value: Fraction

    def __hash__(self) -> int:
        return self.value.numerator


@dataclass(frozen=True, slots=True)
class Text:
    value: str


@dataclass(frozen=True, slots=True)
class Leaf:
    reference: Reference
    is_text: bool = False


@dataclass(frozen=True, slots=True)
class Sum:
    """constant + sum of coefficient * term."""

    terms: tuple[tuple[Node, Fraction], ...]
    constant: Fraction
    _hash: int = field(default=0, init=False, repr=False, compare=False)

    def __hash__(self) -> int:
        # Worked out once: nodes are looked up again and again while a formula grows.
        if not self._hash:
            found = hash((tuple((node, c.numerator) for node, c in self.terms), self.constant.numerator))
            object.__setattr__(self, "_hash", found)
        return self._hash


@dataclass(frozen=True, slots=True)
class Product:
    """coefficient / divisor * product of factor ** exponent.  The divisor is 1 until the formula is sealed."""

    coefficient: Fraction
    factors: tuple[tuple[Node, Fraction], ...]
    divisor: Fraction = ONE
    _hash: int = field(default=0, init=False, repr=False, compare=False)

    def __hash__(self) -> int:
        if not self._hash:
            found = hash((self.coefficient.numerator, tuple((node, e.numerator) for node, e in self.factors)))
            object.__setattr__(self, "_hash", found)
        return self._hash


@dataclass(frozen=True, slots=True)
class Call:
    """An operation that is neither a sum nor a product: a function, a comparison, a choice."""

    op: str
    args: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class PowerSum:
    """Sum of coefficient * x**power over literal coefficients, kept as published."""

    x: Node
    coefficients: tuple[Fraction, ...]
    powers: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class Lookup:
    """A column of a table in the row picked by keys, in the trade unit of the system it was recorded in."""

    table: str
    column: str
    keys: tuple[Node, ...]
    system: System | None


@dataclass(frozen=True, slots=True)
class TableSum:
    """Sum of coefficient * x**i * y**j, the coefficients being columns of the row of a table picked by keys."""

    table: str
    columns: tuple[str, ...]
    keys: tuple[Node, ...]
    x: Node
    y: Node
    powers: tuple[tuple[int, int], ...]


Node: TypeAlias = Num | Text | Leaf | Sum | Product | Call | PowerSum | Lookup | TableSum

TRUE = Num(ONE)
FALSE = Num(ZERO)

_FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "exp": math.exp,
    "ln": math.log,
    "log10": math.log10,
    "sqrt": math.sqrt,
    "abs": abs,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "atan": math.atan,
    "sinh": math.sinh,
    "cosh": math.cosh,
    "tanh": math.tanh,
    "acosh": math.acosh,
    "floor": math.floor,
    "ceil": math.ceil,
    "max": max,
    "min": min,
    "power": math.pow,
}
COMPARISONS: Mapping[str, str] = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "=": "=", "<>": "<>"}


def number(value: float | int | Fraction) -> Num:
    """A constant, exact as it was written: 0.1 is one tenth, not the nearest binary fraction."""
    if isinstance(value, Fraction):
        return Num(value)
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot stand in a formula")
    return Num(Fraction(repr(float(value))) if not float(value).is_integer() else Fraction(int(value)))


def add(a: Node, b: Node, sign: int = 1) -> Node:
    """a + sign * b."""
    terms, constant = _as_sum(a)
    more, other = _as_sum(b)
    merged = dict(terms)
    for node, coefficient in more.items():
        merged[node] = merged.get(node, ZERO) + sign * coefficient
    return _sum(merged, constant + sign * other)


def multiply(a: Node, b: Node, exponent: Fraction = ONE) -> Node:
    """a * b**exponent, for an exponent of 1 or -1."""
    if isinstance(b, Num):
        if b.value == 0 and exponent < 0:
            raise ZeroDivisionError("a body divides by a constant zero")
        return scale(a, _raised(b.value, exponent))
    if isinstance(a, Num) and exponent == 1:
        return scale(b, a.value)
    coefficient, factors = _as_product(a)
    other, more = _as_product(b)
    merged = dict(factors)
    for node, power_ in more.items():
        merged[node] = merged.get(node, ZERO) + exponent * power_
    return _product(coefficient * _raised(other, exponent), merged)


def scale(node: Node, by: Fraction) -> Node:
    """by * node, carried into the terms of a sum so that conversions meet and cancel."""
    if by == 1:
        return node
    if by == 0:
        return FALSE
    if isinstance(node, Num):
        return Num(node.value * by)
    if isinstance(node, Sum):
        return Sum(tuple((n, c * by) for n, c in node.terms), node.constant * by)
    coefficient, factors = _as_product(node)
    return _product(coefficient * by, factors)


def converted(node: Leaf | Lookup, factor: Fraction, offset: Fraction) -> Node:
    """factor * node + offset, in the form to which ``scale`` and ``add`` would come by way of three others."""
    if offset:
        return Sum(((node, factor),), offset)
    return node if factor == 1 else Product(factor, ((node, ONE),))


def _raised(base: Fraction, exponent: Fraction) -> Fraction:
    """base ** exponent for a whole exponent, exactly."""
    return Fraction(base ** int(exponent))


def power(base: Node, exponent: Node) -> Node:
    """base ** exponent."""
    if not isinstance(exponent, Num):
        return call("power", base, exponent)
    n = exponent.value
    if n == 0:
        return TRUE
    if n == 1:
        return base
    if n == Fraction(1, 2):
        return call("sqrt", base)
    whole = n.denominator == 1
    if isinstance(base, Num):
        return Num(_raised(base.value, n)) if whole and abs(n) <= 64 else number(float(base.value) ** float(n))
    if whole and abs(n) <= LARGEST_OPENED_POWER:
        coefficient, factors = _as_product(base)
        return _product(_raised(coefficient, n), {node: power_ * n for node, power_ in factors.items()})
    return _product(ONE, {base: n})


def call(op: str, *args: Node) -> Node:
    """A function, comparison or choice; constants are folded and common conversions pulled out."""
    if all(isinstance(a, Num) for a in args) and op in _FUNCTIONS:
        values = [float(a.value) for a in args if isinstance(a, Num)]
        return number(_FUNCTIONS[op](*values))
    if op == "abs":
        factor, offset, core = affine(args[0])
        return Call(op, args) if offset or factor == 1 else scale(call(op, core), abs(factor))
    if op in COMPARISONS:
        return _comparison(op, *args)
    if op == "if":
        return _choice(*args)
    if op in ("max", "min"):
        return _pulled_out(op, args, ())
    return Call(op, args)


def _comparison(op: str, a: Node, b: Node) -> Node:
    if isinstance(a, Num) and isinstance(b, Num):
        x, y = a.value, b.value
        held = {"<": x < y, "<=": x <= y, ">": x > y, ">=": x >= y, "=": x == y, "<>": x != y}[op]
        return TRUE if held else FALSE
    if isinstance(a, Num) and not isinstance(b, Text):
        return _comparison(COMPARISONS[op], b, a)
    if isinstance(a, Text | Leaf) and isinstance(b, Text | Leaf):
        return Call(op, (a, b))
    if isinstance(a, Sum) and isinstance(b, Num) and not (a.constant or b.value):  # beside 0 any factor may go
        sizes = [abs(c) for _, c in a.terms]
        a = scale(a, 1 / min(sizes, key=lambda size: sum(digits(other / size) for other in sizes)))
    factor, offset, core = affine(a)
    if isinstance(b, Num):
        other: Node = Num((b.value - offset) / factor)
    else:
        factor_b, offset_b, core_b = affine(b)
        if (factor_b, offset_b) != (factor, offset):
            return Call(op, (a, b))
        other = core_b
    return Call(op if factor > 0 else COMPARISONS[op], (core, other))


def _choice(condition: Node, yes: Node, no: Node) -> Node:
    if isinstance(condition, Num):
        return yes if condition.value else no
    if yes == no:
        return yes
    if isinstance(yes, Text) or isinstance(no, Text):
        return Call("if", (condition, yes, no))
    return _pulled_out("if", (yes, no), (condition,))


def _pulled_out(op: str, args: tuple[Node, ...], before: tuple[Node, ...]) -> Node:
    """MAX, MIN or IF with a conversion common to all branches taken outside, where that makes the numbers shorter."""
    parts = [affine(a) for a in args if not isinstance(a, Num)]
    plain = Call(op, (*before, *args))
    if not parts or len({(f, o) for f, o, _ in parts}) > 1:
        return plain
    factor, offset, _ = parts[0]
    if (factor == 1 and offset == 0) or factor < 0:
        return plain
    cores = iter(core for _, _, core in parts)
    inner = [Num((a.value - offset) / factor) if isinstance(a, Num) else next(cores) for a in args]
    before_digits = sum(digits(a.value) for a in args if isinstance(a, Num)) + len(parts) * (digits(factor) + digits(offset))
    after_digits = sum(digits(a.value) for a in inner if isinstance(a, Num)) + digits(factor) + digits(offset)
    if after_digits > before_digits:
        return plain
    return add(scale(Call(op, (*before, *inner)), factor), Num(offset))


def affine(node: Node) -> tuple[Fraction, Fraction, Node]:
    """(factor, offset, core) with node = factor * core + offset."""
    if isinstance(node, Product):
        return node.coefficient, ZERO, _product(ONE, dict(node.factors))
    if isinstance(node, Sum):
        if len(node.terms) == 1:
            core, factor = node.terms[0]
            return factor, node.constant, core
        sizes = {c for _, c in node.terms}
        if len(sizes) == 1:  # (a + b) * c + d: a temperature worked out from others, in °F
            return (common := sizes.pop()), node.constant, Sum(tuple((n, c / common) for n, c in node.terms), ZERO)
        factor = content(node)
        return factor, ZERO, scale(node, 1 / factor)
    return ONE, ZERO, node


def content(node: Sum) -> Fraction:
    """The factor that, taken out of a sum, leaves the numbers that take the fewest digits to write."""
    numbers = [abs(c) for _, c in node.terms] + ([abs(node.constant)] if node.constant else [])
    if all(n == 1 for n in numbers):
        return ONE
    return _content(tuple((n.numerator, n.denominator) for n in numbers))


# Kept by the numbers alone: a sum that is kept keeps its rows, and with them a whole book.
@lru_cache(maxsize=10_000)
def _content(ratios: tuple[tuple[int, int], ...]) -> Fraction:
    numbers = [Fraction(*ratio) for ratio in ratios]
    candidates: list[Fraction] = [ONE]
    candidates += [n for n in numbers if n not in candidates]
    return min(candidates, key=lambda c: (sum(digits(n / c) for n in numbers) + digits(c), c != 1))


def digits(value: Fraction) -> int:
    """How many digits a constant takes when written; a factor of one takes none."""
    return _digits_of(abs(value.numerator), value.denominator)


@lru_cache(maxsize=10_000)
def _digits_of(numerator: int, denominator: int) -> int:
    if numerator in (0, denominator):
        return 0
    value = Fraction(numerator, denominator)
    return min(len(written(value)), len(written(1 / value)))


def written(value: Fraction) -> str:
    """The significant digits of a constant as it will be printed, without sign, point and closing zeros."""
    return _written(value.numerator, value.denominator)


@lru_cache(maxsize=10_000)
def _written(numerator: int, denominator: int) -> str:
    return f"{abs(numerator) / denominator:.{SEALED_DIGITS - 1}e}".split("e")[0].replace(".", "").rstrip("0")


def _as_sum(node: Node) -> tuple[dict[Node, Fraction], Fraction]:
    if isinstance(node, Num):
        return {}, node.value
    if isinstance(node, Sum):
        return dict(node.terms), node.constant
    if isinstance(node, Product) and node.coefficient != 1:
        return {_product(ONE, dict(node.factors)): node.coefficient}, ZERO
    return {node: ONE}, ZERO


def _sum(terms: dict[Node, Fraction], constant: Fraction) -> Node:
    kept = {n: c for n, c in terms.items() if c}
    if not kept:
        return Num(constant)
    if len(kept) == 1 and not constant:
        (node, coefficient), *_ = kept.items()
        return scale(node, coefficient)
    return Sum(tuple(kept.items()), constant)


def _as_product(node: Node) -> tuple[Fraction, dict[Node, Fraction]]:
    if isinstance(node, Num):
        return node.value, {}
    if isinstance(node, Product):
        return node.coefficient, dict(node.factors)
    if isinstance(node, Sum):
        factor = content(node)
        return factor, {scale(node, 1 / factor): ONE}
    return ONE, {node: ONE}


def _product(coefficient: Fraction, factors: dict[Node, Fraction]) -> Node:
    kept = {n: e for n, e in factors.items() if e}
    if not kept or coefficient == 0:
        return Num(coefficient)
    if len(kept) == 1:
        (node, exponent), *_ = kept.items()
        if exponent == 1:
            if coefficient == 1:
                return node
            if isinstance(node, Sum):
                return scale(node, coefficient)
    return Product(coefficient, tuple(kept.items()))


def children(node: Node) -> tuple[Node, ...]:
    """The nodes directly below a node."""
    if isinstance(node, Sum):
        return tuple(n for n, _ in node.terms)
    if isinstance(node, Product):
        return tuple(n for n, _ in node.factors)
    if isinstance(node, Call):
        return node.args
    if isinstance(node, PowerSum):
        return (node.x,)
    if isinstance(node, Lookup):
        return node.keys
    if isinstance(node, TableSum):
        return (*node.keys, node.x, node.y)
    return ()


def leaves(node: Node) -> dict[Leaf, None]:
    """The leaves below a node in the order of first use (a dict, for its order)."""
    found: dict[Leaf, None] = {}
    stack = [node]
    while stack:
        top = stack.pop()
        if isinstance(top, Leaf):
            found.setdefault(top)
        else:
            stack.extend(reversed(children(top)))
    return found
