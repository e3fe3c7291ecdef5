"""A cursor down a page of the book: references to cells of the sizing sheets, headings, two columns of figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Book
from workbook_builder.output.writer import GREY, ROW_PIXELS, SLATE, Writer, row_format

from .figures import Figure

WIDTHS = (24, 13, 13, 13, 13, 13, 13, 13)
LAST = len(WIDTHS) - 1
ROW_POINTS = ROW_PIXELS * 0.75


@dataclass
class Page:
    """A cursor down the page."""

    writer: Writer
    out: Any
    book: Book
    row: int = 0
    heights: dict[int, float] = field(default_factory=dict)

    def tall(self, row: int, points: float) -> None:
        """Give a row a height of its own."""
        self.out.set_row(row, points)
        self.heights[row] = points

    @property
    def height(self) -> float:
        """How far down the page the cursor is, in points."""
        return sum(self.heights.get(row, ROW_POINTS) for row in range(self.row))

    def cell(self, column: int, source: Row, index: int = 0, shown: str = "", **properties: Any) -> None:
        """A reference to one cell of a sizing sheet, with its value."""
        values = self.book.values[source]
        text = f"={source.address(index)}"
        style = {"align": "right", **properties}
        if not source.is_text:
            style["num_format"] = shown or row_format(source, values)
        self.writer.formula(self.out, self.row, column, text, values[index], self.writer.format(**style))

    def heading(self, *texts: str, height: int = 26) -> None:
        self.row += 1
        # The first runs on to the right where nothing stands beside it.
        style = {"bold": True, "font_color": "#FFFFFF", "bg_color": SLATE, "font_size": 9}
        for column in range(LAST + 1):
            text = texts[column] if column < len(texts) else ""
            cell_format = self.writer.format(**style, align="right" if column else "left", text_wrap=bool(column))
            if text:
                self.out.write_string(self.row, column, text, cell_format)
            else:
                self.out.write_blank(self.row, column, None, cell_format)
        self.tall(self.row, height)
        self.row += 1

    def table(self, title: str, names: Row, figures: Sequence[Figure]) -> None:
        """Runs or loads down the page, some of their figures across."""
        self.heading(title, *(f"{figure.label}\n{figure.row.unit}".strip() for figure in figures), height=38)
        for index in range(len(names.axis.labels)):
            self.cell(0, names, index, align="left")
            for column, figure in enumerate(figures, start=1):
                self.cell(column, figure.row, index, figure.shown)
            self.row += 1

    def pairs(self, figures: Sequence[Figure]) -> None:
        """Figures with their units, two to a line."""
        half = (len(figures) + 1) // 2
        start = self.row
        for place, figure in enumerate(figures):
            self.row, column = start + place % half, 0 if place < half else 4
            self.out.merge_range(self.row, column, self.row, column + 1, figure.label, self.writer.format(font_size=9))
            self.cell(column + 2, figure.row, shown=figure.shown, bold=True)
            self.out.write_string(self.row, column + 3, figure.row.unit, self.writer.format(font_color=GREY, font_size=9, indent=1))
        self.row = start + half
