"""The rooms of the code and the arrows between them: every import goes to the same room or to one below it, and none in a circle."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
# From the ground up.  A module lies in the last room whose name begins its own.
ROOMS = (
    "hydrocalc",
    "workbook_builder.table",
    "workbook_builder.formula",
    "workbook_builder.model",
    "workbook_builder.output",
    "workbook_builder.sheets.sizing",
    "workbook_builder.sheets.verdicts",
    "workbook_builder.sheets.pages",
    "workbook_builder.plugins",
    "workbook_builder.build",
    "workbook_builder.batch",
    "workbook_builder.audit",
    "workbook_builder.items",
    "workbook_builder.cli",
    "workbook_builder.__main__",
)
LONGEST_MODULE = 440  # lines; about 400 are wanted


def modules() -> dict[str, Path]:
    """Every module by its dotted name."""
    found = {}
    for package in ("hydrocalc", "workbook_builder"):
        for path in (ROOT / package).rglob("*.py"):
            parts = path.relative_to(ROOT).with_suffix("").parts
            found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(name: str, path: Path, known: dict[str, Path]) -> set[str]:
    """The modules of ours that a module imports, wherever in it."""
    package = name if path.name == "__init__.py" else name.rpartition(".")[0]
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            above = package.split(".")[: len(package.split(".")) - node.level + 1] if node.level else []
            base = ".".join([*above, *([node.module] if node.module else [])])
            names = [f"{base}.{alias.name}" if f"{base}.{alias.name}" in known else base for alias in node.names]
        else:
            continue
        found |= {n for n in names if n in known}
    return found - {name}


KNOWN = modules()
ARROWS = {name: imported(name, path, KNOWN) for name, path in KNOWN.items()}


def room(name: str) -> int:
    return max((i for i, r in enumerate(ROOMS) if name == r or name.startswith(r + ".")), default=-1)


@pytest.mark.parametrize("name", [n for n, p in KNOWN.items() if p.name != "__init__.py"])
def test_imports_go_down(name: str) -> None:
    assert room(name) >= 0, f"{name} lies in no room"
    assert not [other for other in ARROWS[name] if room(other) > room(name)]


def test_no_module_imports_itself_by_way_of_others() -> None:
    done: set[str] = set()

    def walk(name: str, way: tuple[str, ...]) -> None:
        assert name not in way, " -> ".join([*way[way.index(name) :], name])
        if name not in done:
            for other in ARROWS[name]:
                if KNOWN[other].name != "__init__.py":
                    walk(other, (*way, name))
            done.add(name)

    for name in KNOWN:
        walk(name, ())


@pytest.mark.parametrize("name", KNOWN)
def test_no_module_is_too_long(name: str) -> None:
    assert len(KNOWN[name].read_text(encoding="utf-8").splitlines()) <= LONGEST_MODULE


def test_only_one_module_imports_each_spreadsheet_library() -> None:
    for library, home in (("xlsxwriter", "workbook_builder.output.writer"), ("openpyxl", "workbook_builder.table.xlsx_reader")):
        using = {
            name
            for name, path in KNOWN.items()
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if (isinstance(node, ast.Import) and any(a.name.split(".")[0] == library for a in node.names))
            or (isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == library)
        }
        assert using == {home}
