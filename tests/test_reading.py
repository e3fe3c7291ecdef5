"""The input table out of a workbook: the same job as from CSV, and hostile or spoiled files refused in a few words."""

from __future__ import annotations

import csv
import datetime
import json
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from broken_tables import SOUND

from workbook_builder.cli import main
from workbook_builder.table.job import Job
from workbook_builder.table.reader import read_job
from workbook_builder.table.rows import MAX_ROWS, InputError

SAMPLE = Path(__file__).parents[1] / "samples" / "ridge-orchard.csv"
TABLE = [line.split(",") for line in SOUND.splitlines()]


def typed(cell: str) -> str | float:
    try:
        return float(cell)
    except ValueError:
        return cell


def book(path: Path, rows: list[list[Any]], sheet: str = "Sheet1", top: int = 1, left: int = 1) -> Path:
    made = openpyxl.Workbook()
    page = made.active
    page.title = sheet
    for r, row in enumerate(rows, top):
        for c, value in enumerate(row, left):
            page.cell(r, c, typed(value) if isinstance(value, str) else value)
    made.save(path)
    return path


def changed(old: str, new: Any) -> list[list[Any]]:
    """The sound table with one cell in place of another."""
    assert sum(cell == old for row in TABLE for cell in row) == 1
    return [[new if cell == old else cell for cell in row] for row in TABLE]


def refusal(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert all(str(p).startswith(path.name) for p in caught.value.problems)
    return str(caught.value)


def content(job: Job) -> dict[tuple[str, str], tuple[Any, str]]:
    return {key: (entry.value, entry.unit) for key, entry in job.entries.items()}


def test_the_sample_as_a_workbook_is_the_same_job(tmp_path: Path) -> None:
    with SAMPLE.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    for place in ({}, {"sheet": "Inputs", "top": 7, "left": 3}):
        path = book(tmp_path / "job.xlsx", rows, **place)  # type: ignore[arg-type]
        from_book, from_csv = read_job(path), read_job(SAMPLE)
        assert content(from_book) == content(from_csv)
        assert (from_book.runs, from_book.loads, from_book.fuels) == (from_csv.runs, from_csv.loads, from_csv.fuels)
        assert from_book.entry("run house", "length").row == from_csv.entry("run house", "length").row + place.get("top", 1) - 1  # type: ignore[operator]


def test_inputs_is_found_behind_other_sheets_and_among_other_columns(tmp_path: Path) -> None:
    path = tmp_path / "b.xlsx"
    with xlsxwriter.Workbook(str(path)) as made:
        made.add_worksheet("Summary").write_row("A1", ["part", "item", "value", "unit", "note"])
        page = made.add_worksheet("Inputs")
        page.write("B2", "What is known of the job")
        page.write_row("A4", ["key", "Part", "Item", "Value", "value used", "Unit", "remark", "Note"])
        for r, (part, item, value, unit, note) in enumerate(TABLE[1:], 4):
            page.write_row(r, 1, [part, item, typed(value)])
            page.write_formula(r, 0, f'=B{r + 1}&"|"&C{r + 1}')
            page.write_formula(r, 4, f"=D{r + 1}")
            page.write_row(r, 5, [unit, "", note])
            page.write(r, 20, "yes | no")
        page.set_row(6, None, None, {"hidden": True})
        chart = made.add_chart({"type": "line"})
        chart.add_series({"values": "=Inputs!$D$8:$D$9"})
        made.add_chartsheet("Chart").set_chart(chart)
    job = read_job(path)
    assert job.loads == ["cottage"] and job.entry("boiler", "rated output").row == 8


def test_percent_dates_and_whole_numbers(tmp_path: Path) -> None:
    rows = [*TABLE, ["job", "date", datetime.datetime(2024, 11, 30), "", ""], ["run yard", "size", 1, "in", ""]]
    path = book(tmp_path / "b.xlsx", [*rows, ["wood", "moisture", 0.22, "%", ""]])
    made = openpyxl.load_workbook(path)
    made.active.cell(len(rows) + 1, 3).number_format = "0.0%"
    made.save(path)
    job = read_job(path)
    assert job.value("job", "date") == "2024-11-30" and job.value("run yard", "size") == "1"
    assert job.value("wood", "moisture") == pytest.approx(0.22)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (changed("88", "=80+8"), "row 8, run yard, length: the value is a formula, =80+8, and cell C8 holds no result: open the workbook"),
        (changed("PEX SDR-9", "=A1"), "row 9, run yard, tube family: the value is a formula, =A1, and cell C9 holds no result"),
        (changed("88", "#REF!"), "'#REF!' is a text"),
        (changed("88", True), "'TRUE' is a text"),
        (changed("88", datetime.datetime(2024, 3, 4)), "is not a number"),
        ([["part", "item", "value", "unit"], *(r[:4] for r in TABLE[1:])], "sheet Sheet1, row 1, column note: the column is missing"),
        ([["a", "b"], ["c", "d"]], "no sheet has a row with the headings part, item, value, unit, note"),
        ([], "no sheet has a row with the headings"),
        ([*TABLE, ["claim run yard", "flow", "=1+2", "gpm", ""]], "row 15, claim run yard, flow: the value is a formula"),
    ],
)
def test_cells_that_are_refused(rows: list[list[Any]], words: str, tmp_path: Path) -> None:
    assert words in refusal(book(tmp_path / "b.xlsx", rows))


def with_results(path: Path, formulas: dict[str, tuple[str, Any]], *, stale: bool = False, rows: list[list[Any]] | None = None) -> Path:
    """The table with formulas in some cells, each with the result that a spreadsheet program would have stored."""
    fresh = path.with_name("fresh.xlsx")
    with xlsxwriter.Workbook(str(fresh)) as made:
        page = made.add_worksheet()
        for r, row in enumerate(rows or TABLE):
            for c, value in enumerate(row):
                address = f"{'ABCDE'[c]}{r + 1}"
                if address in formulas:
                    page.write_formula(address, formulas[address][0], None, formulas[address][1])
                else:
                    page.write(r, c, typed(value) if isinstance(value, str) else value)
    with zipfile.ZipFile(fresh) as old, zipfile.ZipFile(path, "w") as new:
        for part in old.namelist():
            data = old.read(part)
            # What is written without a spreadsheet program asks to be worked out when it is opened.
            assert part != "xl/workbook.xml" or b' fullCalcOnLoad="1"' in data
            new.writestr(part, data if stale else data.replace(b' fullCalcOnLoad="1"', b""))
    return path


RESULTS: dict[str, tuple[str, Any]] = {
    "A9": ("=A8", "run yard"),
    "B10": ('="jacket "&"outer diameter"', "jacket outer diameter"),
    "C8": ("=80+8", 88),
    "C12": ('=LOWER("BASEBOARD")', "baseboard"),
    "D13": ("=D5", "BTU/h"),
    "E5": ('="peak"', "peak"),
}


def test_results_of_formulas_are_taken_and_told(tmp_path: Path) -> None:
    job = read_job(with_results(tmp_path / "b.xlsx", RESULTS))
    assert content(job) == content(read_job(book(tmp_path / "plain.xlsx", TABLE)))
    assert job.entry("boiler", "rated output").note == "peak"
    assert [str(r) for r in job.remarks] == [
        "b.xlsx, row 5, boiler, rated output: the note is a formula, =\"peak\"; its stored result is taken, 'peak'",
        "b.xlsx, row 8, run yard, length: the value is a formula, =80+8; its stored result is taken, 88",
        "b.xlsx, row 9, run yard, tube family: the part is a formula, =A8; its stored result is taken, 'run yard'",
        'b.xlsx, row 10, run yard, jacket outer diameter: the item is a formula, ="jacket "&"outer diameter"; '
        "its stored result is taken, 'jacket outer diameter'",
        "b.xlsx, row 12, load cottage, kind: the value is a formula, =LOWER(\"BASEBOARD\"); its stored result is taken, 'baseboard'",
        "b.xlsx, row 13, load cottage, design loss: the unit is a formula, =D5; its stored result is taken, 'BTU/h'",
    ]


def test_a_result_that_changes_changes_the_job(tmp_path: Path) -> None:
    job = read_job(with_results(tmp_path / "b.xlsx", {"C8": ("=80+8", 89)}))
    assert job.number("run yard", "length") == pytest.approx(89 * 0.3048)


@pytest.mark.parametrize(("result", "words"), [("#DIV/0!", "cell C8 shows the error #DIV/0!"), ("#N/A", "cell C8 shows the error #N/A")])
def test_a_formula_that_shows_an_error_is_refused(result: str, words: str, tmp_path: Path) -> None:
    assert words in refusal(with_results(tmp_path / "b.xlsx", {"C8": ("=88/0", result)}))


def test_results_that_are_still_to_be_worked_out_are_refused(tmp_path: Path) -> None:
    """A program that writes workbooks without working them out puts a nought for every result."""
    said = refusal(with_results(tmp_path / "b.xlsx", {"C8": ("=80+8", 0)}, stale=True))
    assert (
        "row 8, run yard, length" in said
        and "cell C8 holds no result: open the workbook in an office program, recalculate and save it" in said
    )


def test_a_formula_beside_the_table_is_nobodys_business(tmp_path: Path) -> None:
    path = book(tmp_path / "b.xlsx", [[*row, "=1+1"] if n else [*row, "mine"] for n, row in enumerate(TABLE)])
    assert read_job(path).remarks == []


def test_formulas_in_claims(tmp_path: Path) -> None:
    rows = [*TABLE, ["claim run yard", "flow", "", "gpm", ""], ["claim run yard", "velocity", "", "ft/s", ""]]
    job = read_job(with_results(tmp_path / "b.xlsx", {"C15": ("=Sizing!C14", 3), "C16": ("=1+1", 2)}, rows=rows))
    assert [c.value for c in job.claims] == ["=Sizing!C14", 2] and len(job.remarks) == 1


def test_the_command_prints_what_was_taken(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = with_results(tmp_path / "b.xlsx", {"C8": ("=80+8", 88)})
    assert main(["fill", str(path), "-o", str(tmp_path / "out.xlsx")]) == 0
    told = capsys.readouterr().out.splitlines()
    assert "1 runs, 1 loads" in told[0]
    assert told[1:] == ["b.xlsx, row 8, run yard, length: the value is a formula, =80+8; its stored result is taken, 88"]
    claim = [*TABLE, ["claim run yard", "length", "88", "ft", ""]]
    assert main(["audit", str(with_results(path, {"C8": ("=80+8", 88)}, rows=claim)), "--json"]) in (0, 1)
    said = capsys.readouterr()
    assert "=80+8; its stored result is taken, 88" in said.err and json.loads(said.out)["claims"]


def test_merged_parts_go_on_downwards(tmp_path: Path) -> None:
    path = book(tmp_path / "b.xlsx", TABLE)
    made = openpyxl.load_workbook(path)
    for area in ("A3:A4", "A5:A6", "A8:A10", "A11:A14"):
        made.active.merge_cells(area)
    made.save(path)
    assert content(read_job(path)) == content(read_job(book(tmp_path / "plain.xlsx", TABLE)))


def test_an_empty_part_below_a_part(tmp_path: Path) -> None:
    rows = [["" if n and row[0] == TABLE[n - 1][0] else row[0], *row[1:]] for n, row in enumerate(TABLE)]
    rows.insert(8, ["", "", "", "", ""])  # a line left free
    rows.insert(8, ["", "", "", "", "only a note"])
    assert content(read_job(book(tmp_path / "b.xlsx", rows))) == content(read_job(book(tmp_path / "plain.xlsx", TABLE)))
    below = refusal(book(tmp_path / "c.xlsx", [TABLE[0], ["", *TABLE[1][1:]], *TABLE[2:]]))
    assert "row 2, (no part), title: the part is empty, and none stands above it" in below


def test_a_claims_reference_typed_as_text_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "b.xlsx"
    with xlsxwriter.Workbook(str(path), {"strings_to_formulas": False}) as made:
        page = made.add_worksheet()
        for r, row in enumerate([*TABLE, ["claim run yard", "flow", "=Sizing!C14", "gpm", ""]]):
            page.write_row(r, 0, [typed(c) for c in row])
    assert read_job(path).claims[0].value == "=Sizing!C14"


def rewritten(path: Path, change: Callable[[str, bytes], bytes], extra: dict[str, bytes] | None = None) -> Path:
    """A sound book with its parts changed."""
    sound = book(path.with_name("sound.xlsx"), TABLE)
    with zipfile.ZipFile(sound) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.namelist():
            new.writestr(part, change(part, old.read(part)))
        for name, data in (extra or {}).items():
            new.writestr(name, data)
    return path


def test_a_bomb_is_weighed_and_not_opened(tmp_path: Path) -> None:
    bomb = rewritten(tmp_path / "bomb.xlsx", lambda p, d: d, {"xl/worksheets/sheet2.xml": b"<a>" + b" " * 50_000_000 + b"</a>"})
    started = time.perf_counter()
    assert "times its size; it is not opened" in refusal(bomb)
    assert time.perf_counter() - started < 5  # inflating and parsing it would take many times as long as reading the directory
    many = rewritten(tmp_path / "many.xlsx", lambda p, d: d, {f"xl/media/{i}.bin": b"" for i in range(5_001)})
    assert "parts" in refusal(many)


def test_entities_are_not_expanded(tmp_path: Path) -> None:
    declaration = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'

    def declare(part: str, data: bytes) -> bytes:
        return declaration.encode() + data.partition(b"?>")[2] if part.endswith("sheet1.xml") else data

    def declare_wide(part: str, data: bytes) -> bytes:
        return (declaration + "<worksheet/>").encode("utf-16") if part.endswith("sheet1.xml") else data

    assert "declares entities" in refusal(rewritten(tmp_path / "e.xlsx", declare))
    assert "declares entities" in refusal(rewritten(tmp_path / "w.xlsx", declare_wide))


def test_files_that_are_no_workbooks(tmp_path: Path) -> None:
    csv_file = tmp_path / "renamed.xlsx"
    csv_file.write_text(SOUND, encoding="utf-8")
    assert "not a workbook" in refusal(csv_file) and "ending .csv" in refusal(csv_file)
    locked = tmp_path / "locked.xlsx"
    locked.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(1000))
    assert "password" in refusal(locked)
    empty = tmp_path / "empty.xlsx"
    empty.write_bytes(b"")
    assert "the file is empty" in refusal(empty)
    for name, member, words in (("odf", "content.xml", "OpenDocument"), ("zip", "a.txt", "no .xlsx workbook")):
        path = tmp_path / f"{name}.xlsx"
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr(member, "<x/>")
        assert words in refusal(path)


def test_damaged_files(tmp_path: Path) -> None:
    sound = book(tmp_path / "s.xlsx", TABLE).read_bytes()
    cut = tmp_path / "cut.xlsx"
    cut.write_bytes(sound[: len(sound) // 2])
    assert "damaged" in refusal(cut)
    assert "damaged" in refusal(rewritten(tmp_path / "xml.xlsx", lambda p, d: d[:-200] if p.endswith("sheet1.xml") else d))
    assert "no sheet has a row" in refusal(rewritten(tmp_path / "book.xlsx", lambda p, d: b"<x/>" if p == "xl/workbook.xml" else d))
    # The same bytes spoiled at every hundredth place: never anything but a refusal or a sound job.
    for place in range(30, len(sound), len(sound) // 40):
        spoiled = tmp_path / "spoiled.xlsx"
        spoiled.write_bytes(sound[:place] + bytes([sound[place] ^ 0x55]) + sound[place + 1 :])
        try:
            assert read_job(spoiled).loads == ["cottage"]
        except InputError as error:
            assert str(error).startswith("spoiled.xlsx")


def test_encrypted_members(tmp_path: Path) -> None:
    path = book(tmp_path / "b.xlsx", TABLE)
    data = bytearray(path.read_bytes())
    at = 0
    while (at := data.find(b"PK\x01\x02", at)) >= 0:
        data[at + 8] |= 1  # the encryption bit in the directory's entry
        at += 4
    path.write_bytes(bytes(data))
    assert "without a password" in refusal(path)


def test_macros_are_left_alone(tmp_path: Path) -> None:
    path = rewritten(tmp_path / "macro.xlsm", lambda p, d: d, {"xl/vbaProject.bin": b"anything"})
    assert read_job(path).loads == ["cottage"]


@pytest.mark.slow
def test_a_hundred_thousand_rows(tmp_path: Path) -> None:
    path = tmp_path / "long.xlsx"
    with xlsxwriter.Workbook(str(path), {"constant_memory": True}) as made:
        page = made.add_worksheet()
        page.write_row(0, 0, TABLE[0])
        for r in range(1, 100_001):
            page.write_row(r, 0, ["run yard", "length", r])
    assert f"more than {MAX_ROWS} rows" in refusal(path)
    text = tmp_path / "long.csv"
    text.write_text("part,item,value,unit,note\n" + "run yard,length,1,ft,\n" * 100_000, encoding="utf-8")
    assert f"more than {MAX_ROWS} rows" in refusal(text)


@pytest.mark.slow
def test_a_cell_at_the_sheets_far_end_is_soon_done(tmp_path: Path) -> None:
    path = tmp_path / "far.xlsx"
    with xlsxwriter.Workbook(str(path)) as made:
        page = made.add_worksheet()
        for r, row in enumerate(TABLE):
            page.write_row(r, 0, [typed(c) for c in row])
        page.write(1_048_575, 16_383, "far")
    started = time.perf_counter()
    assert read_job(path).loads == ["cottage"]
    assert time.perf_counter() - started < 30  # a million rows of padding, not walked through
