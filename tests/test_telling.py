"""What ``help`` shows of each function in US and in metric units: all of it, in the units of that face, its example run."""

from __future__ import annotations

import doctest
import pydoc
import re
import warnings
from typing import Any

import pytest

import hydrocalc
from hydrocalc.arguments import describe_limits
from hydrocalc.measures import SYSTEMS, Measure, System
from hydrocalc.named import Named, catalogue

CATALOGUE = {name: f for name, f in catalogue().items() if f.body.__module__.startswith("hydrocalc.")}


def _flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("function", CATALOGUE.values(), ids=list(CATALOGUE))
def test_help_tells_all_in_the_units_of_the_face(function: Named[Any], system: System) -> None:
    text = getattr(hydrocalc, system).__dict__[function.name].__doc__
    flat = _flat(text)
    assert flat.startswith(function.title)
    for parameter in function.parameters:
        assert _flat(f"{parameter.name}: {parameter.description} [") in flat
        if isinstance(parameter.kind, Measure):
            assert _flat(describe_limits(parameter.limits, parameter.kind, system)) in flat
    for said in (function.accuracy, function.source, *(t for t, _ in function.requires), *(t for t, _ in function.doubts)):
        assert _flat(said) in flat
    other = function.result.unit("metric" if system == "us" else "us").symbol
    own = function.result.unit(system).symbol
    assert f"Gives: {'a number without unit' if own == '–' else own}, " in flat
    assert own == other or f"Gives: {other}, " not in flat
    shown = doctest.DocTestParser().get_doctest(text, {"hydrocalc": hydrocalc}, function.name, None, None)
    assert len(shown.examples) == 1, "no worked example"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        assert doctest.DocTestRunner(verbose=False).run(shown).failed == 0


@pytest.mark.parametrize("function", CATALOGUE.values(), ids=list(CATALOGUE))
def test_the_examples_of_both_faces_are_the_same_case(function: Named[Any]) -> None:
    found = []
    for system in SYSTEMS:
        want = doctest.DocTestParser().get_examples(getattr(function, system).__doc__)[0].want
        found.append(float(function.result.unit(system).to_coherent(float(want.strip().strip("'")))))
    us, metric = found
    assert metric == pytest.approx(us, rel=2e-3, abs=0.02 if function.result.name == "Temperature" else 1e-12)


def test_help_itself_shows_it() -> None:
    shown = pydoc.plain(pydoc.render_doc(hydrocalc.us.flow_from_load))
    for said in ("heat carried by the liquid [BTU/h, at least 0 BTU/h]", "Accuracy: exact", "Source: heat balance", "'6.315"):
        assert said in shown
    assert "[kW, at least 0 kW]" in pydoc.plain(pydoc.render_doc(hydrocalc.metric.flow_from_load))
