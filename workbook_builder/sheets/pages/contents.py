"""Contents: every sheet with what it answers and a link to it, what is still needed, and how many requirements fail."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from workbook_builder.model.needs import COMPLETE
from workbook_builder.model.rows import FIRST_COLUMN, column_letters
from workbook_builder.model.typed_sheets import JOB, LOADS, RUNS, STATUS_ROW, TYPED_SHEETS, name_row
from workbook_builder.output.page_layout import page
from workbook_builder.output.writer import CONTENTS, GREY, RUST, SLATE, Writer
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.sheets.sizing.results import Checks

from .typed import MISSING, missing_formula, missing_text

WIDTHS = (18, 76, 60)
ONE_LINE, LINE_POINTS = 92, 13  # characters in a line of the second column, and its height
NOTE = "What is typed stands on Job, Runs and Loads; every other sheet follows. A click on the title of a sheet leads back to this one."


def write_contents(writer: Writer, context: Context, checks: Checks, sheets: Sequence[tuple[str, str]]) -> None:
    """The page; ``sheets`` are the names of all sheets in their order, each with what it answers."""
    out = writer.add_sheet(CONTENTS, SLATE)
    for column, width in enumerate(WIDTHS):
        out.set_column(column, column, width)
    out.set_row(0, 26)
    out.write_string(0, 0, "Contents", writer.format(bold=True, font_size=16, font_color=SLATE))
    out.write_string(1, 0, writer.job_title, writer.format(font_color=GREY))
    strong = writer.format(bold=True, font_color=RUST)
    writer.formula(out, 2, 0, f"={missing_formula()}", missing_text(context.inputs), strong)
    writer.workbook.define_name(MISSING, f"={CONTENTS}!$A$3")
    failing = f'{checks.fails.address()}&" requirements fail, "&{checks.remarks.address()}&" with a remark: see Verdicts"'
    values = context.book.values
    counts = tuple(int(values[row][0]) for row in (checks.fails, checks.remarks))
    told = f"{counts[0]} requirements fail, {counts[1]} with a remark: see Verdicts"
    writer.formula(out, 3, 0, f"={failing}", told, strong)
    row = _heading(writer, out, 5, "Sheet", "What it answers", "What it still needs")
    for name, answers in sheets:
        out.write_url(row, 0, f"internal:'{name}'!A1", writer.format(font_color=SLATE, underline=1), name)
        out.write_string(row, 1, answers, writer.format(text_wrap=True))
        if len(answers) > ONE_LINE or name == JOB:  # what is needed on Job may take two lines
            out.set_row(row, 2 * LINE_POINTS)
        if name in TYPED_SHEETS:
            _status(writer, out, row, context, name)
        row += 1
    row = _still_needed(writer, out, row + 1, context)
    out.write_string(row + 1, 0, NOTE, writer.format(italic=True, font_color=GREY))
    out.print_area(0, 0, row + 1, len(WIDTHS) - 1)
    page(writer, out, repeat=None)


def _heading(writer: Writer, out: Any, row: int, *texts: str) -> int:
    style = writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE)
    for column in range(len(WIDTHS)):
        out.write_string(row, column, texts[column] if column < len(texts) else "", style)
    return row + 1


def _status(writer: Writer, out: Any, row: int, context: Context, name: str) -> None:
    needs = context.inputs.needs
    text = needs.told(name)
    value = "" if text == COMPLETE else text
    writer.formula(out, row, 2, f'=IF({name}!$A$3="{COMPLETE}","",{name}!$A$3)', value, writer.format(font_color=RUST, text_wrap=True))


def _still_needed(writer: Writer, out: Any, row: int, context: Context) -> int:
    """A line for each run and each load, with the items that it still needs."""
    row = _heading(writer, out, row, "Run or load", "Still needed")
    needs = context.inputs.needs
    for sheet, family in ((RUNS, "run"), (LOADS, "load")):
        for index, name in enumerate(context.inputs.names[family]):
            letters = column_letters(FIRST_COLUMN + index)
            writer.formula(out, row, 0, f"={sheet}!{letters}{name_row(family)}", name, writer.format())
            text = "".join(needed.texts[index] for needed in needs.rows[sheet])[2:]
            writer.formula(out, row, 1, f"={sheet}!{letters}{STATUS_ROW}", text, writer.format(font_color=RUST, text_wrap=True))
            out.write_url(row, 2, f"internal:'{sheet}'!{letters}{STATUS_ROW}", writer.format(font_color=SLATE, underline=1), f"to {sheet}")
            row += 1
    return row
