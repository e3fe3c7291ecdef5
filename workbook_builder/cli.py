"""The command: ``workbook-builder fill TABLE``, ``workbook-builder plugin excel|calc``.

Exit status: 0 done, 1 a claim does not hold or cannot be checked, 2 the input or the request is wrong, 130 stopped by Ctrl-C.
"""

from __future__ import annotations

import argparse
import contextlib
import sys
import textwrap
from collections.abc import Iterator, Mapping, Sequence, Set
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from workbook_builder.audit.command import add_audit_command
from workbook_builder.items import add_items_command
from workbook_builder.output.terminal import plain
from workbook_builder.plugins.command import add_plugin_command
from workbook_builder.plugins.reference import add_functions_command
from workbook_builder.table.rows import InputError, Problem, listed, problems_json

if TYPE_CHECKING:  # loaded where it is wanted
    from .batch import Order, Outcome

DONE, DIFFERS, WRONG = 0, 1, 2
STOPPED = 130  # as a shell reports a process that was stopped by Ctrl-C


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit status."""
    given = sys.argv[1:] if arguments is None else list(arguments)
    options = _parser("--json" in given).parse_args(given)
    json = getattr(options, "json", False)
    try:
        return int(options.run(options))
    except InputError as error:
        return _wrong(error.problems, json)
    except OSError as error:
        json = json and not isinstance(error, BrokenPipeError)
        return _wrong([Problem(str(error.filename or "file"), None, "", error.strerror or str(error))], json)
    except KeyboardInterrupt:
        print("stopped; a file that is there is whole", file=sys.stderr)
        return STOPPED


def _wrong(problems: Sequence[Problem], json: bool) -> int:
    """Tell what is wrong, for machines where that was asked for."""
    if json:
        print(plain(problems_json(problems)))
    else:
        print(plain("\n".join(listed(problems))), file=sys.stderr)
    return WRONG


def _parser(json: bool) -> argparse.ArgumentParser:
    class Parser(argparse.ArgumentParser):
        """One that tells machines what is wrong, too."""

        def error(self, message: str) -> NoReturn:
            if json:
                self.exit(_wrong([Problem(self.prog, None, "", message)], json))
            super().error(message)

    parser = Parser(prog="workbook-builder", description="Formula-driven sizing workbooks for outdoor wood-fired boilers.")
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
    add_items_command(commands)
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
    from workbook_builder.output.files import BOOK, refuse_target
    from workbook_builder.table.job import blank_job

    from .build import build, save

    refuse_target(options.output, BOOK, force=options.force)
    writer = save(build(blank_job(options.runs, options.loads, options.fuels), options.units), options.output, force=options.force)
    print(f"{options.output}: room for {options.runs} runs and {options.loads} loads, {writer.formula_cells} formulas")
    return DONE


def _fill(options: argparse.Namespace) -> int:
    from workbook_builder.output.files import changes_since

    from .batch import Stop, carry_out_all, clashes, orders, say

    placed = orders(options.tables, options.output, options.units, options.force)
    problems = clashes(placed) or ([] if placed else [f"{options.tables[0]}: no input table in it (.csv or .xlsx)"])
    if problems:
        print(plain("\n".join(problems)), file=sys.stderr)
        return WRONG
    became: dict[Path, Outcome] = {}
    written = changes_since(order.target for order in placed)
    many = len(placed) > 1
    with (
        Stop(at_once=not many) as stop,
        contextlib.suppress(KeyboardInterrupt),
        contextlib.closing(carry_out_all(placed, stop=stop)) as work,
    ):
        for outcome in work:
            became[outcome.order.table] = outcome
            if outcome.said:
                say(plain(outcome.said))
    failed = [o for o in became.values() if o.problem]
    if failed and many:
        print(f"{len(failed)} of {len(placed)} tables failed:", file=sys.stderr)
    for outcome in sorted(failed, key=lambda o: o.order.table):
        # Tables of one name in two folders are told apart by the path above what is said of each.
        told = f"{outcome.order.table}:\n{textwrap.indent(outcome.problem, '  ')}" if many else outcome.problem
        print(plain(told), file=sys.stderr)
    if stop.asked:
        print(plain("\n".join(["stopped by Ctrl-C", *_what_became(placed, became, written())])), file=sys.stderr)
        return STOPPED
    return WRONG if failed else DONE


def _what_became(placed: Sequence[Order], became: Mapping[Path, Outcome], written: Set[Path]) -> Iterator[str]:
    """Where every table stands when the work was stopped, but for those that failed."""
    off = [o for o in placed if o.table not in became]  # the disk tells what became of these
    kinds = {
        "written": [o.target for o in placed if (became[o.table].said if o.table in became else o.target in written)],
        "not begun": [o.table for o in placed if o not in off and not became[o.table].begun],
        f"broken off{' or not begun' if len(placed) > 1 else ''}, and not written": [o.table for o in off if o.target not in written],
    }
    for words, paths in kinds.items():
        if paths:
            yield f"  {words} ({len(paths)}): {', '.join(map(str, paths))}"
