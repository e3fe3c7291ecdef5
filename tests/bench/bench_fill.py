"""The whole process for the sample beside a bare script that writes as much: python tests/bench/bench_fill.py

The bare script starts Python, loads XlsxWriter and writes the same number of strings, numbers, formulas and blanks to as
many sheets; it reads no table, works nothing out and knows no units.  It has every advantage that the product takes: no
search of each formula for new functions (three quarters of the time of a script that does not leave it out), no looking for
rubbish among the objects, the workbook in memory, the write function of each type called by its name.  Both run by turns,
each in a process of its own; the medians are compared, and the middle of the ratios of neighbours in time.  It asserts
nothing of times.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path
from xml.etree import ElementTree

ROOT = Path(__file__).parent.parent.parent
SAMPLE = ROOT / "samples" / "ridge-orchard.csv"
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"

BARE = """
import gc
import sys

import xlsxwriter
import xlsxwriter.worksheet


class Worksheet(xlsxwriter.worksheet.Worksheet):
    def _prepare_formula(self, formula, expand_future_functions=False):
        return formula.removeprefix("=")


gc.disable()
sheets = {sheets!r}
formula = {formula!r}
texts = [f"{{index}} ".ljust({text_length}, "x") for index in range({distinct})]
book = xlsxwriter.Workbook(sys.argv[1], {{"in_memory": True}})
style = book.add_format({{"font_size": 10, "num_format": "0.00"}})
for number, (strings, numbers, formulas, blanks) in enumerate(sheets):
    out = book.add_worksheet(f"Sheet{{number}}", worksheet_class=Worksheet)
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


# A process takes over the peak memory of the one that started it, so a small one does: this.
LAUNCHER = """
import json, os, sys, time
began = time.perf_counter()
process = os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ, file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)])
_, status, used = os.wait4(process, 0)
print(json.dumps([used.ru_utime + used.ru_stime, time.perf_counter() - began, used.ru_maxrss / 1024]))
sys.exit(os.waitstatus_to_exitcode(status))
"""


def cost(command: list[str]) -> tuple[float, float, float]:
    """Seconds of the processor and of the clock that a process takes, and the most memory it had, in MB."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    launched = [sys.executable, "-I", "-S", "-c", LAUNCHER, *command]
    processor, clock, memory = json.loads(subprocess.run(launched, check=True, capture_output=True, text=True, env=environment).stdout)
    return processor, clock, memory


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--repeats", type=int, default=11)
    repeats = parser.parse_args().repeats
    with tempfile.TemporaryDirectory() as folder:
        ours, theirs, script = (Path(folder) / n for n in ("ours.xlsx", "bare.xlsx", "bare.py"))
        fill = [sys.executable, "-m", "workbook_builder", "fill", str(SAMPLE), "-o", str(ours), "--force"]
        bare = [sys.executable, str(script), str(theirs)]
        cost(fill)
        sheets, length = counts(ours)
        formula = "=" + "+".join(["A1*1.0001"] * max(1, length // 10))
        distinct, text_length = text_sizes(ours)
        filled = BARE.format(sheets=sheets, formula=formula, distinct=distinct, text_length=text_length)
        script.write_text(filled, encoding="utf-8")
        cost(bare)
        assert counts(theirs)[0] == sheets
        pairs = [(cost(fill), cost(bare)) for _ in range(repeats)]
        start = statistics.median(cost([sys.executable, "-c", "import xlsxwriter"])[0] for _ in range(repeats))
    strings, numbers, formulas, blanks = (sum(c) for c in zip(*sheets, strict=True))
    print(f"{len(sheets)} sheets: {strings} strings, {numbers} numbers, {blanks} blanks, {formulas} formulas of some {length} characters")
    print(f"whole processes, medians of {repeats} pairs; of the bare script's, {start:.2f} s of the processor are start and import")
    for what, unit, which in (("processor", "s", 0), ("clock", "s", 1), ("peak memory", "MB", 2)):
        full, plain = (statistics.median(pair[side][which] for pair in pairs) for side in (0, 1))
        ratios = sorted(pair[0][which] / pair[1][which] for pair in pairs)
        spread = f"{statistics.median(ratios):.2f} times (pair by pair {ratios[0]:.2f} to {ratios[-1]:.2f})"
        print(f"{what:<12} fill {full:7.2f} {unit:<2}  bare {plain:7.2f} {unit:<2}  {spread}")


if __name__ == "__main__":
    main()
