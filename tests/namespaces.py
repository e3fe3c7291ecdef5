"""Writes what names every function: the list in ``hydrocalc/__init__.py`` and the stubs ``us.pyi`` and ``metric.pyi``.

    python tests/namespaces.py

after a function is added, renamed or given other arguments; ``test_namespaces.py`` fails until it has been run.
"""

from __future__ import annotations

import importlib
import inspect
import sys
import textwrap
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from hydrocalc.measures import System
    from hydrocalc.named import Named

PACKAGE = Path(__file__).parent.parent / "hydrocalc"
# In the order of the catalogue: what the liquid is, what moves it, what it loses and gives, what it costs.
CHAPTERS = (
    *("liquids", "flow", "friction", "pumps", "ground", "pair", "twin", "exchangers"),
    *("emitters", "loads", "pools", "storage", "pressure", "wood", "money"),
)
WIDTH = 140
BEGIN, END = "# --- written by tests/namespaces.py: begin\n", "# --- written by tests/namespaces.py: end\n"


def chapters() -> list[str]:
    """The chapters that there are."""
    return [c for c in CHAPTERS if (PACKAGE / f"{c}.py").exists()]


def named_functions() -> dict[str, Named[Any]]:
    """The functions by name, chapter by chapter, each chapter in the order of its page."""
    for chapter in chapters():
        importlib.import_module(f"hydrocalc.{chapter}")
    from hydrocalc.named import catalogue

    functions = {n: f for n, f in catalogue().items() if f.chapter in CHAPTERS}  # a test may have registered its own
    return dict(sorted(functions.items(), key=lambda item: CHAPTERS.index(item[1].chapter)))


def names() -> str:
    """The imports that give the package every function by its name."""
    functions = named_functions()
    lines = [BEGIN, "# isort: off\n"]
    for chapter in chapters():
        own = sorted(n for n, f in functions.items() if f.chapter == chapter)
        lines += [f"from .{chapter} import (\n", *(f"    {n} as {n},\n" for n in own), ")\n"]
    return "".join([*lines, "# isort: on\n", END])


def package_page() -> str:
    """``hydrocalc/__init__.py`` with the list of names as it should be."""
    before, begin, rest = (PACKAGE / "__init__.py").read_text(encoding="utf-8").partition(BEGIN)
    _, end, after = rest.partition(END)
    if not (begin and end):
        raise ValueError("hydrocalc/__init__.py has no section between the two marks")
    return before + names() + after


def stub(system: System) -> str:
    """The stub of the namespace of one unit system."""
    functions = named_functions()
    signatures = [inspect.signature(f.body) for f in functions.values()]
    measures = {s.return_annotation for s in signatures} | {p.annotation for s in signatures for p in s.parameters.values()}
    head = f'"""Every named function in {"US" if system == "us" else "metric"} trade units.  Written by tests/namespaces.py."""\n\n'
    imports = "from .measures import (\n" + "".join(f"    {m},\n" for m in sorted(measures, key=str.lower)) + ")\n"
    return head + imports + "".join("\n" + _definition(f, system) for f in functions.values())


def _definition(function: Named[Any], system: System) -> str:
    signature = inspect.signature(function.body)
    arguments = [f"{p.name}: {p.annotation}" for p in signature.parameters.values()]
    opening, closing = f"def {function.name}(", f") -> {signature.return_annotation}:\n"
    joined = ", ".join(arguments)
    if len(opening + joined + closing) - 1 <= WIDTH:
        text = opening + joined + closing
    elif len(joined) + 4 <= WIDTH:
        text = f"{opening}\n    {joined}\n{closing}"
    else:
        text = opening + "\n" + "".join(f"    {a},\n" for a in arguments) + closing
    unit = function.result.unit(system).symbol
    doc = [f'"""{function.title}.' if unit == "–" else f'"""{function.title}, in {unit}.', ""]
    for parameter in function.parameters:
        symbol = parameter.symbol(system)
        described = f"{parameter.name}: {parameter.description}" + ("" if symbol in ("–", "text") else f" [{symbol}]")
        doc += textwrap.wrap(described, WIDTH - 8, subsequent_indent="    ")
    return text + textwrap.indent("\n".join([*doc, '"""\n']), "    ", lambda line: bool(line.strip()))


def pages() -> dict[Path, str]:
    """Every file written here, as it should be."""
    return {
        PACKAGE / "__init__.py": package_page(),
        PACKAGE / "us.pyi": stub("us"),
        PACKAGE / "metric.pyi": stub("metric"),
    }


def _write() -> None:
    # An out-of-date list of names would keep the package itself from being imported: a bare one takes its place here.
    sys.path.insert(0, str(PACKAGE.parent))
    bare = ModuleType("hydrocalc")
    bare.__path__ = [str(PACKAGE)]
    sys.modules["hydrocalc"] = bare
    for path, text in pages().items():
        path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    _write()
