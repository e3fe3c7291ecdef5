"""What ranges cost: the sample's book with and without a low and a high for some inputs.  ``python tests/bench/bench_ranges.py``

Both are filled by turns, each in a process of its own; seconds of the processor, so that other work on the machine counts little.
"""

from __future__ import annotations

import csv
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
SAMPLE = ROOT / "samples" / "ridge-orchard.csv"
REPEATS = 9
PROMISED = 2.0  # seconds on top
UNCERTAIN = {  # what moves nearly every line of the book, and some of the money
    ("site", "outdoor design temperature"): (-14, -3),
    ("boiler", "efficiency at full fire"): (58, 74),
    ("wood", "price of a cord"): (180, 260),
    ("fuel today oil", "price"): (3, 4.5),
    ("load dwelling", "design loss"): (40000, 58000),
    ("load tub", "hours uncovered"): (0.5, 3),
    ("run barns", "depth"): (2.5, 4.5),
}


def with_ranges(path: Path) -> Path:
    """The sample's table with a low and a high for these inputs."""
    with SAMPLE.open(encoding="utf-8", newline="") as stream, path.open("w", encoding="utf-8", newline="") as out:
        rows = list(csv.DictReader(stream))
        writer = csv.writer(out)
        writer.writerow([*rows[0], "low", "high"])
        for row in rows:
            writer.writerow([*row.values(), *UNCERTAIN.get((row["part"], row["item"]), ("", ""))])
    return path


def cost(table: Path, target: Path) -> tuple[float, float, float]:
    """Seconds of the processor and of the clock that a book takes, and the most memory it had, in MB."""
    began = time.perf_counter()
    command = [sys.executable, "-m", "workbook_builder", "fill", str(table), "-o", str(target), "--force"]
    filling = subprocess.Popen(command, stdout=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(ROOT)})
    _, status, used = os.wait4(filling.pid, 0)
    filling.returncode = os.waitstatus_to_exitcode(status)
    if filling.returncode:
        raise subprocess.CalledProcessError(filling.returncode, command)
    return used.ru_utime + used.ru_stime, time.perf_counter() - began, used.ru_maxrss / 1024


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        table, target = with_ranges(Path(folder) / "ranges.csv"), Path(folder) / "book.xlsx"
        cost(SAMPLE, target)
        pairs = [(cost(SAMPLE, target), cost(table, target)) for _ in range(REPEATS)]
    for what, unit, which in (("of the processor", "s", 0), ("by the clock", "s", 1), ("memory", "MB", 2)):
        without, ranges = (statistics.median(pair[side][which] for pair in pairs) for side in (0, 1))
        # Of neighbours in time, since the machine's own pace drifts by more than the ranges take.
        on_top = statistics.median(pair[1][which] - pair[0][which] for pair in pairs)
        with_them = f"{ranges:.2f} {unit} with {len(UNCERTAIN)} uncertain inputs"
        print(f"{what}: {without:.2f} {unit} without, {with_them}, {on_top:.2f} {unit} on top")
    print(f"promised: at most {PROMISED} s on top")


if __name__ == "__main__":
    main()
