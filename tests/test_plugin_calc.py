"""The add-in for LibreOffice Calc: what is in the file, and what a real LibreOffice does with it."""

from __future__ import annotations

import ast
import inspect
import io
import math
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import faces
import numpy as np
import pytest
import xlsxwriter
from office import DIVISION, ILLEGAL_ARGUMENT, MISSING_ARGUMENT, NOT_AVAILABLE, NUMBER, UNKNOWN_NAME, VALUE, Profile, Seen
from slow import but_first

from hydrocalc.measures import SYSTEMS, Key, System
from hydrocalc.named import Named, RangeError, ValidityWarning, catalogue
from workbook_builder.model.rows import column_letters
from workbook_builder.plugins import calc
from workbook_builder.plugins.excel import write_names_book
from workbook_builder.plugins.naming import PREFIX, call_name, start_values, unit_of
from workbook_builder.plugins.source import math_module

# Constants of a sealed formula carry nine digits, so a chain of a few dozen of them may differ in the eighth.
LARGEST_DIFFERENCE = 1e-7
POINTS = 24
CATALOGUE = catalogue()
KINDS = {".ods": "calc8", ".xlsx": "Calc MS Excel 2007 XML"}
both_systems = pytest.mark.parametrize("system", but_first(SYSTEMS))


# --- the file ------------------------------------------------------------------------------------------------------


def test_the_file_is_the_same_every_time() -> None:
    first, second = calc.addin(), calc.addin()
    assert first == second
    with zipfile.ZipFile(io.BytesIO(first)) as archive:
        assert archive.testzip() is None
        assert {i.date_time for i in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert not [n for n in archive.namelist() if Path(n).suffix in (".so", ".dll", ".rdb", ".pyc")]


@both_systems
def test_the_code_needs_math_alone(system: System) -> None:
    tree = ast.parse(math_module(system))
    imported = [a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names]
    assert imported == ["math"] and not [n for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)]
    defined = {n.id for n in ast.walk(tree) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)}
    defined |= {n.name for n in tree.body if isinstance(n, ast.FunctionDef)} | {
        a.arg for n in ast.walk(tree) if isinstance(n, ast.arguments) for a in n.args
    }
    read = {n.id for n in ast.walk(tree) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Load)}
    assert read - defined <= {"math", "max", "min", "abs", "ValueError"}


def test_every_argument_is_needed() -> None:
    """No function has an optional argument, which is why the interface of the add-in has none either."""
    for function in CATALOGUE.values():
        assert all(p.default is inspect.Parameter.empty for p in inspect.signature(function.body).parameters.values()), function.name


def _space(system: System) -> dict[str, Any]:
    space: dict[str, Any] = {}
    exec(math_module(system), space)
    return space


@both_systems
def test_what_a_function_refuses_the_code_refuses(system: System) -> None:
    """Arguments far and wide, most of them impossible: the code raises ValueError where the library raises RangeError."""
    rng = np.random.default_rng(20)
    space = _space(system)
    counted = {True: 0, False: 0}
    for function in CATALOGUE.values():
        view = function.us if system == "us" else function.metric
        for point in _far_and_wide(function, system, rng):
            refused = _raises(RangeError, view, point)
            counted[refused] += 1
            assert _raises(ValueError, space[function.name], point) == refused, f"{function.name}{point}"
    assert min(counted.values()) > 1000, "the points must try both"


def _far_and_wide(function: Named[Any], system: System, rng: np.random.Generator) -> Iterator[tuple[Any, ...]]:
    """Sets of arguments around the start values, each argument at times near one of its limits or of the wrong sign."""
    start = start_values(function, system)
    for _ in range(40):
        point: list[Any] = []
        for parameter, value in zip(function.parameters, start, strict=True):
            if isinstance(value, str) or isinstance(parameter.kind, Key):
                point.append(value)
                continue
            ends = [
                float(parameter.kind.unit(system).from_coherent(e))
                for e in (parameter.limits.low, parameter.limits.high)
                if math.isfinite(e)
            ]
            near = [e + s * max(abs(e), 1.0) * 1e-6 for e in ends for s in (-1, 1)]
            point.append(float(rng.choice([value, value, value, -value, value * rng.uniform(0.2, 5.0), *near])))
        yield tuple(point)


def _raises(kind: type[Exception], call: Any, point: tuple[Any, ...]) -> bool:
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore", ValidityWarning)
            call(*point)
    except kind:
        return True
    except ArithmeticError:  # a value too large for math, which numpy calls infinite: no matter of ranges
        return False
    return False


@both_systems
def test_a_text_is_found_whatever_its_capitals_and_blanks(system: System) -> None:
    density = _space(system)["liquid_density"]
    for text in ("Propylene GLYCOL", " propylene  glycol "):
        assert density(text, 40.0, 70.0) == density("propylene glycol", 40.0, 70.0)
    for text in ("brine", "*", "propylene glyco?"):
        with pytest.raises(KeyError):
            density(text, 40.0, 70.0)


# --- in LibreOffice ------------------------------------------------------------------------------------------------

CALL = "HYDRO.FLOW_FROM_LOAD(62000;20;61.2;1)"
CALL_SI = "HYDRO_SI.FLOW_FROM_LOAD(18;10;980;4.18)"
FLOW, FLOW_SI = 62000 / (20 * 61.2 * 1.0) / 8.020833333, 18 / (980 * 4.18 * 10) * 60_000  # L/min
TYPED = {
    "A1": f"={CALL}",
    "A2": f"={CALL_SI}",
    "A3": "62000",
    "A4": "=HYDRO.FLOW_FROM_LOAD(A3;20;61.2;1)*2",
    "A5": '=HYDRO.LIQUID_DENSITY("water";0;160)',
}
# Each row: a call of the add-in, one of Calc's own functions that is given the same, and what both must say of it.
# J1 is blank, J2 the text 'abc', J3 the text '12', J4 #N/A, J5 #DIV/0!, K1:K3 numbers.
GIVEN = {
    "J2": "'abc",
    "J3": "'12",
    "J4": "=NA()",
    "J5": "=1/0",
    "K1": "62000",
    "K2": "31000",
    "K3": "1000",
    "L1": "water",
    "L2": "Propylene Glycol",
}
LIKE_OWN: list[tuple[str, str, Any]] = [
    ("HYDRO.FLOW_FROM_LOAD(J1;20;61.2;1)", "POWER(J1;2)", 0.0),
    ("HYDRO.FLOW_FROM_LOAD(J2;20;61.2;1)", "POWER(J2;2)", VALUE),
    ('HYDRO.FLOW_FROM_LOAD("abc";20;61.2;1)', 'POWER("abc";2)', VALUE),
    ("HYDRO.FLOW_FROM_LOAD(J4;20;61.2;1)", "POWER(J4;2)", NOT_AVAILABLE),
    ("HYDRO.FLOW_FROM_LOAD(J5;20;61.2;1)", "POWER(J5;2)", DIVISION),
    ("HYDRO.FLOW_FROM_LOAD(K1:K3;20;61.2;1)", "POWER(K1:K3;2)", VALUE),
    ("HYDRO.LIQUID_DENSITY(L1:L2;40;160)", "LEN(L1:L2)", VALUE),
    ("HYDRO.LIQUID_DENSITY(J5;40;160)", "LEN(J5)", DIVISION),
    ("HYDRO.FLOW_FROM_LOAD(62000;20;61.2;1;2)", "POWER(2;3;4)", MISSING_ARGUMENT),
]
# Calc's own functions have no counterpart to these, or another error for them.
ALONE: list[tuple[str, Any]] = [
    ("HYDRO.FLOW_FROM_LOAD(J3;20;61.2;1)", 12 / 62000 * FLOW),
    ("HYDRO.FLOW_FROM_LOAD(TRUE();20;61.2;1)", FLOW / 62000),
    ("HYDRO.FLOW_FROM_LOAD(62000;J1;61.2;1)", NUMBER),  # a blank is 0, and a drop of 0 is impossible
    ("HYDRO.FLOW_FROM_LOAD(62000;-20;61.2;1)", NUMBER),
    ("HYDRO.FLOW_FROM_LOAD(1E308;1E-10;61.2;1)", NUMBER),  # larger than any number
    ("HYDRO.FLOW_FROM_LOAD(62000;20;61.2)", MISSING_ARGUMENT),
    ("HYDRO.FLOW_FROM_LOAD(62000;20;61.2;)", ILLEGAL_ARGUMENT),
    ('HYDRO.LIQUID_DENSITY("brine";0;160)', NOT_AVAILABLE),
    ("HYDRO.LIQUID_DENSITY(J1;0;160)", NOT_AVAILABLE),
    ("HYDRO.STORED_HEAT(300;180;160;62;1)", NUMBER),  # high below low: refused by what the arguments ask of one another
    ('IFERROR(HYDRO.FLOW_FROM_LOAD(62000;-20;61.2;1);"caught")', "caught"),
    ('IFERROR(HYDRO.LIQUID_DENSITY("brine";0;160);"caught")', "caught"),
]
ARRAYS = {"M1:M3": "=HYDRO.FLOW_FROM_LOAD(K1:K3;20;61.2;1)", "N1:N2": "=HYDRO.LIQUID_DENSITY(L1:L2;40;160)"}


@pytest.fixture(scope="module")
def profile(tmp_path_factory: pytest.TempPathFactory) -> Profile:
    folder = tmp_path_factory.mktemp("office")
    (folder / "hydrocalc.oxt").write_bytes(calc.addin())
    made = Profile(folder)
    made.extensions("add", "-s", "-f", str(folder / "hydrocalc.oxt"))
    return made


@pytest.fixture(scope="module")
def points() -> list[faces.Answers]:
    """Every function at random points, as Python has it."""
    made = []
    for function in CATALOGUE.values():
        # A seed of the function's own: another function in the catalogue does not move its points.
        drawn = faces.drawn(function, np.random.default_rng(zlib.crc32(function.name.encode())), POINTS)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", ValidityWarning)
            rows = [[c[i] if isinstance(c[i], str) else float(c[i]) for c in drawn] for i in range(POINTS)]
            made.append(faces.Answers(function, drawn, np.array([function(*row) for row in rows]), {}))
    return made


@pytest.fixture(scope="module")
def seen(profile: Profile, points: list[faces.Answers]) -> dict[str, Any]:
    """One start of LibreOffice, and everything that is looked at in it."""
    folder = profile.folder
    _write_points(folder / "points.xlsx", points)
    write_names_book(folder / "names.xlsx", stored=-1.0)
    saved = {str(folder / f"saved{kind}"): filter_name for kind, filter_name in KINDS.items()}
    rows = {f"A{i}": f"={call}" for i, (call, _, _) in enumerate(LIKE_OWN, start=1)} | {
        f"B{i}": f"={own}" for i, (_, own, _) in enumerate(LIKE_OWN, start=1)
    }
    rows |= {f"C{i}": f"={call}" for i, (call, _) in enumerate(ALONE, start=1)}
    steps = {
        "new": {"do": "document", "cells": TYPED, "save": saved, "formulas": True},
        "wizard": {"do": "wizard", "prefix": "HYDRO"},
        "given": {"do": "document", "cells": {**GIVEN, **rows}, "arrays": ARRAYS},
        "points": {"do": "document", "open": str(folder / "points.xlsx")},
        "names": {"do": "document", "open": str(folder / "names.xlsx"), "sheets": ["Functions_US", "Functions_SI"], "formulas": True},
        **{kind: {"do": "document", "open": str(folder / f"saved{kind}"), "formulas": True} for kind in KINDS},
    }
    return dict(zip(steps, profile.session(list(steps.values())), strict=True))


def _first(document: dict[str, Any]) -> Seen:
    return Seen(next(iter(document["sheets"].values())))


def _write_points(path: Path, points: list[faces.Answers]) -> None:
    """A sheet for each unit system, a function below the other, the call to the right of its arguments; -1 is stored."""
    book = xlsxwriter.Workbook(str(path))
    for system in SYSTEMS:
        sheet = book.add_worksheet(PREFIX[system])
        for block, answer in enumerate(points):
            given = faces.in_trade_units(answer.function, answer.points, system)
            for i in range(POINTS):
                row = block * POINTS + i
                for column, values in enumerate(given, start=1):
                    sheet.write(row, column, values[i])
                places = ",".join(f"{column_letters(c)}{row + 1}" for c in range(1, len(given) + 1))
                sheet.write_formula(row, 0, f"={call_name(answer.function, system)}({places})", None, -1)
    book.close()


@pytest.mark.slow
@pytest.mark.office
def test_every_function_gives_what_python_gives(seen: dict[str, Any], points: list[faces.Answers]) -> None:
    wrong = []
    for block, answer in enumerate(points):
        for system in SYSTEMS:
            cells = Seen(seen["points"]["sheets"][PREFIX[system]])
            values = [cells[block * POINTS + i, 0] for i in range(POINTS)]
            numbers = np.array([v if isinstance(v, float) else np.nan for v in values])
            answer.faces[f"{system} add-in"] = np.asarray(answer.function.result.unit(system).to_coherent(numbers))
        wrong += answer.differences(LARGEST_DIFFERENCE)
        # And one unit system against the other, without Python between them.
        other = faces.Answers(
            answer.function, answer.points, answer.faces["us add-in"], {"metric against US": answer.faces["metric add-in"]}
        )
        wrong += other.differences(LARGEST_DIFFERENCE)
    assert not wrong, "\n".join(wrong)


@pytest.mark.slow
@pytest.mark.office
def test_the_wizard_describes_every_function_and_argument(seen: dict[str, Any]) -> None:
    shown = {f["name"]: f for f in seen["wizard"]}
    assert set(shown) == {call_name(f, s) for f in CATALOGUE.values() for s in SYSTEMS}
    assert len({f["category"] for f in shown.values()}) == 1
    for function in CATALOGUE.values():
        for system in SYSTEMS:
            entry = shown[call_name(function, system)]
            assert function.title in entry["description"] and unit_of(function.result, system) in entry["description"]
            assert [a["name"] for a in entry["arguments"]] == [p.name for p in function.parameters]
            for argument, parameter in zip(entry["arguments"], function.parameters, strict=True):
                assert argument["description"].startswith(parameter.description) and not argument["optional"]
                if unit_of(parameter.kind, system) not in ("", "text"):
                    assert f", in {unit_of(parameter.kind, system)};" in argument["description"]


def _has_the_typed_values(cells: Seen) -> None:
    assert cells[0, 0] == pytest.approx(FLOW, rel=1e-9)
    assert cells[1, 0] == pytest.approx(FLOW_SI, rel=1e-9)
    assert cells[3, 0] == pytest.approx(2 * FLOW, rel=1e-9)
    assert cells[4, 0] == pytest.approx(CATALOGUE["liquid_density"].us("water", 0.0, 160.0), rel=LARGEST_DIFFERENCE)


@pytest.mark.slow
@pytest.mark.office
def test_a_new_document_computes(seen: dict[str, Any]) -> None:
    _has_the_typed_values(_first(seen["new"]))


@pytest.mark.slow
@pytest.mark.office
@pytest.mark.parametrize("kind", KINDS)
def test_a_saved_document_computes_when_it_is_opened_again(seen: dict[str, Any], kind: str) -> None:
    _has_the_typed_values(_first(seen[kind]))
    typed, kept = ([row[0] for row in _first(seen[k]).cells["formulas"]] for k in ("new", kind))
    assert kept == typed and typed[0] == f"={CALL}"


@pytest.mark.slow
@pytest.mark.office
def test_a_saved_xlsx_holds_the_plain_name(seen: dict[str, Any], profile: Profile) -> None:
    """The same cell is then a call of the defined name in a program that has that."""
    with zipfile.ZipFile(profile.folder / "saved.xlsx") as archive:
        assert ">HYDRO.FLOW_FROM_LOAD(62000,20,61.2,1)<" in archive.read("xl/worksheets/sheet1.xml").decode()


@pytest.mark.slow
@pytest.mark.office
@pytest.mark.parametrize("index", range(len(LIKE_OWN)), ids=[call for call, _, _ in LIKE_OWN])
def test_arguments_are_taken_as_by_the_programs_own_functions(seen: dict[str, Any], index: int) -> None:
    cells, expected = _first(seen["given"]), LIKE_OWN[index][2]
    assert (cells[index, 0], cells[index, 1]) == (expected, expected)


@pytest.mark.slow
@pytest.mark.office
@pytest.mark.parametrize("index", range(len(ALONE)), ids=[call for call, _ in ALONE])
def test_a_bad_argument_is_an_error_value(seen: dict[str, Any], index: int) -> None:
    found, expected = _first(seen["given"])[index, 2], ALONE[index][1]
    assert found == (pytest.approx(expected, rel=1e-9) if isinstance(expected, float) else expected)


@pytest.mark.slow
@pytest.mark.office
def test_an_array_formula_is_worked_out_element_by_element(seen: dict[str, Any]) -> None:
    cells = _first(seen["given"])
    assert [cells[i, 12] for i in range(3)] == pytest.approx([FLOW, FLOW / 2, FLOW / 62], rel=1e-9)
    density = CATALOGUE["liquid_density"].us
    expected = [density(liquid, 40.0, 160.0) for liquid in ("water", "propylene glycol")]
    assert [cells[i, 13] for i in range(2)] == pytest.approx(expected, rel=LARGEST_DIFFERENCE)


@pytest.mark.slow
@pytest.mark.office
def test_the_calls_of_the_book_of_names_are_the_add_ins(seen: dict[str, Any]) -> None:
    """Where a defined name and the add-in bear one name the add-in computes: the very same cell serves both programs."""
    for ending in ("US", "SI"):
        cells = Seen(seen["names"]["sheets"][f"Functions_{ending}"])
        calls = [(i, row.index(c)) for i, row in enumerate(cells.cells["formulas"]) for c in row if str(c).startswith("{=HYDRO")]
        assert len(calls) == len(CATALOGUE)
        for row, column in calls:
            assert cells[row, column] == pytest.approx(cells[row, 1], rel=1e-9)


@pytest.mark.slow
@pytest.mark.office
def test_it_is_removed_cleanly(seen: dict[str, Any], profile: Profile) -> None:
    """Runs last in this file: after it the profile has no add-in."""
    assert calc.IDENTIFIER in profile.extensions("list")
    profile.extensions("remove", calc.IDENTIFIER)
    assert calc.IDENTIFIER not in profile.extensions("list")
    wizard, new, saved = profile.session(
        [
            {"do": "wizard", "prefix": "HYDRO"},
            {"do": "document", "cells": TYPED},
            {"do": "document", "open": str(profile.folder / "saved.xlsx")},
        ]
    )
    assert wizard == []
    assert _first(new)[0, 0] == UNKNOWN_NAME and _first(saved)[0, 0] == UNKNOWN_NAME
    # The office program itself sweeps the files away, at its first start after the removal.
    kept = [p for p in (profile.folder / "profile").rglob("*") if "hydrocalc" in p.name]
    assert not kept
