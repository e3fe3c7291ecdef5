"""More than a workbook holds is told at once; more problems than anybody reads are counted."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from broken_tables import SOUND

from workbook_builder.cli import main
from workbook_builder.table.job import MOST
from workbook_builder.table.reader import read_job
from workbook_builder.table.rows import MOST_LISTED, InputError, Problem, listed

OTHER_LOAD = "load L{n},run,yard,,\nload L{n},kind,known,,\nload L{n},heat,500,BTU/h,\n"
OTHER_RUN = "run R{n},length,60,ft,\nrun R{n},tube family,PEX SDR-9,,\nrun R{n},jacket outer diameter,5,in,\n"
OTHER_FUEL = "fuel today F{n},fuel,propane,,\nfuel today F{n},price,3,$/gal,\n"
PARTS = {"load": (OTHER_LOAD, "loads", 1), "run": (OTHER_RUN, "runs", 1), "fuel today": (OTHER_FUEL, "fuels", 0)}


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "t.csv"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("family", PARTS)
def test_so_many_and_no_more(family: str, tmp_path: Path) -> None:
    rows, what, there = PARTS[family]
    most = MOST[family]
    enough = SOUND + "".join(rows.format(n=n) for n in range(most - there))
    job = read_job(written(tmp_path, enough))
    assert len({"load": job.loads, "run": job.runs, "fuel today": job.fuels}[family]) == most
    with pytest.raises(InputError) as caught:
        read_job(written(tmp_path, enough + rows.format(n=most)))
    [problem] = caught.value.problems
    assert str(problem) == f"t.csv: the table has {most + 1:,} {what}; a workbook holds at most {most:,}: part the job"


def test_more_loads_than_a_sheet_has_columns_are_told_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Once it was 400 seconds in silence.  Other faults of such a table are of no interest yet."""
    path = written(tmp_path, SOUND.replace("88,ft", "-88,ft") + "".join(OTHER_LOAD.format(n=n) for n in range(16_390)))
    started = time.process_time()
    assert main(["fill", str(path)]) == 2
    assert time.process_time() - started < 20
    assert capsys.readouterr().err == "t.csv: the table has 16,391 loads; a workbook holds at most 2,000: part the job\n"
    assert not path.with_suffix(".xlsx").exists()


def test_the_limits_lie_within_the_columns_of_a_sheet() -> None:
    """16,384 columns (ECMA-376, and the limits that Excel and LibreOffice state); beside the parts stand labels, units and words."""
    assert max(MOST.values()) + 10 < 16_384
    assert MOST["load"] >= 1_000 and MOST["run"] >= 200 and MOST["fuel today"] >= 200  # what was measured to work, and a blank book's


def problems(*kinds: tuple[str, int]) -> list[Problem]:
    return [
        Problem("t.csv", n, "run yard, length", f"{n} {kind} is not allowed; allowed: above {n} ft")
        for kind, count in kinds
        for n in range(count)
    ]


def test_problems_are_listed_up_to_a_number() -> None:
    few = problems(("ft", MOST_LISTED))
    assert listed(few) == list(map(str, few))
    lines = listed(problems(("ft", 500)))
    assert len(lines) == MOST_LISTED + 1 and lines[-1] == "t.csv: and 470 more of the same kind"
    # A lonely one behind many of another kind is shown, and in its place.
    lines = listed([*problems(("ft", 500)), Problem("t.csv", 900, "boiler, kind", "'x' is not one of: a | b")])
    assert lines[-1] == "t.csv: and 471 more of the same kinds" and "row 900" in lines[-2] and len(lines) == MOST_LISTED + 1
    many = problems(*((f"{chr(65 + n % 26)}{chr(65 + n // 26)}", 2) for n in range(40)))
    assert listed(many)[-1] == "t.csv: and 30 more of the same kinds and 20 more of other kinds"


def test_a_thousand_faults_on_a_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path, SOUND.replace("PEX SDR-9", "PVC") + "".join(OTHER_LOAD.format(n=n).replace("500", "-1") for n in range(1000)))
    assert main(["fill", str(path)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == MOST_LISTED + 1 and "'PVC'" in lines[0] and lines[-1] == "t.csv: and 971 more of the same kinds"
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert len(caught.value.problems) == 1001 and len(str(caught.value).splitlines()) == MOST_LISTED + 1


@pytest.mark.parametrize("row", ["run yard,length of {n} pipes,5,ft,\n", "load L{n},kind,kettle {n},,\n", "part {n},length,5,ft,\n"])
def test_what_nobody_reads_takes_no_time(row: str, tmp_path: Path) -> None:
    """Looking for what is meant by a word takes milliseconds; of ten thousand words that would be minutes."""
    path = written(tmp_path, SOUND + "".join(row.format(n=n) for n in range(1_900 if row.startswith("load") else 10_000)))
    started = time.process_time()
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert time.process_time() - started < 20
    assert len(caught.value.problems) >= 1_900
