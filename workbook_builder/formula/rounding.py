"""Sealing a recorded formula: every constant is rounded once, every sum and product takes the shape in which it is printed."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from .nodes import ONE, SEALED_DIGITS, Call, Lookup, Node, Num, PowerSum, Product, Sum, TableSum, content, scale, written

# A constant that is a short decimal by itself (a published coefficient, 0.3048) is kept to the last digit.
KEPT_DIGITS = 14


def rounded(value: Fraction) -> Fraction:
    """A constant as a sealed formula carries it."""
    return _rounded(value.numerator, value.denominator)


# The same few conversions come again and again; the hash of a ratio costs more than that of its two numbers.
@lru_cache(maxsize=10_000)
def _rounded(numerator: int, denominator: int) -> Fraction:
    value = Fraction(numerator, denominator)
    exact = Fraction(f"{float(value):.{KEPT_DIGITS - 1}e}")
    return exact if exact == value else Fraction(f"{float(value):.{SEALED_DIGITS - 1}e}")


def seal(node: Node) -> Node:
    """The node with every constant rounded once and every sum and product in the shape in which it is printed."""
    if isinstance(node, Num):
        return Num(rounded(node.value))
    if isinstance(node, Sum):
        factor = content(node)
        if factor != 1:
            return _sealed_product(factor, ((scale(node, 1 / factor), ONE),))
        return Sum(
            tuple((_sealed_product(abs(c), _factors(n)), Fraction(1 if c > 0 else -1)) for n, c in node.terms), rounded(node.constant)
        )
    if isinstance(node, Product):
        return _sealed_product(node.coefficient, node.factors)
    if isinstance(node, Call):
        return Call(node.op, tuple(seal(a) for a in node.args))
    if isinstance(node, PowerSum):
        return PowerSum(seal(node.x), node.coefficients, node.powers)
    if isinstance(node, Lookup):
        return Lookup(node.table, node.column, tuple(seal(k) for k in node.keys), node.system)
    if isinstance(node, TableSum):
        return TableSum(node.table, node.columns, tuple(seal(k) for k in node.keys), seal(node.x), seal(node.y), node.powers)
    return node


def _factors(node: Node) -> tuple[tuple[Node, Fraction], ...]:
    return node.factors if isinstance(node, Product) and node.coefficient == 1 else ((node, ONE),)


def _sealed_product(coefficient: Fraction, factors: tuple[tuple[Node, Fraction], ...]) -> Node:
    """The constant goes where it is shorter: above the line, or below it; below also when it is less than one there."""
    sealed = tuple((seal(n), e) for n, e in factors)
    size = abs(coefficient)
    above, below = len(written(size)), len(written(1 / size))
    divided = any(e < 0 for _, e in factors)
    if size != 1 and (below < above or (below == above and divided and size < 1)):
        result = Product(Fraction(1 if coefficient > 0 else -1), sealed, rounded(1 / size))
    else:
        result = Product(rounded(coefficient), sealed)
    if result.coefficient == result.divisor == 1 and len(sealed) == 1 and sealed[0][1] == 1:
        return sealed[0][0]
    return result
