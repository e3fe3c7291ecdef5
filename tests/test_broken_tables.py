"""Every broken table is refused with all its problems, each naming file, row and item; a sound one is taken."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from broken_tables import BROKEN, SOUND, Broken
from hypothesis import given
from hypothesis import strategies as st

from workbook_builder.build import build
from workbook_builder.cli import main
from workbook_builder.model import references
from workbook_builder.model.worksheet import BuildError
from workbook_builder.sheets.sizing import ground
from workbook_builder.table.reader import read_job
from workbook_builder.table.rows import InputError


def test_the_sound_table_is_taken(tmp_path: Path) -> None:
    path = tmp_path / "sound.csv"
    path.write_text(SOUND, encoding="utf-8")
    assert read_job(path).loads == ["cottage"]


@pytest.mark.parametrize("broken", BROKEN, ids=lambda b: b.name)
def test_broken_table(broken: Broken, tmp_path: Path) -> None:
    path = broken.write(tmp_path)
    with pytest.raises(InputError) as caught:
        read_job(path)
    found = caught.value.problems
    for row, item, words in broken.problems:
        assert any(p.row == row and p.item == item and words in p.message and p.file == path.name for p in found), str(caught.value)
    # One fault gives one problem: what follows from it is not reported again.
    if broken.name != "headings_only":
        assert len(found) == len(broken.problems), str(caught.value)
    for line, problem in zip(str(caught.value).splitlines(), found, strict=True):
        assert line.startswith(path.name)
        assert problem.row is None or f"row {problem.row}" in line


def test_no_file_at_all(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_job(tmp_path / "nowhere.csv")


def test_names_are_unique() -> None:
    assert len({b.name for b in BROKEN}) == len(BROKEN)


@given(row=st.integers(1, 13), column=st.integers(0, 4), cell=st.text(max_size=12))
def test_any_text_in_any_cell_gives_a_job_or_a_refusal(row: int, column: int, cell: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    rows = [line.split(",") for line in SOUND.splitlines()]
    rows[row][column] = cell
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    _read_or_refuse(text.getvalue().encode("utf-8", "surrogatepass"), tmp_path_factory)


@given(data=st.binary(max_size=60), at=st.integers(0, len(SOUND.encode())))
def test_any_bytes_anywhere_give_a_job_or_a_refusal(data: bytes, at: int, tmp_path_factory: pytest.TempPathFactory) -> None:
    raw = SOUND.encode()
    _read_or_refuse(raw[:at] + data + raw[at:], tmp_path_factory)
    _read_or_refuse(data, tmp_path_factory)


def _read_or_refuse(data: bytes, folders: pytest.TempPathFactory) -> None:
    path = folders.getbasetemp() / "any.csv"
    path.write_bytes(data)
    try:
        assert read_job(path).runs
    except InputError as error:
        assert all(problem.file == "any.csv" and problem.message for problem in error.problems)


def test_inputs_that_do_not_go_together_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The tube is chosen by the book; only when it is known does it turn out that two of it have no room in the jacket."""
    path = tmp_path / "tight.csv"
    tight = SOUND.replace("jacket outer diameter,5,in", "jacket outer diameter,33.4,mm")
    assert tight != SOUND
    path.write_text(tight, encoding="utf-8")
    assert main(["fill", str(path)]) == 2
    said = capsys.readouterr().err
    assert "tight.csv: the inputs do not go together: Lines, " in said
    assert "is 1.315 in, and the tube that was chosen takes" in said
    assert "look at run yard: jacket outer diameter, size, temperature drop\n" in said


def test_a_line_that_fails_names_the_inputs_near_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same job, were its jacket not looked at: the line that comes out as no number tells what it is made of."""
    monkeypatch.setattr(ground, "_refuse_overfilled", lambda *_: None)
    monkeypatch.setattr(references.IfNone, "value", lambda self, values: values[self.row])
    monkeypatch.setattr(references.Says, "value", lambda self, values: values[self.row] >= 0)
    path = tmp_path / "tight.csv"
    path.write_text(SOUND.replace("jacket outer diameter,5,in", "jacket outer diameter,33.4,mm"), encoding="utf-8")
    with pytest.raises(BuildError) as caught:
        build(read_job(path))
    assert str(caught.value).endswith(
        "is not a number; look at run yard: arrangement, depth, insulation conductivity, jacket condition, jacket outer diameter, "
        "wet insulation conductivity; site: soil, soil conductivity"
    )
