"""What a book says of itself, claimed: every figure of the Summary as it stands, and no label leads to a sheet that only iterates."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import books
import openpyxl
import pytest
from jobs import random_job
from slow import but_first, some
from test_shown_rows import Known, solved

from hydrocalc.measures import System
from workbook_builder.audit import naming
from workbook_builder.audit.claims import HOLDS, ROUNDED, check_claims
from workbook_builder.build import Built, build
from workbook_builder.output.writer import SLATE
from workbook_builder.table.job import Job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

SAMPLES = sorted((Path(__file__).parent.parent / "samples").glob("*.csv"))
# The findings, the defaults and the ranges are no figures of the job.
LAST = "6  "
# Each sample in one unit system; in a long run in both.
CLAIMED = some(list(zip(SAMPLES, ("metric", "us", "us", "metric", "us"), strict=True)), [(s, u) for s in SAMPLES for u in books.SYSTEMS])

BTU_AN_HOUR = 0.29307107  # W


@dataclass(frozen=True)
class Printed:
    """A figure of the page: of which part, by which words, and how it is printed."""

    part: str
    label: str
    value: str
    unit: str


def printed(value: Any, number_format: str) -> str:
    """A number as a spreadsheet shows it by one of the formats that the page uses; thousands without their mark, as a table wants them."""
    if isinstance(value, str):
        return value
    positive = number_format.split(";")[0]
    return f"{value:.2e}" if "E" in positive else f"{value:.{len(positive.partition('.')[2])}f}"


def figures(path: Path, job: Job) -> list[Printed]:
    """Every figure of the written Summary, read from the file."""
    sheet = openpyxl.load_workbook(path, data_only=True)["Summary"]
    names = [*(f"run {name}" for name in job.runs), *(f"load {name}" for name in job.loads)]
    found: list[Printed] = []
    heads: list[str] = []
    for row in range(4, sheet.max_row + 1):
        cells = [sheet.cell(row, column) for column in range(1, 9)]
        title = str(cells[0].value or "")
        if title.startswith(LAST):
            return found
        if cells[0].fill.fgColor.rgb == "FF" + SLATE[1:]:
            heads = [str(c.value or "") for c in cells]
            family = "load" if title.startswith("1") else "run"
            continue
        if len(heads) > 1 and heads[1] and f"{family} {title}" in names:
            for head, cell in zip(heads[1:], cells[1:], strict=True):
                label, _, unit = head.partition("\n")
                if cell.value not in (None, ""):
                    found.append(Printed(f"{family} {title}", label, printed(cell.value, cell.number_format), unit))
            continue
        heads = []
        for label, value, unit in ((cells[0], cells[2], cells[3]), (cells[4], cells[6], cells[7])):
            if label.value and value.value not in (None, ""):
                found.append(Printed("job", str(label.value), printed(value.value, value.number_format), str(unit.value or "")))
    raise AssertionError("the page has no findings")


def rows_of(path: Path) -> list[TableRow]:
    """The table's own rows, to which claims can be added."""
    import csv

    with path.open(encoding="utf-8", newline="") as lines:
        return [
            TableRow(n, *(line[k] for k in ("part", "item", "value", "unit", "note")), {k: line[k] for k in ("low", "high") if line.get(k)})
            for n, line in enumerate(csv.DictReader(lines), 2)
            if not line["part"].startswith("claim")
        ]


@pytest.mark.slow
@pytest.mark.parametrize(("sample", "system"), CLAIMED, ids=lambda v: getattr(v, "stem", v))
def test_every_figure_of_the_summary_claimed_as_it_stands_holds(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    job = book.built.job
    shown = figures(book.path, job)
    assert len(shown) >= 7 * (len(job.loads) + len(job.runs)) + 18  # and of the job those that are not blank
    claims = [TableRow(n, f"claim {f.part}", f.label, f.value, f.unit, "") for n, f in enumerate(shown, 1000)]
    checked = check_claims(build(job_from_rows("t.csv", [*rows_of(sample), *claims]), system))
    assert len(checked) == len(shown)
    wrong = [(one.claim.part, one.claim.item, one.claimed, one.computed) for one in checked if one.verdict not in (HOLDS, ROUNDED)]
    assert wrong == []


def _labels(built: Built) -> list[tuple[str, str]]:
    """Every part of the job with every label that its axis has anywhere in the book."""
    job, found = built.job, []
    parts = {
        "run": [f"run {n}" for n in job.runs],
        "load": [f"load {n}" for n in job.loads],
        "fuel today": [f"fuel today {n}" for n in job.fuels],
        "one": ["job", "boiler", "cords", "money", "site", "wood", "season"],
    }
    for sheet in built.book.sheets.values():
        for row in sheet.rows:
            found += [(part, row.label) for part in parts.get(sheet.axis.name, ())]
    return list(dict.fromkeys(found))


def _built(case: str) -> Built:
    return build(random_job(int(case))) if case.isdigit() else books.written(next(s for s in SAMPLES if s.stem == case), "us").built


@pytest.mark.parametrize("case", but_first([*(s.stem for s in SAMPLES), "3", "8"]))
def test_no_label_leads_to_a_step_of_an_iteration(case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor does a word of the trade."""
    monkeypatch.setattr(naming.Names, "_unknown", lambda *_: "")  # the nearest names, which take long to find and are not looked at
    built = _built(case)
    names = naming.Names(built)
    labels = _labels(built)
    assert sum(row.folded for sheet in built.book.sheets.values() for row in sheet.rows) > 100
    astray = []
    for part, label in labels:
        try:
            place = names.place(part, label)
        except naming.NamingError:
            continue
        if place.row.folded:
            astray.append((part, label, place.address))
    assert astray == []
    assert not [w for w in naming.words() if names.of_word(w).folded]


@pytest.mark.slow
def test_a_baseboard_on_the_failing_sample_is_claimed_against_the_water_of_the_design_night() -> None:
    """What the independent solver gives it: it goes short, so that it can give what it takes.

    The label once led to the second try of an iteration.
    """
    failing = next(s for s in SAMPLES if s.stem.startswith("failing"))
    given = Known(solved(failing.stem)).night.stations["farmhouse"].taken / BTU_AN_HOUR
    claim = TableRow(1000, "claim load farmhouse", "Baseboard, radiators and floor can give", f"{given:.0f}", "BTU/h", "")
    (one,) = check_claims(build(job_from_rows("t.csv", [*rows_of(failing), claim])))
    assert one.place.row.sheet.name == "Water" and not one.place.row.folded
    assert one.verdict in (HOLDS, ROUNDED)
