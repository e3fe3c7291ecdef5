"""The command: from a table to a file or to a message, and never to half a file or a traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import books
import engines
import pytest
from broken_tables import BROKEN, SOUND, Broken

from workbook_builder.cli import main


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "cottage.csv"
    path.write_text(SOUND, encoding="utf-8")
    return path


def files_in(folder: Path) -> set[str]:
    """Every file, hidden ones too."""
    return {p.name for p in folder.rglob("*") if p.is_file()}


def test_fill_a_csv_file(table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fill", str(table)]) == 0
    target = table.with_suffix(".xlsx")
    said = capsys.readouterr()
    formulas = engines.formulas(target)
    assert said.out.strip() == f"{target}: 1 runs, 1 loads, {len(formulas)} formulas"
    assert said.err == ""
    assert len(formulas) >= 250
    assert files_in(table.parent) == {"cottage.csv", "cottage.xlsx"}
    assert engines.compare(engines.stored_values(target), engines.ironcalc_values(target)) == []


@pytest.mark.slow
def test_fill_a_workbook_and_metric_units(tmp_path: Path) -> None:
    source = books.save_as_workbook([tuple(line.split(",")) for line in SOUND.splitlines()[1:]], tmp_path / "typed.xlsx")  # type: ignore[misc]
    assert main(["fill", str(source), "-o", str(tmp_path / "book.xlsx"), "--units", "metric"]) == 0
    shown = engines.stored_values(tmp_path / "book.xlsx", formulas_only=False).values()
    assert "°C" in shown and "°F" not in shown


@pytest.mark.slow
def test_an_existing_book_is_replaced_only_by_force(table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = table.with_suffix(".xlsx")
    target.write_text("something of somebody's")
    assert main(["fill", str(table)]) == 2
    assert target.read_text() == "something of somebody's"
    assert "exists already; --force replaces it" in capsys.readouterr().err
    assert main(["fill", str(table), "--force"]) == 0
    assert engines.formulas(target)


def test_a_failed_fill_leaves_the_old_book(table: Path) -> None:
    target = table.with_suffix(".xlsx")
    target.write_text("the old book")
    table.write_text(SOUND.replace("88,ft", "-88,ft"), encoding="utf-8")
    assert main(["fill", str(table), "--force"]) == 2
    assert target.read_text() == "the old book"
    assert files_in(table.parent) == {"cottage.csv", "cottage.xlsx"}


@pytest.mark.slow
@pytest.mark.parametrize("force", [[], ["--force"]])
def test_a_table_is_never_replaced_by_its_own_book(table: Path, capsys: pytest.CaptureFixture[str], force: list[str]) -> None:
    before = table.read_bytes()
    (table.parent / "sub").mkdir()
    roundabout = table.parent / "sub" / ".." / table.name
    assert main(["fill", str(table), "-o", str(roundabout), *force]) == 2
    assert "would replace a file that is to be read" in capsys.readouterr().err
    assert table.read_bytes() == before
    workbook = table.with_suffix(".xlsx")
    assert main(["fill", str(table)]) == 0
    before = workbook.read_bytes()
    assert main(["fill", str(workbook), *force]) == 2
    assert workbook.read_bytes() == before


def test_a_target_that_cannot_be_written(table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for target in (table.parent / "nowhere" / "book.xlsx", table / "book.xlsx"):
        assert main(["fill", str(table), "-o", str(target)]) == 2
        said = capsys.readouterr()
        assert str(target) in said.err and "Traceback" not in said.err
    assert files_in(table.parent) == {"cottage.csv"}


@pytest.mark.parametrize("broken", BROKEN, ids=lambda b: b.name)
def test_a_broken_table_gives_its_message_and_no_file(broken: Broken, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = broken.write(tmp_path)
    assert main(["fill", str(path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert files_in(tmp_path) == {path.name}
    lines = said.err.splitlines()
    for row, item, words in broken.problems:
        place = path.name if row is None else f"{path.name}, row {row}"
        start = f"{place}, {item}: " if item else f"{place}: "
        assert any(line.startswith(start) and words in line for line in lines), said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "required: command"),
        (["fill"], "required: table"),
        (["fil", "x.csv"], "invalid choice"),
        (["fill", "x.csv", "--units", "imperial"], "invalid choice"),
    ],
)
def test_a_wrong_request(arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert words in capsys.readouterr().err


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own."""
    environment = {**os.environ, "PYTHONPATH": str(books.ROOT)}
    return subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False, timeout=120, env=environment)


@pytest.mark.slow
def test_the_module_is_the_command(table: Path) -> None:
    done = run("-m", "workbook_builder", "fill", str(table))
    assert (done.returncode, done.stderr) == (0, "")
    assert engines.formulas(table.with_suffix(".xlsx"))
    again = run("-m", "workbook_builder", "fill", str(table))
    assert again.returncode == 2 and "exists already" in again.stderr and "Traceback" not in again.stderr
    table.write_text(SOUND.replace("88,ft", "long,ft").replace("39000,BTU/h", "39000,gal"), encoding="utf-8")
    refused = run("-m", "workbook_builder", "fill", str(table), "--force")
    assert refused.returncode == 2
    assert [line.split(": ")[0] for line in refused.stderr.splitlines()] == [
        "cottage.csv, row 8, run yard, length",
        "cottage.csv, row 13, load cottage, design loss",
    ]
    helped = run("-m", "workbook_builder", "fill", "--help")
    assert helped.returncode == 0 and "--units" in helped.stdout
