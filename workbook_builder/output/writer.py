"""A workbook being written to a file.  The only module that imports xlsxwriter.

Every formula is written with its value, since an office program may show what is stored before it recalculates.
"""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import xlsxwriter
import xlsxwriter.worksheet

from hydrocalc.measures import ENERGY, POWER, YEARS
from hydrocalc.money import NEVER_PAID
from workbook_builder.model.rows import Row

CONTENTS = "Contents"
LETTER, A4 = 1, 9  # the numbers of the papers in a file
# The book's own colours: slate for headings, straw for inputs, and nothing that is told by colour alone.
SLATE, STRAW, PALE, GREY, RUST, MOSS = "#37474F", "#FFF6DC", "#ECEFF1", "#5E727C", "#A63D00", "#2E6B34"
RED, AMBER = "#B00020", "#9A6700"  # with MOSS: fail, remark, pass, and nothing else
# Arial has a free font of the same widths everywhere, so a page breaks alike in Excel and in LibreOffice.
FONT, SIZE, ROW_PIXELS = "Arial", 10, 17
LONG_NUMBER, MOST_DECIMALS = 10, 15  # characters of a number: nobody types so many, and a sheet keeps no more
FORMATS = {
    "general": "#,##0.00;-#,##0.00;0",
    "plain": "0",
    "whole": "#,##0",
    "one": "#,##0.0",
    "two": "#,##0.00",
    "three": "0.000",
    "money": "#,##0.00",
}
# The number stays a number; what stands for a saving that never pays is told in a word.
YEARS_OR_NEVER = f'[>={NEVER_PAID:g}]"never";0.0'
# What stays free on a locked sheet.
FREE = {"format_columns": True, "format_rows": True, "select_locked_cells": True, "select_unlocked_cells": True}
# Of a row that is folded below the one before it.
FOLDED = {"level": 1, "hidden": True}
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
    if row.kind == YEARS:
        return YEARS_OR_NEVER
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

    def mark(self, background: str | None, color: str, **properties: Any) -> Any:
        """What a conditional format changes of a cell, and nothing else."""
        return self.workbook.add_format({"font_color": color, **({"bg_color": background} if background else {}), **properties})

    def title(self, sheet: Any, text: str) -> None:
        """The sheet's title; a click on it leads to the contents."""
        style = self.format(bold=True, font_size=14, font_color=SLATE)
        sheet.write_url(0, 0, f"internal:'{CONTENTS}'!A1", style, text, "to the contents")

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
