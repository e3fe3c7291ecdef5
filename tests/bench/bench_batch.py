"""Many jobs: jobs a second on one and on two cores, and whether memory stays flat.

``python tests/bench/bench_batch.py 1000``; ``--cores 1`` does one of the two.  The processor's seconds stand beside those of the
clock: on a machine that does other things too they alone say what a job costs.
"""

from __future__ import annotations

import argparse
import resource
import shutil
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT))

from workbook_builder.batch import Order, carry_out_all  # noqa: E402

MARKS = (0.02, 0.25, 0.5, 0.75, 1.0)  # of the jobs done, where memory is looked at


def processor() -> float:
    """Seconds of the processor so far, of this process and of those that it started and that have ended."""
    return sum(u.ru_utime + u.ru_stime for u in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("jobs", type=int, nargs="?", default=60)
    parser.add_argument("--cores", type=int, nargs="*", default=(1, 2))
    options = parser.parse_args()
    jobs, marks = options.jobs, {max(1, round(options.jobs * m)) for m in MARKS}
    with tempfile.TemporaryDirectory() as folder:
        tables = []
        for number in range(jobs):
            tables.append(Path(folder) / f"job{number}.csv")
            shutil.copy(ROOT / "samples" / "small-cottage.csv", tables[-1])
        for workers in options.cores:
            orders = [Order(t, t.with_suffix(".xlsx"), "us", force=True) for t in tables]
            began, used, peaks = time.perf_counter(), processor(), []
            for done, outcome in enumerate(carry_out_all(orders, workers), 1):
                assert not outcome.problem, outcome.problem
                outcome.order.target.unlink()
                if workers == 1 and done in marks:
                    peaks.append(f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB after {done}")
            if workers > 1:
                peaks.append(f"at most {resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024} MB in a process")
            seconds, worked = time.perf_counter() - began, processor() - used
            print(
                f"{jobs} jobs on {workers} core(s): {seconds:.0f} s, {jobs / seconds:.2f} jobs a second; "
                f"{worked / jobs:.2f} s of the processor each; {', '.join(peaks)}",
                flush=True,
            )


if __name__ == "__main__":
    main()
