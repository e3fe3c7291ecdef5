"""Paper: how a sheet comes out of a printer.

What stands on a page is known beforehand, since the book's font has the same widths in every office program: a sheet is
given as many pages across as leave its smallest type readable.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from typing import Any

from workbook_builder.model.rows import HEADING_ROW

from .writer import Writer

WIDE, HIGH = 595, 792  # points: the narrower and the shorter of the two, so that what fits one fits the other
SIDE, TOP, BOTTOM = 0.4, 0.7, 0.6  # inches
POINT = 72
DIGIT = 7.42  # pixels: a digit of the book's font
SMALLEST = 5.5  # points, of the smallest type of any sheet on paper
SMALL = 8  # points, of that type in its cell
LEAST_SCALE = int(100 * SMALLEST / SMALL) + 1  # per cent
HAIR = 2  # per cent: programs differ by so much in the width of their columns
MOST_SCALE = 75  # per cent, of the sizing sheets: easily read, and fewer pages
SLACK = 0.97  # of a page is used where breaks are set by hand: programs differ by a line or so
LONGEST_TITLE = 100  # characters: a header has room for 255, doubled signs and codes included


def page(
    writer: Writer,
    sheet: Any,
    *,
    landscape: bool = True,
    repeat: int | None = HEADING_ROW,
    tall: int = 0,
    scale: int | None = None,
    pages: int = 0,
) -> None:
    """Paper, margins, header and footer, the same on every sheet; fitted to pages, or printed at a scale."""
    sheet.set_paper(writer.paper)
    if landscape:
        sheet.set_landscape()
    sheet.set_margins(left=SIDE, right=SIDE, top=TOP, bottom=BOTTOM)
    sheet.fit_to_pages(1, tall)
    if scale is not None:
        sheet.set_print_scale(scale)
    title = writer.job_title[:LONGEST_TITLE].replace("&", "&&")
    kept = {"scale_with_doc": False}  # of one size, however small the sheet; LibreOffice scales them all the same
    # The blank keeps a title that begins with a digit apart from the size of the type.
    sheet.set_header(f"&L&10 {title}&R&10&A", kept)
    # Each sheet counts its own pages, whether it is printed by itself or with the others.
    sheet.set_start_page(1)
    of = f" of {pages}" if pages else ""
    sheet.set_footer(f"&L&9Local codes, makers' instructions and licensed practice come first.&R&9&D   &A, page &P{of}", kept)
    if repeat:
        sheet.repeat_rows(0, repeat - 1)


def points(width: float) -> float:
    """How wide a column of so many characters is where a program does not round a digit down to seven pixels, as Excel does."""
    return (DIGIT * width + 5) * 0.75


def paper_width(*, landscape: bool) -> float:
    return (HIGH if landscape else WIDE) - 2 * SIDE * POINT


def paper_height(*, landscape: bool) -> float:
    return (WIDE if landscape else HIGH) - (TOP + BOTTOM) * POINT


def width_left(widths: Sequence[float]) -> float:
    """How many characters wide one more column of a sizing sheet may be that is printed at the largest scale."""
    left = paper_width(landscape=True) / (MOST_SCALE / 100) - sum(map(points, widths))
    return int((left / 0.75 - 5) / DIGIT)


def scale_to(widths: Sequence[float], *, landscape: bool) -> int:
    """The scale in per cent at which columns fill a page's width, and no more than their own size."""
    return min(100, int(100 * paper_width(landscape=landscape) / sum(map(points, widths))))


def table_scale(widths: Sequence[float]) -> int:
    """The scale of a sizing sheet, which fills the page's width where it can.

    Columns that would be too small on one page go over several at the smallest scale, which takes the fewest.
    """
    return max(LEAST_SCALE, min(MOST_SCALE, scale_to(widths, landscape=True) - HAIR))


def breaks(blocks: Sequence[tuple[int, float]], scale: int, *, landscape: bool, repeated: float) -> list[int]:
    """The rows before which a page ends, so that no block is torn: of each block its first row and its height in points."""
    room = SLACK * paper_height(landscape=landscape) / (scale / 100) - repeated
    found, used = [], 0.0
    for first, height in blocks:
        if used and used + height > room:
            found.append(first)
            used = 0.0
        used = (used + height) % room  # a block that is longer than a page goes on over the next
    return found


def columns_a_page(count: int, widths: Sequence[float], first: int, scale: int) -> list[int]:
    """The columns before which a page ends, of a sheet whose columns of values do not fit one page: pages of like width.

    widths: of all columns of the sheet that are printed, the words last; first: the first of ``count`` columns of values
    """
    room = paper_width(landscape=True) / (scale / 100) - sum(map(points, widths[:first]))
    values = [points(w) for w in widths[first : first + count]]
    if sum(values) <= room:
        return []
    rest = sum(map(points, widths[first + count :]))  # stays behind the last column of values
    parts = [*values[:-1], values[-1] + rest]

    def ends(capacity: float) -> list[int]:
        found, used = [], 0.0
        for column, width in enumerate(parts):
            if used and used + width > capacity:
                found.append(first + column)
                used = 0.0
            used += width
        return found

    fewest = len(ends(room))
    narrower = range(int(max(parts)), int(room))
    at = bisect_left(narrower, -fewest, key=lambda capacity: -len(ends(capacity)))
    return ends(narrower[at] if at < len(narrower) else room)
