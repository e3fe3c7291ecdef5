"""From the rows of an input table to a job: every value converted, every problem reported at once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from . import units, vocabulary
from .cell_values import allowed_range, holds, in_order, shown, typed_choice, typed_date
from .cross_checks import check_job
from .csv_reader import csv_table
from .job import LONGEST_NAME, MOST, RESERVED, UNSTATED, Claim, Entry, Job, Lack
from .lookalikes import plain_signs
from .near_misses import MOST_ASKED, elsewhere, listing, meant, proposed_items, proposed_parts
from .number_marks import Marks, marks_of, readings, typed_number
from .rows import CLAIM, Cell, InputError, Problem, RefusedError, Table, TableRow, refuse
from .vocabulary import BOILER, NAME, Item

WORKBOOKS, TEXTS = (".xlsx", ".xlsm"), (".csv", ".txt", ".tsv")
MOST_MARKED = 5  # numbers with marks that are told one by one
# A name becomes a heading and a criterion of SUMIF and MATCH: no wildcards, no operators, no separator of keys.
_NAME = re.compile(r"[^\W\d_][\w .,'()&/#+-]*")


def read_job(path: str | Path, *, incomplete: bool = False) -> Job:
    """The job in a CSV or XLSX file; InputError with every problem if it cannot be used.

    With ``incomplete`` an item that is not there is no problem: it is noted in ``job.lacking``.
    """
    path = Path(path)
    if not path.is_file():
        raise refuse(path.name, "there is no such file")
    ending = path.suffix.lower()
    if ending in WORKBOOKS:
        from .xlsx_reader import workbook_table

        return job_from_table(workbook_table(path), incomplete=incomplete)
    if ending in TEXTS:
        return job_from_table(csv_table(path), incomplete=incomplete)
    raise refuse(
        path.name, f"the ending {ending!r} is not known; an input table is a .csv or an .xlsx file: save it as one of them with Save As"
    )


def job_from_rows(file: str, rows: Iterable[TableRow], *, incomplete: bool = False) -> Job:
    """The job that the rows of a table give."""
    return job_from_table(Table(file, list(rows)), incomplete=incomplete)


def job_from_table(table: Table, *, incomplete: bool = False) -> Job:
    """The job that a table gives, in whatever kind of file it stood."""
    reader = _Reader(table, incomplete)
    for row in table.rows:
        reader.take(row)
    return reader.finish()


def _as_one(problems: list[Problem]) -> list[Problem]:
    """Items of one part that are missing for one reason, such as eleven of the months, are told in one line."""
    alike: dict[tuple[int | None, str, str], list[str]] = {}
    for problem in problems:
        part, _, item = problem.item.rpartition(", ")
        alike.setdefault((problem.row, part, problem.message), []).append(item)
    found = []
    for (row, part, message), items in alike.items():
        more = f"; missing as well: {', '.join(items[1:])}" if len(items) > 1 and message.startswith("is missing") else ""
        for item in items[:1] if more else items:
            found.append(Problem(problems[0].file, row, f"{part}, {item}" if part else item, message + more))
    return found


class _Reader:
    """Turns rows into entries, and gathers what is wrong with them."""

    def __init__(self, table: Table, incomplete: bool = False) -> None:
        self.job = Job(table.file)
        self.job.remarks += table.remarks
        self.incomplete = incomplete
        self.delimiter = table.delimiter
        self.problems = list(table.problems)
        self.marks = Marks()
        self.marked: list[str] = []  # numbers that were read by what the others of the table show
        self.unknown: list[tuple[str, TableRow]] = []
        self.pending: list[tuple[str, Item, TableRow]] = []
        self.seen: dict[tuple[str, str], int] = {}
        self.spelling: dict[str, str] = {}

    def problem(self, row: int | None, part: str, item: str, message: str) -> None:
        self.problems.append(Problem(self.job.file, row, f"{part}, {item}" if item else part, message))

    def lack(self, row: int | None, part: str, item: str, message: str) -> None:
        if self.incomplete:
            self.job.lacking.append(Lack(part, item, message))
        else:
            self.problem(row, part, item, message)

    def take(self, row: TableRow) -> None:
        """Note what a row gives; its value is converted when all names are known."""
        if row.part.casefold().split(" ")[0] == CLAIM:
            self._claim(row)
            return
        if isinstance(row.value, str) and not row.value:
            if row.further.keys() & {"low", "high"}:
                self.problem(row.number, row.part, row.item, "a low or a high is given, but no value; type the most likely one")
            return
        if row.item.casefold() == NAME and row.part.casefold().startswith(tuple(f"{n} " for n in vocabulary.NAMED)):
            return  # the name is in the part already, and by itself it makes no part
        part = self._part(row)
        if part is None:
            return
        family = vocabulary.family(part)
        known = vocabulary.vocabulary()[family].get(row.item.casefold())
        if known is None:
            self.unknown.append((part, row))
            return
        if known.name == "starts at" and isinstance(row.value, str) and row.value.strip().casefold().startswith("load "):
            # A run may also start at a load, all its flow going on: that is an input of its own.
            known, row = vocabulary.item(part, "starts after"), replace(row, value=row.value.strip()[len("load ") :])
        key = (part, known.name)
        if key in self.seen:
            self.problem(row.number, part, known.name, f"given twice; it stands already in row {self.seen[key]}")
            return
        self.seen[key] = row.number
        if not row.malformed:
            self.pending.append((part, known, row))

    def _claim(self, row: TableRow) -> None:
        part = row.part.partition(" ")[2]
        if not part or not row.item:
            self.problem(row.number, row.part, row.item, "a claim names a part and a result, such as: claim run house, flow")
        elif isinstance(row.value, str) and not row.value:
            self.problem(row.number, row.part, row.item, "the claim has no value")
        else:
            self.job.claims.append(Claim(part, row.item, row.value, row.unit, row.note, row.number, row.further))

    def _part(self, row: TableRow) -> str | None:
        """The part in its one spelling, entered in the lists of the job; None, with a problem, if there is none such."""
        folded = row.part.casefold()
        family = next((f for f in vocabulary.NAMED if folded.startswith(f + " ")), None)
        if family is None:
            if folded in vocabulary.SINGLE:
                self.job.first_row.setdefault(folded, row.number)
                return folded
            ask = len(self.problems) < MOST_ASKED
            self.problem(row.number, row.part or "(no part)", row.item, self._unknown_part(row.part, ask))
            return None
        name = row.part[len(family) + 1 :]
        key = f"{family} {name.casefold()}"
        if key not in self.spelling:
            if not _NAME.fullmatch(name) or len(name) > LONGEST_NAME or name.casefold() in RESERVED:
                self.spelling[key] = ""
                allowed = f"at most {LONGEST_NAME} letters, digits, spaces or . , ' ( ) & / # + -"
                message = f"{name!r} cannot be a name; a name begins with a letter, has {allowed} and is none of {', '.join(RESERVED)}"
                self.problem(row.number, row.part, row.item, message)
                return None
            self.spelling[key] = f"{family} {name}"
            {"run": self.job.runs, "load": self.job.loads, "fuel today": self.job.fuels}[family].append(name)
            self.job.first_row[self.spelling[key]] = row.number
        # An empty spelling is a name that was refused; it is reported once.
        return self.spelling[key] or None

    @staticmethod
    def _unknown_part(part: str, ask: bool) -> str:
        if part.startswith("="):
            return "a cell that begins with = is a formula; type the word"
        if part.casefold() in vocabulary.NAMED:
            return f"which {part}? Write its name after it, such as: {part} house"
        parts = ", ".join([*vocabulary.SINGLE, *(f"{n} NAME" for n in vocabulary.NAMED), f"{CLAIM} …"])
        if not part:
            return f"the part is empty, and none stands above it that could go on; parts are: {parts}"
        near = meant(proposed_parts(part)) if ask else ""
        return f"{part!r} is not a part{f' ({near})' if near else ''}; parts are: {parts}"

    def _unknown_item(self, part: str, row: TableRow) -> None:
        family, kind = vocabulary.family(part), self.job.kind_of(part)
        ask = len(self.problems) < MOST_ASKED
        near, others = (proposed_items(family, kind, row.item), elsewhere(row.item)) if ask else ([], [])
        if near:
            hint = meant(near, "'")
        elif others:
            hint = f"it is one of: {', '.join(others)}"
        else:
            hint = f"items of a {family}: {listing([i.name for i in vocabulary.items(family, kind)], ', ', family)}"
        self.problem(row.number, part, row.item or "(no item)", f"{row.item!r} is not an item of {family!r}; {hint}")

    def _refuse_too_many(self) -> None:
        """Before anything is worked out: a sizing of more would end for want of columns or of memory, after minutes."""
        for family, names in (("run", self.job.runs), ("load", self.job.loads), ("fuel today", self.job.fuels)):
            if len(names) > MOST[family]:
                what = {"run": "runs", "load": "loads", "fuel today": "fuels"}[family]
                raise refuse(self.job.file, f"the table has {len(names):,} {what}; a workbook holds at most {MOST[family]:,}: part the job")

    def finish(self) -> Job:
        self._refuse_too_many()
        typed = [(row.number, cell) for _, item, row in self.pending if item.measure for cell in (row.value, *row.further.values())]
        self.marks = marks_of(
            [*typed, *((c.row, cell) for c in self.job.claims for cell in (c.value, *c.further.values()))], self.delimiter
        )
        # Kinds first: which items a load can have, and which fuel a price is of, depend on them.
        first = ("kind", "fuel", "currency")
        for part, item, row in sorted(self.pending, key=lambda p: p[1].name not in first):
            self._convert(part, item, row)
        for part, name in self.seen:
            kind = self.job.kind_of(part)
            item = vocabulary.item(part, name)
            if kind is not None and not item.serves(kind):
                self.problem(
                    self.seen[part, name], part, name, f"a load of kind {kind!r} has no such item; it goes with {', '.join(item.kinds)}"
                )
        for part, row in self.unknown:
            self._unknown_item(part, row)
        self.job.claims = [self._plain_claim(claim) for claim in self.job.claims]
        if self.incomplete:
            self._stand_ins()
        self._missing()
        check_job(self.job, set(self.seen), self.problem, self.lack)
        if self.problems:
            raise InputError(sorted(_as_one(self.problems), key=lambda p: (p.row is None, p.row or 0)))
        if self.marked:
            more = f" and {len(self.marked) - MOST_MARKED} more" if len(self.marked) > MOST_MARKED else ""
            told = f"marks between digits were read as the table shows them: {'; '.join(self.marked[:MOST_MARKED])}{more}"
            self.job.remarks.append(Problem(self.job.file, None, "", told))
        return self.job

    def _plain(self, cell: Cell, row: int) -> Cell:
        """A number without marks, if that is what was typed; RefusedError where it could be two."""
        if not isinstance(cell, str) or not readings(cell):
            return cell
        plain = self.marks.plain(cell)
        if plain != cell.replace("−", "-"):
            self.marked.append(f"row {row}, {cell} is {plain}")
        return plain

    def _all_plain(self, cells: Mapping[str, Cell], row: int) -> dict[str, Cell]:
        return {name: self._plain(cell, row) for name, cell in cells.items()}

    def _plain_claim(self, claim: Claim) -> Claim:
        try:
            return replace(claim, value=self._plain(claim.value, claim.row), further=self._all_plain(claim.further, claim.row))
        except RefusedError as refused:
            self.problem(claim.row, f"{CLAIM} {claim.part}", claim.item, str(refused))
            return claim

    def _missing(self) -> None:
        job = self.job
        for family, names in (("run", job.runs), ("load", job.loads)):
            if not names:
                self.problem(None, f"{family} NAME", "", f"the table has no {family}; a job needs at least one")

    def _stand_ins(self) -> None:
        """A run and a load of which nothing is known, where a table that is only audited has none: every sheet has a column."""
        for family, names in (("run", self.job.runs), ("load", self.job.loads)):
            if not names:
                claimed = [c.part[len(family) + 1 :] for c in self.job.claims if c.part.casefold().startswith(family + " ")]
                names.extend({c.casefold(): c for c in reversed(claimed) if _NAME.fullmatch(c)}.values())
            if not names:
                names.append(UNSTATED)

    def _convert(self, part: str, item: Item, row: TableRow) -> None:
        try:
            if item.measure is not None:
                row = replace(row, value=self._plain(row.value, row.number), further=self._all_plain(row.further, row.number))
            value = self._value(part, item, row.value, row.unit)
            low, high = (self._bound(part, item, row, end) for end in ("low", "high"))
            first, last = (("low", row.further.get("low", ""), low), ("high", row.further.get("high", ""), high))
            in_order([first, last])
            in_order([first, ("the value", row.value, value), last])
        except RefusedError as refused:
            self.problem(row.number, part, item.name, str(refused))
            return
        text = value if isinstance(value, str) else shown(row.value)
        self.job.entries[part, item.name] = Entry(part, item, value, text, row.unit, row.note, row.number, True, low, high)

    def _bound(self, part: str, item: Item, row: TableRow, end: str) -> float | None:
        if end not in row.further:
            return None
        if item.measure is None:
            raise RefusedError(f"{end} is given, but only a number can be uncertain")
        value = self._value(part, item, row.further[end], row.unit)
        assert isinstance(value, float)
        return value

    def _value(self, part: str, item: Item, cell: Cell, unit: str) -> float | str:
        if isinstance(cell, str) and cell.startswith("=") and item.type != "text":
            raise RefusedError(f"the value is a formula, {shown(cell)}; type the value itself")
        if item.measure is not None:
            return self._number(part, item, cell, unit)
        if unit and item.name != "size":
            raise RefusedError(f"unit {unit!r} is given, but this is a word and takes no unit")
        if item.type == "date":
            return typed_date(cell)
        text = shown(cell)
        if item.type == "text":
            return text
        if item.type in ("run", "load", "fuel"):
            return self._reference(item, text)
        return typed_choice(item, text, propose=len(self.problems) < MOST_ASKED)

    def _reference(self, item: Item, text: str) -> str:
        names = {"run": self.job.runs, "load": self.job.loads, "fuel": self.job.fuels}[item.type]
        allowed = [BOILER, *names] if item.name == "starts at" else names
        asked = " ".join(plain_signs(text).split()).casefold()
        # The name alone, or with the word for what it is before it: house, run house.
        found = next((n for n in allowed if n.casefold() in (asked, asked.removeprefix(f"{item.type} "))), None)
        if found is None:
            what = "fuel today" if item.type == "fuel" else item.type
            raise RefusedError(f"there is no {what} {text!r}; allowed: {', '.join(allowed) or f'none, since the table has no {what}'}")
        return found

    def _number(self, part: str, item: Item, cell: Cell, unit: str) -> float:
        assert item.measure is not None
        number = typed_number(cell)
        try:
            scale = (
                units.sold_unit(item.measure, unit, self.job.value(part, "fuel"))
                if part.startswith("fuel today ")
                else units.unit(item.measure, unit)
            )
        except units.UnitError as error:
            raise RefusedError(str(error)) from None
        sign = units.money_sign(unit)[0] if "currency" in item.measure.coherent.pint else ""
        currency = units.money_sign(str(self.job.value("job", "currency")))[0] or str(self.job.value("job", "currency"))
        if sign not in ("", "currency", currency):
            raise RefusedError(f"unit {unit!r} is not in the job's currency, which is {currency}")
        value = float(scale.to_coherent(number))
        if not holds(item.limits, value):
            raise RefusedError(f"{shown(cell)} {unit}".strip() + f" is not allowed; allowed: {allowed_range(item.limits, item)}")
        return value
