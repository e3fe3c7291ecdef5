"""Every broken table is refused with all its problems, each naming file, row and item; a sound one is taken."""

from __future__ import annotations

from pathlib import Path

import pytest
from broken_tables import BROKEN, SOUND, Broken

from workbook_builder.job import read_job
from workbook_builder.rows import InputError


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
