"""Some books of random jobs, filled and blank, in both engines within Excel's limits; the long run is a command, see ``agreement.py``."""

from __future__ import annotations

import zipfile
from pathlib import Path

import agreement
import engines
import limits
import pytest
import xlsxwriter

SEEDS = range(1003, 1005)  # a filled one and a blank one, in one unit system each


@pytest.mark.slow
@pytest.mark.office
def test_books_of_random_jobs_agree(tmp_path: Path) -> None:
    assert any(seed % agreement.BLANK == agreement.BLANK - 1 for seed in SEEDS)
    assert list(agreement.disagreements(SEEDS, tmp_path, validate=4)) == []


@pytest.mark.slow
@pytest.mark.office
def test_a_false_value_shows_in_both_engines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One stored value of a book is spoiled after it is written: each engine names the cell."""
    written = agreement.write_book

    def spoiled(built: agreement.Built, path: Path) -> None:
        written(built, path.with_suffix(".whole"))
        with zipfile.ZipFile(path.with_suffix(".whole")) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
            for name in old.namelist():
                data = old.read(name)
                if name == "xl/worksheets/sheet6.xml":
                    head, _, tail = data.partition(b"</f><v>")
                    data = head + b"</f><v>123456.5" + tail[tail.index(b"</v>") :]
                new.writestr(name, data)

    monkeypatch.setattr(agreement, "write_book", spoiled)
    found = list(agreement.disagreements([1002], tmp_path, validate=10_000))
    assert len(found) == 2 and all("123456.5" in f for f in found)
    assert "IronCalc" in found[0] and "LibreOffice" in found[1]


def test_broken_limits_are_found(tmp_path: Path) -> None:
    path = tmp_path / "b.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("One")
        sheet.write_formula("A1", "=" + "+".join(["1"] * 4200))
        sheet.write_formula("A2", "=" + "ABS(" * 65 + "1" + ")" * 65)
        sheet.write_formula("A3", '="' + "x" * 256 + '"')
        sheet.write_string("A4", "sound")
    found = limits.findings(path)
    assert [f.split(":")[0] for f in found] == ["One!A1", "One!A2", "One!A3"]
    parts = {
        b'name="One"': (b'name="A sheet of more than thirty-one letters"', b'name="History"', b'name="a/b"'),
        b"</sheets>": tuple(
            b'</sheets><definedNames><definedName name="%s">One!$A$1</definedName></definedNames>' % n
            for n in (b"A1", b"R2C3", b"a b", b"1a", b"c")
        ),
    }
    for old, others in parts.items():
        for new in others:
            spoiled = tmp_path / "spoiled.xlsx"
            with zipfile.ZipFile(path) as whole, zipfile.ZipFile(spoiled, "w") as copy:
                for name in whole.namelist():
                    data = whole.read(name)
                    copy.writestr(name, data.replace(old, new) if name == "xl/workbook.xml" else data)
            assert len(limits.findings(spoiled)) == 4, new
    assert engines.formulas(path)
