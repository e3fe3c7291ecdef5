"""How the cost of a book grows with the number of loads: 10, 100 and 1,000, built and written.  ``python tests/bench/bench_growth.py``"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from workbook_builder.build import build, write_book
from workbook_builder.table.job import Job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

COUNTS = (10, 100, 1000)
A_RUN = 5  # loads on one run
KINDS = ("baseboard", "fan heater", "floor", "hot water", "known")
SHARE_OF_SLOPE = 1.5  # from 100 to 1,000 loads the cost of one load grows no more than so


def job_of(loads: int) -> Job:
    """So many loads, five on a run, runs from the boiler."""
    table: list[tuple[str, str, str | float, str]] = [
        ("job", "title", "Growth", ""),
        ("site", "outdoor design temperature", 0, "°F"),
        ("site", "annual degree days", 7000, "°F day"),
        ("boiler", "rated output", 5000.0 * loads, "BTU/h"),
        ("boiler", "water content", 200, "gal"),
        ("wood", "species", "white ash", ""),
        ("fuel today oil", "fuel", "heating oil", ""),
        ("fuel today oil", "price", 3.5, "$/gal"),
    ]
    for number in range(loads):
        run, kind = f"run {number // A_RUN}".replace("run ", "run R"), KINDS[number % len(KINDS)]
        if number % A_RUN == 0:
            table += [(run, "length", 100, "ft"), (run, "tube family", "PEX SDR-9", ""), (run, "jacket outer diameter", 6, "in")]
        load = f"load L{number}"
        table += [(load, "run", run.removeprefix("run "), ""), (load, "kind", kind, "")]
        if kind in ("baseboard", "fan heater", "floor"):
            table.append((load, "design loss", 20000, "BTU/h"))
            table.append((load, "floor area", 900, "ft²") if kind == "floor" else (load, "rated output", 35000, "BTU/h"))
        elif kind == "hot water":
            table += [(load, "use a day", 50, "gal"), (load, "exchanger conductance", 1500, "BTU/(h °F)")]
        else:
            table.append((load, "heat", 5000, "BTU/h"))
    return job_from_rows("growth", [TableRow(n, *line, "") for n, line in enumerate(table, 2)])


def main() -> int:
    """Print the cost for each number of loads; 1 where it grows faster than the loads."""
    print(f"{'loads':>6} {'read s':>8} {'build s':>8} {'write s':>8} {'ms a load':>10} {'MB':>6}")
    last = 0.0
    slopes: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        for loads in COUNTS:
            start = time.perf_counter()
            job = job_of(loads)
            read = time.perf_counter()
            built = build(job)
            done = time.perf_counter()
            path = Path(folder) / f"{loads}.xlsx"
            write_book(built, path)
            end = time.perf_counter()
            each = 1000 * (end - start) / loads
            size = path.stat().st_size / 1e6
            print(f"{loads:6d} {read - start:8.2f} {done - read:8.2f} {end - done:8.2f} {each:10.1f} {size:6.1f}")
            slopes.append(each / last if last else 0.0)
            last = each
    print(f"from {COUNTS[1]} to {COUNTS[2]} loads the cost of one load grows {slopes[-1]:.2f} times; promised: at most {SHARE_OF_SLOPE}")
    return int(slopes[-1] > SHARE_OF_SLOPE)


if __name__ == "__main__":
    sys.exit(main())
