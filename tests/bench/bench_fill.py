"""The whole process for the sample beside a bare script that writes as much: python tests/bench/bench_fill.py

The bare script starts Python, imports the same libraries and writes with XlsxWriter the same number of strings, numbers
and formulas to as many sheets; it reads no table, works nothing out and knows no units.  Both run by turns, each in a
process of its own, and the medians are compared.  A benchmark, not a timed test: it prints a ratio and asserts nothing.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
import zipfile
from pathlib import Path
from xml.etree import ElementTree

ROOT = Path(__file__).parent.parent.parent
SAMPLE = ROOT / "samples" / "ridge-orchard.csv"
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"

BARE = """
import sys
import csv, argparse, difflib, datetime, tempfile  # the standard library's share
import numpy, xlsxwriter

sheets = {sheets!r}
formula = {formula!r}
texts = [f"{{index}} ".ljust({text_length}, "x") for index in range({distinct})]
book = xlsxwriter.Workbook(sys.argv[1])
style = book.add_format({{"font_size": 10, "num_format": "0.00"}})
for number, (strings, numbers, formulas, blanks) in enumerate(sheets):
    out = book.add_worksheet(f"Sheet{{number}}")
    place = 0
    for index in range(strings):
        out.write_string(place // 12, place % 12, texts[index % len(texts)], style)
        place += 1
    for index in range(numbers):
        out.write_number(place // 12, place % 12, 0.37 * index, style)
        place += 1
    for index in range(formulas):
        out.write_formula(place // 12, place % 12, formula, style, 0.37 * index)
        place += 1
    for index in range(blanks):
        out.write_blank(place // 12, place % 12, None, style)
        place += 1
book.close()
"""


def text_sizes(path: Path) -> tuple[int, int]:
    """How many different texts a book holds, and their mean length."""
    with zipfile.ZipFile(path) as archive:
        items = ElementTree.fromstring(archive.read("xl/sharedStrings.xml"))
    lengths = [sum(len(t.text or "") for t in item.iter(f"{MAIN}t")) for item in items]
    return len(lengths), int(statistics.mean(lengths))


def counts(path: Path) -> tuple[list[tuple[int, int, int, int]], int]:
    """Strings, numbers, formulas and formatted blanks of each sheet of a book, and the mean length of its formulas."""
    found, lengths = [], []
    with zipfile.ZipFile(path) as archive:
        for name in sorted(n for n in archive.namelist() if n.startswith("xl/worksheets/sheet")):
            strings = numbers = formulas = blanks = 0
            for cell in ElementTree.fromstring(archive.read(name)).iter(f"{MAIN}c"):
                formula = cell.find(f"{MAIN}f")
                if formula is not None:
                    formulas += 1
                    lengths.append(len(formula.text or ""))
                elif cell.find(f"{MAIN}v") is None:
                    blanks += 1
                elif cell.get("t") == "s":
                    strings += 1
                else:
                    numbers += 1
            found.append((strings, numbers, formulas, blanks))
    return sorted(found), int(statistics.mean(lengths))


def seconds(command: list[str]) -> float:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=environment)
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--repeats", type=int, default=11)
    repeats = parser.parse_args().repeats
    with tempfile.TemporaryDirectory() as folder:
        ours, theirs, script = (Path(folder) / n for n in ("ours.xlsx", "bare.xlsx", "bare.py"))
        fill = [sys.executable, "-m", "workbook_builder", "fill", str(SAMPLE), "-o", str(ours), "--force"]
        bare = [sys.executable, str(script), str(theirs)]
        seconds(fill)
        sheets, length = counts(ours)
        formula = "=" + "+".join(["A1*1.0001"] * max(1, length // 10))
        distinct, text_length = text_sizes(ours)
        filled = BARE.format(sheets=sheets, formula=formula, distinct=distinct, text_length=text_length)
        script.write_text(filled, encoding="utf-8")
        seconds(bare)
        assert [c[:3] for c in counts(theirs)[0]] == [c[:3] for c in sheets]
        imports = [sys.executable, "-c", "import csv, argparse, difflib, datetime, tempfile, numpy, xlsxwriter"]
        times = [(seconds(fill), seconds(bare), seconds(imports)) for _ in range(repeats)]
    full, plain, start = (statistics.median(t) for t in zip(*times, strict=True))
    pairs = [f / p for f, p, _ in times]
    strings, numbers, formulas, blanks = (sum(c) for c in zip(*sheets, strict=True))
    print(f"{len(sheets)} sheets: {strings} strings, {numbers} numbers, {blanks} blanks, {formulas} formulas of some {length} characters")
    print(f"fill, whole process        {full:6.2f} s")
    print(f"bare script                {plain:6.2f} s   (of which start and imports {start:.2f} s)")
    print(f"fill over bare             {full / plain:6.2f} times (pair by pair {min(pairs):.2f} to {max(pairs):.2f})")


if __name__ == "__main__":
    main()
