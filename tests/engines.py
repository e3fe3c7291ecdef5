"""Recalculating books in real engines, and comparing with the values stored in the files.

IronCalc recalculates inside the process; for LibreOffice see ``agreement.office_cells``.
"""

from __future__ import annotations

import functools
import math
import os
import shutil
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from unittest import mock
from xml.etree import ElementTree

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"

Value = float | str | bool | None
Cells = dict[tuple[str, str], Value]

# A residual that is zero to rounding in one engine may be exactly zero in another; relative to nothing it says nothing.
ROUNDING = 1e-12


def soffice() -> str | None:
    """The office program, or None."""
    return shutil.which("soffice") or shutil.which("libreoffice")


def office_required() -> bool:
    return os.environ.get("REQUIRE_OFFICE") == "1"


def stored_values(path: Path, formulas_only: bool = True) -> Cells:
    """What a file holds as the values of its cells: by default of the cells with a formula, blank ones included."""
    values, texts = _cells(path)
    return {key: values.get(key) for key in texts} if formulas_only else values


def formulas(path: Path) -> dict[tuple[str, str], str]:
    """The formula of each cell that has one."""
    return {key: "=" + text for key, text in _cells(path)[1].items()}


def _cells(path: Path) -> tuple[Cells, dict[tuple[str, str], str]]:
    """The values that are not blank, and the formulas, read from the parts of the file themselves: ten times as fast as by openpyxl."""
    values: Cells = {}
    texts: dict[tuple[str, str], str] = {}
    with zipfile.ZipFile(path) as archive:
        names = set(archive.namelist())
        shared: list[str] = []
        if "xl/sharedStrings.xml" in names:
            root = ElementTree.fromstring(archive.read("xl/sharedStrings.xml"))
            shared = ["".join(t.text or "" for t in item.iter(f"{_MAIN}t")) for item in root]
        targets = {r.get("Id"): r.get("Target", "") for r in ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))}
        for sheet in ElementTree.fromstring(archive.read("xl/workbook.xml")).iter(f"{_MAIN}sheet"):
            title, target = sheet.get("name", ""), targets[sheet.get(_RELATION)]
            part = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
            for cell in ElementTree.fromstring(archive.read(part)).iter(f"{_MAIN}c"):
                key = title, cell.get("r", "")
                formula = cell.find(f"{_MAIN}f")
                if formula is not None:
                    texts[key] = formula.text or ""
                value = _value_of(cell, shared)
                if value is not None:
                    values[key] = value
    return values, texts


def _value_of(cell: ElementTree.Element, shared: list[str]) -> Value:
    kind = cell.get("t", "n")
    if kind == "inlineStr":
        return "".join(t.text or "" for t in cell.iter(f"{_MAIN}t")) or None
    found = cell.find(f"{_MAIN}v")
    if found is None or not found.text:
        return None
    if kind == "s":
        return shared[int(found.text)] or None
    if kind == "b":
        return found.text == "1"
    return found.text if kind in ("str", "e") else float(found.text)


def ironcalc_values(path: Path) -> Cells:
    """Every cell that is not blank, after IronCalc has evaluated the book."""
    import ironcalc

    model = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
    return values_of_model(model)


def values_of_model(model: Any) -> Cells:
    """Every cell of an IronCalc model that is not blank, after it has been evaluated."""
    import ironcalc

    model.evaluate()
    cells: Cells = {}
    for index, sheet in enumerate(model.get_worksheets_properties()):
        low_row, high_row, low_column, high_column = model.get_sheet_dimensions(index)
        for column in range(low_column, high_column + 1):
            letters = ironcalc.column_name_from_number(column)
            for row in range(low_row, high_row + 1):
                value = model.get_cell_value(index, row, column)
                if value is not None:
                    cells[sheet["name"], f"{letters}{row}"] = value
    return cells


def sheet_numbers(model: Any) -> dict[str, int]:
    """The number by which IronCalc knows each sheet of a model."""
    return {sheet["name"]: number for number, sheet in enumerate(model.get_worksheets_properties())}


def compare(
    stored: Mapping[tuple[str, str], Value],
    recalculated: Mapping[tuple[str, str], Value],
    rel: float = 1e-9,
    least: Mapping[tuple[str, str], float] | None = None,
) -> list[str]:
    """Every stored cell that the engine finds otherwise, in words.  A blank and an empty text are alike.

    ``least`` says of a cell which difference says nothing: what is left of large numbers that cancel has their rounding.
    """
    found = []
    for (sheet, cell), value in stored.items():
        other = recalculated.get((sheet, cell))
        if not _alike(value, other, rel, (least or {}).get((sheet, cell), ROUNDING)):
            found.append(f"{sheet}!{cell}: stored {value!r}, recalculated {other!r}")
    return found


def _alike(a: Value, b: Value, rel: float, least: float) -> bool:
    if isinstance(a, bool) or isinstance(b, bool) or isinstance(a, str) or isinstance(b, str) or a is None or b is None:
        return (a or None) == (b or None) if not isinstance(a, float) and not isinstance(b, float) else False
    return math.isclose(a, b, rel_tol=rel, abs_tol=least)


def errors(cells: Mapping[tuple[str, str], Value]) -> list[str]:
    """Cells that hold an error value."""
    return [f"{sheet}!{cell}: {v}" for (sheet, cell), v in cells.items() if isinstance(v, str) and v.startswith("#") and v[1:2].isupper()]


@functools.cache
def _validator() -> Any:
    from openxml_audit import FileFormat, OpenXmlValidator

    return OpenXmlValidator(file_format=FileFormat.OFFICE_2019)


def validate(path: Path) -> list[str]:
    """The findings of the Open XML validator.

    More than half of its time goes into counting the place of each element among its siblings, which only the words of a
    finding need: they are counted when there is one.
    """
    with mock.patch("openxml_audit.context._sibling_position", lambda element: 1):
        sound = not _validator().validate(str(path)).errors
    return [] if sound else [str(e) for e in _validator().validate(str(path)).errors]
