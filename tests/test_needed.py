"""What a job still needs: a book that is filled by hand says of its own cells what ``fill`` says of the same book."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path
from typing import Any

import books
import ironcalc
import pytest
from books import FULL, SYSTEMS
from jobs import random_job
from slow import some

from hydrocalc.measures import System
from workbook_builder.build import Built, build, save
from workbook_builder.model.needs import NEEDED
from workbook_builder.sheets.pages.inputs import REMARK
from workbook_builder.table.job import Job, blank_job
from workbook_builder.table.needed import needs
from workbook_builder.table.reader import job_from_rows, read_job
from workbook_builder.table.rows import InputError, TableRow
from workbook_builder.table.vocabulary import vocabulary

VALUE_COLUMN, PART_COLUMN = 3, 1
STEPS = 8  # at which both are asked while a job is typed


class Typist:
    """A written book open in IronCalc: cells of Inputs are typed, and what it says is missing is read."""

    def __init__(self, built: Built, path: Path) -> None:
        save(built, path)
        self.lines = built.context.inputs.lines
        self.model: Any = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
        names = [p["name"] for p in self.model.get_worksheets_properties()]
        self.inputs, self.summary = names.index("Inputs"), names.index("Summary")
        self.typed: dict[int, str] = {}

    def type(self, row: int, value: float | str | None) -> None:
        text = "" if value is None else f"'{value}" if isinstance(value, str) else repr(value)
        self.model.set_user_input(self.inputs, row, VALUE_COLUMN, text)
        self.typed[row] = "" if value is None else str(value)

    def missing(self) -> dict[tuple[str, str], str]:
        """Part, item and words of what the book says is needed."""
        self.model.evaluate()
        found = {}
        for line in self.lines:
            remark = self.model.get_cell_value(self.inputs, line.row, REMARK + 1)
            if isinstance(remark, str) and remark.startswith(NEEDED):
                found[self.model.get_cell_value(self.inputs, line.row, PART_COLUMN), line.item.name] = remark.removeprefix(NEEDED)
        return found

    def count(self) -> str:
        return str(self.model.get_cell_value(self.summary, 4, 1) or "")


def _missing_by_fill(lines: list[TableRow]) -> dict[tuple[str, str], str]:
    """Part, item and words of what the reader of a table says is missing."""
    try:
        job_from_rows("t.csv", lines)
    except InputError as error:
        problems = error.problems
    else:
        return {}
    found = {}
    for problem in problems:
        part, _, item = problem.item.rpartition(", ")
        for beginning in ("is missing and has no default: ", "is missing: "):
            if problem.message.startswith(beginning):
                words, _, more = problem.message.removeprefix(beginning).partition("; missing as well: ")
                for one in (item, *(more.split(", ") if more else ())):
                    found[part, one] = words
        if "a job needs at least one" in problem.message:
            found[problem.item, ""] = problem.message
    return found


def _alike(book: dict[tuple[str, str], str], by_fill: dict[tuple[str, str], str]) -> tuple[set[tuple[str, str]], set[tuple[str, str]]]:
    """The places that both name; of a run or a load none of which is begun, ``fill`` has no name."""
    mine = {("run NAME", "") if w.endswith("one run") else ("load NAME", "") if w.endswith("one load") else p for p, w in book.items()}
    return mine, set(by_fill)


def _table(typist: Typist, built: Built) -> list[TableRow]:
    """What is typed, as rows of a table, by the names that are typed."""
    rows, names = [], {line.part: typist.typed.get(line.row, line.typed) for line in typist.lines if line.item.name == "name"}
    for line in typist.lines:
        value = typist.typed.get(line.row, "")
        if value and line.item.name != "name":
            family = next((f for f in ("run", "load", "fuel today") if line.part.startswith(f + " ")), None)
            part = f"{family} {names[line.part]}" if family else line.part
            rows.append(TableRow(line.row, part, line.item.name, value, line.unit, ""))
    return rows


def _typing(job: Job, system: System, blank: Built) -> list[tuple[int, float | str]]:
    """The job's values by the row of the blank book in which each is typed; the names first."""
    empty, here = blank.job, {}
    for family, names, places in (
        ("run", job.runs, empty.runs),
        ("load", job.loads, empty.loads),
        ("fuel today", job.fuels, empty.fuels),
    ):
        here |= {f"{family} {name}": f"{family} {place}" for name, place in zip(names, places, strict=False)}
    by_key = blank.context.inputs.by_key
    typed = [
        (by_key[f"{here.get(line.part, line.part)}|{line.item.name}"].row, line.typed, line.item.name != "name")
        for line in build(job, system).context.inputs.lines
        if line.typed is not None
    ]
    return [(row, value) for row, value, _ in sorted(typed, key=lambda t: t[2])]


@pytest.mark.slow
@pytest.mark.parametrize("case", some(["sample"], ["sample", "4", "9", "14"]))
def test_at_each_step_the_book_says_what_fill_says(case: str, tmp_path: Path) -> None:
    """A job is typed in an order of chance; some of it is taken away again."""
    job = read_job(FULL) if case == "sample" else random_job(int(case))
    blank = build(blank_job(len(job.runs) + 1, len(job.loads) + 1, len(job.fuels) + 1))
    typist = Typist(blank, tmp_path / "blank.xlsx")
    typing = _typing(job, "us", blank)
    names = [t for t in typing if blank.context.inputs.lines[t[0] - typist.lines[0].row].item.name == "name"]
    values = [t for t in typing if t not in names]
    chance = random.Random(case)
    chance.shuffle(values)
    for row, value in names:
        typist.type(row, value)
    seen = 0
    for step in range(STEPS + 1):
        book, by_fill = typist.missing(), _missing_by_fill(_table(typist, blank))
        mine, theirs = _alike(book, by_fill)
        assert mine == theirs, f"step {step}"
        for place in mine & set(book):
            assert by_fill[place].startswith(book[place].split(" (")[0][:60]), place
        seen += len(mine)
        assert typist.count().startswith(f"{len(book)} input") if book else typist.count() == ""
        for row, value in values[step * len(values) // STEPS : (step + 1) * len(values) // STEPS]:
            typist.type(row, value)
        if step and step % 4 == 0:
            for row, _ in chance.sample(values[: step * len(values) // STEPS], 5):
                typist.type(row, None)
    assert seen > 40


@cache
def _blank(system: System) -> Built:
    return build(blank_job(2, 3, 1), system)


@pytest.mark.slow
@pytest.mark.parametrize("system", SYSTEMS)
def test_an_empty_book_does_not_look_passed(system: System, tmp_path: Path) -> None:
    typist = Typist(_blank(system), tmp_path / "blank.xlsx")
    missing = typist.missing()
    assert {("job", "title"), ("site", "outdoor design temperature"), ("site", "annual degree days"), ("wood", "species")} <= set(missing)
    assert not any(part.startswith("fuel today") for part, _ in missing)  # nobody has to have one
    assert {item for part, item in missing if part.startswith(("run", "load"))} == {"name"}
    assert typist.count() == f"{len(missing)} inputs are needed, the first: job, title; see Inputs"


@pytest.mark.slow
def test_a_book_that_fill_wrote_needs_nothing(tmp_path: Path) -> None:
    typist = Typist(books.built(FULL, "us"), tmp_path / "sample.xlsx")
    assert typist.missing() == {} and typist.count() == ""


@pytest.mark.slow
def test_what_is_written_is_what_is_worked_out(tmp_path: Path) -> None:
    """The stored remarks of a blank book, before any engine has been at it."""
    built = _blank("us")
    typist = Typist(built, tmp_path / "blank.xlsx")
    assert [(line.part, line.item.name) for line in built.context.inputs.needs.missing] == list(typist.missing())


def test_every_item_without_a_default_that_is_required_has_its_rule() -> None:
    for family, items in vocabulary().items():
        for item in items.values():
            if item.required:
                assert any(need.required for need in needs()[family, item.name])
