"""What each default of the sample does to its cords, saving and payback: ``python tests/defaults_table.py``

Each is moved as the Summary says that it moves them: a tenth to either side, a temperature by 5 °F.  A job with the moved value typed
in is built for each end.  The table in DEVELOPERS.md is what this prints; its first lines have to be those that the Summary names.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

import books

from hydrocalc.measures import TEMPERATURE, TEMPERATURE_DIFFERENCE
from workbook_builder.build import build
from workbook_builder.model.input_line import InputLine
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import InputError, TableRow

SHARE, DEGREES = 0.1, 5.0
LEAST = 1e-3  # of the cords or of the saving: a default that moves neither by more is left out
BEGIN, END = "<!-- defaults: tests/defaults_table.py -->", "<!-- end of defaults -->"
PAGE = books.ROOT / "DEVELOPERS.md"


@dataclass(frozen=True)
class Moved:
    """A default at one of its ends, and what comes out; None where the job cannot have it."""

    to: float
    cords: float
    saving: float
    payback: float


@dataclass(frozen=True)
class Default:
    """A default, and the job at both its ends."""

    line: InputLine
    ends: tuple[Moved | None, Moved | None]

    def change(self, base: Moved) -> float:
        """Of the cords at the high end, or at the low one where that is not possible, as the Summary has it."""
        end = self.ends[1] or self.ends[0]
        assert end is not None
        return abs(end.cords / base.cords - 1)


def result(changes: list[tuple[str, str, str, str, str]], to: float) -> Moved | None:
    """Of the sample with rows added."""
    rows = [*books.table_of(books.FULL), *changes]
    try:
        built = build(job_from_rows("sample", [TableRow(n, *row) for n, row in enumerate(rows, 2)]))
    except InputError:
        return None
    values, sizing = built.book.values, built.sizing
    of = (sizing.cords.cords_year, sizing.money.saving, sizing.money.payback)
    return Moved(to, *(float(values[row][0]) for row in of))


def ends(line: InputLine) -> tuple[float, float]:
    """In the unit of the book."""
    used = float(line.used or 0.0)
    by = DEGREES if line.item.measure in (TEMPERATURE, TEMPERATURE_DIFFERENCE) else abs(used) * SHARE
    return used - by, used + by


def moved(line: InputLine) -> Default:
    """The sample at both ends of a default."""
    unit = line.item.unit.removeprefix("–")
    found = [result([(line.part, line.item.name, repr(to), unit, "")], to) for to in ends(line)]
    return Default(line, (found[0], found[1]))


def defaults() -> list[InputLine]:
    """Of numbers that the sample takes by default, and that are no limits."""
    lines = books.built(books.FULL, "us").context.inputs.lines
    return [line for line in lines if line.typed is None and isinstance(line.used, float) and line.part != "limits"]


def table() -> str:
    """Those that matter, the largest first."""
    base = result([], 0.0)
    assert base is not None
    found = [default for line in defaults() if any((default := moved(line)).ends)]
    found = [d for d in found if any(e and max(abs(e.cords / base.cords - 1), abs(e.saving / base.saving - 1)) > LEAST for e in d.ends)]
    found.sort(key=lambda d: -d.change(base))
    lines = [
        f"The sample as it is: {base.cords:.2f} cords, {base.saving:,.0f} $ saved in a year, {base.payback:.2f} years.",
        "",
        "| default | as it is | low end | cords | saving, $ | payback, years | high end | cords | saving, $ | payback, years |",
        "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |",
    ]
    for d in found:
        cells = [f"{d.line.part}, {d.line.item.name}", f"{d.line.used:.4g} {d.line.item.unit}"]
        for end in d.ends:
            cells += (
                ["not possible", "", "", ""]
                if end is None
                else [f"{end.to:.4g}", f"{end.cords:.2f}", f"{end.saving:,.0f}", f"{end.payback:.2f}"]
            )
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


def main() -> None:
    """Write the table into the page."""
    text = PAGE.read_text(encoding="utf-8")
    before, _, rest = text.partition(BEGIN)
    _, _, behind = rest.partition(END)
    PAGE.write_text(f"{before}{BEGIN}\n{table()}\n{END}{behind}", encoding="utf-8")


if __name__ == "__main__":
    main()
