"""A book of ours against what its own inputs give today: every cell that somebody changed.

The inputs are read back, the book is made anew in memory, and the two are laid side by side.  What an office
program does on its own (recalculating, shifting references when rows move) is no edit.
"""

from __future__ import annotations

import re
import zipfile
from collections import Counter
from dataclasses import replace
from pathlib import Path

from hydrocalc.measures import System
from workbook_builder.build import SHEETS, Built, build
from workbook_builder.model.typed_sheets import DEFAULT, JOB, TYPED_SHEETS, UNIT
from workbook_builder.sheets.pages.summary import CAUTION, DATED
from workbook_builder.table.job import Claim, Job
from workbook_builder.table.reader import read_job
from workbook_builder.table.rows import listed, refuse
from workbook_builder.table.xlsx_reader import check_archive

from . import page as audit_page
from .alignment import Layout
from .cells import Cell, CellKey, Cells, file_cells, fresh_cells, normal, same_value
from .changes import Edits, shown_cell, shown_formula, shown_value
from .stored import Place, Stored

SAME = 1e-9  # of typed numbers, relative
LEAST_SHEETS = 5
TITLE_CELL = (2, 1)  # where every sheet has the title of the job, as it was when the book was written


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
    return len(titles & {sheet.name for sheet in SHEETS if sheet.write is None}) >= LEAST_SHEETS


def compare(path: Path) -> Edits:
    """What was changed in a book of ours; InputError if its inputs cannot be read."""
    theirs = file_cells(path)
    for sheet in TYPED_SHEETS:
        if sheet not in theirs.sheets:
            raise refuse(path.name, f"the book has no sheet {sheet} any more; without its inputs it cannot be compared")
    system = _system(theirs)
    job = read_job(path, incomplete=True)
    job.claims = _claims(theirs)
    edits = compared(_rebuilt(job, system), theirs)
    edits.remarks += listed(job.remarks)
    return edits


def compared(built: Built, theirs: Cells) -> Edits:
    """What is other in these cells than in a book of this job."""
    return _Comparison(built, fresh_cells(built), theirs).edits()


def _system(theirs: Cells) -> System:
    units = {cell.value for (_, column), cell in theirs.sheets[JOB].items() if column == UNIT + 1}
    return "metric" if "°C" in units else "us"


def _rebuilt(job: Job, system: System) -> Built:
    from .claims import check_claims

    built = build(job, system)
    if not job.claims:
        return built
    checked = check_claims(built)
    return replace(built, audit=lambda writer: audit_page.write_audit(writer, checked))


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
        self._dated()
        self.layout = Layout(built, fresh, theirs, self.result)
        self.touched: set[Place] = set()
        self.tables: set[str] = set()
        self.called = self._called()
        self.typed = {(line.sheet, line.row, line.column + 1) for line in built.context.inputs.lines}
        self.ranges = built.context.inputs.ranges_row
        self.left_behind = 0  # formulas whose references did not follow rows that were moved

    def edits(self) -> Edits:
        for sheet in self.layout.there():
            self._cells(sheet)
        self._names()
        if self.left_behind:
            self.result.remarks.append(
                f"{self.left_behind:,} formulas did not follow the rows and sheets that were moved or deleted: they read other cells now"
            )
        Stored(self.built, self.layout, self.touched, self.tables).compare(self.result)
        return self.result

    # -- what is of the day on which the book was written

    def _dated(self) -> None:
        """Typed figures and headings that follow no change of the inputs: other ones are no edit, but are told."""
        ours, their = ([c for cells in book.sheets.values() for c in _cut_out(cells)] for book in (self.fresh, self.theirs))
        if their and not _alike(ours, their):
            self.result.remarks.append(
                f"Summary, from {DATED!r} on: the figures are of the day the book was written, and not what its inputs give now; "
                "the inputs were changed since, or the figures were"
            )
        title = str(self.built.job.value("job", "title") or "")
        places = [s for s, cells in self.fresh.sheets.items() if cells.get(TITLE_CELL, Cell()).value == title and s in self.theirs.sheets]
        shown = Counter(str(self.theirs.sheets[s].get(TITLE_CELL, Cell()).value or "") for s in places)
        most = shown.most_common(1)[0][0] if shown else title
        if most != title:
            self.result.remarks.append(f"the sheets are still headed {most!r}, while the job's title is {title!r} on Job")
            for sheet in places:
                self.fresh.sheets[sheet][TITLE_CELL] = Cell(value=most)

    def _called(self) -> dict[str, str]:
        """What the typed labels still call a run, a load or a fuel that was given another name."""
        found: dict[str, str] = {}
        job = self.built.job
        for name in (*job.runs, *job.loads, *job.fuels):
            sheets = {r.sheet.name for r in self.built.book.order if name in r.label}
            votes: Counter[str] = Counter()
            for sheet in sheets.intersection(self.layout.there()):
                theirs = self.layout.cells(sheet)
                for (row, column), ours in self.fresh.sheets[sheet].items():
                    if isinstance(ours.value, str) and not ours.formula and name in ours.value:
                        before, _, after = ours.value.partition(name)
                        their = theirs.get((self.layout.row(sheet, row) or 0, column), Cell()).value
                        match = re.fullmatch(f"{re.escape(before)}(.+){re.escape(after)}", str(their or ""))
                        votes[match[1] if match else name] += 1
            most = votes.most_common(1)[0][0] if votes else name
            if most != name:
                found[name] = most
                self.result.remarks.append(f"labels still say {most!r} for what is called {name!r} now")
        return found

    # -- cells

    def _cells(self, sheet: str) -> None:
        fresh, theirs = self.fresh.sheets[sheet], self.layout.cells(sheet)
        added, matched = self.layout.added[sheet], set()
        for (row, column), ours in sorted(fresh.items()):
            their_row = self.layout.row(sheet, row)
            if their_row is None:
                continue
            matched.add((their_row, column))
            if self._is_input(sheet, row, column):
                continue
            edit = self._difference(sheet, row, column, ours, theirs.get((their_row, column), Cell()))
            if edit is not None:
                self.touched.add((sheet, row, column))
                what = self.layout.cell_name(sheet, row, column)
                self.result.note(self.layout.place(sheet, their_row, column), edit[0], f"{what}: {edit[1]}" if what else edit[1])
        for (row, column), cell in sorted(theirs.items()):
            if (row, column) not in matched and row not in added and not cell.is_empty and not self._is_input(sheet, row, column):
                self.result.note(
                    self.layout.place(sheet, row, column), "cell added", f"holds {shown_cell(cell)}, where the book has nothing"
                )

    def _is_input(self, sheet: str, row: int, column: int) -> bool:
        """Where people are meant to type; row and column in the fresh book."""
        if sheet == audit_page.NAME:
            typed = (audit_page.CLAIMED, audit_page.WITHIN, audit_page.AMOUNT, audit_page.WHY, audit_page.EVIDENCE)
            return column - 1 in typed
        return (sheet, row, column) in self.typed or (sheet == JOB and row > self.ranges)

    def _difference(self, sheet: str, row: int, column: int, ours: Cell, their: Cell) -> tuple[str, str] | None:
        if ours.formula:
            return self._formula_difference(sheet, column, ours, their)
        if ours.is_empty:
            return None if their.is_empty else ("cell added", f"holds {shown_cell(their)}, where the book has nothing")
        if not their.formula and same_value(ours.value, their.value, SAME):
            return None
        if isinstance(ours.value, str) and any(ours.value.replace(new, old) == their.value for new, old in self.called.items()):
            return None
        kind = "number altered" if isinstance(ours.value, float) else "text altered"
        if sheet == "Tables" and isinstance(ours.value, float):
            self.tables.add(self._table(row))
            kind = "table value altered"
        elif sheet in TYPED_SHEETS and column - 1 in (UNIT, DEFAULT):
            kind = "unit altered" if column - 1 == UNIT else "default altered"
        return kind, f"{shown_cell(their)} in place of {shown_cell(ours)}"

    def _formula_difference(self, sheet: str, column: int, ours: Cell, their: Cell) -> tuple[str, str] | None:
        gave = "" if ours.value in (None, "") else f" (it gives {shown_value(ours.value)})"
        if not their.formula:
            if their.is_empty:
                return "formula deleted", f"the formula is gone{gave}"
            what = "number" if isinstance(their.value, float) else "text"
            return "formula overtyped", f"the {what} {shown_value(their.value)} stands where a formula was{gave}"
        text = normal(their.formula)
        if text == normal(ours.formula):
            self.left_behind += self.layout.moved and self.layout.followed(ours.formula, sheet) != text
            return None
        if self.layout.explains(ours.formula, sheet, text):
            return None
        told = f"{shown_formula(their.formula)} in place of {shown_formula(ours.formula)}"
        return "formula changed", told

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
                self.result.note(name, "name deleted", "the defined name is not in the book any more")
            elif normal(their) != normal(text) and not self.layout.explains(text, "", normal(their)):
                self.result.note(name, "name changed", f"the defined name means {shown_formula(their)} in place of {shown_formula(text)}")


def _cut_out(cells: dict[CellKey, Cell]) -> list[Cell]:
    """Takes what is of the day off the cells of a sheet, and gives it; only the Summary has any."""
    first = {str(cell.value): row for (row, column), cell in cells.items() if column == 1}
    if DATED not in first:
        return []
    until = first.get(CAUTION, max(row for row, _ in cells) + 1)
    return [cells.pop(key) for key in sorted(cells) if first[DATED] < key[0] < until]


def _alike(ours: list[Cell], their: list[Cell]) -> bool:
    filled = [[c for c in cells if not c.is_empty] for cells in (ours, their)]
    return len(filled[0]) == len(filled[1]) and all(
        a.formula == b.formula and same_value(a.value, b.value, SAME) for a, b in zip(*filled, strict=True)
    )
