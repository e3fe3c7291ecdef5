"""The defined names and the Functions sheet: in the book of names, and as every book carries them."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import engines
import ironcalc
import openpyxl
import pytest
from office import Error, Profile, Seen
from slow import but_first

from hydrocalc.measures import SYSTEMS, Key, Measure, System
from hydrocalc.named import Named, catalogue
from hydrocalc.tables import table
from workbook_builder.cli import main
from workbook_builder.output.writer import Writer
from workbook_builder.plugins import excel
from workbook_builder.plugins.conditions import conditions
from workbook_builder.plugins.elementwise import as_lambda
from workbook_builder.plugins.functions_page import ABOUT, FIT, LIVE, TRY, VALUE, define_functions, write_functions
from workbook_builder.plugins.naming import LONGEST_COMMENT, call_name, comment, start_values, unit_of
from workbook_builder.sheets.pages.tables import write_tables

CATALOGUE = catalogue()
LONGEST_DEFINITION = 8192  # characters that Excel takes
LONGEST_CELL = 600
# A name in the shape of a cell cannot be an argument of a LAMBDA: Excel reads q1 as a cell, and r or c as a row or column.
CELL_SHAPED = re.compile(r"([a-z]{1,3}\d+|r\d*(c\d*)?|c\d*)", re.IGNORECASE)
both_systems = pytest.mark.parametrize("system", but_first(SYSTEMS))


@pytest.fixture(scope="module")
def names_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("names") / "names.xlsx"
    excel.write_names_book(path)
    return path


@pytest.fixture(scope="module")
def hollow(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same book with -1 stored in every formula cell, so that what comes out right was worked out."""
    path = tmp_path_factory.mktemp("hollow") / "names.xlsx"
    excel.write_names_book(path, stored=-1.0)
    return path


def _ordinary(path: Path, system: System, stored: float | None = None) -> Path:
    """What every book carries of the functions."""
    writer = Writer(path, "A book", stored)
    define_functions(writer, system)
    write_functions(writer, system)
    write_tables(writer, system, lambda kind: kind.unit(system).symbol if isinstance(kind, Measure) else "")
    writer.close()
    return path


@pytest.fixture(scope="module")
def ordinary(tmp_path_factory: pytest.TempPathFactory) -> dict[System, Path]:
    folder = tmp_path_factory.mktemp("ordinary")
    return {system: _ordinary(folder / f"{system}.xlsx", system) for system in SYSTEMS}


def _defined(path: Path) -> dict[str, tuple[str, str]]:
    """The defined names of a file: their text and their comment."""
    with zipfile.ZipFile(path) as archive:
        root = ElementTree.fromstring(archive.read("xl/workbook.xml"))
    return {n.attrib["name"]: (n.text or "", n.attrib.get("comment", "")) for n in root.iter() if n.tag.endswith("}definedName")}


def test_each_drop_down_offers_the_texts_of_its_table_and_takes_them_from_cells(names_book: Path) -> None:
    """A list written into the rule itself ends at 255 characters; cells do not."""
    file = openpyxl.load_workbook(names_book)
    tried = 0
    for system in SYSTEMS:
        page = file[f"Functions_{excel.SHEET_ENDS[system]}"]
        for rule in page.data_validations.dataValidation:
            for row, column in (place for area in rule.sqref.ranges for place in area.cells):
                above = (str(page.cell(r, 1).value) for r in range(row, 0, -1))
                name = next(text for text in above if text.startswith("HYDRO"))
                function = next(f for f in CATALOGUE.values() if call_name(f, system) == name)
                parameter = next(p for p in function.parameters if p.name == page.cell(row, 1).value)
                assert isinstance(parameter.kind, Key) and column == VALUE + 1
                area = file.defined_names[rule.formula1].attr_text if rule.formula1 in file.defined_names else rule.formula1
                sheet, cells = area.split("!") if "!" in area else (page.title, area)
                offered = [cell.value for line in file[sheet][cells.replace("$", "")] for cell in line]
                assert offered == list(dict.fromkeys(table(parameter.kind.table).texts(parameter.kind.column))), name
                tried += 1
    assert tried == 2 * sum(isinstance(p.kind, Key) for f in CATALOGUE.values() for p in f.parameters)


# --- names ---------------------------------------------------------------------------------------------------------


def test_every_function_is_a_name_in_both_systems_with_its_arguments_and_units(names_book: Path) -> None:
    defined = _defined(names_book)
    for function in CATALOGUE.values():
        for system in SYSTEMS:
            text, told = defined[call_name(function, system)]
            assert text == as_lambda(function, system, excel.SUFFIX[system])
            assert len(text) <= LONGEST_DEFINITION
            assert 0 < len(told) <= LONGEST_COMMENT
            for parameter in function.parameters:
                assert f"{parameter.name} {unit_of(parameter.kind, system)}".rstrip() in told
            assert told.endswith(f"gives {unit_of(function.result, system) or 'a number'}")


def test_a_name_looks_only_into_the_tables_of_its_own_system(names_book: Path) -> None:
    defined = _defined(names_book)
    tables = {n for n in defined if not n.startswith(("HYDRO", "_xlnm"))}
    assert all(n.endswith(tuple(excel.SUFFIX.values())) for n in tables)
    looking = 0
    for name, (text, _) in defined.items():
        if name.startswith("HYDRO"):
            wanted = "_si" if name.startswith("HYDRO_SI.") else "_us"
            used = tables & set(re.findall(r"\w+", text))
            looking += bool(used)
            assert all(u.endswith(wanted) for u in used), name
    assert looking >= 2 * sum(any(isinstance(p.kind, Key) for p in f.parameters) for f in CATALOGUE.values())
    for table_name in tables:
        assert defined[table_name][0].startswith("Tables_SI!" if table_name.endswith("_si") else "Tables_US!")


@both_systems
def test_an_ordinary_book_has_the_names_of_its_own_system(ordinary: dict[System, Path], system: System) -> None:
    defined = _defined(ordinary[system])
    assert {n for n in defined if n.startswith("HYDRO")} == {call_name(f, system) for f in CATALOGUE.values()}
    for function in CATALOGUE.values():
        assert defined[call_name(function, system)] == (as_lambda(function, system), comment(function, system))


def test_no_argument_has_the_shape_of_a_cell() -> None:
    assert CELL_SHAPED.fullmatch("q1") and CELL_SHAPED.fullmatch("r") and not CELL_SHAPED.fullmatch("flow_1")
    assert not [(f.name, p.name) for f in CATALOGUE.values() for p in f.parameters if CELL_SHAPED.fullmatch(p.name)]


@both_systems
def test_every_function_starts_from_arguments_that_it_takes(system: System) -> None:
    for function in CATALOGUE.values():
        view = function.us if system == "us" else function.metric
        assert isinstance(view(*start_values(function, system)), float)


def test_a_function_without_a_worked_number_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    function = CATALOGUE["flow_from_load"]
    monkeypatch.setattr(function, "__doc__", "Flow.\n\n>>> round(flow_from_load.us(x, 20, 61.2, 1.0), 3)\n6.3\n")
    with pytest.raises(LookupError, match="flow_from_load has no worked number"):
        start_values(function, "us")


def test_start_values_are_converted_and_cut() -> None:
    function = CATALOGUE["flow_from_load"]
    assert start_values(function, "us") == (62000.0, 20.0, 61.2, 1.0)
    load, drop, density, specific_heat = start_values(function, "metric")
    # By hand: 62,000 BTU/h at 0.29307107 W; 20 °F at 5/9; 61.2 lb/ft³ at 16.018463; 1 BTU/(lb °F) at 4.1868.
    assert (load, drop, density, specific_heat) == pytest.approx((18.170, 11.111, 980.33, 4.1868), rel=1e-12)


# --- recalculated --------------------------------------------------------------------------------------------------


def _live_and_plain(path: Path, values: dict[tuple[str, str], Any]) -> list[tuple[str, Any, Any]]:
    """The call, its value and the plain formula's, for every function of both sheets."""
    book = openpyxl.load_workbook(path)
    found = []
    for name in ("Functions_US", "Functions_SI"):
        for row in book[name].iter_rows(min_col=1, max_col=LIVE + 1):
            if row[0].value == TRY:
                found.append((row[ABOUT].value, values.get((name, row[LIVE].coordinate)), values.get((name, row[VALUE].coordinate))))
    return found


def test_every_call_by_name_equals_its_plain_formula(names_book: Path, hollow: Path) -> None:
    values = engines.ironcalc_values(hollow)
    assert not engines.compare(engines.stored_values(names_book), values)
    rows = _live_and_plain(hollow, values)
    assert len(rows) == 2 * len(CATALOGUE)
    for call, live, plain in rows:
        assert isinstance(live, float) and live == pytest.approx(plain, rel=1e-9), call


def test_stored_values_are_what_the_library_gives(names_book: Path) -> None:
    rows = iter(_live_and_plain(names_book, engines.stored_values(names_book)))
    for system in SYSTEMS:
        for function in CATALOGUE.values():
            view = function.us if system == "us" else function.metric
            call, live, plain = next(rows)
            # Constants of a sealed formula carry nine digits.
            assert live == plain == pytest.approx(view(*start_values(function, system)), rel=1e-7, abs=1e-9), call


@both_systems
def test_the_functions_of_an_ordinary_book_come_right(ordinary: dict[System, Path], tmp_path: Path, system: System) -> None:
    stored = engines.stored_values(ordinary[system])
    hollow = _ordinary(tmp_path / "hollow.xlsx", system, -1.0)
    assert len(stored) >= 2 * len(CATALOGUE)
    assert not engines.compare(stored, engines.ironcalc_values(hollow))


def test_no_cell_of_an_ordinary_book_calls_a_name(ordinary: dict[System, Path]) -> None:
    path = ordinary["us"]
    formulas = engines.formulas(path)
    assert not [f for f in formulas.values() if "HYDRO" in f]
    assert max(map(len, formulas.values())) <= LONGEST_CELL
    texts = [c.value for row in openpyxl.load_workbook(path)["Functions"].iter_rows(min_col=ABOUT + 1, max_col=ABOUT + 1) for c in row]
    calls = [t for t in texts if isinstance(t, str) and t.startswith("=HYDRO.")]
    assert len(calls) == len(CATALOGUE)


@pytest.mark.parametrize(
    ("function", "argument", "typed"),
    but_first(
        [
            ("flow_from_load", 1, "-20"),  # outside its range
            ("flow_from_load", 1, "warm"),  # not a number
            ("flow_from_load", 1, ""),  # not there
            ("stored_heat", 1, "500"),  # low above high
            ("liquid_density", 0, "brine"),  # not in its table
        ]
    ),
)
def test_an_impossible_input_gives_a_blank_and_says_so(ordinary: dict[System, Path], function: str, argument: int, typed: str) -> None:
    path = ordinary["us"]
    rows = list(openpyxl.load_workbook(path)["Functions"].iter_rows(max_col=1))
    top = next(i for i, (cell,) in enumerate(rows, start=1) if cell.value == f"HYDRO.{function.upper()}")
    row = next(i for i, (cell,) in enumerate(rows, start=1) if i > top and cell.value == TRY)
    model = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
    model.evaluate()
    before = model.get_cell_value(0, row, VALUE + 1)
    assert isinstance(before, float) and model.get_cell_value(0, row, FIT + 1) == "yes"
    model.set_user_input(0, row - len(CATALOGUE[function].parameters) + argument, VALUE + 1, typed)
    model.evaluate()
    assert model.get_cell_value(0, row, FIT + 1) == "no"
    assert not model.get_cell_value(0, row, VALUE + 1)


def test_conditions_are_in_the_units_of_the_face() -> None:
    """32 °F to 698 °F are the ends of 0 °C to 370 °C."""
    function: Named[Any] = CATALOGUE["water_vapor_pressure"]
    ends = {system: [n.args[1].value for n in conditions(function, system)] for system in SYSTEMS}  # type: ignore[union-attr]
    limits = function.parameters[0].limits
    assert [float(e) for e in ends["metric"]] == [limits.low, limits.high]
    assert [float(e) for e in ends["us"]] == [limits.low * 1.8 + 32, limits.high * 1.8 + 32]


@pytest.mark.slow
def test_the_files_are_sound(names_book: Path, ordinary: dict[System, Path]) -> None:
    assert not engines.validate(names_book)
    assert not engines.validate(ordinary["metric"])


@pytest.mark.slow
@pytest.mark.office
def test_without_the_add_in_the_plain_formulas_compute_and_the_names_survive(names_book: Path, hollow: Path, tmp_path: Path) -> None:
    """LibreOffice 7.4 does not compute a LAMBDA: the call shows an error, all else is right, and a save keeps the names."""
    saved = tmp_path / "saved.xlsx"
    step = {"do": "document", "open": str(hollow), "sheets": ["Functions_US", "Functions_SI"], "formulas": True}
    (document,) = Profile(tmp_path / "office").session([{**step, "save": {str(saved): "Calc MS Excel 2007 XML"}}])
    stored = engines.stored_values(names_book)
    plain = 0
    for name, cells in document["sheets"].items():
        for (sheet, place), value in stored.items():
            if sheet != name:
                continue
            row, column = _indices(place)
            found = Seen(cells)[row, column]
            if column == LIVE:
                assert isinstance(found, Error), f"{name}!{place}: {found}"  # Err:509 in LibreOffice 7.4
            else:
                plain += 1
                assert found == (pytest.approx(value, rel=1e-9) if isinstance(value, float) else value), f"{name}!{place}"
    assert plain >= 4 * len(CATALOGUE)
    kept = _defined(saved)
    for function in CATALOGUE.values():
        text, _ = kept[call_name(function, "us")]
        assert text.lower().startswith("_xlfn.lambda(")
    # And they still compute where LAMBDA is known.
    for call, live, plain in _live_and_plain(hollow, engines.ironcalc_values(saved)):
        assert live == pytest.approx(plain, rel=1e-9), call


def _indices(place: str) -> tuple[int, int]:
    row, column = openpyxl.utils.cell.coordinate_to_tuple(place)
    return row - 1, column - 1


# --- the command ---------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize(("program", "name"), [("excel", "names.xlsx"), ("calc", "addin.oxt")])
def test_the_command_writes_and_replaces_only_when_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], program: str, name: str
) -> None:
    target = tmp_path / name
    assert main(["plugin", program, "-o", str(target)]) == 0
    assert f"{len(CATALOGUE)} functions" in capsys.readouterr().out
    assert zipfile.is_zipfile(target)
    target.write_text("mine")
    assert main(["plugin", program, "-o", str(target)]) == 2
    assert "--force" in capsys.readouterr().err and target.read_text() == "mine"
    assert main(["plugin", program, "-o", str(target), "--force"]) == 0
    assert zipfile.is_zipfile(target)
    assert [p.name for p in tmp_path.iterdir()] == [name]


def test_the_command_tells_all_that_is_wrong_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plugin", "calc", "-o", str(tmp_path / "none" / "addin.xlsx")]) == 2
    told = capsys.readouterr().err
    assert "must end in .oxt" in told and "no such folder" in told and "Traceback" not in told
    (tmp_path / "folder.oxt").mkdir()
    assert main(["plugin", "calc", "-o", str(tmp_path / "folder.oxt"), "--force"]) == 2
    assert "is a folder" in capsys.readouterr().err
    with pytest.raises(SystemExit) as ended:
        main(["plugin", "abacus"])
    assert ended.value.code == 2
