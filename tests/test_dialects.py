"""The same table as office programs save it: each way gives the job of the plain file, or is refused with what to do."""

from __future__ import annotations

import csv
import io
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import engines
import office
import openpyxl
import pytest
from broken_tables import SOUND

from workbook_builder.table.job import Job
from workbook_builder.table.lookalikes import plain_signs, plain_size
from workbook_builder.table.number_marks import Marks, marks_of, readings, typed_number
from workbook_builder.table.reader import read_job
from workbook_builder.table.rows import InputError, RefusedError

Rows = list[list[str]]
ROWS: Rows = [
    *(line.split(",") for line in SOUND.splitlines()),
    ["job", "place", "Rue de l'Été; hill, north side", "", "½ a mile; 12,5 by the map"],
    ["run yard", "depth", "3.25", "ft", "to the middle"],
    ["run yard", "size", "1-1/4", "", ""],
    ["load cottage", "exponent", "1.31", "", ""],
    ["wood", "price of a cord", "225.5", "$/cord", ""],
    ["claim run yard", "flow", "8.75", "gpm", ""],
    ["fuel today oil", "fuel", "heating oil", "", ""],
    ["fuel today oil", "price", "3.499", "$/gal", ""],
]
DECIMALS = {"3.25": "3,25", "1.31": "1,31", "225.5": "225,5", "8.75": "8,75", "3.499": "3,499"}


def text_of(rows: Rows, delimiter: str = ",", end: str = "\r\n") -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator=end).writerows(rows)
    return out.getvalue()


def changed(changes: dict[str, str], rows: Rows = ROWS) -> Rows:
    """The rows with other cells in the columns after the item; every change is made."""
    found = [[*row[:2], *(changes.get(c, c) for c in row[2:])] for row in rows]
    assert all(sum(row.count(new) for row in found) for new in changes.values())
    return found


def content(job: Job) -> Any:
    """All that a job holds but the numbers of the rows."""
    entries = {key: (e.value, e.unit, e.note, e.low, e.high) for key, e in job.entries.items()}
    claims = [(c.part, c.item, c.value, c.unit, c.note, c.further) for c in job.claims]
    return entries, claims, job.runs, job.loads, job.fuels


def read(folder: Path, data: str | bytes, name: str = "t.csv") -> Job:
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return read_job(path)


def refusal(folder: Path, data: str | bytes) -> str:
    with pytest.raises(InputError) as caught:
        read(folder, data)
    return str(caught.value)


@pytest.fixture
def plain(tmp_path: Path) -> Any:
    job = read(tmp_path, text_of(ROWS), "plain.csv")
    assert job.remarks == [] and job.value("job", "place") == "Rue de l'Été; hill, north side"
    return content(job)


COMMAS = changed(DECIMALS)
WAYS: dict[str, bytes] = {
    "utf-8 with its mark": text_of(ROWS).encode("utf-8-sig"),
    "code page 1252": text_of(ROWS).encode("cp1252"),
    "utf-16, little end first": b"\xff\xfe" + text_of(ROWS).encode("utf-16-le"),
    "utf-16, big end first": b"\xfe\xff" + text_of(ROWS).encode("utf-16-be"),
    "utf-16 with tabs": b"\xff\xfe" + text_of(ROWS, "\t").encode("utf-16-le"),
    "tabs": text_of(ROWS, "\t").encode(),
    "semicolons with points": text_of(ROWS, ";").encode(),
    "semicolons with decimal commas": text_of(COMMAS, ";").encode(),
    "semicolons with decimal commas in code page 1252": text_of(COMMAS, ";").encode("cp1252"),
    "tabs with decimal commas": text_of(COMMAS, "\t").encode(),
    "commas with decimal commas in quotation marks": text_of(COMMAS).encode(),
    "a stated semicolon": ("sep=;\r\n" + text_of(COMMAS, ";")).encode("utf-8-sig"),
    "a stated comma": ("sep=,\r\n" + text_of(ROWS)).encode(),
    "a stated tab": ("sep=\t\r\n" + text_of(ROWS, "\t")).encode(),
    "lines that end as on an old machine": text_of(ROWS, end="\r").encode(),
    "columns that are empty": text_of([[*row, "", ""] for row in ROWS]).encode(),
    "thousands by commas": text_of(changed({"98000": "98,000", "39000": "39,000.0", "6100": "6,100"})).encode(),
    "thousands by commas, parted by tabs": text_of(changed({"98000": "98,000", "39000": "39,000.0"}), "\t").encode(),
    "thousands by points": text_of(changed({"98000": "98.000", "39000": "39.000,00"}, COMMAS), ";").encode(),
    "thousands by blanks": text_of(changed({"98000": "98\u00a0000", "39000": "39\u202f000", "61000": "61 000,0"}, COMMAS), ";").encode(),
    "thousands by apostrophes": text_of(changed({"98000": "98'000", "39000": "39’000.0"})).encode(),
    "units with other signs": text_of(changed({"°F": "ºF", "°F day": "˚F\u00a0day", "gpm": "gpm\u00a0"})).encode(),
    "units with one sign for two": text_of(changed({"°F": "℉"})).encode(),
    "utf-8 opened as code page 1252 and saved": text_of(changed({"°F": "Â°F", "°F day": "Â°F day"})).encode(),
    "blanks and dashes that do not break": text_of(
        [
            [c.replace("run yard", "run\u00a0yard").replace("price of", "price\u00a0of") for c in r]
            for r in changed({"PEX SDR-9": "PEX\u00a0SDR‑9"})
        ]
    ).encode(),
    "a size with one sign for a fraction": text_of(changed({"1-1/4": "1¼"})).encode("cp1252"),
    "a size with a blank": text_of(changed({"1-1/4": "1 1/4"})).encode(),
    "a part that is not said again": text_of(
        [[row[0] if n == 0 or row[0] != ROWS[n - 1][0] else "", *row[1:]] for n, row in enumerate(ROWS)]
    ).encode(),
}


@pytest.mark.parametrize("way", WAYS)
def test_each_way_gives_the_plain_job(way: str, plain: Any, tmp_path: Path) -> None:
    assert WAYS[way] != text_of(ROWS).encode()
    assert content(read(tmp_path, WAYS[way])) == plain


def test_a_text_file_with_tabs_is_a_table(plain: Any, tmp_path: Path) -> None:
    assert content(read(tmp_path, WAYS["utf-16 with tabs"], "t.txt")) == plain


def test_rows_are_counted_as_the_file_has_them(tmp_path: Path) -> None:
    wrong = [[*row[:2], "-88", *row[3:]] if row[1] == "length" else row for row in ROWS]
    row = 1 + next(n for n, r in enumerate(wrong) if r[1] == "length")
    for before, lines in (("", 0), ("sep=,\r\n", 1), ("\r\n\r\n", 2)):
        assert f"t.csv, row {row + lines}, run yard, length" in refusal(tmp_path, before + text_of(wrong))


def test_what_is_not_plain_is_told(tmp_path: Path) -> None:
    told = [str(r) for r in read(tmp_path, WAYS["semicolons with decimal commas in code page 1252"]).remarks]
    assert len(told) == 2
    assert "code page 1252" in told[0] and 'Save As, "CSV UTF-8 (comma delimited)"' in told[0]
    assert "row 16, 3,25 is 3.25" in told[1]
    assert read(tmp_path, WAYS["utf-16 with tabs"]).remarks == []


# A mark that could part thousands or decimals: what the file's other numbers show, else what parts the columns, else nothing.
AMBIGUOUS = [
    (",", "98,000", {}, None),  # nothing in the file tells
    (",", "98,000", {"88": "88.5"}, 98000.0),
    (",", "98,000", {"88": "88,5"}, 98.0),
    (",", "98,000", {"88": "88,5", "150": "150.5"}, None),  # two kinds in one file
    (",", "98.000", {}, 98.0),  # the plain form
    (",", "98.000", {"88": "88,5"}, None),
    (";", "98,000", {}, 98.0),
    (";", "98,000", {"88": "88.5"}, 98000.0),
    (";", "98.000", {}, None),
    (";", "98.000", {"88": "88,5"}, 98000.0),
    (";", "98.000", {"88": "88.5"}, 98.0),
    ("\t", "98,000", {}, None),
    ("\t", "98.000", {}, None),
    ("\t", "98,000", {"88": "88,5"}, 98.0),
    ("\t", "98,000", {"88": "88.5"}, 98000.0),
]


@pytest.mark.parametrize(("delimiter", "typed", "others", "number"), AMBIGUOUS)
def test_a_mark_is_read_by_what_the_file_shows_or_refused(
    delimiter: str, typed: str, others: dict[str, str], number: float | None, tmp_path: Path
) -> None:
    rows = changed({"98000": typed, **others}, [line.split(",") for line in SOUND.splitlines()])
    data = text_of(rows, delimiter)
    if number is None:
        said = refusal(tmp_path, data)
        assert "write a decimal with a point, and thousands without a mark" in said and f"{typed!r}" in said
        assert all("row " in line for line in said.splitlines())
    else:
        job = read(tmp_path, data)
        assert job.number("boiler", "rated output") == pytest.approx(number * 1055.05585262 / 3600, rel=1e-12)
        assert (typed == "98.000" and number == 98.0) or any(f"{typed} is " in str(r) for r in job.remarks)


def test_two_kinds_of_decimals_in_one_file_are_refused_with_both(tmp_path: Path) -> None:
    said = refusal(tmp_path, text_of(changed({"3.25": "3,25"})))
    assert "'3,25' has a decimal comma, but a point stands in row" in said


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("88", {".": "88", ",": "88"}),
        ("88.5", {".": "88.5"}),
        ("88,5", {",": "88.5"}),
        ("1,088", {".": "1088", ",": "1.088"}),
        ("0,125", {",": "0.125"}),  # no thousands begin with a nought
        ("1088,500", {",": "1088.500"}),
        ("1,039,000", {".": "1039000"}),
        ("1.039.000,5", {",": "1039000.5"}),
        ("-1 088", {".": "-1088", ",": "-1088"}),
        ("3,9E+04", {",": "3.9E+04"}),
        ("−5", {".": "-5", ",": "-5"}),
        ("1,08", {",": "1.08"}),
        ("1'08", {}),
        ("88,", {}),
        ("1,08,5", {}),
        ("", {}),
        ("12 34", {}),
        ("1,000'000", {}),
    ],
)
def test_what_a_text_can_be_as_a_number(text: str, found: dict[str, str]) -> None:
    assert readings(text) == found


def test_evidence_is_what_has_one_reading_only() -> None:
    assert marks_of([(2, "88"), (3, "1,088"), (4, 3.5)]).shown == {}
    assert marks_of([(2, "1,088"), (3, "0.16"), (4, "0.17")]).shown == {".": "row 3, 0.16"}
    assert typed_number("1,088", marks_of([(3, "0.16")])) == 1088.0
    with pytest.raises(RefusedError, match=r"could be 1088 or 1\.088"):
        typed_number("1,088", Marks())


def test_signs_that_look_alike() -> None:
    assert plain_signs("5 – 6\u00a0ºC · 3″") == '5 - 6 °C · 3"'
    assert plain_signs("Â°F and Âge") == "°F and Âge"
    assert [plain_size(s) for s in ("½", "1½", "1 ½", "1-½", "1 1/2", "63")] == ["1/2", "1-1/2", "1-1/2", "1-1/2", "1-1/2", "63"]


# -- out of a real office program


def converted(source: Path, folder: Path, to: str, locale: str = "en-US") -> Path:
    profile = office.Profile(folder / f"profile-{locale}", locale) if not (folder / f"profile-{locale}").exists() else None
    url = profile.url if profile else (folder / f"profile-{locale}" / "profile").as_uri()
    out = folder / "out"
    command = [engines.soffice() or "", f"-env:UserInstallation={url}", "--headless", "--convert-to", to, "--outdir", str(out), str(source)]
    subprocess.run(command, env=office.SYSTEM, capture_output=True, check=True, timeout=300)
    return out / f"{source.stem}.{to.partition(':')[0]}"


def typed_book(path: Path, rows: Sequence[Sequence[str]], formulas: dict[str, str] | None = None, merged: Sequence[str] = ()) -> Path:
    made = openpyxl.Workbook()
    page = made.active
    for r, row in enumerate(rows, 1):
        for c, cell in enumerate(row, 1):
            number = cell.replace(".", "", 1).isdigit() and row[1] != "size"
            page.cell(r, c, float(cell) if number else cell or None)
    for address, formula in (formulas or {}).items():
        page[address] = formula
    for area in merged:
        page.merge_cells(area)
    made.save(path)
    return path


@pytest.mark.office
@pytest.mark.parametrize("locale", ["en-US", "de-DE"])
def test_what_an_office_program_saves_as_csv(locale: str, plain: Any, tmp_path: Path) -> None:
    """Parted by commas, semicolons and tabs, in UTF-8, code page 1252 and UTF-16, with the country's own decimals as shown."""
    source = typed_book(tmp_path / "typed.xlsx", ROWS)
    decimals = set()
    for delimiter, letters in ((44, 76), (44, 1), (59, 76), (59, 1), (9, 65535)):
        path = converted(source, tmp_path, f"csv:Text - txt - csv (StarCalc):{delimiter},34,{letters},1,,0,false,true", locale)
        raw = path.read_bytes()
        decimals.add(b"3,25" in raw.replace(b"\0", b""))
        assert content(read_job(path)) == plain, (delimiter, letters)
    assert decimals == {locale == "de-DE"}


@pytest.mark.office
def test_results_of_formulas_that_an_office_program_stored(tmp_path: Path) -> None:
    formulas = {"C8": "=80+8", "C12": '=LOWER("BASEBOARD")', "D13": "=D14", "A9": "=A8", "C5": "=100000-2000"}
    formulas["C15"] = '=IF(1>2,5,"")'  # no text: not given
    rows = [*(line.split(",") for line in SOUND.splitlines()), ["run yard", "depth", "", "ft", ""]]
    source = typed_book(tmp_path / "typed.xlsx", rows, formulas, ["A11:A14"])
    job = read_job(converted(source, tmp_path, "xlsx"))
    assert content(job)[0] == content(read(tmp_path, SOUND))[0]
    told = [str(r) for r in job.remarks]
    assert told[1] == "typed.xlsx, row 8, run yard, length: the value is a formula, =80+8; its stored result is taken, 88"
    assert len(told) == len(formulas)
    with pytest.raises(InputError, match="cell C8 holds no result: open the workbook in an office program, recalculate and save it"):
        read_job(source)
