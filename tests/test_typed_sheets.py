"""The typed sheets read back: found by what rows and columns are called, wherever somebody moved them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import books
import openpyxl
import pytest
from openpyxl.comments import Comment

from workbook_builder.model.input_line import InputLine
from workbook_builder.table.job import Job
from workbook_builder.table.reader import read_job
from workbook_builder.table.rows import InputError

SMALL = next(s for s in books.SAMPLES if s.stem == "small-cottage")
RANGES = books.written(SMALL, "us").built.context.inputs.ranges_row


def line(key: str) -> InputLine:
    return books.written(SMALL, "us").built.context.inputs.by_key[key]


def changed(path: Path, *changes: Callable[[Any], object]) -> Path:
    book = openpyxl.load_workbook(books.written(SMALL, "us").path)
    for change in changes:
        change(book)
    book.save(path)
    return path


def typed(key: str, value: object) -> Callable[[Any], object]:
    return lambda book: setattr(book[line(key).sheet][line(key).cell], "value", value)


def refused(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert all(str(p).startswith(path.name) for p in caught.value.problems)
    return str(caught.value)


def content(job: Job) -> dict[tuple[str, str], Any]:
    return {key: entry.value for key, entry in job.entries.items()}


def test_rows_and_columns_that_were_put_in_change_nothing(tmp_path: Path) -> None:
    """Somebody's own row among the items, an empty line at the top, an empty column before the spacer."""

    def moved(book: Any) -> None:
        for sheet in ("Job", "Runs", "Loads"):
            book[sheet].insert_rows(9)
            book[sheet].cell(9, 1).value = "my own remark"
            book[sheet].cell(9, 4).value = 7
            book[sheet].insert_rows(1)
            book[sheet].insert_cols(line("run cottage|length").column + 2)

    assert content(read_job(changed(tmp_path / "b.xlsx", moved))) == content(read_job(books.written(SMALL, "us").path))


def test_a_comment_is_the_note_of_an_input(tmp_path: Path) -> None:
    def noted(book: Any) -> None:
        book["Runs"][line("run cottage|length").cell].comment = Comment("measured twice", "")

    assert read_job(changed(tmp_path / "b.xlsx", noted)).entry("run cottage", "length").note == "measured twice"


def test_what_the_kind_of_a_load_does_not_use_is_left_alone(tmp_path: Path) -> None:
    """It is greyed there, and no other sheet reads it."""
    job = read_job(changed(tmp_path / "b.xlsx", typed("load cottage|volume", 300)))
    assert job.kind_of("load cottage") == "baseboard" and not job.given("load cottage", "volume")


def test_a_name_alone_makes_no_run(tmp_path: Path) -> None:
    """A column of which nothing is typed but its name is not used."""

    def named(book: Any) -> None:
        column = line("run cottage|length").column + 2
        book["Runs"].insert_cols(column)
        book["Runs"].cell(4, column).value = "shed"

    assert read_job(changed(tmp_path / "b.xlsx", named)).runs == ["cottage"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (typed("run cottage|length", "=80+8"), "run cottage, length: the value is a formula"),
        (typed("run cottage|length", "long"), "run cottage, length: "),
        (typed("run cottage|length", -3), "run cottage, length: -3 ft is not allowed"),
        (typed("run cottage|length", None), "run cottage, length: is missing"),
        (typed("load cottage|run", "pond"), "load cottage, run: there is no run 'pond'"),
        (lambda book: book["Runs"].delete_rows(4), "sheet Runs has no row with the headings Item, Unit, Default and Lowest"),
    ],
)
def test_what_cannot_be_is_refused_by_part_and_item(change: Callable[[Any], object], words: str, tmp_path: Path) -> None:
    path = changed(tmp_path / "b.xlsx", change)
    if words.startswith("sheet"):
        assert words in refused(path)
        return
    said = refused(path)
    assert words in said and (f"row {line(words.split(':')[0].replace(', ', '|')).row}" in said or "missing" in words)


def ranged(what: str, low: object, high: object) -> Callable[[Any], object]:
    def change(book: Any) -> None:
        page = book["Job"]
        for column, value in ((1, what), (4, low), (5, high)):
            page.cell(RANGES + 1, column).value = value

    return change


def test_a_range_is_found_by_part_and_item_in_any_case(tmp_path: Path) -> None:
    entry = read_job(changed(tmp_path / "b.xlsx", ranged(" Run Cottage,Length ", 55, 70))).entry("run cottage", "length")
    assert (entry.low, entry.high) == (pytest.approx(55 * 0.3048), pytest.approx(70 * 0.3048))


@pytest.mark.parametrize("what", ["site, degree day base", "run cottage length"])
def test_a_range_of_what_is_not_typed_is_refused(what: str, tmp_path: Path) -> None:
    said = refused(changed(tmp_path / "b.xlsx", ranged(what, 40, 50)))
    assert f"row {RANGES + 1}, " in said and "a low or a high is given, but no value" in said
