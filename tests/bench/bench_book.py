"""The book's budgets: tabs, formulas, printed pages, input rows on show, what one figure stands on, and the size of the file.

    python tests/bench/bench_book.py            # the samples and a blank book, US and metric; pages need LibreOffice
    python tests/bench/bench_book.py --no-pages

What the water at the last load stands on is followed through the written formulas themselves: every cell that is worked out or typed,
the longest chain of one reading the other, and how often that chain goes to another sheet.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

from openpyxl import load_workbook
from openpyxl.formula import Tokenizer
from openpyxl.utils import range_boundaries

from hydrocalc.measures import SYSTEMS
from workbook_builder.build import Built, build, write_book
from workbook_builder.model.typed_sheets import TYPED_SHEETS, typed_rows
from workbook_builder.table.job import blank_job
from workbook_builder.table.reader import read_job

ROOT = Path(__file__).parent.parent.parent
BUDGETS = {
    "tabs": 20,
    "formulas": 8500,
    "pages": 40,
    "input rows on show": 110,
    "precedents": 1200,
    "chain": 300,
    "sheet changes": 15,
    "kB": 350,
}
Cell = tuple[str, int, int]


def books() -> dict[str, Built]:
    jobs = {path.stem: path for path in sorted((ROOT / "samples").glob("*.csv"))}
    found: dict[str, Built] = {}
    for system in SYSTEMS:
        for name, path in jobs.items():
            found[f"{name}, {system}"] = build(read_job(path), system)
        found[f"blank 3 runs, 7 loads, {system}"] = build(blank_job(3, 7), system)
    return found


class Trace:
    """The cells of a written book, and which reads which."""

    def __init__(self, path: Path) -> None:
        self.book = load_workbook(path)
        self.names = {name: d.attr_text.removeprefix("=") for name, d in self.book.defined_names.items()}

    @cache  # noqa: B019 – one object a run
    def reads(self, cell: Cell) -> tuple[Cell, ...]:
        sheet, row, column = cell
        value = self.book[sheet]._cells[row, column].value
        found: dict[Cell, None] = {}
        if isinstance(value, str) and value.startswith("="):
            for token in Tokenizer(value).items:
                if token.type == "OPERAND" and token.subtype == "RANGE":
                    for other in self.cells_of(self.names.get(token.value, token.value), sheet):
                        found[other] = None
        return tuple(c for c in found if c != cell)

    def cells_of(self, reference: str, sheet: str) -> list[Cell]:
        if "!" in reference:
            sheet, _, reference = reference.partition("!")
            sheet = sheet.strip("'")
        if sheet not in self.book.sheetnames or sheet == "Tables" or not re.fullmatch(r"\$?[A-Z]+\$?\d+(:\$?[A-Z]+\$?\d+)?", reference):
            return []
        left, top, right, bottom = range_boundaries(reference.replace("$", ""))
        cells = self.book[sheet]._cells
        there = [(row, column) for row in range(top, bottom + 1) for column in range(left, right + 1) if (row, column) in cells]
        return [(sheet, *at) for at in there if self.counts(sheet, cells[at].value)]

    @staticmethod
    def counts(sheet: str, value: object) -> bool:
        return value is not None and (sheet in TYPED_SHEETS or (isinstance(value, str) and value.startswith("=")))

    def stands_on(self, cell: Cell) -> tuple[int, int, int]:
        """How many cells, the longest chain, and its changes of sheet."""
        order, seen, stack = [], {cell}, [(cell, iter(self.reads(cell)))]
        while stack:
            here, rest = stack[-1]
            for other in rest:
                if other not in seen:
                    seen.add(other)
                    stack.append((other, iter(self.reads(other))))
                    break
            else:
                order.append(here)
                stack.pop()
        best: dict[Cell, tuple[int, int]] = {}
        for here in order:  # what is read comes before what reads it
            chains = [(best[o][0] + 1, best[o][1] + (o[0] != here[0])) for o in self.reads(here) if o in best]
            best[here] = max(chains, default=(1, 0), key=lambda c: (c[0], -c[1]))
        return len(seen) - 1, *best[cell]


def measure(built: Built, folder: Path, *, pages: bool) -> dict[str, float]:
    path = folder / "book.xlsx"
    writer = write_book(built, path)
    trace = Trace(path)
    case = built.sizing.settled.case
    last = (case.sheet.name, case.inlet.number, case.inlet.first_column + len(case.inlet.axis.labels))
    precedents, chain, changes = trace.stands_on(last)
    shown = sum(row.item is not None and not row.folded for name in TYPED_SHEETS for row in typed_rows(name))
    found: dict[str, float] = {
        "tabs": len(trace.book.sheetnames),
        "formulas": writer.formula_cells,
        "input rows on show": shown,
        "precedents": precedents,
        "chain": chain,
        "sheet changes": changes,
        "kB": round(path.stat().st_size / 1000),
    }
    if pages:
        subprocess.run(
            ["soffice", "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(path)], check=True, capture_output=True
        )
        told = subprocess.run(["pdfinfo", str(folder / "book.pdf")], check=True, capture_output=True, text=True).stdout
        found["pages"] = int(re.search(r"Pages:\s+(\d+)", told)[1])  # type: ignore[index]
    return found


def main() -> None:
    pages = "--no-pages" not in sys.argv
    columns = [name for name in BUDGETS if pages or name != "pages"]
    print(f"{'':<34}" + "".join(f"{name:>20}" for name in columns))
    print(f"{'budget':<34}" + "".join(f"{BUDGETS[name]:>20,}" for name in columns))
    for name, built in books().items():
        with tempfile.TemporaryDirectory() as folder:
            found = measure(built, Path(folder), pages=pages)
        print(f"{name:<34}" + "".join(f"{found[c]:>19,}{' ' if found[c] <= BUDGETS[c] else '!'}" for c in columns), flush=True)


if __name__ == "__main__":
    main()
