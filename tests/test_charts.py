"""Charts: what each is drawn from, checked a second way; on paper no chart is cut; a blank book shows them once it is filled."""

from __future__ import annotations

import functools
import math
import re
import subprocess
import zipfile
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import books
import engines
import ironcalc
import numpy as np
import openpyxl
import pytest
from books import FULL, SAMPLES, SYSTEMS

from hydrocalc.measures import LENGTH, System
from hydrocalc.tables import table
from workbook_builder.build import Built, build, save
from workbook_builder.model.rows import Row, column_letters
from workbook_builder.sheets.pages.charts import DOWN, FIRST_ROW
from workbook_builder.sheets.sizing.curves import APART
from workbook_builder.table.job import blank_job
from workbook_builder.table.reader import read_job

CHART = {
    "c": "http://schemas.openxmlformats.org/drawingml/2006/chart",
    "a": "http://schemas.openxmlformats.org/drawingml/2006/main",
    "x": "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing",
    "m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
    "r": "http://schemas.openxmlformats.org/package/2006/relationships",
}
PLACE = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
every_book = pytest.mark.parametrize(("sample", "system"), [(s, u) for s in SAMPLES for u in SYSTEMS])


# --- reading the charts of a file ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Series:
    """What a series of a chart refers to: cells, or words for its name."""

    name: str
    categories: str
    values: str
    seen: bool


@dataclass(frozen=True)
class Drawn:
    """A chart of a sheet: its title, its series, and the rows from which to which it stands, counted from 0."""

    title: str
    series: tuple[Series, ...]
    axes: tuple[str, ...]  # titles of those that are shown
    top: int
    bottom: float


def charts(path: Path, sheet: str) -> list[Drawn]:
    """The charts of a sheet from the top down."""
    with zipfile.ZipFile(path) as archive:

        def part(name: str) -> ElementTree.Element:
            return ElementTree.fromstring(archive.read(name))

        def related(name: str) -> dict[str, str]:
            folder, file = name.rsplit("/", 1)
            found = part(f"{folder}/_rels/{file}.rels")
            return {r.get("Id", ""): str(Path("xl") / r.get("Target", "").removeprefix("../").removeprefix("/xl/")) for r in found}

        places = related("xl/workbook.xml")
        (own,) = (places[s.get(PLACE, "")] for s in part("xl/workbook.xml").iter(f"{{{CHART['m']}}}sheet") if s.get("name") == sheet)
        (drawing,) = (name for name in related(own).values() if "drawings/drawing" in name)
        inside, found = related(drawing), []
        for anchor in part(drawing).iterfind("x:twoCellAnchor", CHART):
            (chart,) = anchor.iterfind(".//c:chart", CHART)
            top, bottom = (int(anchor.findtext(f"x:{end}/x:row", "", CHART)) for end in ("from", "to"))
            below = int(anchor.findtext("x:to/x:rowOff", "0", CHART))
            found.append(_drawn(part(inside[chart.get(PLACE, "")]), top, bottom + (0.5 if below else 0.0)))
        return sorted(found, key=lambda c: c.top)


def _drawn(chart: ElementTree.Element, top: int, bottom: float) -> Drawn:
    title = chart.find("c:chart/c:title", CHART)
    series = tuple(
        Series(
            _said(one.find("c:tx", CHART)),
            next((f.text or "" for kind in ("cat", "xVal") for f in one.iterfind(f"c:{kind}//c:f", CHART)), ""),
            next(f.text or "" for kind in ("val", "yVal") for f in one.iterfind(f"c:{kind}//c:f", CHART)),
            one.find("c:spPr/a:ln/a:noFill", CHART) is None or one.find("c:marker/c:symbol[@val='none']", CHART) is None,
        )
        for one in chart.iterfind(".//c:ser", CHART)
    )
    axes = [a for kind in ("catAx", "valAx") for a in chart.iterfind(f".//c:{kind}", CHART)]
    shown = [a for a in axes if a.find("c:delete[@val='1']", CHART) is None]
    return Drawn(_said(title), series, tuple(_said(a.find("c:title", CHART)) for a in shown), top, bottom)


def _said(element: ElementTree.Element | None) -> str:
    """Words as they stand there, or as they were last read from a cell."""
    assert element is not None
    return "".join(t.text or "" for kind in ("a:t", "c:v") for t in element.iterfind(f".//{kind}", CHART))


def cells_of(area: str) -> list[tuple[str, str]]:
    """The cells of a reference."""
    sheet, span = area.split("!")
    found = re.fullmatch(r"\$([A-Z]+)\$(\d+)(?::\$([A-Z]+)\$(\d+))?", span)
    assert found is not None, area
    first, top, last, bottom = found.groups()
    letters = [column_letters(n) for n in range(_number(first), _number(last or first) + 1)]
    return [(sheet, f"{c}{r}") for r in range(int(top), int(bottom or top) + 1) for c in letters]


def _number(letters: str) -> int:
    return functools.reduce(lambda n, c: 26 * n + ord(c) - 64, letters, 0) - 1


def titled(path: Path, words: str, sheet: str = "Charts") -> Drawn:
    (found,) = (c for c in charts(path, sheet) if c.title.startswith(words))
    return found


# --- from what each is drawn ---------------------------------------------------------------------------------------------


@every_book
def test_the_charts_of_a_book(sample: Path, system: System) -> None:
    """Each has a title, titles to all the axes that it shows, and more than one series only with names; and numbers to draw."""
    book = books.written(sample, system)
    found, runs = charts(book.path, "Charts"), book.built.job.runs
    assert len(found) == 7 + 2 * len(runs)
    stored = engines.stored_values(book.path, formulas_only=False)
    for chart in found:
        assert chart.title and all(chart.axes) and len(chart.axes) >= 2, chart
        for series in chart.series:
            assert series.name
            assert all(isinstance(stored.get(cell), float) for cell in cells_of(series.values)), f"{chart.title}: {series.values}"
    assert sum(c.title.startswith("Water along") for c in found) == 1
    for run in runs:
        assert any(c.title == f"Circulator against run {run}" for c in found)
        assert any(c.title == f"Sizes of tube side by side, run {run}" for c in found)


@every_book
def test_the_water_and_what_the_loads_need_stand_at_their_places(sample: Path, system: System) -> None:
    """A second way: from the job's own list of the loads of each run, and the columns of the loads."""
    book = books.written(sample, system)
    built, values = book.built, book.built.book.values
    job, stations = built.job, built.sizing.stations
    unit = LENGTH.unit(system)
    lengths = [float(unit.from_coherent(job.value(f"run {run}", "length"))) for run in job.runs]
    step = APART * max(lengths)
    for index, run in enumerate(job.runs):
        loads = [job.loads.index(load) for load in job.loads_on(run)]
        distance, water, needed = (
            [float(values[row][index]) for row in rows] for rows in (stations.distance, stations.water, stations.needed)
        )
        end = lengths[index] + step * len(loads)
        expected = [0.0, *(lengths[index] + step * n for n in range(len(loads) + 1))]
        assert distance == pytest.approx(expected + [end] * (len(distance) - len(expected)), rel=1e-9)
        case, lowest = built.sizing.settled.case, values[built.sizing.steady.lowest]
        assert water[1 : len(loads) + 1] == pytest.approx([values[case.inlet][load] for load in loads], abs=1e-6), "what enters each load"
        assert needed[: len(loads)] == [lowest[load] for load in loads]
        assert needed[len(loads) :] == [water[-1]] * (len(needed) - len(loads)), "where there is no load, on the last mark of the water"
    chart = titled(book.path, "Water along")
    for number, index in enumerate(range(len(job.runs))):
        along, need = chart.series[number], chart.series[len(job.runs) + number]
        assert [cells_of(a) for a in (along.categories, along.values)] == [_column(r, index) for r in (stations.distance, stations.water)]
        assert cells_of(need.values) == _column(stations.needed, index)
        assert cells_of(need.categories) == _column(stations.distance[1:-1], index)
        assert along.name == job.runs[index]


def _column(rows: tuple[Row, ...], index: int) -> list[tuple[str, str]]:
    return [tuple(row.address(index).split("!")) for row in rows]  # type: ignore[misc]


PARALLEL = [
    (part, item, value, unit, note)
    for part, item, value, unit, note in books.table_of(FULL)
    if (part, item) not in (("load workshop", "parallel with"), ("load packing room", "parallel with"))
] + [("load packing room", "parallel with", "workshop", "", "")]


def test_loads_side_by_side_stand_at_one_place(tmp_path: Path) -> None:
    """They see the same water: both at the line's end, the mixed water a step behind them."""
    built = books.write_job(PARALLEL, "us", tmp_path / "parallel.xlsx").built
    index = built.job.runs.index("barns")
    assert built.job.loads_on("barns") == ["workshop", "packing room"]
    distance = [float(built.book.values[row][index]) for row in built.sizing.stations.distance[:4]]
    assert distance == pytest.approx([0, 210, 210, 210 + APART * 210])


@every_book
def test_need_and_heat_delivered(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    case, loads = book.built.sizing.settled.case, range(len(book.built.job.loads))
    for sheet in ("Charts", "Summary"):
        need, delivered = titled(book.path, "Heat that each load", sheet).series
        for series, row in ((need, case.need), (delivered, case.taken)):
            assert cells_of(series.values) == [tuple(row.address(n).split("!")) for n in loads]
    stored = engines.stored_values(book.path, formulas_only=False)
    assert [stored[cell] for cell in cells_of(need.categories)] == list(book.built.job.loads)


def test_the_boiler_cools_as_an_exponential_down_to_freezing() -> None:
    """The middle of the time is the geometric mean of the two ends' distances to the outdoor air, whatever the boiler."""
    for system, freezing in (("us", 32.0), ("metric", 0.0)):
        built = books.written(FULL, system).built  # type: ignore[arg-type]
        values, cooling = built.book.values, built.sizing.curves.cool_down
        hours, water = values[cooling.hours], values[cooling.water]
        outdoor = built.context.inputs.by_key["site|outdoor design temperature"].used
        assert isinstance(outdoor, float)
        assert hours[0] == 0 and hours[-1] == pytest.approx(float(values[built.sizing.boiler.power_cut.freezes][0]))
        assert water[0] == pytest.approx(built.context.inputs.by_key["boiler|lower setpoint"].used)
        assert water[-1] == pytest.approx(freezing, abs=1e-6)
        middle = len(hours) // 2
        assert hours[middle] == pytest.approx(hours[-1] / 2)
        assert water[middle] - outdoor == pytest.approx(math.sqrt((water[0] - outdoor) * (water[-1] - outdoor)))


def test_where_it_never_freezes_two_weeks_are_shown(tmp_path: Path) -> None:
    rows = [(p, i, "38" if i == "outdoor design temperature" else v, u, n) for p, i, v, u, n in books.table_of(FULL)]
    built = books.write_job(rows, "us", tmp_path / "mild.xlsx").built
    cooling = built.sizing.curves.cool_down
    assert built.book.values[cooling.hours][-1] == pytest.approx(14 * 24)
    assert 38 < built.book.values[cooling.water][-1] < 156


def test_a_circulator_without_a_curve_says_so_and_a_typed_one_shows() -> None:
    """Of the sample's runs one has a curve.  In the book as written, one is typed for another run by hand."""
    book = books.written(FULL, "us")
    built = book.built
    for index, run in enumerate(built.job.runs):
        curves, values = built.sizing.curves.runs[index], built.book.values
        typed = run == "house"
        assert values[curves.curve_name][0] == ("circulator" if typed else "circulator: no curve typed")
        if typed:
            assert values[curves.curve][0] == pytest.approx(31), "shutoff head as typed"
            # At the flow that is calculated with the two curves meet, within what the refits leave.
            at = values[built.sizing.pumps.flow][index]
            meet = [float(np.interp(at, values[curves.flow], values[row])) for row in (curves.curve, curves.system)]
            assert meet[0] == pytest.approx(meet[1], rel=0.03), "between the points of the curve a straight line"
        else:
            assert values[curves.curve].tolist() == values[curves.system].tolist()
    index = built.job.runs.index("barns")
    curve = built.sizing.curves.runs[index]
    items = ("circulator shutoff head", "circulator middle flow", "circulator middle head", "circulator high flow", "circulator high head")
    cells = typed_by_hand(book.path, built, {f"run barns|{item}": value for item, value in zip(items, (20, 6, 17, 12, 8), strict=True)})
    first = curve.curve.address(0).split("!")
    assert cells[first[0], first[1]] == pytest.approx(20)
    sheet, place = curve.curve_name.address().split("!")
    assert cells[sheet, place] == "circulator"


def typed_by_hand(path: Path, built: Built, typed: dict[str, float | str]) -> engines.Cells:
    """All cells of a book after some have been typed in IronCalc."""
    model = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
    sheets = [p["name"] for p in model.get_worksheets_properties()]
    for key, value in typed.items():
        line = built.context.inputs.by_key[key]
        # An apostrophe keeps a size such as 3/4 or a date a text, as it does under a person's hands.
        text = f"'{value}" if isinstance(value, str) and value[:1].isdigit() else str(value)
        model.set_user_input(sheets.index(line.sheet), line.row, line.column + 1, text)
    return engines.values_of_model(model)


@every_book
def test_the_design_flow_is_marked_at_its_head(sample: Path, system: System) -> None:
    """The head of the run at its flow on Lines; where no circulator's curve gives another, that is the head calculated with."""
    book = books.written(sample, system)
    built = book.built
    for index, run in enumerate(built.job.runs):
        chart = titled(book.path, f"Circulator against run {run}")
        (mark,) = (s for s in chart.series if s.name == "design flow")
        pipes, pumps, values = built.sizing.pipes, built.sizing.pumps, built.book.values
        assert cells_of(mark.categories) == _column((pipes.flow,), index) and cells_of(mark.values) == _column((pipes.head,), index)
        assert values[pipes.flow][index] < values[built.sizing.curves.runs[index].flow][-1], "within the curves"
        if np.isnan(values[pumps.meeting.flow][index]) and built.job.goes_on_from(run) is None:
            assert values[pipes.head][index] == pytest.approx(values[pumps.head][index], rel=1e-9)


@every_book
def test_the_heat_of_the_months_is_all_that_leaves_the_fire(sample: Path, system: System) -> None:
    """Loads and line losses sum to the heat that leaves the boiler with the water; the jacket comes on top."""
    book = books.written(sample, system)
    stored = engines.stored_values(book.path, formulas_only=False)
    chart = titled(book.path, "Where the heat goes")
    loads, lines, jacket = ([stored[cell] for cell in cells_of(s.values)] for s in chart.series)
    cords, values = book.built.sizing.cords, book.built.book.values
    water = [float(values[row][0]) for row in cords.water]
    assert [a + b for a, b in zip(loads, lines, strict=True)] == pytest.approx(water)  # type: ignore[operator]
    assert jacket == [float(values[row][0]) for row in cords.jackets] and max(water) > 0


@every_book
def test_sizes_side_by_side(sample: Path, system: System) -> None:
    """Their velocities go with the inverse square of the bore, by the table; the size taken is among them as on its own lines."""
    book = books.written(sample, system)
    built, values = book.built, book.built.book.values
    stored = engines.stored_values(book.path, formulas_only=False)
    for index, run in enumerate(built.job.runs):
        chart = titled(book.path, f"Sizes of tube side by side, run {run}")
        gradient, velocity = chart.series
        sizes, speeds, losses = ([stored[c] for c in cells_of(a)] for a in (gradient.categories, velocity.values, gradient.values))
        assert cells_of(velocity.categories) == cells_of(gradient.categories) and len(sizes) >= 2
        assert speeds == sorted(speeds, reverse=True) and losses == sorted(losses, reverse=True), "less in each larger size"  # type: ignore[type-var]
        family = str(built.job.value(f"run {run}", "tube family"))
        through = [float(v) * table("tubes").lookup("inside_diameter", family, size) ** 2 for v, size in zip(speeds, sizes, strict=True)]  # type: ignore[arg-type]
        assert through == pytest.approx([through[0]] * len(through), rel=1e-6), "one flow through all"
        taken = values[built.sizing.pipes.size][index]
        assert gradient.name == f"head loss; size taken: {taken}"
        if taken in sizes:
            place = sizes.index(taken)
            assert speeds[place] == pytest.approx(values[built.sizing.pipes.velocity][index])
            assert losses[place] == pytest.approx(values[built.sizing.pipes.gradient][index])


def test_with_many_runs_each_has_a_chart_of_its_water_and_all_one_scale(tmp_path: Path) -> None:
    """Five runs: in each chart, unseen, what is highest and lowest on any run."""
    five = blank_job(5, 6)
    save(build(five, "us"), tmp_path / "five.xlsx")
    found = [c for c in charts(tmp_path / "five.xlsx", "Charts") if c.title.startswith("Water along run")]
    assert len(found) == 5
    for chart in found:
        assert [s.seen for s in chart.series] == [True, True, *[False] * (len(chart.series) - 2)]
        hidden = [s.values for s in chart.series[2:]]
        assert hidden == [s.values for s in found[0].series[2:]] and len(hidden) > 2
        assert all(len(cells_of(area)) == 5 for area in hidden)


# --- a blank book --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_blank_book_shows_its_charts_once_it_is_filled(tmp_path: Path, system: System) -> None:
    """Typed by hand: then all that is drawn is a number, but for sizes beyond the largest of the family and years after the life."""
    job = read_job(FULL)
    empty = blank_job(len(job.runs), len(job.loads), len(job.fuels))
    blank, path = build(empty, system), tmp_path / "blank.xlsx"
    save(blank, path)
    here: dict[str, str] = {}
    families = (("run", job.runs, empty.runs), ("load", job.loads, empty.loads), ("fuel today", job.fuels, empty.fuels))
    for family, names, places in families:
        here |= {f"{family} {name}": f"{family} {place}" for name, place in zip(names, places, strict=True)}
    lines = books.written(FULL, system).built.context.inputs.lines
    typed = {f"{here.get(line.part, line.part)}|{line.item.name}": line.typed for line in lines if line.typed is not None}
    cells = typed_by_hand(path, blank, typed)
    want = engines.stored_values(books.written(FULL, system).path, formulas_only=False)
    found, expected = charts(path, "Charts"), charts(books.written(FULL, system).path, "Charts")
    assert len(found) == len(expected)
    for chart, filled in zip(found, expected, strict=True):
        for series, other in zip(chart.series, filled.series, strict=True):
            drawn = [cells.get(cell) for cell in cells_of(series.values)]
            as_filled = [want.get(cell) for cell in cells_of(other.values)]
            assert drawn[: len(as_filled)] == pytest.approx(as_filled, rel=1e-6), f"{filled.title}: {series.values}"
    empty_cells = engines.stored_values(path, formulas_only=False)
    shown = [cell for chart in found for series in chart.series for cell in cells_of(series.values)]
    assert not any(empty_cells.get(cell) for cell in shown), "before, nothing is drawn, but the head of no exchangers, which is 0"


# --- paper ---------------------------------------------------------------------------------------------------------------


def breaks_of(path: Path, sheet: str) -> list[int]:
    return [b.id for b in openpyxl.load_workbook(path)[sheet].row_breaks.brk]


@every_book
def test_no_chart_is_cut_by_the_end_of_a_page(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    for sheet in ("Charts", "Summary"):
        ends, found = breaks_of(book.path, sheet), charts(book.path, sheet)
        assert ends and found
        for chart in found:
            assert not any(chart.top < end < chart.bottom for end in ends), f"{sheet}: {chart.title}"
        out = openpyxl.load_workbook(book.path)[sheet]
        assert not (out.sheet_properties.pageSetUpPr and out.sheet_properties.pageSetUpPr.fitToPage), "fitted, breaks would not hold"
        last = int(str(out.print_area).rsplit("$", 1)[1])
        assert max(c.bottom for c in found) <= last
    rows = len({chart.top for chart in charts(book.path, "Charts")})
    assert len(breaks_of(book.path, "Charts")) == (rows - 1) // 2
    assert book.built.sizing.curves.sheet.top > FIRST_ROW + rows * DOWN, "the tables stand below"


@every_book
def test_the_summary_is_two_pages_with_two_charts_on_the_second(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    (end,) = breaks_of(book.path, "Summary")
    on_second = [c for c in charts(book.path, "Summary") if c.top >= end]
    assert [c.title.split(" ")[0] for c in on_second] == ["Water", "Heat"]
    footer = openpyxl.load_workbook(book.path)["Summary"].oddFooter.right.text
    assert footer.endswith("page &P of 2")


@pytest.mark.office
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_pages_in_libreoffice(system: System, tmp_path: Path) -> None:
    """Two of the summary, the charts on no more than four; a chart stands on the page on which its title is."""
    book = books.written(FULL, system)
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = [str(engines.soffice()), "--headless", profile, "--convert-to", "pdf", "--outdir", str(tmp_path), str(book.path)]
    pdf = tmp_path / book.path.with_suffix(".pdf").name
    for _ in range(2):  # the first start of a profile may only make the profile
        if not pdf.exists():
            subprocess.run(command, check=False, capture_output=True, timeout=300)
    pages = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout.split("\f")
    summary = [p for p in pages if "Summary, page" in p]
    assert ["1 of 2" in summary[0], "2 of 2" in summary[1]] == [True, True] and len(summary) == 2
    titles = [c.title for c in charts(book.path, "Charts")]
    printed = [p for p in pages if re.search(r"Charts, page \d+\s*$", p)]
    assert len(printed) <= 4
    for title in titles:
        assert sum(title in p for p in printed) == 1, title
    assert "Water along" not in summary[0] and "Water along" in summary[1] and "Heat that each load" in summary[1]
