"""What is still needed, in the book: the rules that ``fill`` asks of a table, as formulas about the cells that are typed into.

Each item that can be needed has a row at the foot of its sheet, with a cell for each run, load or fuel: empty, or the item's name.
What stands at the head of a column, and on Contents, is gathered from these.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from workbook_builder.formula.printing import COLUMN
from workbook_builder.table import vocabulary
from workbook_builder.table.needed import Need, needs_of
from workbook_builder.table.vocabulary import NAME

from .input_line import InputLine
from .rows import FIRST_COLUMN, column_letters
from .typed_sheets import JOB, SHEET_OF, SOLD_IN, STATUS_ROW, TYPED_SHEETS, USED, last_row, name_row, row_of, typed_rows

COMPLETE = "Nothing is missing"
SEPARATOR = "; "
AT_THE_FUELS = ", named above the fuel"  # where nothing else of Job is needed
AT_LEAST_ONE = ("run", "load")  # a job has one of each


@dataclass(frozen=True)
class NeededRow:
    """An item that can be needed: its row at the foot of the sheet, the formula of its cells, and their texts as the book is written."""

    number: int
    family: str
    item: str
    formula: str
    texts: tuple[str, ...]
    remedy: str  # what to give


@dataclass(frozen=True)
class _Part:
    """A part, for both sides of a rule: the values that stand there, and the cells in which they stand."""

    lines: Mapping[str, InputLine]
    fuels: Sequence[str]
    uses: frozenset[str]  # the fuels whose use is given

    # -- the values

    def given(self, item: str) -> bool:
        return item in self.lines and self.lines[item].typed is not None

    def word(self, item: str) -> str | None:
        value = self.lines[item].used if item in self.lines else None
        return value if isinstance(value, str) else None

    def amount(self, item: str) -> float:
        value = self.lines[item].used if item in self.lines else None
        return value if isinstance(value, float) else 0.0

    def fuels_use_given(self) -> bool:
        return (self.word("fuel today") or (self.fuels[0] if self.fuels else "")) in self.uses

    # -- the cells

    def typed(self, item: str) -> str | None:
        return self.lines[item].own if item in self.lines else None

    def used(self, item: str) -> str | None:
        if item not in self.lines:
            return None
        line = self.lines[item]
        if line.part in vocabulary.SINGLE:
            return f"${column_letters(USED)}{line.row}"
        return line.own if line.default is None else f'IF({line.own}="",{line.default_cell},{line.own})'

    def fuels_use(self) -> str:
        if not self.fuels or "fuel today" not in self.lines:
            return "FALSE"
        names, uses = (span(JOB, row, len(self.fuels)) for row in (name_row("fuel today"), row_of("fuel today", "use")))
        chosen, first = self.lines["fuel today"].own, f"{JOB}!${column_letters(FIRST_COLUMN)}${name_row('fuel today')}"
        return f'SUMPRODUCT(({names}=IF({chosen}="",{first},{chosen}))*({uses}<>""))>0'


def span(sheet: str, row: int, count: int) -> str:
    """All columns of a row, and the empty one behind them: a column that is put in before it is one of them."""
    first, last = column_letters(FIRST_COLUMN), column_letters(FIRST_COLUMN + count)
    return f"{sheet}!${first}${row}:${last}${row}"


class Needs:
    """What the inputs of a book still need."""

    def __init__(self, lines: Sequence[InputLine], names: Mapping[str, Sequence[str]]) -> None:
        self.names = names
        parts: dict[str, dict[str, InputLine]] = {}
        for line in lines:
            parts.setdefault(line.part, {})[line.item.name] = line
        uses = frozenset(name for name in names["fuel today"] if parts[f"fuel today {name}"]["use"].typed is not None)
        self.parts = {part: _Part(items, names["fuel today"], uses) for part, items in parts.items()}
        self.rows = {sheet: tuple(self._rows(sheet)) for sheet in TYPED_SHEETS}

    def columns(self, family: str) -> tuple[str, ...]:
        """The parts of a family, one a column."""
        return tuple(f"{family} {name}" for name in self.names[family]) if family in self.names else (family,)

    @property
    def missing(self) -> list[tuple[str, str]]:
        """The parts and items that are needed as the book is written, sheet by sheet."""
        return [
            (part, row.item)
            for sheet in TYPED_SHEETS
            for row in self.rows[sheet]
            for part, text in zip(self.columns(row.family), row.texts, strict=True)
            if text
        ]

    def number_missing(self, sheet: str) -> int:
        """How many items are needed on a sheet."""
        return sum(bool(text) for row in self.rows[sheet] for text in row.texts)

    def told(self, sheet: str) -> str:
        """What the third row of a sheet says: on Job the items by name, elsewhere where they stand."""
        number = self.number_missing(sheet)
        if not number:
            return COMPLETE
        single = [row for row in self.rows[sheet] if row.family in vocabulary.SINGLE]
        names = "".join(row.texts[0] for row in single)[len(SEPARATOR) :]
        if sheet != JOB:
            return f"{number} needed, named in row {STATUS_ROW}"
        return f"{number} needed: {names}" if names else f"{number} needed{AT_THE_FUELS}"

    def _rows(self, sheet: str) -> Iterator[NeededRow]:
        number = last_row(sheet) + 2  # below the heading of this block
        for family, item in self._items(sheet):
            parts = [self.parts[part] for part in self.columns(family)]
            if not parts:
                continue
            rules = needs_of(family, item)
            if item == NAME:
                test, holds, remedy = self._at_least_one(family, parts)
            else:
                tests = [need.when.text(parts[0]) for need in rules]
                test = tests[0] if len(tests) == 1 else f"OR({','.join(tests)})"
                holds = [any(need.when.holds(part) for need in rules) for part in parts]
                if family in vocabulary.NAMED:  # of a column in which nothing is typed nothing is needed
                    test = f"AND({anything(sheet, family)},{test})"
                    holds = [held and _is_used(part) for held, part in zip(holds, parts, strict=True)]
                remedy = _remedy(rules)
            yield NeededRow(
                number, family, item, f'IF({test},"{SEPARATOR}{item}","")', tuple(SEPARATOR + item if h else "" for h in holds), remedy
            )
            number += 1

    @staticmethod
    def _items(sheet: str) -> Iterator[tuple[str, str]]:
        """What can be needed on a sheet, in the order of its rows."""
        for family in (family for family in AT_LEAST_ONE if SHEET_OF[family] == sheet):
            yield family, NAME
        for row in typed_rows(sheet):
            if row.item is not None and needs_of(row.family, row.item.name):
                yield row.family, row.item.name

    def _at_least_one(self, family: str, parts: Sequence[_Part]) -> tuple[str, list[bool], str]:
        """A job has a run and a load; the first column says so while none is begun."""
        sheet, first = SHEET_OF[family], column_letters(FIRST_COLUMN)
        last = column_letters(FIRST_COLUMN + len(parts))
        rows = [row.number for row in typed_rows(sheet) if row.item is not None]
        begun = f"COUNTA(${first}${rows[0]}:${last}${rows[-1]})"
        none = not any(map(_is_used, parts))
        # In the first column alone: the name before it is the heading of the defaults.
        test = f"AND(COLUMN({COLUMN}{rows[0]})={FIRST_COLUMN + 1},{begun}=0)"
        return test, [none and part is parts[0] for part in parts], f"a job needs at least one {family}"


def anything(sheet: str, family: str) -> str:
    """Something is typed in the column, beside its name; cells with formulas of our own are left out."""
    stretches: list[list[int]] = []
    after_formula = False
    for row in typed_rows(sheet):
        if row.item is not None and row.family == family and row.item.name != NAME:
            if not stretches or after_formula:
                stretches.append([row.number, row.number])
            stretches[-1][1] = row.number
            after_formula = False
        elif row.heading == SOLD_IN:
            after_formula = True
    return f"COUNTA({','.join(f'{COLUMN}{first}:{COLUMN}{last}' for first, last in stretches)})>0"


def _is_used(part: _Part) -> bool:
    return any(line.typed is not None for name, line in part.lines.items() if name != NAME)


def _remedy(rules: Sequence[Need]) -> str:
    return "; or: ".join(dict.fromkeys(need.words for need in rules))
