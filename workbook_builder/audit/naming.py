"""What can be claimed: any result of any worked line, by the words of the trade or by the line's own label."""

from __future__ import annotations

import csv
import difflib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from workbook_builder.build import Built
from workbook_builder.model.rows import Heading, Row
from workbook_builder.sheets.pages.figures import blocks
from workbook_builder.sheets.sizing.cascade import WHILE_DRAWN
from workbook_builder.table.vocabulary import MONTHS

# Parts of the whole job, each with the sheet where its results are looked for first.
WHOLE = {"job": "", "boiler": "Boiler", "wood": "Year", "cords": "Year", "season": "Year", "money": "Money", "site": "Boiler"}
# A part whose short words are those of another.
SAME_WORDS = {"wood": "cords", "season": "cords"}
ACROSS = ("run", "load", "fuel today")
# A what-if case: found under its own heading only.
BY_HEADING_ONLY = (WHILE_DRAWN,)
NEAREST = 3


class NamingError(ValueError):
    """There is no such part, or the part has no such result."""


@dataclass(frozen=True)
class Place:
    """One cell of a worked line."""

    row: Row
    column: int

    @property
    def address(self) -> str:
        return self.row.address(self.column)


@dataclass(frozen=True)
class Word:
    """A short word of the trade for one line."""

    part: str
    word: str
    sheet: str
    heading: str
    label: str


@cache
def words() -> tuple[Word, ...]:
    """The short words, from ``words.csv``."""
    text = (files(__package__) / "words.csv").read_text(encoding="utf-8")
    return tuple(Word(**row) for row in csv.DictReader(text.splitlines()))


class Names:
    """Every result of a book by what it may be called."""

    def __init__(self, built: Built) -> None:
        self.built = built
        self.of_axis: dict[str, dict[str, list[Row]]] = {}
        # The Summary's own words come first: what it shows, claimed as it stands, is what it shows.
        self.shown = {(b.axis, f.label.casefold()): f.row for b in blocks(built.sizing) for f in b.figures}
        self.headed: dict[tuple[str, str, str], Row] = {}
        self.labelled: dict[tuple[str, str], Row] = {}
        for sheet in built.book.sheets.values():
            heading = ""
            for _, item in sheet.items:
                if isinstance(item, Heading):
                    heading = item.text
                    continue
                if item.folded:  # a step of an iteration is no result
                    continue
                self.headed[sheet.name, heading, item.label] = item
                self.labelled[sheet.name, item.label] = item
                known = self.of_axis.setdefault(item.axis.name, {})
                names = [f"{sheet.name}: {heading}: {item.label}", f"{heading}: {item.label}"]
                if heading not in BY_HEADING_ONLY:
                    names += [item.label, f"{sheet.name}: {item.label}"]
                for name in names:
                    known.setdefault(name.casefold(), []).append(item)

    def place(self, part: str, item: str) -> Place:
        """The cell that a claim is about; NamingError with the nearest names if there is none."""
        axis, column, family = self._part(part)
        asked = " ".join(item.split()).casefold()
        row = self.shown.get((axis, asked)) or self._by_word(SAME_WORDS.get(family, family), asked) or self._by_label(axis, family, asked)
        if row is None:
            raise NamingError(self._unknown(axis, family, item, asked))
        return Place(row, column)

    def _part(self, part: str) -> tuple[str, int, str]:
        """The axis, the column on it and the family of a part."""
        folded = " ".join(part.split()).casefold()
        if folded in WHOLE:
            return "one", 0, folded
        # In the order of their columns, which of loads is the water's.
        for family, names in (*self.built.context.inputs.names.items(), ("month", MONTHS)):
            if not folded.startswith(family + " "):
                continue
            name = folded[len(family) + 1 :]
            known = [n.casefold() for n in names]
            if name in known:
                return family, known.index(name), family
            near = difflib.get_close_matches(name, known, 1, 0.6)
            hint = f"; did you mean {names[known.index(near[0])]!r}?" if near else ""
            raise NamingError(f"there is no {family} {part[len(family) + 1 :]!r}{hint} ({', '.join(names) or 'none is given'})")
        parts = [*WHOLE, *(f"{a} NAME" for a in ACROSS), "month NAME"]
        raise NamingError(f"{part!r} is not a part; a claim is about: {', '.join(parts)}")

    def _by_word(self, family: str, asked: str) -> Row | None:
        families = (family,) if family != "job" else ("boiler", "cords", "money", "site")
        for one in families:
            for word in words():
                if word.part == one and word.word == asked:
                    return self.of_word(word)
        return None

    def of_word(self, word: Word) -> Row:
        """The line that a short word stands for."""
        return self.headed[word.sheet, word.heading, word.label] if word.heading else self.labelled[word.sheet, word.label]

    def _by_label(self, axis: str, family: str, asked: str) -> Row | None:
        found = self.of_axis.get(axis, {}).get(asked, [])
        own = [r for r in found if r.sheet.name == WHOLE.get(family)]
        # The last line of a label is the one that the others lead to; helping lines come last.
        ranked = sorted(own or found, key=lambda r: (r.depth == 0,))
        return ranked[-1] if ranked else None

    def _unknown(self, axis: str, family: str, item: str, asked: str) -> str:
        shorts = [w.word for w in words() if w.part == SAME_WORDS.get(family, family)]
        labels = {n: r.label for n, rows in self.of_axis.get(axis, {}).items() for r in rows if ":" not in n}
        near = difflib.get_close_matches(asked, [*shorts, *labels], NEAREST, 0.5)
        if not near:
            inside = [n for n in (*shorts, *labels) if any(w in n for w in asked.split() if len(w) > 3)]
            near = inside[:NEAREST] or shorts[:NEAREST]
        shown = ", ".join(repr(labels.get(n, n)) for n in dict.fromkeys(near))
        return f"{item!r} is not a result of a {family}; nearest: {shown}"
