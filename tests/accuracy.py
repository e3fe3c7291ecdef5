"""The accuracy of the functions, measured now by routes that share no formula with them: ``python tests/accuracy.py``.

Prints one Markdown table: what was measured, against what, over which range, the worst difference found, the bound that
the function states, and how it states it.  test_accuracy.py holds each row to its bound.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

if __name__ == "__main__":  # run from the folder of the project, installed or not
    sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent)]

import accuracy_heat
import accuracy_stated
import accuracy_water
from comparison import Comparison

from hydrocalc.named import catalogue


def comparisons() -> Iterator[Comparison]:
    """Every row, chapter by chapter."""
    for chapter in (*accuracy_water.CHAPTERS, *accuracy_heat.CHAPTERS, *accuracy_stated.CHAPTERS):
        yield from chapter()


def table() -> str:
    """The rows as Markdown, each measured now."""
    functions = catalogue()
    lines = [
        "| function | compared with | over | worst now | bound | as the catalogue states it |",
        "| --- | --- | --- | ---: | ---: | --- |",
    ]
    for row in comparisons():
        unit = f" {row.absolute}" if row.absolute else ""
        stated = functions[row.function].accuracy.replace("|", "/")
        lines.append(f"| `{row.function}` | {row.reference} | {row.over} | {row.worst():.1e}{unit} | {row.bound:g}{unit} | {stated} |")
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
