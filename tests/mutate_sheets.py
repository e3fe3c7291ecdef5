"""How many deliberate mistakes in the sheets the tests notice: ``python tests/mutate_sheets.py [HOW MANY] [SEED]``

One mistake at a time goes into a copy of the code: a sum for a difference, a product for a quotient, the larger for the smaller, a
constant a tenth off, two rows exchanged, a sum for a largest value.  The tests below run against it and stop at the first failure; none
of them takes an expected value from a book that the code wrote.  What nobody notices is printed with its place.
"""

from __future__ import annotations

import ast
import copy
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ROOMS = ("workbook_builder/sheets/sizing", "workbook_builder/sheets/verdicts")
# Rows handed on, ways to write text and how sure a result is: no figures of a sizing.
LEFT_OUT = {"__init__.py", "results.py", "night_results.py", "context.py", "design.py", "uncertainty.py"}
# The quickest that notice most come first.
TESTS = (
    "tests/test_shown_boiler.py",
    "tests/test_shown_year.py",
    "tests/test_shown_money.py",
    "tests/test_shown_lines.py",
    "tests/test_shown_verdicts.py",
    "tests/test_limits.py",
    "tests/test_design_night.py",
    "tests/test_verdicts.py",
    "tests/test_shown_rows.py",
    "tests/test_usage.py",
    "tests/test_energy.py",
    "tests/test_sample_figures.py",
    "tests/test_whole_job.py",
)
SECONDS = 900
OPERATORS: dict[type[ast.operator], type[ast.operator]] = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {ast.Gt: ast.Lt, ast.Lt: ast.Gt, ast.GtE: ast.LtE, ast.LtE: ast.GtE}
NAMES = {"maximum": "minimum", "minimum": "maximum"}
WORDS = {"SUM": "MAX", "MAX": "SUM", "MIN": "MAX", "yes": "no", "no": "yes"}


def mistakes(tree: ast.Module) -> Iterator[tuple[int, str, Callable[[ast.AST], None]]]:
    """Every mistake that can be made in a module: the number of its node, what it is, and the change."""
    for number, node in enumerate(ast.walk(tree)):
        if isinstance(node, ast.BinOp) and type(node.op) in OPERATORS and not isinstance(node.left, ast.Constant | ast.JoinedStr):
            new = OPERATORS[type(node.op)]
            yield number, f"{type(node.op).__name__} becomes {new.__name__}", lambda n, new=new: setattr(n, "op", new())
        elif isinstance(node, ast.Compare) and type(node.ops[0]) in COMPARISONS:
            turned = COMPARISONS[type(node.ops[0])]
            yield number, f"comparison becomes {turned.__name__}", lambda n, turned=turned: setattr(n, "ops", [turned()])
        elif isinstance(node, ast.Attribute) and node.attr in NAMES:
            yield number, f"{node.attr} becomes {NAMES[node.attr]}", lambda n: setattr(n, "attr", NAMES[n.attr])  # type: ignore[attr-defined]
        elif isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value not in (0.0, 1.0):
            yield number, f"{node.value:g} becomes a tenth more", lambda n: setattr(n, "value", n.value * 1.1)  # type: ignore[attr-defined]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in WORDS:
            yield number, f"{node.value!r} becomes {WORDS[node.value]!r}", lambda n: setattr(n, "value", WORDS[n.value])  # type: ignore[attr-defined]
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in ("calc", "line"):
            rows = [i for i, a in enumerate(node.args) if i > (2 if node.func.attr == "calc" else 1) and not isinstance(a, ast.Starred)]
            if len(rows) >= 2:
                yield number, "two rows exchanged", _exchanged(rows[0], rows[1])


def _exchanged(i: int, k: int) -> Callable[[ast.AST], None]:
    def change(node: ast.AST) -> None:
        assert isinstance(node, ast.Call)
        node.args[i], node.args[k] = node.args[k], node.args[i]

    return change


def main() -> int:
    """Make the mistakes, print those that nobody noticed, and the share that somebody did."""
    count, seed = (int(a) for a in (*sys.argv[1:], *("100", "1")[len(sys.argv) - 1 :]))
    trees = {
        path.relative_to(ROOT): ast.parse(path.read_text(encoding="utf-8"))
        for room in ROOMS
        for path in sorted((ROOT / room).glob("*.py"))
        if path.name not in LEFT_OUT
    }
    every = [(path, *mistake) for path, tree in trees.items() for mistake in mistakes(tree)]
    chosen = random.Random(seed).sample(every, min(count, len(every)))
    noticed, missed, start = 0, [], time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        copied = Path(folder) / "copy"
        shutil.copytree(ROOT, copied, ignore=shutil.ignore_patterns(".git", ".hypothesis", "__pycache__", "*.egg-info", ".*_cache"))
        tests = [name for name in TESTS if (copied / name).exists()]
        command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
        if subprocess.run(command, cwd=copied, capture_output=True, check=False).returncode != 0:
            print("the tests do not pass on the code as it is: nothing can be told of mistakes")
            return 1
        for path, number, what, change in chosen:
            wrong = copy.deepcopy(trees[path])
            node = list(ast.walk(wrong))[number]
            change(node)
            kept = (copied / path).read_text(encoding="utf-8")
            (copied / path).write_text(ast.unparse(wrong), encoding="utf-8")
            line = getattr(node, "lineno", 0)
            done = subprocess.run(command, cwd=copied, capture_output=True, timeout=SECONDS, check=False)
            (copied / path).write_text(kept, encoding="utf-8")
            noticed += done.returncode != 0
            if done.returncode == 0:
                missed.append(f"{path}:{line}: {what}")
                print(missed[-1], flush=True)
    print(f"{noticed} of {len(chosen)} mistakes noticed ({len(every)} can be made), in {time.perf_counter() - start:.0f} s")
    return int(noticed < 0.95 * len(chosen))


if __name__ == "__main__":
    sys.exit(main())
