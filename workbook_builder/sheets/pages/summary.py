"""Summary and Verdicts: printed pages whose every figure is a reference to the sheet that works it out."""

from __future__ import annotations

import textwrap
from typing import Any

import numpy as np

from workbook_builder.model.inputs import Inputs
from workbook_builder.model.needs import COMPLETE
from workbook_builder.model.rows import Row, column_letters
from workbook_builder.model.typed_sheets import SHEET_OF, row_of
from workbook_builder.model.worksheet import Book
from workbook_builder.output.page_layout import HAIR, SLACK, page, paper_height, scale_to
from workbook_builder.output.sheet_writer import write_foot
from workbook_builder.output.writer import AMBER, GREY, MOSS, PALE, RED, ROW_PIXELS, RUST, SLATE, Writer, row_format
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.sheets.sizing.design import Sizing
from workbook_builder.sheets.sizing.results import Check, Checks
from workbook_builder.sheets.verdicts.checks import COLUMN_OF, COLUMNS, COUNT_ROW, VERDICTS_FIRST
from workbook_builder.sheets.verdicts.checks import GATHERED_ON as VERDICTS
from workbook_builder.sheets.verdicts.uncertainty import Effect, defaults_that_matter, ranges

from . import drawn
from .chart_parts import Drawing, Look
from .figures import blocks
from .printed_page import LAST, ROW_POINTS, WIDTHS, Page
from .ranges import write_ranges
from .typed import MISSING, missing_text

SHOWN_VERDICTS = 8
CAUTION = (
    "Hot water scalds; pressure, fire, carbon monoxide, electricity and trenches hurt. See Cautions. "
    "Local codes, makers' instructions and licensed practice come first."
)
DATED = "7  Defaults that matter most"  # from this heading to the caution all is worked out when the book is written
# Characters in a line of the column of remedies, of which the widest, of 88, take 466 of its 495 pixels; and points to a line.
REMEDY_A_LINE, REMEDY_LINE = 90, 11.5
NO_LESS = 10  # per cent: no program prints smaller; the figures of a job so large go over several pages
CHART_WIDTH, APART = 836, 12  # pixels: of the columns of the page, and between two charts
CHART_TYPE = 8  # points, as it comes out on paper


def write_summary(writer: Writer, context: Context, sizing: Sizing, checks: Checks) -> None:
    """The figures in the order of the questions that a customer asks, and on a second page two charts."""
    out = writer.add_sheet("Summary", SLATE)
    for column, width in enumerate(WIDTHS):
        out.set_column(column, column, width)
    sheet = Page(writer, out, context.book)
    _head(sheet, context.inputs, checks)
    _blocks(sheet, sizing)
    _failing(sheet, checks)
    _defaults(sheet, defaults_that_matter(context, sizing))
    write_ranges(sheet, ranges(context, sizing, checks))
    caution = writer.format(text_wrap=True, italic=True, font_size=8, font_color=GREY)
    out.merge_range(sheet.row + 1, 0, sheet.row + 1, LAST, CAUTION, caution)
    sheet.tall(sheet.row + 1, 24)
    sheet.row += 2
    _charts(sheet, Drawing(writer, context, sizing))


def _charts(sheet: Page, of: Drawing) -> None:
    """The second page.  At a scale: fitted to pages, the break between the two would not hold."""
    out, first = sheet.out, sheet.row
    room = SLACK * paper_height(landscape=False)
    scale = max(NO_LESS, min(scale_to(WIDTHS, landscape=False) - HAIR, int(100 * room / sheet.height)))
    rows = int(room / (scale / 100) / 2 / ROW_POINTS)  # of each chart
    look = Look(CHART_WIDTH, rows * ROW_PIXELS - APART, CHART_TYPE * 100 / scale)
    for place, chart in enumerate((drawn.water(of, look, range(len(of.context.runs.labels))), drawn.needs(of, look))):
        # Not on the very edge of the page, or LibreOffice draws its frame on the page before as well.
        out.insert_chart(first + place * rows, 0, chart, {"y_offset": APART / 2})
    out.print_area(0, 0, first + 2 * rows - 1, LAST)
    out.set_h_pagebreaks([first])
    out.center_horizontally()
    page(sheet.writer, out, landscape=False, repeat=None, scale=scale, pages=2 if scale > NO_LESS else 0)


def _head(sheet: Page, inputs: Inputs, checks: Checks) -> None:
    writer, out = sheet.writer, sheet.out
    sheet.tall(0, 30)
    band = writer.format(bold=True, font_size=16, font_color=SLATE, bg_color=PALE)
    for column in range(LAST + 1):
        out.write_blank(0, column, None, band)
    writer.formula(out, 0, 0, "=job_title", inputs.by_key["job|title"].used or "", band)
    column = 0
    for item in ("client", "place", "date", "prepared by"):
        line = inputs.by_key[f"job|{item}"]
        out.write_string(1, column, item, writer.format(font_color=GREY, font_size=9))
        writer.formula(out, 1, column + 1, f"=job_{item.replace(' ', '_')}", line.used or "", writer.format(font_size=9))
        column += 2
    sheet.row = 2
    sheet.tall(2, 16)
    out.merge_range(2, 0, 2, 1, "Requirements that fail", writer.format(bold=True))
    sheet.cell(2, checks.fails, bold=True, font_size=12)
    out.conditional_format(2, 2, 2, 2, {"type": "cell", "criteria": ">", "value": 0, "format": writer.mark(None, RED, bold=True)})
    out.merge_range(2, 4, 2, 5, "Requirements with a remark", writer.format(bold=True))
    sheet.cell(6, checks.remarks, bold=True, font_size=12)
    # What is missing stands before all figures: a sum would leave it out without a word.
    sheet.row = 3
    quiet = writer.format(bold=True, font_size=9, font_color=RUST)
    text = missing_text(inputs)
    writer.formula(out, sheet.row, 0, f'=IF({MISSING}="{COMPLETE}","",{MISSING})', "" if text == COMPLETE else text, quiet)


def _blocks(sheet: Page, sizing: Sizing) -> None:
    for block in blocks(sizing):
        if block.names is not None:
            sheet.table(block.title, block.names, block.figures)
            continue
        if block.title:
            sheet.heading(block.title, height=16)
        sheet.pairs(block.figures)


def _defaults(sheet: Page, effects: list[Effect]) -> None:
    """The defaults that matter most: plain numbers, worked out when the book is written."""
    sheet.heading(DATED, "", "", "default", "unit", "if it were", "cords", height=16)
    quiet = sheet.writer.format(font_size=9)
    for effect in effects:
        line = effect.line
        sheet.out.write_string(sheet.row, 0, f"{line.part}: {line.item.name}", quiet)
        for column, number in ((3, line.used), (5, effect.moved_to)):
            sheet.out.write_number(
                sheet.row, column, float(number or 0.0), sheet.writer.format(font_size=9, num_format="0.###", align="right")
            )
        sheet.out.write_string(sheet.row, 4, line.unit, sheet.writer.format(font_size=9, font_color=GREY, indent=1))
        sheet.out.write_number(sheet.row, 6, effect.change, sheet.writer.format(font_size=9, num_format="+0.0%;-0.0%", align="right"))
        sheet.row += 1
    note = (
        "Computed when this book was written; the cords of a year change so."
        if effects
        else "Shown when the job is filled and the book is written anew."
    )
    sheet.out.write_string(sheet.row, 0, note, sheet.writer.format(font_size=8, italic=True, font_color=GREY))
    sheet.row += 1


def _ranked(checks: Checks, values: dict[Row, Any]) -> list[Check]:
    ranked = [(float(values[c.rank][0]), c) for c in checks.all]
    # A requirement that does not apply has no place (NaN), and must not reach the sorting.
    return [c for _, c in sorted((p for p in ranked if p[0] > 0), key=lambda p: p[0])]


def _failing(sheet: Page, checks: Checks) -> None:
    """The worst verdicts, fails first, looked up by their place on Verdicts; under each what would mend it."""
    writer, values = sheet.writer, sheet.book.values
    sheet.heading("6  What fails or wants a look", "", "where", "calculated", "required", "unit", "verdict", height=16)
    last = VERDICTS_FIRST + len(checks.all) - 1
    worst = _ranked(checks, values)
    small = {"font_size": 9, "num_format": "#,##0.0"}
    for place in range(1, SHOWN_VERDICTS + 1):
        check = worst[place - 1] if place <= len(worst) else None

        def looked_up(name: str, column: int, place: int = place, check: Check | None = check, **style: Any) -> None:
            letters = column_letters(COLUMN_OF[name])
            span = f"Verdicts!${letters}${VERDICTS_FIRST}:${letters}${last}"
            place_of = column_letters(COLUMN_OF["place"])
            ranks = f"Verdicts!${place_of}${VERDICTS_FIRST}:${place_of}${last}"
            value = "" if check is None else _verdict_value(values, check, name)
            text = f'=IFERROR(INDEX({span},MATCH({place},{ranks},0)),"")'
            writer.formula(sheet.out, sheet.row, column, text, value, writer.format(**small, **style))

        looked_up("requirement", 0, bold=True)
        for name, column in (("where", 2), ("calculated", 3), ("required", 4), ("unit", 5)):
            looked_up(name, column, align="right")
        looked_up("verdict", 6, align="right", bold=True)
        sheet.row += 1
        looked_up("remedy", 0, font_color=GREY, indent=1)
        sheet.row += 1
    _how_many_more(sheet, checks)


def _how_many_more(sheet: Page, checks: Checks) -> None:
    """What has no room on the page is counted, and where it stands is said."""
    fails, remarks = checks.fails, checks.remarks
    all_of = "+".join(row.address() for row in (fails, remarks))
    text = f'=IF({all_of}>{SHOWN_VERDICTS},"and "&({all_of}-{SHOWN_VERDICTS})&" more on Verdicts","")'
    values = sheet.book.values
    more = int(values[fails][0] + values[remarks][0]) - SHOWN_VERDICTS
    value = f"and {more} more on Verdicts" if more > 0 else ""
    sheet.writer.formula(sheet.out, sheet.row, 0, text, value, sheet.writer.format(font_size=9, bold=True))
    sheet.row += 1


def _verdict_value(values: dict[Row, Any], check: Check, name: str) -> Any:
    if name == "requirement":
        return check.label
    if name == "unit":
        return check.value.unit or "–"
    row = {
        "remedy": check.remedy,
        "where": check.where,
        "calculated": check.value,
        "required": check.wanted,
        "verdict": check.verdict,
        "rank": check.rank,
    }[name]
    if row is None:
        return "–"
    value = values[row][0]
    return "" if isinstance(value, float) and np.isnan(value) else value


def top_of_verdicts(checks: Checks) -> int:
    """The row from which on the sheet has the workings."""
    return VERDICTS_FIRST + len(checks.all) + 1


def write_verdicts(writer: Writer, book: Book, checks: Checks) -> None:
    """Every requirement: wanted, found, where it is worst, and what would mend it; the cells are worked out where they stand."""
    out = writer.add_sheet(VERDICTS, SLATE, locked=False)
    out.set_row(0, 22)
    sheet = book.sheets[VERDICTS]
    writer.title(out, sheet.title)
    out.write_string(1, 0, writer.job_title, writer.format(font_color=GREY))
    head = writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE)
    for column, (title, width) in enumerate(COLUMNS):
        out.set_column(column, column, width)
        out.write_string(VERDICTS_FIRST - 2, column, title, head)
    for text, row in (("fail:", checks.fails), ("with a remark:", checks.remarks)):
        out.write_string(COUNT_ROW - 1, row.first_column - 1, text, writer.format(align="right"))
    styles: dict[str, dict[str, Any]] = {
        "verdict": {"bold": True, "align": "left"},
        "remedy": {"align": "left", "font_size": 9, "text_wrap": True},
        "calculated": {},
        "required": {},
        "where": {},
    }
    for row in sheet.cells:
        value = book.values[row]
        own = styles.get(COLUMNS[row.first_column][0])
        style = {"align": "right", **({"font_color": GREY} if own is None else own)}
        if not row.is_text:
            style["num_format"] = row_format(row, value)
        at = row.number - 1, row.first_column
        if row.formula:
            writer.formula(out, *at, row.formula, value[0], writer.format(**style))
        else:
            out.write_string(*at, str(value[0]), writer.format(**style))
    for index, check in enumerate(checks.all):
        number = VERDICTS_FIRST - 1 + index
        target = f"internal:'{check.source.sheet.name}'!A{check.source.number}"
        out.write_url(number, COLUMN_OF["requirement"], target, writer.format(), check.label, "to the line that is judged")
        family, item = check.input.split("|")
        out.write_url(
            number,
            COLUMN_OF["input"],
            f"internal:'{SHEET_OF[family]}'!A{row_of(family, item)}",
            writer.format(font_color=GREY, font_size=9),
            f"{SHEET_OF[family]}: {item}",
        )
        out.write_string(number, COLUMN_OF["about"], check.section, writer.format(font_color=GREY))
        if check.wanted is None:  # not left empty: a lookup of an empty cell gives 0
            out.write_string(number, COLUMN_OF["required"], "–", writer.format(align="right"))
        out.write_string(number, COLUMN_OF["unit"], check.value.unit or "–", writer.format(font_color=GREY, indent=1))
        lines = max(len(textwrap.wrap(text, REMEDY_A_LINE)) for text in check.longest_remedies)
        if lines > 1:
            out.set_row(number, REMEDY_LINE * lines + 2)
    last = VERDICTS_FIRST + len(checks.all) - 1
    area = (VERDICTS_FIRST - 1, COLUMN_OF["verdict"], last - 1, COLUMN_OF["verdict"])
    for word, color in (("fail", RED), ("remark", AMBER), ("pass", MOSS)):
        rule = {"type": "cell", "criteria": "==", "value": f'"{word}"', "format": writer.mark(None, color)}
        out.conditional_format(*area, rule)
    out.freeze_panes(VERDICTS_FIRST - 1, 1)
    write_foot(writer, out, sheet, book.values)
    # The way to an input is for the screen; with it the type would be too small on paper.
    out.print_area(0, 0, last - 1, COLUMN_OF["remedy"])
    page(writer, out, repeat=VERDICTS_FIRST - 1)
