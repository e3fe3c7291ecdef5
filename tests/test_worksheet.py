"""Rows, guards, chains and references on a small book: what was worked out is what a real engine finds, blanks included."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import engines
import numpy as np
import pytest
from broken_tables import SOUND

from hydrocalc import flow
from hydrocalc.measures import COUNT, LENGTH, POWER, RATIO, TEMPERATURE, Key, Measure
from workbook_builder.model import aggregates as gathering
from workbook_builder.model import input_references, references, table_references
from workbook_builder.model import summed as over_another_axis
from workbook_builder.model.aggregates import (
    Across,
    At,
    CountText,
    CountWhere,
    FirstFit,
    FoundAt,
    Pick,
    PlaceInOrder,
    SpreadOf,
    SumRows,
    SumWhere,
)
from workbook_builder.model.base import Axis
from workbook_builder.model.input_references import Input, JobInput, MonthInput, OfDate
from workbook_builder.model.inputs import Inputs
from workbook_builder.model.references import (
    Both,
    Condition,
    Constant,
    CountOf,
    Either,
    FirstGiven,
    Guarded,
    Holds,
    IfNone,
    IfPositive,
    MoreThan,
    NotAbove,
    OfRow,
    Reference,
    SameColumn,
    Says,
    SumOf,
    Unguarded,
    Where,
    kind_is,
    kind_is_not,
)
from workbook_builder.model.rows import FIRST_COLUMN, SINGLE_COLUMN, Heading, Row, column_letters
from workbook_builder.model.summed import Each, summed
from workbook_builder.model.table_references import CountSmaller, SizeByOrder, TableNumber, TableText
from workbook_builder.model.typed_sheets import TYPED_SHEETS
from workbook_builder.model.worksheet import LONGEST_FORMULA, Book, BuildError, Sheet
from workbook_builder.output.sheet_writer import write_sheet
from workbook_builder.output.writer import Writer
from workbook_builder.sheets.pages.tables import write_tables
from workbook_builder.sheets.pages.typed import write_typed
from workbook_builder.sheets.sizing.context import MONTH, ONE
from workbook_builder.sheets.verdicts import remedies
from workbook_builder.sheets.verdicts.remedies import Remedies, Remedy, RemedyText
from workbook_builder.table.reader import read_job
from workbook_builder.table.vocabulary import MONTHLY_MEANS, MONTHS

NAN = float("nan")
TEXT = Key("text", "a text")


@dataclass(frozen=True)
class Typed(Reference):
    """Values of our choosing, one a column, blanks among them."""

    values: tuple[Any, ...]
    kind: Measure | Key | None
    name = "typed"
    words = "typed"

    def text(self, sheet: Sheet) -> str:
        cells = ('""' if v != v or v == "" else f'"{v}"' if isinstance(v, str) else repr(v) for v in self.values)
        return f"CHOOSE(COLUMN()-{SINGLE_COLUMN if sheet.axis == ONE else FIRST_COLUMN},{','.join(cells)})"

    def value(self, values: Any) -> Any:
        return np.array(list(self.values), dtype=object if self.is_text else np.float64)


@dataclass
class Small:
    """A book of a small job with sheets to try things on."""

    folder: Path
    inputs: Inputs
    book: Book
    tried: set[type[Reference]] = field(default_factory=set)

    def sheet(self, name: str, *labels: str, axis: str = "thing") -> Sheet:
        return self.book.sheet(name, Axis(axis, labels), name)

    def typed(self, sheet: Sheet, *values: Any, kind: Measure | Key | None = None, label: str = "") -> Row:
        is_text = isinstance(next(v for v in values if v == v), str)
        return sheet.take(label or f"Row {len(list(sheet.items))}", Typed(values, kind or (TEXT if is_text else RATIO)))

    def take(self, sheet: Sheet, reference: Reference) -> list[Any]:
        """What a reference gives in each column of a sheet; None for a blank."""
        self.tried.add(type(reference))
        return self.shown(sheet.take(f"Row {len(list(sheet.items))}", reference))

    def shown(self, row: Row) -> list[Any]:
        return [None if v == "" or v != v else v for v in self.book.values[row].tolist()]

    def recalculated(self) -> list[str]:
        """What an engine finds otherwise in a file in which every value is false."""
        path = self.folder / "small.xlsx"
        path.unlink(missing_ok=True)
        writer = Writer(path, "Small", -1.0)
        for name in TYPED_SHEETS:
            write_typed(writer, self.inputs, name)
        for sheet in self.book.sheets.values():
            write_sheet(writer, sheet, self.book.values)
        write_tables(writer, self.book.system, self.inputs.symbol)
        writer.close()
        expected: engines.Cells = {
            (sheet.name, f"{column_letters(row.first_column + i)}{row.number}"): value
            for sheet in self.book.sheets.values()
            for row in sheet.rows
            for i, value in enumerate(self.shown(row))
        }
        assert expected
        return engines.compare(expected, engines.ironcalc_values(path))


@pytest.fixture
def small(tmp_path: Path) -> Small:
    path = tmp_path / "small.csv"
    rows = "run shed,length,40,m,\nrun shed,tube family,PEX SDR-9,,\nrun shed,jacket outer diameter,5,in,\n"
    path.write_text(SOUND + rows, encoding="utf-8")
    inputs = Inputs(read_job(path), "us")
    return Small(tmp_path, inputs, Book("us", symbol=inputs.symbol, headings=inputs.headings))


# --- references -------------------------------------------------------------------------------------------------------


def references_in_a_column(small: Small) -> None:
    sheet = small.sheet("Columns", "a", "b", "c", "d")
    one, two, three = (small.typed(sheet, *v) for v in ((1.5, NAN, NAN, 0.0), (7.0, 8.0, NAN, 9.0), (NAN, 2.0, NAN, -4.0)))
    words, more = small.typed(sheet, "x", "", "y", ""), small.typed(sheet, "u", "v", "w", "")
    assert small.take(sheet, FirstGiven((one, two))) == [1.5, 8.0, None, 0.0]
    assert small.take(sheet, FirstGiven((words, more))) == ["x", "v", "y", None]
    assert small.take(sheet, FirstGiven((one, three, Constant(3.25, RATIO)))) == [1.5, 2.0, 3.25, 0.0]
    assert small.take(sheet, Constant(0.5, RATIO)) == [0.5] * 4
    assert small.take(sheet, SumOf((one, two, three))) == [8.5, 10.0, None, 5.0]
    assert small.take(sheet, IfPositive(three)) == [None, 2.0, None, None]
    assert small.take(sheet, IfPositive(two)) == [7.0, 8.0, None, 9.0]
    assert small.take(sheet, IfNone(two, one)) == [None, None, None, 9.0]
    assert small.take(sheet, NotAbove(one, two)) == [1.0, 0.0, 0.0, 1.0]
    assert small.take(sheet, NotAbove(two, one)) == [0.0] * 4
    assert small.take(sheet, NotAbove(one, one)) == [1.0, 0.0, 0.0, 1.0]
    assert small.take(sheet, CountOf((one, two, three))) == [2.0, 2.0, 0.0, 3.0]
    assert small.take(sheet, SumRows(one, three, (one, two, three))) == [8.5, 10.0, None, 5.0]
    other = small.sheet("Others", "a", "b", "c", "d")
    assert small.take(other, SameColumn(one)) == [1.5, None, None, 0.0]
    assert small.take(other, SameColumn(more)) == ["u", "v", "w", None]
    assert small.take(other, SumRows(one, three, (one, two, three))) == [8.5, 10.0, None, 5.0]
    assert small.take(other, At(one, 0)) == [1.5] * 4
    assert small.take(other, At(words, 1)) == [None] * 4


def references_between_axes(small: Small) -> None:
    runs, loads = small.sheet("Lines", "north", "south", "idle"), small.sheet("Takers", "a", "b", "c", "d")
    single = small.book.sheet("Single", ONE, "Single")
    flow_, family = small.typed(runs, 4.0, NAN, 6.0), small.typed(runs, "p", "q", "")
    on, need = small.typed(loads, "south", "north", "south", ""), small.typed(loads, 10.0, 20.0, NAN, 40.0)
    gone = small.typed(loads, "south", "west", "north", "")
    assert small.take(loads, Pick(flow_, runs.names, on)) == [None, 4.0, None, None]
    assert small.take(loads, Pick(family, runs.names, gone)) == ["q", None, "p", None]
    assert small.take(runs, SumWhere(need, on, runs.names)) == [20.0, 10.0, 0.0]
    unknown = loads.take("Unknown", Typed((NAN,) * 4, RATIO))
    assert small.take(runs, SumWhere(unknown, on, runs.names)) == [None] * 3
    assert small.take(runs, SumWhere(unknown, on, runs.names, blank=False)) == [0.0] * 3
    assert small.take(runs, SumWhere(need, on, runs.names, blank=False)) == [20.0, 10.0, 0.0]
    assert small.take(runs, CountWhere(on, runs.names)) == [1.0, 2.0, 0.0]
    for how, expected in (("SUM", 70.0), ("MAX", 40.0), ("MIN", 10.0), ("COUNT", 3.0), ("AVERAGE", 70.0 / 3)):
        assert small.take(single, Across(need, how)) == [expected]  # type: ignore[arg-type]
    nothing = loads.take("Nothing", Typed((NAN,) * 4, RATIO))
    for how, left in (("SUM", None), ("MAX", None), ("MIN", None), ("COUNT", 0.0), ("AVERAGE", None)):
        assert small.take(single, Across(nothing, how)) == [left]  # type: ignore[arg-type]
    assert small.take(single, SpreadOf(small.typed(loads, 2.0, 2.0, 6.0, 6.0))) == [2.0]  # each of them 2 from the mean of 4
    assert small.take(single, SpreadOf(need)) == [None]
    code = small.typed(loads, 1.0, 3.0, NAN, 3.0)
    worst = single.take("Worst", Across(code, "MAX"))
    assert small.take(single, FoundAt(need, code, worst)) == [20.0]
    assert small.take(single, FoundAt(gone, code, worst)) == ["west"]
    never = single.take("Worst of nothing", Across(nothing, "MAX"))
    assert small.take(single, FoundAt(need, nothing, never)) == [None]


def verdicts_in_order(small: Small) -> None:
    """Fails first, then remarks, each in their order."""
    sheet = small.book.sheet("Order", ONE, "Order")
    verdicts = tuple(small.typed(sheet, word) for word in ("remark", "pass", "fail", "remark", "fail"))
    assert [small.take(sheet, CountText(verdicts, word))[0] for word in ("fail", "remark", "pass", "none")] == [2.0, 2.0, 1.0, 0.0]
    assert [small.take(sheet, PlaceInOrder(verdicts, n))[0] for n in range(5)] == [3.0, 0.0, 1.0, 4.0, 2.0]


def sums_over_another_axis(small: Small) -> None:
    """In one cell what a formula gives for each column of another sheet; blank while one of them is."""
    months, loads = small.sheet("Months", "x", "y", "z"), small.sheet("Seasons", "a", "b", "c")
    days, gone = small.typed(months, 1.0, 2.0, 4.0), small.typed(months, 1.0, NAN, 4.0)
    factor = small.typed(loads, 10.0, NAN, -1.0)
    small.tried.add(Each)
    squares = summed(loads, "Squares", RATIO, lambda f, d: f * d * d, factor, Each(days), words="summed")
    assert small.shown(squares) == [210.0, None, -21.0]
    assert small.shown(summed(loads, "Nothing", RATIO, lambda f, d: f * d, factor, Each(gone), words="summed")) == [None] * 3


def references_to_tables(small: Small) -> None:
    sheet = small.sheet("Tubes", "a", "b", "c", "d")
    family, size = small.typed(sheet, "PEX SDR-9", "copper L", "PEX SDR-9", ""), small.typed(sheet, "1", "3/4", "99", "1")
    # PEX SDR-9, 1 in., to ASTM F876: 1.125 in. outside, wall 0.125 in.; copper type L, 3/4 in., to ASTM B88: 0.875 in. outside.
    outside = small.take(sheet, TableNumber("tubes", "outside_diameter", (family, size), "us"))
    assert outside[:2] == pytest.approx([1.125, 0.875]) and outside[2:] == [None, None]
    bores = small.take(sheet, TableNumber("tubes", "inside_diameter", (family, size), "us"))
    # The standard's wall is the least one; the mean inside diameter is up to a tenth of the wall, twice, smaller.
    assert bores[:2] == [pytest.approx(0.875, abs=0.025), pytest.approx(0.785, abs=0.001)] and bores[2:] == [None, None]
    order = small.typed(sheet, 1.0, 2.0, 500.0, 1.0)
    by_order = small.take(sheet, SizeByOrder(family, order))
    assert all(by_order[:2]) and by_order[2:] == [None, None]
    wanted = small.typed(sheet, 0.0, 0.8, 100.0, NAN)
    counted = small.take(sheet, CountSmaller("tubes", "family", "inside_diameter", family, wanted))
    assert counted[0] == 0.0 and counted[1] > 0 and counted[2] > counted[1] and counted[3] is None
    fuel = small.typed(sheet, "propane", "", "heating oil", "smoke")
    assert small.take(sheet, TableText("fuels", "unit", (fuel,))) == ["gal", None, "gal", None]
    # A row of the table that has no figure in a column: blank, where INDEX alone would make a 0 of it.
    from hydrocalc.tables import table

    insulation = table("insulation")
    without = [m for m, v in zip(insulation.texts("material"), insulation.columns["wet_conductivity"].values, strict=True) if v is None]
    assert without, "no row is without a figure any more; take another table for this"
    material = small.typed(sheet, without[0], "polyurethane foam", "", "straw")
    found = small.take(sheet, TableNumber("insulation", "wet_conductivity", (material,), "us"))
    assert found[0] is None and found[2:] == [None, None]


def the_first_that_fits(small: Small) -> None:
    sheet = small.sheet("Fits", "a", "b", "c", "d", "e")
    fits = [small.typed(sheet, *v) for v in ((1.0, 0.0, 0.0, 0.0, NAN), (1.0, 1.0, 0.0, NAN, NAN), (0.0, 1.0, 0.0, NAN, NAN))]
    sizes = [small.typed(sheet, *v) for v in (("s", "s", "s", "s", ""), ("m", "m", "m", "", ""), ("l", "l", "l", "", ""))]
    numbers = [small.typed(sheet, *v) for v in ((1.0, 1.0, 1.0, 1.0, NAN), (2.0, 2.0, 2.0, NAN, NAN), (3.0, 3.0, 3.0, NAN, NAN))]
    assert small.take(sheet, FirstFit(tuple(fits), tuple(sizes))) == ["s", "m", "l", "s", None]
    assert small.take(sheet, FirstFit(tuple(fits), tuple(numbers))) == [1.0, 2.0, 3.0, 1.0, None]


def references_to_inputs(small: Small) -> None:
    runs = small.book.sheet("Lengths", Axis("run", ("yard", "shed")), "Lengths")
    assert small.take(runs, small.inputs.of("run", ("yard", "shed"), "length")) == [88.0, pytest.approx(40 / 0.3048, rel=1e-11)]
    assert small.take(runs, small.inputs.of("run", ("yard", "shed"), "tube family")) == ["PEX SDR-9"] * 2
    assert small.take(runs, small.inputs.of("run", ("yard", "shed"), "flow")) == [None, None]
    single = small.book.sheet("Site", ONE, "Site")
    assert small.take(single, small.inputs.job_input("site", "outdoor design temperature")) == [4.0]
    assert small.take(single, small.inputs.job_input("site", "soil conductivity")) == [None]
    assert small.take(single, small.inputs.job_input("wood", "species")) == ["white oak"]
    months = small.book.sheet("Year", MONTH, "Year")
    used = tuple(small.inputs.by_key[f"site|{name}"].used for name in MONTHLY_MEANS)
    reference = MonthInput("site", "mean temperature", TEMPERATURE, MONTHS, tuple(NAN if u is None else u for u in used))
    assert small.take(months, reference) == [None] * 12


def what_a_date_says(small: Small) -> None:
    """31 + 28 + 1 days to the first of March of a year without a leap day; 29 February counts as the 28th."""
    sheet = small.sheet("Dates", "a", "b", "c", "d", "e")
    day = small.typed(sheet, "2023-03-01", "2024-02-29", "2024-12-31", "", "1999-01-01")
    assert small.take(sheet, OfDate(day, "day")) == [60.0, 59.0, 365.0, None, 1.0]
    assert small.take(sheet, OfDate(day, "year")) == [2023.0, 2024.0, 2024.0, None, 1999.0]


def what_would_mend(small: Small) -> None:
    """A figure is rounded to the side on which it does; words and figure are those of the side that is not kept."""
    sheet = small.sheet("Remedies", "a", "b", "c", "d", "e")
    worst = small.typed(sheet, 2.0, 1.0, 0.0, NAN, 1.0)
    low, high = (small.typed(sheet, *v) for v in ((1234.2, 7.0, 5.0, 5.0, NAN), (99.9, 12.0, 1.0, 1.0, 1.0)))
    side = small.typed(sheet, 0.0, 1.0, 0.0, 0.0, 0.0)
    two = Remedies(Remedy("at least {figure}", low, (5.0, 1.0)), Remedy('at most {figure}, "no more"', high, up=False), side)
    assert small.take(sheet, RemedyText(two, "us", worst, low, high, side)) == ["at least 1,235", 'at most 12, "no more"', None, None, None]
    one = Remedies(Remedy("a {lid|cover}"))
    assert small.take(sheet, RemedyText(one, "metric", worst, None, None, None)) == ["a cover", "a cover", None, None, "a cover"]


def conditions(small: Small) -> None:
    sheet = small.sheet("Conditions", "a", "b", "c", "d")
    kind, number = small.typed(sheet, "tub", "floor", "", "known"), small.typed(sheet, 1.0, 2.0, 3.0, NAN)
    for when, expected in (
        (kind_is(kind, "tub"), [2.0, None, None, None]),
        (kind_is(kind, "tub", "floor", "known"), [2.0, 4.0, None, None]),
        (kind_is_not(kind, "floor"), [2.0, None, 6.0, None]),
        (Holds(number), [2.0, 4.0, 6.0, None]),
        (Both(kind_is_not(kind, "tub"), kind_is_not(kind, "")), [None, 4.0, None, None]),
        (Says(number), [2.0, None, None, None]),
        (MoreThan(number, least=2.0), [None, None, 6.0, None]),
        (Either(kind_is(kind, "tub"), MoreThan(number, least=2.0)), [2.0, None, 6.0, None]),
    ):
        small.tried.add(type(when))
        assert small.shown(sheet.calc("Double", RATIO, lambda x: 2 * x, number, when=when)) == expected
    said = small.typed(sheet, 1.0, 0.0, NAN, 0.0)
    assert small.take(sheet, Where(number, Says(said, yes=False))) == [None, 2.0, None, None]
    assert small.take(sheet, Where(number, kind_is(kind, "tub", "known"))) == [1.0, None, None, None]
    assert small.take(sheet, Where(kind, kind_is_not(kind, "tub"))) == [None, "floor", None, "known"]
    small.tried.add(Unguarded)
    named = sheet.calc("Named", RATIO, lambda text, x: np.where(text == "", -x, x), Unguarded(kind), number)
    assert small.shown(named) == [1.0, 2.0, -3.0, None]
    small.tried.add(Guarded)
    first = Guarded(IfPositive(small.typed(sheet, 5.0, -5.0, NAN, 5.0)))
    assert small.shown(sheet.calc("Added", RATIO, lambda a, b: a + b, number, first)) == [6.0, None, None, None]


def test_every_reference_is_what_an_engine_makes_of_it(small: Small) -> None:
    for part in (
        references_in_a_column,
        references_between_axes,
        verdicts_in_order,
        sums_over_another_axis,
        references_to_tables,
        the_first_that_fits,
        references_to_inputs,
        what_a_date_says,
        what_would_mend,
        conditions,
    ):
        part(small)
    every = {
        c
        for module in (references, input_references, table_references, gathering, remedies, over_another_axis)
        for c in vars(module).values()
        if isinstance(c, type) and issubclass(c, Reference) and c not in (Reference, OfRow) and c.__module__ == module.__name__
    }
    assert small.tried == every
    assert {Input, JobInput, Condition} <= every
    assert small.recalculated() == []


# --- guards -----------------------------------------------------------------------------------------------------------


def test_a_blank_need_gives_a_blank_cell(small: Small) -> None:
    sheet = small.sheet("Guards", "a", "b", "c", "d")
    load = small.typed(sheet, 62000.0, NAN, 62000.0, 0.0, kind=POWER)
    drop = sheet.take("Drop", Typed((20.0, 20.0, NAN, 20.0), flow.flow_from_load.parameters[1].kind))
    density = sheet.take("Density", Typed((61.2,) * 4, flow.flow_from_load.parameters[2].kind))
    heat = sheet.take("Heat", Typed((1.0,) * 4, flow.flow_from_load.parameters[3].kind))
    row = sheet.line("Flow", flow.flow_from_load, load, drop, density, heat)
    # 62000/(8.0208 x 61.2 x 1 x 20), by hand: 60 min/h over 7.48052 gal/ft³ is 8.02083.
    assert small.shown(row) == [pytest.approx(62000 / (60 / 7.480519 * 61.2 * 20), rel=1e-6), None, None, 0.0]
    assert row.formula.startswith("=IF(COUNT(") and row.function == "flow_from_load" and row.source and row.words
    assert small.recalculated() == []


def test_a_text_need_guards_as_well(small: Small) -> None:
    sheet = small.sheet("Guards", "a", "b", "c")
    word, number = small.typed(sheet, "x", "", "y"), small.typed(sheet, 1.0, 2.0, 3.0)
    row = sheet.calc("Either", RATIO, lambda w, n: np.where(w == "x", n, -n), word, number)
    assert small.shown(row) == [1.0, None, -3.0]
    assert small.recalculated() == []


def test_a_row_without_needs_has_no_guard(small: Small) -> None:
    sheet = small.sheet("Guards", "a", "b")
    assert sheet.calc("One", COUNT, lambda: 1.0).formula == "=1"


def test_nested_calls_stand_once_above_the_row_that_needs_them(small: Small) -> None:
    from hydrocalc import friction

    sheet = small.sheet("Nested", "a", "b", "c")
    reynolds, rough = small.typed(sheet, 1000.0, 1e5, NAN), small.typed(sheet, 1e-4, 1e-4, 1e-4)
    before = len(list(sheet.items))
    row = sheet.line("Factor", friction.friction_factor, reynolds, rough)
    worked = [item for _, item in list(sheet.items)[before:-1] if isinstance(item, Row)]
    assert worked and all(r.depth == 1 + row.depth or r.depth > row.depth for r in worked) and row.depth == 0
    count = len(list(sheet.items))
    again = sheet.line("Factor again", friction.friction_factor, reynolds, rough)
    assert len(list(sheet.items)) == count + 1, "the steps of the same call are not repeated"
    assert small.shown(again) == small.shown(row)
    assert small.shown(row)[0] == pytest.approx(0.064)  # laminar: 64/Re
    assert small.recalculated() == []


# --- chains -----------------------------------------------------------------------------------------------------------


def test_the_water_passes_from_column_to_column(small: Small) -> None:
    """Two runs of water: each load takes over what the one to its left has left, the first of a run begins anew."""
    sheet = small.sheet("Chain", "a", "b", "c", "d", "e")
    run = small.typed(sheet, "n", "n", "n", "s", "s")
    start = small.typed(sheet, 180.0, 180.0, 180.0, 170.0, 170.0, kind=TEMPERATURE)
    fall = small.typed(sheet, 5.0, 6.0, 7.0, NAN, 8.0)
    with sheet.chain() as left:
        out_left = left("Leaving", TEMPERATURE)
        run_left = left("Run", None)
        sheet.take("Run", FirstGiven((run,)))
        entering = sheet.calc("Entering", TEMPERATURE, lambda r, rl, t, o: np.where(rl == r, o, t), run, run_left, start, out_left)
        leaving = sheet.calc("Leaving", TEMPERATURE, lambda t, d: t - d * (5 / 9), entering, fall)
    assert small.shown(entering) == pytest.approx([180.0, 175.0, 169.0, 170.0, None], nan_ok=True)
    assert small.shown(leaving) == pytest.approx([175.0, 169.0, 162.0, None, None], nan_ok=True)
    assert small.recalculated() == []


def test_water_that_never_comes_to_rest_is_an_error(small: Small) -> None:
    sheet = small.sheet("Restless", "a", "b")
    counter = itertools.count()
    row = Row(sheet, "Restless", RATIO, compute=lambda _: np.full(2, float(next(counter))))
    row.uses = (row,)  # as it does by what stands to its left
    with pytest.raises(BuildError, match="Restless: the water does not come to rest"):
        small.book.settle([row])


# --- what cannot be built ---------------------------------------------------------------------------------------------


def test_a_value_that_is_no_number_names_its_place(small: Small) -> None:
    sheet = small.sheet("Broken", "a", "b", "c")
    row = small.typed(sheet, 1.0, 0.0, NAN)
    with pytest.raises(BuildError, match=r"^Broken, Inverse, b: the value is not a number$"):
        sheet.calc("Inverse", RATIO, lambda x: 1 / x, row)
    with pytest.raises(BuildError, match=r"^Broken, Root, a: the value is not a number$"):
        sheet.calc("Root", RATIO, lambda x: np.sqrt(x - 2), row)


def test_a_formula_too_long_to_read_is_refused(small: Small) -> None:
    sheet = small.sheet("Long", "a")
    row = small.typed(sheet, 0.5)

    def tower(x: Any, steps: int) -> Any:
        for _ in range(steps):
            x = np.sqrt(x + 1.25)
        return x

    short = sheet.calc("Short", RATIO, lambda x: tower(x, 20), row)
    assert len(short.formula) < LONGEST_FORMULA
    with pytest.raises(BuildError, match=r"Long, Long: the formula takes \d+ characters; split it"):
        sheet.calc("Long", RATIO, lambda x: tower(x, LONGEST_FORMULA // len("SQRT(+1.25)") + 1), row).formula  # noqa: B018  # written when all rows have their place


@pytest.mark.parametrize(("index", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA"), (16383, "XFD")])
def test_letters_of_columns(index: int, letters: str) -> None:
    assert column_letters(index) == letters


def test_units_are_kept_out_of_the_formulas_by_conversion(small: Small) -> None:
    """A length in feet and a coherent body in meters: the row shows feet, and the body saw meters."""
    sheet = small.sheet("Units", "a", "b")
    length = small.typed(sheet, 10.0, NAN, kind=LENGTH)
    seen = sheet.calc("Twice", LENGTH, lambda n: n + 3.048, length)
    assert seen.unit == "ft"
    assert small.shown(seen) == [pytest.approx(20.0, rel=1e-9), None]
    assert small.recalculated() == []


# --- folded rows ------------------------------------------------------------------------------------------------------


def test_folded_rows_stand_at_the_foot_and_are_read_from_above(small: Small) -> None:
    """Worked out first, written last: the row above the fold reads rows that stand below it, and an engine agrees."""
    things = small.sheet("Things", "a", "b")
    start = small.typed(things, 3.0, 5.0, label="Start")
    with things.folded("Workings"):
        half = things.calc("Half", RATIO, lambda a: a / 2, start)
        things.heading("Further")
        quarter = things.calc("Quarter", RATIO, lambda a: a / 2, half)
    things.heading("Result")
    result = things.calc("Result", RATIO, lambda a, b: a + b, quarter, start)
    assert [item.text if isinstance(item, Heading) else item.label for _, item in things.items] == [
        *("Start", "Result", "Result", "Workings", "Half", "Further", "Quarter")
    ]
    assert start.number < result.number < half.number < quarter.number
    assert (start.folded, half.folded, quarter.folded, result.folded) == (False, True, True, False)
    assert small.shown(result) == [3.75, 6.25]
    assert not small.recalculated()
