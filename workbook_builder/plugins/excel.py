"""The book of names for newer Excel: every function as a defined name in both unit systems, each called live.

The tables stand in it once for each unit system, under names that end in _us and _si: so a name that is copied into any
other book can never look into a table of the other system.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, BinaryIO

from hydrocalc.measures import SYSTEMS, Key, System
from hydrocalc.named import catalogue
from hydrocalc.tables import Table, table
from workbook_builder.formula.evaluation import trade_values
from workbook_builder.formula.printing import block_name, column_name, key_name, tables_used
from workbook_builder.model.rows import column_letters
from workbook_builder.output.page_layout import page
from workbook_builder.output.writer import GREY, SLATE, Writer

from .functions_page import define_functions, write_functions
from .naming import PREFIX, unit_of

SUFFIX: dict[System, str] = {"us": "_us", "metric": "_si"}
SHEET_ENDS: dict[System, str] = {"us": "US", "metric": "SI"}
TITLE = "Hydronic functions"

_PAGE = (
    ("", "Every function is a defined name: HYDRO.… takes and gives US trade units, HYDRO_SI.… metric ones."),
    ("", "The sheets Functions_US and Functions_SI list them all, each with yellow cells to type over, its result by a plain formula"),
    ("", "and, beside it, the same result called by its name. The two agree wherever the names are known."),
    ("What it needs", ""),
    ("", "A version of Excel that has LAMBDA. There type, for example:"),
    ("", "=HYDRO.FLOW_FROM_LOAD(62000,20,61.2,1)"),
    ("", "A column or a row as argument gives as many results, each as if it were called alone."),
    ("", "A number out of range gives #NUM!, a blank or a text for a number #VALUE!, a text that the tables lack #N/A."),
    ("", "Without LAMBDA a cell that calls a name shows an error once it is recalculated; the plain formulas still compute."),
    ("", "LibreOffice 7.4 does not compute them either (checked), but keeps them; its add-in gives it the functions under the same names."),
    ("", "Checked by recalculation in two engines that know LAMBDA, IronCalc and CellRune. Excel itself, of any age, has not been tried."),
    ("Names in a new book", ""),
    ("1", "Save a copy of this book, and build on further sheets of it. Nothing else is needed."),
    ("Names in a book that exists", ""),
    ("1", "Open both books. Here, hold Ctrl and click the tabs Functions_US and Tables_US (or Functions_SI and Tables_SI)."),
    ("2", "Right-click one of them, Move or Copy, choose the other book, tick Create a copy. The names that the sheets use come along."),
    ("3", "Hide the two sheets if you like, but keep them: functions of liquids, fittings and tubes look into the Tables sheet."),
    ("One name by hand", ""),
    ("1", "Formulas, Name Manager here: copy what Refers to shows. In the other book: Formulas, Define Name, the same name, paste."),
    ("2", "That is enough for a function whose text names no table."),
    ("Cautions", ""),
    ("", "Hot water scalds; pressure, fire, carbon monoxide, electricity and trenches hurt."),
    ("", "Local codes, makers' instructions and licensed practice come before any number here."),
)


def write_names_book(path: Path | BinaryIO, *, stored: float | None = None) -> Writer:
    """Write the book of names to a file."""
    writer = Writer(path, TITLE, stored)
    _write_start(writer)
    for system in SYSTEMS:
        define_functions(writer, system, SUFFIX[system])
        write_functions(writer, system, SUFFIX[system], sheet=f"Functions_{SHEET_ENDS[system]}", live=True)
    for system in SYSTEMS:
        _write_tables(writer, system)
    writer.close()
    return writer


def _write_start(writer: Writer) -> None:
    out = writer.add_sheet("Start", SLATE)
    out.set_column(0, 0, 4)
    out.set_column(1, 1, 120)
    out.set_row(0, 28)
    out.write_string(0, 0, TITLE, writer.format(bold=True, font_size=16, font_color=SLATE))
    row = 2
    for head, text in _PAGE:
        if head and not text:
            out.write_string(row + 1, 0, head, writer.format(bold=True, font_color=SLATE))
            row += 2
            continue
        if head:
            out.write_string(row, 0, head, writer.format(align="right"))
        out.write_string(row, 1, text, writer.format())
        row += 1
    page(writer, out, repeat=None, tall=1)


def _tables(system: System) -> list[Table]:
    """The tables that functions look into or pick their texts from."""
    names: set[str] = set()
    for function in catalogue().values():
        names |= tables_used(function, system) | {p.kind.table for p in function.parameters if isinstance(p.kind, Key)}
    return [table(name) for name in sorted(names)]


def _write_tables(writer: Writer, system: System) -> None:
    sheet, suffix = f"Tables_{SHEET_ENDS[system]}", SUFFIX[system]
    out = writer.add_sheet(sheet, GREY)
    out.set_column(0, 0, 30)
    out.set_column(1, 24, 13)
    out.write_string(0, 0, f"Tables that {PREFIX[system]} functions look into", writer.format(bold=True, font_size=14, font_color=SLATE))
    row = 2
    for source in _tables(system):
        row = _write_table(writer, out, source, row, system, f"={sheet}!", suffix)
    page(writer, out, repeat=None)


def _write_table(writer: Writer, out: Any, source: Table, row: int, system: System, place: str, suffix: str) -> int:
    """One table from a row on (counted from 0); the row after it and a gap."""
    head, quiet = writer.format(bold=True, bottom=1, font_size=9), writer.format(font_color=GREY, font_size=9)
    out.write_string(row, 0, source.name.replace("_", " "), writer.format(bold=True, font_color=SLATE))
    first, last = row + 4, row + 3 + source.rows  # counted from 1

    def name(text: str, low: int, high: int) -> None:
        writer.define_name(text + suffix, f"{place}${column_letters(low)}${first}:${column_letters(high)}${last}")

    out.write_string(row + 1, 0, "key", head)
    out.write_column(row + 3, 0, ["|".join(source.texts(k)[i] for k in source.keys) for i in range(source.rows)], quiet)
    name(key_name(source.name), 0, 0)
    numbers = []
    for column, title in enumerate(source.order, start=1):
        out.write_string(row + 1, column, title.replace("_", " "), head)
        name(column_name(source.name, title), column, column)
        if title not in source.columns:
            out.write_column(row + 3, column, source.texts(title), quiet)
            continue
        numbers.append(column)
        out.write_string(row + 2, column, unit_of(source.columns[title].measure, system), quiet)
        for index, value in enumerate(trade_values(source.columns[title], system)):
            if value is not None:
                out.write_number(row + 3 + index, column, value, writer.format())
    name(block_name(source.name), min(numbers), max(numbers))
    return last + 2
