"""Tables and Sources: the rows that the formulas look up, each with its source, and where every formula comes from."""

from __future__ import annotations

import math
import re
import textwrap
from typing import Any

from hydrocalc.measures import System
from hydrocalc.named import Named
from hydrocalc.tables import Table, table
from workbook_builder.formula.evaluation import trade_values
from workbook_builder.formula.printing import block_name, column_name, key_name
from workbook_builder.model.rows import column_letters
from workbook_builder.model.worksheet import Book
from workbook_builder.output.page_layout import page, scale_to
from workbook_builder.output.writer import FOLDED, GREY, SLATE, Writer
from workbook_builder.table.vocabulary import Item, vocabulary

SOURCE_LINE = 12  # points to a line of the small type
# The tables that sizing sheets look into, in the order in which a reader meets them.
SHOWN = (
    "tubes",
    "tube_limits",
    "tube_walls",
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


KEY_WIDTH, TEXT_WIDTH, NUMBER_WIDTH = 20, 16.5, 8.3  # characters
IN_FOOTNOTES = ("bore_basis", "basis", "source", "note")  # long, and the same for many rows: a mark stands for them
KEY_A_LINE, TEXT_A_LINE, UNIT_A_LINE = 23, 18, 9  # characters of their size in a line
TITLE_POINTS, LINE, HEAD_LINE = 22, 12, 12  # heights; a line's is said, since programs differ in their own


def write_tables(writer: Writer, system: System, symbol: Any) -> None:
    """The sheet Tables, with a defined name for each column and for the joined keys of each table, and the lists of choices."""
    out = writer.add_sheet("Tables", GREY, locked=False)
    out.outline_settings(symbols_below=False)
    out.set_row(0, TITLE_POINTS)
    writer.title(out, "Tables")
    out.write_string(0, 2, "Each table unfolds by the sign at its left.", writer.format(font_color=GREY, font_size=9))
    widths = [KEY_WIDTH, TEXT_WIDTH, *[NUMBER_WIDTH] * (max(len(table(n).order) for n in SHOWN) - 1)]
    for column, width in enumerate(widths):
        out.set_column(column, column, width)
    row = 2
    for name in SHOWN:
        row = _write_table(writer, out, table(name), row, system, symbol)
    end = row  # of what is printed
    for name, choices in choice_lists().items():
        row = _write_choices(writer, out, name, choices, row)
    out.freeze_panes(1, 1)
    scale = scale_to(widths, landscape=True)
    out.print_area(0, 0, end - 1, len(widths) - 1)
    page(writer, out, repeat=1, scale=scale)


def choices_name(item: Item) -> str:
    """The defined name of the cells from which an item's value is chosen: a column of a table, or a list of its own."""
    if item.type.startswith("table "):
        _, name, column, *more = item.type.split()
        if not more and table(name).texts(column) == item.choices:
            return column_name(name, column)
    return "choices_" + re.sub(r"\W+", "_", item.type)


def choice_lists() -> dict[str, tuple[str, ...]]:
    """The lists of choices that are no column of a table, by their defined names."""
    every = [i for items in vocabulary().values() for i in items.values() if i.choices]
    return {n: i.choices for i in every if (n := choices_name(i)).startswith("choices_")}


def _write_choices(writer: Writer, out: Any, name: str, choices: tuple[str, ...], row: int) -> int:
    """One list from a row on (counted from 0); the row after it and a gap."""
    small = writer.format(font_size=9)
    out.write_string(row, 0, name.replace("_", " "), writer.format(bold=True, font_color=SLATE))
    for index, choice in enumerate(choices, start=1):
        out.write_string(row + index, 1, choice, small)
    _name(writer, name, 1, row + 2, row + 1 + len(choices))
    return row + len(choices) + 2


def _shown(number: float) -> str:
    """A format with four or five figures of a number of a table."""
    size = abs(number)
    if size < 1e6 and number == int(number):
        return "0"
    for least, shown in ((1e6, "0.00E+00"), (100, "0.0"), (10, "0.00"), (1, "0.000"), (0.1, "0.0000"), (0.001, "0.00000")):
        if size >= least:
            return shown
    return "0.00E+00"


class _Footnotes:
    """The long texts under a table, each with the mark that stands for it in the rows."""

    def __init__(self) -> None:
        self.marks: dict[str, str] = {}

    def mark(self, text: str) -> str:
        return self.marks.setdefault(text, f"[{len(self.marks) + 1}]") if text else ""


def _write_table(writer: Writer, out: Any, source: Table, row: int, system: System, symbol: Any) -> int:
    """One table from a row on (counted from 0), its footnotes under it; the row after it and a gap."""
    quiet = writer.format(font_color=GREY, font_size=9)
    key, small = writer.format(font_color=GREY, font_size=9, text_wrap=True), writer.format(font_size=9, indent=1, text_wrap=True)
    out.write_string(row, 0, source.name.replace("_", " "), writer.format(bold=True, font_color=SLATE))
    head = writer.format(bold=True, bottom=1, text_wrap=True, valign="bottom", font_size=9)
    titles = ["key", *(_title(column) for column in source.order)]
    first, last = row + 4, row + 3 + source.rows
    keys = ["|".join(source.texts(k)[index] for k in source.keys) for index in range(source.rows)]
    units = [symbol(column.measure) for column in source.columns.values()]
    names = [source.texts(column) for column in source.order if column not in source.columns and column not in IN_FOOTNOTES]
    out.set_row(row, LINE, None, {"collapsed": True})
    out.set_row(row + 1, HEAD_LINE * max(_lines(t, NUMBER_WIDTH) for t in titles[2:]) + 2, None, FOLDED)
    out.set_row(row + 2, LINE * max((_lines(u, UNIT_A_LINE) for u in units), default=1), None, FOLDED)
    for index in range(source.rows):
        tall = max(_lines(keys[index], KEY_A_LINE), *(_lines(texts[index], TEXT_A_LINE) for texts in names), 1)
        out.set_row(first + index - 1, LINE * tall, None, FOLDED)
    text_head = writer.format(bold=True, bottom=1, text_wrap=True, valign="bottom", indent=1, font_size=9)
    number_head = writer.format(bold=True, bottom=1, text_wrap=True, valign="bottom", align="right", font_size=9)
    for place, title in enumerate(titles):
        above = head if not place else number_head if source.order[place - 1] in source.columns else text_head
        out.write_string(row + 1, place, title, above)
    _name(writer, key_name(source.name), 0, first, last)
    for index, text in enumerate(keys):
        out.write_string(first + index - 1, 0, text, key)
    if source.name == "tubes":
        row_of_orders(writer, out, source, len(source.order) + 1, first, last, head)
    footnotes, unit = _Footnotes(), writer.format(font_color=GREY, font_size=9, align="right", text_wrap=True)
    for place, column in enumerate(source.order, start=1):
        if column in source.columns:
            out.write_string(row + 2, place, symbol(source.columns[column].measure), unit)
            for index, number in enumerate(trade_values(source.columns[column], system)):
                if number is not None:
                    out.write_number(first + index - 1, place, number, writer.format(num_format=_shown(number), font_size=9))
        else:
            for index, text in enumerate(source.texts(column)):
                out.write_string(first + index - 1, place, footnotes.mark(text) if column in IN_FOOTNOTES else text, small)
        _name(writer, column_name(source.name, column), place, first, last)
    numbers_from = min((source.order.index(c) + 1 for c in source.columns), default=0)
    if source.name.startswith("glycol_"):
        numbers_to = max(source.order.index(c) + 1 for c in source.columns)
        letters = column_letters(numbers_from), column_letters(numbers_to)
        writer.workbook.define_name(block_name(source.name), f"=Tables!${letters[0]}${first}:${letters[1]}${last}")
    for index, (text, mark) in enumerate(footnotes.marks.items()):
        out.write_string(last + index, 0, f"{mark}  {text}", quiet)
    for below in range(last, last + len(footnotes.marks) + 1):
        out.set_row(below, LINE, None, FOLDED)
    return last + len(footnotes.marks) + 1


def _title(column: str) -> str:
    """A column's name in the few letters that a line of its heading holds."""
    return column.replace("_", " ").replace("temperature", "temp.").replace("conductivity", "conduc-\ntivity")


def _lines(text: str, characters: float) -> int:
    return sum(max(1, len(textwrap.wrap(part, int(characters)))) for part in text.split("\n"))


def row_of_orders(writer: Writer, out: Any, source: Table, place: int, first: int, last: int, head: Any) -> None:
    """A second key of the tubes: the family and the size's place in it, for picking neighbours."""
    out.write_string(first - 3, place, "family and place", head)
    orders = source.columns["order"].values
    for index, (family, order) in enumerate(zip(source.texts("family"), orders, strict=True)):
        out.write_string(first + index - 1, place, f"{family}|{order:g}", writer.format(font_color=GREY, font_size=9))
    _name(writer, "tubes_order_key", place, first, last)


def _name(writer: Writer, name: str, column: int, first: int, last: int) -> None:
    letters = column_letters(column)
    writer.workbook.define_name(name, f"=Tables!${letters}${first}:${letters}${last}")


def write_sources(writer: Writer, book: Book, functions: dict[str, Named[Any]]) -> None:
    """The sheet Sources: every function that the book uses, with its formula, accuracy and source, chapter by chapter."""
    out = writer.add_sheet("Sources", GREY, locked=False)
    out.outline_settings(symbols_below=False)
    out.set_row(0, 22)
    writer.title(out, "Sources")
    out.write_string(1, 0, "Each chapter unfolds by the sign at its left.", writer.format(font_color=GREY, font_size=9))
    head = writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE)
    titles = (("function", 27), ("what it gives", 30), ("formula in words", 48), ("accuracy", 34), ("source", 48))
    for column, (title, width) in enumerate(titles):
        out.set_column(column, column, width)
        out.write_string(2, column, f" {title}" if column else title, head)
    used = [functions[name] for name in dict.fromkeys(row.function for row in book.order if row.function)]
    first, wrap = (writer.format(text_wrap=True, valign="top", font_size=9, indent=indent) for indent in (0, 1))
    row = 3
    for chapter in dict.fromkeys(function.chapter for function in used):
        of_chapter = [function for function in used if function.chapter == chapter]
        out.write_string(row, 0, chapter.capitalize(), writer.format(bold=True, font_color=SLATE))
        out.write_string(row, 1, f"{len(of_chapter)} functions of this chapter stand behind this book", writer.format(font_size=9))
        out.set_row(row, None, None, {"collapsed": True})
        for function in of_chapter:
            row += 1
            cells = (function.name, function.title, book.words(function), function.accuracy, function.source)
            for column, text in enumerate(cells):
                out.write_string(row, column, text, wrap if column else first)
            # Not left to the program: some show rows that nobody has touched at one line's height.
            lines = max(math.ceil(len(text) / width) for text, (_, width) in zip(cells, titles, strict=True))
            out.set_row(row, SOURCE_LINE * max(lines, 1) + 2, None, FOLDED)
        row += 1
    out.freeze_panes(3, 1)
    page(writer, out, repeat=3)
