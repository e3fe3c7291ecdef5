"""The short way of plain numbers: it is taken, and nobody can tell it from the general way by what comes back.

Every call is made twice, as it is and with the short way shut; value, error, warnings and their words have to be the same.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np
import pytest
from faces import drawn, in_trade_units
from slow import but_first, some

import hydrocalc
from hydrocalc import named as frame
from hydrocalc import scalar
from hydrocalc.measures import SYSTEMS, Key, Ratio, System, between, measures
from hydrocalc.named import Named, RangeError, ValidityWarning, catalogue, named

# Python's logarithm and exponential may differ from numpy's in the last digit; a difference of two such figures in a few more.
LARGEST_DIFFERENCE = 1e-12
POINTS = 40

CATALOGUE = {name: f for name, f in catalogue().items() if f.body.__module__.startswith("hydrocalc.")}
OF_TEXTS = {name: f for name, f in CATALOGUE.items() if any(isinstance(p.kind, Key) for p in f.parameters)}
OF_NUMBERS = {name: f for name, f in CATALOGUE.items() if name not in OF_TEXTS}
every_function = pytest.mark.parametrize("function", OF_NUMBERS.values(), ids=list(OF_NUMBERS))
every_system = pytest.mark.parametrize("system", but_first(some([None, "us"], [None, *SYSTEMS])))


@pytest.fixture(autouse=True)
def _own_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a test registers is forgotten after it."""
    monkeypatch.setattr(frame, "_CATALOGUE", dict(frame._CATALOGUE))


def face_of(function: Named[Any], system: System | None) -> Any:
    return function if system is None else function.us if system == "us" else function.metric


def taken(face: Any, *args: Any) -> bool:
    """Whether the short way answers."""
    try:
        return face._made_scalar()(*args) is not None
    except Exception:  # what fails there goes the general way
        return False


@contextmanager
def _shut(face: Any) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(face, "_scalar", lambda *_, **__: None)
        yield


def _told(face: Callable[..., Any], args: list[Any]) -> tuple[Any, list[Any]]:
    """The value of a call, and all else that can be seen of it."""
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        try:
            value, seen = face(*args), []
        except Exception as error:
            value, seen = None, [type(error), str(error), type(error.__context__)]
    return value, [type(value), *seen, *((w.category, str(w.message), w.filename) for w in caught)]


def differences(face: Any, args: list[Any]) -> Iterator[str]:
    """How the two ways differ, in words."""
    value, seen = _told(face, args)
    with _shut(face):
        expected, wanted = _told(face, args)
    if seen != wanted:
        yield f"{face!r} of {args}: {seen} instead of {wanted}"
    elif isinstance(expected, float):
        same = value == expected or (math.isnan(value) and math.isnan(expected))
        if not same and not abs(value - expected) <= LARGEST_DIFFERENCE * abs(expected):
            yield f"{face!r} of {args}: {value!r} instead of {expected!r}"


def points_of(function: Named[Any], system: System | None, seed: int) -> list[list[float]]:
    points = drawn(function, np.random.default_rng(seed), POINTS)
    columns = points if system is None else in_trade_units(function, points, system)
    return [[float(c[i]) for c in columns] for i in range(POINTS)]


@every_function
@every_system
def test_inside_the_ranges_the_short_way_is_taken_and_says_the_same(function: Named[Any], system: System | None) -> None:
    face, points = face_of(function, system), points_of(function, system, 1)
    assert not [d for args in points for d in differences(face, args)]
    # Some of the points lie where a function doubts: a pump beyond its curve, an uncertain flow.
    assert sum(taken(face, *args) for args in points) >= POINTS / 2


STRANGE: tuple[Any, ...] = (
    *(math.nan, math.inf, -math.inf, 0.0, -0.0, 5e-324, 1e-300, -1e-300, 1e300, -1e300, 1e-20, -1e-20, 1e-21, 1e20, -1e20, 1e21),
    *(0, 7, -7, 2**60 + 1, 10**400, -(10**400), True, False, np.float64(3.0), np.float32(2.0), np.int64(5)),
    *("1", "", "water", b"1", None, 1j, (1.0,), [2.0, 3.0], np.array([2.0, 3.0]), Ellipsis),
)


def _spoiled(function: Named[Any], system: System | None, args: list[float], rng: np.random.Generator) -> list[Any]:
    """One argument or more at or about an end of its limits, of another magnitude, whole, or strange."""
    spoiled: list[Any] = list(args)
    for index in rng.choice(len(args), rng.integers(1, min(len(args), 3) + 1), replace=False):
        parameter, value = function.parameters[index], args[index]
        limits = [parameter.limits, *([parameter.valid] if parameter.valid else [])]
        inner = [e for limit in limits for e in (limit.low, limit.high) if math.isfinite(e)]
        ends = [float(parameter.kind.unit(system).from_coherent(e)) for e in inner]
        about = [b for e in ends for b in (e, math.nextafter(e, math.inf), math.nextafter(e, -math.inf), e + 1.0, e - 1.0)]
        others = [value * 10.0 ** rng.uniform(-25, 25), -value, round(value)]
        pool = (STRANGE, about or others, others)[rng.integers(3)]
        spoiled[index] = pool[rng.integers(len(pool))]
    return spoiled


@every_function
@every_system
def test_spoiled_arguments_are_told_in_the_same_words(function: Named[Any], system: System | None) -> None:
    face, rng = face_of(function, system), np.random.default_rng(2)
    given = [_spoiled(function, system, args, rng) for args in points_of(function, system, 3)]
    assert not [d for args in given for d in differences(face, args)]


@pytest.mark.slow
@every_function
def test_no_overflow_on_the_way_goes_unnoticed(function: Named[Any]) -> None:
    """At the ends of the magnitudes that the short way takes: what numpy warns of, it leaves to numpy."""
    rng = np.random.default_rng(4)
    ends = np.array([scalar._LEAST, -scalar._LEAST, scalar._MOST, -scalar._MOST, 1e-19, 1e19, 0.0, 1.0])
    given = [[float(v) for v in rng.choice(ends, len(function.parameters))] for _ in range(POINTS)]
    # Far below and above what anybody measures, a small difference of large terms may have lost more than the last digit or two.
    assert not [d for args in given for d in differences(function, args) if "instead of [" in d]


@pytest.mark.slow
@every_function
@every_system
def test_whole_numbers_are_plain_numbers(function: Named[Any], system: System | None) -> None:
    given = [[round(a) for a in args] for args in points_of(function, system, 5)]
    assert not [d for args in given for d in differences(face_of(function, system), args)]


@pytest.mark.parametrize("function", OF_TEXTS.values(), ids=list(OF_TEXTS))
def test_texts_go_the_general_way(function: Named[Any]) -> None:
    for system in (None, *SYSTEMS):
        for args in ([*map(_plain, row)] for row in zip(*drawn(function, np.random.default_rng(6), 3), strict=True)):
            assert not taken(face_of(function, system), *args)


def _plain(value: Any) -> Any:
    return value if isinstance(value, str) else float(value)


def test_the_comparison_sees_a_way_that_errs() -> None:
    """Another value, a whole number, a refusal or a warning that is left out."""
    face, inside, doubtful, refused = hydrocalc.friction_factor, [1e5, 1e-4], [3000.0, 1e-4], [-1.0, 1e-4]
    right = face._made_scalar()
    assert not [d for args in (inside, doubtful, refused) for d in differences(face, args)]
    for wrong, args in (
        (lambda *a: right(*a) * (1.0 + 2e-12), inside),
        (lambda *a: 1, inside),
        (lambda *a: math.nan, inside),
        (lambda *a: 0.02, doubtful),
        (lambda *a: 0.02, refused),
    ):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(face, "_scalar", wrong)
            assert len(list(differences(face, args))) == 1


def test_the_body_is_the_same_code() -> None:
    bound = hydrocalc.friction_factor._made_scalar().__globals__["_body"]
    assert bound.__code__ is hydrocalc.friction_factor.body.__code__
    assert bound.__globals__["friction_step"].__code__ is hydrocalc.friction_step.body.__code__
    assert bound.__globals__["np"] is scalar._MATH


def test_values_are_plain_floats() -> None:
    for value in (hydrocalc.flow_from_load(62000, 20, 61, 1), hydrocalc.us.turbulent_share(300), hydrocalc.metric.fuel_cost(2, 3)):
        assert type(value) is float


@every_system
def test_conversions_are_those_of_the_units(system: System | None) -> None:
    """To the last digit, so that a value at an end of its limits lies on the same side of it: 70 % is 0.7, and comes back as 70."""
    for kind in measures():
        unit = kind.unit(system)
        for value in (70.0, 1.1, -40.0):
            for convert in (unit.to_coherent, unit.from_coherent):
                assert eval(str(convert(scalar._Text("x"))), {"x": value}) == convert(value), (kind.name, value)


def test_arguments_by_name() -> None:
    assert hydrocalc.flow_from_velocity(bore=0.02, velocity=1.0) == hydrocalc.flow_from_velocity(1.0, 0.02)
    assert hydrocalc.us.flow_from_velocity(3.0, bore=1) == hydrocalc.us.flow_from_velocity(3.0, 1.0)
    assert hydrocalc.us.flow_from_velocity._made_scalar()(3.0, bore=1) is not None
    for face in (hydrocalc.flow_from_velocity, hydrocalc.us.flow_from_velocity):
        for args, names in (((1.0,), {}), ((1.0, 0.02, 3.0), {}), ((1.0,), {"width": 0.02}), ((1.0, 0.02), {"bore": 0.02})):
            with pytest.raises(TypeError) as told:
                face(*args, **names)
            with _shut(face), pytest.raises(TypeError) as wanted:
                face(*args, **names)
            assert str(told.value) == str(wanted.value)


@pytest.mark.parametrize("face", [hydrocalc.friction_factor, hydrocalc.us.friction_factor, hydrocalc.metric.friction_factor])
def test_a_warning_points_to_the_caller(face: Callable[..., Any]) -> None:
    with pytest.warns(ValidityWarning, match="between Reynolds 2000 and 4000") as told:
        face(3000.0, 1e-4)
    assert [w.filename for w in told] == [__file__]


def test_numpy_warns_of_an_overflow_as_before() -> None:
    with pytest.warns(RuntimeWarning, match="overflow"):
        assert hydrocalc.flow_from_load(1.0, 1e200, 1e200, 1.0) == 0.0
    with np.errstate(over="raise"), pytest.raises(FloatingPointError):
        hydrocalc.flow_from_load(1.0, 1e200, 1e200, 1.0)


def there_and_back(a: Ratio, b: Ratio) -> Ratio:
    """Twice divided, and the other way round.

    a: any
    b: any
    """
    return 1.0 / (b / a / a)


@pytest.mark.parametrize("a", [1e-200, 1e-160])
def test_an_overflow_that_leaves_no_trace_in_the_value_is_warned_of(a: float) -> None:
    with pytest.warns(RuntimeWarning, match="overflow"):
        assert _registered(there_and_back)(a, 1.0) == 0.0
    with _shut(frame._CATALOGUE["there_and_back"]), pytest.warns(RuntimeWarning, match="overflow"):
        assert frame._CATALOGUE["there_and_back"](a, 1.0) == 0.0


def _registered(body: Callable[..., Any], **options: Any) -> Named[Any]:
    return named(source="here", **options)(body)


def test_what_a_body_holds_decides() -> None:
    """A closure cannot be bound anew; a division by zero is left to numpy; a root of less than nothing is not a complex number."""
    far = [2.0]

    def closed(a: Ratio) -> Ratio:
        """A multiple.

        a: any
        """
        return a * far[0]

    function = _registered(closed)
    assert not taken(function, 1.0)
    assert function(1.0) == 2.0
    for body, answer in ((over_zero, math.inf), (root_of_less, math.nan)):
        function = _registered(body)
        assert not taken(function, 1.0)
        with pytest.warns(RuntimeWarning, match="divide by zero|invalid value"):
            assert function(1.0) == pytest.approx(answer, nan_ok=True)


def over_zero(a: Ratio) -> Ratio:
    """Too much.

    a: any
    """
    return a / (a - a)


def root_of_less(a: Ratio) -> Ratio:
    """No number.

    a: any
    """
    return (-a) ** 0.5


def failing(a: Ratio) -> Ratio:
    """Nothing.

    a: any
    """
    raise KeyError("here")


def test_an_error_of_a_body_is_told_once() -> None:
    with pytest.raises(KeyError, match="here") as told:
        _registered(failing)(1.0)
    assert told.value.__context__ is None


def sum_to(a: Ratio, b: Ratio) -> Ratio:
    """Sum.

    a: any
    b: any
    """
    return a + b


def test_requirements_and_limits_hold() -> None:
    function = _registered(
        sum_to,
        ranges={"a": between(0.0, 1.0)},
        valid={"a": between(0.0, 0.5)},
        requires=(("a must not exceed b", lambda a, b: a <= b),),
        doubts=(("b is large", lambda a, b: b > 10.0),),
    )
    assert taken(function, 0.5, 0.5)
    assert not any(taken(function, *args) for args in ((0.6, 1.0), (1.1, 2.0), (-0.1, 1.0), (0.5, 0.4), (0.5, 11.0), (0.5, True)))
    with pytest.raises(RangeError, match=r"^sum_to: a must not exceed b, but a is 0.5, b is 0.4$"):
        function(0.5, 0.4)


@pytest.mark.parametrize("name", ["maximum", "minimum"])
def test_the_larger_and_the_smaller_are_those_of_numpy(name: str) -> None:
    values = (-math.inf, -1.0, 0.0, 2.0, math.inf, math.nan)
    for a in values:
        for b in values:
            assert np.array_equal(getattr(scalar._MATH, name)(a, b), getattr(np, name)(a, b), equal_nan=True), (a, b)
