"""The short run of the fuzzer, and proof that it would see a traceback, a hang, a flood and a false refusal.

FUZZ=1000 makes a longer run of it; the long one is a command, see ``fuzz.py``.
"""

from __future__ import annotations

import os
import time
import warnings
from pathlib import Path
from typing import Any

import fuzz
import pytest

from workbook_builder import batch
from workbook_builder.audit import command
from workbook_builder.cli import main
from workbook_builder.table.rows import refuse

COUNT = int(os.environ.get("FUZZ", "12"))
# Of books, which take the longest, a tenth as many.
RUNS = {"tables": range(20_000, 20_000 + COUNT), "books": range(20_000, 20_000 + max(COUNT // 10, 1))}


@pytest.mark.slow
@pytest.mark.parametrize("what", RUNS)
def test_spoiled_input_gives_a_clear_message_or_a_result(what: str) -> None:
    counts, failures = fuzz.fuzz(what, RUNS[what])
    assert failures == []
    assert counts[fuzz.REFUSED] + counts[fuzz.DONE] == len(RUNS[what])
    if len(RUNS[what]) >= 10:
        assert counts[fuzz.REFUSED] > 0 and counts[fuzz.DONE] > 0, "the mutations are neither all harmless nor all fatal"


@pytest.mark.parametrize("seed", [7, 20_001])
def test_a_case_is_the_same_again(seed: int, tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    first, second = (fuzz.mutated_table(seed, tmp_path / n) for n in "ab")
    assert first.name == second.name and first.read_bytes() == second.read_bytes()


def broken(*_: object, **__: object) -> Any:
    raise KeyError("planted")


def endless(*_: object, **__: object) -> Any:
    try:
        time.sleep(30)
    except Exception:  # what a handler of ours must not catch
        return None


def busy(*_: object, **__: object) -> Any:
    while True:
        pass


def warned(*_: object, **__: object) -> Any:
    warnings.warn("planted", UserWarning, stacklevel=1)


@pytest.mark.parametrize("fault", [broken, endless, busy, warned])
def test_a_planted_fault_is_seen(fault: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = tmp_path / "table.csv"
    table.write_text(fuzz.SOUND, encoding="utf-8")
    monkeypatch.setattr(fuzz, "SECONDS", 0.3)
    monkeypatch.setattr(fuzz, "WAITING", 2)
    monkeypatch.setattr("workbook_builder.table.reader.read_job", fault)
    monkeypatch.setattr(fuzz, "read_job", fault)
    for arguments in (("fill", str(table), "-o", str(tmp_path / "book.xlsx")), ("audit", str(table))):
        verdict = fuzz.run(*arguments)
        assert verdict.outcome == fuzz.CRASH
        assert "planted" in verdict.said or "not done after" in verdict.said


def test_a_refusal_that_names_no_file_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = tmp_path / "table.csv"
    table.write_text(fuzz.SOUND, encoding="utf-8")
    monkeypatch.setattr(batch, "carry_out", lambda order: batch.Outcome(order, "", "something is wrong"))
    assert main(["fill", str(table)]) == 2
    assert fuzz.run("fill", str(table)).outcome == fuzz.CRASH
    monkeypatch.setattr(batch, "carry_out", lambda order: batch.Outcome(order, "", "table.csv: something is wrong"))
    assert fuzz.run("fill", str(table)).outcome == fuzz.REFUSED
    for file, outcome in (("", fuzz.CRASH), ("table.csv", fuzz.REFUSED)):

        def refused(_: object, file: str = file) -> None:
            raise refuse(file, "something is wrong")

        monkeypatch.setattr(command, "_claims", refused)
        for more in ([], ["--json"]):
            assert fuzz.run("audit", str(table), *more).outcome == outcome


@pytest.mark.slow
def test_a_flood_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fuzz, "_peak", iter((300, 1400, 1400)).__next__)
    counts, failures = fuzz.fuzz("tables", range(1))
    assert counts[fuzz.CRASH] == 1 and failures[0][1] == "1100 MB more"
