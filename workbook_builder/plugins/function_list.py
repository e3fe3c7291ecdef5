"""The functions of the trade on a sheet of a job's book: by chapter, each with its call, what it gives and what it asks."""

from __future__ import annotations

import sys

from hydrocalc.measures import System
from hydrocalc.named import Named, catalogue
from hydrocalc.steps import STEPS
from workbook_builder.output.page_layout import page
from workbook_builder.output.writer import FOLDED, GREY, SLATE, Writer

from .naming import call_name, unit_of

COLUMNS = (("call", 44), ("what it gives", 78), ("unit", 16), ("arguments, in their order", 90))
NOTE = "Any cell can call these: newer Excel by these names, LibreOffice with the add-in. Each chapter unfolds by the sign at its left."


def write_function_list(writer: Writer, system: System) -> None:
    """The sheet Functions."""
    out = writer.add_sheet("Functions", GREY, locked=False)  # an office program does not unfold what stands on a locked sheet
    out.outline_settings(symbols_below=False)
    out.set_row(0, 22)
    writer.title(out, "Functions")
    out.write_string(1, 0, NOTE, writer.format(font_color=GREY, font_size=9))
    head = writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE)
    for column, (title, width) in enumerate(COLUMNS):
        out.set_column(column, column, width)
        out.write_string(2, column, title, head)
    chapters: dict[str, list[Named[object]]] = {}
    for function in catalogue().values():
        if function.name not in STEPS:
            chapters.setdefault(function.chapter, []).append(function)
    row, small = 3, writer.format(font_size=9)
    for chapter, functions in chapters.items():
        about = (sys.modules[functions[0].body.__module__].__doc__ or "").splitlines()[0].rstrip(".")
        out.write_string(row, 0, chapter.capitalize(), writer.format(bold=True, font_color=SLATE))
        out.write_string(row, 1, about, small)
        out.set_row(row, None, None, {"collapsed": True})
        row += 1
        for function in functions:
            units = [(p.name.replace("_", " "), unit_of(p.kind, system)) for p in function.parameters]
            arguments = ", ".join(f"{name} ({unit})" if unit else name for name, unit in units)
            for column, text in enumerate((call_name(function, system), function.title, unit_of(function.result, system), arguments)):
                out.write_string(row, column, text, small)
            out.set_row(row, None, None, FOLDED)
            row += 1
    out.freeze_panes(3, 1)
    out.print_area(0, 0, row - 1, 2)  # arguments stay on the screen
    page(writer, out, repeat=3)
