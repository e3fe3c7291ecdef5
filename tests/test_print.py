"""What a book is like to fill, to protect and to print: read from the file itself, and from the pages that LibreOffice makes of it."""

from __future__ import annotations

import html
import re
import subprocess
import zipfile
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import books
import engines
import openpyxl
import pytest
from books import FULL, SAMPLES, SYSTEMS, Written
from slow import but, some

from hydrocalc.measures import System
from workbook_builder.build import SHEETS
from workbook_builder.model.rows import Heading, column_letters
from workbook_builder.model.typed_sheets import HEADING_ROW, TYPED_SHEETS
from workbook_builder.output.page_layout import LEAST_SCALE, MOST_SCALE, SMALLEST, columns_a_page, paper_width, points

DRAWING = {"c": "http://schemas.openxmlformats.org/drawingml/2006/chart", "a": "http://schemas.openxmlformats.org/drawingml/2006/main"}
BOOKS = some([(FULL, "us"), (FULL, "metric"), (SAMPLES[0], "us")], [(sample, system) for sample in SAMPLES for system in SYSTEMS])
every_book = pytest.mark.parametrize(("sample", "system"), but([(FULL, "us")], BOOKS), ids=lambda v: getattr(v, "stem", v))


def opened(book: Written) -> Any:
    """The file, for tests that change nothing in it."""
    return _opened(book.path)


@lru_cache(maxsize=2)
def _opened(path: Path) -> Any:
    return openpyxl.load_workbook(path)


def charts_of(book: Written) -> list[ElementTree.Element]:
    with zipfile.ZipFile(book.path) as archive:
        return [ElementTree.fromstring(archive.read(n)) for n in archive.namelist() if re.fullmatch(r"xl/charts/chart\d+\.xml", n)]


def text_of(element: ElementTree.Element) -> str:
    return "".join(t.text or "" for t in element.iterfind(".//a:t", DRAWING))


def title_of(chart: ElementTree.Element) -> str:
    title = chart.find("c:chart/c:title", DRAWING)
    return "" if title is None else text_of(title)


def rules_of(file: Any) -> dict[tuple[str, str], Any]:
    """The rule of each typed cell."""
    return {
        (sheet, f"{column_letters(column - 1)}{row}"): rule
        for sheet in TYPED_SHEETS
        for rule in file[sheet].data_validations.dataValidation
        for area in rule.sqref.ranges
        for row, column in area.cells
    }


# --- inputs -----------------------------------------------------------------------------------------------------------


@every_book
def test_each_input_has_a_hint_and_each_number_a_range(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    rules = rules_of(opened(book))
    assert rules.keys() == {(line.sheet, line.cell) for line in book.built.context.inputs.lines}
    for line in book.built.context.inputs.lines:
        rule = rules[line.sheet, line.cell]
        title = line.item.name if line.row != HEADING_ROW else f"name of the {line.item.part}"
        assert rule.promptTitle == title[:32]
        if line.item.hint:
            assert rule.prompt.startswith(line.item.hint[:200]), line.key
        assert len(rule.prompt or "") <= 255 and len(rule.error or "") <= 255, "what a spreadsheet takes"
        if line.item.measure is None:
            if line.item.type in ("month", "kind") or "|" in line.item.type:
                assert rule.type == "list", line.key
            continue
        assert rule.type in ("decimal", "custom") and rule.error, line.key
        if rule.type == "decimal":
            low, high = (float(line.item.measure.unit(system).to_coherent(float(f))) for f in (rule.formula1, rule.formula2))
            for end, bound in ((line.item.limits.low, low), (line.item.limits.high, high)):
                assert abs(end) == float("inf") or bound == pytest.approx(end, rel=1e-9, abs=1e-9), line.key
        else:
            assert line.item.limits.low_open or line.item.limits.high_open, line.key


def cells_of(file: Any, sheet: str, source: str) -> list[Any]:
    """What stands in the cells that a drop-down takes its choices from: a range, or a defined name of one."""
    area = file.defined_names[source].attr_text if source in file.defined_names else source
    if "!" in area:
        sheet, area = area.split("!")
    return [cell.value for row in file[sheet][area.replace("$", "")] for cell in row]


@every_book
def test_each_drop_down_offers_what_is_allowed_and_takes_it_from_cells(sample: Path, system: System) -> None:
    """A list written into the rule itself ends at 255 characters; cells do not."""
    book = books.written(sample, system)
    file = opened(book)
    rules = rules_of(file)
    offered = 0
    for line in book.built.context.inputs.lines:
        if line.item.choices:
            rule = rules[line.sheet, line.cell]
            assert rule.type == "list" and not rule.showDropDown, line.key
            assert cells_of(file, line.sheet, rule.formula1) == list(line.item.choices), line.key
            offered += 1
    assert offered > 20


@every_book
def test_only_what_is_typed_into_or_folds_is_free(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    file = opened(book)
    free = {sheet.title for sheet in file if not sheet.protection.sheet}
    # An office program unfolds nothing on a locked sheet.
    folded = {sheet.title for sheet in file if any(row.hidden and row.outlineLevel for row in sheet.row_dimensions.values())}
    assert free == {"Scratch", *TYPED_SHEETS} | folded
    locked = {sheet.title for sheet in file} - free
    assert locked >= {"Contents", "Summary", "Cautions"}
    for sheet in file:
        if sheet.protection.sheet:
            assert sheet.protection.password is None, "a slip is caught, nobody is kept out"
            assert not sheet.protection.formatColumns and not sheet.protection.formatRows, "widths and heights stay free"
            locked_out = [c.coordinate for row in sheet.iter_rows() for c in row if c.data_type == "f" and not c.protection.locked]
            assert locked_out == [], sheet.title


@every_book
def test_an_input_is_framed_and_a_result_is_not(sample: Path, system: System) -> None:
    """Told apart without colour: on a copy in black and white the frame remains."""
    book = books.written(sample, system)
    file = opened(book)
    for line in book.built.context.inputs.lines:
        typed = file[line.sheet][line.cell].border
        assert all((typed.left.style, typed.right.style, typed.top.style, typed.bottom.style)), line.key
    cells = {(line.sheet, line.cell) for line in book.built.context.inputs.lines}
    results = 0
    for sheet in (*TYPED_SHEETS, *book.built.book.sheets):
        for cell in (c for row in file[sheet].iter_rows() for c in row if c.data_type == "f" and (sheet, c.coordinate) not in cells):
            assert not cell.border.left.style and not cell.border.right.style, f"{sheet}!{cell.coordinate}"
            results += 1
    assert results > 1000


# --- charts -----------------------------------------------------------------------------------------------------------


@every_book
def test_each_chart_has_titles_units_and_cells(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    charts = charts_of(book)
    assert len(charts) == 9 + 2 * len(book.built.job.runs)
    sizing = book.built.sizing
    units = {book.built.book.symbol(k) for k in (sizing.curves.load.kind, sizing.curves.runs[0].system.kind, sizing.stations.water[0].kind)}
    seen = set()
    for chart in charts:
        title = chart.find("c:chart/c:title", DRAWING)
        # A title is a text, or a cell: the name of a run follows what is typed.
        assert title is not None and (text_of(title) or title.findtext(".//c:strRef/c:f", "", DRAWING))
        axes = [a for kind in ("c:catAx", "c:valAx") for a in chart.iterfind(f".//{kind}", DRAWING)]
        shown = [a for a in axes if (gone := a.find("c:delete", DRAWING)) is None or gone.get("val") == "0"]
        assert len(shown) >= 2
        for axis in shown:
            named = axis.find("c:title", DRAWING)
            assert named is not None and text_of(named), text_of(title)
            seen |= {unit for unit in units if text_of(named).endswith(unit)}
        references = [f.text or "" for f in chart.iterfind(".//c:f", DRAWING)]
        assert references and all(re.fullmatch(r"[A-Z]\w+!\$[A-Z]+\$\d+(:\$[A-Z]+\$\d+)?", r) for r in references), references
    assert seen == units


@every_book
def test_no_chart_draws_a_cell_without_a_number(sample: Path, system: System) -> None:
    """A text among the numbers of a series would be drawn as zero."""
    book = books.written(sample, system)
    cells = openpyxl.load_workbook(book.path, data_only=True)
    drawn = 0
    for chart in charts_of(book):
        for kind in ("c:val", "c:yVal", "c:xVal"):
            for reference in chart.iterfind(f".//{kind}//c:f", DRAWING):
                sheet, area = (reference.text or "").split("!")
                found = cells[sheet][area.replace("$", "")]
                flat = [
                    c for row in (found if isinstance(found, tuple) else ((found,),)) for c in (row if isinstance(row, tuple) else (row,))
                ]
                assert all(isinstance(c.value, int | float) for c in flat), f"{text_of(chart)}: {reference.text}"
                drawn += len(flat)
    assert drawn > 50


@every_book
def test_money_is_drawn_over_the_life(sample: Path, system: System) -> None:
    """The years after the boiler's life are on the sheet and not in the chart."""
    book = books.written(sample, system)
    life = book.built.context.inputs.by_key["money|life"].used
    assert isinstance(life, float)
    (chart,) = (c for c in charts_of(book) if title_of(c).startswith("Cumulative saving"))
    sheet, area = (chart.findtext(".//c:cat//c:f", "", DRAWING)).split("!")
    years = [row[0].value for row in opened(book)[sheet][area.replace("$", "")]]
    assert years == [f"Year {n}" for n in range(int(life) + 1)]


def test_the_stations_are_the_loads_in_the_order_of_the_water() -> None:
    """Worked out a second way: from the job's own list of the loads of a run."""
    built = books.written(FULL, "us").built
    job, values, sizing = built.job, built.book.values, built.sizing
    for index, run in enumerate(built.context.runs.labels):
        loads = job.loads_on(run)
        names = [values[row][index] for row in sizing.stations.names]
        assert names[2:] == [*loads, *[""] * (len(names) - 2 - len(loads))]
        water = [values[row][index] for row in sizing.stations.water]
        after = values[sizing.steady.case.after]
        assert water[2 : 2 + len(loads)] == [after[built.context.loads.labels.index(load)] for load in loads]
        assert water == sorted(water, reverse=True), "water only cools"


# --- pages ------------------------------------------------------------------------------------------------------------


@every_book
def test_each_sheet_keeps_its_headings_in_sight_and_on_paper(sample: Path, system: System) -> None:
    book = books.written(sample, system)
    file = opened(book)
    pages = {sheet.name for sheet in SHEETS if sheet.write is not None}
    for name, sheet in book.built.book.sheets.items():
        out = file[name]
        if name in pages:
            continue
        assert out.freeze_panes == "D5" and out.print_title_rows == "$1:$4", name
        fitted = bool(out.sheet_properties.pageSetUpPr) and out.sheet_properties.pageSetUpPr.fitToPage
        assert out.page_setup.fitToHeight == 0 if fitted else LEAST_SCALE <= out.page_setup.scale <= MOST_SCALE, name
        assert out.print_title_cols == "$A:$C", name
        assert out.column_dimensions["A"].width >= 40 and sheet.title == out["A1"].value
        assert all(out.row_dimensions[row.number].outlineLevel == bool(row.depth) + row.folded for row in sheet.rows)
        assert all(out.row_dimensions[row.number].hidden == (row.folded or row.depth > 0) for row in sheet.rows)
    for out in file:
        if out.title != "Scratch":
            assert "&P" in out.oddFooter.right.text and "&D" in out.oddFooter.right.text, out.title
            assert book.built.job.value("job", "title") in out.oddHeader.left.text.replace("&&", "&"), out.title


def test_many_columns_are_divided_into_pages_of_like_width() -> None:
    """Twelve months beside their words go on two pages, and not eleven and one; nine fit one, their words on the next."""
    for count, expected in ((9, []), (12, [10])):
        assert columns_a_page(count, [40, 13, *[11.5] * count, 1.5, 42], 2, LEAST_SCALE) == expected
    for count in range(12, 60):
        widths = [40, 13, *[11.5] * count, 1.5, 42]
        ends = [2, *columns_a_page(count, widths, 2, LEAST_SCALE), len(widths)]
        room = paper_width(landscape=True) / (LEAST_SCALE / 100) - points(40) - points(13)
        pages = [sum(map(points, widths[a:b])) for a, b in pairwise(ends)]
        assert all(page <= room for page in pages)
        assert len(pages) <= 1 + sum(pages) / (room - points(11.5)), "no page too many"


@pytest.mark.slow
@pytest.mark.office
@pytest.mark.parametrize("system", SYSTEMS)
def test_pages(system: System, tmp_path: Path) -> None:
    """In LibreOffice: the summary on two pages, the charts four to a page, no number too wide, no type too small, no page ends badly."""
    book = books.written(FULL, system)
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = [str(engines.soffice()), "--headless", profile, "--convert-to", "pdf", "--outdir", str(tmp_path), str(book.path)]
    pdf = tmp_path / book.path.with_suffix(".pdf").name
    for _ in range(2):  # the first start of a profile may only make the profile
        if not pdf.exists():
            subprocess.run(command, check=False, capture_output=True, timeout=300)
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    pages = text.split("\f")[:-1]
    assert all(p.strip() for p in pages), "an empty page"
    heads = [next(line for line in p.splitlines() if line.strip()).split()[-1] for p in pages]
    assert heads.count("Summary") == 2
    assert heads.count("Cautions") == 1
    charts = 7 + 2 * len(book.built.job.runs)
    assert heads.count("Charts") == -(-charts // 4)
    assert "###" not in text
    assert ending_with_a_heading(book, heads, pages) == []
    sizes = type_sizes(pdf)
    assert len(sizes) >= len(pages)
    assert [f"page {n}: {size:.2f} points" for n, size in enumerate(sizes, 1) if size < SMALLEST - ROUNDED] == []


def ending_with_a_heading(book: Written, heads: list[str], pages: list[str]) -> list[str]:
    """The pages of sizing sheets whose last line, above the footer, begins what only the next page holds."""
    sheets, found, seen = book.built.book.sheets, [], 0
    for number, (name, page) in enumerate(zip(heads, pages, strict=True), 1):
        if name in sheets:
            *_, last, footer = (line.strip() for line in page.splitlines() if line.strip())
            assert footer.startswith("Local codes"), footer
            headings = {item.text for _, item in sheets[name].items if isinstance(item, Heading)}
            seen += any(line.strip() in headings for line in page.splitlines())
            if last in headings:
                found.append(f"page {number} of {name}: {last}")
    assert seen > 15, "pages with headings"
    return found


ROUNDED = 0.05  # points: a scale is a whole number of per cent


def type_sizes(pdf: Path) -> list[float]:
    """The smallest type of each page in points, of the words that stand upright.

    A word's box is higher than its type by a factor of the font, which the last page tells: Scratch has one line, of ten
    points, at its own size.
    """
    text = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    word = re.compile(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>')
    pages = []
    for page in text.split("<page ")[1:]:
        boxes = [
            (float(right) - float(left), float(low) - float(high), html.unescape(w)) for left, high, right, low, w in word.findall(page)
        ]
        pages.append([height for width, height, w in boxes if len(w) > 2 and width > NARROWEST * len(w) * height])
    factor = pages[-1][0] / 10
    assert 1.2 < factor < 1.4, "Liberation Sans"
    return [min(heights) / factor for heights in pages if heights]


NARROWEST = 0.25  # width of a letter over the height of its box, in a word that is not turned
