"""A function as a LAMBDA for a defined name, in forms that work on a range element by element.

MAX, MIN, AND, OR and SUMPRODUCT take a whole range for one number, and what they then give is wrong without a sign of it.  So a
name chooses with IF, multiplies its conditions, and writes a sum out.  It refuses what the function refuses, each element by itself:
a blank, a text or TRUE for a number is #VALUE!, a text that a table does not have is #N/A, a number out of range is #NUM!.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from hydrocalc.measures import Key, System
from hydrocalc.named import Named
from workbook_builder.formula.nodes import Call, Lookup, Node, Num, PowerSum, Reference, TableSum
from workbook_builder.formula.printing import ATOM, PRODUCT, SUM, Printed, Worksheet, column_name, decimal, key_name, recorded_function

from .conditions import conditions

NOT_A_NUMBER, OUT_OF_RANGE = "#VALUE!", "#NUM!"


class Elementwise(Worksheet):
    """Worksheet text without a function that collapses a range; what would stand in it twice is bound to a name once."""

    def __init__(self, names: dict[str, str], suffix: str) -> None:
        super().__init__(self._named, suffix)
        self.names = names
        self.bound: dict[str, str] = {}  # texts, and the names that LET gives them

    def _named(self, reference: Reference) -> str:
        return self.names.get(reference.name, f"_xlpm.{reference.name}")

    def bind(self, printed: Printed, name: str = "") -> str:
        """The name of a text, bound now if it was not; what is atomic already stays as it is."""
        text, level = printed
        if not name and level == ATOM and "(" not in text:
            return text
        return self.bound.setdefault(text, f"_xlpm.{name or f'step_{len(self.bound) + 1}'}")

    def call(self, node: Call) -> Printed:
        if node.op in ("max", "min"):
            first, *others = (decimal(a.value) if isinstance(a, Num) else self.bind(self.printed(a)) for a in node.args)
            for place, other in enumerate(others, start=1):
                text = f"IF({first}{'>' if node.op == 'max' else '<'}{other},{first},{other})"
                if place == len(others):
                    return text, ATOM
                first = self.bind((text, ATOM))
        if node.op == "and":
            return "*".join(f"({self.text(a)})" for a in node.args), PRODUCT
        if node.op == "or":
            return "+".join(f"({self.text(a)})" for a in node.args), SUM
        if node.op == "not":
            return f"IF({self.text(node.args[0])},0,1)", ATOM
        return super().call(node)

    def row_of(self, table: str, keys: Sequence[Node]) -> str:
        """The row of a table that the keys pick; XMATCH, because MATCH would take a * in a key for any text."""
        return self.bind((f"_xlfn.XMATCH({self.joined_keys(keys)},{key_name(table)}{self.suffix})", ATOM))

    def lookup(self, node: Lookup) -> str:
        return f"INDEX({column_name(node.table, node.column)}{self.suffix},{self.row_of(node.table, node.keys)})"

    def power_sum(self, node: PowerSum) -> str:
        x = self.bind(self.printed(node.x))
        return self._written_out([(decimal(c), [(x, p)]) for c, p in zip(node.coefficients, node.powers, strict=True)])

    def table_sum(self, node: TableSum) -> str:
        row = self.row_of(node.table, node.keys)
        x, y = (self.bind(self.printed(n)) for n in (node.x, node.y))
        cells = [f"INDEX({column_name(node.table, c)}{self.suffix},{row})" for c in node.columns]
        return self._written_out([(cell, [(x, i), (y, j)]) for cell, (i, j) in zip(cells, node.powers, strict=True)])

    def _written_out(self, terms: list[tuple[str, list[tuple[str, Fraction | int]]]]) -> str:
        """Coefficient times powers, one term after the other; a power of none is left out, since 0^0 is an error in some programs."""
        texts = [
            "*".join([coefficient, *(x if p == 1 else f"{x}^{decimal(Fraction(p))}" for x, p in powers if p)])
            for coefficient, powers in terms
        ]
        return f"({'+'.join(texts).replace('+-', '-')})"


def as_lambda(function: Named[Any], system: System, suffix: str = "") -> str:
    """The function as a LAMBDA, its steps bound by LET, with the prefixes that a file needs.  ``suffix`` ends the names of the tables."""
    parts, result = recorded_function(function, system)
    keys = {p.name: p.kind for p in function.parameters if isinstance(p.kind, Key)}
    printer = Elementwise({name: f"_xlpm.{name}_trimmed" for name in keys}, suffix)
    for name in keys:
        printer.bind((f"TRIM(_xlpm.{name})", ATOM), f"{name}_trimmed")
    for name, _, node in parts.lines:
        printer.names[name] = printer.bind(printer.printed(node), name)
    text = printer.text(result)
    for test, otherwise in reversed(_tests(function, system, printer, suffix)):
        text = f"IF({test},{text},{otherwise})"
    bindings = "".join(f"{name},{bound}," for bound, name in printer.bound.items())
    arguments = "".join(f"_xlpm.{p.name}," for p in function.parameters)
    return f"_xlfn.LAMBDA({arguments}{f'_xlfn.LET({bindings}{text})' if bindings else text})"


def _tests(function: Named[Any], system: System, printer: Elementwise, suffix: str) -> list[tuple[str, str]]:
    """What must hold, in the order in which it is asked, each with the error that stands for it."""
    # A worksheet sorts numbers before texts, and texts before TRUE; against a text a blank counts as "".  Unlike ISNUMBER this
    # passes an error of an argument on, as a reader expects who looks for where it came from.  So does a look-up that finds nothing.
    there = [
        f"_xlfn.XMATCH({printer.names[p.name]},{column_name(p.kind.table, p.kind.column)}{suffix})>0"
        if isinstance(p.kind, Key)
        else f'_xlpm.{p.name}<""'
        for p in function.parameters
    ]
    within = [printer.text(node) for node in conditions(function, system)]
    return [(_all(tests), error) for tests, error in ((there, NOT_A_NUMBER), (within, OUT_OF_RANGE)) if tests]


def _all(tests: list[str]) -> str:
    return "*".join(f"({t})" for t in tests) if len(tests) > 1 else tests[0]
