"""One design night: what Summary, Verdicts and Charts show is of one state of the water, and what goes short passes nothing."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import Any

import books
import ironcalc
import numpy as np
import openpyxl
import pytest
from test_audit_summary import rows_of
from test_verdicts import PLATE, SERVED, type_over, verdict

from workbook_builder.build import Built, build
from workbook_builder.model.rows import FIRST_COLUMN, Row, column_letters
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

SAMPLES = Path(__file__).parent.parent / "samples"
FAILING = SAMPLES / "failing-marsh-farm.csv"


def failing() -> Built:
    return books.built(FAILING, "us")


@pytest.fixture
def written() -> Path:
    return books.written(FAILING, "us").path


def _of(built: Built, row: Any) -> list[float]:
    return [float(v) for v in built.book.values[row]]


def test_the_line_ends_where_the_first_load_begins() -> None:
    """What arrives, what the first load gets, and the chart of the water along the run are one and the same water."""
    built = failing()
    sizing = built.sizing
    arrives, enters = _of(built, sizing.night.lines.arrival), _of(built, sizing.settled.case.inlet)
    assert arrives[0] == pytest.approx(enters[0], abs=1e-6)
    water = [float(built.book.values[row][0]) for row in sizing.stations.water]
    assert water[0] == pytest.approx(_of(built, sizing.balance.water)[0], abs=1e-6)
    assert water[1] == pytest.approx(arrives[0], abs=1e-6)
    assert water[2] == pytest.approx(_of(built, sizing.settled.case.after)[0], abs=1e-6)


def test_the_heat_of_that_night_adds_up() -> None:
    """What leaves the boiler is what the loads get and both lines lose, and no more than the fire gives."""
    built = failing()
    sizing = built.sizing
    gets, loses = sum(_of(built, sizing.settled.case.taken)), sum(_of(built, sizing.night.lines.loss))
    given = sum(_of(built, sizing.night.lines.from_boiler))
    assert gets + loses == pytest.approx(given, rel=1e-6)
    assert given == pytest.approx(_of(built, sizing.boiler.charge.limit)[0], rel=1e-4)  # the water's own tolerance
    back = _of(built, sizing.balance.water)[0] - _of(built, sizing.back.temperature)[0]
    assert back == pytest.approx(given / _of(built, sizing.back.rate)[0], rel=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("output", [300.0, 2000.0])
def test_a_fire_that_does_not_carry_its_own_lines_lets_the_water_sink_towards_the_ground(output: float) -> None:
    """The lines lose what it gives and no load gets anything; a search from the coolest room upwards found no such water."""
    lines = [r for r in rows_of(FAILING) if (r.part, r.item) not in (("boiler", "rated output"), ("boiler", "firebox volume"))]
    built = build(job_from_rows("t.csv", [*lines, TableRow(9000, "boiler", "rated output", output, "BTU/h", "")]))
    sizing = built.sizing
    water, coolest = _of(built, sizing.balance.water)[0], min(_of(built, sizing.needs.indoor))
    assert min(_of(built, sizing.ground.temperature)) < water < coolest
    assert sum(_of(built, sizing.night.lines.loss)) == pytest.approx(output, rel=1e-3)
    assert sum(_of(built, sizing.settled.case.taken)) == 0


def test_hot_water_that_is_lukewarm_at_the_draw_does_not_pass() -> None:
    """120 °F is wanted at the draw and 72 comes: the plate fails, and the load gets the part of its heat that the plate warms.

    With water at the lower setpoint it would be 78, which passed as all of the need, the plate giving more than the mean of the day.
    """
    built = failing()
    taps = built.context.loads.labels.index("taps")
    assert verdict(built, PLATE) == ("fail", "taps")
    check = next(c for c in built.checks.all if c.label == PLATE)
    outlet = float(built.book.values[check.value][0])
    assert outlet < 82
    cold, wanted = (_of(built, row)[taps] for row in (built.sizing.needs.cold, built.sizing.needs.wanted))
    need, gets = (_of(built, row)[taps] for row in (built.sizing.settled.case.need, built.sizing.settled.case.taken))
    assert gets / need == pytest.approx((outlet - cold) / (wanted - cold), rel=1e-6)
    assert verdict(built, SERVED)[0] == "fail"


@pytest.mark.slow
def test_no_load_that_goes_short_passes() -> None:
    for path in sorted(SAMPLES.glob("*.csv")):
        built = books.built(path, "us")
        case = built.sizing.settled.case
        need, gets = np.array(_of(built, case.need)), np.array(_of(built, case.taken))
        short = (need > 1) & (gets < 0.999 * need)
        assert (verdict(built, SERVED)[0] == "fail") == bool(short.any()), path.name


# -- findings on the Summary


def _summary(path: Path) -> list[tuple[str, Any]]:
    """Requirement and verdict of each finding that the Summary lists, and its last line."""
    sheet = openpyxl.load_workbook(path, data_only=True)["Summary"]
    first = next(row for row in range(1, sheet.max_row + 1) if str(sheet.cell(row, 1).value).startswith("6  "))
    found = []
    for row in range(first + 1, sheet.max_row + 1):
        text = str(sheet.cell(row, 1).value or "")
        if text.startswith("7  "):
            break
        if sheet.cell(row, 7).value or text.startswith("and "):
            found.append((text, sheet.cell(row, 7).value))
    return found


def test_what_has_no_room_is_counted_and_fails_come_first(written: Path) -> None:
    built = failing()
    *listed, last = _summary(written)
    verdicts = [v for _, v in listed]
    assert verdicts == sorted(verdicts)  # "fail" before "remark"
    fails, remarks = (int(built.book.values[row][0]) for row in (built.checks.fails, built.checks.remarks))
    assert fails == sum(built.book.values[c.verdict][0] == "fail" for c in built.checks.all)
    assert last[0] == f"and {fails + remarks - len(listed)} more on Verdicts"
    assert fails + remarks > len(listed) == 8
    assert verdicts.count("fail") == min(fails, 8)


@pytest.mark.slow
def test_nothing_more_is_said_where_all_have_room() -> None:
    path = books.written(SAMPLES / "small-cottage.csv", "us").path
    assert not any(text.startswith("and ") for text, _ in _summary(path))


def test_the_count_follows_a_change(written: Path) -> None:
    """One remark more, typed by hand."""
    model = ironcalc.load_from_xlsx(str(written), "en", "UTC", "en")
    names = [p["name"] for p in model.get_worksheets_properties()]
    (before,) = [text for text, _ in _summary(written) if text.startswith("and ")]
    line = failing().context.inputs.by_key["limits|lowest velocity"]
    type_over(model, names, line, "3")
    model.evaluate()
    found = [model.get_cell_value(names.index("Summary"), row, 1) for row in range(1, 120)]
    (after,) = [t for t in found if isinstance(t, str) and t.startswith("and ")]
    assert int(re.findall(r"\d+", after)[0]) == int(re.findall(r"\d+", before)[0]) + 1


def test_the_chart_is_drawn_from_that_night(written: Path) -> None:
    """The file's chart of the water refers to cells whose formulas lead to that night, and to nothing of a water at the lower setpoint."""
    with zipfile.ZipFile(written) as archive:
        drawn = "".join(archive.read(n).decode() for n in archive.namelist() if n.startswith("xl/charts/chart"))
    sizing = failing().sizing
    water = sizing.stations.water
    first, last, own = water[0].number, water[-1].number, water[0].sheet.name
    column = column_letters(FIRST_COLUMN)
    cells = re.findall(rf"{own}!\${column}\$(\d+):\${column}\$(\d+)", drawn)
    assert any(int(a) == first and int(b) <= last for a, b in cells)
    sheet = openpyxl.load_workbook(written)[own]
    formulas = " ".join(str(sheet[f"{column}{row}"].value) for row in range(first, last + 1))
    read = {(there or own, int(row)) for there, row in re.findall(r"(?:\b(\w+)!)?\$?[A-Z]{1,2}\$?(\d+)\b", formulas)}

    def places(*results: Any) -> set[tuple[str, int]]:
        return {(row.sheet.name, row.number) for result in results for row in vars(result).values() if isinstance(row, Row)}

    assert places(sizing.night.lines) & read and places(sizing.settled.case) & read
    at_fan_on = places(sizing.returns, sizing.reached, sizing.steady.case) - places(sizing.night.lines, sizing.settled.case)
    assert len(at_fan_on) > 10 and not at_fan_on & read
