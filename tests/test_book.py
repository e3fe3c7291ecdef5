"""Whole books of the samples: recalculated in two engines, read back, changed, and compared between unit systems.

Nothing here lists cells: the tests walk whatever sheets, rows and inputs a book has.
"""

from __future__ import annotations

import contextlib
import math
import re
import statistics
import zipfile
from collections.abc import Iterator
from pathlib import Path

import agreement
import books
import engines
import limits
import numpy as np
import pytest
from books import FULL, SAMPLES, SYSTEMS, Written
from slow import but, some

from hydrocalc.measures import Measure, System
from workbook_builder.build import SHEETS, build, write_book
from workbook_builder.model.base import ONE
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.rows import FIRST_COLUMN, Heading, Row, column_letters
from workbook_builder.model.typed_sheets import STATUS_ROW, TYPED_SHEETS
from workbook_builder.model.worksheet import LONGEST_FORMULA
from workbook_builder.table.reader import read_job

# A recalculation of the same formula: rounding of the last digits along the chain of formulas.
SAME_FORMULA = 1e-9

# The suite makes four of the six books, a quick run one; what takes long is done with two.
ALL_BOOKS: list[tuple[Path, System]] = [(sample, system) for sample in SAMPLES for system in SYSTEMS]
SMALL = next(s for s in SAMPLES if s.stem == "small-cottage")
FAILING = next(s for s in SAMPLES if s not in (FULL, SMALL))
TWO: list[tuple[Path, System]] = [(FULL, "us"), (SMALL, "metric")]
MADE = some([*TWO, (FULL, "metric"), (FAILING, "us")], ALL_BOOKS)


def of_each(books: list[tuple[Path, System]]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize(("sample", "system"), but([(FULL, "us")], books), ids=lambda v: getattr(v, "stem", v))


every_book, some_books = of_each(MADE), of_each(some(TWO, ALL_BOOKS))


def placed_rows(book: Written) -> Iterator[Row]:
    """The rows that stand on the sizing sheets, in their order."""
    for sheet in book.built.book.sheets.values():
        yield from sheet.rows


@every_book
def test_ironcalc_finds_what_is_stored(sample: Path, system: System) -> None:
    """The twin holds a false value in every formula cell; recalculated, it has to show what the book has stored."""
    book, twin = books.written(sample, system), books.written(sample, system, false=True)
    expected = books.stored(book.path)
    assert sum(v is not None for v in expected.values()) >= 250
    assert any(v is None for v in expected.values()), "blank results are among what is compared"
    assert engines.errors(expected) == []
    assert set(books.stored(twin.path).values()) == {books.FALSE}, "the twin holds a value that is not false"
    found = engines.ironcalc_values(twin.path)
    assert engines.compare(expected, found, SAME_FORMULA) == []
    assert engines.errors(found) == []


@pytest.mark.slow
@pytest.mark.office
def test_libreoffice_finds_what_is_stored(tmp_path: Path) -> None:
    """The twins of all books in one start of the office program."""
    pairs = some([(FULL, "us"), (FAILING, "us")], ALL_BOOKS)
    twins = [books.written(s, u, false=True).path for s, u in pairs]
    for (sample, system), found in zip(pairs, agreement.office_cells(twins, tmp_path / "office"), strict=True):
        expected = books.stored(books.written(sample, system).path)
        assert engines.compare(expected, found, SAME_FORMULA) == [], f"{sample.stem}, {system}"
        assert engines.errors(found) == [], f"{sample.stem}, {system}"


@pytest.mark.slow
@some_books
def test_the_validator_has_no_finding(sample: Path, system: System) -> None:
    assert engines.validate(books.written(sample, system).path) == []


# --- the same table in another dress ----------------------------------------------------------------------------------


def parts_of(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.mark.slow
@pytest.mark.parametrize("sample", some([FULL], SAMPLES), ids=lambda s: s.stem)
def test_the_table_saved_as_a_workbook_gives_the_same_book(sample: Path, tmp_path: Path) -> None:
    source = books.save_as_workbook(books.table_of(sample), tmp_path / "table.xlsx")
    write_book(build(read_job(source)), tmp_path / "book.xlsx")
    assert parts_of(tmp_path / "book.xlsx") == parts_of(books.written(sample, "us").path)


@pytest.mark.slow
@some_books
def test_a_book_is_an_input_table_too(sample: Path, system: System, tmp_path: Path) -> None:
    """``fill`` on a book gives that book again: what its typed sheets show is all that it was made from."""
    book = books.written(sample, system)
    write_book(build(read_job(book.path), system), tmp_path / "again.xlsx")
    assert parts_of(tmp_path / "again.xlsx") == parts_of(book.path)


@pytest.mark.slow
def test_writing_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    book = books.written(FULL, "us")
    write_book(build(read_job(FULL), "us"), tmp_path / "again.xlsx")
    assert (tmp_path / "again.xlsx").read_bytes() == book.path.read_bytes()


# --- units ------------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("sample", some([FULL], SAMPLES), ids=lambda s: s.stem)
def test_us_and_metric_books_agree_cell_by_cell(sample: Path) -> None:
    us, metric = (built.book for built in books.in_both_systems(read_job(sample)))
    assert books.differences_between_systems(us, metric) == []
    assert sum(int(np.isfinite(us.values[row]).sum()) for row in us.order if isinstance(row.kind, Measure)) >= 250


@pytest.mark.slow
def test_a_difference_between_the_systems_shows() -> None:
    us, metric = (built.book for built in books.in_both_systems(read_job(FULL)))
    arrival = next(r for r in metric.order if r.label == "Supply arrives")
    metric.values[arrival] = metric.values[arrival] + 1e-3
    assert len(books.differences_between_systems(us, metric)) == 1


@every_book
def test_only_the_units_of_a_system_stand_in_its_book(sample: Path, system: System) -> None:
    """A unit that one system has and the other has not stands in no cell of the other's book, words and all sheets included."""
    own, foreign = {"BTU/h", "gpm", "°F", "ft/s", "BTU"}, {"kW", "L/min", "°C", "m/s", "kPa"}
    if system == "metric":
        own, foreign = foreign, own
    units = {row.unit for row in placed_rows(books.written(sample, system))}
    assert not units & foreign
    assert units & own


# --- what a row says of itself ----------------------------------------------------------------------------------------


@every_book
def test_each_row_says_what_it_is(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    silent, recorded = [], 0
    for row in placed_rows(book):
        place = f"{row.sheet.name}, {row.label}"
        if not row.label or not row.words:
            silent.append(f"{place}: no words")
        if isinstance(row.kind, Measure) and not row.unit and row.kind.unit(system).symbol not in ("–", ""):
            silent.append(f"{place}: no unit")
        if row.function:
            recorded += 1
            if not row.source:
                silent.append(f"{place}: no source")
    assert silent == []
    assert recorded >= 50


@some_books
def test_the_sheets_show_what_the_rows_say(sample: Path, system: System) -> None:
    """Label, unit, words, function and source stand in the file in the row's own line, and its values beside its label."""
    import openpyxl

    book = books.written(sample, system)
    file = openpyxl.load_workbook(book.path, data_only=True)
    for sheet in book.built.book.sheets.values():
        if sheet.name not in file.sheetnames:
            continue
        out = file[sheet.name]
        words = FIRST_COLUMN + (0 if sheet.axis == ONE else len(sheet.axis.labels)) + 2  # counted from 1, behind the spacer
        for number, item in [*sheet.items, *((cell.number, cell) for cell in sheet.cells)]:
            if isinstance(item, Heading):
                assert out.cell(number, 1).value == item.text
                continue
            if item.place is None:
                shown = [out.cell(number, c).value or "" for c in (1, 2, *range(words, words + 3))]
                assert shown == [item.label, item.unit, item.words, item.function, item.source], f"{sheet.name}, row {number}"
            values = [out.cell(number, item.first_column + 1 + i).value for i in range(len(item.axis.labels))]
            worked_out = [None if v == "" or v != v else v for v in book.built.book.values[item].tolist()]
            pairs = {("S", str(i)): v for i, v in enumerate(worked_out)}, {("S", str(i)): v for i, v in enumerate(values)}
            assert engines.compare(*pairs, rel=1e-14) == [], f"{sheet.name}, row {number}"


@some_books
def test_every_sheet_that_is_made_is_written_where_the_list_has_it(sample: Path, system: System) -> None:
    import openpyxl

    book = books.written(sample, system)
    with contextlib.closing(openpyxl.load_workbook(book.path, read_only=True)) as file:
        names = file.sheetnames
    assert names == [sheet.name for sheet in SHEETS if sheet.name != "Audit"], "nothing is claimed"
    # Two pages have workings below what they are made for.
    assert set(book.built.book.sheets) == {sheet.name for sheet in SHEETS if sheet.write is None} | {"Verdicts", "Charts"}
    for name in names:
        assert len(name) <= limits.SHEET_NAME
        assert re.fullmatch(r"[A-Za-z]{4,}\d*|[A-Za-z]{3}", name), "a sheet name needs no quotes and is no cell"


@every_book
def test_formulas_keep_the_limits_of_office_programs(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    assert limits.findings(book.path) == []
    formulas = engines.formulas(book.path)
    for place, formula in formulas.items():
        # The guard comes to the formula itself; at the foot of an inputs sheet two rows go through all the words of their column.
        longest = 2_000 if place[0] in TYPED_SHEETS else LONGEST_FORMULA + 400
        assert len(formula) <= longest, place
    # LET, LAMBDA, XLOOKUP and the like would stand here with this prefix; the sheets keep to what Excel 2010 has.
    assert not [place for place, formula in formulas.items() if "_xl" in formula]


def test_lengths_of_the_calculation_formulas(capsys: pytest.CaptureFixture[str]) -> None:
    """Half of the formulas, guard included, fit in a line of the formula bar, and 19 in 20 in three of them."""
    book = books.written(FULL, "us")
    lengths = sorted(len(row.formula) for row in placed_rows(book) if row.function)
    median, most = statistics.median(lengths), lengths[math.ceil(0.95 * len(lengths)) - 1]
    with capsys.disabled():
        print(f"\ncalculation formulas of {FULL.stem}: {len(lengths)} rows, median {median:.0f}, 95 % within {most}, longest {lengths[-1]}")
    assert median <= 120  # the guards by kind of load take a good third of a cascade's line
    assert most <= 300


# --- a changed input --------------------------------------------------------------------------------------------------

SMALLER = 0.97
WET = 0.3  # in the trade unit of either system
# Words of the table that can change without others having to change along with them.
WORDS = (
    "soil",
    "species",
    "condition",
    "efficiency basis",
    "rated output basis",
    "insulation",
    "jacket condition",
    "arrangement",
    "first month lit",
    "last month lit",
    "first month in use",
    "last month in use",
    "return protection",
    "circulator place",
    "mixing valve",
)


def number_for(line: InputLine, system: System) -> float | None:
    """A number a little smaller than the one in use, if the item's limits allow it."""
    if line.item.measure is None or not isinstance(line.used, float):
        return None
    new = float(f"{line.used * SMALLER:.9g}")
    coherent = float(line.item.measure.unit(system).to_coherent(new))
    return new if new != line.used and line.item.limits.holds(coherent) else None


def word_for(line: InputLine) -> str | None:
    """Another of the words that an item may be."""
    if line.item.name not in WORDS:
        return None
    return next((w for w in reversed(line.item.choices) if w != line.used), None)


def check_retyped(book: Written, system: System, changes: list[tuple[InputLine, float | str]], folder: Path) -> None:
    """The book with other values typed in an office program shows what a fresh book of those values shows."""
    fresh = books.write_job(books.table_in_book(book, changes), system, folder / "fresh.xlsx")
    expected = engines.stored_values(fresh.path)
    assert engines.compare(expected, books.stored(book.path)), "nothing follows from the change"
    found = books.retyped_in_ironcalc(book.path, changes)
    assert engines.compare(expected, found, SAME_FORMULA) == []
    assert engines.errors(found) == []
    assert set(expected) == set(books.stored(book.path))


@pytest.mark.slow
@some_books
def test_all_numbers_changed_at_once(sample: Path, system: System, tmp_path: Path) -> None:
    """Given ones, and defaults typed over: nothing in the book is a number that stood in the table once."""
    book = books.written(sample, system)
    lines = book.built.context.inputs.lines
    changes: list[tuple[InputLine, float | str]] = [(line, new) for line in lines if (new := number_for(line, system)) is not None]
    # Of items that exclude one another only the one that is given can be typed.
    given = {line.item.name for line in lines if line.typed is not None}
    changes = [(line, new) for line, new in changes if line.item.name != "jacket surface" or "jacket conductance" not in given]
    assert len(changes) > 50
    check_retyped(book, system, changes, tmp_path)


@pytest.mark.slow
@some_books
def test_all_words_changed_at_once(sample: Path, system: System, tmp_path: Path) -> None:
    book = books.written(sample, system)
    job = book.built.job
    lines = [line for line in book.built.context.inputs.lines if line.item.serves(job.kind_of(line.part))]
    changes: list[tuple[InputLine, float | str]] = [(line, new) for line in lines if (new := word_for(line)) is not None]
    # Among the words are a wet jacket and an insulation of which the table does not say what it does when wet.
    changes += [(line, WET) for line in lines if line.item.name == "wet insulation conductivity"]
    assert len(changes) > 8
    check_retyped(book, system, changes, tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("part", "item"),
    some(
        [("wood", "species"), ("run house", "depth")],
        [("site", "outdoor design temperature"), ("wood", "species"), ("run house", "depth"), ("load dwelling", "design loss")],
    ),
)
def test_one_input_changed_alone(part: str, item: str, tmp_path: Path) -> None:
    book = books.written(FULL, "us")
    line = book.built.context.inputs.by_key[f"{part}|{item}"]
    new = number_for(line, "us") or word_for(line)
    assert new is not None
    check_retyped(book, "us", [(line, new)], tmp_path)


@pytest.mark.slow
def test_antifreeze_in_the_lines(tmp_path: Path) -> None:
    """From water to a glycol: every property comes from other tables and formulas."""
    book = books.written(FULL, "us")
    by_key = book.built.context.inputs.by_key
    changes: list[tuple[InputLine, float | str]] = [
        (by_key["liquid|kind"], "propylene glycol"),
        (by_key["liquid|antifreeze by volume"], 35.0),
    ]
    check_retyped(book, "us", changes, tmp_path)


@pytest.mark.parametrize("typed", ["lots", -3.0])
def test_an_impossible_input_blanks_what_depends_on_it(typed: float | str) -> None:
    """Typed into the book itself, where no reader stands guard: no error value, a word of it, and blanks downstream."""
    book = books.written(FULL, "us")
    line = book.built.context.inputs.by_key["run house|length"]
    found = books.retyped_in_ironcalc(book.path, [(line, typed)])
    assert engines.errors(found) == []
    assert found[line.sheet, f"{column_letters(line.column)}{STATUS_ROW}"] == "not possible: length"
    assert found[line.sheet, "A3"] == f"1 not possible, named in row {STATUS_ROW}"
    assert found["Contents", "A3"] == "1 input is missing or not possible: Runs 1"
    arrival = book.built.sizing.needs_met.arrival
    house = arrival.axis.labels.index("house")
    own, other = (f"{column_letters(arrival.first_column + n)}{arrival.number}" for n in (house, 1 - house))
    assert found.get((arrival.sheet.name, own)) in (None, "")
    assert isinstance(found[arrival.sheet.name, other], float)


@some_books
def test_empty_required_values_give_blanks_and_no_errors(sample: Path, system: System) -> None:
    """With every typed number taken out again nothing in the book is an error value."""
    book = books.written(sample, system)
    changes: list[tuple[InputLine, float | str]] = [
        (line, "") for line in book.built.context.inputs.lines if line.typed is not None and line.item.measure is not None
    ]
    found = books.retyped_in_ironcalc(book.path, changes)
    assert engines.errors(found) == []


@pytest.mark.slow
def test_what_was_typed_is_put_back() -> None:
    book = books.written(FULL, "us")
    line = book.built.context.inputs.by_key["run house|length"]
    for typed in ("lots", 12.5):
        books.retyped_in_ironcalc(book.path, [(line, typed)])
        assert engines.compare(books.stored(book.path), books.retyped_in_ironcalc(book.path, []), SAME_FORMULA) == []
