"""Tables and Sources: the rows that the formulas look up, each with its source, and where every formula comes from."""

from __future__ import annotations

import math
from typing import Any

from hydrocalc.measures import System
from hydrocalc.named import Named
from hydrocalc.tables import Table, table

from ..evaluate import trade_values
from ..printing import block_name, column_name, key_name
from ..sheet_rows import column_letters
from ..worksheet import Book
from ..xlsx import GREY, SLATE, Writer, page

SOURCE_LINE = 12  # points to a line of the small type
# The tables that sizing sheets look into, in the order in which a reader meets them.
SHOWN = (
    "tubes",
    "tube_limits",
    "fittings",
    "liquids",
    "glycol_density",
    "glycol_specific_heat",
    "glycol_conductivity",
    "glycol_log_viscosity",
    "glycol_freezing",
    "soils",
    "insulation",
    "species",
    "wood_moisture",
    "fuels",
    "months",
    "month_shares",
)


def write_tables(writer: Writer, system: System, symbol: Any) -> None:
    """The sheet Tables, with a defined name for each column and for the joined keys of each table."""
    out = writer.add_sheet("Tables", GREY)
    out.set_row(0, 22)
    out.write_string(0, 0, "Tables", writer.format(bold=True, font_size=14, font_color=SLATE))
    out.set_column(0, 0, 38)
    out.set_column(1, 40, 13)
    row = 2
    for name in SHOWN:
        row = _write_table(writer, out, table(name), row, system, symbol)
    out.freeze_panes(1, 1)
    page(writer, out, repeat=None)


def _write_table(writer: Writer, out: Any, source: Table, row: int, system: System, symbol: Any) -> int:
    """One table from a row on (counted from 0); the row after it."""
    out.write_string(row, 0, source.name.replace("_", " "), writer.format(bold=True, font_color=SLATE))
    head = writer.format(bold=True, bottom=1, text_wrap=True, valign="top", font_size=9)
    first, last = row + 3, row + 2 + source.rows
    out.write_string(row + 1, 0, "key", head)
    out.write_blank(row + 2, 0, None, writer.format())
    keys = source.keys
    _name(writer, key_name(source.name), 0, first, last)
    for index in range(source.rows):
        out.write_string(first + index - 1, 0, "|".join(source.texts(k)[index] for k in keys), writer.format(font_color=GREY))
    if source.name == "tubes":
        row_of_orders(writer, out, source, len(source.order) + 1, first, last, head)
    for place, column in enumerate(source.order, start=1):
        out.write_string(row + 1, place, column.replace("_", " "), head)
        if column in source.columns:
            kind = source.columns[column].measure
            out.write_string(row + 2, place, symbol(kind), writer.format(font_color=GREY, font_size=9))
            numbers = trade_values(source.columns[column], system)
            for index, number in enumerate(numbers):
                if number is not None:
                    out.write_number(first + index - 1, place, number, writer.format(num_format="General"))
        else:
            for index, text in enumerate(source.texts(column)):
                out.write_string(first + index - 1, place, text, writer.format(font_size=9))
        _name(writer, column_name(source.name, column), place, first, last)
    numbers_from = min((source.order.index(c) + 1 for c in source.columns), default=0)
    if source.name.startswith("glycol_"):
        numbers_to = max(source.order.index(c) + 1 for c in source.columns)
        letters = column_letters(numbers_from), column_letters(numbers_to)
        writer.workbook.define_name(block_name(source.name), f"=Tables!${letters[0]}${first}:${letters[1]}${last}")
    return last + 1


def row_of_orders(writer: Writer, out: Any, source: Table, place: int, first: int, last: int, head: Any) -> None:
    """A second key of the tubes: the family and the size's place in it, for picking neighbours."""
    out.write_string(first - 3 + 1, place, "family and place", head)
    orders = source.columns["order"].values
    for index, (family, order) in enumerate(zip(source.texts("family"), orders, strict=True)):
        out.write_string(first + index - 1, place, f"{family}|{order:g}", writer.format(font_color=GREY))
    _name(writer, "tubes_order_key", place, first, last)


def _name(writer: Writer, name: str, column: int, first: int, last: int) -> None:
    letters = column_letters(column)
    writer.workbook.define_name(name, f"=Tables!${letters}${first}:${letters}${last}")


def write_sources(writer: Writer, book: Book, functions: dict[str, Named[Any]]) -> None:
    """The sheet Sources: every function that the book uses, with its formula, accuracy and source."""
    out = writer.add_sheet("Sources", GREY)
    out.set_row(0, 22)
    out.write_string(0, 0, "Sources", writer.format(bold=True, font_size=14, font_color=SLATE))
    head = writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE)
    titles = (("function", 28), ("what it gives", 34), ("formula in words", 52), ("accuracy", 36), ("source", 52))
    for column, (title, width) in enumerate(titles):
        out.set_column(column, column, width)
        out.write_string(2, column, title, head)
    used = dict.fromkeys(row.function for row in book.order if row.function)
    wrap = writer.format(text_wrap=True, valign="top", font_size=9)
    for index, name in enumerate(used):
        function = functions[name]
        cells = (name, function.title, book.words(function), function.accuracy, function.source)
        for column, text in enumerate(cells):
            out.write_string(3 + index, column, text, wrap)
        # Not left to the program: some show rows that nobody has touched at one line's height.
        lines = max(math.ceil(len(text) / width) for text, (_, width) in zip(cells, titles, strict=True))
        out.set_row(3 + index, SOURCE_LINE * max(lines, 1) + 2)
    out.freeze_panes(3, 1)
    page(writer, out, repeat=3)
