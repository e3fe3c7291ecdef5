"""The frame of the named functions: registration, checks, faces; a function of the chapters is only its example here."""

from __future__ import annotations

import doctest
import inspect
import math
import multiprocessing
import os
import pickle
import threading
import warnings
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import pytest

import hydrocalc
from hydrocalc import named as frame
from hydrocalc.blocks import BLOCK
from hydrocalc.liquids import liquid_density, water_density
from hydrocalc.measures import (
    Length,
    Liquid,
    Ratio,
    above,
    between,
    measure,
)
from hydrocalc.named import RangeError, RegistrationError, ValidityWarning, calls_go_to, catalogue, named


@pytest.fixture(autouse=True)
def _own_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a test registers is forgotten after it."""
    monkeypatch.setattr(frame, "_CATALOGUE", dict(frame._CATALOGUE))


# --- registration ------------------------------------------------------------------------------------------------


def undescribed(length: Length) -> Length:
    """Length of a length."""
    return length


def undocumented(length: Length) -> Length:
    return length


def unmeasured(length) -> Length:  # type: ignore[no-untyped-def]
    """Length of a length.

    length: any
    """
    return length


def of_plain_type(length: float) -> Length:
    """Length of a length.

    length: any
    """
    return length


def of_no_result(length: Length):  # type: ignore[no-untyped-def]
    """Length of a length.

    length: any
    """
    return length


def of_text_result(length: Length) -> Liquid:
    """Liquid of a length.

    length: any
    """
    return length


def sound() -> Callable[..., Any]:
    """A sound body, made anew so that its example is run only where it has become a named function."""

    def good(length: Length, ratio: Ratio) -> Length:
        """Length times a ratio.

        length: any length, described
            on two lines
        ratio: any

        A note: with a colon in it.

        >>> good.us(3, 2)
        6.0
        """
        return length * ratio

    return good


@pytest.mark.parametrize(
    ("body", "options", "message"),
    [
        (undescribed, {}, "undescribed: argument length is not described in the docstring"),
        (undocumented, {}, "undocumented has no docstring"),
        (unmeasured, {}, "unmeasured: argument length has no measure"),
        (of_plain_type, {}, "of_plain_type: argument length has no measure"),
        (of_no_result, {}, "of_no_result: the result has no measure"),
        (of_text_result, {}, "of_text_result: the result has no measure"),
        (sound(), {"source": " "}, "good has no source"),
        (sound(), {"ranges": {"lenght": above(0.0)}}, r"good: a range is given for \['lenght'\], which it does not take"),
        (sound(), {"valid": {"width": above(0.0)}}, r"good: a range is given for \['width'\]"),
    ],
)
def test_registration_is_refused(body: Callable[..., Any], options: dict[str, Any], message: str) -> None:
    with pytest.raises(RegistrationError, match=message):
        named(**{"source": "here", **options})(body)
    assert body.__name__ not in catalogue()


def test_a_source_cannot_be_left_out() -> None:
    with pytest.raises(TypeError, match="source"):
        named()  # type: ignore[call-arg]


def test_registered_once() -> None:
    first = named(source="here")(sound())
    with pytest.raises(RegistrationError, match="good is registered twice"):
        named(source="here")(sound())
    assert catalogue()["good"] is first


def test_what_a_function_tells_of_itself() -> None:
    made = named(source="here", accuracy="there")(sound())
    assert (made.name, made.title, made.notes) == ("good", "Length times a ratio", "A note: with a colon in it.")
    assert [p.description for p in made.parameters] == ["any length, described on two lines", "any"]
    assert [p.symbol("us") for p in made.parameters] == ["ft", "–"]
    assert (made.source, made.accuracy, made.correlation, made.chapter) == ("here", "there", False, "test_named")
    assert made.result is measure("Length")
    assert repr(made) == "<named function good: Length times a ratio>"
    assert repr(made.us) == "<good in us trade units>"
    assert made.parameters[0].limits == measure("Length").limits


def test_signature_and_doctest_are_reachable() -> None:
    body = sound()
    made = named(source="here")(body)
    assert inspect.signature(made) == inspect.signature(body) == inspect.signature(made.us)
    assert made.__doc__ == body.__doc__
    assert made.metric.__doc__ != made.us.__doc__
    assert (made.__name__, made.us.__name__) == ("good", "good")
    examples = doctest.DocTestFinder().find(made, "good", globs={"good": made})
    assert [len(e.examples) for e in examples] == [1]
    assert doctest.DocTestRunner().run(examples[0]).failed == 0
    # A runner that could not see a wrong result would prove nothing.
    examples[0].globs["good"] = named(source="here")(_misnamed())
    assert doctest.DocTestRunner(verbose=False).run(examples[0], out=lambda _text: None).failed == 1


def _misnamed() -> Callable[..., Any]:
    def bad(length: Length, ratio: Ratio) -> Length:
        """Length times a ratio.

        length: any
        ratio: any
        """
        return length * ratio * 2.0

    return bad


def test_every_doctest_of_the_catalogue_is_found_through_its_function() -> None:
    for name, function in catalogue().items():
        assert function.__doc__ == function.body.__doc__
        assert list(inspect.signature(function).parameters) == [p.name for p in function.parameters], name


def test_the_catalogue_is_a_copy() -> None:
    catalogue().clear()  # type: ignore[attr-defined]
    assert len(catalogue()) > 100


# --- calls -------------------------------------------------------------------------------------------------------


def test_calls_by_place_and_by_name() -> None:
    by_place = hydrocalc.flow_from_load(18000.0, 11.0, 980.0, 4190.0)
    assert by_place == hydrocalc.flow_from_load(specific_heat=4190.0, drop=11.0, load=18000.0, density=980.0)
    assert by_place == hydrocalc.flow_from_load(18000.0, 11.0, specific_heat=4190.0, density=980.0)
    assert by_place == pytest.approx(18000.0 / (980.0 * 4190.0 * 11.0), rel=1e-15)
    assert hydrocalc.flow_from_load.us(drop=20, load=62000, density=61.2, specific_heat=1) == hydrocalc.us.flow_from_load(
        62000, 20, 61.2, 1
    )


@pytest.mark.parametrize("face", [hydrocalc.flow_from_velocity, hydrocalc.us.flow_from_velocity, hydrocalc.metric.flow_from_velocity])
def test_wrong_arguments_are_type_errors(face: Callable[..., Any]) -> None:
    for args, options in (((1.0,), {}), ((1.0, 2.0, 3.0), {}), ((1.0,), {"width": 2.0}), ((1.0, 2.0), {"bore": 2.0})):
        with pytest.raises(TypeError, match="argument"):
            face(*args, **options)


def test_defaults_of_a_body_are_taken() -> None:
    @named(source="here")
    def doubled(length: Length, ratio: Ratio = 2.0) -> Length:
        """Length times a ratio.

        length: any
        ratio: two unless given
        """
        return length * ratio

    assert (doubled(3.0), doubled(3.0, 3.0), doubled.us(3.0), doubled(ratio=4.0, length=1.0)) == (6.0, 9.0, 6.0, 4.0)


def test_views_convert_by_hand_worked_numbers() -> None:
    # 1 BTU/h = 1055.05585262/3600 W, 1 gpm = 231 * 0.0254³/60 m³/s, 1 lb/ft³ = 0.45359237/0.3048³ kg/m³, 1 BTU/(lb °F) = 4186.8 J/(kg K).
    coherent = hydrocalc.flow_from_load(62000 * 1055.05585262 / 3600, 20 / 1.8, 61.2 * 0.45359237 / 0.3048**3, 4186.8)
    assert hydrocalc.us.flow_from_load(62000, 20, 61.2, 1.0) == pytest.approx(coherent / (231 * 0.0254**3 / 60), rel=1e-14)
    assert hydrocalc.metric.flow_from_load(18, 11, 980, 4.19) == pytest.approx(18 / (980 * 4.19 * 11) * 60000, rel=1e-14)
    assert hydrocalc.us.water_boiling_temperature(14.6959488) == pytest.approx(
        hydrocalc.water_boiling_temperature(101325) * 1.8 + 32, rel=1e-9
    )


def test_numbers_of_every_kind() -> None:
    for value in (20, 20.0, np.float64(20), np.int32(20), np.array(20), np.float32(20), np.uint8(20)):
        result = water_density(value)
        assert type(result) is float
        assert result == water_density(20.0)


def test_arrays_give_arrays() -> None:
    grid = np.array([[5.0, 20.0], [60.0, 90.0]])
    result = water_density(grid)
    assert isinstance(result, np.ndarray)
    assert np.array_equal(result, [[water_density(t) for t in row] for row in grid])
    assert np.array_equal(water_density([5.0, 20.0]), result[0])
    assert np.array_equal(hydrocalc.us.water_density([41, 68]), [hydrocalc.us.water_density(t) for t in (41, 68)])
    assert water_density([]).shape == (0,)
    # A column against a row gives the whole table.
    assert hydrocalc.flow_from_velocity([[1.0], [2.0], [3.0]], [0.01, 0.02]).shape == (3, 2)


def test_long_arrays_are_worked_in_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    many = np.linspace(0.0, 100.0, 5 * BLOCK + 7)
    result = water_density(many)
    assert np.array_equal(result, water_density.body(many))
    tall = hydrocalc.flow_from_velocity(many.reshape(-1, 1), np.array([0.01, 0.02]))
    assert np.array_equal(tall, many.reshape(-1, 1) * np.pi * np.array([0.01, 0.02]) ** 2 / 4.0)
    # Texts take a thousand times as long as numbers: shorter blocks of them.
    monkeypatch.setattr("hydrocalc.blocks.BLOCK", 1000)
    few = many[:5007]
    assert np.array_equal(liquid_density(np.full(few.shape, "water", dtype=object), 0.0, few), result[:5007])


def test_long_arrays_are_refused_and_doubted_like_short_ones() -> None:
    many = np.full(3 * BLOCK, 1e5)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert np.all(hydrocalc.friction_factor(many, 1e-4) == hydrocalc.friction_factor(1e5, 1e-4))
    many[-1] = 3000.0
    with pytest.warns(ValidityWarning, match="between Reynolds 2000 and 4000") as told:
        doubtful = hydrocalc.friction_factor(many, 1e-4)
    assert len(told) == 1
    assert told[0].filename == __file__
    assert doubtful[0] == hydrocalc.friction_factor(1e5, 1e-4)
    many[2 * BLOCK] = -1.0
    with pytest.raises(RangeError, match=rf"^friction_factor: reynolds\[{2 * BLOCK}\] is -1, allowed: at least 0$"):
        hydrocalc.friction_factor(many, 1e-4)


def test_blocks_keep_the_callers_way_with_numpys_errors() -> None:
    @named(source="here")
    def quotient(a: Ratio, b: Ratio) -> Ratio:
        """One by the other.

        a: any
        b: any
        """
        return a / b

    many = np.ones(3 * BLOCK)
    with np.errstate(divide="raise"), pytest.raises(FloatingPointError):
        quotient(many, 0.0 * many)
    with np.errstate(divide="ignore"):
        assert np.all(np.isinf(quotient(many, 0.0 * many)))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no processes part from one another here")
def test_a_process_that_parts_works_in_blocks_too() -> None:
    many = np.linspace(0.0, 100.0, 3 * BLOCK)
    whole = water_density(many)
    assert pickle.loads(pickle.dumps(water_density)) is water_density
    assert pickle.loads(pickle.dumps(water_density.us)) is water_density.us
    with multiprocessing.get_context("fork").Pool(1) as pool:
        assert np.array_equal(pool.apply_async(water_density, (many,)).get(timeout=60), whole)


def test_nested_calls_neither_check_nor_warn_again() -> None:
    checks: list[str] = []

    @named(source="here", valid={"a": between(0.0, 1.0)}, requires=(("", lambda a: checks.append("inner") or True),))
    def inner(a: Ratio) -> Ratio:
        """The same number.

        a: any
        """
        return a

    @named(source="here", valid={"a": between(0.0, 1.0)}, requires=(("", lambda a: checks.append("outer") or True),))
    def outer(a: Ratio) -> Ratio:
        """The same number.

        a: any
        """
        return inner(inner(a))

    with pytest.warns(ValidityWarning) as caught:
        assert outer(2.0) == 2.0
    assert (len(caught), checks) == (1, ["outer"])
    with pytest.warns(ValidityWarning):
        assert inner(2.0) == 2.0  # called by itself it is checked
    assert checks == ["outer", "inner"]


def test_a_failing_body_leaves_the_checks_on() -> None:
    @named(source="here")
    def broken(a: Ratio) -> Ratio:
        """Nothing.

        a: any
        """
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        broken(1.0)
    with pytest.raises(RangeError):
        water_density(math.nan)


def test_a_hook_takes_every_call() -> None:
    seen: list[tuple[str, tuple[Any, ...]]] = []
    with calls_go_to(lambda function, args: seen.append((function.name, args))):
        water_density("anything")
        hydrocalc.flow_from_velocity(bore=2, velocity=1)
    assert seen == [("water_density", ("anything",)), ("flow_from_velocity", (1, 2))]
    assert water_density(20.0) > 0


def test_a_type_can_take_a_call_over() -> None:
    class Cell:
        @staticmethod
        def __named_call__(function: Any, args: tuple[Any, ...]) -> Any:
            return function.name, args

    cell = Cell()
    assert hydrocalc.flow_from_velocity(1.0, cell) == ("flow_from_velocity", (1.0, cell))


def test_threads_do_not_disturb_one_another() -> None:
    """Each thread has its own hook: a recording in one does not turn the checks off, or the numbers into something else, in another."""
    inside, done = threading.Event(), threading.Event()

    def recording() -> Any:
        with calls_go_to(lambda function, args: function.name):
            inside.set()
            assert done.wait(30)
            return water_density(20.0)

    def computing() -> Iterator[Any]:
        assert inside.wait(30)
        for i in range(200):
            yield water_density(float(i % 90 + 1)) == water_density.body(np.float64(i % 90 + 1))
        with pytest.raises(RangeError):
            water_density(math.nan)
        done.set()

    with ThreadPoolExecutor(2) as pool:
        recorded = pool.submit(recording)
        computed = pool.submit(lambda: list(computing()))
        assert all(computed.result(60))
        assert recorded.result(60) == "water_density"
    with ThreadPoolExecutor(8) as pool:
        loads = np.linspace(1e3, 1e5, 400)
        flows = list(pool.map(lambda load: hydrocalc.flow_from_load(load, 10.0, 980.0, 4190.0), loads))
    assert np.array_equal(flows, hydrocalc.flow_from_load(loads, 10.0, 980.0, 4190.0))
