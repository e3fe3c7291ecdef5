"""What is still needed, in the book: the rules that ``fill`` asks of a table, as formulas beside each item, and their count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbook_builder.model.input_line import InputLine
from workbook_builder.table import vocabulary
from workbook_builder.table.needed import Need, needs_of
from workbook_builder.table.vocabulary import NAME

# Defined names of columns of the sheet: parts in which a run, a load or a fuel stands by the name that is typed, and so on.
PARTS, ITEMS, TYPED, REMARKS, KEYS = "input_parts", "input_items", "input_typed", "input_remarks", "input_keys"
MISSING = "inputs_missing"
NEEDED = "needed: "
COMPLETE = "Nothing is missing"
AT_LEAST_ONE = ("run", "load")  # a job has one of each


def _typed(line: InputLine) -> str:
    return f"C{line.row}"


def _used(line: InputLine) -> str:
    return f"F{line.row}"


@dataclass(frozen=True)
class _Part:
    """A part on the sheet, for both sides of a rule: the values that stand there, and the cells in which they stand."""

    lines: dict[str, InputLine]
    fuels: tuple[InputLine, ...]  # the names of the fuels of today
    uses: dict[str, InputLine]  # the use of each

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
        name = self.word("fuel today") or next((str(f.typed) for f in self.fuels), "")
        return name in self.uses and self.uses[name].typed is not None

    # -- the cells

    def typed(self, item: str) -> str | None:
        return _typed(self.lines[item]) if item in self.lines else None

    def used(self, item: str) -> str | None:
        return _used(self.lines[item]) if item in self.lines else None

    def fuels_use(self) -> str:
        if not self.fuels or "fuel today" not in self.lines:
            return "FALSE"
        chosen, first = _used(self.lines["fuel today"]), f"C${self.fuels[0].row}"
        return f'SUMPRODUCT(({KEYS}="fuel today "&IF({chosen}="",{first},{chosen})&"|use")*({TYPED}<>""))>0'


@dataclass(frozen=True)
class Wanted:
    """What the remark beside one item says while the item is needed."""

    tests: tuple[tuple[str, str, bool], ...]  # the condition as a formula, what to give, whether it holds as written

    @property
    def texts(self) -> tuple[str, ...]:
        return tuple(f"{NEEDED}{words}" for _, words, _ in self.tests)

    def formula(self, otherwise: str) -> str:
        for (test, _, _), text in zip(self.tests, self.texts, strict=True):
            quoted = text.replace('"', '""')
            otherwise = f'IF({test},"{quoted}",{otherwise})'
        return otherwise

    def remark(self, otherwise: str) -> str:
        for (_, _, holds), text in zip(self.tests, self.texts, strict=True):
            otherwise = text if holds else otherwise
        return otherwise


class Needs:
    """What the inputs of a book still need."""

    def __init__(self, lines: Sequence[InputLine]) -> None:
        self.lines = lines
        parts: dict[str, dict[str, InputLine]] = {}
        for line in lines:
            parts.setdefault(line.part, {})[line.item.name] = line
        fuels = {part: items for part, items in parts.items() if part.startswith("fuel today ")}
        names = tuple(items[NAME] for items in fuels.values())
        uses = {str(items[NAME].typed): items["use"] for items in fuels.values()}
        self.parts = {part: _Part(items, names, uses) for part, items in parts.items()}
        self.wanted = {line.key: self._of(line) for line in lines}

    def of(self, line: InputLine) -> Wanted:
        return self.wanted[line.key]

    @property
    def missing(self) -> list[InputLine]:
        """The items that are needed as the book is written."""
        return [line for line in self.lines if any(holds for _, _, holds in self.of(line).tests)]

    @property
    def formula(self) -> str:
        """How many items are needed, and the first of them by name."""
        count = f'COUNTIF({REMARKS},"{NEEDED}*")'
        place = f'MATCH("{NEEDED}*",{REMARKS},0)'
        first = f'INDEX({PARTS},{place},1)&", "&INDEX({ITEMS},{place},1)'
        said = f'{count}&IF({count}=1," input is needed: "," inputs are needed, the first: ")&{first}'
        return f'IF({count}=0,"{COMPLETE}",{said})'

    @property
    def text(self) -> str:
        missing = self.missing
        if not missing:
            return COMPLETE
        count, first = len(missing), f"{missing[0].part}, {missing[0].item.name}"
        return f"{count}{' input is needed: ' if count == 1 else ' inputs are needed, the first: '}{first}"

    def _of(self, line: InputLine) -> Wanted:
        family = vocabulary.family(line.part)
        if line.item.name == NAME and family in vocabulary.NAMED:
            return self._at_least_one(line, family)
        return Wanted(tuple(self._test(line, need) for need in needs_of(family, line.item.name)))

    def _test(self, line: InputLine, need: Need) -> tuple[str, str, bool]:
        part = self.parts[line.part]
        condition, holds = need.when.text(part), need.when.holds(part)
        if line.part not in vocabulary.SINGLE:  # of a part in which nothing is typed nothing is needed
            condition, holds = f"AND({self._anything(part)},{condition})", holds and self._is_used(part)
        return condition, need.words, holds

    def _at_least_one(self, line: InputLine, family: str) -> Wanted:
        """A job has a run and a load; the first of a book says so while none is begun."""
        of_family = [part for name, part in self.parts.items() if name.startswith(f"{family} ")]
        if family not in AT_LEAST_ONE or of_family[0].lines[NAME] is not line:
            return Wanted(())
        begins = len(family) + 1
        typed = f'(LEFT({PARTS},{begins})="{family} ")*({ITEMS}<>"{NAME}")*({TYPED}<>"")'
        none = not any(map(self._is_used, of_family))
        return Wanted(((f"SUMPRODUCT({typed})=0", f"a job needs at least one {family}", none),))

    @staticmethod
    def _anything(part: _Part) -> str:
        """Something of the part is typed; its rows stand together, its name first."""
        rows = [line.row for name, line in part.lines.items() if name != NAME]
        return f"COUNTA(C{min(rows)}:C{max(rows)})>0"

    @staticmethod
    def _is_used(part: _Part) -> bool:
        return any(line.typed is not None for name, line in part.lines.items() if name != NAME)
