"""A book of ours with one edit: the edit is found, and nothing else is reported.

Most edits are made with openpyxl, which keeps no stored values; those about stored values are made in the file's own XML.
"""

from __future__ import annotations

import contextlib
import functools
import json
import random
import re
import shutil
import subprocess
import time
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import books
import office
import openpyxl
import pytest
from openpyxl.comments import Comment
from slow import but, some

from hydrocalc.measures import System
from workbook_builder.audit import edited
from workbook_builder.audit.alignment import side_by_side
from workbook_builder.audit.cells import Cells, fresh_cells, workbook_cells
from workbook_builder.audit.changes import Edits
from workbook_builder.audit.edited import compare, compared, is_ours
from workbook_builder.build import Built, build
from workbook_builder.cli import main
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.rows import Row
from workbook_builder.model.typed_sheets import TYPED_SHEETS
from workbook_builder.table.job import Job

SMALL = next(s for s in books.SAMPLES if s.stem == "small-cottage")
QUOTE = books.ROOT / "samples" / "quotes" / "quarry.csv"


def original() -> Path:
    return books.written(SMALL, "us").path


# Most edits leave the inputs as they are: what is made anew of them, over half of the time of a comparison, is made once.
_MADE: list[tuple[Job, System, Built]] = []


def _built(job: Job, system: System) -> Built:
    def inputs(one: Job) -> dict[str, Any]:
        return {**vars(one), "file": ""}

    if job.claims:
        return build(job, system)
    for known, of, built in _MADE:
        if of == system and inputs(known) == inputs(job):
            return built
    _MADE.append((job, system, build(job, system)))
    return _MADE[-1][2]


_FRESH: dict[int, tuple[Built, Cells]] = {}


def _copied(built: Built) -> Cells:
    """A comparison writes into the fresh cells: each has its own."""
    if built.job.claims:
        return fresh_cells(built)
    if id(built) not in _FRESH:
        _FRESH[id(built)] = built, fresh_cells(built)
    fresh = _FRESH[id(built)][1]
    return Cells({sheet: dict(cells) for sheet, cells in fresh.sheets.items()}, dict(fresh.names), list(fresh.remarks))


@pytest.fixture(autouse=True)
def made_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(edited, "build", _built)
    monkeypatch.setattr(edited, "fresh_cells", _copied)


def line_of(sheet: str, label: str) -> Row:
    """A line of a sheet, the last of that label."""
    return [r for r in books.written(SMALL, "us").built.book.sheets[sheet].rows if r.label == label][-1]


@functools.cache
def where(sheet: str, label: str) -> int:
    """The row of a line on a sheet."""
    return line_of(sheet, label).number


@functools.cache
def cell(sheet: str, label: str) -> str:
    """The first cell of a line on its sheet."""
    return line_of(sheet, label).address().removeprefix(f"{sheet}!")


def input_at(key: str) -> InputLine:
    return books.written(SMALL, "us").built.context.inputs.by_key[key]


@functools.cache
def on_tables(text: str) -> int:
    """The row of a key on the sheet Tables."""
    with contextlib.closing(openpyxl.load_workbook(original(), read_only=True)) as book:
        return next(n for n, row in enumerate(book["Tables"].iter_rows(max_col=1, values_only=True), 1) if row[0] == text)


@dataclass(frozen=True)
class Change:
    """An edit of a workbook, and what is to be said of it."""

    name: str
    make: Callable[[Any], None]
    place: Callable[[], str]
    kind: str


def typed(sheet: str, label: str, value: object) -> tuple[Callable[[Any], None], Callable[[], str]]:
    """Something typed over a cell of a line."""

    def make(book: Any) -> None:
        book[sheet][cell(sheet, label)].value = value

    return make, lambda: f"{sheet}!{cell(sheet, label)}"


def replaced(sheet: str, label: str, old: str, new: str) -> tuple[Callable[[Any], None], Callable[[], str]]:
    """A formula in which something was exchanged."""

    def make(book: Any) -> None:
        one = book[sheet][cell(sheet, label)]
        assert old in one.value, one.value
        one.value = one.value.replace(old, new, 1)

    return make, lambda: f"{sheet}!{cell(sheet, label)}"


def at(sheet: str, address: Callable[[], str], value: object) -> tuple[Callable[[Any], None], Callable[[], str]]:
    def make(book: Any) -> None:
        book[sheet][address()].value = value

    return make, lambda: f"{sheet}!{address()}"


def beside(key: str, column: str, value: object) -> tuple[Callable[[Any], None], Callable[[], str]]:
    """Something typed beside the cell in which an input is typed, in its row."""
    return at(input_at(key).sheet, lambda: f"{column}{input_at(key).row}", value)


def drop_row(sheet: str, number: Callable[[], int]) -> tuple[Callable[[Any], None], Callable[[], str]]:
    return lambda book: book[sheet].delete_rows(number()), lambda: f"{sheet}!{number()}"


def add_row(sheet: str, number: Callable[[], int], text: str) -> tuple[Callable[[Any], None], Callable[[], str]]:
    def make(book: Any) -> None:
        book[sheet].insert_rows(number())
        book[sheet].cell(number(), 1).value = text

    return make, lambda: f"{sheet}!{number()}"


def drop_row_as_office_programs_do(book: Any) -> None:
    """A row of Boiler is deleted, and every reference to a row below it follows."""
    gone = where("Boiler", "Warmest month")
    book["Boiler"].delete_rows(gone)

    def follow(formula: str, home: str) -> str:
        def shifted(match: re.Match[str]) -> str:
            sheet, column, row, last_column, last = match[1] or "", match[2], int(match[3]), match[4], match[5]
            assert last is None or int(last) == row or (sheet or f"{home}!") != "Boiler!", "a range over several rows"
            if (sheet or f"{home}!") != "Boiler!" or row < gone:
                return match[0]
            end = f":{last_column}${row - 1}" if last else ""
            return f"{sheet}#REF!" if row == gone else f"{sheet}{column}${row - 1}{end}"

        return re.sub(r"(?<![\w.$:])(\w+!)?(\$[A-Z]+)\$(\d+)(?::(\$[A-Z]+)\$(\d+))?", shifted, formula)

    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for one in row:
                if one.data_type == "f" and isinstance(one.value, str):
                    one.value = follow(one.value, sheet.title)


def swap_rows(book: Any) -> None:
    """A line of Boiler is cut out and put in lower down."""
    sheet, row = book["Boiler"], where("Boiler", "Rated output over the load")
    kept = [sheet.cell(row, c).value for c in range(1, 9)]
    sheet.delete_rows(row)
    target = where("Boiler", "Sustained output")
    sheet.insert_rows(target)
    for column, value in enumerate(kept, 1):
        sheet.cell(target, column).value = value


def move_sheet(book: Any) -> None:
    book.move_sheet("Year", offset=-5)


def rename_sheet(book: Any) -> None:
    book["Climate"].title = "Weather"


def rename_and_follow(book: Any) -> None:
    """A sheet is renamed, and the references to it follow."""
    book["Boiler"].title = "The yard"
    count = 0
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for one in row:
                if one.data_type == "f" and isinstance(one.value, str) and "Boiler!" in one.value:
                    one.value = re.sub(r"(?<!\w)Boiler!", "'The yard'!", one.value)
                    count += 1
    assert count > 10


def change_name(book: Any) -> None:
    book.defined_names["tubes_inside_diameter"].attr_text = "Tables!$A$4:$A$9"


CHANGES: tuple[Change, ...] = (
    Change("head by hand", *typed("Pumps", "Head of the run, as calculated", 7.5), "formula overtyped"),
    Change("loss by hand", *typed("Lines", "Heat lost by both", 400), "formula overtyped"),
    Change("load by hand", *typed("Boiler", "Load of the boiler", 30000), "formula overtyped"),
    Change("cords by hand", *typed("Year", "The year", 4.0), "formula overtyped"),
    Change("saving by hand", *typed("Money", "Saving in a year", 5000), "formula overtyped"),
    Change("need by hand", *typed("Needs", "Need that counts", 36000), "formula overtyped"),
    Change("size by hand", *typed("Lines", "Size", "1-1/4"), "formula overtyped"),
    Change("same value by hand", *typed("Year", "Standby is added (1: yes)", 1), "formula overtyped"),
    Change("formula gone", *typed("Lines", "Lost by both", None), "formula deleted"),
    Change("one way", *replaced("Lines", "Head of line and fittings", "0.02*", "0.01*"), "formula changed"),
    Change("other constant", *replaced("Pumps", "Velocity, as calculated", "2.44", "2.04"), "formula changed"),
    Change("other sign", *replaced("Boiler", "Load of the boiler", "+", "-"), "formula changed"),
    Change("other cell", *replaced("Money", "Wood in a year", "Year!", "Climate!"), "formula changed"),
    Change("factor behind", *replaced("Year", "Useful heat over the wood's gross heat", '"")', '"")*1.1'), "formula changed"),
    Change("other formula", *typed("Water", "Heat delivered", "=1000+24000"), "formula changed"),
    Change("tube altered", *at("Tables", lambda: f"G{on_tables('PEX SDR-9|1')}", 1.0), "table value altered"),
    Change("species altered", *at("Tables", lambda: f"C{on_tables('sugar maple')}", 9200), "table value altered"),
    Change("foam altered", *at("Tables", lambda: f"C{on_tables('polyurethane foam')}", 0.01), "table value altered"),
    Change("default of the drop", *beside("run cottage|tees", "C", 8), "default altered"),
    Change("default of the limit", *beside("limits|highest velocity", "C", 9), "default altered"),
    Change("default typed over", *beside("site|indoor temperature", "E", 60), "formula overtyped"),
    Change("unit altered", *beside("limits|highest velocity", "B", "m/s"), "unit altered"),
    Change("label altered", *at("Boiler", lambda: f"A{where('Boiler', 'Load of the boiler')}", "Load"), "text altered"),
    Change("source altered", *at("Tables", lambda: "A3", "my tubes"), "text altered"),
    Change("verdict by hand", *at("Verdicts", lambda: "G5", "pass"), "formula overtyped"),
    Change("summary by hand", *at("Summary", lambda: "C3", 0), "formula overtyped"),
    Change("figure beside", *at("Money", lambda: "J40", 12.5), "cell added"),
    Change("row of a sheet gone", *drop_row("Boiler", lambda: where("Boiler", "Sustained output")), "row deleted"),
    Change("row of a table gone", *drop_row("Tables", lambda: on_tables("PEX SDR-9|5/8")), "row deleted"),
    Change("row of inputs gone", *drop_row("Job", lambda: input_at("money|life").row), "row deleted"),
    Change("row put in", *add_row("Year", lambda: where("Year", "Gross heat of a cord"), "My heat"), "row added"),
    Change("row gone and followed", drop_row_as_office_programs_do, lambda: f"Boiler!{where('Boiler', 'Warmest month')}", "row deleted"),
    Change("row moved", swap_rows, lambda: f"Boiler!{where('Boiler', 'Rated output over the load')}", "row moved"),
    Change("sheet gone", lambda book: book.remove(book["Climate"]), lambda: "Climate", "sheet deleted"),
    Change("sheet moved", move_sheet, lambda: "Year", "sheet moved"),
    Change("sheet renamed", rename_sheet, lambda: "Climate", "sheet renamed"),
    Change("sheet renamed and followed", rename_and_follow, lambda: "Boiler", "sheet renamed"),
    Change("sheet added", lambda book: book.create_sheet("Mine"), lambda: "Mine", "sheet added"),
    Change("name changed", change_name, lambda: "tubes_inside_diameter", "name changed"),
    Change("name gone", lambda book: book.defined_names.pop("site_elevation"), lambda: "site_elevation", "name deleted"),
)


@functools.cache
def opened() -> Any:
    """The book, opened once for the edits of single cells, which are taken back."""
    return openpyxl.load_workbook(original())


def shown(edits: Edits) -> list[tuple[str, str]]:
    return [(e.place, e.kind) for e in edits.found]


def test_there_are_thirty() -> None:
    assert len(CHANGES) >= 30


# One edit of each of the commonest kinds, and none for which a book is opened anew.
QUICK = ("head by hand", "formula gone", "one way", "tube altered", "figure beside")
# Edits of single cells are looked for in books that have many of them; a long run makes a book for each.
OF_CELLS = [c for c in CHANGES if not c.kind.startswith(("row", "sheet", "name"))]
SINGLY = some([c for c in CHANGES if c.name in QUICK or c not in OF_CELLS], CHANGES)


@pytest.mark.parametrize("change", but([c for c in CHANGES if c.name in QUICK], SINGLY), ids=lambda c: c.name)
def test_the_edit_is_found_and_nothing_else(change: Change, tmp_path: Path) -> None:
    sheet, _, place = change.place().partition("!")
    if sheet not in TYPED_SHEETS and re.fullmatch(r"[A-Z]+\d+", place):
        one, before = opened()[sheet][place], opened()[sheet][place].value
        change.make(opened())
        changed = one.value != before
        cells = workbook_cells(opened())
        one.value = before
        assert changed
        found = compared(books.written(SMALL, "us").built, cells)
    else:
        book = openpyxl.load_workbook(original())
        change.make(book)
        found = compared_with(book, tmp_path / "b.xlsx", sheet in TYPED_SHEETS)
    assert shown(found) == [(change.place(), change.kind)]


def compared_with(book: Any, path: Path, inputs: bool) -> Edits:
    """What is said of a book; the inputs are read back from a file, where none are changed that takes most of the time for nothing."""
    if not inputs:
        return compared(books.written(SMALL, "us").built, workbook_cells(book))
    book.save(path)
    return compare(path)


@pytest.mark.slow
@pytest.mark.parametrize("inputs", [False, True], ids=["sheets", "inputs"])
def test_many_edits_are_found_and_nothing_else(inputs: bool, tmp_path: Path) -> None:
    """So many books as there are edits of one cell, at most."""
    left = [c for c in OF_CELLS if (c.place().partition("!")[0] in TYPED_SHEETS) == inputs]
    assert len(left) >= 3
    while left:
        made = {c.place(): c for c in reversed(left)}
        book = openpyxl.load_workbook(original())
        for change in made.values():
            change.make(book)
        found = compared_with(book, tmp_path / f"{len(left)}.xlsx", inputs)
        assert sorted(shown(found)) == sorted((place, change.kind) for place, change in made.items())
        left = [c for c in left if c not in made.values()]


@pytest.mark.parametrize("kind", ["words", "nothing"])
def test_rows_by_the_ten_thousand_are_laid_side_by_side_in_a_moment(kind: str) -> None:
    ours = [f"row {n % 40}\nft" if n % 3 else "" for n in range(120)]
    added = ["x" if kind == "words" else ""] * 29_300
    begun = time.process_time()
    blocks = list(side_by_side(ours, [*ours[:60], *added, *ours[60:]]))
    assert time.process_time() - begun < 2.0  # it took two minutes when each was compared with each
    paired = {x: y for a, b in blocks for x, y in zip(a, b, strict=False)}
    assert all(paired[n] == n + len(added) * (n >= 60) for n in range(120) if ours[n])


def test_rows_shuffled_by_the_ten_thousand_are_laid_side_by_side_in_a_moment() -> None:
    ours = [f"run {n // 120}\n{n % 120}" for n in range(24_000)]
    begun = time.process_time()
    blocks = list(side_by_side(ours, random.Random(1).sample(ours, len(ours))))
    assert time.process_time() - begun < 2.0
    assert sorted(x for a, _ in blocks for x in a) == sorted(y for _, b in blocks for y in b) == list(range(24_000))


@pytest.mark.slow
def test_references_that_did_not_follow_a_deleted_row_are_told_of() -> None:
    book = openpyxl.load_workbook(original())
    book["Boiler"].delete_rows(where("Boiler", "Sustained output"))  # as a script does it
    book["Verdicts"]["B5"].value = "another word"
    found = compared(books.written(SMALL, "us").built, workbook_cells(book))
    assert shown(found) == [("Verdicts!B5", "text altered"), (f"Boiler!{where('Boiler', 'Sustained output')}", "row deleted")][::-1]
    assert "formulas did not follow the rows" in found.remarks[0]


WRITTEN = some([(books.FULL, "metric")], [(sample, system) for sample in books.SAMPLES for system in books.SYSTEMS])


@pytest.mark.slow
@pytest.mark.parametrize(("sample", "system"), WRITTEN, ids=lambda v: getattr(v, "stem", v))
def test_a_book_as_written_has_no_edit(sample: Path, system: System) -> None:
    found = compare(books.written(sample, system).path)
    assert (found.found, found.remarks) == ([], [])


@pytest.mark.slow
def test_other_inputs_are_no_edit(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(original())
    length = book["Runs"][input_at("run cottage|length").cell]
    length.value, length.comment = 140, Comment("measured again", "")
    book["Runs"][input_at("run cottage|depth").cell].value = None
    book["Job"][input_at("job|title").cell].value = "Another title"
    book.save(tmp_path / "b.xlsx")
    found = compare(tmp_path / "b.xlsx")
    assert found.found == []
    # What the builder typed on the day the book was written follows no input, and is told of.
    dated, headed, unstored = found.remarks
    assert dated.startswith("Summary, from '7  Defaults that matter most' on") and "the inputs were changed since" in dated
    assert "the job's title is 'Another title'" in headed
    assert "no values for its" in unstored


@pytest.mark.slow
def test_another_name_of_a_run_is_no_edit(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(original())
    for key in ("run cottage|name", "load cottage|run"):
        book[input_at(key).sheet][input_at(key).cell].value = "yard"
    book.save(tmp_path / "b.xlsx")
    found = compare(tmp_path / "b.xlsx")
    assert found.found == []
    assert "labels still say 'cottage' for what is called 'yard' now" in found.remarks


# -- stored values


def in_xml(source: Path, target: Path, cells: list[tuple[str, str]], change: Callable[[str], str]) -> None:
    """A copy of a book with some cells' XML changed; everything stored for the others stays."""
    with contextlib.closing(openpyxl.load_workbook(source, read_only=True)) as book:
        parts = {f"xl/worksheets/sheet{number}.xml": name for number, name in enumerate(book.sheetnames, 1)}
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for item in old.infolist():
            data = old.read(item.filename)
            for sheet, cell in cells:
                if parts.get(item.filename) == sheet:
                    text = data.decode("utf-8")
                    match = re.search(rf'<c r="{cell}"[^>]*>.*?</c>', text)
                    assert match is not None
                    data = (text[: match.start()] + change(match[0]) + text[match.end() :]).encode("utf-8")
            new.writestr(item, data)


STORED = (
    ("Pumps", "Velocity, as calculated"),
    ("Boiler", "Load of the boiler"),
    ("Year", "The year"),
    ("Water", "Heat delivered"),
    ("Climate", "Mean temperature"),
)


@pytest.mark.slow
def test_stored_values_that_their_formulas_do_not_give(tmp_path: Path) -> None:
    cells = [*((sheet, cell(sheet, label)) for sheet, label in STORED), ("Summary", "C3")]
    in_xml(original(), tmp_path / "b.xlsx", cells, lambda xml: re.sub(r"<v>[^<]*</v>", "<v>12.345</v>", xml))
    assert sorted(shown(compare(tmp_path / "b.xlsx"))) == sorted((f"{sheet}!{place}", "stored value") for sheet, place in cells)


@pytest.mark.slow
def test_a_stored_verdict_that_its_formula_does_not_give(tmp_path: Path) -> None:
    """Several lines have a cell each in one row of Verdicts."""
    checks = books.written(SMALL, "us").built.checks.all
    sheet, place = next(c for c in checks if c.label == "Velocity not too high").verdict.address().split("!")
    in_xml(original(), tmp_path / "b.xlsx", [(sheet, place)], lambda xml: re.sub(r"<v>[^<]*</v>", "<v>remarkable</v>", xml))
    assert shown(compare(tmp_path / "b.xlsx")) == [(f"{sheet}!{place}", "stored value")]


@pytest.mark.slow
def test_overtyped_without_recalculation_is_one_edit(tmp_path: Path) -> None:
    place = cell("Pumps", "Velocity, as calculated")
    in_xml(original(), tmp_path / "b.xlsx", [("Pumps", place)], lambda xml: re.sub(r"<f>.*?</f><v>[^<]*</v>", "<v>1.5</v>", xml))
    assert shown(compare(tmp_path / "b.xlsx")) == [(f"Pumps!{place}", "formula overtyped")]


@pytest.mark.slow
@pytest.mark.office
def test_saved_by_an_office_program_with_an_overtyped_cell_recalculated(tmp_path: Path) -> None:
    """LibreOffice works the edit through the whole book: it is still one edit.  Without the edit there is none."""
    soffice = shutil.which("soffice") or shutil.which("libreoffice")
    if soffice is None:
        pytest.fail("no LibreOffice") if office.required() else pytest.skip("no LibreOffice")
    book = openpyxl.load_workbook(original())
    book["Needs"][cell("Needs", "Need that counts")].value = 36000
    book.save(tmp_path / "edited.xlsx")
    shutil.copy(original(), tmp_path / "same.xlsx")
    out = tmp_path / "out"
    command = [soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx", "--outdir", str(out)]
    subprocess.run([*command, str(tmp_path / "edited.xlsx"), str(tmp_path / "same.xlsx")], check=True, capture_output=True, timeout=300)
    found = compare(out / "edited.xlsx")
    assert shown(found) == [(f"Needs!{cell('Needs', 'Need that counts')}", "formula overtyped")]
    assert found.remarks == []  # the values were there to be compared
    assert shown(compare(out / "same.xlsx")) == []


# -- the command


@pytest.mark.slow
def test_the_command_says_what_was_changed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = openpyxl.load_workbook(original())
    book["Boiler"][cell("Boiler", "Load of the boiler")].value = 30000
    book.save(tmp_path / "b.xlsx")
    assert main(["audit", str(tmp_path / "b.xlsx")]) == 1
    printed = capsys.readouterr().out
    assert "b.xlsx: 1 change" in printed
    assert "formula overtyped: Load of the boiler: the number 30,000 stands where a formula was" in " ".join(printed.split())
    assert main(["audit", str(tmp_path / "b.xlsx"), "--json"]) == 1
    assert [c["kind"] for c in json.loads(capsys.readouterr().out)["changes"]] == ["formula overtyped"]
    assert main(["audit", str(original())]) == 0
    assert main(["audit", str(original()), "-o", str(tmp_path / "o.xlsx")]) == 2


@pytest.mark.slow
def test_a_book_with_an_audit_is_compared_with_its_claims(tmp_path: Path) -> None:
    target = tmp_path / "a.xlsx"
    assert main(["audit", str(QUOTE), "-o", str(target)]) == 1
    assert shown(compare(target)) == []
    book = openpyxl.load_workbook(target)
    book["Audit"]["J7"].value = "holds"
    book.save(tmp_path / "b.xlsx")
    assert shown(compare(tmp_path / "b.xlsx")) == [("Audit!J7", "formula overtyped")]


def test_a_table_in_a_workbook_is_not_a_book_of_ours(tmp_path: Path) -> None:
    path = books.save_as_workbook(books.table_of(SMALL), tmp_path / "t.xlsx")
    assert not is_ours(path)
    assert is_ours(original())


@pytest.mark.slow
def test_a_book_without_its_inputs_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = openpyxl.load_workbook(original())
    book.remove(book["Loads"])
    book.save(tmp_path / "b.xlsx")
    assert main(["audit", str(tmp_path / "b.xlsx")]) == 2
    assert "no sheet Loads" in capsys.readouterr().err
