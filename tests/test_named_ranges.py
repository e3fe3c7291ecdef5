"""The defined names over ranges and beyond their limits, in two engines that know LAMBDA: equal to the function in Python, or refused.

Every function is called by its name with single cells, with columns, with rows, with a column, a row and single cells mixed, and with
each argument in turn at its ends, inside and beyond them, and with what is no number and no text of its table.
"""

from __future__ import annotations

import itertools
import math
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cellrune
import ironcalc
import numpy as np
import pytest
from faces import drawn, in_trade_units
from slow import some

from hydrocalc.measures import SYSTEMS, Key, Measure, System
from hydrocalc.named import Named, RangeError, ValidityWarning, catalogue
from workbook_builder.model.rows import column_letters
from workbook_builder.output.writer import Writer
from workbook_builder.plugins.functions_page import define_functions
from workbook_builder.plugins.naming import call_name
from workbook_builder.sheets.pages.tables import write_tables

COUNT = 3  # values in a column and in a row
# Constants of a name carry nine digits.  The zero of °C and °F is a convention: a temperature's error counts against a hundred degrees.
CLOSE, NEAR_ZERO, DEGREES = 1e-7, 1e-9, 1e-5
BEYOND = 1e-6  # how far beyond a limit is beyond, as a share of it
BLANK = object()
REFUSED = object()


@dataclass(frozen=True)
class Call:
    """A call in the book: what it is, its formula, and what each of its cells should hold."""

    function: str
    what: str
    text: str
    expected: list[list[Any]]  # numbers, or REFUSED


def _python(function: Named[Any], system: System, arguments: list[Any]) -> Any:
    """The function's own answer; REFUSED where it does not take the arguments."""
    if any(a is BLANK for a in arguments):
        return REFUSED
    view = function.us if system == "us" else function.metric
    with warnings.catch_warnings(), np.errstate(all="ignore"):
        warnings.simplefilter("ignore", ValidityWarning)
        try:
            answer = view(*arguments)
        except (RangeError, ArithmeticError):
            return REFUSED
    return answer if math.isfinite(answer) else REFUSED


class _Sheet:
    """A sheet of cells to call from, filled from the top."""

    def __init__(self, writer: Writer, system: System) -> None:
        self.writer, self.system = writer, system
        self.out = writer.add_sheet("Calls", "#808080")
        self.row = 0
        self.calls: list[tuple[Call, int, int]] = []

    def column(self, place: int, values: list[Any]) -> str:
        letters = column_letters(place)
        for i, value in enumerate(values):
            if value is not BLANK:
                self.out.write(self.row + i, place, value)
        first = f"{letters}{self.row + 1}"
        return first if len(values) == 1 else f"{first}:{letters}{self.row + len(values)}"

    def line(self, row: int, place: int, values: list[Any]) -> str:
        for i, value in enumerate(values):
            self.out.write(row, place + i, value)
        return f"{column_letters(place)}{row + 1}:{column_letters(place + len(values) - 1)}{row + 1}"

    def call(self, function: Named[Any], what: str, arguments: list[str], expected: list[list[Any]], place: int) -> None:
        text = f"={call_name(function, self.system)}({','.join(arguments)})"
        high, wide = len(expected), len(expected[0])
        self.out.write_dynamic_array_formula(self.row, place, self.row + high - 1, place + wide - 1, text, None, -1)
        self.calls.append((Call(function.name, what, text, expected), self.row, place))


def _arrays(sheet: _Sheet, function: Named[Any], points: list[list[Any]]) -> None:
    """Single cells, columns, rows and a mix of the same values."""
    arity = len(points)
    answer = lambda *arguments: _python(function, sheet.system, list(arguments))  # noqa: E731
    columns = [sheet.column(i, values) for i, values in enumerate(points)]
    singles = [[f"{column_letters(i)}{sheet.row + 1 + k}" for i in range(arity)] for k in range(COUNT)]
    each = [answer(*(values[k] for values in points)) for k in range(COUNT)]
    place = arity + 1
    sheet.call(function, "columns", columns, [[a] for a in each], place)
    for i in range(1, arity):
        others = [columns[j] if i == j else singles[0][j] for j in range(arity)]
        expected = [[answer(*(v[k] if i == j else v[0] for j, v in enumerate(points)))] for k in range(COUNT)]
        sheet.call(function, f"a column as argument {i + 1}", others, expected, place + i)
    place += arity
    sheet.row += COUNT
    for k in range(COUNT):
        sheet.call(function, "single cells", singles[k], [[each[k]]], place + k)
    sheet.row += 1
    rows = [sheet.line(sheet.row + i, 0, values) for i, values in enumerate(points)]
    sheet.call(function, "rows", rows, [each], COUNT + 1)
    if arity > 1:
        mixed = [columns[0], rows[1], *(f"A{sheet.row + 1 + i}" for i in range(2, arity))]
        expected = [[answer(points[0][i], points[1][k], *(v[0] for v in points[2:])) for k in range(COUNT)] for i in range(COUNT)]
        sheet.call(function, "a column, a row and single cells", mixed, expected, 2 * COUNT + 2)
    sheet.row += max(arity, COUNT) + 1


def _tried(function: Named[Any], place: int, base: list[Any], system: System) -> Iterator[tuple[str, Any, bool | None]]:
    """Values of one argument: what each is, and whether it is surely refused (True), surely taken (False), or Python's to say (None)."""
    parameter = function.parameters[place]
    yield "a blank", BLANK, True
    yield "TRUE", True, True
    if isinstance(parameter.kind, Key):
        for text in ("no such thing", "*", base[place][:-1] + "?", 5.0):
            yield "an unknown text", text, True
        for text in (base[place].upper(), f"  {base[place].capitalize()} "):
            yield "capitals and blanks", text, False
        return
    yield "a text", "warm", True
    unit, limits = parameter.kind.unit(system), parameter.limits
    for end, is_open, sign in ((limits.low, limits.low_open, -1), (limits.high, limits.high_open, 1)):
        if not math.isfinite(end):
            continue
        step = BEYOND * (abs(end) if abs(end) > 1e-3 else 1.0)
        yield "beyond its limit", float(unit.from_coherent(end + sign * step)), True
        yield "inside its limit", float(unit.from_coherent(end - sign * step)), None
        yield "on its limit", float(unit.from_coherent(end)), True if is_open else None


def _limits(sheet: _Sheet, function: Named[Any], base: list[Any]) -> None:
    cells = [sheet.column(i, [value]) for i, value in enumerate(base)]
    sheet.row += 1
    for place in range(len(base)):
        tries = list(_tried(function, place, base, sheet.system))
        column = sheet.column(0, [value for _, value, _ in tries])
        expected: list[list[Any]] = []
        for _, value, refused in tries:
            known = base[place] if refused is False else value
            expected.append([REFUSED if refused else _python(function, sheet.system, [*base[:place], known, *base[place + 1 :]])])
        first = sheet.row
        for i, (what, value, _) in enumerate(tries):
            sheet.row = first + i
            given = [f"A{sheet.row + 1}" if j == place else cells[j] for j in range(len(base))]
            sheet.call(function, f"{function.parameters[place].name} {what} ({value!r})", given, [expected[i]], 1)
        sheet.row = first
        sheet.call(
            function,
            f"{function.parameters[place].name} as a column of all tries",
            [*cells[:place], column, *cells[place + 1 :]],
            expected,
            2,
        )
        sheet.row += len(tries) + 1


def _book(path: Path, system: System) -> list[tuple[Call, int, int]]:
    writer = Writer(path, "Calls", -1.0)
    sheet = _Sheet(writer, system)
    for function in catalogue().values():
        points = in_trade_units(function, drawn(function, np.random.default_rng(16), COUNT), system)
        plain = [[v if isinstance(v, str) else float(v) for v in values] for values in points]
        _arrays(sheet, function, plain)
        _limits(sheet, function, [values[0] for values in plain])
    define_functions(writer, system)
    write_tables(writer, system, lambda kind: kind.unit(system).symbol if isinstance(kind, Measure) else "")
    writer.close()
    return sheet.calls


@pytest.fixture(scope="module", params=some(["us"], SYSTEMS))
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[tuple[Call, int, int]]]:
    path = tmp_path_factory.mktemp("ranges") / f"{request.param}.xlsx"
    return path, _book(path, request.param)


def _wrong(calls: list[tuple[Call, int, int]], seen: Any, may_refuse: set[str]) -> tuple[list[str], int]:
    """What differs, in words, and how many cells were numbers and right.

    ``may_refuse`` are functions of which the engine refuses a range as a whole, in words of its own.
    """
    wrong, right = [], 0
    for call, row, column in calls:
        near = DEGREES if catalogue()[call.function].result.name == "Temperature" else NEAR_ZERO
        is_range = len(call.expected) * len(call.expected[0]) > 1
        for i, k in itertools.product(range(len(call.expected)), range(len(call.expected[0]))):
            wanted, found = call.expected[i][k], seen(row + i, column + k)
            if isinstance(found, float):
                if isinstance(wanted, float) and math.isclose(found, wanted, rel_tol=CLOSE, abs_tol=near):
                    right += 1
                    continue
            elif wanted is REFUSED or (is_range and call.function in may_refuse):
                continue
            wrong.append(f"{call.text} [{i},{k}] ({call.what}): {found!r} instead of {'a refusal' if wanted is REFUSED else wanted!r}")
    return wrong, right


@pytest.mark.slow
def test_in_cellrune_every_name_equals_python_or_refuses(made: tuple[Path, list[tuple[Call, int, int]]]) -> None:
    path, calls = made
    workbook = cellrune.Workbook.open_path(str(path))
    workbook.calculate()
    last = column_letters(60)
    rows = max(row + len(call.expected) for call, row, _ in calls)
    values = workbook.read_values("Calls", "A1", f"{last}{rows}")

    def seen(row: int, column: int) -> Any:
        cell = values[row][column]
        return cell["value"] if cell and cell["kind"] == "number" else str(cell)

    wrong, right = _wrong(calls, seen, set())
    assert not wrong, f"{len(wrong)} cells: " + "\n".join(wrong[:20])
    assert right > 20 * len(catalogue())


@pytest.mark.slow
def test_in_ironcalc_every_name_equals_python_or_refuses(made: tuple[Path, list[tuple[Call, int, int]]]) -> None:
    """It does not look up a range of texts: a function of a liquid or a fitting over a column is refused there."""
    path, calls = made
    model = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
    model.evaluate()

    def seen(row: int, column: int) -> Any:
        value = model.get_cell_value(0, row + 1, column + 1)
        return float(value) if isinstance(value, float | int) and not isinstance(value, bool) else str(value)

    looking = {f.name for f in catalogue().values() if any(isinstance(p.kind, Key) for p in f.parameters)}
    wrong, right = _wrong(calls, seen, looking)
    assert not wrong, f"{len(wrong)} cells: " + "\n".join(wrong[:20])
    assert right > 20 * (len(catalogue()) - len(looking))
