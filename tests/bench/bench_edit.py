"""One edit in LibreOffice on books of 7, 50 and 300 loads: the time until what follows shows.  ``python tests/bench/bench_edit.py``

The outdoor design temperature is typed anew, which nearly every cell follows from; needs LibreOffice with python3-uno.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
sys.path.insert(0, str(Path(__file__).resolve().parent))
from bench_growth import job_of
from office import Profile

from workbook_builder.build import build, write_book

COUNTS = (7, 50, 300)
EDITS = (3.0, -4.0, 5.0, -6.0, 7.0)
MOST_TIMES, MOST_SECONDS = 15.0, 5.0  # 300 loads over 50, and 300 loads


def main() -> int:
    """Print the time of an edit for each number of loads; 1 where it grows faster than promised."""
    found: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        for loads in COUNTS:
            path = Path(folder) / f"{loads}.xlsx"
            built = build(job_of(loads))
            write_book(built, path)
            line, cords = built.context.inputs.by_key["site|outdoor design temperature"], built.sizing.cords.cords_year
            edits = [{"sheet": line.sheet, "cell": line.cell, "value": value, "result": cords.address().split("!")} for value in EDITS]
            step = {"do": "document", "open": str(path), "sheets": ["Summary"], "edits": edits, "times": 0}
            (seen,) = Profile(Path(folder) / f"office{loads}").session([step])
            assert all(e["before"] != e["after"] for e in seen["edits"])
            found.append(statistics.median(e["seconds"] for e in seen["edits"]))
            print(f"{loads:4d} loads, {len(list(built.book.order)):6d} rows: {found[-1]:7.2f} s (median of {len(EDITS)})", flush=True)
    print(f"300 loads over 50: {found[2] / found[1]:.1f} times; promised at most {MOST_TIMES:g} times and {MOST_SECONDS:g} s")
    return int(found[2] > MOST_TIMES * found[1] or found[2] > MOST_SECONDS)


if __name__ == "__main__":
    sys.exit(main())
