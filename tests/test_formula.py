"""Formula: random expressions mean the same to Python, to the evaluator and to a real spreadsheet engine."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ironcalc
import numpy as np
import pytest
import xlsxwriter
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from slow import few

from hydrocalc import measures
from hydrocalc import named as catalogue_module
from hydrocalc.flow import flow_from_load
from hydrocalc.measures import Ratio, Temperature
from hydrocalc.named import named
from workbook_builder.formula import nodes
from workbook_builder.formula import recording as formula
from workbook_builder.formula.evaluation import evaluate
from workbook_builder.formula.printing import Argument, PythonMath, Worksheet, as_math, function_in_words, recorded_function
from workbook_builder.formula.rounding import rounded, seal
from workbook_builder.plugins.elementwise import as_lambda

NAMES = ("a", "b", "c")
SHEETS = few(2, of=100)  # of 150 expressions each
Body = Callable[[Any, Any, Any], Any]


def _constants() -> st.SearchStrategy[Body]:
    values = st.one_of(
        st.integers(-9, 9), st.floats(-50, 50).map(lambda v: round(v, 3)), st.sampled_from([0.0254, 231 / 7, 1e-4, 12345.678])
    )
    return values.map(lambda v: lambda a, b, c: v)


def _leaves() -> st.SearchStrategy[Body]:
    arguments: list[Body] = [lambda a, b, c: a, lambda a, b, c: b, lambda a, b, c: c, lambda a, b, c: a * 5 / 9 - 160 / 9]
    return st.one_of(st.sampled_from(arguments), st.sampled_from(arguments), _constants())


def _grown(inner: st.SearchStrategy[Body]) -> st.SearchStrategy[Body]:
    def two(op: Callable[[Any, Any], Any]) -> st.SearchStrategy[Body]:
        return st.tuples(inner, inner).map(lambda p: lambda a, b, c: op(p[0](a, b, c), p[1](a, b, c)))

    def one(op: Callable[[Any], Any]) -> st.SearchStrategy[Body]:
        return inner.map(lambda p: lambda a, b, c: op(p(a, b, c)))

    return st.one_of(
        two(lambda x, y: x + y),
        two(lambda x, y: x - y),
        two(lambda x, y: x * y),
        two(lambda x, y: x / (1.5 + np.abs(y))),
        two(np.maximum),
        two(np.minimum),
        st.tuples(inner, inner, inner, inner).map(
            lambda p: lambda a, b, c: np.where(p[0](a, b, c) < p[1](a, b, c), p[2](a, b, c), p[3](a, b, c))
        ),
        st.tuples(inner, inner, inner).map(
            lambda p: (
                lambda a, b, c: np.where(
                    (p[0](a, b, c) >= 1) & np.logical_not(p[1](a, b, c) > 2) | (p[2](a, b, c) <= 0), p[0](a, b, c), p[1](a, b, c)
                )
            )
        ),
        one(lambda x: -x),
        one(lambda x: x**2),
        one(lambda x: -(x**2)),
        one(lambda x: (-x) ** 3),
        one(lambda x: (1.0 + np.abs(x)) ** -1.9),
        one(lambda x: (2.0 * np.abs(x) + 1.0) ** (x / (1.0 + np.abs(x)))),
        one(lambda x: np.sqrt(np.abs(x))),
        one(lambda x: np.exp(x / (1.0 + np.abs(x)))),
        one(lambda x: np.log(1.0 + np.abs(x))),
        one(lambda x: np.log10(2.0 + x * x)),
        one(lambda x: np.tanh(x) + np.cos(x / (1 + np.abs(x)))),
        one(lambda x: np.arccosh(1.0 + np.abs(x)) - np.arctan(x)),
        one(lambda x: np.floor(x) - np.ceil(x / 3)),
    )


expressions = st.recursive(_leaves(), _grown, max_leaves=9)
arguments = st.tuples(*[st.floats(-20, 20).map(lambda v: round(v, 2)) for _ in NAMES])


def _recorded(body: Body) -> nodes.Node:
    leaves = [formula.Formula(nodes.Leaf(Argument(n))) for n in NAMES]
    return seal(formula.as_node(body(*leaves)))


def _near_a_step(body: Body, values: tuple[float, ...]) -> bool:
    """True where a comparison or a rounding flips within the rounding of sealed constants: then no value is the right one."""
    here = _plain(body, values)
    for nudge in (1 - 3e-8, 1 + 3e-8):
        for index in range(len(values)):
            moved = [v * nudge + (nudge - 1) if i == index else v for i, v in enumerate(values)]
            if not math.isclose(_plain(body, tuple(moved)), here, rel_tol=1e-4, abs_tol=1e-4):
                return True
    return False


def _plain(body: Body, values: tuple[float, ...]) -> float:
    with np.errstate(all="ignore"):
        return float(body(*(np.float64(v) for v in values)))


@settings(max_examples=SHEETS, deadline=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(expressions, arguments), min_size=150, max_size=150))
def test_random_expressions_agree_with_a_real_engine(
    tmp_path_factory: pytest.TempPathFactory, cases: list[tuple[Body, tuple[float, ...]]]
) -> None:
    path: Path = tmp_path_factory.mktemp("expressions") / "book.xlsx"
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet()
    expected: list[tuple[int, float, str]] = []
    for row, (body, values) in enumerate(cases):
        node = _recorded(body)
        cells = dict(zip(NAMES, (f"{letter}{row + 1}" for letter in "ABC"), strict=True))
        text = Worksheet(lambda r, cells=cells: cells[r.name]).text(node)
        sheet.write_row(row, 0, values)
        sheet.write_formula(row, 3, "=" + text, None, -1)
        named_values = dict(zip(NAMES, values, strict=True))
        value = float(evaluate(node, lambda r, v=named_values: np.float64(v[r.name])))
        if not math.isfinite(value) or abs(value) > 1e12:
            continue
        expected.append((row, value, text))
        if not _near_a_step(body, values):
            assert value == pytest.approx(_plain(body, values), rel=1e-5, abs=1e-5), text
        # The same formula as source for Python's math gives the same number.
        source = PythonMath(lambda r: r.name).text(node)
        assert float(eval(source, {"math": math}, named_values)) == pytest.approx(value, rel=1e-9, abs=1e-9), source
    book.close()
    model = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
    model.evaluate()
    for row, value, text in expected:
        found = model.get_cell_value(0, row + 1, 4)
        assert isinstance(found, float | int), f"{text} gives {found!r}"
        assert float(found) == pytest.approx(value, rel=1e-9, abs=1e-9), text


@named(source="invented for this test")
def blended(cold: Temperature, hot: Temperature, share: Ratio) -> Temperature:
    """Blend.

    cold: one end
    hot: other end
    share: how much of the hot one
    """
    return cold + (hot - cold) * share


# It is no function of the library: tests of the whole catalogue in the same process must not meet it.
catalogue_module._CATALOGUE.pop(blended.name)


def test_flow_is_one_division_with_one_constant() -> None:
    text = as_lambda(flow_from_load, "us").replace("_xlpm.", "")
    worked = "load/(8.02083333*density*specific_heat*drop)"
    there = "*".join(f'({name}<"")' for name in ("load", "drop", "density", "specific_heat"))
    within = "*".join(("(load>=0)", *(f"({name}>0)" for name in ("drop", "density", "specific_heat"))))
    assert text == f"_xlfn.LAMBDA(load,drop,density,specific_heat,IF({there},IF({within},{worked},#NUM!),#VALUE!))"
    assert ",60000*load/(density*specific_heat*drop)," in as_lambda(flow_from_load, "metric").replace("_xlpm.", "")
    # gpm in a BTU/h, from the definitions of foot, gallon and minute: 60 min/h * 231/1728 ft³/gal.
    assert float(text.split("load/(")[1].split("*")[0]) == pytest.approx(60 * 231 / 1728, rel=1e-9)


def test_temperature_conversions_fold_away() -> None:
    """A blend of two temperatures is the same formula in °F and in °C: nothing of 32 and 1.8 is left in it."""
    assert as_math(blended, "us") == as_math(blended, "metric") == ["return cold+(hot-cold)*share"]


def test_words_use_the_names_of_the_arguments() -> None:
    assert function_in_words(flow_from_load) == "load / (density × specific heat × drop)"


def test_affine_form_and_common_factor() -> None:
    kelvin = formula.leaf(Argument("t"), measures.TEMPERATURE, "us") + 273.15
    node = seal((10 / (593 - kelvin)).node)
    assert Worksheet(lambda r: r.name).text(node) == "18/(607.73-t)"


def test_a_sealed_constant_has_nine_digits_and_a_published_one_all_of_its_own() -> None:
    assert rounded(nodes.number(1 / 3).value) == nodes.Fraction("0.333333333")
    assert rounded(nodes.number(0.11670521452767e4).value) == nodes.Fraction("1167.0521452767")


@pytest.mark.parametrize(
    ("body", "word"),
    [
        (lambda x: 1.0 if x > 0 else 2.0, "np.where"),
        (lambda x: max(x, 1.0), "np.where"),
        (lambda x: math.log(x), "math.log"),
        (lambda x: np.interp(x, [0, 1], [0, 1]), "interp"),
        (lambda x: np.hypot(x, 1.0), "hypot"),
        (lambda x: sum(x), "np.maximum"),
        (lambda x: x * [1, 2], "list"),
    ],
)
def test_what_a_cell_cannot_do_is_an_error_that_says_so(body: Callable[[Any], Any], word: str) -> None:
    with pytest.raises(formula.NotRecordableError, match=word):
        body(formula.Formula(nodes.Leaf(Argument("x"))))


def test_a_recorded_function_evaluates_to_what_the_function_gives() -> None:
    _, node = recorded_function(flow_from_load, "us")
    values = {"load": 62000.0, "drop": 20.0, "density": 61.2, "specific_heat": 1.0}
    assert float(evaluate(node, lambda r: values[r.name])) == pytest.approx(flow_from_load.us(**values), rel=1e-9)
