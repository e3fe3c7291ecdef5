"""Another party's workbook as evidence: what a cited cell holds, and whether it is worked out or typed.

Nothing of it is run or followed: macros are not opened, links are not read, formulas are not worked out.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from workbook_builder.table.rows import CELL_ADDRESS, as_number, refuse
from workbook_builder.table.xlsx_reader import numbers_in, open_book

ERRORS = ("#REF!", "#DIV/0!", "#VALUE!", "#NAME?", "#N/A", "#NUM!", "#NULL!")
MOST_CELLS = 400_000  # beyond these nothing more is counted; a cited cell is read all the same
MOST_STEPS = 2_000  # cells followed in search of a circle
LONGEST_SHOWN = 60
LONGEST_NUMBER = 40  # a number stored as text is no longer
LONGEST_FORMULA = 8_192  # a spreadsheet takes no longer one
_NUMBER_TEXT = re.compile(r"\s*[+-]?[\d,' ]*\d\.?\d*\s*%?\s*")


@dataclass
class Evidence:
    """One cited cell."""

    address: str
    value: float | str | None = None
    formula: str = ""
    constants: list[str] | None = None  # typed numbers in the formula; None where it was not taken apart
    remarks: list[str] = field(default_factory=list)
    typed: str = ""  # a typed number as it stands there
    is_there: bool = True

    @property
    def words(self) -> str:
        if not self.is_there:
            return f"{self.address}: {'; '.join(self.remarks)}"
        if self.formula:
            kind = f"a formula, {_shortened(self.formula)}, {self._constants}"
        elif isinstance(self.value, float):
            kind = "a typed number"
        else:
            kind = "empty" if self.value is None else f"a text, {_shortened(repr(self.value))}"
        return "; ".join([f"{self.address} is {kind}", *self.remarks])

    @property
    def _constants(self) -> str:
        if len(self.formula) > LONGEST_FORMULA:
            return "longer than a spreadsheet takes and not looked into"
        if self.constants is None:
            return "which cannot be taken apart, so that typed numbers in it are not seen"
        return f"with typed numbers in it: {', '.join(self.constants)}" if self.constants else "with no typed number in it"


class TheirBook:
    """A workbook that is only read."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.formulas, self.remarks = open_book(path, formulas=True)
        self.values, _ = open_book(path, formulas=False)
        self.remarks += self._survey()

    def _survey(self) -> list[str]:
        """What a reader of the book should know of it as a whole."""
        found = [
            f"sheet {s.title!r} is hidden" + (" and cannot be shown from the menu" if s.sheet_state == "veryHidden" else "")
            for s in self.formulas.worksheets
            if s.sheet_state != "visible"
        ]
        errors: list[str] = []
        texts: list[str] = []
        seen = 0
        for sheet in self.values.worksheets:
            # Only the cells that are there: one in the last row and column does not bring all the others into being.
            for cell in itertools.islice(sheet._cells.values(), MOST_CELLS + 1 - seen):
                seen += 1
                if cell.data_type == "e" or cell.value in ERRORS:
                    errors.append(f"{sheet.title}!{cell.coordinate} ({cell.value})")
                elif _is_number_text(cell.value):
                    texts.append(f"{sheet.title}!{cell.coordinate}")
            if seen > MOST_CELLS:
                found.append(f"only the first {MOST_CELLS:,} cells were surveyed")
                break
        for what, rest, cells in (("error value", "", errors), ("number", " stored as text", texts)):
            if cells:
                more = f" and {len(cells) - 3} more" if len(cells) > 3 else ""
                found.append(f"{len(cells)} {what}{'s' if len(cells) > 1 else ''}{rest}: {', '.join(cells[:3])}{more}")
        return found

    def cell(self, reference: str) -> Evidence:
        """What stands in the cell that a claim cites."""
        match = CELL_ADDRESS.fullmatch(reference)
        if match is None:
            evidence = Evidence(reference.removeprefix("="), is_there=False)
            evidence.remarks.append("not the address of a cell; write =Sheet!C14")
            return evidence
        name = (match["quoted"] or match["sheet"]).replace("''", "'").strip()
        address = f"{match['column'].upper()}{match['row']}"
        evidence = Evidence(f"{name}!{address}")
        sheet = next((s for s in self.formulas.worksheets if s.title.casefold() == name.casefold()), None)
        if sheet is None:
            evidence.is_there = False
            evidence.remarks.append(f"there is no sheet {name!r} in {self.path.name}")
            return evidence
        self._read(evidence, sheet, address)
        return evidence

    def _read(self, evidence: Evidence, sheet: Any, address: str) -> None:
        key = _key(address)
        cell, stored = sheet._cells.get(key), self.values[sheet.title]._cells.get(key)
        value = stored.value if stored is not None else None
        formula = _formula(cell)
        if formula:
            evidence.formula = formula
            evidence.constants = numbers_in(evidence.formula) if len(evidence.formula) <= LONGEST_FORMULA else None
            if self._circles(sheet.title, address):
                evidence.remarks.append("it stands in a circular reference")
            if value is None:
                evidence.remarks.append("the file holds no value for it; open and save it in an office program first")
            if "[" in evidence.formula:
                evidence.remarks.append("it reads another file, which was not opened")
        if not formula and isinstance(value, int | float | str):
            evidence.typed = str(value).removesuffix(".0").strip()
        if isinstance(value, bool):
            evidence.value = "TRUE" if value else "FALSE"
        elif isinstance(value, int | float):
            evidence.value = as_number(value)
        elif isinstance(value, str):
            evidence.value = value
            if value in ERRORS:
                evidence.value = None
                evidence.remarks.append(f"it shows the error {value}")
            elif _is_number_text(value):
                evidence.value = float(re.sub(r"[,' %]", "", value)) / (100.0 if "%" in value else 1.0)
                evidence.remarks.append("the number is stored as text")
        elif value is not None:
            evidence.value = str(value)
        if sheet.sheet_state != "visible":
            evidence.remarks.append("its sheet is hidden")
        letters = address.rstrip("0123456789")
        if sheet.row_dimensions[key[0]].hidden or sheet.column_dimensions[letters].hidden:
            evidence.remarks.append("its row or column is hidden")

    def _circles(self, title: str, address: str) -> bool:
        """True if a cell is worked out from itself, as far as a few thousand cells tell."""
        start, seen = (title, address), set[tuple[str, str]]()
        stack = self._precedents(title, address)
        while stack and len(seen) < MOST_STEPS:
            one = stack.pop()
            if one == start:
                return True
            if one not in seen:
                seen.add(one)
                stack += self._precedents(*one)
        return False

    def _precedents(self, title: str, address: str) -> list[tuple[str, str]]:
        if title not in self.formulas.sheetnames:
            return []
        # A chart's sheet has no cells.
        formula = _formula(getattr(self.formulas[title], "_cells", {}).get(_key(address)))
        text = re.sub(r'"[^"]*"', '""', formula[:LONGEST_FORMULA])
        found = re.findall(r"(?:('(?:[^']|'')+'|[\w.]+)!)?\$?([A-Z]{1,3})\$?(\d+)(?![\w(])", text)
        return [(sheet.strip("'").replace("''", "'") or title, f"{column}{row}") for sheet, column, row in found]


def _shortened(text: str) -> str:
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"


def _formula(cell: Any) -> str:
    """The formula in a cell, with its sign; nothing for a cell that holds none."""
    if cell is None or cell.data_type != "f":
        return ""
    text = cell.value if isinstance(cell.value, str) else getattr(cell.value, "text", None)
    return f"={text.removeprefix('=')}" if isinstance(text, str) else ""


def _key(address: str) -> tuple[int, int]:
    """Row and column of an address, counted from 1; nothing is said of whether a sheet has so many."""
    letters = address.rstrip("0123456789")
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - 64
    return int(address[len(letters) :]), column


def _is_number_text(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST_NUMBER and _NUMBER_TEXT.fullmatch(value) is not None


def their_book(path: Path) -> TheirBook:
    """The other party's workbook; InputError if it cannot be read."""
    if not path.is_file():
        raise refuse(path.name, "there is no such file")
    if path.suffix.lower() not in (".xlsx", ".xlsm"):
        raise refuse(path.name, f"the ending {path.suffix!r} is not known; the book must be an .xlsx or .xlsm file")
    return TheirBook(path)
