"""What a named function is called in a cell, and what an office program is told about it."""

from __future__ import annotations

import ast
import doctest
from fractions import Fraction
from typing import Any

from hydrocalc.arguments import Parameter, describe_limits
from hydrocalc.measures import Key, Measure, System
from hydrocalc.named import Named, catalogue
from hydrocalc.tables import table

PREFIX: dict[System, str] = {"us": "HYDRO", "metric": "HYDRO_SI"}
LONGEST_COMMENT = 255
# Start values are shown and typed over: what a conversion makes of a round number is cut to this many digits.
START_DIGITS = 5


def call_name(function: Named[Any], system: System) -> str:
    """The function's name in a cell: ``HYDRO.FLOW_FROM_LOAD``."""
    return f"{PREFIX[system]}.{function.name.upper()}"


def unit_of(kind: Measure | Key, system: System) -> str:
    """The unit of an argument as it is printed; nothing for a number without a unit."""
    symbol = kind.unit(system).symbol if isinstance(kind, Measure) else "text"
    return "" if symbol == "–" else symbol


def with_unit(name: str, kind: Measure | Key, system: System) -> str:
    return f"{name} {unit_of(kind, system)}".rstrip()


def choices(parameter: Parameter) -> tuple[str, ...]:
    """The texts that an argument may take, in the order of their table."""
    assert isinstance(parameter.kind, Key)
    return tuple(dict.fromkeys(table(parameter.kind.table).texts(parameter.kind.column)))


def allowed(parameter: Parameter, system: System) -> str:
    """What an argument may be, in words and in the units of a system."""
    if isinstance(parameter.kind, Key):
        return f"one of: {', '.join(choices(parameter))}"
    words = describe_limits(parameter.limits, parameter.kind, system)
    if parameter.valid is not None and parameter.valid != parameter.limits:
        words += f"; the source holds for {describe_limits(parameter.valid, parameter.kind, system)}"
    return words


def comment(function: Named[Any], system: System) -> str:
    """Arguments and units in as many characters as the comment of a defined name may have."""
    arguments = ", ".join(with_unit(p.name, p.kind, system) for p in function.parameters)
    signature = f"({arguments}) gives {unit_of(function.result, system) or 'a number'}"
    full = f"{function.title}. {signature}"
    return full if len(full) <= LONGEST_COMMENT else signature[:LONGEST_COMMENT]


def start_values(function: Named[Any], system: System) -> tuple[float | str, ...]:
    """The arguments of the worked number in the function's docstring, in the trade units of a system."""
    for example in doctest.DocTestParser().get_examples(function.__doc__ or ""):
        for node in ast.walk(ast.parse(example.source)):
            if isinstance(node, ast.Call) and (view := _view(node.func, function.name)) is not None:
                found = _arguments(node, function)
                if found is not None:
                    return tuple(_converted(v, p.kind, view[0], system) for v, p in zip(found, function.parameters, strict=True))
    raise LookupError(f"{function.name} has no worked number with plain arguments in its docstring")


def _view(called: ast.expr, name: str) -> tuple[System | None] | None:
    """The units of a call of the function: (us), (metric), or (None) for coherent ones; None for another call."""
    if isinstance(called, ast.Name) and called.id == name:
        return (None,)
    if isinstance(called, ast.Attribute) and isinstance(called.value, ast.Name) and called.value.id == name:
        return ("us",) if called.attr == "us" else ("metric",) if called.attr == "metric" else None
    return None


def _arguments(node: ast.Call, function: Named[Any]) -> tuple[Any, ...] | None:
    """The values of the arguments as written, which may be sums of numbers or other named functions; None for anything else."""
    names: dict[str, Any] = {"__builtins__": {}, **catalogue()}

    def value(expression: ast.expr) -> Any:
        return eval(compile(ast.Expression(expression), function.name, "eval"), names)

    try:
        found = function.bind(tuple(value(a) for a in node.args), {k.arg or "": value(k.value) for k in node.keywords})
    except (NameError, TypeError):
        return None
    return found if all(isinstance(v, float | int | str) for v in found) else None


def _converted(value: Any, kind: Measure | Key, given: System | None, wanted: System) -> float | str:
    if isinstance(kind, Key):
        return str(value)
    if kind.unit(given) == kind.unit(wanted):
        return float(f"{float(value):.12g}")
    coherent = Fraction(repr(float(value))) * kind.unit(given).scale + kind.unit(given).offset
    return float(f"{float((coherent - kind.unit(wanted).offset) / kind.unit(wanted).scale):.{START_DIGITS}g}")
