"""A fuel's use between two dates as a part of a year; and dates, as people and office programs write them."""

from __future__ import annotations

import datetime
from functools import cache
from pathlib import Path
from typing import Any

import agreement
import engines
import ironcalc
import numpy as np
import openpyxl
import pytest
from slow import but_first
from test_verdicts import cell_of, type_over

from workbook_builder.build import Built, build, save
from workbook_builder.model.needs import COMPLETE
from workbook_builder.model.typed_sheets import JOB
from workbook_builder.table.reader import job_from_rows, read_job
from workbook_builder.table.rows import InputError, TableRow

# Degree days at 65 °F of the months of an invented place follow from these means; what is tested is which of them count.
MEANS = (20, 24, 33, 45, 56, 65, 70, 68, 60, 49, 37, 26)
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
MONTHS = ["january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"]
TABLE = [
    ("job", "title", "Use", ""),
    ("site", "outdoor design temperature", "0", "°F"),
    *(("site", f"{month} mean temperature", str(mean), "°F") for month, mean in zip(MONTHS, MEANS, strict=True)),
    ("boiler", "rated output", "110000", "BTU/h"),
    ("boiler", "water content", "300", "gal"),
    ("wood", "species", "white oak", ""),
    ("run house", "length", "100", "ft"),
    ("run house", "tube family", "PEX SDR-9", ""),
    ("run house", "jacket outer diameter", "5", "in"),
    ("load rooms", "run", "house", ""),
    ("load rooms", "kind", "baseboard", ""),
    ("load rooms", "share of fuel", "100", "%"),
    ("load rooms", "balance temperature", "65", "°F"),
    ("load rooms", "rated output", "90000", "BTU/h"),
    ("fuel today oil", "fuel", "heating oil", ""),
    ("fuel today oil", "price", "3.5", "$/gal"),
    ("fuel today oil", "use", "600", "gal"),
    ("fuel today oil", "seasonal efficiency", "80", "%"),
    ("fuel today oil", "share for hot water", "20", "%"),
]
USEFUL = 600 * 138500 * 0.8 / 1e6  # million BTU: 138,500 BTU/gal, the table of fuels


@cache
def job(*more: tuple[str, ...]) -> Built:
    rows = [*TABLE, *(("fuel today oil", *(*one, "")[:3]) for one in more)]
    return build(job_from_rows("t.csv", [TableRow(n, *row, "") for n, row in enumerate(rows, 2)]))


def of(built: Built, label: str, sheet: str = "Money") -> float:
    row = next(r for r in built.book.sheets[sheet].rows if r.label == label)
    return float(built.book.values[row][0])


# The dates, the part of each month that lies between them, and the days, the leap day left out.  Counted by hand on a calendar.
PERIODS: dict[tuple[str, str], tuple[dict[int, float], int]] = {
    ("2023-01-01", "2023-03-31"): ({1: 31, 2: 28, 3: 31}, 90),
    ("2023-01-10", "2023-01-24"): ({1: 15}, 15),
    ("2023-11-16", "2024-02-14"): ({11: 15, 12: 31, 1: 31, 2: 14}, 91),
    ("2024-02-20", "2024-03-10"): ({2: 9, 3: 10}, 19),
    ("2023-10-15", "2024-10-15"): ({m + 1: d + (m == 9) for m, d in enumerate(DAYS)}, 366),
    ("2023-01-01", "2023-12-31"): ({m + 1: d for m, d in enumerate(DAYS)}, 365),
    ("2024-01-01", "2024-12-31"): ({m + 1: d for m, d in enumerate(DAYS)}, 365),
}


@pytest.mark.parametrize(("first", "last"), but_first(PERIODS))
def test_heating_is_scaled_by_degree_days_and_hot_water_by_days(first: str, last: str) -> None:
    parts, days = PERIODS[first, last]
    built = job(("first date", first), ("last date", last))
    row = next(r for r in built.book.sheets["Climate"].rows if r.label == "Degree days at the base of the site")
    months = built.book.values[row]
    between = sum(months[m - 1] * count / DAYS[m - 1] for m, count in parts.items())
    assert of(built, "Degree days of the use") == pytest.approx(between, rel=1e-9)
    assert of(built, "Days of the use") == days
    year = 0.8 * USEFUL * sum(months) / between + 0.2 * USEFUL * 365 / days
    assert of(built, "Useful heat of the use, for a year") == pytest.approx(year, rel=1e-8)
    # At the site's base the building's degree days are the same ones: useful heat for rooms / (degree days × 24 h).
    assert of(built, "Conductance from the fuel", "Needs") == pytest.approx(0.8 * USEFUL * 1e6 / (between * 24), rel=1e-8)


def test_without_dates_a_use_is_that_of_a_year() -> None:
    built = job()
    assert of(built, "Useful heat of the use, for a year") == pytest.approx(USEFUL, rel=1e-8)
    assert np.isnan(of(built, "Days of the use"))


@pytest.mark.slow
def test_typed_degree_days_win_over_those_between_the_dates() -> None:
    dates = ("first date", "2023-01-01"), ("last date", "2023-03-31")
    built = job(("degree days of the use", "2000", "°F day"), *dates)
    assert of(built, "Degree days of the use") == 2000
    year = of(built, "Degree days of the year at the site's base")
    expected = 0.8 * USEFUL * year / 2000 + 0.2 * USEFUL * 365 / 90
    assert of(built, "Useful heat of the use, for a year") == pytest.approx(expected, rel=1e-8)


# --- typed into the book ----------------------------------------------------------------------------------------------

TOGETHER = "Dates of the use go together"
SERIAL = "45250"  # 2023-11-20 as office programs count: 45,292 is 2024-01-01
TYPED: dict[str, tuple[str, str, str, float | str]] = {
    "text": ("2023-11-20", "2024-02-29", "pass", 101.0),  # 11 + 31 + 31 + 28
    "a serial number": (SERIAL, "45351", "pass", 101.0),
    "as the office program reads it": ("11/20/2023", "2/29/2024", "pass", 101.0),
    "none": ("", "", "pass", ""),
    "one alone": ("2023-11-20", "", "fail", ""),
    "the other alone": ("", "2023-11-20", "fail", ""),
    "upside down": ("2024-02-29", "2023-11-20", "fail", ""),
    "too far apart": ("2023-02-01", "2024-02-02", "fail", ""),
    "with an hour": ("45250.5", "45351", "fail", ""),
    "no date": ("2023-11-31", "last winter", "pass", ""),
    "one no date": ("2023-11-20", "20.2.24", "fail", ""),
}


BOTH = ("first date", "2023-01-01"), ("last date", "2023-03-31")


@pytest.fixture(scope="module")
def model(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The book open in IronCalc; whoever types into it types both dates."""
    path = tmp_path_factory.mktemp("dates") / "book.xlsx"
    save(job(*BOTH), path)
    return ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")


@pytest.mark.parametrize("name", TYPED)
def test_dates_typed_into_the_book(name: str, model: Any) -> None:
    first, last, verdict, days = TYPED[name]
    built = job(*BOTH)
    names = [s["name"] for s in model.get_worksheets_properties()]
    lines = [built.context.inputs.by_key[f"fuel today oil|{item}"] for item in ("first date", "last date")]
    for line, text in zip(lines, (first, last), strict=True):
        type_over(model, names, line, text)
    model.evaluate()
    assert engines.errors(engines.values_of_model(model)) == []
    check = next(c for c in built.checks.all if c.label == TOGETHER)
    assert cell_of(model, names, check.verdict) == verdict
    row = next(r for r in built.book.sheets["Money"].rows if r.label == "Days of the use")
    assert (model.get_cell_value(names.index("Money"), row.number, row.first_column + 1) or "") == days
    no_dates = [
        item for item, text in (("first date", first), ("last date", last)) if text in ("2023-11-31", "last winter", "20.2.24", "45250.5")
    ]
    told = str(model.get_cell_value(names.index(JOB), 3, 1))
    # Of several in a column the last is named.
    assert told == (f"{len(no_dates)} not possible: {no_dates[-1]}" if no_dates else COMPLETE) or not (first and last)
    assert (f"{len(no_dates)} not possible" in told) == bool(no_dates)


def as_workbook(path: Path, first: Any, last: Any) -> Path:
    made = openpyxl.Workbook()
    made.active.append(["part", "item", "value", "unit", "note"])
    for part, item, value, unit in [*TABLE, ("fuel today oil", "first date", first, ""), ("fuel today oil", "last date", last, "")]:
        made.active.append([part, item, value, unit])
    made.save(path)
    return path


@pytest.mark.parametrize(
    ("first", "last"),
    [
        ("2023-11-20", "2024-02-29"),
        (datetime.date(2023, 11, 20), datetime.datetime(2024, 2, 29)),
        (int(SERIAL), 45351),
        (float(SERIAL), 45351.0),
    ],
)
def test_dates_in_a_workbook(first: Any, last: Any, tmp_path: Path) -> None:
    read = read_job(as_workbook(tmp_path / "t.xlsx", first, last))
    assert [read.value("fuel today oil", f"{which} date") for which in ("first", "last")] == ["2023-11-20", "2024-02-29"]


@pytest.mark.parametrize("last", [45351.5, 3, -1, 1e9, "29.2.2024", "2/29/2024", datetime.datetime(2024, 2, 29, 12)])
def test_what_is_no_date_in_a_workbook(last: Any, tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        read_job(as_workbook(tmp_path / "t.xlsx", "2023-11-20", last))
    [problem] = refused.value.problems
    assert problem.item == "fuel today oil, last date" and problem.row == len(TABLE) + 3
    assert "write it as year-month-day, such as 2024-11-30" in problem.message


@pytest.mark.slow
@pytest.mark.office
def test_dates_typed_into_the_book_in_libreoffice(tmp_path: Path) -> None:
    """As text, as a date cell and as a bare number; and what is none: each for a fuel of its own."""
    typed: dict[str, tuple[Any, Any, Any]] = {
        "oil": ("2023-11-20", "2024-02-29", 101.0),
        "gas": (datetime.date(2023, 11, 20), datetime.date(2024, 2, 29), 101.0),
        "coal": (int(SERIAL), 45351, 101.0),
        "peat": ("2023-11-31", "soon", ""),
    }
    oil = [(item, *more) for part, item, *more in [*TABLE, *(("fuel today oil", *date, "") for date in BOTH)] if part == "fuel today oil"]
    rows = [*TABLE, ("load rooms", "fuel today", "oil", ""), *(("fuel today oil", *date, "") for date in BOTH)]
    rows += [(f"fuel today {name}", *line) for name in typed if name != "oil" for line in oil]
    built = build(job_from_rows("t.csv", [TableRow(n, *row, "") for n, row in enumerate(rows, 2)]))
    save(built, tmp_path / "book.xlsx")
    made = openpyxl.load_workbook(tmp_path / "book.xlsx")
    for name, (*dates, _) in typed.items():
        for item, date in zip(("first date", "last date"), dates, strict=True):
            line = built.context.inputs.by_key[f"fuel today {name}|{item}"]
            made[line.sheet][line.cell].value = date
    made.save(tmp_path / "typed.xlsx")
    (cells,) = agreement.office_cells([tmp_path / "typed.xlsx"], tmp_path / "office")
    assert engines.errors(cells) == []
    row = next(r for r in built.book.sheets["Money"].rows if r.label == "Days of the use")
    assert row.axis.labels == tuple(typed)
    found = [cells.get(("Money", row.address(index).split("!")[1]), "") for index in range(len(typed))]
    assert found == [days for *_, days in typed.values()]
