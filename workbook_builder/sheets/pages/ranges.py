"""How sure is it: the range of the main results on Summary, and a chart of which inputs drive them.

Plain numbers, worked out when the book is written; the page says so beside them.
"""

from __future__ import annotations

from workbook_builder.output.writer import FONT, GREY, SLATE, number_format
from workbook_builder.sheets.verdicts.uncertainty import SAMPLES, Range

from .chart_parts import FILLS
from .printed_page import Page

MOST_INPUTS, MOST_SERIES = 6, 3
LEAST_SHARE = 0.02  # of the spread; an input that drives less of every result shown is not named
FEWEST_ROWS = 11  # that the chart takes
ROW_POINTS, ROW_PIXELS = 15, 20  # said of each row: what an office program takes by itself goes by its fonts
CHART_COLUMN, CHART_PIXELS, APART = 4, 376, 8


def write_ranges(sheet: Page, found: list[Range]) -> None:
    """The section of the page; nothing where no input was given with a low or a high."""
    if not found:
        return
    writer, out = sheet.writer, sheet.out
    sheet.heading("8  How sure is it?", "1 in 20 below", "middle", "1 in 20 above", height=16)
    first = sheet.row
    for item in found:
        out.write_string(sheet.row, 0, f"{item.label}, {item.unit}" if item.unit else item.label, writer.format(font_size=9))
        for column, number in enumerate((item.low, item.middle, item.high), 1):
            style = writer.format(font_size=9, num_format=number_format([number]), align="right")
            out.write_number(sheet.row, column, number, style)
        sheet.row += 1
    driven = [item for item in found if item.short and max(item.shares.values()) > LEAST_SHARE][:MOST_SERIES]
    if driven:
        _drivers(sheet, driven, first)
    note = f"Computed when this book was written, over {SAMPLES:,} draws of the inputs given with a low and a high; it follows no change."
    out.write_string(sheet.row, 0, note, writer.format(font_size=8, italic=True, font_color=GREY))
    sheet.row += 1


def _drivers(sheet: Page, driven: list[Range], first: int) -> None:
    """The share of each input in the spread of some results, as cells, and the chart of them to the right of both blocks."""
    writer, out = sheet.writer, sheet.out
    head = {"bold": True, "font_size": 9, "bottom": 1, "bottom_color": SLATE, "font_color": SLATE}
    title = sheet.row
    out.write_string(title, 0, "Share of the spread", writer.format(**head))
    for column in range(1, MOST_SERIES + 1):
        out.write_string(title, column, driven[column - 1].short if column <= len(driven) else "", writer.format(**head, align="right"))
    most = {key: max(item.shares[key] for item in driven) for key in driven[0].shares}
    keys = sorted((key for key in most if most[key] > LEAST_SHARE), key=lambda key: (-most[key], key))[:MOST_INPUTS]
    for key in keys:
        sheet.row += 1
        out.write_string(sheet.row, 0, key.replace("|", ": "), writer.format(font_size=9))
        for column, item in enumerate(driven, 1):
            out.write_number(sheet.row, column, item.shares[key], writer.format(font_size=9, num_format="0%", align="right"))
    chart = writer.workbook.add_chart({"type": "bar"})
    for column, (_, fill) in enumerate(zip(driven, FILLS, strict=False), 1):
        names, values = ([out.get_name(), title + 1, c, sheet.row, c] for c in (0, column))
        border = {"border": {"color": SLATE}}
        chart.add_series({"name": [out.get_name(), title, column], "categories": names, "values": values, "gap": 50, **fill, **border})
    small = {"name": FONT, "size": 8}
    chart.set_title({"name": "What drives the spread", "name_font": {"name": FONT, "size": 10, "color": SLATE}})
    # In a bar chart the library's x axis is the one along the bars.  From above as in the table, the figures at the foot.
    grid = {"visible": True, "line": {"color": "#DDDDDD"}}
    axis = {"name": "share of the spread, %", "min": 0, "max": 1, "major_unit": 0.25, "num_format": "0%", "major_gridlines": grid}
    chart.set_x_axis({**axis, "label_position": "high", "name_font": small, "num_font": small})
    inputs = {"name": "uncertain input", "reverse": True, "major_gridlines": {"visible": False}}
    chart.set_y_axis({**inputs, "name_font": small, "num_font": small})
    chart.set_legend({"position": "bottom", "font": small})
    sheet.row = max(sheet.row + 1, first + FEWEST_ROWS)
    for row in range(first, sheet.row):
        sheet.tall(row, ROW_POINTS)
    chart.set_size({"width": CHART_PIXELS, "height": ROW_PIXELS * (sheet.row - first)})
    out.insert_chart(first, CHART_COLUMN, chart, {"x_offset": APART})
