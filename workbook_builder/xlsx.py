"""Writing the sheets of a book to a file.  The only module that imports xlsxwriter.

Every formula is written with its value, since an office program may show what is stored before it recalculates.
"""

from __future__ import annotations

import datetime
import math
import textwrap
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import xlsxwriter
import xlsxwriter.worksheet

from hydrocalc.measures import ENERGY, POWER

from .paper import LETTER, breaks, columns_a_page, page, table_scale, width_left
from .printing import COLUMN
from .sheet_rows import FIRST_COLUMN, HEADING_ROW, LEFT_COLUMN, Heading, Row, column_letters
from .worksheet import Book, Sheet

# The book's own colours: slate for headings, straw for inputs, and nothing that is told by colour alone.
SLATE, STRAW, PALE, GREY, RUST, MOSS = "#37474F", "#FFF6DC", "#ECEFF1", "#5E727C", "#A63D00", "#2E6B34"
# Arial has a free font of the same widths everywhere, so a page breaks alike in Excel and in LibreOffice.
FONT, SIZE, ROW_PIXELS = "Arial", 10, 17
LONG_NUMBER, MOST_DECIMALS = 10, 15  # characters of a number: nobody types so many, and a sheet keeps no more
# Characters wide; the last value stands for every column of runs, loads or the like.
LABEL, UNIT, VALUE, ONLY_VALUE, GAP, WORDS, FUNCTION, SOURCE = 40, 13, 11.5, 16, 1.5, 42, 26, 40
MOST_WORDS = 100  # where few columns leave room for them
# Characters in a line of the columns of labels and of texts, and of small type for each that the column of words is wide; points to a line.
LABEL_A_LINE, TEXT_A_LINE, LINE, WORDS_A_WIDTH, WORDS_LINE = 39, 12, 12.75, 1.33, 10
FORMATS = {
    "general": "#,##0.00;-#,##0.00;0",
    "plain": "0",
    "whole": "#,##0",
    "one": "#,##0.0",
    "two": "#,##0.00",
    "three": "0.000",
    "money": "#,##0.00",
}
# What stays free on a locked sheet.
FREE = {"format_columns": True, "format_rows": True, "select_locked_cells": True, "select_unlocked_cells": True}
# A fixed date keeps the same input giving the same file on any day.
CREATED = datetime.datetime(2000, 1, 1)


def number_format(values: Any) -> str:
    """A format that shows three or four figures of the values of a row."""
    finite = [abs(v) for v in np.ravel(values) if not math.isnan(v) and v]
    largest = max(finite, default=1.0)
    if largest >= 1000:
        return "#,##0"
    if largest >= 100:
        return "0.0"
    if largest >= 1:
        return "0.00"
    if largest >= 0.01:
        return "0.0000"
    return "0.00E+00;-0.00E+00;0"  # LibreOffice would write some zeros as -0.00E+00


def row_format(row: Row, values: Any) -> str:
    """How the values of a row are shown; whole numbers of BTU are enough, whole kilowatts are not."""
    coarse = row.shows == "whole" and row.kind in (POWER, ENERGY) and row.sheet.book.system == "metric"
    return number_format(values) if row.shows == "general" or coarse else FORMATS[row.shows]


def input_format(value: Any) -> str:
    """General for a number as a person would type it; five figures of one that came out of a conversion."""
    if not isinstance(value, float) or len(repr(value)) < LONG_NUMBER:
        return "General"
    decimals = min(max(1, 4 - math.floor(math.log10(abs(value)))), MOST_DECIMALS)
    return f"0.0{'#' * (decimals - 1)}"


class _Workbook(xlsxwriter.Workbook):  # type: ignore[misc]
    """XlsxWriter's workbook, with the comment of a defined name, for which its define_name has no argument."""

    def __init__(self, *args: Any) -> None:
        super().__init__(*args)
        self.name_comments: dict[str, str] = {}

    def _xml_data_element(self, tag: str, data: str, attributes: Any = ()) -> None:
        comment = self.name_comments.get(dict(attributes).get("name", "")) if tag == "definedName" else None
        super()._xml_data_element(tag, data, [*attributes, ("comment", comment)] if comment else attributes)


class _Worksheet(xlsxwriter.worksheet.Worksheet):  # type: ignore[misc]
    """XlsxWriter's worksheet, without its search of each formula for thirty new functions: three quarters of the time of writing.

    Our formulas use none of them, or name them with the prefix that a file needs.
    """

    def _prepare_formula(self, formula: str, expand_future_functions: bool = False) -> str:
        return formula.removeprefix("=")


@dataclass
class Writer:
    """One workbook being written."""

    path: Path | BinaryIO
    job_title: str = ""
    stored: float | None = None  # stored instead of every value: proves that an engine recalculates
    paper: int = LETTER
    workbook: Any = None
    _formats: dict[tuple[tuple[str, Any], ...], Any] = field(default_factory=dict)
    formula_cells: int = 0

    def __post_init__(self) -> None:
        # In memory, so that work that is cut off leaves no pieces in the system's folder for temporary files.
        options: dict[str, Any] = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
        options |= {
            "default_format_properties": {"font_name": FONT, "font_size": SIZE, "font_scheme": "none"},
            "default_row_height": ROW_PIXELS,
        }
        self.workbook = _Workbook(str(self.path) if isinstance(self.path, Path) else self.path, options)
        self.workbook.set_properties({"title": self.job_title, "created": CREATED})
        self.workbook.set_calc_mode("auto")

    def format(self, **properties: Any) -> Any:
        """A cell format, made once for each set of properties."""
        properties = {"font_name": FONT, "font_size": SIZE, "valign": "vcenter", **properties}
        key = tuple(sorted(properties.items()))
        if key not in self._formats:
            self._formats[key] = self.workbook.add_format(properties)
        return self._formats[key]

    def formula(self, sheet: Any, row: int, column: int, text: str, value: Any, cell_format: Any) -> None:
        """A formula with its value.  Rows and columns are counted from 0."""
        self.formula_cells += 1
        if self.stored is not None:
            value = self.stored
        elif isinstance(value, float | np.floating):
            value = "" if math.isnan(value) else float(value)
        sheet.write_formula(row, column, text, cell_format, value)

    def define_name(self, name: str, text: str, comment: str = "") -> None:
        """A defined name, with a comment that an office program shows beside it (at most 255 characters)."""
        self.workbook.define_name(name, text)
        if comment:
            self.workbook.name_comments[name] = comment

    def add_sheet(self, name: str, tab: str, *, locked: bool = True) -> Any:
        """A sheet whose cells are locked, without a password: a slip does not overwrite a formula, and nobody is kept out."""
        sheet = self.workbook.add_worksheet(name, worksheet_class=_Worksheet)
        if locked:
            sheet.protect("", FREE)
        sheet.set_tab_color(tab)
        sheet.hide_gridlines(2)
        return sheet

    def close(self) -> None:
        self.workbook.close()


def write_sheet(writer: Writer, sheet: Sheet, values: dict[Row, Any]) -> None:
    """One sizing sheet."""
    out = writer.add_sheet(sheet.name, SLATE)
    count = len(sheet.axis.labels)
    spacer = FIRST_COLUMN + count
    widths = _widths(count)
    for column, width in enumerate(widths):
        out.set_column(column, column, width)
    out.set_row(0, 22)
    out.write_string(0, 0, sheet.title, writer.format(bold=True, font_size=14, font_color=SLATE))
    out.write_string(1, 0, writer.job_title, writer.format(font_color=GREY))
    head = {"bold": True, "font_color": "#FFFFFF", "bg_color": SLATE, "text_wrap": True}
    top = HEADING_ROW - 1
    out.set_row(top, 30)
    out.write_string(top, 0, "Quantity", writer.format(**head))
    out.write_string(top, 1, "Unit", writer.format(**head))
    single = sheet.axis.name == "one"
    named = sheet.book.headings(sheet.axis.name, sheet.axis.labels)
    for index, (label, reference) in enumerate(zip(sheet.axis.labels, named, strict=True)):
        cell_format = writer.format(**head, align="right")
        if reference:
            writer.formula(out, top, FIRST_COLUMN + index, reference, label, cell_format)
        else:
            out.write_string(top, FIRST_COLUMN + index, "Value" if single else label, cell_format)
    out.write_blank(top, spacer, None, writer.format(bg_color=PALE))
    for offset, text in enumerate(("Formula in words", "Function", "Source")):
        out.write_string(top, spacer + 1 + offset, text, writer.format(**head))
    out.freeze_panes(HEADING_ROW, FIRST_COLUMN)
    blocks: list[tuple[int, float]] = []
    above, last = None, HEADING_ROW
    for number, item in sheet.items:
        if isinstance(item, Heading):
            _heading(writer, out, number - 1, item, spacer)
            height = LINE
        else:
            height = _row(writer, out, number - 1, item, values[item], spacer, int(WORDS_A_WIDTH * widths[spacer + 1]))
        height += LINE * (number - last - 1)  # lines left free
        if isinstance(above, Heading):  # no page ends with a heading
            first, tall = blocks.pop()
            blocks.append((first, tall + height))
        else:
            blocks.append((number - 1, height))
        above, last = item, number
    # Function and source stay on the screen; on paper they are on Sources.
    out.print_area(0, 0, last - 1, spacer + 1)
    out.repeat_columns(0, FIRST_COLUMN - 1)
    scale = table_scale(widths[: spacer + 2])
    out.set_h_pagebreaks(breaks(blocks, scale, landscape=True, repeated=22 + LINE + 30))
    if sideways := columns_a_page(count, widths[: spacer + 2], FIRST_COLUMN, scale):
        out.set_v_pagebreaks(sideways)
    page(writer, out, scale=scale)


def _widths(count: int) -> list[float]:
    """Of all columns, in characters; the words take what the others leave of a page, and the last two stay on the screen."""
    before = [LABEL, UNIT, *[ONLY_VALUE if count == 1 else VALUE] * count, GAP]
    return [*before, min(max(WORDS, width_left(before)), MOST_WORDS), FUNCTION, SOURCE]


def _heading(writer: Writer, out: Any, row: int, item: Heading, spacer: int) -> None:
    for column in range(spacer + 4):
        out.write_blank(row, column, None, writer.format(bottom=1, bottom_color=SLATE))
    out.write_string(row, 0, item.text, writer.format(bold=True, font_color=SLATE, bottom=1, bottom_color=SLATE))


def _row(writer: Writer, out: Any, row: int, item: Row, values: Any, spacer: int, words_a_line: int) -> float:
    """One line of a sizing sheet; its height in points."""
    quiet = {"font_color": GREY, "font_size": 8}
    label_format = writer.format(text_wrap=True, **({"indent": 1, "font_color": GREY} if item.depth else {}))
    out.write_string(row, 0, item.label, label_format)
    out.write_string(row, 1, item.unit, writer.format(font_color=GREY))
    if item.is_text:
        cell = writer.format(align="right", text_wrap=True)
    else:
        cell = writer.format(num_format=row_format(item, values), align="right", **({"font_color": GREY} if item.depth else {}))
    for index in range(len(values)):
        column = FIRST_COLUMN + index
        if item.formula:
            text = item.formula.replace(COLUMN, column_letters(column)).replace(LEFT_COLUMN, column_letters(column - 1))
            writer.formula(out, row, column, text, values[index], cell)
        elif item.is_text:
            out.write_string(row, column, str(values[index]), cell)
        else:
            out.write_number(row, column, values[index], cell)
    out.write_blank(row, spacer, None, writer.format(bg_color=PALE))
    for offset, text in enumerate((item.words, item.function, item.source)):
        out.write_string(row, spacer + 1 + offset, text, writer.format(**quiet, text_wrap=offset == 0))
    texts = [
        (item.label, LABEL_A_LINE - 2 * bool(item.depth)),
        *((str(v), TEXT_A_LINE) for v in values if item.is_text and not item.remark),
    ]
    lines = max(len(textwrap.wrap(text, width)) for text, width in texts)
    words = len(textwrap.wrap(item.words, words_a_line))
    height = max(LINE * lines, WORDS_LINE * words + 2) if lines > 1 or words > 1 else None
    options = {"level": 1} if item.depth else {}
    if height or options:
        out.set_row(row, height, None, options)
    return height or LINE


SheetWriter = Callable[[Writer, Book], None]
