"""Many jobs: jobs a second on one and on two cores, and whether memory stays flat.  ``python tests/bench/bench_batch.py [JOBS]``."""

from __future__ import annotations

import resource
import shutil
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT))

from workbook_builder.batch import Order, carry_out_all  # noqa: E402


def main() -> None:
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    with tempfile.TemporaryDirectory() as folder:
        tables = []
        for number in range(jobs):
            tables.append(Path(folder) / f"job{number}.csv")
            shutil.copy(ROOT / "samples" / "small-cottage.csv", tables[-1])
        for workers in (1, 2):
            orders = [Order(t, t.with_suffix(".xlsx"), "us", force=True) for t in tables]
            began, peaks = time.perf_counter(), []
            for done, outcome in enumerate(carry_out_all(orders, workers), 1):
                assert not outcome.problem, outcome.problem
                if workers == 1 and done in (jobs // 4, jobs // 2, jobs):
                    peaks.append((done, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024))
            seconds = time.perf_counter() - began
            memory = ", ".join(f"{mb} MB after {n}" for n, mb in peaks)
            print(f"{jobs} jobs on {workers} core(s): {seconds:.1f} s, {jobs / seconds:.2f} jobs a second. {memory}")


if __name__ == "__main__":
    main()
