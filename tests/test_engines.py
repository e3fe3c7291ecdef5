"""The harness itself: a book with false stored values comes right in both engines, and every kind of difference shows."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import agreement
import engines
import pytest
import xlsxwriter

FORMULAS = {
    "A1": ("=3*4", 12.0),
    "A2": ("=A1/8", 1.5),
    "A3": ('=IF(A2>1,"hot","cold")', "hot"),
    "A4": ("=SUMPRODUCT((Other!A1:A3>1)*Other!A1:A3)", 5.0),
    "A5": ('=IF(A1>100,1,"")', ""),
    "A6": ("=EXP(1)", 2.718281828459045),
    "A7": ("=A1>5", True),
}


def book(path: Path, false_value: float | None = None) -> Path:
    with xlsxwriter.Workbook(str(path)) as workbook:
        sheet, other = workbook.add_worksheet("Sums"), workbook.add_worksheet("Other")
        for cell, (formula, value) in FORMULAS.items():
            sheet.write_formula(cell, formula, None, value if false_value is None else false_value)
        other.write_column("A1", [1, 2, 3])
    return path


def test_ironcalc_recalculates_false_values(tmp_path: Path) -> None:
    right, false = book(tmp_path / "right.xlsx"), book(tmp_path / "false.xlsx", -1.0)
    expected = {("Sums", cell): value for cell, (_, value) in FORMULAS.items()}
    assert engines.compare(expected, engines.ironcalc_values(false)) == []
    assert engines.compare(engines.stored_values(right), engines.ironcalc_values(right)) == []
    assert len(engines.compare(engines.stored_values(false), engines.ironcalc_values(false))) == len(FORMULAS)


@pytest.mark.office
def test_libreoffice_recalculates_false_values(tmp_path: Path) -> None:
    paths = [book(tmp_path / "right.xlsx"), book(tmp_path / "false.xlsx", -1.0)]
    expected: engines.Cells = {("Sums", cell): value for cell, (_, value) in FORMULAS.items()}
    expected["Sums", "A7"] = 1.0  # a program has no truth values: they are numbers shown so
    for cells in agreement.office_cells(paths, tmp_path / "office"):
        assert engines.compare(expected, cells) == []


@pytest.mark.parametrize(
    ("stored", "found"),
    [(1.0, 1.0 + 2e-9), (1.0, None), ("a", "b"), ("", 0.0), (0.0, ""), (1.0, "1"), (True, False), (None, 3.0), (0.0, 1e-9), (True, 1.0)],
)
def test_a_difference_shows(stored: engines.Value, found: engines.Value) -> None:
    assert len(engines.compare({("S", "A1"): stored}, {("S", "A1"): found})) == 1


@pytest.mark.parametrize(("stored", "found"), [(1.0, 1.0 + 2e-10), ("", None), (None, ""), (0.0, 1e-13), ("x", "x")])
def test_what_is_alike_does_not(stored: engines.Value, found: engines.Value) -> None:
    assert engines.compare({("S", "A1"): stored}, {("S", "A1"): found}) == []


def test_error_values_are_found(tmp_path: Path) -> None:
    path = tmp_path / "e.xlsx"
    with xlsxwriter.Workbook(str(path)) as workbook:
        workbook.add_worksheet("S").write_formula("B2", "=1/0", None, 0)
    assert engines.errors(engines.ironcalc_values(path)) == ["S!B2: #DIV/0!"]


def test_validator_passes_a_sound_file_and_finds_a_fault(tmp_path: Path) -> None:
    import zipfile

    sound = book(tmp_path / "sound.xlsx")
    assert engines.validate(sound) == []
    spoiled = tmp_path / "spoiled.xlsx"
    with zipfile.ZipFile(sound) as old, zipfile.ZipFile(spoiled, "w") as new:
        for part in old.namelist():
            data = old.read(part)
            new.writestr(part, data.replace(b"<sheetData>", b"<sheetDatum/><sheetData>") if part.endswith("sheet1.xml") else data)
    assert engines.validate(spoiled) != []


@pytest.mark.slow
def test_office_tests_are_skipped_by_name_or_required(tmp_path: Path) -> None:
    """In a process without soffice on its path: a stated skip, and a failure where the office program is required."""
    here = Path(__file__).parent
    (tmp_path / "conftest.py").write_text((here / "conftest.py").read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "test_it.py").write_text("import pytest\n\n\n@pytest.mark.office\ndef test_it():\n    pass\n", encoding="utf-8")
    (tmp_path / "pytest.ini").write_text(f"[pytest]\npythonpath = {here}\nmarkers = office\n", encoding="utf-8")

    def run(**extra: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(tmp_path)]
        return subprocess.run(command, capture_output=True, text=True, env={"PATH": "", **extra}, check=False, timeout=120)

    free = run()
    assert free.returncode == 0 and "1 office tests skipped: LibreOffice" in free.stdout and "test_it.py::test_it" in free.stdout
    required = run(REQUIRE_OFFICE="1")
    assert required.returncode == 1 and "REQUIRE_OFFICE=1" in required.stdout
