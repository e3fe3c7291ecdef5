"""Hostile files against ``fill``, ``audit`` and ``--book``: a clear message, in bounded time and memory; nothing run or written.

Every file is met in a process of its own (``hostile.py``), which may take 1.5 GB and a minute.
"""

from __future__ import annotations

import functools
import json
import os
import random
import re
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import books
import openpyxl
import pytest
from slow import but_first

from workbook_builder.build import SHEETS
from workbook_builder.cli import main
from workbook_builder.model.typed_sheets import RUNS
from workbook_builder.output.terminal import plain

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="the limits of a process are POSIX's")

TIME = 60.0  # s for a command, on a machine that does other things too
TABLE = "part,item,value,unit,note\nrun house,tube family,PEX SDR-9,,\nrun house,size,1,,\nrun house,flow,8.5,gpm,\n"
CLAIM = "claim run house,flow,=Sizing!B2,gpm,\n"
HEADINGS = ("part", "item", "value", "unit", "note")
ENTITIES = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
LETTERS = bytes(random.Random(1).choices(range(97, 123), k=200_000))  # so that the packing looks like that of a sheet
ORDER = "=cmd|'/c touch done'!A0"


def ran(folder: Path, *commands: list[str]) -> list[dict[str, Any]]:
    """What the commands did; fails if one of them did anything outside its process."""
    before = {p: p.stat().st_mtime_ns for p in folder.rglob("*")}
    script = Path(__file__).with_name("hostile.py")
    child = subprocess.run(
        [sys.executable, "-B", str(script), json.dumps(commands)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(books.ROOT)},
        capture_output=True,
        text=True,
        timeout=TIME * len(commands) + 10,
    )
    assert child.returncode == 0, child.stderr[-2000:]
    told = [json.loads(line) for line in child.stdout.splitlines()]
    assert len(told) == len(commands)
    for one in told:
        assert one["done"] == []
        assert one["seconds"] < TIME
        assert "Traceback" not in one["err"] + one["out"]
    assert {p: p.stat().st_mtime_ns for p in folder.rglob("*")} == before
    return told


def sizing(path: Path, cells: dict[str, object]) -> Path:
    """Another party's workbook with these cells on its sheet Sizing."""
    made = openpyxl.Workbook()
    made.active.title = "Sizing"
    for address, value in {"B2": 8.5, "A1": "flow", **cells}.items():
        made["Sizing"][address].value = value
    made.save(path)
    return path


def rewritten(path: Path, change: Callable[[str, bytes], bytes], extra: dict[str, bytes] | None = None, source: Path | None = None) -> Path:
    """Such a workbook, or another, with its parts changed."""
    sound = sizing(path.with_name("sound.xlsx"), {})
    with zipfile.ZipFile(source or sound) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.namelist():
            new.writestr(part, change(part, old.read(part)))
        for name, data in (extra or {}).items():
            new.writestr(name, data)
    sound.unlink()
    return path


def inserted(part: str, before: bytes, data: bytes) -> Callable[[Path], Path]:
    def change(name: str, old: bytes) -> bytes:
        assert name != part or old.count(before) == 1
        return old.replace(before, data + before) if name == part else old

    return lambda path: rewritten(path, change)


def declared(comment: bytes) -> Callable[[Path], Path]:
    def change(name: str, data: bytes) -> bytes:
        return comment + ENTITIES + data.partition(b"?>")[2] if name.endswith("sheet1.xml") and b"?>" in data else _bare(name, data)

    def _bare(name: str, data: bytes) -> bytes:
        return comment + ENTITIES + data if name.endswith("sheet1.xml") else data

    return lambda path: rewritten(path, change)


def bytes_of(data: bytes) -> Callable[[Path], Path]:
    def make(path: Path) -> Path:
        path.write_bytes(data)
        return path

    return make


SHEET = "xl/worksheets/sheet1.xml"
REFUSED: dict[str, tuple[Callable[[Path], Path], str]] = {
    "bomb": (lambda p: rewritten(p, lambda _, d: d, {"xl/worksheets/sheet2.xml": b"<a>" + b" " * 50_000_000}), "times its size"),
    "entities": (declared(b""), "declares entities"),
    "entities behind a comment": (declared(b"<!--" + b"x" * 70_000 + b"-->"), "declares entities"),
    "password": (bytes_of(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(1000)), "password"),
    "CSV by another name": (bytes_of((TABLE + CLAIM).encode()), "a CSV file wants the ending .csv"),
    "empty cells": (
        inserted(SHEET, b"</sheetData>", b"<!--" + LETTERS + b'--><row r="9">' + b"<c/>" * 2_500_000 + b"</row>"),
        "more cells or formats than can be looked into",
    ),
    "formats": (
        inserted("xl/styles.xml", b"</cellXfs>", b"<!--" + LETTERS + b"-->" + b"<xf/>" * 500_000),
        "more cells or formats than can be looked into",
    ),
    "texts under another name": (
        lambda p: rewritten(p, lambda _, d: d, {"xl/texts.xml": b"<sst><!--" + LETTERS + b"-->" + b"<si/>" * 8_500_000}),
        "more cells or formats than can be looked into",
    ),
}


@pytest.fixture(scope="module")
def told_of(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[dict[str, Any]]]:
    """What four commands say of each file, one after the other in one process."""
    folder = tmp_path_factory.mktemp("refused")
    (folder / "t.csv").write_text(TABLE + CLAIM, encoding="utf-8")
    commands: list[list[str]] = []
    for number, (make, _) in enumerate(REFUSED.values()):
        book = make(folder / f"x{number}.xlsx").name
        commands += [["fill", book, "-o", "o.xlsx"], ["audit", book], ["audit", "t.csv", "--book", book], ["audit", book, "--json"]]
    told = ran(folder, *commands)
    return {name: told[4 * number : 4 * number + 4] for number, name in enumerate(REFUSED)}


@pytest.mark.slow
@pytest.mark.parametrize(("number", "name"), list(enumerate(REFUSED)), ids=str)
def test_what_no_workbook_is_is_refused_by_every_command(number: int, name: str, told_of: dict[str, list[dict[str, Any]]]) -> None:
    file, words = f"x{number}.xlsx", REFUSED[name][1]
    *in_words, for_machines = told_of[name]
    for one in in_words:
        assert one["status"] == 2
        assert one["err"].startswith(f"{file}: ") and words in one["err"]
        assert len(one["err"]) < 300
        assert one["out"] == ""
    [problem] = json.loads(for_machines["out"])["problems"]
    assert (for_machines["status"], for_machines["err"]) == (2, "")
    assert problem["file"] == file and words in problem["message"]


@pytest.mark.slow
def test_a_book_of_others_may_be_odd_in_every_way_at_once(tmp_path: Path) -> None:
    """A circle, a cell in the last place, a range merged over all, digits without end, orders to programs: sound cells are read."""
    odd: dict[str, object] = {
        "C1": "=C2+1",
        "C2": "=C1",
        "C3": "=Z99999999+Nowhere!A1+ZZZZ5",
        "C4": ORDER,
        "C5": '=WEBSERVICE("http://localhost:9/")',
        "C6": "=[1]Prices!$A$1",
        "C7": "9" * 32_000 + "x",
        "C8": " " * 32_000,
        "C9": "=" + "1+" * 4_100 + "1",
        "D2": "=1)+2",
        "XFD1048576": 1,
    }
    words = {
        "C1": "it stands in a circular reference",
        "C3": "the file holds no value for it",
        "C4": "is a formula, =cmd|'/c touch done'!A0",
        "C5": "the file holds no value for it",
        "C6": "it reads another file, which was not opened",
        "C9": "longer than a spreadsheet takes and not looked into",
        "D1": "is empty",
        "D2": "cannot be taken apart",
        "A9999999": "is empty",
        "ZZZ1": "is empty",
    }
    sizing(tmp_path / "odd.xlsx", odd)
    merged = b'<mergeCells count="1"><mergeCell ref="E1:XFD1048576"/></mergeCells>'
    with zipfile.ZipFile(tmp_path / "odd.xlsx") as old, zipfile.ZipFile(tmp_path / "x.xlsx", "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.namelist():
            new.writestr(part, old.read(part).replace(b"</sheetData>", b"</sheetData>" + merged))
    claims = "".join(CLAIM.replace("B2", cell) for cell in words)
    (tmp_path / "t.csv").write_text(TABLE + CLAIM + claims, encoding="utf-8")
    [one] = ran(tmp_path, ["audit", "t.csv", "--book", "x.xlsx", "--json"])
    assert (one["status"], one["err"]) == (1, "")  # claims that cannot be checked are no clean bill
    sound, *others = json.loads(one["out"])["claims"]
    assert sound["verdict"] == "holds"
    for claim, (cell, said) in zip(others, words.items(), strict=True):
        assert claim["verdict"] == "cannot be checked", cell
        assert said in claim["evidence"], cell


@pytest.mark.slow
def test_a_hundred_thousand_rows(tmp_path: Path) -> None:
    rows = "".join(f"site,elevation,{n},ft,\n" for n in range(100_000))
    (tmp_path / "long.csv").write_text(TABLE + CLAIM + rows, encoding="utf-8")
    head = "".join(f'<c t="inlineStr"><is><t>{h}</t></is></c>' for h in HEADINGS)
    cells = "".join(f"<row><c><v>{n}</v></c><c><v>{n}</v></c><c><v>{n}</v></c></row>" for n in range(100_000))
    sheet = f'<row r="1">{head}</row>{cells}'.encode()

    def long(name: str, data: bytes) -> bytes:
        start, end = data.find(b"<sheetData>"), data.find(b"</sheetData>")
        return data[: start + 11] + sheet + data[end:] if name == SHEET else data

    rewritten(tmp_path / "long.xlsx", long)
    (tmp_path / "t.csv").write_text(TABLE + CLAIM, encoding="utf-8")
    commands = (["fill", "long.csv", "-o", "o.xlsx"], ["audit", "long.xlsx"])
    *refused, evidence = ran(tmp_path, *commands, ["audit", "t.csv", "--book", "long.xlsx"])
    for one in refused:
        assert one["status"] == 2 and "more than 90000 rows" in one["err"]
    assert evidence["status"] == 1 and "Sizing!B2 is a typed number" in evidence["out"]  # the number 0 in its second row


@pytest.mark.slow
def test_macros_and_links_are_named_and_left_alone(tmp_path: Path) -> None:
    extra = {"xl/vbaProject.bin": b"anything", "xl/externalLinks/externalLink1.xml": b"<externalLink/>"}
    rewritten(tmp_path / "x.xlsm", lambda _, d: d, extra)
    (tmp_path / "t.csv").write_text(TABLE + CLAIM, encoding="utf-8")
    book, table = ran(tmp_path, ["audit", "t.csv", "--book", "x.xlsm"], ["audit", "x.xlsm"])
    assert book["status"] == 0
    assert "the book holds macros; they were not run" in book["out"]
    assert "the book has links to other files; they were not followed" in book["out"]
    assert table["status"] == 2 and "no sheet has a row with the headings" in table["err"]


@pytest.mark.parametrize("text", but_first([ORDER, '=HYPERLINK("http://localhost:9/","x")', "=1+1"]))
def test_formulas_in_a_table_are_refused_by_row(text: str, tmp_path: Path) -> None:
    quoted = '"' + text.replace('"', '""') + '"'
    (tmp_path / "t.csv").write_text(f"{TABLE}run house,length,{quoted},ft,\n{CLAIM}", encoding="utf-8")
    made = openpyxl.Workbook()
    for row in (HEADINGS, ("run house", "length", text, "ft", ""), ("claim run house", "flow", text, "gpm", "")):
        made.active.append(row)
    made.save(tmp_path / "t.xlsx")
    csv_told, *book_told = ran(tmp_path, ["audit", "t.csv"], ["audit", "t.xlsx"], ["fill", "t.xlsx", "-o", "o.xlsx"])
    assert csv_told["status"] == 2 and "row 5, run house, length" in csv_told["err"]
    for one in book_told:
        assert one["status"] == 2
        assert "row 2, run house, length" in one["err"] and "row 3, claim run house, flow" in one["err"]


DIGITS = b"9" * 400  # a whole number that no spreadsheet holds


@pytest.mark.slow
def test_a_number_with_too_many_digits(tmp_path: Path) -> None:
    """What a spoiled book found: openpyxl reads it as a whole number of Python's, which no float can take."""

    def long_number(name: str, data: bytes) -> bytes:
        return data.replace(b"<v>8.5</v>", b"<v>" + DIGITS + b"</v>")

    rewritten(tmp_path / "theirs.xlsx", long_number)
    table = openpyxl.Workbook()
    for row in (HEADINGS, ("run house", "length", 8.5, "ft", "")):
        table.active.append(row)
    table.save(tmp_path / "sound-table.xlsx")
    rewritten(tmp_path / "t.xlsx", long_number, source=tmp_path / "sound-table.xlsx")
    (tmp_path / "claim.csv").write_text(TABLE + CLAIM, encoding="utf-8")
    typed = re.compile(rb'(<c r="D\d+" s="\d+"><v>)[\d.]+(</v>)')  # the first number typed on Runs

    runs = 1 + [sheet.name for sheet in SHEETS if sheet.name != "Audit"].index(RUNS)

    def long_input(name: str, data: bytes) -> bytes:
        return typed.sub(rb"\g<1>" + DIGITS + rb"\2", data, count=1) if name.endswith(f"sheet{runs}.xml") else data

    rewritten(tmp_path / "ours.xlsx", long_input, source=own_book())
    claim, filled, ours = ran(
        tmp_path,
        ["audit", "claim.csv", "--book", "theirs.xlsx"],
        ["fill", "t.xlsx", "-o", "o.xlsx"],
        ["audit", "ours.xlsx"],
    )
    assert claim["status"] == 1 and "cannot be checked" in claim["out"]
    assert filled["status"] == 2 and "row 2, run house, length" in filled["err"]
    assert ours["status"] == 2 and "is larger than any number that a spreadsheet holds" in ours["err"]


@functools.cache
def own_book() -> Path:
    return books.written(next(s for s in books.SAMPLES if s.stem == "small-cottage"), "us").path


@pytest.mark.slow
def test_a_book_of_ours_made_circular_is_compared_and_not_worked_out(tmp_path: Path) -> None:
    made = openpyxl.load_workbook(own_book())
    row = next(c.row for c in made["Boiler"]["A"] if c.value == "Load of the boiler")
    made["Boiler"][f"C{row}"].value = f"=C{row}+1"
    made["Money"]["J40"].value = ORDER
    made.save(tmp_path / "b.xlsx")
    [one] = ran(tmp_path, ["audit", "b.xlsx", "--json"])
    assert (one["status"], one["err"]) == (1, "")
    found = [(c["place"], c["kind"]) for c in json.loads(one["out"])["changes"]]
    assert sorted(found) == sorted([(f"Boiler!C{row}", "formula changed"), ("Money!J40", "cell added")])


@pytest.mark.slow
@pytest.mark.parametrize(("count", "status"), [(3_000, 1), (100_000, 2)])
def test_rows_put_into_a_book_of_ours(count: int, status: int, tmp_path: Path) -> None:
    made = openpyxl.load_workbook(own_book())
    below = made["Money"].max_row + 20
    for row in range(below, below + count):
        made["Money"].cell(row, 1).value = row
    made.save(tmp_path / "b.xlsx")
    [one] = ran(tmp_path, ["audit", "b.xlsx"])
    assert one["status"] == status
    assert "row added" in one["out"] if status == 1 else re.search(r"sheet Money has 100,\d{3} rows", one["err"])


# -- texts on their way out

ESCAPES = "\x1b[2J\x07\x9b31m\u202e"


def test_orders_to_a_terminal_are_shown_as_codes() -> None:
    assert plain("a\x1b[2J\u202eb\nc °F – é") == "a\\u001b[2J\\u202eb\nc °F – é"
    assert json.loads(plain(json.dumps("\x9b", ensure_ascii=False))) == "\x9b"


@pytest.mark.parametrize("more", but_first([[], ["--json"]]))
def test_no_control_character_of_a_file_reaches_the_terminal(more: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = openpyxl.Workbook()
    made.active.title = "Si\u202ezing"
    made.active["B2"].value = "8\x9b5"
    made.create_sheet("Hid\x85den").sheet_state = "hidden"
    made.save(tmp_path / "x.xlsx")
    table = f"{TABLE}job,title,quote{ESCAPES},,\nclaim run house,size,3/4{ESCAPES},,\n{CLAIM.replace('Sizing', made.sheetnames[0])}"
    (tmp_path / "t.csv").write_text(table, encoding="utf-8")
    assert main(["audit", str(tmp_path / "t.csv"), "--book", str(tmp_path / "x.xlsx"), *more]) in (1, 2)
    (tmp_path / "u.csv").write_text(f"{TABLE}run {ESCAPES},length,{ESCAPES},{ESCAPES},\n", encoding="utf-8")
    assert main(["fill", str(tmp_path / "u.csv"), "-o", str(tmp_path / "u.xlsx")]) == 2
    for text in capsys.readouterr():
        assert not [c for c in text if c != "\n" and (ord(c) < 32 or 127 <= ord(c) < 160 or c == "\u202e")]
