"""The command ``workbook-builder plugin excel|calc``."""

from __future__ import annotations

import argparse
import io
from pathlib import Path
from typing import Any

from workbook_builder.output.files import put, refuse_target

DONE = 0
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
    ending = Path(FILES[options.program]).suffix
    refuse_target(target, ending, force=options.force)
    data, told = _file(options.program)
    put(data, target, force=options.force)
    print(f"{target}: {told}")
    return DONE


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
