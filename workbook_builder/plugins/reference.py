"""The reference of the named functions, written from the catalogue itself: ``workbook-builder functions [NAME …]``.

What a page says is what the function does, since both come from one place: the signature, the ranges that calls are
checked against, and the formula that is recorded into cells.
"""

from __future__ import annotations

import argparse
import difflib
import inspect
import os
import sys
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

import hydrocalc
from hydrocalc.arguments import Parameter, describe_limits
from hydrocalc.measures import SYSTEMS, Key, Limits, Measure, System
from hydrocalc.named import Named
from hydrocalc.steps import STEPS
from hydrocalc.tables import table
from workbook_builder.formula.printing import function_in_words

from .finding import answer, find

DONE, WRONG = 0, 2
WIDTH = 110
INDENT = "  "
NAMES: Mapping[System | None, str] = {"us": "US", "metric": "metric", None: "coherent"}
PREFIXES: Mapping[System, str] = {"us": "HYDRO.", "metric": "HYDRO_SI."}


def add_functions_command(commands: Any) -> None:
    """Add ``functions`` to the commands of the program."""
    parser = commands.add_parser("functions", help="list the named functions, or tell all about one")
    parser.add_argument("names", nargs="*", metavar="NAME", help="a function, or a chapter; none lists every chapter")
    parser.add_argument("--find", metavar="WORDS", help="the functions that answer a question, best first")
    parser.add_argument("--all", action="store_true", help="list also those that are only steps inside others")
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    if options.find is not None:
        found = find(options.find, steps=options.all)
        pages, unknown = [answer(found)], [] if found else [f"no function is known by the words of {options.find!r}"]
    else:
        pages, unknown = pages_of(options.names, steps=options.all)
    if unknown:
        print("\n".join(unknown), file=sys.stderr)
        return WRONG
    try:
        print("\n\n".join(pages))
        sys.stdout.flush()
    except BrokenPipeError:  # read by something that has seen enough, `head` for one
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return DONE


def pages_of(names: list[str], *, steps: bool = False) -> tuple[list[str], list[str]]:
    """A page for each name, and a line for each name that is neither a function nor a chapter."""
    functions, chapters = hydrocalc.catalogue(), by_chapter()
    if not names:
        return [overview(steps=steps)], []
    pages, unknown = [], []
    for name in names:
        plain = plain_name(name)
        if plain in functions:
            pages.append(page(functions[plain]))
        elif plain in chapters:
            pages.append("\n".join(_chapter(plain)))
        else:
            unknown.append(_not_there(name, plain, [*functions, *chapters]))
    return pages, unknown


def plain_name(name: str) -> str:
    """The Python name of a function from any form in which people meet it: ``HYDRO.LINE_LOSS``, ``us.line_loss``, ``line_loss()``."""
    return name.strip().rstrip("()").rpartition(".")[2].lower().replace("-", "_").replace(" ", "_")


def _not_there(name: str, plain: str, known: list[str]) -> str:
    near = difflib.get_close_matches(plain, known, n=5, cutoff=0.6)
    words = {w for w in plain.split("_") if len(w) > 3}
    near += [k for k in known if k not in near and words & set(k.split("_"))][: 5 - len(near)]
    meant = f"; did you mean {', '.join(near)}?" if near else "; `workbook-builder functions` lists them all"
    return f"{name}: no function and no chapter of that name{meant}"


def by_chapter(*, steps: bool = True) -> dict[str, list[Named[Any]]]:
    """The functions of each chapter, in the order of the catalogue; those that are only steps inside others if they are asked for."""
    chapters: dict[str, list[Named[Any]]] = {}
    for function in hydrocalc.catalogue().values():
        if steps or function.name not in STEPS:
            chapters.setdefault(function.chapter, []).append(function)
    return chapters


def overview(*, steps: bool = False) -> str:
    """Every chapter with the names and titles of its functions."""
    lines = [line for chapter in by_chapter(steps=steps) for line in (*_chapter(chapter, steps=steps), "")]
    return "\n".join([*lines, "workbook-builder functions NAME tells all about one of them."])


def _chapter(chapter: str, *, steps: bool = True) -> Iterator[str]:
    functions = by_chapter(steps=steps)[chapter]
    about = inspect.getdoc(sys.modules[functions[0].body.__module__]) or ""
    yield f"{chapter} – {about.splitlines()[0] if about else ''}"
    for function in functions:
        yield f"{INDENT}{function.name:<32}{function.title}"


def page(function: Named[Any]) -> str:
    """All about one function."""
    return "\n".join(_lines(function))


def _lines(function: Named[Any]) -> Iterator[str]:
    arguments = ", ".join(p.name for p in function.parameters)
    yield function.name
    yield f"{function.title}."
    yield ""
    yield from _item("Chapter", function.chapter)
    yield from _item("In Python", f"hydrocalc.{function.name}({arguments})")
    yield from _item("", "in coherent units; hydrocalc.us and hydrocalc.metric hold it in trade units")
    cells = " · ".join(f"{PREFIXES[s]}{function.name.upper()}(…) in {NAMES[s]} units" for s in SYSTEMS)
    yield from _item("In a cell", f"{cells}; arguments in the same order")
    yield ""
    yield "Arguments"
    for parameter in function.parameters:
        yield from _argument(parameter)
    yield ""
    yield from _item("Gives", f"{_in_words(function.result)}, in {units(function.result)}")
    yield from _item("Formula", function_in_words(function))
    if function.correlation:
        yield from _item("", "a fit with units built in: its dimensions do not close by themselves")
    for text, _ in function.requires:
        yield from _item("Requires", text)
    for text, _ in function.doubts:
        yield from _item("Warns", text)
    yield from _item("Accuracy", function.accuracy)
    yield from _item("Source", function.source)
    for paragraph in function.notes.split("\n\n") if function.notes else ():
        yield from _item("Note", " ".join(paragraph.split()))
    example = [line for line in (inspect.getdoc(function.body) or "").splitlines() if line]
    start = next((i for i, line in enumerate(example) if line.startswith(">>>")), None)
    if start is not None:
        yield ""
        yield "Example"
        yield from (INDENT + line for line in example[start:])


def _item(head: str, text: str) -> list[str]:
    return textwrap.wrap(f"{head:<11}{text}", WIDTH, subsequent_indent=" " * 11, break_long_words=False, break_on_hyphens=False)


def _argument(parameter: Parameter) -> Iterator[str]:
    yield from textwrap.wrap(
        f"{INDENT}{parameter.name:<26}{parameter.description}", WIDTH, subsequent_indent=" " * 28, break_on_hyphens=False
    )
    kind = parameter.kind
    if isinstance(kind, Key):
        rows = dict.fromkeys(table(kind.table).texts(kind.column))
        details = [f"text, one of: {', '.join(rows)}"]
    else:
        details = [f"{_in_words(kind)}, in {units(kind)}", f"allowed: {_range(parameter.limits, kind)}"]
        if parameter.valid is not None:
            details.append(f"source holds: {_range(parameter.valid, kind)}")
    for detail in details:
        yield from textwrap.wrap(" " * 28 + detail, WIDTH, subsequent_indent=" " * 30, break_on_hyphens=False)


def _in_words(kind: Measure) -> str:
    """The name of a measure as words: HeatPerLength is heat per length."""
    return "".join(f" {c.lower()}" if c.isupper() else c for c in kind.name).strip()


def _by_system(texts: Mapping[System | None, str]) -> str:
    """One text where all systems share it, otherwise each text with the names of its systems."""
    sharing = {text: [NAMES[system] for system, other in texts.items() if other == text] for text in texts.values()}
    if len(sharing) == 1:
        return texts[None]
    return " · ".join(f"{text} ({' and '.join(names)})" for text, names in sharing.items())


def units(kind: Measure) -> str:
    """The units of a measure, in both systems and inside the bodies."""
    texts = {system: kind.unit(system).symbol for system in (*SYSTEMS, None)}
    return _by_system({system: "no unit" if text == "–" else text for system, text in texts.items()})


def _range(limits: Limits, kind: Measure) -> str:
    return _by_system({system: describe_limits(limits, kind, system) for system in (*SYSTEMS, None)})
