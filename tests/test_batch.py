"""Many tables at once, and the same file from the same input."""

from __future__ import annotations

import gc
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import books
import pytest
from slow import but_first, some

from workbook_builder.batch import Order, carry_out_all
from workbook_builder.cli import main
from workbook_builder.model.typed_sheets import TYPED_SHEETS
from workbook_builder.model.worksheet import Book

SMALL = books.ROOT / "samples" / "small-cottage.csv"
COMMAND = [sys.executable, "-m", "workbook_builder"]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(books.ROOT)}


@pytest.mark.slow
def test_one_table_that_fails_does_not_stop_the_rest(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("a", "b", "c"):
        shutil.copy(SMALL, tmp_path / f"{name}.csv")
    (tmp_path / "broken.csv").write_text("part,item,value\n", encoding="utf-8")
    assert main(["fill", str(tmp_path)]) == 2
    said = capsys.readouterr()
    assert said.out.count("formulas") == 3
    assert "1 of 4 tables failed" in said.err
    assert "broken.csv" in said.err
    assert "Traceback" not in said.err
    assert sorted(p.name for p in tmp_path.glob("*.xlsx")) == ["a.xlsx", "b.xlsx", "c.xlsx"]
    assert not list(tmp_path.glob(".*"))
    # A second time the books are there: each is named, none is touched; with --force all are written anew.
    assert main(["fill", str(tmp_path)]) == 2
    assert capsys.readouterr().err.count("exists already") == 3


@pytest.mark.slow
def test_a_book_that_is_written_is_let_go(tmp_path: Path) -> None:
    """Or a thousand jobs would fill the memory."""

    def alive() -> int:
        return sum(isinstance(thing, Book) for thing in gc.get_objects())

    gc.collect()
    before = alive()
    placed = [Order(SMALL, tmp_path / name, "us", force=False) for name in ("a.xlsx", "b.xlsx")]
    assert [outcome.problem for outcome in carry_out_all(placed, 1)] == ["", ""]
    assert alive() == before


def test_two_tables_for_one_book_are_refused_before_anything_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "two").mkdir()
    (tmp_path / "out").mkdir()
    for folder in ("one", "two"):
        shutil.copy(SMALL, tmp_path / folder / "job.csv")
    assert main(["fill", str(tmp_path / "one"), str(tmp_path / "two"), "-o", str(tmp_path / "out")]) == 2
    assert "both" in capsys.readouterr().err
    assert not list((tmp_path / "out").iterdir())


def test_targets_that_links_lead_to_one_place_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """To one book, or to a table of the batch, which would be gone before it was read."""
    for name in ("a.csv", "b.csv"):
        shutil.copy(SMALL, tmp_path / name)
    (tmp_path / "a.xlsx").symlink_to(tmp_path / "b.xlsx")
    tables = [str(tmp_path / "a.csv"), str(tmp_path / "b.csv")]
    assert main(["fill", *tables, "--force"]) == 2
    assert "both" in capsys.readouterr().err
    third = books.save_as_workbook(books.table_of(SMALL), tmp_path / "third.xlsx")
    before = third.read_bytes()
    (tmp_path / "a.xlsx").unlink()
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "a.xlsx").symlink_to(third)
    assert main(["fill", tables[0], str(third), "-o", str(tmp_path / "out"), "--force"]) == 2
    assert f"would replace the table {third}" in capsys.readouterr().err
    assert third.read_bytes() == before
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["a.xlsx"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["fill", "{here}/none.csv"], "no such file"),
        (["fill", "{here}/empty"], "no input table"),
        (["fill", "{here}/job.csv", "-o", "{here}/nowhere/x.xlsx"], "no such folder"),
    ],
)
def test_requests_that_cannot_be_met(tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str) -> None:
    (tmp_path / "empty").mkdir()
    shutil.copy(SMALL, tmp_path / "job.csv")
    assert main([a.format(here=tmp_path) for a in arguments]) == 2
    assert words in capsys.readouterr().err
    assert not list(tmp_path.glob("**/*.xlsx"))


@pytest.mark.slow
def test_the_same_input_gives_the_same_file(tmp_path: Path) -> None:
    """Byte for byte, whatever the hash seed, the time zone, the locale and the day."""
    files = []
    for number, (seed, zone, language) in enumerate((("1", "UTC", "C"), ("77", "Asia/Tokyo", "de_DE.UTF-8"))):
        target = tmp_path / f"{number}.xlsx"
        environment = {**ENVIRONMENT, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": language}
        subprocess.run([*COMMAND, "fill", str(books.FULL), "-o", str(target)], env=environment, check=True, capture_output=True)
        files.append(target.read_bytes())
        time.sleep(2.1 * (number == 0))  # a zip archive counts in steps of two seconds
    assert files[0] == files[1]


INJECTIONS = [
    "=1+1",
    "+1+1",
    "-1+cmd|' /C calc'!A0",
    "@SUM(1,1)",
    '=HYPERLINK("http://localhost","x")',
    "\t=1",
    "{=1}",
    "http://localhost/",
    "'=1",
]


@pytest.mark.parametrize("shift", but_first(some((0, 5), range(len(INJECTIONS)))))
def test_no_text_becomes_a_formula(tmp_path: Path, shift: int) -> None:
    """In every text that a table can hold: titles, notes, names of people and places; each of the texts stands in some of them."""
    import csv
    import zipfile

    import openpyxl

    texts = [INJECTIONS[(n + shift) % len(INJECTIONS)] for n in range(len(INJECTIONS))]
    table = tmp_path / "job.csv"
    given = [r for r in csv.DictReader(SMALL.read_text(encoding="utf-8").splitlines()) if (r["part"], r["item"]) != ("job", "title")]
    rows = [["part", "item", "value", "unit", "note"]]
    rows += [[r["part"], r["item"], r["value"], r["unit"], texts[n % len(texts)]] for n, r in enumerate(given)]
    about = [i for i in ("title", "client", "place", "prepared by") if ("job", i) not in {(r["part"], r["item"]) for r in given}]
    rows += [["job", item, text, "", text] for item, text in zip(about, texts, strict=False)]
    with table.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    target = tmp_path / "book.xlsx"
    assert main(["fill", str(table), "-o", str(target)]) == 0
    book = openpyxl.load_workbook(target)
    found, notes = dict.fromkeys(texts, 0), dict.fromkeys(texts, 0)
    stripped = {text.strip(): text for text in texts}
    for cell in (c for sheet in TYPED_SHEETS for row in book[sheet].iter_rows() for c in row):
        if cell.comment is not None and cell.comment.text.strip() in stripped:
            notes[stripped[cell.comment.text.strip()]] += 1
        if isinstance(cell.value, str) and cell.value.strip() in stripped:
            assert cell.data_type == "s", cell.coordinate
            assert cell.hyperlink is None
            found[stripped[cell.value.strip()]] += 1
    assert sum(found.values()) >= 3 and sum(notes.values()) >= len(given) and min(notes.values()) >= 2, (found, notes)
    with zipfile.ZipFile(target) as archive:
        assert not [n for n in archive.namelist() if "externalLink" in n or "vba" in n]
