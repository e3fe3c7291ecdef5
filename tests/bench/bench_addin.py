"""20,000 cells that call the add-in, recalculated in LibreOffice, beside the same 20,000 plain formulas.

Run: python tests/bench/bench_addin.py   (needs LibreOffice with python3-uno; uses a throw-away profile)
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

import xlsxwriter

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from office import Profile

from hydrocalc.named import Named, catalogue
from workbook_builder.formula.printing import Worksheet, recorded_function
from workbook_builder.model.rows import column_letters
from workbook_builder.plugins.calc import addin
from workbook_builder.plugins.naming import call_name, start_values

CELLS = 20_000
TIMES = 5
# One of a single line, and one whose plain form takes a few worked cells.
FUNCTIONS = ("flow_from_load", "friction_factor")


def written(path: Path, function: Named[object], by_name: bool) -> int:
    """A sheet of CELLS rows with their own arguments; how many formula cells it takes."""
    parts, result = recorded_function(function, "us")
    names = [*(p.name for p in function.parameters), *(name for name, _, _ in parts.lines)]
    printer = Worksheet(lambda r: f"{column_letters(names.index(r.name))}§")
    arity = len(function.parameters)
    call = f"{call_name(function, 'us')}({','.join(f'{column_letters(i)}§' for i in range(arity))})"
    texts = [call] if by_name else [printer.text(node) for node in (*(n for _, _, n in parts.lines), result)]
    book = xlsxwriter.Workbook(str(path), {"constant_memory": True})
    sheet = book.add_worksheet()
    start = start_values(function, "us")
    for row in range(CELLS):
        for column, value in enumerate(start):
            sheet.write(row, column, value * (1 + row * 1e-6) if isinstance(value, float) else value)
        for column, text in enumerate(texts, start=arity):
            sheet.write_formula(row, column, "=" + text.replace("§", str(row + 1)), None, 0)
    book.close()
    return CELLS * len(texts)


def main() -> None:
    functions = [catalogue()[name] for name in FUNCTIONS]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        profile = Profile(folder)
        (folder / "hydrocalc.oxt").write_bytes(addin())
        profile.extensions("add", "-s", "-f", str(folder / "hydrocalc.oxt"))
        cases = [(f, by_name) for f in functions for by_name in (True, False)]
        counts = [written(folder / f"{i}.xlsx", f, by_name) for i, (f, by_name) in enumerate(cases)]
        seen = profile.session([{"do": "document", "open": str(folder / f"{i}.xlsx"), "times": TIMES} for i in range(len(cases))])
    for (function, by_name), count, document in zip(cases, counts, seen, strict=True):
        face = "add-in" if by_name else "plain formulas"
        ((rows, errors),) = ((s["rows"], s["errors"]) for s in document["sheets"].values())
        assert not errors and len(rows) == CELLS
        seconds = statistics.median(document["seconds"])
        print(f"{function.name:<16}{face:<16}{count:>7,} cells {seconds:7.3f} s (median of {TIMES}), last row {rows[-1][-1]:.9g}")


if __name__ == "__main__":
    main()
