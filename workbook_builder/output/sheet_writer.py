"""Writing a sizing sheet: its rows with their values, words and sources, and where its pages break."""

from __future__ import annotations

import textwrap
from typing import Any

from workbook_builder.formula.printing import COLUMN
from workbook_builder.model.base import ONE
from workbook_builder.model.rows import FIRST_COLUMN, LEFT_COLUMN, SINGLE_COLUMN, Heading, Row, column_letters
from workbook_builder.model.worksheet import Sheet

from .page_layout import breaks, columns_a_page, page, table_scale, width_left
from .writer import GREY, PALE, SLATE, Writer, row_format

# Characters wide; the last value stands for every column of runs, loads or the like.
LABEL, UNIT, VALUE, ONLY_VALUE, GAP, WORDS, FUNCTION, SOURCE = 40, 13, 11.5, 16, 1.5, 60, 26, 40
MANY, NARROW_VALUE = 8, 9  # columns of values, and how wide each is where there are more
SCREEN_WORDS = 110  # where they are not printed: in one line, however long
MOST_WORDS = 100  # where few columns leave room for them
# Characters in a line of the columns of labels and of texts, and of small type for each that the column of words is wide; points to a line.
LABEL_A_LINE, TEXT_A_LINE, LINE, WORDS_A_WIDTH, WORDS_LINE = 39, 12, 12.75, 1.33, 10


def write_sheet(writer: Writer, sheet: Sheet, values: dict[Row, Any]) -> None:
    """One sizing sheet."""
    # An office program does not unfold what stands on a locked sheet.
    out = writer.add_sheet(sheet.name, SLATE, locked=not any(row.folded or row.depth for row in sheet.rows))
    out.outline_settings(symbols_below=False)
    labels = () if sheet.axis == ONE else sheet.axis.labels
    spacer = FIRST_COLUMN + len(labels)
    widths = _widths(len(labels), any(row.is_scalar for row in sheet.rows))
    for column, width in enumerate(widths):
        out.set_column(column, column, width)
    out.set_row(0, 22)
    writer.title(out, sheet.title)
    out.write_string(1, 0, writer.job_title, writer.format(font_color=GREY))
    head = {"bold": True, "font_color": "#FFFFFF", "bg_color": SLATE, "text_wrap": True}
    top = sheet.top - 1
    out.set_row(top, 30)
    out.write_string(top, 0, "Quantity", writer.format(**head))
    out.write_string(top, 1, "Unit", writer.format(**head))
    single = "" if widths[SINGLE_COLUMN] == GAP else "Whole job" if labels else "Value"
    out.write_string(top, SINGLE_COLUMN, single, writer.format(**head, align="right"))
    named = sheet.book.headings(sheet.axis.name, labels)
    for index, (label, reference) in enumerate(zip(labels, named, strict=True)):
        cell_format = writer.format(**head, align="right")
        if reference:
            writer.formula(out, top, FIRST_COLUMN + index, reference, label, cell_format)
        else:
            out.write_string(top, FIRST_COLUMN + index, label, cell_format)
    out.write_blank(top, spacer, None, writer.format(bg_color=PALE))
    for offset, text in enumerate(("Formula in words", "Function", "Source")):
        out.write_string(top, spacer + 1 + offset, text, writer.format(**head))
    out.freeze_panes(sheet.top, FIRST_COLUMN)
    printed = widths[spacer + 1] != SCREEN_WORDS
    blocks, last = _items(writer, out, sheet, values, int(WORDS_A_WIDTH * widths[spacer + 1]) if printed else 0)
    # Function and source stay on the screen; on paper they are on Sources.
    end = spacer + 1 if printed else spacer - 1
    out.print_area(0, 0, last - 1, end)
    out.repeat_columns(0, FIRST_COLUMN - 1)
    scale = table_scale(widths[: end + 1])
    out.set_h_pagebreaks(breaks(blocks, scale, landscape=True, repeated=22 + LINE + 30))
    if sideways := columns_a_page(len(labels), widths[: end + 1], FIRST_COLUMN, scale):
        out.set_v_pagebreaks(sideways)
    page(writer, out, scale=scale)


def write_foot(writer: Writer, out: Any, sheet: Sheet, values: dict[Row, Any]) -> None:
    """The folded rows of a page that has something of its own above them; they take no room on paper."""
    out.outline_settings(symbols_below=False)
    out.write_string(sheet.top - 1, 0, "Workings", writer.format(font_color=GREY, font_size=8))
    _items(writer, out, sheet, values, WORDS)


def _items(writer: Writer, out: Any, sheet: Sheet, values: dict[Row, Any], words_a_line: int) -> tuple[list[tuple[int, float]], int]:
    """Headings and rows; the blocks in which they are printed, each with its first row and its height, and the last row of them."""
    spacer = FIRST_COLUMN + (0 if sheet.axis == ONE else len(sheet.axis.labels))
    blocks: list[tuple[int, float]] = []
    above, last = None, sheet.top
    items = list(sheet.items)
    for (number, item), (_, below) in zip(items, [*items[1:], (0, None)], strict=True):
        if item.folded or (isinstance(item, Row) and item.depth):
            _heading(writer, out, number - 1, item, spacer) if isinstance(item, Heading) else _row(
                writer, out, number - 1, item, values[item], spacer, words_a_line
            )
            last = last if item.folded else number
            continue  # it takes no room on a page
        if isinstance(item, Heading) and below is not None and below.folded:
            _heading(writer, out, number - 1, item, spacer, above_fold=True)
            continue  # nor does the line by which it unfolds
        if isinstance(item, Heading):
            _heading(writer, out, number - 1, item, spacer)
            height = LINE
        else:
            height = _row(writer, out, number - 1, item, values[item], spacer, words_a_line)
        height += LINE * (number - last - 1)  # lines left free
        if isinstance(above, Heading):  # no page ends with a heading
            first, tall = blocks.pop()
            blocks.append((first, tall + height))
        else:
            blocks.append((number - 1, height))
        above, last = item, number
    return blocks, last


def _widths(count: int, has_single: bool) -> list[float]:
    """Of all columns, in characters; the words take what the others leave of a page or, where that is little, stay on the screen."""
    before = [LABEL, UNIT, ONLY_VALUE if has_single else GAP, *[VALUE if count <= MANY else NARROW_VALUE] * count, GAP]
    left = width_left(before)
    return [*before, min(left, MOST_WORDS) if left >= WORDS else SCREEN_WORDS, FUNCTION, SOURCE]


def _heading(writer: Writer, out: Any, row: int, item: Heading, spacer: int, *, above_fold: bool = False) -> None:
    for column in range(spacer + 4):
        out.write_blank(row, column, None, writer.format(bottom=1, bottom_color=SLATE))
    out.write_string(row, 0, item.text, writer.format(bold=True, font_color=SLATE, bottom=1, bottom_color=SLATE))
    if item.folded:
        out.set_row(row, None, None, {"level": 1, "hidden": True})
    elif above_fold:
        out.set_row(row, None, None, {"collapsed": True})


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
    formula = item.formula
    for index in range(len(values)):
        column = item.first_column + index
        if formula:
            text = formula.replace(COLUMN, column_letters(column)).replace(LEFT_COLUMN, column_letters(column - 1))
            writer.formula(out, row, column, text, values[index], cell)
        elif item.is_text:
            out.write_string(row, column, str(values[index]), cell)
        else:
            out.write_number(row, column, values[index], cell)
    out.write_blank(row, spacer, None, writer.format(bg_color=PALE))
    for offset, text in enumerate((item.words, item.function, item.source)):
        out.write_string(row, spacer + 1 + offset, text, writer.format(**quiet, text_wrap=offset == 0 and words_a_line > 0))
    texts = [
        (item.label, LABEL_A_LINE - 2 * bool(item.depth)),
        *((str(v), TEXT_A_LINE) for v in values if item.is_text and not item.remark),
    ]
    lines = max(len(textwrap.wrap(text, width)) for text, width in texts)
    words = len(textwrap.wrap(item.words, words_a_line)) if words_a_line else 1
    height = max(LINE * lines, WORDS_LINE * words + 2) if lines > 1 or words > 1 else None
    # What is worked out on the way to a line is folded as well.
    options: dict[str, Any] = {"level": bool(item.depth) + item.folded, "hidden": True} if item.depth or item.folded else {}
    if height or options:
        out.set_row(row, height, None, options)
    return height or LINE
