"""Python source of the named functions that needs nothing but ``math``: what the add-in for LibreOffice Calc computes with.

The functions are printed from the recorded bodies in the trade units of one system, their ranges from their limits, and the
table values that they look up as dictionaries.  An argument that a function does not take raises ValueError, a text that its
table does not have KeyError.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from hydrocalc.measures import Key, System
from hydrocalc.named import Named, catalogue
from hydrocalc.tables import table
from workbook_builder.formula.evaluation import trade_values
from workbook_builder.formula.nodes import Lookup, Node, TableSum, children
from workbook_builder.formula.printing import PythonMath, as_math, recorded_function

from .conditions import conditions
from .naming import choices

_HEAD = '''"""Hydronic functions in {units} trade units, for Python's math alone.  Generated; the bodies stand in hydrocalc."""

import math


def trimmed(text):
    """A text without regard to capitals and to blanks around it or doubled in it, as a worksheet's own look-up of TRIM finds it."""
    return " ".join(part for part in text.split(" ") if part).casefold()


'''
_UNITS: dict[System, str] = {"us": "US", "metric": "metric"}


def math_module(system: System) -> str:
    """The source of a module with every named function in the trade units of a system."""
    functions = list(catalogue().values())
    parts = [_HEAD.format(units=_UNITS[system])]
    parts += [f"{name} = {values!r}\n" for name, values in _tables(functions, system).items()]
    parts += [f"{name} = {values!r}\n" for name, values in _texts(functions).items()]
    parts += ["\n\n" + "\n    ".join(_lines(function, system)) + "\n" for function in functions]
    return "".join(parts)


def _lines(function: Named[Any], system: System) -> Iterator[str]:
    yield f"def {function.name}({', '.join(p.name for p in function.parameters)}):"
    for parameter in function.parameters:
        if isinstance(parameter.kind, Key):
            yield f"{parameter.name} = {_text_name(parameter.kind)}[trimmed({parameter.name})]"
    printer = PythonMath(lambda r: r.name)
    tests = [printer.text(node) for node in conditions(function, system)]
    if tests:
        yield f"if not ({' and '.join(tests)}):"
        yield "    raise ValueError"
    yield from as_math(function, system)


def _text_name(key: Key) -> str:
    return f"{key.table.upper()}_BY_{key.column.upper()}"


def _texts(functions: list[Named[Any]]) -> dict[str, dict[str, str]]:
    """The texts that an argument may be, found without regard to capitals, as an office program's own look-ups do."""
    keys = {_text_name(p.kind): p for f in functions for p in f.parameters if isinstance(p.kind, Key)}
    return {name: {text.casefold(): text for text in choices(parameter)} for name, parameter in sorted(keys.items())}


def _tables(functions: list[Named[Any]], system: System) -> dict[str, dict[tuple[str, ...], dict[str, float]]]:
    """The columns that any function looks into, by the keys of their rows; a row without a value lacks the column."""
    used: dict[str, set[str]] = {}
    for function in functions:
        parts, result = recorded_function(function, system)
        for node in (result, *(n for _, _, n in parts.lines), *conditions(function, system)):
            for name, columns in _looked_up(node):
                used.setdefault(name, set()).update(columns)
    found: dict[str, dict[tuple[str, ...], dict[str, float]]] = {}
    for name in sorted(used):
        source = table(name)
        values = {c: trade_values(source.columns[c], system) for c in sorted(used[name])}
        keys = [tuple(source.texts(k)[row] for k in source.keys) for row in range(source.rows)]
        found[name.upper()] = {key: {c: v for c in values if (v := values[c][row]) is not None} for row, key in enumerate(keys)}
    return found


def _looked_up(node: Node) -> Iterator[tuple[str, tuple[str, ...]]]:
    if isinstance(node, Lookup):
        yield node.table, (node.column,)
    if isinstance(node, TableSum):
        yield node.table, node.columns
    for below in children(node):
        yield from _looked_up(below)
