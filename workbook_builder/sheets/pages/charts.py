"""Charts: native, fed by the cells of the sizing sheets; above the tables that no other sheet holds."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from workbook_builder.output.page_layout import page, scale_to
from workbook_builder.output.sheet_writer import write_foot
from workbook_builder.output.writer import SLATE, Writer
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.sheets.sizing.curves import CHARTS
from workbook_builder.sheets.sizing.design import Sizing

from . import drawn
from .chart_parts import Drawing, Look

HALF, WHOLE = Look(660, 440), Look(1340, 440)
ACROSS, DOWN, COLUMN_WIDTH = 10, 27, 9  # columns and rows of the sheet that half a width takes, and characters to a column
FIRST_ROW, ROWS_A_PAGE = 2, 2  # where the first row of charts begins, and how many of them a page holds

Draw = Callable[[Drawing, Look], Any]


def write_charts(writer: Writer, context: Context, sizing: Sizing) -> None:
    """Two beside one another, four to a printed page."""
    out = writer.add_sheet(CHARTS, SLATE, locked=False)
    out.set_row(0, 22)
    writer.title(out, "Charts")
    of, rows = Drawing(writer, context, sizing), _rows(len(context.runs.labels))
    for number, row in enumerate(rows):
        for place, draw in enumerate(row):
            out.insert_chart(FIRST_ROW + number * DOWN, place * ACROSS, draw(of, HALF if len(row) > 1 else WHOLE))
    out.set_column(0, 2 * ACROSS, COLUMN_WIDTH)
    last = FIRST_ROW + len(rows) * DOWN
    out.print_area(0, 0, last, 2 * ACROSS - 1)
    out.set_h_pagebreaks([FIRST_ROW + n * DOWN - 1 for n in range(ROWS_A_PAGE, len(rows), ROWS_A_PAGE)])
    out.center_horizontally()
    # Fitted to a width, breaks between pages would not hold and a chart could be cut.
    page(writer, out, repeat=None, scale=scale_to([COLUMN_WIDTH] * 2 * ACROSS, landscape=True))
    write_foot(writer, out, context.book.sheets[CHARTS], context.book.values)


def _rows(runs: int) -> list[list[Draw]]:
    """The design night, the year, each run; where a part leaves one chart over, that has a row of its own."""
    each = range(runs)
    together = runs <= drawn.IN_ONE_CHART
    along: list[Draw] = [partial(drawn.water, runs=each)] if together else [partial(drawn.water, runs=[run]) for run in each]
    night: list[Draw] = [*(along if together else []), drawn.needs, drawn.load_by_temperature, drawn.cool_down]
    year: list[Draw] = [drawn.heat_by_month, drawn.cords_by_month, drawn.ahead]
    of_runs: list[list[Draw]] = [[partial(drawn.circulator, index=run), partial(drawn.sizes, index=run)] for run in each]
    parts = (night, year, *of_runs, [] if together else along)
    return [part[place : place + 2] for part in parts for place in range(0, len(part), 2)]


def top_of_charts(runs: int) -> int:
    """The row from which on the sheet has the tables behind the charts."""
    return FIRST_ROW + len(_rows(runs)) * DOWN + 3
