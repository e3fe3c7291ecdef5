"""Blank books: they hold no result before there are inputs, take them by hand, and give what a filled book gives."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import agreement
import books
import engines
import filling
import ironcalc
import numpy as np
import pytest
from slow import some

from hydrocalc.measures import System
from workbook_builder.build import build, save
from workbook_builder.cli import main
from workbook_builder.table.job import blank_job

BLANKS: list[tuple[int, int, System]] = [(r, n, system) for r, n in ((1, 1), (3, 5), (8, 12)) for system in books.SYSTEMS]
TRIED = some([(1, 1, "metric"), (3, 5, "us")], BLANKS)


@cache
def blank_book(runs: int, loads: int, system: System) -> Path:
    path = books.folder() / f"blank-{runs}-{loads}-{system}.xlsx"
    save(build(blank_job(runs, loads), system), path)
    return path


@pytest.mark.slow
@pytest.mark.parametrize(("runs", "loads", "system"), TRIED)
def test_a_blank_book_recalculates_alike_and_holds_no_error(runs: int, loads: int, system: System) -> None:
    path = blank_book(runs, loads, system)
    stored = engines.stored_values(path)
    assert engines.compare(stored, engines.ironcalc_values(path)) == []
    assert engines.errors(stored) == []
    assert engines.validate(path) == []


@pytest.mark.slow
@pytest.mark.office
def test_blank_books_recalculate_alike_in_the_office(tmp_path: Path) -> None:
    paths = [blank_book(*blank) for blank in some([(1, 1, "metric")], BLANKS)]
    for path, found in zip(paths, agreement.office_cells(paths, tmp_path / "office"), strict=True):
        assert engines.compare(engines.stored_values(path), found) == []
        assert engines.errors(found) == []


def test_no_load_run_or_season_has_a_result_before_there_are_inputs() -> None:
    """Defaults and what follows from them alone may show; nothing that is about a load does."""
    book = build(blank_job(2, 3), "us").book
    for sheet in ("Water", "Year", "Lines", "Needs"):
        for row in book.sheets[sheet].rows:
            needs_load = row.label.startswith(
                ("Heat delivered", "Entering water", "Leaving water", "Capacity at this water", "Return", "Lost", "The year")
            )
            if needs_load and not row.is_text:
                assert np.isnan(book.values[row]).all(), f"{sheet}, {row.label}"


@pytest.mark.slow
def test_a_blank_book_filled_with_the_samples_numbers_gives_the_samples_results(tmp_path: Path) -> None:
    """Typed and saved in IronCalc; test_in_the_office.py does the same in LibreOffice and in metric units."""
    system: System = "us"
    typed = filling.blank_book(tmp_path / "blank.xlsx", system)
    model = ironcalc.load_from_xlsx(str(tmp_path / "blank.xlsx"), "en", "UTC", "en")
    sheets = engines.sheet_numbers(model)
    for line, value in typed:
        # An apostrophe keeps a size such as 3/4 or a date a text, as it does under a person's hands.
        text = f"'{value}" if isinstance(value, str) and value[:1].isdigit() else str(value)
        model.set_user_input(sheets[line.sheet], line.row, line.column + 1, text)
    assert filling.differences(engines.values_of_model(model), system) == []
    filled = tmp_path / "filled.xlsx"
    model.save_to_xlsx(str(filled))
    assert filling.differences_after_fill(filled, system, tmp_path / "again.xlsx") == []


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
