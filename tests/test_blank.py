"""Blank books: they hold no result before there are inputs, take them by hand, and give what a filled book gives."""

from __future__ import annotations

from pathlib import Path

import books
import engines
import ironcalc
import numpy as np
import pytest

from hydrocalc.measures import System
from workbook_builder.build import build, save
from workbook_builder.cli import main
from workbook_builder.job import blank_job, read_job

VALUE_COLUMN = 3


@pytest.mark.parametrize("system", books.SYSTEMS)
@pytest.mark.parametrize(("runs", "loads"), [(1, 1), (3, 5), (8, 12)])
def test_a_blank_book_recalculates_alike_and_holds_no_error(tmp_path: Path, runs: int, loads: int, system: System) -> None:
    path = tmp_path / "blank.xlsx"
    save(build(blank_job(runs, loads), system), path)
    stored = engines.stored_values(path)
    assert engines.compare(stored, engines.ironcalc_values(path)) == []
    assert engines.errors(stored) == []
    assert engines.validate(path) == []


@pytest.mark.office
def test_blank_books_recalculate_alike_in_the_office(tmp_path: Path) -> None:
    paths = []
    for runs, loads in ((1, 1), (3, 5), (8, 12)):
        paths.append(tmp_path / f"blank{runs}.xlsx")
        save(build(blank_job(runs, loads), "us"), paths[-1])
    for path, found in zip(paths, engines.libreoffice_values(paths), strict=True):
        assert engines.compare(engines.stored_values(path), found) == []
        assert engines.errors(found) == []


def test_no_load_run_or_season_has_a_result_before_there_are_inputs() -> None:
    """Defaults and what follows from them alone may show; nothing that is about a load does."""
    book = build(blank_job(2, 3), "us").book
    for sheet in ("Cascade", "Settled", "Season", "Returns", "Lines"):
        for row in book.sheets[sheet].rows:
            needs_load = row.label.startswith(("Takes", "Water in", "Water out", "Can take", "Return", "Lost", "The year"))
            if needs_load and not row.is_text:
                assert np.isnan(book.values[row]).all(), f"{sheet}, {row.label}"


def filled_by_hand(tmp_path: Path, system: System) -> tuple[Path, ironcalc.Model]:
    """A blank book with the sample's numbers typed into it, as a person would, and saved by the engine."""
    job = read_job(books.FULL)
    want = books.written(books.FULL, system).built
    empty = blank_job(len(job.runs), len(job.loads), len(job.fuels))
    blank = build(empty, system)
    path = tmp_path / "blank.xlsx"
    save(blank, path)
    model = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
    inputs = [p["name"] for p in model.get_worksheets_properties()].index("Inputs")
    here = dict(zip([f"run {n}" for n in job.runs], [f"run {n}" for n in empty.runs], strict=True))
    here |= dict(zip([f"load {n}" for n in job.loads], [f"load {n}" for n in empty.loads], strict=True))
    here |= dict(zip([f"fuel today {n}" for n in job.fuels], [f"fuel today {n}" for n in empty.fuels], strict=True))
    for line in want.making.inputs.lines:
        if line.typed is not None:
            row = blank.making.inputs.by_key[f"{here.get(line.part, line.part)}|{line.item.name}"].row
            # An apostrophe keeps a size such as 3/4 or a date a text, as it does under a person's hands.
            typed = f"'{line.typed}" if isinstance(line.typed, str) and line.typed[:1].isdigit() else str(line.typed)
            model.set_user_input(inputs, row, VALUE_COLUMN, typed)
    model.evaluate()
    filled = tmp_path / "filled.xlsx"
    model.save_to_xlsx(str(filled))
    return filled, model


@pytest.mark.parametrize("system", books.SYSTEMS)
def test_a_blank_book_filled_with_the_samples_numbers_gives_the_samples_results(tmp_path: Path, system: System) -> None:
    filled, model = filled_by_hand(tmp_path, system)
    want = books.written(books.FULL, system).built.book
    sheets = [p["name"] for p in model.get_worksheets_properties()]
    wrong = []
    for row in want.order:
        if row is row.sheet.names and row.is_scalar:
            continue  # the head of a column of values is no name
        for column, value in enumerate(want.values[row]):
            found = model.get_cell_value(sheets.index(row.sheet.name), row.number, VALUE_COLUMN + column)
            blank = found in ("", None)
            if row.is_text:
                alike = (found or "") == value
            else:
                alike = blank if np.isnan(value) else not blank and abs(found - value) <= 1e-9 * max(abs(value), 1e-3)
            if not alike:
                wrong.append(f"{row.sheet.name}, {row.label}, column {column}: {value} came out as {found}")
    assert wrong == []
    # And fill on the filled book gives the sample's own book.
    again = tmp_path / "again.xlsx"
    assert main(["fill", str(filled), "-o", str(again), "--units", system]) == 0
    assert engines.compare(engines.stored_values(books.written(books.FULL, system).path), engines.stored_values(again)) == []


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "next job.xlsx"
    assert main(["blank", "-o", str(target), "--runs", "1", "--loads", "2"]) == 0
    assert "1 runs and 2 loads" in capsys.readouterr().out
    assert main(["blank", "-o", str(target)]) == 2
    assert "--force" in capsys.readouterr().err
    with pytest.raises(SystemExit) as refused:
        main(["blank", "-o", str(target), "--runs", "0"])
    assert refused.value.code == 2
    assert "1 to 200" in capsys.readouterr().err
