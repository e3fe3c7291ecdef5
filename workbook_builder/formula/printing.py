"""Printing a recorded formula: as a worksheet formula, in words, as a LAMBDA with LET, as source for Python's ``math``.

One walk over the nodes, one small dialect for each face.  A worksheet reads -2^2 as 4 and 2^3^2 as 64, so the
worksheet dialect brackets by the worksheet's precedence and not by Python's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import Any, ClassVar

from hydrocalc.measures import System
from hydrocalc.named import Named
from hydrocalc.tables import table

from . import nodes
from . import recording as formula
from .nodes import Call, Leaf, Lookup, Node, Num, PowerSum, Product, Reference, Sum, TableSum, Text

# How tightly each kind of text binds; a part that binds more loosely than its place is put in brackets.
CONDITION, SUM, PRODUCT, POWER, ATOM = range(5)
# Stands for the column letters in a formula that is printed once and used in every column.
COLUMN = "§"

Resolve = Callable[[Reference], str]
Printed = tuple[str, int]


def decimal(value: Fraction) -> str:
    """A constant in the fewest characters that give it back."""
    if value.denominator == 1 and abs(value) < 10**15:
        return str(value.numerator)
    text = repr(float(value)).replace("e", "E").replace("E+0", "E").replace("E+", "E").replace("E-0", "E-")
    return text.removesuffix(".0")


class Dialect:
    """What is common to all faces; a face overrides what it writes differently."""

    times, over, plus, minus, caret = "*", "/", "+", "-", "^"
    functions: ClassVar[dict[str, str]] = {}
    infix: ClassVar[dict[str, str]] = {"<": "<", "<=": "<=", ">": ">", ">=": ">=", "=": "=", "<>": "<>"}

    def __init__(self, resolve: Resolve) -> None:
        self.resolve = resolve

    def text(self, node: Node) -> str:
        return self.printed(node)[0]

    def printed(self, node: Node) -> Printed:
        if isinstance(node, Num):
            return decimal(node.value), ATOM if node.value >= 0 else SUM
        if isinstance(node, Text):
            return self.quoted(node.value), ATOM
        if isinstance(node, Leaf):
            return self.resolve(node.reference), ATOM
        if isinstance(node, Sum):
            return self.sum(node), SUM
        if isinstance(node, Product):
            return self.product(node), SUM if node.coefficient < 0 else PRODUCT
        if isinstance(node, Call):
            return self.call(node)
        if isinstance(node, PowerSum):
            return self.power_sum(node), ATOM
        if isinstance(node, Lookup):
            return self.lookup(node), ATOM
        return self.table_sum(node), ATOM

    def within(self, node: Node, level: int) -> str:
        text, bound = self.printed(node)
        return text if bound >= level else f"({text})"

    def quoted(self, text: str) -> str:
        return '"' + text.replace('"', '""') + '"'

    def sum(self, node: Sum) -> str:
        parts: list[tuple[Fraction, str]] = [(sign, self._term(term, abs(sign))) for term, sign in node.terms]
        if node.constant:
            # 607.73-t reads better than -t+607.73, and needs no unary minus.
            place = 0 if parts[0][0] < 0 < node.constant else len(parts)
            parts.insert(place, (node.constant, decimal(abs(node.constant))))
        first_positive = next((i for i, (sign, _) in enumerate(parts) if sign > 0), 0)
        parts.insert(0, parts.pop(first_positive))
        text = "".join((self.plus if sign > 0 else self.minus) + part for sign, part in parts)
        if parts[0][0] > 0:
            return text[len(self.plus) :]
        # All terms are negative: -1*… is safe where a worksheet would bind a leading minus to the base of a power.
        return f"-1{self.times}({self._joined(parts)})"

    def _joined(self, parts: Sequence[tuple[Fraction, str]]) -> str:
        return self.plus.join(part for _, part in parts)

    def _term(self, term: Node, size: Fraction) -> str:
        text = self.within(term, PRODUCT)
        return text if size == 1 else f"{decimal(size)}{self.times}{text}"

    def product(self, node: Product) -> str:
        top = [self.factor(n, e) for n, e in node.factors if e > 0]
        below = [self.factor(n, -e) for n, e in node.factors if e < 0]
        if abs(node.coefficient) != 1 or not top:
            top.insert(0, decimal(abs(node.coefficient)))
        if node.divisor != 1:
            below.insert(0, decimal(node.divisor))
        if node.coefficient < 0:
            top.insert(0, "-1")
        text = self.times.join(top)
        if not below:
            return text
        joined = self.times.join(below)
        return f"{text}{self.over}({joined})" if len(below) > 1 else f"{text}{self.over}{joined}"

    def factor(self, node: Node, exponent: Fraction) -> str:
        if exponent == 1:
            return self.within(node, POWER)
        return f"{self.within(node, ATOM)}{self.caret}{decimal(exponent)}"

    def call(self, node: Call) -> Printed:
        if node.op in self.infix:
            a, b = (self.within(n, SUM) for n in node.args)
            return f"{a}{self.infix[node.op]}{b}", CONDITION
        if node.op == "power":
            return f"{self.within(node.args[0], ATOM)}{self.caret}{self.within(node.args[1], ATOM)}", POWER
        return f"{self.functions[node.op]}({','.join(self.text(a) for a in node.args)})", ATOM

    def power_sum(self, node: PowerSum) -> str:
        raise NotImplementedError

    def lookup(self, node: Lookup) -> str:
        raise NotImplementedError

    def table_sum(self, node: TableSum) -> str:
        raise NotImplementedError


def column_name(table_name: str, column: str) -> str:
    """The defined name of a column of a table on the Tables sheet."""
    return f"{table_name}_{column}"


def block_name(table_name: str) -> str:
    """The defined name of all number columns of a table together, for tables of coefficients."""
    return f"{table_name}_block"


def key_name(table_name: str) -> str:
    """The defined name of the column of joined keys of a table on the Tables sheet."""
    return f"{table_name}_key"


class Worksheet(Dialect):
    """A formula for Excel 2010, LibreOffice and every office program of their kind.

    ``suffix`` ends the names of tables in a book that holds them in both unit systems.
    """

    def __init__(self, resolve: Resolve, suffix: str = "") -> None:
        super().__init__(resolve)
        self.suffix = suffix

    functions: ClassVar[dict[str, str]] = {
        "exp": "EXP",
        "ln": "LN",
        "log10": "LOG10",
        "sqrt": "SQRT",
        "abs": "ABS",
        "sin": "SIN",
        "cos": "COS",
        "tan": "TAN",
        "atan": "ATAN",
        "sinh": "SINH",
        "cosh": "COSH",
        "tanh": "TANH",
        "acosh": "ACOSH",
        "floor": "INT",
        "max": "MAX",
        "min": "MIN",
        "if": "IF",
        "and": "AND",
        "or": "OR",
        "not": "NOT",
    }

    def call(self, node: Call) -> Printed:
        if node.op == "ceil":  # CEILING differs between programs for negative numbers; INT does not
            return f"-1*INT(-1*{self.within(node.args[0], POWER)})", SUM
        return super().call(node)

    def joined_keys(self, keys: Sequence[Node]) -> str:
        return '&"|"&'.join(self.within(k, ATOM) for k in keys)

    def power_sum(self, node: PowerSum) -> str:
        coefficients = ",".join(decimal(c) for c in node.coefficients)
        return f"SUMPRODUCT({{{coefficients}}},{self.within(node.x, ATOM)}^{self.powers(node.powers)})"

    def powers(self, powers: Sequence[Fraction | int]) -> str:
        return "{" + ",".join(decimal(Fraction(p)) for p in powers) + "}"

    def lookup(self, node: Lookup) -> str:
        column, keys = column_name(node.table, node.column) + self.suffix, key_name(node.table) + self.suffix
        return f"INDEX({column},MATCH({self.joined_keys(node.keys)},{keys},0))"

    def table_sum(self, node: TableSum) -> str:
        block, keys = block_name(node.table) + self.suffix, key_name(node.table) + self.suffix
        # 0^0 is an error in some programs: a nudge far below rounding keeps the base from ever being exactly zero.
        x, y = (f"({self.text(n)}+1E-30)" for n in (node.x, node.y))
        i, j = (self.powers([p[k] for p in node.powers]) for k in (0, 1))
        return f"SUMPRODUCT(({keys}={self.joined_keys(node.keys)})*{block}*{x}^{i}*{y}^{j})"


class Words(Dialect):
    """A formula as a person would write it on paper."""

    times, over, plus, minus = " × ", " / ", " + ", " − "
    functions: ClassVar[dict[str, str]] = {
        **Worksheet.functions,
        "ln": "ln",
        "exp": "exp",
        "log10": "log₁₀",
        "sqrt": "√",
        "abs": "abs",
        "max": "larger of ",
    }
    functions |= {"min": "smaller of ", "floor": "rounded down", "ceil": "rounded up", "acosh": "arcosh", "not": "not "}
    functions |= {name: name for name in ("sin", "cos", "tan", "atan", "sinh", "cosh", "tanh")}
    infix: ClassVar[dict[str, str]] = {"<": " < ", "<=": " ≤ ", ">": " > ", ">=": " ≥ ", "=": " is ", "<>": " is not "}

    def quoted(self, text: str) -> str:
        return text

    def call(self, node: Call) -> Printed:
        if node.op == "if":
            condition, yes, no = (self.within(a, SUM) if i else self.text(a) for i, a in enumerate(node.args))
            return f"if {condition}: {yes}, else {no}", CONDITION
        if node.op in ("and", "or"):
            return f" {node.op} ".join(self.text(a) for a in node.args), CONDITION
        if node.op in ("max", "min"):
            return f"{self.functions[node.op]}({' and '.join(self.text(a) for a in node.args)})", ATOM
        if node.op == "sqrt":
            return f"√{self.within(node.args[0], ATOM)}", ATOM
        return super().call(node)

    def power_sum(self, node: PowerSum) -> str:
        return f"Σ cₙ × {self.within(node.x, ATOM)}^n"

    def lookup(self, node: Lookup) -> str:
        return f"{node.column.replace('_', ' ')} of {' '.join(self.text(k) for k in node.keys)}"

    def table_sum(self, node: TableSum) -> str:
        return f"Σ cₙ × {self.within(node.x, ATOM)}^i × {self.within(node.y, ATOM)}^j"


class PythonMath(Dialect):
    """Source that needs nothing but Python's own ``math`` and dictionaries of table values."""

    caret = "**"
    functions: ClassVar[dict[str, str]] = {
        op: f"math.{op}" for op in ("exp", "log10", "sqrt", "sin", "cos", "tan", "atan", "sinh", "cosh", "tanh", "acosh", "floor", "ceil")
    }
    functions |= {"ln": "math.log", "abs": "abs", "max": "max", "min": "min", "not": "not "}
    infix: ClassVar[dict[str, str]] = {**Dialect.infix, "=": "==", "<>": "!="}

    def quoted(self, text: str) -> str:
        return repr(text)

    def call(self, node: Call) -> Printed:
        if node.op == "if":
            condition, yes, no = (self.text(a) for a in node.args)
            return f"(({yes}) if {condition} else ({no}))", ATOM
        if node.op in ("and", "or"):
            return "(" + f" {node.op} ".join(f"({self.text(a)})" for a in node.args) + ")", ATOM
        return super().call(node)

    def power_sum(self, node: PowerSum) -> str:
        x = self.within(node.x, ATOM)
        terms = [f"{decimal(c)}*{x}**{decimal(p)}" for c, p in zip(node.coefficients, node.powers, strict=True)]
        return "(" + "+".join(terms).replace("+-", "-") + ")"

    def lookup(self, node: Lookup) -> str:
        return f"{node.table.upper()}[{self.key(node.keys)}][{node.column!r}]"

    def key(self, keys: Sequence[Node]) -> str:
        return "(" + ",".join(self.text(k) for k in keys) + ",)"

    def table_sum(self, node: TableSum) -> str:
        row = f"{node.table.upper()}[{self.key(node.keys)}]"
        x, y = (self.within(n, ATOM) for n in (node.x, node.y))
        terms = zip(node.columns, node.powers, strict=True)
        return "(" + "+".join(f"{row}[{c!r}]*{x}**{i}*{y}**{j}" for c, (i, j) in terms) + ")"


# --- whole functions -----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Argument:
    """A leaf that stands for an argument, or for a part worked out on the way."""

    name: str


@dataclass
class Parts:
    """The lines of one function: each nested named call is a line of its own, in the order in which it is needed."""

    system: System | None
    lines: list[tuple[str, Named[Any], Node]] = field(default_factory=list)
    _known: dict[tuple[Any, ...], Any] = field(default_factory=dict)

    def nested(self, function: Named[Any], args: tuple[Any, ...]) -> Any:
        recorded = [formula.as_node(a) for a in args]
        key = (function.name, *recorded)
        if key not in self._known:
            if not any(nodes.leaves(n) for n in recorded):
                return function.body(*args)
            node = formula.record(function, args, self.system, self.nested)
            name = f"part_{len(self.lines) + 1}"
            self.lines.append((name, function, node))
            self._known[key] = formula.leaf(Argument(name), function.result, self.system)
        return self._known[key]


@cache
def recorded_function(function: Named[Any], system: System | None) -> tuple[Parts, Node]:
    """A function over its own arguments: the lines on the way, and the formula of the result.  Recorded once for all faces."""
    parts = Parts(system)
    arguments = [formula.leaf(Argument(p.name), p.kind, system) for p in function.parameters]
    return parts, formula.record(function, arguments, system, parts.nested)


def in_words(node: Node) -> str:
    """A formula over names, in words."""
    return Words(lambda r: r.name.replace("_", " ")).text(node)


def function_in_words(function: Named[Any]) -> str:
    """The formula of a function over the names of its arguments; for a correlation its title."""
    if function.correlation:
        return function.title
    calls: list[tuple[str, str]] = []

    def nested(inner: Named[Any], args: tuple[Any, ...]) -> Any:
        words = ", ".join(in_words(formula.as_node(a)) for a in args)
        calls.append((inner.name, words))
        return formula.leaf(Argument(f"{inner.name.replace('_', ' ')} ({words})"), inner.result, None)

    arguments = [formula.leaf(Argument(p.name.rstrip("_")), p.kind, None) for p in function.parameters]
    return in_words(formula.record(function, arguments, None, nested))


def as_math(function: Named[Any], system: System) -> list[str]:
    """The lines of a Python function body that needs ``math`` alone; its arguments and result are in trade units."""
    parts, result = recorded_function(function, system)
    printer = PythonMath(lambda r: r.name)
    return [*(f"{name} = {printer.text(node)}" for name, _, node in parts.lines), f"return {printer.text(result)}"]


def tables_used(function: Named[Any], system: System) -> set[str]:
    """The tables that a recorded function looks into."""
    parts, result = recorded_function(function, system)
    found: set[str] = set()
    stack: list[Node] = [result, *(node for _, _, node in parts.lines)]
    while stack:
        node = stack.pop()
        if isinstance(node, Lookup | TableSum):
            found.add(table(node.table).name)
        stack.extend(nodes.children(node))
    return found
