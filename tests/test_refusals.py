"""What a named function refuses and what it warns of: every problem at once, in the unit of the face that was called."""

from __future__ import annotations

import math
import re
import warnings
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

import hydrocalc
from hydrocalc import named as frame
from hydrocalc.arguments import describe_limits
from hydrocalc.liquids import liquid_density, water_density
from hydrocalc.measures import Length, Limits, Ratio, above, at_least, between, measure
from hydrocalc.named import RangeError, ValidityWarning, named


@pytest.fixture(autouse=True)
def _own_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a test registers is forgotten after it."""
    monkeypatch.setattr(frame, "_CATALOGUE", dict(frame._CATALOGUE))


_NOT_NUMBERS = [
    "20",
    b"20",
    None,
    True,
    np.True_,
    np.array([True]),
    ["20"],
    1j,
    object(),
    {},
    [[1.0], [1.0, 2.0]],
    np.datetime64("2020-01-01"),
]


@pytest.mark.parametrize("value", _NOT_NUMBERS, ids=[str(type(v).__name__) + str(i) for i, v in enumerate(_NOT_NUMBERS)])
@pytest.mark.parametrize("face", [water_density, water_density.us, water_density.metric], ids=["coherent", "us", "metric"])
def test_what_is_not_a_number_is_refused(face: Callable[..., Any], value: Any) -> None:
    with pytest.raises(RangeError, match=r"water_density: temperature is .*, which is not a number"):
        face(value)


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (math.nan, "temperature is nan °F, allowed: -4 °F to 302 °F"),
        (math.inf, "temperature is inf °F, allowed"),
        (-math.inf, "temperature is -inf °F, allowed"),
        (10**400, "temperature is inf °F, allowed"),
        (-(10**400), "temperature is -inf °F, allowed"),
        (400, "temperature is 400 °F, allowed: -4 °F to 302 °F"),
        ([50.0, math.nan, 60.0], r"temperature\[1\] is nan °F"),
        ([[50.0, 60.0], [70.0, -500.0]], r"temperature\[1, 1\] is -500 °F"),
        (np.array([math.inf]), r"temperature\[0\] is inf °F"),
    ],
)
def test_impossible_numbers_are_told_in_the_unit_of_the_face(value: Any, told: str) -> None:
    with pytest.raises(RangeError, match=told):
        water_density.us(value)


def test_infinity_is_refused_where_nothing_else_limits() -> None:
    with pytest.raises(RangeError, match="load is inf W, allowed: any finite number"):
        hydrocalc.drop_from_load(math.inf, 1e-3, 980.0, 4190.0)


def test_every_problem_is_told_at_once() -> None:
    with pytest.raises(RangeError) as error:
        hydrocalc.us.flow_from_load("much", 0, -1, math.nan)
    assert str(error.value) == (
        "flow_from_load: load is 'much', which is not a number; drop is 0 °F, allowed: above 0 °F; "
        "density is -1 lb/ft³, allowed: above 0 lb/ft³; specific_heat is nan BTU/(lb °F), allowed: above 0 BTU/(lb °F)"
    )


@pytest.mark.parametrize(
    ("limits", "told"),
    [
        (Limits(), "any finite number"),
        (above(10.0), "above 50 °F"),
        (at_least(10.0), "at least 50 °F"),
        (Limits(high=10.0), "at most 50 °F"),
        (Limits(high=10.0, high_open=True), "below 50 °F"),
        (between(10.0, 20.0), "50 °F to 68 °F"),
        (Limits(10.0, 20.0, low_open=True), "above 50 °F and at most 68 °F"),
        (Limits(10.0, 20.0, high_open=True), "at least 50 °F and below 68 °F"),
    ],
)
def test_limits_in_words(limits: Limits, told: str) -> None:
    assert describe_limits(limits, measure("Temperature"), "us") == told


def test_open_and_closed_ends() -> None:
    @named(source="here", ranges={"a": Limits(0.0, 1.0, low_open=True), "b": Limits(0.0, 1.0, high_open=True)})
    def ends(a: Ratio, b: Ratio) -> Ratio:
        """Sum.

        a: above 0
        b: below 1
        """
        return a + b

    assert ends(1.0, 0.0) == 1.0
    assert np.array_equal(ends([0.5, 1.0], [0.0, 0.5]), [0.5, 1.5])
    for a, b, told in (
        (0.0, 0.0, "a is 0,"),
        (1.0, 1.0, "b is 1,"),
        ([0.5, 0.0], 0.0, r"a\[1\] is 0,"),
        (1.0, [0.0, 1.0], r"b\[1\] is 1,"),
    ):
        with pytest.raises(RangeError, match=told):
            ends(a, b)


def test_arrays_that_do_not_fit_are_refused_by_name() -> None:
    told = r"flow_from_velocity: the arrays do not fit one another: velocity has the shape \(3,\), bore has the shape \(2,\)"
    with pytest.raises(RangeError, match=told):
        hydrocalc.flow_from_velocity([1.0, 2.0, 3.0], [0.01, 0.02])
    with pytest.raises(RangeError, match="do not fit"):  # also where a requirement would have met them first
        hydrocalc.drop_from_load([1.0, 2.0, 3.0], [0.01, 0.02], 980.0, 4190.0)


def test_requirements_see_all_arguments() -> None:
    told = r"drop_from_load: a load needs a flow, but load is 5, flow is 0, density is 61, specific_heat is 1"
    with pytest.raises(RangeError, match=told):
        hydrocalc.us.drop_from_load(5, 0, 61, 1)
    with pytest.raises(RangeError, match="a load needs a flow"):
        hydrocalc.drop_from_load([5.0, 5.0], [1e-4, 0.0], 980.0, 4190.0)


def test_requirements_wait_for_sound_arguments() -> None:
    seen: list[Any] = []

    @named(
        source="here", requires=(("b must be above a", lambda a, b: seen.append((a, b)) or b > a), ("a must be small", lambda a, _: a < 9))
    )
    def gap(a: Length, b: Length) -> Length:
        """Difference of two lengths.

        a: the one
        b: the other
        """
        return b - a

    with pytest.raises(RangeError, match="a is -1 m") as error:
        gap(-1.0, -2.0)
    assert "must" not in str(error.value)
    assert seen == []
    with pytest.raises(RangeError, match=r"b must be above a, but a is 10, b is 5; a must be small, but a is 10, b is 5"):
        gap(10.0, 5.0)
    assert gap.us(1.0, 2.0) == pytest.approx(1.0)
    assert seen[-1] == pytest.approx((0.3048, 0.6096))  # predicates are in coherent units


def test_text_keys() -> None:
    allowed = "water, propylene glycol, ethylene glycol"
    for value in ("watr", "", "wat er", 3, 3.5, None, True):
        with pytest.raises(RangeError, match=rf"liquid_density: liquid is {re.escape(repr(value))}, which is not one of: {allowed}"):
            liquid_density(value, 0.1, 20.0)
    with pytest.raises(RangeError) as error:
        liquid_density(["water", "oil", "beer", "oil"], 0.1, 20.0)
    assert "liquid[1] is 'oil', liquid[2] is 'beer', liquid[3] is 'oil', which is not one of" in str(error.value)
    with pytest.raises(RangeError, match=r"liquid\[0, 1\] is \[\]"):
        liquid_density([["water", []]], 0.1, 20.0)
    mixed = liquid_density(["water", "ethylene glycol"], 0.3, 20.0)
    assert np.array_equal(mixed, [liquid_density("water", 0.3, 20.0), liquid_density("ethylene glycol", 0.3, 20.0)])


def test_a_text_and_a_number_are_told_together() -> None:
    with pytest.raises(RangeError, match=r"liquid is 'oil'.*; glycol_fraction is 200 %, allowed: 0 % to 70 %; temperature is nan °F"):
        hydrocalc.us.liquid_density("oil", 200, math.nan)


@pytest.mark.parametrize("times", [1, 2])
def test_an_extrapolation_warns_once_a_call(times: int) -> None:
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        for _ in range(times):
            water_density.us([100.0, 240.0, 250.0])
    assert [str(w.message) for w in caught] == [
        "water_density: temperature[1] is 240 °F, temperature[2] is 250 °F, its source holds: -4 °F to 230 °F"
    ] * times
    assert all(w.category is ValidityWarning and w.filename == __file__ for w in caught)


@pytest.mark.parametrize("face", [water_density, water_density.us])
def test_the_warning_points_to_the_caller_by_name_too(face: Callable[..., Any]) -> None:
    with pytest.warns(ValidityWarning) as caught:
        face(temperature=115.0 if face is water_density else 240.0)
    assert [w.filename for w in caught] == [__file__]


def test_a_refusal_does_not_warn_as_well() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with pytest.raises(RangeError):
            liquid_density("oil", 0.65, 112.0)
