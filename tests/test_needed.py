"""What a job still needs: a book that is filled by hand says of its own cells what ``fill`` says of the same book."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path
from typing import Any

import books
import engines
import filling
import ironcalc
import pytest
from books import FULL, SYSTEMS
from jobs import random_job
from slow import some

from hydrocalc.measures import System
from workbook_builder.build import Built, build, save
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.needs import COMPLETE, SEPARATOR
from workbook_builder.model.rows import FIRST_COLUMN
from workbook_builder.model.typed_sheets import JOB, LOADS, RUNS, STATUS_ROW, TYPED_SHEETS
from workbook_builder.table.job import blank_job
from workbook_builder.table.needed import needs
from workbook_builder.table.reader import job_from_rows, read_job
from workbook_builder.table.rows import InputError, TableRow
from workbook_builder.table.vocabulary import vocabulary

STEPS = 8  # at which both are asked while a job is typed


class Typist:
    """A written book open in IronCalc: inputs are typed, and what it says is missing is read."""

    def __init__(self, built: Built, path: Path) -> None:
        save(built, path)
        self.inputs = built.context.inputs
        self.lines = self.inputs.lines
        self.model: Any = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
        self.sheets = engines.sheet_numbers(self.model)
        self.typed: dict[InputLine, str] = {}

    def type(self, line: InputLine, value: float | str | None) -> None:
        text = "" if value is None else f"'{value}" if isinstance(value, str) else repr(value)
        self.model.set_user_input(self.sheets[line.sheet], line.row, line.column + 1, text)
        self.typed[line] = "" if value is None else str(value)

    def at(self, sheet: str, row: int, column: int) -> str:
        """What a cell shows; the column is counted from 0."""
        return str(self.model.get_cell_value(self.sheets[sheet], row, column + 1) or "")

    def missing(self) -> dict[tuple[str, str], str]:
        """Part and item of what the book says is needed, by the names that stand there, and what it says to give."""
        self.model.evaluate()
        found = {}
        for sheet in TYPED_SHEETS:
            for row in self.inputs.needs.rows[sheet]:
                for index, part in enumerate(self.inputs.needs.columns(row.family)):
                    text = self.at(sheet, row.number, FIRST_COLUMN + index)
                    if text:
                        assert text == SEPARATOR + row.item
                        found[self.named(part), row.item] = row.remedy
        return found

    def named(self, part: str) -> str:
        """A part by the name that is typed at the head of its column."""
        family = next((f for f in self.inputs.names if part.startswith(f + " ")), None)
        if family is None:
            return part
        line = self.inputs.by_key[f"{part}|name"]
        return f"{family} {self.typed.get(line, line.typed)}"

    def count(self) -> str:
        return self.at("Contents", 3, 0)

    def untold(self) -> list[str]:
        """Where what people look at, the third row of Job and the heads of columns, does not say what is needed there by name."""
        columns: dict[tuple[str, int, int], list[str]] = {}
        single = []
        fuels = min(line.row for line in self.lines if line.part.startswith("fuel today")) - 1
        heads = {"fuel today": (JOB, fuels), "run": (RUNS, STATUS_ROW), "load": (LOADS, STATUS_ROW)}
        for sheet in TYPED_SHEETS:
            for row in self.inputs.needs.rows[sheet]:
                for index in range(len(row.texts)):
                    text = self.at(sheet, row.number, FIRST_COLUMN + index).removeprefix(SEPARATOR)
                    if row.family in heads:
                        columns.setdefault((*heads[row.family], FIRST_COLUMN + index), []).append(text)
                    else:
                        single.append(text)
        pairs = {place: (self.at(*place), _joined(items)[:250]) for place, items in columns.items()}
        if any(single):
            pairs[JOB, 3, 0] = self.at(JOB, 3, 0).partition(" needed: ")[2], _joined(single)[:300]
        return [f"{place}: {shown!r} instead of {wanted!r}" for place, (shown, wanted) in pairs.items() if shown != wanted]


def _joined(items: list[str]) -> str:
    return SEPARATOR.join(filter(None, items))


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
    begun = {"a job needs at least one run": ("run NAME", ""), "a job needs at least one load": ("load NAME", "")}
    return {begun.get(words, place) for place, words in book.items()}, set(by_fill)


def _table(typist: Typist) -> list[TableRow]:
    """What is typed, as rows of a table, by the names that are typed."""
    return [
        TableRow(number, typist.named(line.part), line.item.name, value, line.unit, "")
        for number, line in enumerate(typist.lines, 2)
        if (value := typist.typed.get(line, "")) and line.item.name != "name"
    ]


@pytest.mark.slow
@pytest.mark.parametrize("case", some(["sample"], ["sample", "4", "9", "14"]))
def test_at_each_step_the_book_says_what_fill_says(case: str, tmp_path: Path) -> None:
    """A job is typed in an order of chance; some of it is taken away again."""
    job = read_job(FULL) if case == "sample" else random_job(int(case))
    blank = build(blank_job(len(job.runs) + 1, len(job.loads) + 1, len(job.fuels) + 1))
    typist = Typist(blank, tmp_path / "blank.xlsx")
    typing = filling.typing_into(blank, build(job))
    values = [(line, value) for line, value in typing if line.item.name != "name"]
    chance = random.Random(case)
    chance.shuffle(values)
    for line, value in typing:
        if line.item.name == "name":
            typist.type(line, value)
    seen = 0
    for step in range(STEPS + 1):
        book, by_fill = typist.missing(), _missing_by_fill(_table(typist))
        mine, theirs = _alike(book, by_fill)
        assert mine == theirs, f"step {step}"
        for place in mine & set(book):
            assert any(by_fill[place].startswith(words.split(" (")[0][:60]) for words in book[place].split("; or: ")), place
        seen += len(mine)
        assert typist.count().startswith(f"{len(book)} input") if book else typist.count() == COMPLETE
        assert typist.untold() == []
        for line, value in values[step * len(values) // STEPS : (step + 1) * len(values) // STEPS]:
            typist.type(line, value)
        if step and step % 4 == 0:
            for line, _ in chance.sample(values[: step * len(values) // STEPS], 5):
                typist.type(line, None)
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
    on_job = len(missing) - 2
    assert typist.count() == f"{len(missing)} inputs are missing or not possible: Job {on_job}, Runs 1, Loads 1"
    assert typist.at(JOB, 3, 0).startswith(f"{on_job} needed: title; ")


@pytest.mark.slow
def test_a_book_that_fill_wrote_needs_nothing(tmp_path: Path) -> None:
    typist = Typist(books.built(FULL, "us"), tmp_path / "sample.xlsx")
    assert typist.missing() == {} and typist.untold() == [] and typist.count() == COMPLETE


def test_a_fuels_item_alone_is_named_above_the_fuel(tmp_path: Path) -> None:
    typist = Typist(books.built(FULL, "us"), tmp_path / "sample.xlsx")
    typist.type(typist.inputs.by_key["fuel today oil|price"], None)
    assert list(typist.missing()) == [("fuel today oil", "price")] and typist.untold() == []
    assert typist.at(JOB, 3, 0) == "1 needed, named above the fuel"
    assert typist.count() == "1 input is missing or not possible: Job 1"


@pytest.mark.slow
def test_what_is_written_is_what_is_worked_out(tmp_path: Path) -> None:
    """The stored list of a blank book, before any engine has been at it."""
    built = _blank("us")
    typist = Typist(built, tmp_path / "blank.xlsx")
    assert built.context.inputs.needs.missing == list(typist.missing())


def test_every_item_without_a_default_that_is_required_has_its_rule() -> None:
    for family, items in vocabulary().items():
        for item in items.values():
            if item.required:
                assert any(need.required for need in needs()[family, item.name])


@pytest.mark.slow
def test_a_word_that_its_list_has_not_is_counted_and_named(tmp_path: Path) -> None:
    """What is pasted passes by a drop-down: no other sheet would find it, and nothing would say why."""
    typist = Typist(books.built(FULL, "us"), tmp_path / "sample.xlsx")
    by_key = typist.inputs.by_key
    typist.type(by_key["fuel today oil|fuel"], "lamp oil")
    typist.model.evaluate()
    assert typist.count() == "1 input is missing or not possible: Job 1"
    assert typist.at(JOB, 3, 0) == "1 not possible: fuel"
    typist.type(by_key["run house|tube family"], "string")
    typist.type(by_key["load taps|run"], "nowhere")
    typist.model.evaluate()
    assert typist.count() == "3 inputs are missing or not possible: Job 1, Runs 1, Loads 1"
    assert typist.at("Runs", 5, by_key["run house|length"].column) == "not possible: tube family"
    assert typist.at("Loads", 5, by_key["load taps|kind"].column) == "not possible: run"


@pytest.mark.slow
def test_a_kind_of_load_that_the_book_has_no_rows_for_is_said(tmp_path: Path) -> None:
    small = next(s for s in books.SAMPLES if s.stem == "small-cottage")
    typist = Typist(books.built(small, "us"), tmp_path / "small.xlsx")
    line = next(line for line in typist.lines if line.sheet == "Loads" and line.item.name == "kind")
    typist.type(line, "tub")
    typist.model.evaluate()
    assert typist.at("Loads", 5, line.column).endswith("not possible: kind")
    assert "Loads" in typist.count()
