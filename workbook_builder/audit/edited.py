"""A book of ours against what its own inputs give today: every cell that somebody changed.

The inputs are read back, the book is made anew in memory, and the two are laid side by side.  What an office
program does on its own (recalculating, shifting references when rows move) is no edit.
"""

from __future__ import annotations

import difflib
import json
import re
import textwrap
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from hydrocalc.measures import System

from ..build import READING_ORDER, Built, build
from ..job import Claim, Job, read_job
from ..reading import check_archive
from ..references import Values
from ..rows import refuse
from ..sheet_rows import FIRST_COLUMN, Row, column_letters
from ..sheets import audit as audit_page
from ..sheets import inputs as inputs_page
from ..worksheet import BuildError
from .cells import Cell, Cells, file_cells, fresh_cells, normal, with_rows

SAME = 1e-9  # of typed numbers, relative
STORED = 1e-7  # of stored values: another engine may round the last digits otherwise
LEAST_SHEETS = 5
SHOWN, SHOWN_A_SHEET = 40, 12
WIDTH = 96


@dataclass(frozen=True)
class Edit:
    """One thing that was changed, and where."""

    place: str
    kind: str
    message: str


@dataclass
class Edits:
    """All that was changed, and what could not be looked at."""

    found: list[Edit] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


def is_ours(path: Path) -> bool:
    """True for a book that has the sheets of one that was filled or blank; InputError if it is no sound workbook."""
    if not path.is_file():
        return False
    check_archive(path)
    try:
        with zipfile.ZipFile(path) as archive:
            text = archive.read("xl/workbook.xml").decode("utf-8", "replace")
    except (zipfile.BadZipFile, KeyError, OSError):
        return False
    titles = set(re.findall(r'<(?:\w{1,40}:)?sheet [^<>]*?name="([^"<]*)"', text))
    return len(titles & set(READING_ORDER)) >= LEAST_SHEETS


def compare(path: Path) -> Edits:
    """What was changed in a book of ours; InputError if its inputs cannot be read."""
    theirs = file_cells(path)
    if "Inputs" not in theirs.sheets:
        raise refuse(path.name, "the book has no sheet Inputs any more; without its inputs it cannot be compared")
    system = _system(theirs)
    job = read_job(path, incomplete=True)
    job.claims = _claims(theirs)
    built = _rebuilt(job, system)
    return _Comparison(built, fresh_cells(built), theirs).edits()


def _system(theirs: Cells) -> System:
    units = {cell.value for (_, column), cell in theirs.sheets["Inputs"].items() if column == inputs_page.UNIT + 1}
    return "metric" if "°C" in units else "us"


def _rebuilt(job: Job, system: System) -> Built:
    from .claims import check_claims

    built = build(job, system)
    if job.claims:
        checked = check_claims(built)
        built.pages.append(lambda writer: audit_page.write_audit(writer, checked))
    return built


def _claims(theirs: Cells) -> list[Claim]:
    """The claims as they stand on the sheet Audit."""
    cells = theirs.sheets.get(audit_page.NAME, {})
    found = []
    row = audit_page.FIRST_ROW
    while (row, audit_page.PART + 1) in cells:
        part, item, value, unit = (
            cells.get((row, c + 1), Cell()).value or "" for c in (audit_page.PART, audit_page.RESULT, audit_page.CLAIMED, audit_page.UNIT)
        )
        found.append(Claim(str(part), str(item), value, str(unit), "", row))
        row += 1
    return found


class _Comparison:
    """A fresh book and a file of it, laid side by side."""

    def __init__(self, built: Built, fresh: Cells, theirs: Cells) -> None:
        self.built, self.fresh, self.theirs = built, fresh, theirs
        self.result = Edits(remarks=list(theirs.remarks))
        self.renamed: dict[str, str] = {}
        self.row_map: dict[str, dict[int, int | None]] = {}
        self.touched: set[tuple[str, int, int]] = set()
        self.tables: set[str] = set()
        self.worked = {(r.sheet.name, r.number): r for r in built.book.order}

    def edits(self) -> Edits:
        self._sheets()
        for sheet in self.fresh.sheets:
            if self._their(sheet) in self.theirs.sheets:
                self._align(sheet)
        for sheet in self.fresh.sheets:
            if self._their(sheet) in self.theirs.sheets:
                self._cells(sheet)
        self._names()
        self._stored()
        return self.result

    def note(self, place: str, kind: str, message: str) -> None:
        self.result.found.append(Edit(place, kind, message))

    def _their(self, sheet: str) -> str:
        return self.renamed.get(sheet, sheet)

    # -- sheets

    def _sheets(self) -> None:
        ours, their = list(self.fresh.sheets), list(self.theirs.sheets)
        missing = [s for s in ours if s not in their]
        extra = [s for s in their if s not in ours]
        for sheet in list(missing):
            title = self.fresh.sheets[sheet].get((1, 1), Cell()).value
            same = next((e for e in extra if title and self.theirs.sheets[e].get((1, 1), Cell()).value == title), None)
            if same is not None:
                self.renamed[sheet] = same
                missing.remove(sheet)
                extra.remove(same)
                self.note(sheet, "sheet renamed", f"the sheet is now called {same!r}")
        for sheet in missing:
            if sheet == audit_page.NAME:
                continue
            self.note(sheet, "sheet deleted", "the sheet is not in the book any more")
        for sheet in extra:
            self.note(sheet, "sheet added", "the sheet is not one of the book's own")
        known = {self._their(s): i for i, s in enumerate(ours)}
        order = [known[s] for s in their if s in known]
        kept = set(_longest_rising(order))
        for index in order:
            if index not in kept:
                self.note(ours[index], "sheet moved", "the sheet stands in another place")

    # -- rows

    def _keys(self, cells: dict[tuple[int, int], Cell]) -> list[str]:
        last = max((row for row, _ in cells), default=0)
        return [f"{self._text(cells, row, 1)}\n{self._text(cells, row, 2)}" for row in range(1, last + 1)]

    @staticmethod
    def _text(cells: dict[tuple[int, int], Cell], row: int, column: int) -> str:
        cell = cells.get((row, column), Cell())
        return "" if cell.value is None or cell.formula else str(cell.value)

    def _align(self, sheet: str) -> None:
        fresh, theirs = self.fresh.sheets[sheet], self.theirs.sheets[self._their(sheet)]
        ours, their = self._keys(fresh), self._keys(theirs)
        their += [""] * (len(ours) - len(their)) if ours[: len(their)] == their else []
        mapping: dict[int, int | None] = {row: row for row in range(1, len(ours) + 1)}
        if (len(ours) == len(their) or ours == their[: len(ours)]) and sum(a != b for a, b in zip(ours, their, strict=False)) <= 2:
            self.row_map[sheet] = mapping
            return
        gone, come = list[int](), list[int]()
        for tag, a1, a2, b1, b2 in difflib.SequenceMatcher(None, ours, their, autojunk=False).get_opcodes():
            paired = min(a2 - a1, b2 - b1) if tag in ("equal", "replace") else 0
            mapping.update({a1 + k + 1: b1 + k + 1 for k in range(paired)})
            gone += range(a1 + paired + 1, a2 + 1)
            come += range(b1 + paired + 1, b2 + 1)
        for row in gone:
            mapping[row] = None
            key = ours[row - 1]
            same = next((n for n in come if their[n - 1] == key and key.strip()), None)
            what = self._row_name(sheet, row)
            if same is not None:
                come.remove(same)
                mapping[row] = same
                self.note(f"{sheet}!{row}", "row moved", f"the row {what!r} stands in row {same} now")
            elif what:
                self.note(f"{sheet}!{row}", "row deleted", f"the row {what!r} is not there any more")
            elif any(key_row == row and not c.is_empty for (key_row, _), c in fresh.items()):
                self.note(f"{sheet}!{row}", "row deleted", "the row is not there any more")
        for row in come:
            if any(r == row and not c.is_empty for (r, _), c in theirs.items()):
                text = their[row - 1].replace("\n", " ").strip()
                self.note(f"{sheet}!{row}", "row added", f"a row that is not the book's own{f': {text!r}' if text else ''}")
        self.row_map[sheet] = mapping

    def _row_name(self, sheet: str, row: int) -> str:
        cells = self.fresh.sheets[sheet]
        if sheet == "Inputs":
            part, item = cells.get((row, 1), Cell()), cells.get((row, 2), Cell())
            return f"{part.value}, {item.value}" if item.value else ""
        return str(cells.get((row, 1), Cell()).value or "").replace("\n", " ").strip()

    # -- cells

    def _cells(self, sheet: str) -> None:
        fresh, theirs = self.fresh.sheets[sheet], self.theirs.sheets[self._their(sheet)]
        mapping = self.row_map[sheet]
        matched = set()
        for (row, column), ours in sorted(fresh.items()):
            their_row = mapping.get(row, row)
            if their_row is None:
                continue
            key = their_row, column
            matched.add(key)
            their = theirs.get(key, Cell())
            if self._is_input(sheet, column):
                continue
            edit = self._difference(sheet, row, column, ours, their)
            if edit is not None:
                self.touched.add((sheet, row, column))
                place = f"{self._their(sheet)}!{column_letters(column - 1)}{their_row}"
                what = self._named(sheet, row, column)
                self.note(place, edit[0], f"{what}: {edit[1]}" if what else edit[1])
        added_rows = {theirs_row for theirs_row, _ in theirs} - {r for r in mapping.values() if r is not None}
        for key, cell in sorted(theirs.items()):
            if key not in matched and key[0] not in added_rows and not cell.is_empty and not self._is_input(sheet, key[1]):
                place = f"{self._their(sheet)}!{column_letters(key[1] - 1)}{key[0]}"
                self.note(place, "cell added", f"holds {_shown(cell)}, where the book has nothing")
        last = max((row for row, _ in fresh), default=0)
        for row in sorted(r for r in added_rows if r > last and sheet not in ("Inputs",)):
            if any(k[0] == row and not c.is_empty for k, c in theirs.items()) and not any(
                e.place == f"{sheet}!{row}" for e in self.result.found
            ):
                self.note(f"{self._their(sheet)}!{row}", "row added", "a row that is not the book's own")

    @staticmethod
    def _is_input(sheet: str, column: int) -> bool:
        """Where people are meant to type."""
        if sheet == audit_page.NAME:
            typed = (audit_page.CLAIMED, audit_page.WITHIN, audit_page.AMOUNT, audit_page.WHY, audit_page.EVIDENCE)
            return column - 1 in typed
        return sheet == "Inputs" and column - 1 in (inputs_page.VALUE, inputs_page.NOTE)

    def _named(self, sheet: str, row: int, column: int) -> str:
        name = self._row_name(sheet, row)
        worked = self.worked.get((sheet, row))
        if worked is not None and worked.sheet.axis.name != "one":
            index = column - 1 - FIRST_COLUMN
            labels = worked.sheet.axis.labels
            return f"{name}, {labels[index]}" if 0 <= index < len(labels) else name
        return name

    def _difference(self, sheet: str, row: int, column: int, ours: Cell, their: Cell) -> tuple[str, str] | None:
        if ours.formula:
            return self._formula_difference(sheet, column, ours, their)
        if ours.is_empty:
            return None if their.is_empty else ("cell added", f"holds {_shown(their)}, where the book has nothing")
        if not their.formula and _same(ours.value, their.value, SAME):
            return None
        if sheet == "Tables" and isinstance(ours.value, float):
            self.tables.add(self._table(row))
            return "table value altered", f"{_shown(their)} in place of {_shown(ours)}"
        if sheet == "Inputs" and column - 1 == inputs_page.UNIT:
            return "unit altered", f"{_shown(their)} in place of {_shown(ours)}"
        kind = "number altered" if isinstance(ours.value, float) else "text altered"
        return kind, f"{_shown(their)} in place of {_shown(ours)}"

    def _formula_difference(self, sheet: str, column: int, ours: Cell, their: Cell) -> tuple[str, str] | None:
        gave = "" if ours.value in (None, "") else f" (it gives {_value(ours.value)})"
        if not their.formula:
            if their.is_empty:
                return "formula deleted", f"the formula is gone{gave}"
            what = "number" if isinstance(their.value, float) else "text"
            return "formula overtyped", f"the {what} {_value(their.value)} stands where a formula was{gave}"
        text = normal(their.formula)
        if text == normal(ours.formula):
            return None
        if self._shifted(sheet, ours.formula, text):
            return None
        if sheet == "Inputs" and column - 1 == inputs_page.USED:
            before, after = normal(ours.formula), text
            if _NUMBERS.sub("#", before) == _NUMBERS.sub("#", after):
                return "default altered", f"{_shown_formula(their.formula)} in place of {_shown_formula(ours.formula)}"
        return "formula changed", f"{_shown_formula(their.formula)} in place of {_shown_formula(ours.formula)}"

    def _shifted(self, sheet: str, ours: str, text: str) -> bool:
        """True if a formula differs only as it does when rows above were moved or a sheet renamed or deleted."""
        gone = [s for s in self.fresh.sheets if self._their(s) not in self.theirs.sheets]
        if not self.renamed and not gone and all(v == k for m in self.row_map.values() for k, v in m.items()):
            return False
        expected = normal(with_rows(ours, sheet, lambda s, r: self.row_map.get(s, {}).get(r, r), self._their))
        for one in gone:
            expected = re.sub(rf"\b{one.upper()}!\$?[A-Z]+\$?\d+(:\$?[A-Z]+\$?\d+)?", "#REF!", expected)
        return text == expected or ("#REF!" in text and _plain_references(text) == _plain_references(expected))

    def _table(self, row: int) -> str:
        """The table on the sheet Tables in which a row lies."""
        cells = self.fresh.sheets["Tables"]
        while row > 0 and cells.get((row + 1, 1), Cell()).value != "key":
            row -= 1
        return str(cells.get((row, 1), Cell()).value or "").replace(" ", "_")

    def _names(self) -> None:
        for name, text in self.fresh.names.items():
            if name.startswith("_xlnm"):
                continue
            their = self.theirs.names.get(name)
            if their is None:
                self.note(name, "name deleted", "the defined name is not in the book any more")
            elif normal(their) != normal(text) and not self._shifted("", text, normal(their)):
                self.note(name, "name changed", f"the defined name means {_shown_formula(their)} in place of {_shown_formula(text)}")

    # -- stored values

    def _stored(self) -> None:
        """A stored value is right if its formula gives it from the stored values that it reads, or if it is what a fresh book has."""
        formulas = [(s, k, c) for s, cells in self.theirs.sheets.items() for k, c in cells.items() if c.formula]
        if formulas and all(c.value is None for _, _, c in formulas):
            self.result.remarks.append(
                f"the file holds no values for its {len(formulas):,} formulas (it was saved by a program that does not work them out); "
                "stored values were not compared"
            )
            return
        edited = bool(self.result.found)
        values = self._stored_rows()
        for sheet, cells in self.fresh.sheets.items():
            theirs = self.theirs.sheets.get(self._their(sheet))
            if theirs is None:
                continue
            for (row, column), ours in sorted(cells.items()):
                their_row = self.row_map[sheet].get(row, row)
                if not ours.formula or their_row is None or (sheet, row, column) in self.touched or self._is_input(sheet, column):
                    continue
                their = theirs.get((their_row, column), Cell())
                if not their.formula or _same(ours.value, their.value, STORED):
                    continue
                expected = self._expected(sheet, row, column, ours, their, values, edited)
                if expected is not None and not _same(expected.value, their.value, STORED):
                    place = f"{self._their(sheet)}!{column_letters(column - 1)}{their_row}"
                    what = self._named(sheet, row, column)
                    told = f"the file stores {_shown(their)}, but the formula gives {_shown(expected)}"
                    self.note(place, "stored value", f"{what}: {told}" if what else told)

    def _stored_rows(self) -> Values:
        """The values of all worked lines as the file stores them."""
        inputs: dict[str, Any] = {}
        for line in self.built.making.inputs.lines:
            if ("Inputs", line.row, inputs_page.USED + 1) in self.touched:
                row = self.row_map["Inputs"].get(line.row)
                cell = self.theirs.sheets[self._their("Inputs")].get((row or line.row, inputs_page.USED + 1), Cell())
                blank: Any = np.nan if line.item.measure is not None else ""
                inputs[line.key] = blank if cell.value in (None, "") else cell.value
        values = Values(self.built.book.values, inputs=inputs)
        for worked in self.built.book.order:
            theirs = self.theirs.sheets.get(self._their(worked.sheet.name))
            number = self.row_map.get(worked.sheet.name, {}).get(worked.number, worked.number)
            if theirs is None or number is None or not worked.formula:
                continue
            read = [theirs.get((number, FIRST_COLUMN + 1 + i), Cell()).value for i in range(len(worked.sheet.axis.labels))]
            if worked.is_text:
                values[worked] = np.array(["" if v is None else str(v) for v in read], dtype=object)
            else:
                values[worked] = np.array([v if isinstance(v, float) else np.nan for v in read])
        return values

    def _expected(self, sheet: str, row: int, column: int, ours: Cell, their: Cell, values: Values, edited: bool) -> Cell | None:
        """What a cell should hold given what the file stores elsewhere; None where that cannot be told."""
        worked = self.worked.get((sheet, row))
        if worked is not None and worked.formula:
            if any(t and t in their.formula for t in self.tables) or not self._sound(worked):
                return None
            try:
                result = self.built.book.computed(worked, values)
            except BuildError:
                return None
            value = result[column - 1 - FIRST_COLUMN]
            return Cell(value=str(value)) if worked.is_text else Cell(value=None if np.isnan(value) else float(value))
        match = re.fullmatch(r"=(\w+)!\$?([A-Z]+)\$?(\d+)", their.formula)
        if match is not None and match[1] in self.theirs.sheets:
            return self.theirs.sheets[match[1]].get((int(match[3]), _column_number(match[2])), Cell())
        return None if edited else ours

    def _sound(self, row: Row) -> bool:
        """False where a row that this one reads is gone, so that its formula reads something else."""
        for read in self.built.book.reads(row)[0]:
            if read.number and self.row_map.get(read.sheet.name, {}).get(read.number, read.number) is None:
                return False
            if self._their(read.sheet.name) not in self.theirs.sheets:
                return False
        return True


_NUMBERS = re.compile(r'"[^"]*"|(?<![\w.$])\d+\.?\d*(?:[eE][+-]?\d+)?')


def _plain_references(text: str) -> str:
    return re.sub(r"(?:\w+!)?#REF!(?::\$?[A-Z]+\$?\d+)?|'#REF'!\S+", "#REF!", text)


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def _longest_rising(order: Sequence[int]) -> list[int]:
    """The longest rising part of a sequence: what is not in it was moved."""
    best: list[list[int]] = []
    for one in order:
        before = max((b for b in best if b[-1] < one), key=len, default=[])
        best.append([*before, one])
    return max(best, key=len, default=[])


def _same(ours: float | str | None, theirs: float | str | None, tolerance: float) -> bool:
    if isinstance(ours, float) and isinstance(theirs, float):
        return abs(ours - theirs) <= tolerance * max(abs(ours), abs(theirs), 1e-6)
    return (ours if ours is not None else "") == (theirs if theirs is not None else "")


def _value(value: float | str | None) -> str:
    return f"{value:,.7g}" if isinstance(value, float) else f"{value!r}" if value else "nothing"


def _shown(cell: Cell) -> str:
    return _shown_formula(cell.formula) if cell.formula else _value(cell.value)


def _shown_formula(text: str) -> str:
    text = text if text.startswith("=") else f"={text}"
    return text if len(text) <= 70 else text[:69] + "…"


def edited_report(file: str, edits: Edits) -> str:
    """What was changed, on a page."""
    count = len(edits.found)
    head = f"{file}: as it was written" if not count else f"{file}: {count} {'change' if count == 1 else 'changes'}"
    lines = [head]
    lines += list(_listed(edits.found))
    lines += [f"  {r}" for r in edits.remarks]
    return "\n".join(lines)


def _listed(found: Sequence[Edit]) -> Iterator[str]:
    shown: dict[str, int] = {}
    total = 0
    for edit in found:
        sheet = edit.place.partition("!")[0]
        shown[sheet] = shown.get(sheet, 0) + 1
        if total < SHOWN and shown[sheet] <= SHOWN_A_SHEET:
            total += 1
            yield from textwrap.wrap(f"{edit.place}  {edit.kind}: {edit.message}", WIDTH, initial_indent="  ", subsequent_indent="      ")
    left = len(found) - total
    if left:
        yield f"  and {left} more; --json lists all"


def edited_json(file: str, edits: Edits) -> str:
    """The same for machines."""
    changes = [{"place": e.place, "kind": e.kind, "message": e.message} for e in edits.found]
    return json.dumps({"file": file, "changes": changes, "remarks": edits.remarks}, ensure_ascii=False, indent=2)
