"""Sealing a recorded formula: every constant is rounded once, every sum and product takes the shape in which it is printed."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from . import nodes
from .nodes import ONE, SEALED_DIGITS, Call, Lookup, Node, Num, PowerSum, Product, Sum, TableSum, content, digits, scale, written

Factors = tuple[tuple[Node, Fraction], ...]

# A constant that is a short decimal by itself (a published coefficient, 0.3048) is kept to the last digit.
KEPT_DIGITS = 14
WORTH_A_SUM = 5  # digits saved for which a sum takes another shape than the body gave it


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


def _factors(node: Node) -> Factors:
    return node.factors if isinstance(node, Product) and node.coefficient == 1 else ((node, ONE),)


def _carried(coefficient: Fraction, factors: Factors) -> tuple[Fraction, Factors]:
    """The constant brought together with those inside a factor, where conversions meet there and leave less to write."""
    for place, (node, exponent) in enumerate(factors):
        outside, inside = coefficient, node
        if isinstance(node, Product) and exponent.denominator > 1 and node.coefficient > 0:
            outside *= Fraction(float(node.coefficient) ** float(exponent))
            inside = scale(node, 1 / node.coefficient)
        elif abs(exponent) == 1 and isinstance(node, Sum | Call):
            outside = Fraction(1 if coefficient > 0 else -1)
            inside = _times(node, abs(coefficient) ** exponent.numerator)
        if inside != node and _written_less(_constants(inside, outside), _constants(node, coefficient), node):
            coefficient, factors = outside, (*factors[:place], (inside, exponent), *factors[place + 1 :])
    return coefficient, factors


def _written_less(these: list[Fraction], those: list[Fraction], node: Node) -> bool:
    """Whether these constants take less writing than those."""
    saved, fewer = sum(map(digits, those)) - sum(map(digits, these)), len(these) < len(those)
    if isinstance(node, Sum):  # it keeps the shape that the body gave it unless much is gained, and what is kept to its last digit
        lost = sum(rounded(c) != c for c in these) - sum(rounded(c) != c for c in those)
        return lost <= 0 and (saved >= WORTH_A_SUM or (saved > 0 and fewer))
    return saved > 0 or (saved == 0 and (fewer or (isinstance(node, Call) and nodes.FALSE in node.args[1:])))  # a lone branch takes it


def _times(node: Node, by: Fraction) -> Node:
    """A node times a constant above zero, which goes as far in as it can."""
    if isinstance(node, Call) and node.op == "if":
        return Call("if", (node.args[0], *(_times(a, by) for a in node.args[1:])))
    if isinstance(node, Call) and node.op in ("max", "min"):
        return Call(node.op, tuple(_times(a, by) for a in node.args))
    if isinstance(node, Call) and node.op == "sqrt":
        return Call("sqrt", (_times(node.args[0], by**2),))
    return scale(node, by)


def _constants(node: Node, *others: Fraction) -> list[Fraction]:
    """The constants that ``_times`` would change, without those that are not written."""
    found = [*others]
    if isinstance(node, Num):
        found += [node.value]
    elif isinstance(node, Product):
        found += [node.coefficient]
    elif isinstance(node, Sum):
        found += [*(c for _, c in node.terms), node.constant]
    elif isinstance(node, Call) and node.op in ("if", "max", "min", "sqrt"):
        found += [c for a in (node.args[1:] if node.op == "if" else node.args) for c in _constants(a)]
    return [c for c in found if c and abs(c) != 1]


def _sealed_product(coefficient: Fraction, factors: Factors) -> Node:
    """The constant goes where it is shorter: above the line, or below it; below also when it is less than one there."""
    coefficient, factors = _carried(coefficient, factors)
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
