"""Every function of the catalogue gives the same number on every face: floats, arrays, quantities, both views, worksheet
formulas and LAMBDAs recalculated in a real engine, and source for Python's ``math``.

A failure names the function, the face, the difference and the point; hypothesis keeps its seed and tries it first next time.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from faces import Answers, answers, drawn, longest_cell, span
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from slow import but, but_first, few

from hydrocalc.measures import SYSTEMS, Measure
from hydrocalc.named import Named, catalogue
from workbook_builder.model.worksheet import LONGEST_FORMULA
from workbook_builder.plugins.elementwise import as_lambda

# Constants of a sealed formula carry nine digits, so a chain of a few dozen of them may differ in the eighth.
LARGEST_DIFFERENCE = 1e-7
POINTS, DRAWS = 24, few(2, of=20)
LONGEST_NAME_DEFINITION = 8192  # what Excel takes

# Other tests register functions of their own.
CATALOGUE = {name: f for name, f in catalogue().items() if f.body.__module__.startswith("hydrocalc.")}
CHAPTERS = list(dict.fromkeys(f.chapter for f in CATALOGUE.values()))
every_function = pytest.mark.parametrize("function", CATALOGUE.values(), ids=list(CATALOGUE))


# No shrinking: a smaller seed is not a simpler case, and each try costs a book.
@pytest.mark.parametrize("chapter", but(CHAPTERS[::4], CHAPTERS))
@settings(max_examples=DRAWS, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate], suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 2**32 - 1))
def test_all_faces_agree(tmp_path_factory: pytest.TempPathFactory, chapter: str, seed: int) -> None:
    functions = [f for f in CATALOGUE.values() if f.chapter == chapter]
    path = tmp_path_factory.mktemp("faces") / f"{chapter}.xlsx"
    found = [d for a in answers(functions, np.random.default_rng(seed), POINTS, path) for d in a.differences(LARGEST_DIFFERENCE)]
    assert not found, "\n".join(found)


def test_a_face_that_errs_is_found(tmp_path: Path) -> None:
    """The comparison sees a difference of 2e-7, and an error value, of any face."""
    (answer,) = answers([CATALOGUE["flow_from_load"]], np.random.default_rng(1), POINTS, tmp_path / "book.xlsx")
    kinds = ("view", "quantities", "math source", "worksheet formula", "LAMBDA")
    assert set(answer.faces) == {"array", "quantities", *(f"{system} {kind}" for system in SYSTEMS for kind in kinds)}
    assert not list(answer.differences(LARGEST_DIFFERENCE))
    for face, values in answer.faces.items():
        for spoiled in (values * (1 + 2e-7), np.where(np.arange(POINTS) == 7, np.nan, values)):
            other = Answers(answer.function, answer.points, answer.reference, {**answer.faces, face: spoiled})
            (found,) = other.differences(LARGEST_DIFFERENCE)
            assert f"flow_from_load as {face}" in found


@pytest.mark.slow
@every_function
def test_points_spread_over_what_is_allowed(function: Named[object]) -> None:
    """An argument that stood still would prove nothing."""
    points = drawn(function, np.random.default_rng(2), 200)
    for parameter, values in zip(function.parameters, points, strict=True):
        assert len(set(values.tolist())) > 20 or not isinstance(parameter.kind, Measure), parameter.name
        if isinstance(parameter.kind, Measure):
            low, high = span(function, parameter.name)
            assert low < high
            assert low <= values.min()
            assert values.max() <= high
        else:
            assert len(set(values.tolist())) > 1


@every_function
@pytest.mark.parametrize("system", but_first(SYSTEMS))
def test_no_cell_holds_a_formula_that_nobody_can_read(function: Named[object], system: str) -> None:
    length, whose = longest_cell(function, system)  # type: ignore[arg-type]
    assert length <= LONGEST_FORMULA, f"{function.name} puts {length} characters of {whose} into a cell"


@every_function
def test_a_defined_name_can_hold_the_function(function: Named[object]) -> None:
    """Not too long, and no argument or part is called what a spreadsheet takes for a cell."""
    for system in SYSTEMS:
        text = as_lambda(function, system)
        assert len(text) < LONGEST_NAME_DEFINITION
        for name in re.findall(r"_xlpm\.(\w+)", text):
            assert not re.fullmatch(r"[A-Za-z]{1,3}\d{1,7}|[rRcC]\d*|[rR]\d*[cC]\d*", name), name
