"""How sure is it: ranges against the theory of a triangle, the chart of what drives them, and the way back from the book."""

from __future__ import annotations

import zipfile
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import books
import numpy as np
import openpyxl
import pytest
from broken_tables import SOUND
from jobs import random_job
from scipy import stats
from slow import some

from hydrocalc.measures import Measure
from workbook_builder.build import Built, build, write_book
from workbook_builder.model.base import Values
from workbook_builder.model.worksheet import BuildError
from workbook_builder.sheets.pages import ranges as certainty
from workbook_builder.sheets.verdicts import uncertainty as sensitivity
from workbook_builder.table.reader import job_from_rows, read_job
from workbook_builder.table.rows import TableRow

SAMPLES = Path(__file__).parent.parent / "samples"
DRAWING = {"c": "http://schemas.openxmlformats.org/drawingml/2006/chart", "a": "http://schemas.openxmlformats.org/drawingml/2006/main"}
PRICE = ("wood", "price of a cord", 180, "$/cord", (150, 240))
FUEL = ("fuel today oil", "price", 3.5, "$/gal", (3.2, 4.1))
USE = ("fuel today oil", "fuel", "heating oil", "", ())
# The mean of 20,000 draws is right to some 1 % of their spread (1/√20,000, and a little more for the tails).
SPREAD = 0.03


@cache
def built(*rows: tuple[str, str, str | float, str, tuple[float, ...]]) -> Built:
    """The sound table with further rows, some with a low and a high."""
    table = [TableRow(n, *line.split(",")) for n, line in enumerate(SOUND.splitlines()[1:], 2)]
    table += [TableRow(n, *row, "", dict(zip(("low", "high"), ends, strict=False))) for n, (*row, ends) in enumerate(rows, 50)]
    return build(job_from_rows("table.csv", table))


def found(job: Built) -> dict[str, sensitivity.Range]:
    return {item.label: item for item in sensitivity.ranges(job.context, job.sizing, job.checks)}


def base(job: Built, label: str) -> float:
    return next(float(job.book.values[row][0]) for name, _, row in sensitivity.main_results(job.sizing) if name == label)


def test_no_range_where_nothing_is_uncertain() -> None:
    job = built(USE, (*FUEL[:4], ()))  # type: ignore[arg-type]
    assert sensitivity.ranges(job.context, job.sizing, job.checks) == []


@pytest.mark.slow
def test_draws_in_which_the_job_cannot_be_are_refused() -> None:
    """Tubes 4.4 in. apart do not lie in a jacket of 5; a sum over such a draw would leave the line out without a word."""
    sound, torn = (built(USE, (*FUEL[:4], ()), ("run yard", "spacing", 2, "in", (1.5, high))) for high in (3.2, 4.4))  # type: ignore[arg-type]
    assert found(sound)["Wood burnt in a year"].low > 0
    with pytest.raises(BuildError, match=r"of 20,000 draws .*: .*The line can be as it is described; look at run yard: spacing$"):
        found(torn)


def test_the_range_of_a_result_that_follows_one_input_is_that_of_the_input() -> None:
    """The saving falls by the cords with the price of a cord: its percentiles are those of the triangle."""
    job = built(USE, (*FUEL[:4], ()), PRICE)  # type: ignore[arg-type]
    saving, cords = found(job)["Saving in the first year"], base(job, "Wood burnt in a year")
    low, high = PRICE[4]
    price = stats.triang((PRICE[2] - low) / (high - low), low, high - low)
    for percent, figure in zip(sensitivity.PERCENTILES, (saving.low, saving.middle, saving.high), strict=True):
        expected = base(job, "Saving in the first year") - cords * (price.ppf(1 - percent / 100) - PRICE[2])
        assert figure == pytest.approx(expected, abs=SPREAD * cords * (high - low))
    assert saving.shares == {"wood|price of a cord": pytest.approx(1.0)}
    wood = found(job)["Wood burnt in a year"]
    assert wood.low == wood.middle == wood.high == pytest.approx(cords), "no price changes what is burnt"
    assert wood.shares == {"wood|price of a cord": 0.0}


def test_shares_are_those_of_the_variances() -> None:
    """The saving is linear in two independent prices: each has its variance's share (by ranks, within some hundredths)."""
    job = built(USE, FUEL, PRICE)
    shares, row = found(job)["Saving in the first year"].shares, job.sizing.money.saving
    variances = {}
    for part, item, middle, _, (low, high) in (FUEL, PRICE):
        key = f"{part}|{item}"
        at_low, at_high = job.book.worked_with({key: np.array([low, high])}, [row])[row][..., 0]
        triangle = stats.triang((middle - low) / (high - low), low, high - low)
        variances[key] = ((at_high - at_low) / (high - low)) ** 2 * triangle.var()
    assert len(shares) == 2
    for key, variance in variances.items():
        assert shares[key] == pytest.approx(variance / sum(variances.values()), abs=0.05)
    assert 0.05 < min(shares.values()) < 0.5, "both count"


@pytest.mark.slow
def test_all_samples_in_one_pass_are_what_each_is_by_itself() -> None:
    """Also where the water of many columns has to settle along the line."""
    job = built(USE, FUEL)
    sizing = job.sizing
    rows = [row for *_, row in sensitivity.main_results(sizing)] + [sizing.balance.water]
    inputs = {"boiler|rated output": np.linspace(20_000, 40_000, 3), "site|outdoor design temperature": np.array([-10.0, 20.0, 4.0])}
    together = job.book.worked_with(dict(inputs), rows)
    for place in range(3):
        alone = job.book.worked_with({key: values[place : place + 1] for key, values in inputs.items()}, rows)
        for row in rows:
            # What is blank in all samples has no axis of them.
            one, other = (
                float(np.broadcast_to(found[row][..., 0], count)[at]) for found, count, at in ((together, 3, place), (alone, 1, 0))
            )
            assert one == pytest.approx(other, rel=1e-12, nan_ok=True), row.label
    assert len(set(np.ravel(together[sizing.balance.water]).tolist())) == 3


def check_each(several: Built, typed: dict[str, list[float]]) -> Values:
    """The values of all rows over these samples, after a comparison of each sample with a book built of it alone."""
    together = several.book.worked_with({key: np.array(values) for key, values in typed.items()})
    for place in range(3):
        lines = [(line, typed[line.key][place] if line.key in typed else line.typed) for line in several.context.inputs.lines]
        shown = [(line.part, line.item.name, value, line.unit) for line, value in lines if value is not None]
        alone = build(job_from_rows("table.csv", [TableRow(n, *row, "") for n, row in enumerate(shown, 2)])).book
        for row, fresh in zip(several.book.order, alone.order, strict=True):
            many, one = together[row], alone.values[fresh]
            sample = many[place] if many.ndim > 1 else many
            if row.is_text:
                assert sample.tolist() == one.tolist(), (place, row.sheet.name, row.label)
            else:  # an array of samples may differ in its last bits; a difference of large figures shows them larger
                assert sample == pytest.approx(one, rel=1e-12, abs=1e-9, nan_ok=True), (place, row.sheet.name, row.label)
    return together


@pytest.mark.slow
def test_samples_of_a_whole_job_are_the_books_of_each() -> None:
    """Every row of the largest sample, of samples with other tubes, other blanks and other verdicts."""
    typed = {
        "load dwelling|design loss": [25_000.0, 48_300.0, 70_000.0],
        "load tub|hours uncovered": [0.0, 1.0, 24.0],
        "run barns|depth": [1.5, 3.5, 8.0],
        "run barns|temperature drop": [40.0, 22.0, 12.0],
        "site|outdoor design temperature": [55.0, -9.0, -30.0],
        "fuel today oil|price": [0.4, 3.6, 5.0],
    }
    sample = books.written(SAMPLES / "ridge-orchard.csv", "us").built
    together, order = check_each(sample, typed), sample.book.order
    differing = {row.sheet.name for row in order if row.is_text and together[row].ndim > 1 and len(set(together[row][:, 0])) > 1}
    blank = [row for row in order if not row.is_text and together[row].ndim > 1 and len(np.unique(np.isnan(together[row]), axis=0)) > 1]
    assert {"Lines", "Verdicts"} <= differing and blank, "tubes, verdicts and blanks were to differ"
    results = [row for *_, row in sensitivity.main_results(sample.sizing)]
    few = sample.book.worked_with({key: np.array(values) for key, values in typed.items()}, results)
    assert all(np.array_equal(few[row], together[row], equal_nan=True) for row in results)
    kept = [row for row in order if row in few and few[row].ndim > 1]
    assert set(kept) <= set(results), "what nothing more reads was to be let go: the samples of all rows take gigabytes"


@pytest.mark.slow
@pytest.mark.parametrize("seed", some([0], [0, 1, 2, 3, 4]))
def test_samples_of_random_jobs_are_the_books_of_each(seed: int) -> None:
    """Eight inputs that chance picks, each within a tenth of what it was."""
    random = np.random.default_rng(seed)
    job = build(random_job(seed))
    numbers = [line for line in job.context.inputs.lines if isinstance(line.typed, float) and isinstance(line.item.measure, Measure)]
    typed = {}
    for place in random.choice(len(numbers), 8, replace=False):
        line = numbers[place]
        unit, values = line.item.measure.unit("us"), [float(f"{line.typed * share:.6g}") for share in random.uniform(0.9, 1.1, 3)]
        if all(line.item.limits.holds(float(unit.to_coherent(value))) for value in values):
            typed[line.key] = values
    assert len(typed) > 4
    check_each(job, typed)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("uncertain") / "book.xlsx"
    write_book(built(USE, FUEL, PRICE, ("boiler", "efficiency at full fire", 66, "%", (58, 72))), path)
    return path


@pytest.mark.slow
def test_the_chart_shows_the_cells_of_the_page(book: Path) -> None:
    page = openpyxl.load_workbook(book)["Summary"]
    with zipfile.ZipFile(book) as archive:
        charts = [ElementTree.fromstring(archive.read(n)) for n in archive.namelist() if n.startswith("xl/charts/chart")]
    (chart,) = [c for c in charts if c.find(".//c:barDir[@val='bar']", DRAWING) is not None]
    titles = ["".join(t.text or "" for t in title.iterfind(".//a:t", DRAWING)) for title in chart.iterfind(".//c:title", DRAWING)]
    assert "uncertain input" in titles and "share of the spread, %" in titles
    expected = found(built(USE, FUEL, PRICE, ("boiler", "efficiency at full fire", 66, "%", (58, 72))))
    by_short = {item.short: item for item in expected.values() if item.short}
    series = chart.findall(".//c:ser", DRAWING)
    shown = {}
    for one in series:
        name, inputs, shares = (one.findtext(f"c:{part}//c:f", None, DRAWING) or "" for part in ("tx", "cat", "val"))
        assert all(f.startswith("Summary!") for f in (name, inputs, shares))
        cells = [page[f.removeprefix("Summary!").replace("$", "")] for f in (name, inputs, shares)]
        shown[cells[0].value] = {a.value: b.value for (a,), (b,) in zip(cells[1], cells[2], strict=True)}
    assert set(shown) == {"cords", "load", "saving"} - {s for s, i in by_short.items() if max(i.shares.values()) <= certainty.LEAST_SHARE}
    for short, shares in shown.items():
        exact = {key.replace("|", ": "): share for key, share in by_short[short].shares.items()}
        assert shares == {key: pytest.approx(exact[key]) for key in shares}
    words = [cell.value for row in page.iter_rows() for cell in row if isinstance(cell.value, str)]
    assert any("Computed when this book was written, over 20,000 draws" in w for w in words)


@pytest.mark.slow
def test_the_figures_are_one_page_and_the_charts_another(book: Path) -> None:
    """The ranges come after the other figures, and all of them before the one break; how much fits is looked at in test_charts."""
    page = openpyxl.load_workbook(book)["Summary"]
    (break_after,) = (b.id for b in page.row_breaks.brk)
    told = [cell.row for row in page.iter_rows() for cell in row if isinstance(cell.value, str) and cell.value]
    assert max(told) <= break_after
    assert "page &P of 2" in page.oddFooter.right.text.replace("&&", "&")


@pytest.mark.slow
def test_the_book_keeps_the_ranges(book: Path, tmp_path: Path) -> None:
    """``fill`` on the book gives that book again, and so the ranges typed on the sheet Job count."""
    write_book(build(read_job(book)), tmp_path / "again.xlsx")
    assert (tmp_path / "again.xlsx").read_bytes() == book.read_bytes()
    opened = openpyxl.load_workbook(book)
    page = opened["Job"]
    page[built().context.inputs.by_key["site|elevation"].cell].value = 1000
    head = next(row for row in range(1, page.max_row) if page.cell(row, 1).value == "Uncertain inputs")
    ends = {cell.value: cell.column for cell in page[head]}
    row = next(row for row in range(head + 1, page.max_row + 1) if not page.cell(row, 1).value)
    for column, value in ((1, "site, elevation"), (ends["low"], 900), (ends["high"], 1200)):
        assert page.cell(row, column).border.left.style, "a framed cell, to be typed into"
        page.cell(row, column).value = value
    opened.save(tmp_path / "typed.xlsx")
    entry = read_job(tmp_path / "typed.xlsx").entry("site", "elevation")
    assert entry.low == pytest.approx(900 * 0.3048) and entry.high == pytest.approx(1200 * 0.3048)
