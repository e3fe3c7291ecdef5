"""How the sheets and rows of a given book lie against those of a fresh one: what was moved, deleted, put in or renamed."""

from __future__ import annotations

import difflib
import re
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from workbook_builder.build import Built
from workbook_builder.model.rows import FIRST_COLUMN, HEADING_ROW, column_letters
from workbook_builder.model.typed_sheets import JOB, TYPED_SHEETS

from . import page as audit_page
from .cells import Cell, CellKey, Cells, normal, with_rows
from .changes import Edits

FEW = 2  # labels that differ in place in a sheet of as many rows: they were altered, and no row was moved
# Rows between two that are surely the same are compared each with each up to this many pairs.
MOST_PAIRS = 200_000
Block = tuple[range, range]  # rows of the fresh sheet and of the given one, counted from 0


class Layout:
    """Where each sheet and each row of a fresh book stands in a given one."""

    def __init__(self, built: Built, fresh: Cells, theirs: Cells, edits: Edits) -> None:
        self.fresh, self.theirs, self.edits = fresh, theirs, edits
        self.worked = {
            (r.sheet.name, r.number, r.first_column + 1 + index): r for r in built.book.order for index in range(len(r.axis.labels))
        }
        self.renamed: dict[str, str] = {}
        self.rows: dict[str, dict[int, int | None]] = {}
        self.added: dict[str, set[int]] = {}
        self._sheets()
        self.gone = [s for s in fresh.sheets if self.title(s) not in theirs.sheets]
        for sheet in self.there():
            self._align(sheet)
        self.moved = bool(self.renamed or self.gone) or any(v != k for m in self.rows.values() for k, v in m.items())

    # -- where things are

    def title(self, sheet: str) -> str:
        """What a sheet is called in the given book."""
        return self.renamed.get(sheet, sheet)

    def there(self) -> list[str]:
        """The sheets that the given book has."""
        return [s for s in self.fresh.sheets if s not in self.gone]

    def cells(self, sheet: str) -> dict[CellKey, Cell]:
        """What the given book holds on a sheet; nothing if the sheet is gone."""
        return self.theirs.sheets.get(self.title(sheet), {})

    def row(self, sheet: str, row: int) -> int | None:
        """Where a row stands in the given book; None if it is gone."""
        return self.rows.get(sheet, {}).get(row, row)

    def place(self, sheet: str, row: int, column: int) -> str:
        """The address in the given book."""
        return f"{self.title(sheet)}!{column_letters(column - 1)}{row}"

    def row_name(self, sheet: str, row: int) -> str:
        """A row by its label."""
        return str(self.fresh.sheets[sheet].get((row, 1), Cell()).value or "").replace("\n", " ").strip()

    def cell_name(self, sheet: str, row: int, column: int) -> str:
        """A cell by the label of its row and, of several runs or loads, the one it is about."""
        name = self.row_name(sheet, row)
        if sheet in TYPED_SHEETS and name and column > FIRST_COLUMN:
            head = self.fresh.sheets[sheet].get((HEADING_ROW, column), Cell()).value
            return f"{name}, {head}" if sheet != JOB and head else name
        worked = self.worked.get((sheet, row, column))
        if worked is None or worked.is_scalar:
            return name
        return f"{name}, {worked.axis.labels[column - 1 - worked.first_column]}"

    # -- references

    def followed(self, formula: str, sheet: str) -> str:
        """A formula of the fresh book, in its normal form, as it reads after its references followed all that was moved."""
        expected = normal(with_rows(formula, sheet, self.row, self.title))
        for one in self.gone:
            expected = re.sub(rf"\b{one.upper()}!\$?[A-Z]+\$?\d+(:\$?[A-Z]+\$?\d+)?", "#REF!", expected)
        return expected

    def explains(self, formula: str, sheet: str, text: str) -> bool:
        """True if a formula differs only as it does when rows above were moved or a sheet renamed or deleted."""
        if not self.moved:
            return False
        expected = self.followed(formula, sheet)
        return text == expected or ("#REF!" in text and _plain_references(text) == _plain_references(expected))

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
                self.edits.note(sheet, "sheet renamed", f"the sheet is now called {same!r}")
        for sheet in missing:
            if sheet != audit_page.NAME:
                self.edits.note(sheet, "sheet deleted", "the sheet is not in the book any more")
        for sheet in extra:
            self.edits.note(sheet, "sheet added", "the sheet is not one of the book's own")
        known = {self.title(s): i for i, s in enumerate(ours)}
        order = [known[s] for s in their if s in known]
        kept = set(_longest_rising(order))
        for index in order:
            if index not in kept:
                self.edits.note(ours[index], "sheet moved", "the sheet stands in another place")

    # -- rows

    def _align(self, sheet: str) -> None:
        ours, their = _keys(self.fresh.sheets[sheet]), _keys(self.cells(sheet))
        their += [""] * (len(ours) - len(their)) if ours[: len(their)] == their else []
        mapping: dict[int, int | None] = {row: row for row in range(1, len(ours) + 1)}
        self.rows[sheet] = mapping
        if _in_place(ours, their) or ours == their[: len(ours)]:
            self._note_added(sheet, range(len(ours) + 1, len(their) + 1), their)
            return
        gone, come = list[int](), list[int]()
        for a, b in side_by_side(ours, their):
            paired = min(len(a), len(b))
            mapping.update({x + 1: y + 1 for x, y in zip(a, b, strict=False)})
            gone += [x + 1 for x in a[paired:]]
            come += [y + 1 for y in b[paired:]]
        come_of: dict[str, list[int]] = {}
        for row in reversed(come):
            come_of.setdefault(their[row - 1], []).append(row)
        filled = _filled(self.fresh.sheets[sheet])
        for row in gone:
            key, what = ours[row - 1], self.row_name(sheet, row)
            mapping[row] = come_of[key].pop() if key.strip() and come_of.get(key) else None
            if mapping[row] is not None:
                self.edits.note(f"{sheet}!{row}", "row moved", f"the row {what!r} stands in row {mapping[row]} now")
            elif what or row in filled:
                self.edits.note(f"{sheet}!{row}", "row deleted", f"the row {f'{what!r} ' if what else ''}is not there any more")
        taken = set(mapping.values())
        self._note_added(sheet, [row for row in come if row not in taken], their)

    def _note_added(self, sheet: str, rows: Sequence[int], keys: Sequence[str]) -> None:
        """Rows put in, those that stand together as one edit."""
        self.added[sheet] = set(rows)
        filled = _filled(self.cells(sheet))
        for first, last in _stretches(row for row in rows if row in filled):
            if first == last:
                text = keys[first - 1].replace("\n", " ").strip()
                self.edits.note(f"{sheet}!{first}", "row added", f"a row that is not the book's own{f': {text!r}' if text else ''}")
            else:
                self.edits.note(f"{sheet}!{first}:{last}", "row added", f"{last - first + 1:,} rows that are not the book's own")


def _keys(cells: Mapping[CellKey, Cell]) -> list[str]:
    """What each row is known by: its label and its unit."""
    last = max((row for row, _ in cells), default=0)
    return [f"{_text(cells, row, 1)}\n{_text(cells, row, 2)}" for row in range(1, last + 1)]


def _in_place(ours: Sequence[str], their: Sequence[str]) -> bool:
    """True if every row stands where it was, with no more than a few labels altered."""
    other = [(a, b) for a, b in zip(ours, their, strict=False) if a != b]
    return len(ours) == len(their) and len(other) <= FEW and {a for a, _ in other}.isdisjoint(b for _, b in other)


def _text(cells: Mapping[CellKey, Cell], row: int, column: int) -> str:
    cell = cells.get((row, column), Cell())
    return "" if cell.value is None or cell.formula else str(cell.value)


def _filled(cells: Mapping[CellKey, Cell]) -> set[int]:
    """The rows with something in them."""
    return {row for (row, _), cell in cells.items() if not cell.is_empty}


def _stretches(rows: Iterator[int]) -> Iterator[tuple[int, int]]:
    """First and last of the rows that follow one another."""
    first = last = None
    for row in rows:
        if first is None or last is None or row != last + 1:
            if first is not None and last is not None:
                yield first, last
            first = row
        last = row
    if first is not None and last is not None:
        yield first, last


def side_by_side(ours: Sequence[str], their: Sequence[str]) -> Iterator[Block]:
    """Two lists of keys in blocks of rows that belong together, in a time that hardly grows faster than their length.

    First what stands once on either side and in the same order holds the two together; what is left between is
    compared each with each where it is little.
    """
    a = b = 0
    for x, y in [*_anchors(ours, their), (len(ours), len(their))]:
        yield from _between(ours, their, range(a, x), range(b, y))
        if x < len(ours):
            yield range(x, x + 1), range(y, y + 1)
        a, b = x + 1, y + 1


def _anchors(ours: Sequence[str], their: Sequence[str]) -> list[tuple[int, int]]:
    """Pairs of rows whose key stands once on either side, as many as can be in order."""
    once, there_once = (_once(keys) for keys in (ours, their))
    pairs = [(once[key], there_once[key]) for key in once if key in there_once]
    rising = set(_longest_rising([y for _, y in pairs]))
    return [(x, y) for x, y in pairs if y in rising]


def _once(keys: Sequence[str]) -> dict[str, int]:
    counts = Counter(keys)
    return {key: index for index, key in enumerate(keys) if counts[key] == 1}


def _between(ours: Sequence[str], their: Sequence[str], a: range, b: range) -> Iterator[Block]:
    while a and b and ours[a[0]] == their[b[0]]:
        yield a[:1], b[:1]
        a, b = a[1:], b[1:]
    ends: list[Block] = []
    while a and b and ours[a[-1]] == their[b[-1]]:
        ends.append((a[-1:], b[-1:]))
        a, b = a[:-1], b[:-1]
    if not a or not b or len(a) * len(b) > MOST_PAIRS:
        yield a, b[:0]
        yield a[:0], b
    else:
        matcher = difflib.SequenceMatcher(None, [ours[x] for x in a], [their[y] for y in b], autojunk=False)
        yield from ((a[a1:a2], b[b1:b2]) for _, a1, a2, b1, b2 in matcher.get_opcodes())
    yield from reversed(ends)


def _longest_rising(order: Sequence[int]) -> list[int]:
    """The longest rising part of a sequence: what is not in it was moved."""
    ends: list[int] = []  # the least end of a rising part of each length
    places: list[int] = []
    for one in order:
        place = bisect_left(ends, one)
        ends[place : place + 1] = [one]
        places.append(place)
    found, wanted = list[int](), len(ends) - 1
    for one, place in zip(reversed(order), reversed(places), strict=True):
        if place == wanted:
            found.append(one)
            wanted -= 1
    return found[::-1]


def _plain_references(text: str) -> str:
    return re.sub(r"(?:\w+!)?#REF!(?::\$?[A-Z]+\$?\d+)?|'#REF'!\S+", "#REF!", text)
