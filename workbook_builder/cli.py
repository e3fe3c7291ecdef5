"""The command: ``workbook-builder fill TABLE``, ``workbook-builder plugin excel|calc``.

Exit status: 0 done, 1 a claim does not hold or cannot be checked, 2 the input or the request is wrong, 130 stopped by Ctrl-C.
"""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections.abc import Sequence
from pathlib import Path

from .audit.command import add_audit_command
from .plugins.command import add_plugin_command
from .reference import add_functions_command
from .rows import InputError
from .terminal import plain

DONE, DIFFERS, WRONG = 0, 1, 2
STOPPED = 130  # as a shell reports a process that was stopped by Ctrl-C


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit status."""
    options = _parser().parse_args(arguments)
    try:
        return int(options.run(options))
    except InputError as error:
        print(plain(str(error)), file=sys.stderr)
        return WRONG
    except OSError as error:
        print(f"{error.filename or 'file'}: {error.strerror or error}", file=sys.stderr)
        return WRONG
    except KeyboardInterrupt:
        print("stopped; books that were named are whole, no other was begun", file=sys.stderr)
        return STOPPED


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="workbook-builder", description="Formula-driven sizing workbooks for outdoor wood-fired boilers.")
    commands = parser.add_subparsers(required=True, metavar="command")
    fill = commands.add_parser("fill", help="turn an input table (CSV or XLSX) into a worked workbook")
    fill.add_argument("tables", type=Path, nargs="+", metavar="table", help="input tables, or folders of them")
    fill.add_argument("-o", "--output", type=Path, help="the workbook to write, or the folder for several (default: beside the table)")
    fill.add_argument("--units", choices=("us", "metric"), default="us", help="units of the workbook (default: us)")
    fill.add_argument("--force", action="store_true", help="replace the workbook if it exists")
    fill.set_defaults(run=_fill)
    blank = commands.add_parser("blank", help="write a fresh book to fill by hand")
    blank.add_argument("-o", "--output", type=Path, required=True, help="the workbook to write")
    blank.add_argument("--runs", type=_count, default=2, help="how many runs it has room for (default: 2)")
    blank.add_argument("--loads", type=_count, default=4, help="how many loads it has room for (default: 4)")
    blank.add_argument("--fuels", type=_count, default=2, help="how many of today's fuels it has room for (default: 2)")
    blank.add_argument("--units", choices=("us", "metric"), default="us", help="units of the workbook (default: us)")
    blank.add_argument("--force", action="store_true", help="replace the workbook if it exists")
    blank.set_defaults(run=_blank)
    add_audit_command(commands)
    add_functions_command(commands)
    add_plugin_command(commands)
    return parser


MOST_COLUMNS = 200


def _count(text: str) -> int:
    """A number of runs or loads; argparse names what is wrong with it."""
    number = int(text)
    if not 1 <= number <= MOST_COLUMNS:
        raise argparse.ArgumentTypeError(f"{text} is not allowed; allowed: 1 to {MOST_COLUMNS}")
    return number


def _blank(options: argparse.Namespace) -> int:
    from .build import build, save
    from .job import blank_job

    if options.output.exists() and not options.force:
        print(f"{options.output}: exists already; --force replaces it", file=sys.stderr)
        return WRONG
    writer = save(build(blank_job(options.runs, options.loads, options.fuels), options.units), options.output)
    print(f"{options.output}: room for {options.runs} runs and {options.loads} loads, {writer.formula_cells} formulas")
    return DONE


def _fill(options: argparse.Namespace) -> int:
    from .batch import carry_out_all, clashes, orders, say

    placed = orders(options.tables, options.output, options.units, options.force)
    problems = clashes(placed) or ([] if placed else [f"{options.tables[0]}: no input table in it (.csv or .xlsx)"])
    if problems:
        print("\n".join(problems), file=sys.stderr)
        return WRONG
    failed = []
    for outcome in carry_out_all(placed):
        if outcome.problem:
            failed.append(outcome)
        else:
            say(plain(outcome.said))
    many = len(placed) > 1
    if failed and many:
        print(f"{len(failed)} of {len(placed)} tables failed:", file=sys.stderr)
    for outcome in sorted(failed, key=lambda o: o.order.table):
        # Tables of one name in two folders are told apart by the path above what is said of each.
        told = f"{outcome.order.table}:\n{textwrap.indent(outcome.problem, '  ')}" if many else outcome.problem
        print(plain(told), file=sys.stderr)
    return WRONG if failed else DONE
