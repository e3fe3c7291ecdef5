"""Functions: the named functions by chapter, each with a row to try it in, and the defined names that newer Excel calls.

The result in a try-it row is a plain formula, so it shows in every office program.  The call by name stands beside it as
text: a program that does not know the name would show an error in its place.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import Key, Measure, System
from hydrocalc.named import Named, catalogue

from ..evaluate import evaluate
from ..nodes import Node
from ..plugins.conditions import conditions
from ..plugins.naming import allowed, call_name, choices, comment, start_values, unit_of
from ..printing import Worksheet, as_lambda, column_name, function_in_words, recorded_function
from ..sheet_rows import column_letters
from ..xlsx import GREY, PALE, SLATE, STRAW, Writer, number_format, page

FITS, NO_FIT = "yes", "no"
LONGEST_CHOICE = 255  # characters in the list of a cell's validation
HEADING_ROW = 3
NAME, RESULT, UNIT, FIT, CALL, LIVE = range(6)
WIDTHS = {NAME: 32, RESULT: 12, UNIT: 12, FIT: 8, CALL: 46, LIVE: 12}
ARGUMENT_WIDTH, WORKED_WIDTH = 13, 19
# The small print under an argument: characters to a line of its column, and points to a line.
LINE_CHARACTERS, LINE_POINTS = 16, 10.5


def define_functions(writer: Writer, system: System, suffix: str = "") -> None:
    """A defined name with a LAMBDA for every named function.  ``suffix`` ends the names of the tables that it looks into."""
    for function in catalogue().values():
        writer.define_name(call_name(function, system), "=" + as_lambda(function, system, suffix), comment(function, system))


@dataclass(frozen=True)
class _Layout:
    """What differs between the Functions sheet of a book and those of the book of names."""

    system: System
    suffix: str
    live: bool

    @property
    def first(self) -> int:
        """The column of the first argument."""
        return LIVE + 1 if self.live else LIVE

    @property
    def worked(self) -> int:
        """The column of the first worked line, after a gap."""
        return self.first + max(len(f.parameters) for f in catalogue().values()) + 1


def write_functions(writer: Writer, system: System, suffix: str = "", *, sheet: str = "Functions", live: bool = False) -> None:
    """The sheet of all functions; with ``live`` each is also called by its name."""
    layout = _Layout(system, suffix, live)
    out = writer.add_sheet(sheet, GREY)
    for column in range(layout.worked + 12):
        width = WIDTHS[column] if column < layout.first else ARGUMENT_WIDTH if column < layout.worked else WORKED_WIDTH
        out.set_column(column, column, width)
    out.set_row(0, 22)
    out.write_string(0, 0, "Functions", writer.format(bold=True, font_size=14, font_color=SLATE))
    out.write_string(1, 0, _HEAD_LIVE if live else _HEAD, writer.format(font_color=GREY))
    row, chapter = HEADING_ROW, ""
    for function in catalogue().values():
        if function.chapter != chapter:
            chapter = function.chapter
            about = (sys.modules[function.body.__module__].__doc__ or "").splitlines()[0].rstrip(".")
            out.set_row(row, 20)
            for column in range(layout.worked):
                out.write_blank(row, column, None, writer.format(bg_color=SLATE))
            out.write_string(row, 0, f"{chapter.capitalize()}: {about}", writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE))
            row += 2
        row = _write_function(writer, out, function, row, layout)
    out.freeze_panes(HEADING_ROW, 1)
    out.print_area(0, 0, row, layout.worked - 2)  # worked lines stay on the screen
    page(writer, out, repeat=HEADING_ROW)


_HEAD = (
    "Type over the yellow cells to try a function: the result is a plain formula. The call by name is there to copy: "
    "it works in newer Excel as it is, and in LibreOffice with the add-in."
)
_HEAD_LIVE = "Each function by a plain formula and, beside it, called by its name. Type over the yellow cells to try it."


def _write_function(writer: Writer, out: Any, function: Named[Any], row: int, layout: _Layout) -> int:
    """One function from a row on (counted from 0); the row after it and a gap."""
    system = layout.system
    band, quiet = writer.format(bold=True, bg_color=PALE), writer.format(font_color=GREY)
    small = writer.format(font_color=GREY, font_size=8, text_wrap=True, valign="top")
    head = writer.format(bold=True, bottom=1, text_wrap=True, valign="bottom", font_size=9)
    for column in range(layout.worked):
        out.write_blank(row, column, None, band)
    out.write_string(row, NAME, call_name(function, system), band)
    out.write_string(row, RESULT, function.title, band)
    source = function.source if function.accuracy == "exact" else f"{function.source}; accuracy: {function.accuracy}"
    asks = "; ".join(text for text, _ in function.requires)
    texts = [
        ("formula", "a correlation: see the source" if function.correlation else function_in_words(function)),
        ("source", source),
        *([("asks for", asks)] if asks else []),
    ]
    for label, text in texts:
        row += 1
        out.write_string(row, NAME, label, quiet)
        out.write_string(row, RESULT, text, quiet)
    parts, result = recorded_function(function, system)
    heads = ["", "result", "unit", "inputs fit", "call by name, to copy", *(["called by name"] if layout.live else [])]
    units = ["unit", *[""] * (layout.first - 1), *(unit_of(p.kind, system) for p in function.parameters)]
    meanings = ["meaning and range", *[""] * (layout.first - 1), *(f"{p.description}; {allowed(p, system)}" for p in function.parameters)]
    _texts(out, row + 1, [*heads, *(p.name for p in function.parameters)], head)
    _texts(out, row + 1, [f"{inner.title}" for _, inner, _ in parts.lines], head, layout.worked)
    _texts(out, row + 2, units, quiet)
    _texts(out, row + 2, [unit_of(inner.result, system) for _, inner, _ in parts.lines], quiet, layout.worked)
    out.set_row(row + 3, 6 + LINE_POINTS * math.ceil(max(map(len, meanings)) / LINE_CHARACTERS))
    _texts(out, row + 3, meanings, small)
    lines = [(name, node) for name, _, node in parts.lines]
    _write_trial(writer, out, function, row + 4, layout, [*lines, ("", result)])
    return row + 6


def _texts(out: Any, row: int, texts: Sequence[str], cell_format: Any, column: int = 0) -> None:
    for place, text in enumerate(texts, start=column):
        if text:
            out.write_string(row, place, text, cell_format)


def _write_trial(writer: Writer, out: Any, function: Named[Any], row: int, layout: _Layout, lines: list[tuple[str, Node]]) -> None:
    """The row in which the function is tried."""
    system = layout.system
    places: dict[str, str] = {}
    values: dict[str, Any] = {}
    typed = writer.format(bg_color=STRAW, border=1, border_color=GREY, align="right", locked=False)
    out.write_string(row, NAME, "try it", writer.format(bold=True))
    for column, (parameter, start) in enumerate(zip(function.parameters, start_values(function, system), strict=True), start=layout.first):
        places[parameter.name] = f"{column_letters(column)}{row + 1}"
        values[parameter.name] = np.array(start, dtype=object) if isinstance(start, str) else np.float64(start)
        if isinstance(start, str):
            out.write_string(row, column, start, typed)
            if len(",".join(choices(parameter))) <= LONGEST_CHOICE:
                out.data_validation(row, column, row, column, {"validate": "list", "source": list(choices(parameter))})
        else:
            out.write_number(row, column, start, typed)
    for place, (name, _) in enumerate(lines[:-1], start=layout.worked):
        places[name] = f"{column_letters(place)}{row + 1}"
    fit = f"${column_letters(FIT)}{row + 1}"
    printer = Worksheet(lambda r: places[r.name], layout.suffix)
    test = _fit_formula(function, printer, places, layout)
    writer.formula(out, row, FIT, f'=IFERROR(IF({test},"{FITS}","{NO_FIT}"),"{NO_FIT}")', FITS, writer.format())
    for column, (name, node) in zip([*range(layout.worked, layout.worked + len(lines) - 1), RESULT], lines, strict=True):
        values[name] = float(evaluate(node, lambda r: values[r.name]))
        shown = writer.format(
            num_format=number_format(values[name]), align="right", bold=not name, **({"font_color": GREY} if name else {})
        )
        writer.formula(out, row, column, f'=IF({fit}="{FITS}",{printer.text(node)},"")', values[name], shown)
    out.write_string(row, UNIT, unit_of(function.result, system), writer.format(font_color=GREY, indent=1))
    call = f"={call_name(function, system)}({','.join(places[p.name] for p in function.parameters)})"
    out.write_string(row, CALL, call, writer.format(font_size=8))
    if layout.live:
        shown = writer.format(num_format=number_format(values[""]), align="right")
        stored = values[""] if writer.stored is None else writer.stored
        out.write_dynamic_array_formula(row, LIVE, row, LIVE, call, shown, stored)
        writer.formula_cells += 1


def _fit_formula(function: Named[Any], printer: Worksheet, places: dict[str, str], layout: _Layout) -> str:
    """The test that every argument is there and is one that the function takes."""
    numbers = [places[p.name] for p in function.parameters if isinstance(p.kind, Measure)]
    tests = [f"COUNT({','.join(numbers)})={len(numbers)}"] if numbers else []
    for parameter in function.parameters:
        if isinstance(parameter.kind, Key):
            tests.append(f"MATCH({places[parameter.name]},{column_name(parameter.kind.table, parameter.kind.column)}{layout.suffix},0)>0")
    tests += [printer.text(node) for node in conditions(function, layout.system)]
    return f"AND({','.join(tests)})"
