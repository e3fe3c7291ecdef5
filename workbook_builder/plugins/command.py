"""The command ``workbook-builder plugin excel|calc``."""

from __future__ import annotations

import argparse
import io
import sys
from pathlib import Path
from typing import Any

from ..files import put, refuse_target

DONE, WRONG = 0, 2
FILES = {"excel": "hydrocalc.xlsx", "calc": "hydrocalc.oxt"}


def add_plugin_command(commands: Any) -> None:
    """Add the command to the others."""
    plugin = commands.add_parser(
        "plugin", help="write the named functions for any cell: a book of names for Excel, an add-in for LibreOffice Calc"
    )
    plugin.add_argument("program", choices=tuple(FILES), help="the office program")
    plugin.add_argument("-o", "--output", type=Path, help=f"the file to write (default: {FILES['excel']} or {FILES['calc']})")
    plugin.add_argument("--force", action="store_true", help="replace the file if it exists")
    plugin.set_defaults(run=_plugin)


def _plugin(options: argparse.Namespace) -> int:
    target = options.output or Path(FILES[options.program])
    problems = list(_problems(options.program, target, options.force))
    if problems:
        print("\n".join(problems), file=sys.stderr)
        return WRONG
    refuse_target(target)
    data, told = _file(options.program)
    put(data, target)
    print(f"{target}: {told}")
    return DONE


def _problems(program: str, target: Path, force: bool) -> list[str]:
    wanted = Path(FILES[program]).suffix
    found = []
    if target.suffix.lower() != wanted:
        found.append(f"{target}: the file for {program} must end in {wanted}")
    if not target.parent.is_dir():
        found.append(f"{target.parent}: no such folder")
    elif target.is_dir():
        found.append(f"{target}: is a folder")
    elif target.exists() and not force:
        found.append(f"{target}: exists already; --force replaces it")
    return found


def _file(program: str) -> tuple[bytes, str]:
    """The file, and what it holds, in words."""
    from hydrocalc.named import catalogue

    count = len(catalogue())
    if program == "excel":
        from .excel import write_names_book

        data = io.BytesIO()
        write_names_book(data)
        return data.getvalue(), f"{count} functions as defined names in US and in metric units"
    from .calc import addin

    return addin(), f"{count} functions in US and in metric units"
