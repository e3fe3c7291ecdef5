"""What every chart is made of: its size and type, its axes, and series told apart by dash, marker and filling as well as by colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from workbook_builder.model.rows import FIRST_COLUMN, Row, column_letters
from workbook_builder.output.writer import FONT, GREY, MOSS, PALE, RUST, SLATE, Writer
from workbook_builder.sheets.sizing.context import Context
from workbook_builder.sheets.sizing.design import Sizing

# Lines, and what fills columns and bars; both can be told apart on a copy in black and white.
STYLES = ((SLATE, "solid", "circle"), (RUST, "dash", "square"), (MOSS, "round_dot", "diamond"), (GREY, "long_dash", "triangle"))
FILLS: tuple[dict[str, Any], ...] = (
    {"fill": {"color": SLATE}},
    {"pattern": {"pattern": "wide_upward_diagonal", "fg_color": RUST, "bg_color": "#FFFFFF"}},
    {"fill": {"color": PALE}},
)
GRID, LIGHT = "#DDDDDD", "#CFD8DC"
MARK = 9  # points
# An office program chooses the round figures of an axis and writes them as they are; large ones want commas.
PLAIN, COMMAS = "General", "#,##0"
BAR = "long_dash"  # a mark: a level that has to be reached
BARE = {"line": {"none": True}, "marker": {"type": "none"}}  # widens the axes and is not seen


@dataclass(frozen=True)
class Look:
    """How large a chart is, in pixels, and its type, in points."""

    width: int
    height: int
    type: float = 9

    @property
    def small(self) -> dict[str, Any]:
        return {"name": FONT, "size": self.type}


@dataclass(frozen=True)
class Drawing:
    """What every chart is drawn from."""

    writer: Writer
    context: Context
    sizing: Sizing

    @property
    def thousands(self) -> str:
        """The axis of a power: thousands of BTU/h, or kilowatts."""
        return COMMAS if self.context.book.system == "us" else PLAIN


@dataclass(frozen=True)
class Axis:
    """An axis: its title with the unit, how its figures are shown, and where it begins if the program is not to choose that."""

    name: str
    shown: str = PLAIN
    least: float | None = None
    more: dict[str, Any] = field(default_factory=dict)

    def options(self, look: Look) -> dict[str, Any]:
        fonts = {"name_font": look.small, "num_font": look.small}
        return {"name": self.name, **fonts, "num_format": self.shown, "min": self.least, "label_position": "low", **self.more}


def chart(writer: Writer, look: Look, kind: dict[str, Any], title: str, x: Axis, y: Axis) -> Any:
    """An empty chart; its title is words, or a reference to a cell that holds them."""
    made = writer.workbook.add_chart(kind)
    made.set_title({"name": title, "name_font": {"name": FONT, "size": look.type + 2, "color": SLATE}})
    made.set_x_axis(x.options(look))
    made.set_y_axis({**y.options(look), "major_gridlines": {"visible": True, "line": {"color": GRID}}})
    legend(made, look)
    made.set_size({"width": look.width, "height": look.height})
    return made


def legend(made: Any, look: Look, without: Sequence[int] = ()) -> None:
    """At the foot, without the series of these places."""
    made.set_legend({"position": "bottom", "font": look.small, "delete_series": list(without)})


def line(made: Any, name: str, categories: str, values: str, style: int, *, marked: bool = False, **more: Any) -> None:
    """A series of points joined by a line, marked or not."""
    color, _, marker = STYLES[style % len(STYLES)]
    _, dash, _ = STYLES[(style + style // len(STYLES)) % len(STYLES)]  # a fifth has the first's color and mark, and another dash
    drawn = {"color": color, "width": 1.75, "dash_type": dash}
    mark = _mark(marker, MARK, color) if marked else {"type": "none"}
    made.add_series({"name": name, "categories": categories, "values": values, "line": drawn, "marker": mark, **more})


def points(made: Any, name: str, categories: str, values: str, style: int, mark: str = "", size: int = MARK) -> None:
    """A series of points that no line joins."""
    color, _, own = STYLES[style % len(STYLES)]
    series = {"name": name, "categories": categories, "values": values, "line": {"none": True}}
    made.add_series({**series, "marker": _mark(mark or own, size, color)})


def _mark(kind: str, size: int, color: str) -> dict[str, Any]:
    return {"type": kind, "size": size, "border": {"color": color}, "fill": {"color": color}}


def columns(made: Any, name: str, categories: str, values: str, style: int, **more: Any) -> None:
    """A series of columns."""
    filled = {**FILLS[style % len(FILLS)], "border": {"color": SLATE}}
    made.add_series({"name": name, "categories": categories, "values": values, "gap": 60, **filled, **more})


# -- cells, as a chart refers to them


def across(row: Row) -> str:
    """All columns of a row."""
    first, last = (column_letters(row.first_column + n) for n in (0, len(row.axis.labels) - 1))
    return f"={row.sheet.name}!${first}${row.number}:${last}${row.number}"


def down(rows: Sequence[Row], index: int = 0) -> str:
    """One column of rows that stand one below another."""
    assert rows[-1].number - rows[0].number == len(rows) - 1, f"{rows[0].label}: not one below another"
    column = column_letters(rows[0].first_column + index)
    return f"={rows[0].sheet.name}!${column}${rows[0].number}:${column}${rows[-1].number}"


def labels_down(rows: Sequence[Row]) -> str:
    """The labels of such rows."""
    return f"={rows[0].sheet.name}!$A${rows[0].number}:$A${rows[-1].number}"


def cell(row: Row, index: int = 0) -> str:
    """One cell."""
    return f"={row.sheet.name}!${column_letters(row.first_column + index)}${row.number}"


def name_of(row: Row, index: int) -> str:
    """The heading of a column of the sheet on which a row stands."""
    return f"={row.sheet.name}!${column_letters(FIRST_COLUMN + index)}${row.sheet.names.number}"


def named(quantity: str, row: Row) -> str:
    return f"{quantity}, {row.unit}" if row.unit else quantity
