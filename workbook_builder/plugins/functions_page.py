"""Functions: the named functions by chapter, each with a row to try it in, and the defined names that newer Excel calls.

The result in a try-it row is a plain formula, so it shows in every office program.  The call by name stands beside it as
text: a program that does not know the name would show an error in its place.
"""

from __future__ import annotations

import sys
import textwrap
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from hydrocalc.measures import Key, Measure, System
from hydrocalc.named import Named, catalogue
from workbook_builder.formula.evaluation import evaluate
from workbook_builder.formula.printing import Worksheet, column_name, function_in_words, recorded_function
from workbook_builder.model.rows import column_letters
from workbook_builder.output.page_layout import breaks, page, scale_to
from workbook_builder.output.writer import GREY, PALE, SLATE, STRAW, Writer, input_format, number_format

from .conditions import conditions
from .elementwise import as_lambda
from .naming import allowed, call_name, choices, comment, start_values, unit_of

FITS, NO_FIT = "yes", "no"
HEADING_ROW = 4  # counted from 1; the head of the columns
# What a function gives and each of its arguments have a row.  The value stands in one column, typed or worked out.
NAME, VALUE, UNIT, FIT, ABOUT, LIVE = range(6)
HEADS = ("function, argument", "value", "unit", "fits", "meaning and range; the call by name, to copy", "called by name")
WIDTHS = (29, 16, 13, 5, 66, 14)
WORKED_WIDTH, MOST_WORKED = 19, 12  # to the right of the worked lines stand the lists of what a text may be
# Heights; that of a line is said and differs from a program's own, since programs differ in that.
CHAPTER_POINTS, GAP_POINTS, LINE_POINTS, MORE_POINTS = 18, 6, 12, 10
TEXT_LINE, SMALL_LINE = 120, 84  # characters in a line across the columns from the value on, and of the small type in its column
TRY = "gives"


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
    def columns(self) -> int:
        """How many columns a reader sees first."""
        return LIVE + 1 if self.live else LIVE

    @property
    def worked(self) -> int:
        """The column of the first worked line, after a gap."""
        return self.columns + 1

    @cached_property
    def lists(self) -> dict[tuple[str, ...], str]:
        """The cells of the sheet in which the texts that an argument may be are listed, a column for each list."""
        parameters = (p for f in catalogue().values() for p in f.parameters if isinstance(p.kind, Key))
        found: dict[tuple[str, ...], str] = {}
        for place, listed in enumerate(dict.fromkeys(map(choices, parameters)), start=self.worked + MOST_WORKED + 1):
            letters = column_letters(place)
            found[listed] = f"${letters}${HEADING_ROW + 1}:${letters}${HEADING_ROW + len(listed)}"
        return found


@dataclass
class _Cursor:
    """Where the next row goes, and the blocks that a page must not tear: their first rows and their heights."""

    writer: Writer
    out: Any
    row: int = HEADING_ROW
    blocks: list[tuple[int, float]] = field(default_factory=list)

    def begin(self) -> None:
        self.blocks.append((self.row, 0.0))

    def next(self, height: float = LINE_POINTS) -> int:
        """The row (counted from 0) that is now written, of this height."""
        self.out.set_row(self.row, height)
        first, so_far = self.blocks[-1]
        self.blocks[-1] = first, so_far + height
        self.row += 1
        return self.row - 1


def write_functions(writer: Writer, system: System, suffix: str = "", *, sheet: str = "Functions", live: bool = False) -> None:
    """The sheet of all functions; with ``live`` each is also called by its name."""
    layout = _Layout(system, suffix, live)
    out = writer.add_sheet(sheet, GREY)
    widths = WIDTHS[: layout.columns]
    for column, width in enumerate(widths):
        out.set_column(column, column, width)
    out.set_column(layout.worked, layout.worked + MOST_WORKED + len(layout.lists), WORKED_WIDTH)
    out.set_row(0, 22)
    out.write_string(0, 0, "Functions", writer.format(bold=True, font_size=14, font_color=SLATE))
    for row in range(1, HEADING_ROW):
        out.set_row(row, LINE_POINTS)
    out.write_string(1, 0, _HEAD, writer.format(font_color=GREY))
    out.write_string(2, 0, _HEAD_LIVE if live else _HEAD_CALL, writer.format(font_color=GREY))
    head = writer.format(bold=True, bottom=1, font_size=9)
    for column in range(layout.columns):
        out.write_string(HEADING_ROW - 1, column, HEADS[column], head)
    for place, listed in enumerate(layout.lists, start=layout.worked + MOST_WORKED + 1):
        out.write_column(HEADING_ROW, place, listed, writer.format(font_color=GREY, font_size=9))
    cursor, chapter = _Cursor(writer, out), ""
    for function in catalogue().values():
        cursor.begin()
        if function.chapter != chapter:
            chapter = function.chapter
            _chapter(cursor, function, layout)
        _write_function(cursor, function, layout)
    out.freeze_panes(HEADING_ROW, 1)
    out.print_area(0, 0, cursor.row - 1, layout.columns - 1)  # worked lines stay on the screen
    scale = scale_to(widths, landscape=False)
    out.set_h_pagebreaks(breaks(cursor.blocks, scale, landscape=False, repeated=22 + 3 * LINE_POINTS))
    page(writer, out, landscape=False, repeat=HEADING_ROW, scale=scale)


_HEAD = "Type over the yellow cells to try a function: what it gives is a plain formula."
_HEAD_CALL = "The call by name is there to copy: it works in newer Excel as it is, and in LibreOffice with the add-in."
_HEAD_LIVE = "Beside it the function is called by its name."


def _chapter(cursor: _Cursor, function: Named[Any], layout: _Layout) -> None:
    about = (sys.modules[function.body.__module__].__doc__ or "").splitlines()[0].rstrip(".")
    band = cursor.writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE)
    row = cursor.next(CHAPTER_POINTS)
    for column in range(layout.columns):
        cursor.out.write_blank(row, column, None, band)
    cursor.out.write_string(row, NAME, f"{function.chapter.capitalize()}: {about}", band)
    cursor.next(GAP_POINTS)


def _write_function(cursor: _Cursor, function: Named[Any], layout: _Layout) -> None:
    """One function: its name, where it comes from, a row for each argument, and what it gives."""
    out, format_ = cursor.out, cursor.writer.format
    band, quiet = format_(bold=True, bg_color=PALE), format_(font_color=GREY, font_size=9)
    row = cursor.next(LINE_POINTS + 2)
    for column in range(VALUE, layout.columns):
        out.write_blank(row, column, None, band)
    out.write_string(row, NAME, call_name(function, layout.system), band)
    out.write_string(row, UNIT, function.title, band)  # the name runs on over the column of values
    source = function.source if function.accuracy == "exact" else f"{function.source}; accuracy: {function.accuracy}"
    asks = "; ".join(text for text, _ in function.requires)
    texts = [
        ("formula", "a correlation: see the source" if function.correlation else function_in_words(function)),
        ("source", source),
        *([("asks for", asks)] if asks else []),
    ]
    for label, text in texts:
        lines = textwrap.wrap(text, TEXT_LINE) or [""]
        for place, line in enumerate(lines):
            row = cursor.next()
            if not place:
                out.write_string(row, NAME, label, quiet)
            out.write_string(row, VALUE, line, quiet)
    places, values = _arguments(cursor, function, layout)
    _result(cursor, function, layout, places, values)
    cursor.next(GAP_POINTS)


def _arguments(cursor: _Cursor, function: Named[Any], layout: _Layout) -> tuple[dict[str, str], dict[str, Any]]:
    """A row for each argument; their cells and what is typed there."""
    out, format_ = cursor.out, cursor.writer.format
    small = format_(font_color=GREY, font_size=8, text_wrap=True)
    box = {"bg_color": STRAW, "border": 1, "border_color": GREY, "align": "right", "locked": False}
    places: dict[str, str] = {}
    values: dict[str, Any] = {}
    for parameter, start in zip(function.parameters, start_values(function, layout.system), strict=True):
        about = f"{parameter.description}; {allowed(parameter, layout.system)}"
        row = cursor.next(LINE_POINTS + MORE_POINTS * (len(textwrap.wrap(about, SMALL_LINE)) - 1))
        places[parameter.name] = f"{column_letters(VALUE)}{row + 1}"
        out.write_string(row, NAME, parameter.name, format_(indent=1))
        out.write_string(row, UNIT, unit_of(parameter.kind, layout.system), format_(font_color=GREY, indent=1))
        out.write_string(row, ABOUT, about, small)
        if isinstance(start, str):
            values[parameter.name] = np.array(start, dtype=object)
            out.write_string(row, VALUE, start, format_(**box))
            out.data_validation(row, VALUE, row, VALUE, {"validate": "list", "source": "=" + layout.lists[choices(parameter)]})
        else:
            values[parameter.name] = np.float64(start)
            out.write_number(row, VALUE, start, format_(**box, num_format=input_format(start)))
    return places, values


def _result(cursor: _Cursor, function: Named[Any], layout: _Layout, places: dict[str, str], values: dict[str, Any]) -> None:
    """The row of what the function gives; the lines worked on the way stand to its right, each under its title and unit."""
    writer, out, system = cursor.writer, cursor.out, layout.system
    parts, result = recorded_function(function, system)
    assert len(parts.lines) <= MOST_WORKED, f"{function.name}: the worked lines reach into the lists"
    row = cursor.next()
    head = writer.format(bold=True, bottom=1, text_wrap=True, valign="bottom", font_size=9)
    for column, (name, inner, _) in enumerate(parts.lines, start=layout.worked):
        unit = unit_of(inner.result, system)
        out.write_string(row - 1, column, f"{inner.title}, {unit}" if unit else inner.title, head)
        places[name] = f"{column_letters(column)}{row + 1}"
    out.write_string(row, NAME, TRY, writer.format(bold=True, indent=1))
    fit = f"${column_letters(FIT)}{row + 1}"
    printer = Worksheet(lambda r: places[r.name], layout.suffix)
    test = _fit_formula(function, printer, places, layout)
    writer.formula(out, row, FIT, f'=IFERROR(IF({test},"{FITS}","{NO_FIT}"),"{NO_FIT}")', FITS, writer.format())
    lines = [(name, node) for name, _, node in parts.lines]
    worked = range(layout.worked, layout.worked + len(lines))
    for column, (name, node) in zip([*worked, VALUE], [*lines, ("", result)], strict=True):
        values[name] = float(evaluate(node, lambda r: values[r.name]))
        shown = writer.format(
            num_format=number_format(values[name]), align="right", bold=not name, **({"font_color": GREY} if name else {})
        )
        writer.formula(out, row, column, f'=IF({fit}="{FITS}",{printer.text(node)},"")', values[name], shown)
    out.write_string(row, UNIT, unit_of(function.result, system), writer.format(font_color=GREY, indent=1))
    call = f"={call_name(function, system)}({','.join(places[p.name] for p in function.parameters)})"
    out.write_string(row, ABOUT, call, writer.format(font_size=8))
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
