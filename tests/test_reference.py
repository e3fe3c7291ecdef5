"""The reference is complete, says what calls check, and answers every name that people may type."""

from __future__ import annotations

import re
import subprocess
import sys
from typing import Any

import pytest

from hydrocalc.measures import SYSTEMS, Measure
from hydrocalc.named import Named, RangeError, catalogue
from hydrocalc.steps import STEPS
from workbook_builder.cli import main
from workbook_builder.formula.printing import function_in_words
from workbook_builder.plugins.reference import WIDTH, by_chapter, overview, page, plain_name

# Other tests register functions of their own.
CATALOGUE = {name: f for name, f in catalogue().items() if f.body.__module__.startswith("hydrocalc.")}


def _flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_the_overview_lists_every_function_once_under_its_chapter() -> None:
    short = [line.split()[0] for line in overview().splitlines() if line.startswith("  ")]
    assert short == [f.name for functions in by_chapter(steps=False).values() for f in functions]
    assert sorted(short) == sorted(set(catalogue()) - STEPS)
    lines = overview(steps=True).splitlines()
    listed = [line.split()[0] for line in lines if line.startswith("  ")]
    assert listed == [f.name for functions in by_chapter().values() for f in functions]
    assert sorted(listed) == sorted(catalogue())
    assert set(CATALOGUE) <= set(listed)
    heads = [line.split(" – ") for line in lines if line and not line.startswith(" ")][:-1]
    assert [head[0] for head in heads] == list(by_chapter())
    assert all(len(head[1]) > 10 for head in heads), "a chapter does not say what it is about"


@pytest.mark.parametrize("function", CATALOGUE.values(), ids=list(CATALOGUE))
def test_a_page_tells_all(function: Named[Any]) -> None:
    text = page(function)
    flat = _flat(text)
    assert text.startswith(f"{function.name}\n{function.title}.")
    assert f"hydrocalc.{function.name}(" in text
    for parameter in function.parameters:
        assert _flat(f"{parameter.name} {parameter.description}") in flat
        if isinstance(parameter.kind, Measure):
            for system in (*SYSTEMS, None):
                symbol = parameter.kind.unit(system).symbol
                assert (symbol if symbol != "–" else "no unit") in flat
    for system in SYSTEMS:
        assert function.result.unit(system).symbol.replace("–", "no unit") in flat
    for said in (function_in_words(function), function.accuracy, function.source, *(text for text, _ in function.requires)):
        assert _flat(said) in flat
    assert ">>> " in text, "no worked example"
    assert max(map(len, text.splitlines())) <= max(WIDTH, *(len(line) + 2 for line in (function.__doc__ or "").splitlines()))


def test_ranges_on_the_page_are_those_that_calls_are_checked_against() -> None:
    flow_from_load = CATALOGUE["flow_from_load"]
    assert "drop supply temperature less return temperature temperature difference, in °F (US) · K (metric and coherent)" in _flat(
        page(flow_from_load)
    )
    with pytest.raises(RangeError, match="allowed: above 0 °F"):
        flow_from_load.us(1000, 0, 61, 1)
    assert "allowed: above 0 °F (US)" in page(flow_from_load)
    assert "text, one of: water, propylene glycol, ethylene glycol" in _flat(page(CATALOGUE["liquid_density"]))
    assert "source holds: -58 °F to 230 °F (US)" in _flat(page(CATALOGUE["liquid_density"]))


@pytest.mark.parametrize(
    "typed", ["line_loss", "HYDRO.LINE_LOSS", "HYDRO_SI.LINE_LOSS", "hydrocalc.us.line_loss", "line_loss()", "line-loss"]
)
def test_a_function_is_found_by_every_name_it_has(typed: str) -> None:
    assert plain_name(typed) == "line_loss"


def test_the_command_prints_lists_and_pages(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["functions"]) == 0
    assert capsys.readouterr().out == overview() + "\n"
    assert main(["functions", "line_loss", "HYDRO.WATER_DENSITY"]) == 0
    assert capsys.readouterr().out == page(CATALOGUE["line_loss"]) + "\n\n" + page(CATALOGUE["water_density"]) + "\n"
    assert main(["functions", "ground"]) == 0
    out = capsys.readouterr().out
    assert "line_loss" in out
    assert "water_density" not in out


def test_an_unknown_name_gets_suggestions_and_every_one_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["functions", "line_loss", "line_lost", "zzz"]) == 2
    out, err = capsys.readouterr()
    assert not out
    first, second = err.splitlines()
    assert first.startswith("line_lost: no function and no chapter of that name; did you mean line_loss")
    assert second == "zzz: no function and no chapter of that name; `workbook-builder functions` lists them all"


def test_a_reader_that_stops_early_is_no_error() -> None:
    command = f"{sys.executable} -m workbook_builder functions | head -1"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)
    assert done.stdout.count("\n") == 1
    assert not done.stderr
