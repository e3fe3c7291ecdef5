"""Summary: one printed page.  Every figure on it is a reference to the sheet that works it out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ..worksheet import FIRST_COLUMN, Row, column_letters
from ..xlsx import FORMATS, GREY, PALE, SLATE, Writer, number_format, page
from .common import Making

WIDTHS = (25, 15, 15, 15, 15, 15, 15)
LAST = len(WIDTHS) - 1


@dataclass
class _Page:
    """A cursor down the page."""

    writer: Writer
    out: Any
    making: Making
    row: int = 0

    def cell(self, column: int, source: Row, index: int = 0, **properties: Any) -> None:
        """A reference to one cell of a sizing sheet, with its value."""
        book = self.making.book
        value = book.values[source][index]
        letters = column_letters(FIRST_COLUMN + index)
        text = f"={source.sheet.name}!{letters}{source.number}"
        if source.is_text:
            cell_format = self.writer.format(align="right", **properties)
        else:
            shown = number_format(book.values[source]) if source.shows == "general" else FORMATS[source.shows]
            cell_format = self.writer.format(align="right", num_format=shown, **properties)
        self.writer.formula(self.out, self.row, column, text, value, cell_format)

    def heading(self, *texts: str) -> None:
        self.row += 1
        head = self.writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE, text_wrap=True)
        right = self.writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE, text_wrap=True, align="right")
        for column in range(LAST + 1):
            text = texts[column] if column < len(texts) else ""
            self.out.write_string(self.row, column, text, right if column else head)
        self.out.set_row(self.row, 28)
        self.row += 1

    def table(self, heading: tuple[str, ...], names: Row, columns: list[Row]) -> None:
        """Runs or loads down the page, some of their figures across."""
        units = [c.unit for c in columns]
        self.heading(*(h if not u else f"{h}\n{u}" for h, u in zip(heading, ["", *units], strict=True)))
        for index, _ in enumerate(names.sheet.axis.labels):
            self.cell(0, names, index)
            self.out.write_formula(
                self.row,
                0,
                f"={names.sheet.name}!{column_letters(FIRST_COLUMN + index)}{names.number}",
                self.writer.format(align="left"),
                str(self.making.book.values[names][index]),
            )
            for column, source in enumerate(columns, start=1):
                self.cell(column, source, index)
            self.row += 1

    def line(self, label: str, source: Row, note: str = "") -> None:
        """One figure with its unit."""
        self.out.write_string(self.row, 0, label, self.writer.format())
        self.cell(1, source, bold=True)
        self.out.write_string(self.row, 2, source.unit, self.writer.format(font_color=GREY))
        if note:
            self.out.write_string(self.row, 3, note, self.writer.format(font_color=GREY, font_size=9))
        self.row += 1


def write_summary(writer: Writer, making: Making) -> None:
    """The page."""
    out = writer.add_sheet("Summary", SLATE)
    for column, width in enumerate(WIDTHS):
        out.set_column(column, column, width)
    sheet = _Page(writer, out, making)
    _head(sheet)
    needs, pipes, ground, cords = making.needs, making.pipes, making.ground, making.cords
    sheet.table(
        ("Load", "on run", "kind", "need", "a year"),
        needs.sheet.names,
        [needs.run, needs.kind, needs.need, making.season.year],
    )
    sheet.table(
        ("Run", "tube", "flow", "velocity", "head", "arrives at", "line loss"),
        pipes.sheet.names,
        [pipes.size, pipes.flow, pipes.velocity, pipes.head, ground.arrival, ground.design_loss],
    )
    sheet.heading("Wood")
    sheet.line("Heat of a cord, gross", cords.cord_energy)
    sheet.line("Heat to the loads in a year", cords.loads_year)
    sheet.line("Lost by the lines in a year", cords.lines_year)
    sheet.line("Cords a year", cords.cords_year)
    sheet.line("Useful heat over the wood's heat", cords.over_year)
    sheet.row += 1
    out.write_string(sheet.row, 0, CAUTION, writer.format(text_wrap=False, italic=True, font_size=8, font_color=GREY))
    page(writer, out, landscape=False, repeat=None, tall=1)


CAUTION = (
    "Hot water scalds; pressure, fire, carbon monoxide, electricity and trenches hurt. "
    "Local codes, makers' instructions and licensed practice come first."
)


def _head(sheet: _Page) -> None:
    writer, out = sheet.writer, sheet.out
    out.set_row(0, 28)
    band = writer.format(bold=True, font_size=16, font_color=SLATE, bg_color=PALE)
    for column in range(LAST + 1):
        out.write_blank(0, column, None, band)
    inputs = sheet.making.inputs
    title = inputs.by_key["job|title"]
    writer.formula(out, 0, 0, "=job_title", title.used or "", band)
    facts = writer.format(font_color=GREY)
    sheet.row = 1
    for item in ("client", "place", "date", "prepared by"):
        line = inputs.by_key[f"job|{item}"]
        if line.used:
            out.write_string(sheet.row, 0, item.capitalize(), facts)
            writer.formula(out, sheet.row, 1, f"=job_{item.replace(' ', '_')}", line.used, writer.format())
            sheet.row += 1
