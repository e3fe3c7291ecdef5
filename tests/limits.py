"""What Excel takes and what it repairs or refuses: the limits its maker publishes (specifications and limits, names in formulas)."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import engines
from openpyxl.formula import Tokenizer

LENGTH, LEVELS, TEXT, SHEET_NAME, CELL, NAME = 8192, 64, 255, 31, 32_767, 255
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_TEXT = re.compile(r'"((?:[^"]|"")*)"')
_NAME = re.compile(r"[^\W\d][\w.]*|\\[\w.]*|_[\w.]*")
_LIKE_A_CELL = re.compile(r"[A-Za-z]{1,3}\d+|[Rr]\d*|[Cc]\d*|[Rr]\d*[Cc]\d*")


def levels(formula: str) -> int:
    """How deep functions and parentheses stand in one another."""
    depth = deepest = 0
    for token in Tokenizer(formula).items:
        if token.type in ("FUNC", "PAREN"):
            depth += {"OPEN": 1, "CLOSE": -1}[token.subtype]
            deepest = max(deepest, depth)
    assert depth == 0
    return deepest


def findings(path: Path) -> list[str]:
    """Every limit that a book breaks."""
    found = []
    patterns: dict[str, int] = {}  # formulas that differ in their numbers alone are equally deep
    for (sheet, cell), formula in engines.formulas(path).items():
        if len(formula) > LENGTH:
            found.append(f"{sheet}!{cell}: a formula of {len(formula)} characters")
        pattern = re.sub(r"\d+", "1", formula)
        if pattern not in patterns:
            patterns[pattern] = levels(formula)
        if patterns[pattern] > LEVELS:
            found.append(f"{sheet}!{cell}: {patterns[pattern]} levels")
        found += [f"{sheet}!{cell}: a text of {len(t)} characters in a formula" for t in _TEXT.findall(formula) if len(t) > TEXT]
    with zipfile.ZipFile(path) as archive:
        workbook = ElementTree.fromstring(archive.read("xl/workbook.xml"))
        shared = ElementTree.fromstring(archive.read("xl/sharedStrings.xml"))
    titles = [s.get("name", "") for s in workbook.iter(f"{_MAIN}sheet")]
    found += [
        f"sheet {t!r}" for t in titles if not 0 < len(t) <= SHEET_NAME or re.search(r"[\[\]:*?/\\]|^'|'$", t) or t.casefold() == "history"
    ]
    found += _doubled("sheet", titles)
    names = [(n.get("name", ""), n.get("localSheetId"), n.text or "") for n in workbook.iter(f"{_MAIN}definedName")]
    for name, _, text in names:
        if not name.startswith("_xlnm.") and (not _NAME.fullmatch(name) or _LIKE_A_CELL.fullmatch(name) or len(name) > NAME):
            found.append(f"the name {name!r}")
        if len(text) > LENGTH:
            found.append(f"the name {name!r} stands for {len(text)} characters")
    found += _doubled("name", [f"{name} {place}" for name, place, _ in names])
    for item in shared:
        length = len("".join(t.text or "" for t in item.iter(f"{_MAIN}t")))
        if length > CELL:
            found.append(f"a text of {length} characters in a cell")
    return found


def _doubled(what: str, names: list[str]) -> list[str]:
    folded = [n.casefold() for n in names]
    return [f"{what} {n!r} stands twice" for n in dict.fromkeys(names) if folded.count(n.casefold()) > 1]
