"""The package by name: what is written out for editors is in step with the catalogue, and importing it is cheap."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path

import namespaces
import pytest

import hydrocalc
from hydrocalc.named import Named


def _up_to_date(path: Path) -> bool:
    return namespaces.pages()[path] == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["__init__.py", "us.pyi", "metric.pyi"])
def test_written_pages_are_up_to_date(name: str) -> None:
    assert _up_to_date(namespaces.PACKAGE / name), f"hydrocalc/{name} is out of date: run python tests/namespaces.py"


def test_an_old_page_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for path, text in namespaces.pages().items():
        (tmp_path / path.name).write_text(text.replace("flow_from_load", "flow_of_load"), encoding="utf-8")
    for chapter in namespaces.chapters():
        (tmp_path / f"{chapter}.py").touch()
    monkeypatch.setattr(namespaces, "PACKAGE", tmp_path)
    assert [_up_to_date(path) for path in namespaces.pages()] == [False, False, False]


def test_every_function_stands_under_its_name() -> None:
    functions = namespaces.named_functions()
    assert len(functions) > 100
    for name, function in functions.items():
        assert getattr(hydrocalc, name) is function
        assert getattr(hydrocalc.us, name) is function.us
        assert getattr(hydrocalc.metric, name) is function.metric
    assert hydrocalc.us.__all__ == hydrocalc.metric.__all__ == sorted(functions)


def test_no_function_hides_a_module() -> None:
    modules = {path.stem for path in namespaces.PACKAGE.glob("*.py")}
    assert not modules & set(namespaces.named_functions())
    assert all(inspect.ismodule(getattr(hydrocalc, chapter)) for chapter in namespaces.chapters())


def test_every_chapter_is_listed() -> None:
    registering = {p.stem for p in namespaces.PACKAGE.glob("*.py") if "\n@named(" in p.read_text(encoding="utf-8")}
    assert registering == set(namespaces.chapters())
    assert {f.chapter for f in namespaces.named_functions().values()} == registering


def test_unknown_names_are_attribute_errors() -> None:
    for space in (hydrocalc, hydrocalc.us, hydrocalc.metric):
        with pytest.raises(AttributeError, match="flow_of_load"):
            getattr(space, "flow_of_load")  # noqa: B009  # a constant name is the point here


def test_stub_says_the_units() -> None:
    us, metric = (namespaces.stub(system) for system in ("us", "metric"))
    assert '"""Flow that carries a heat load at a temperature drop, in gpm.' in us
    assert "    load: heat carried by the liquid [BTU/h]\n" in us
    assert '"""Flow that carries a heat load at a temperature drop, in L/min.' in metric
    assert "    load: heat carried by the liquid [kW]\n" in metric


def _loaded(code: str) -> set[str]:
    found = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(namespaces.PACKAGE.parent)!r}); {code}; print(*sys.modules)"],
        check=True,
        capture_output=True,
        text=True,
    )
    return set(found.stdout.split())


def test_importing_loads_no_heavy_library() -> None:
    heavy = {"pint", "xlsxwriter", "openpyxl", "scipy", "workbook_builder"}
    plain = "import hydrocalc; hydrocalc.flow_from_load(1.0, 2.0, 3.0, 4.0); hydrocalc.us.flow_from_load(1.0, 2.0, 3.0, 4.0)"
    assert not heavy & _loaded(plain)
    # The same look into a process finds pint once a unit is asked for.
    assert "pint" in _loaded("import hydrocalc.quantities; hydrocalc.quantities.registry()")


def test_named_functions_are_what_editors_need() -> None:
    assert isinstance(hydrocalc.flow_from_load, Named)
    assert str(inspect.signature(hydrocalc.flow_from_load)) == str(inspect.signature(hydrocalc.us.flow_from_load))
    assert list(inspect.signature(hydrocalc.flow_from_load).parameters) == ["load", "drop", "density", "specific_heat"]
