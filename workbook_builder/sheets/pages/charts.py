"""Charts: native, fed by the cells of the sizing sheets, told apart by dash and marker as well as by colour."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from workbook_builder.model.inputs import Inputs
from workbook_builder.model.rows import FIRST_COLUMN, Row, column_letters
from workbook_builder.model.worksheet import Book
from workbook_builder.output.page_layout import page, scale_to
from workbook_builder.output.sheet_writer import write_foot
from workbook_builder.output.writer import FONT, GREY, MOSS, RUST, SLATE, Writer
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.sheets.sizing.curves import CHARTS
from workbook_builder.sheets.sizing.design import Sizing
from workbook_builder.sheets.sizing.results import Curves, Money, Pumps, RunCurves, Stations
from workbook_builder.table.vocabulary import MONTHS

WIDTH, HEIGHT = 620, 440
OF_THE_JOB = 4  # charts, beside two for each run
ACROSS, DOWN, COLUMN_WIDTH = 10, 27, 9  # columns and rows of the sheet that a chart takes, and characters to a column
YEARS_A_LABEL = 5
STYLES = ((SLATE, "solid", "circle"), (RUST, "dash", "square"), (MOSS, "round_dot", "diamond"), (GREY, "long_dash", "triangle"))


def write_charts(writer: Writer, context: Context, sizing: Sizing) -> None:
    """Six kinds of chart, two beside one another, four to a printed page."""
    out = writer.add_sheet(CHARTS, SLATE, locked=False)
    out.set_row(0, 22)
    writer.title(out, "Charts")
    charts = [
        _load_by_temperature(writer, context.book, sizing.curves),
        _columns_by_month(writer, "Cords by month", "wood", sizing.cords.cords, SLATE),
        _columns_by_month(writer, "Line losses by month", "heat lost", sizing.cords.lines, RUST),
        _money(writer, context.inputs, sizing.money),
    ]
    for index, run in enumerate(sizing.curves.runs):
        charts += [_pump(writer, context, sizing.pumps, run), _water_along(writer, context.book, sizing.stations, index, run.name)]
    for place, chart in enumerate(charts):
        out.insert_chart(2 + place // 2 * DOWN, place % 2 * ACROSS, chart)
    out.set_column(0, 2 * ACROSS, COLUMN_WIDTH)
    rows = _rows_down(len(charts))
    out.print_area(0, 0, 2 + rows, 2 * ACROSS - 1)
    out.set_h_pagebreaks([2 + n * 2 * DOWN - 1 for n in range(1, (rows - 1) // (2 * DOWN) + 1)])
    out.center_horizontally()
    # Fitted to a width, breaks between pages would not hold and a chart could be cut.
    page(writer, out, repeat=None, scale=scale_to([COLUMN_WIDTH] * 2 * ACROSS, landscape=True))
    write_foot(writer, out, context.book.sheets[CHARTS], context.book.values)


def _rows_down(charts: int) -> int:
    return (charts + 1) // 2 * DOWN


def top_of_charts(curves: Curves) -> int:
    """The row from which on the sheet has the tables behind the charts."""
    return _rows_down(OF_THE_JOB + 2 * len(curves.runs)) + 5


def across(row: Row) -> str:
    """All columns of a row, as a chart refers to them."""
    first, last = (column_letters(row.first_column + n) for n in (0, len(row.axis.labels) - 1))
    return f"={row.sheet.name}!${first}${row.number}:${last}${row.number}"


def down(rows: tuple[Row, ...]) -> str:
    """One figure of rows that stand one below another."""
    return f"={rows[0].sheet.name}!$C${rows[0].number}:$C${rows[-1].number}"


def labels_down(rows: tuple[Row, ...]) -> str:
    return f"={rows[0].sheet.name}!$A${rows[0].number}:$A${rows[-1].number}"


def _named(quantity: str, row: Row) -> str:
    return f"{quantity}, {row.unit}" if row.unit else quantity


# An office program chooses the round figures of an axis and writes them as they are; large ones want commas.
PLAIN, COMMAS = "General", "#,##0"


def _chart(writer: Writer, kind: dict[str, Any], title: str, x: str, y: str, shown: str = PLAIN) -> Any:
    chart = writer.workbook.add_chart(kind)
    small = {"name": FONT, "size": 9}
    chart.set_title({"name": title, "name_font": {"name": FONT, "size": 11, "color": SLATE}})
    chart.set_x_axis({"name": x, "name_font": small, "num_font": small, "num_format": PLAIN, "label_position": "low"})
    grid = {"visible": True, "line": {"color": "#DDDDDD"}}
    chart.set_y_axis(
        {"name": y, "name_font": small, "num_font": small, "num_format": shown, "label_position": "low", "major_gridlines": grid}
    )
    chart.set_legend({"position": "bottom", "font": small})
    chart.set_size({"width": WIDTH, "height": HEIGHT})
    return chart


def _series(chart: Any, name: str, categories: str, values: str, style: int, *, markers: bool = False) -> None:
    color, dash, marker = STYLES[style % len(STYLES)]
    series: dict[str, Any] = {
        "name": name,
        "categories": categories,
        "values": values,
        "line": {"color": color, "width": 1.75, "dash_type": dash},
    }
    series["marker"] = {"type": marker, "size": 6, "border": {"color": color}, "fill": {"color": color}} if markers else {"type": "none"}
    chart.add_series(series)


def _load_by_temperature(writer: Writer, book: Book, curves: Curves) -> Any:
    chart = _chart(
        writer,
        {"type": "scatter", "subtype": "straight"},
        "Boiler output against load",
        _named("outdoor temperature", curves.outdoor),
        _named("heat", curves.load),
        COMMAS if book.system == "us" else PLAIN,
    )
    for style, (name, row) in enumerate((("load", curves.load), ("rated output", curves.output), ("sustained output", curves.sustained))):
        _series(chart, name, across(curves.outdoor), across(row), style)
    return chart


def _water_along(writer: Writer, book: Book, stations: Stations, index: int, run: str) -> Any:
    """From the start of the line to behind the last load; where no load is known yet, over all places for one."""
    known = [n for n, row in enumerate(stations.names) if book.values[row][index] != ""]
    last = max(known) if len(known) > 2 else len(stations.names) - 1
    column = column_letters(FIRST_COLUMN + index)
    chart = _chart(
        writer,
        {"type": "line"},
        f"Water along run {run}, design night",
        "start of the line, its end, after each load",
        _named("temperature", stations.water[0]),
    )
    names, water = (
        f"={stations.sheet.name}!${column}${rows[0].number}:${column}${rows[last].number}" for rows in (stations.names, stations.water)
    )
    _series(chart, "supply", names, water, 0, markers=True)
    chart.set_legend({"none": True})
    return chart


def _columns_by_month(writer: Writer, title: str, quantity: str, rows: tuple[Row, ...], color: str) -> Any:
    assert len(rows) == len(MONTHS)
    chart = _chart(writer, {"type": "column"}, title, "month", _named(quantity, rows[0]))
    series = {"name": title, "categories": labels_down(rows), "values": down(rows), "gap": 60}
    chart.add_series({**series, "fill": {"color": color}, "border": {"color": SLATE}})
    chart.set_legend({"none": True})
    return chart


def _money(writer: Writer, inputs: Inputs, money: Money) -> Any:
    life = inputs.by_key["money|life"].used
    rows = money.cumulative
    if isinstance(life, float):
        rows = rows[: max(1, math.floor(life)) + 1]  # of the years on the sheet, those that the boiler lasts
    chart = _chart(writer, {"type": "line"}, "Money ahead, at today's worth", "year", _named("money ahead", rows[0]), COMMAS)
    chart.x_axis["interval_unit"] = chart.x_axis["interval_tick"] = YEARS_A_LABEL
    _series(chart, "money ahead", labels_down(rows), down(rows), 0)
    chart.set_legend({"none": True})
    return chart


def _pump(writer: Writer, context: Context, pumps: Pumps, run: RunCurves) -> Any:
    index = context.runs.labels.index(run.name)
    chart = _chart(
        writer,
        {"type": "scatter", "subtype": "smooth"},
        f"Circulator and run: {run.name}",
        _named("flow", run.flow),
        _named("head", run.system),
    )
    _series(chart, "run", across(run.flow), across(run.system), 0)
    values = context.book.values
    # Cells without a number would stand in a chart as zeros.  Where nothing is known yet, a curve may still be typed.
    if np.isfinite(values[run.curve]).any() or not np.isfinite(values[run.system]).any():
        _series(chart, "circulator", across(run.flow), across(run.curve), 1)
    column = column_letters(FIRST_COLUMN + index)
    at_flow = f"=Pumps!${column}${pumps.flow.number}:${column}${pumps.flow.number}"
    at_head = f"=Pumps!${column}${pumps.head.number}:${column}${pumps.head.number}"
    _series(chart, "as reckoned", at_flow, at_head, 2, markers=True)
    return chart
