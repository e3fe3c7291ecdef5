"""The command ``workbook-builder items``: the words of the input table, and an empty table to fill in."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from workbook_builder.output.files import put, refuse_target

DONE = 0


def add_items_command(commands: Any) -> None:
    """Add ``items`` to the commands of the program."""
    parser = commands.add_parser("items", help="list the items of the input table, or write an empty table to fill in")
    parser.add_argument("parts", nargs="*", metavar="part", help="a part, such as run or load.baseboard (default: every part)")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--csv", action="store_true", help="list them as CSV")
    form.add_argument("--json", action="store_true", help="list them for machines")
    form.add_argument("--template", action="store_true", help="write a table of these parts, what is needed first, to be filled in")
    parser.add_argument("--units", choices=("us", "metric"), default="us", help="units of the template (default: us)")
    parser.add_argument("-o", "--output", type=Path, help="the file to write (default: none, to the terminal)")
    parser.add_argument("--force", action="store_true", help="replace the file if it exists")
    parser.set_defaults(run=_items)


def _items(options: argparse.Namespace) -> int:
    from workbook_builder.table.listing import as_csv, as_json, as_text, asked_parts, template

    parts = asked_parts(_words(options.parts))
    ending = ".csv" if options.csv or options.template else ".json" if options.json else ".txt"
    if options.output is not None:
        refuse_target(options.output, ending, force=options.force)
    forms = {"csv": as_csv, "json": as_json}
    form = next((forms[name] for name in forms if getattr(options, name)), as_text)
    text = template(parts, options.units) if options.template else form(parts)
    if options.output is not None:
        # Spreadsheet programs take a CSV file for UTF-8 by the mark at its beginning.
        put(text.encode("utf-8-sig" if ending == ".csv" else "utf-8"), options.output, force=options.force)
        print(f"{options.output}: {sum(len(part.items) for part in parts)} items")
        return DONE
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:  # read by something that has seen enough, `head` for one
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return DONE


def _words(parts: list[str]) -> list[str]:
    """The parts as they were meant: the two words of ``fuel today`` need no quotation marks."""
    found: list[str] = []
    for part in parts:
        if part.casefold() == "today" and found and found[-1].casefold() == "fuel":
            found[-1] += " today"
        else:
            found.append(part)
    return found
