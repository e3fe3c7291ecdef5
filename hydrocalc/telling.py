"""What ``help`` shows of a function in the trade units of a system, written from the catalogue and nowhere by hand."""

from __future__ import annotations

import ast
import doctest
import textwrap
import warnings
from collections.abc import Iterator
from typing import Any, Protocol

from .arguments import Parameter, describe_limits
from .measures import Key, Measure, System
from .tables import table

_WIDTH = 100
_DIGITS = 6  # significant, of the numbers of an example


class Told(Protocol):
    """What is asked of a named function here."""

    name: str
    title: str
    notes: str
    source: str
    accuracy: str
    parameters: tuple[Parameter, ...]
    result: Measure
    requires: tuple[tuple[str, Any], ...]
    doubts: tuple[tuple[str, Any], ...]
    body: Any


def told(function: Told, view: Any, system: System) -> str:
    """Meaning, arguments with unit and range, result, errors, accuracy, source and a worked example, all in the units of a system."""
    unit = function.result.unit(system).symbol
    lines = [f"{function.title}{'' if unit == '–' else f', in {unit}'}.", ""]
    for parameter in function.parameters:
        lines += _wrapped(f"{parameter.name}: {_argument(parameter, system)}")
    lines += [
        "",
        *_wrapped(f"Gives: {'a number without unit' if unit == '–' else unit}, a float or an array"),
    ]
    lines += _wrapped("RangeError: what is outside its range, no number, or of no row of its table")
    for text, _ in function.requires:
        lines += _wrapped(f"RangeError: {text}")
    for parameter in function.parameters:
        if parameter.valid is not None and isinstance(parameter.kind, Measure):
            lines += _wrapped(f"ValidityWarning: {parameter.name} outside {describe_limits(parameter.valid, parameter.kind, system)}")
    for text, _ in function.doubts:
        lines += _wrapped(f"ValidityWarning: {text}")
    lines += _wrapped(f"Accuracy: {function.accuracy}")
    lines += _wrapped(f"Source: {function.source}")
    for paragraph in function.notes.split("\n\n") if function.notes else ():
        lines += ["", *_wrapped(" ".join(paragraph.split()))]
    return "\n".join([*lines, *example(function, view, system)])


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False)


def _argument(parameter: Parameter, system: System) -> str:
    kind = parameter.kind
    if isinstance(kind, Key):
        return f"{parameter.description} [text, one of: {', '.join(dict.fromkeys(table(kind.table).texts(kind.column)))}]"
    symbol = kind.unit(system).symbol
    return f"{parameter.description} [{'no unit' if symbol == '–' else symbol}, {describe_limits(parameter.limits, kind, system)}]"


def example(function: Told, view: Any, system: System) -> Iterator[str]:
    """The worked number of the docstring, its arguments turned into the units of a system."""
    found = _given(function)
    if found is None:
        return
    given, asked = found
    texts = []
    values: list[Any] = []
    for parameter, value in zip(function.parameters, given, strict=True):
        if isinstance(parameter.kind, Measure) and asked != system:
            coherent = parameter.kind.unit(asked).to_coherent(value)
            value = float(f"{parameter.kind.unit(system).from_coherent(coherent):.{_DIGITS}g}")
        values.append(value)
        texts.append(repr(value) if isinstance(value, str) else f"{value:.12g}")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        result = view(*values)
    yield ""
    yield f'>>> f"{{hydrocalc.{system}.{function.name}({", ".join(texts)}):.5g}}"'
    yield repr(f"{result:.5g}")


def _given(function: Told) -> tuple[list[Any], System | None] | None:
    """The arguments of the docstring's first call of the function, and the system in whose units they are."""
    for shown in doctest.DocTestParser().get_examples(function.body.__doc__ or ""):
        for node in ast.walk(ast.parse(shown.source)):
            if not isinstance(node, ast.Call):
                continue
            name = ast.unparse(node.func).split(".")
            if name[0] != function.name or name[1:] not in ([], ["us"], ["metric"]):
                continue
            values = [eval(ast.unparse(argument), {"__builtins__": {}}) for argument in node.args]
            return values, "us" if name[1:] == ["us"] else "metric" if name[1:] == ["metric"] else None
    return None
