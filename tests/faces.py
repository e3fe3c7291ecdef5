"""All faces of a named function side by side: what is drawn, how each face is called, and what it answers.

Numbers are drawn in coherent units from what a function allows and its source holds for; where that is endless, from the spans
below, which cover what a yard, a house and its outbuildings can show and a good deal more.
"""

from __future__ import annotations

import contextlib
import math
import warnings
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ironcalc
import numpy as np
import xlsxwriter
from numpy.typing import NDArray

from hydrocalc import quantities
from hydrocalc.measures import SYSTEMS, Key, Limits, Measure, System
from hydrocalc.named import Named, ValidityWarning
from hydrocalc.tables import table, tables
from workbook_builder.formula.evaluation import trade_values
from workbook_builder.formula.printing import Worksheet, as_math, block_name, column_name, key_name, recorded_function
from workbook_builder.model.rows import column_letters
from workbook_builder.plugins.elementwise import as_lambda

Array = NDArray[Any]

# Spans in coherent units, taken where limits are endless.  What may be negative is drawn negative too.
SPANS: Mapping[str, tuple[float, float]] = {
    "Power": (-3e5, 3e5),
    "Energy": (-1e10, 1e10),
    "SeasonEnergy": (-1e12, 1e12),
    "Temperature": (-40.0, 200.0),
    "TemperatureDifference": (-100.0, 100.0),
    "VolumeFlow": (0.0, 0.02),
    "MassFlow": (0.0, 20.0),
    "Length": (0.0, 300.0),
    "Bore": (0.003, 0.4),
    "Area": (0.0, 500.0),
    "Volume": (0.0, 50.0),
    "Space": (0.0, 2000.0),
    "Velocity": (0.0, 5.0),
    "Density": (100.0, 1200.0),
    "SpecificHeat": (1000.0, 5000.0),
    "Viscosity": (1e-4, 0.1),
    "Conductivity": (0.01, 5.0),
    "Diffusivity": (1e-7, 2e-6),
    "Pressure": (-1.2e6, 1.2e6),
    "Head": (-60.0, 60.0),
    "HeadGradient": (-1.0, 1.0),
    "HeatPerLength": (-500.0, 500.0),
    "HeatPerArea": (-2000.0, 2000.0),
    "Conductance": (0.0, 5000.0),
    "ConductancePerLength": (-10.0, 10.0),
    "ConductancePerArea": (0.0, 100.0),
    "Resistance": (0.0, 10.0),
    "LineResistance": (0.0, 20.0),
    "DegreeDays": (0.0, 8000.0),
    "Mass": (0.0, 2000.0),
    "HeatingValue": (-3e7, 3e7),
    "Cords": (0.0, 60.0),
    "CordEnergy": (-4e10, 4e10),
    "Time": (0.0, 1e6),
    "Minutes": (0.0, 1e5),
    "Days": (0.0, 365.0),
    "Years": (0.0, 40.0),
    "PerHour": (0.0, 0.01),
    "Fraction": (0.0, 1.0),
    "Ratio": (-100.0, 100.0),
    "Count": (0.0, 50.0),
    "Money": (-50000.0, 50000.0),
    "MoneyPerEnergy": (0.0, 1e-7),
    "MoneyPerLength": (0.0, 200.0),
    "MoneyPerCord": (0.0, 600.0),
    "MoneyPerTime": (0.0, 0.03),
    "FuelEnergy": (1e6, 3e10),
    "MoneyPerUnit": (0.0, 500.0),
    "FuelAmount": (0.0, 5000.0),
    "ElectricPower": (0.0, 2000.0),
    "ElectricityPrice": (0.0, 3e-7),
    "AirFlow": (0.0, 3.0),
    "AreaResistance": (0.0, 10.0),
    "TemperatureGradient": (-0.5, 0.5),
    "VolumePerLength": (0.0, 0.1),
    "HeadPerFlow": (-20000.0, 20000.0),
    "HeadPerFlowSquared": (-1e8, 1e8),
    "ExpansionCoefficient": (0.0, 1e-4),
    "FlowFactor": (1e-5, 0.03),
    "FlowCoefficient": (1e-5, 0.03),
}

# Differences count against the larger of the value and this share of the span: a result that happens to be zero has no relative error.
NEAR_ZERO = 1e-3
# The zero of °C and °F is a convention: a temperature's error counts against a hundred degrees.
TEMPERATURE_SCALE = 100.0
# The difference of two vapor pressures that happen to be equal: what is left of it has lost the digits that the two share.  A pool of
# the largest area drawn here gives off some 100 kW where they are not.
SCALES: Mapping[str, float] = {"pool_evaporation_loss": 1e4}

# How far from an end points stay, as a share of the width: an open end itself is refused, and a closed one that is not zero
# may be, when the conversion to a trade unit and back has rounded it across.
OPEN, CLOSED = 1e-6, 1e-9

# Narrower spans of single arguments, each with its reason.
NARROWED: Mapping[tuple[str, str], tuple[float, float]] = {
    # A height worked from the difference of two pressures: as the water comes to the boil they grow equal, and the ninth digit of
    # the one is all that is left.  Up to 85 °C at 70 kPa (3,000 m above the sea) they differ by a sixth.
    ("boiling_height", "temperature"): (0.0, 85.0),
    ("boiling_height", "surface_pressure"): (7e4, 1.2e6),
    # One less the share of the heat that goes up the stack: worth less than wood, or all but water, the fuel leaves nothing, and
    # the penalty is a quotient of two nothings.  Woods have 18 to 22 MJ/kg; no wood is wetter than 70 %.
    ("green_penalty", "dry_heating_value"): (1.5e7, 3e7),
    ("green_penalty", "moisture"): (0.0, 0.7),
    ("green_penalty", "reference_moisture"): (0.0, 0.7),
    ("recoverable_heating_value", "dry_heating_value"): (1.5e7, 3e7),
    ("recoverable_heating_value", "moisture"): (0.0, 0.7),
}


def span(function: Named[Any], name: str) -> tuple[float, float]:
    """The interval an argument is drawn from, in coherent units, ends included where they are allowed."""
    parameter = next(p for p in function.parameters if p.name == name)
    assert isinstance(parameter.kind, Measure)
    low, high = -math.inf, math.inf
    for limits in (parameter.limits, parameter.valid or Limits()):
        width = limits.high - limits.low if math.isfinite(limits.high - limits.low) else 1.0
        low = max(low, limits.low + width * (OPEN if limits.low_open else CLOSED if limits.low else 0.0))
        high = min(high, limits.high - width * (OPEN if limits.high_open else CLOSED if limits.high else 0.0))
    narrowed = NARROWED.get((function.name, name))
    wanted = narrowed or SPANS[parameter.kind.name]
    # A density "above zero" begins where liquids and woods begin; a range that the function itself sets is used to its ends.
    if narrowed or not math.isfinite(low) or (parameter.limits == parameter.kind.limits and low < wanted[0] <= high):
        low = max(low, wanted[0])
    if narrowed or not math.isfinite(high):
        high = min(high, max(wanted[1], 2.0 * low))
    assert low <= high, f"{function.name}: no span for {name}"
    return low, high


def drawn(function: Named[Any], rng: np.random.Generator, count: int) -> list[Array]:
    """``count`` sets of arguments that the function allows, in coherent units: whole spans, their ends, many magnitudes."""
    for tries in (20, 400, 8000):
        columns = [_column(function, p.name, rng, count * tries) for p in function.parameters]
        allowed = np.ones(count * tries, dtype=bool)
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore", ValidityWarning)
            for _, predicate in function.requires:
                allowed &= np.asarray(predicate(*columns), dtype=bool)
        if allowed.sum() >= count:
            return [c[allowed][:count] for c in columns]
    raise AssertionError(f"{function.name}: no {count} sets of arguments fulfil what it requires")


def _column(function: Named[Any], name: str, rng: np.random.Generator, size: int) -> Array:
    parameter = next(p for p in function.parameters if p.name == name)
    if isinstance(parameter.kind, Key):
        return rng.choice(np.array(sorted(set(table(parameter.kind.table).texts(parameter.kind.column))), dtype=object), size)
    low, high = span(function, name)
    values = rng.uniform(low, high, size)
    if high > 0.0:  # half of them positive and spread evenly over magnitudes
        least = max(low, high * 1e-4)
        values = np.where(rng.random(size) < 0.5, np.exp(rng.uniform(np.log(least), np.log(max(high, least)), size)), values)
    ends = rng.random(size)
    return np.where(ends < 0.04, low, np.where(ends > 0.97, high, values))


@dataclass(frozen=True)
class Answers:
    """What every face of one function answers at the same points, in coherent units."""

    function: Named[Any]
    points: list[Array]
    reference: Array
    faces: dict[str, Array]

    def differences(self, limit: float) -> Iterator[str]:
        """Every face that differs by more than the limit, in words."""
        result = self.function.result
        scale = TEMPERATURE_SCALE if result.name == "Temperature" else SCALES.get(self.function.name, NEAR_ZERO * SPANS[result.name][1])
        for face, values in self.faces.items():
            off = np.abs(values - self.reference) / np.maximum(np.abs(self.reference), scale)
            off = np.where(np.isfinite(off), off, np.inf)
            worst = int(np.argmax(off))
            if off[worst] > limit:
                at = ", ".join(f"{p.name}={c[worst]!r}" for p, c in zip(self.function.parameters, self.points, strict=True))
                found = f"{values[worst]!r} instead of {self.reference[worst]!r}"
                yield f"{self.function.name} as {face}: {off[worst]:.1e} off ({found}) at {at}"


def answers(functions: Sequence[Named[Any]], rng: np.random.Generator, count: int, path: Path) -> list[Answers]:
    """All faces of these functions at random points; the worksheets in one book, recalculated in IronCalc."""
    made = [_in_python(f, drawn(f, rng, count)) for f in functions]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        _in_a_book(made, path)
    return made


def _in_python(function: Named[Any], points: list[Array]) -> Answers:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        reference = _one_by_one(function, points)
        faces = {"array": np.asarray(function(*points)), "quantities": _of_quantities(function, points, None)}
        for system in SYSTEMS:
            trade = in_trade_units(function, points, system)
            back = function.result.unit(system).to_coherent
            faces[f"{system} view"] = back(_one_by_one(function.us if system == "us" else function.metric, trade))
            faces[f"{system} quantities"] = _of_quantities(function, trade, system)
            faces[f"{system} math source"] = back(_one_by_one(_math_function(function, system), trade))
    return Answers(function, points, reference, faces)


def _one_by_one(face: Callable[..., float], points: list[Array]) -> Array:
    """A face called with plain numbers; NaN where Python's ``math`` raises, so that it is told with its function and its point."""
    found = np.full(len(points[0]), np.nan)
    for i in range(len(found)):
        with contextlib.suppress(ZeroDivisionError, OverflowError):
            found[i] = face(*(_plain(c[i]) for c in points))
    return found


def _of_quantities(function: Named[Any], points: list[Array], system: System | None) -> Array:
    given = [quantities.quantity(c, p.kind, system) for p, c in zip(function.parameters, points, strict=True)]
    found = function(*given)
    return np.asarray(quantities.magnitude(found, function.result) if quantities.is_quantity(found) else found, dtype=np.float64)


def _plain(value: Any) -> Any:
    return value if isinstance(value, str) else float(value)


def in_trade_units(function: Named[Any], points: list[Array], system: System) -> list[Array]:
    """Coherent arguments as a person of that system would type them."""
    kinds = [p.kind for p in function.parameters]
    return [c if isinstance(k, Key) else np.asarray(k.unit(system).from_coherent(c)) for k, c in zip(kinds, points, strict=True)]


def table_values(system: System) -> dict[str, dict[tuple[str, ...], dict[str, float | None]]]:
    """Every table as the dictionaries that ``math`` source looks into."""
    found: dict[str, dict[tuple[str, ...], dict[str, float | None]]] = {}
    for name in tables():
        source = table(name)
        columns = {c: trade_values(source.columns[c], system) for c in source.columns}
        keys = [tuple(source.texts(k)[row] for k in source.keys) for row in range(source.rows)]
        found[name.upper()] = {key: {c: values[row] for c, values in columns.items()} for row, key in enumerate(keys)}
    return found


def _math_function(function: Named[Any], system: System) -> Callable[..., float]:
    names = ", ".join(p.name for p in function.parameters)
    source = "\n    ".join([f"def run({names}):", *as_math(function, system)])
    space: dict[str, Any] = {"math": math, **table_values(system)}
    exec(source, space)
    run: Callable[..., float] = space["run"]
    return run


# --- worksheets ----------------------------------------------------------------------------------------------------


def _in_a_book(made: list[Answers], path: Path) -> None:
    """Formulas in cells, nested lines in cells of their own, and LAMBDAs in defined names; -1 is stored everywhere."""
    for system in SYSTEMS:
        book = xlsxwriter.Workbook(str(path))
        sheet = book.add_worksheet("Points")
        _write_tables(book, system)
        places: list[tuple[int, int]] = []
        top = 0
        for answer in made:
            places.append((top, _write_function(book, sheet, answer, system, top)))
            top += len(answer.reference) + 1
        book.close()
        model = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
        model.evaluate()
        for answer, (first, column) in zip(made, places, strict=True):
            unit = answer.function.result.unit(system)
            for face, offset in (("worksheet formula", 0), ("LAMBDA", 1)):
                cells = [model.get_cell_value(0, first + 1 + i, column + 1 + offset) for i in range(len(answer.reference))]
                numbers = np.array([float(c) if isinstance(c, float | int) and not isinstance(c, bool) else np.nan for c in cells])
                answer.faces[f"{system} {face}"] = np.asarray(unit.to_coherent(numbers))


def _write_function(book: Any, sheet: Any, answer: Answers, system: System, top: int) -> int:
    """One function, a row a point; the column (from 0) of the result, beside which the LAMBDA's stands."""
    function = answer.function
    parts, result = recorded_function(function, system)
    names = [*(p.name for p in function.parameters), *(name for name, _, _ in parts.lines)]
    nodes = [*(node for _, _, node in parts.lines), result]
    lambda_name = f"HYDRO.{function.name.upper()}"
    book.define_name(lambda_name, "=" + as_lambda(function, system))
    inputs = in_trade_units(function, answer.points, system)
    printed = Worksheet(lambda r: f"{column_letters(names.index(r.name))}§")
    formulas = ["=" + printed.text(node) for node in nodes]
    arity = len(function.parameters)
    arguments = ",".join(f"{column_letters(i)}§" for i in range(arity))
    for i in range(len(answer.reference)):
        row = top + i
        for column, values in enumerate(inputs):
            value = _plain(values[i])
            sheet.write(row, column, value)
        for column, text in enumerate(formulas, start=arity):
            sheet.write_formula(row, column, text.replace("§", str(row + 1)), None, -1)
        call = f"={lambda_name}({arguments})".replace("§", str(row + 1))
        sheet.write_dynamic_array_formula(row, len(names) + 1, row, len(names) + 1, call, None, -1)
    return len(names)


def _write_tables(book: Any, system: System) -> None:
    """Every table, with the defined names that printed formulas look into."""
    out = book.add_worksheet("Tables")
    row = 0
    for name in tables():
        source = table(name)
        last = row + source.rows
        keys = ["|".join(source.texts(k)[i] for k in source.keys) for i in range(source.rows)]
        out.write_column(row, 0, keys)
        book.define_name(key_name(name), f"=Tables!$A${row + 1}:$A${last}")
        for place, column in enumerate(source.columns, start=1):
            for i, value in enumerate(trade_values(source.columns[column], system)):
                if value is not None:
                    out.write_number(row + i, place, value)
            letters = column_letters(place)
            book.define_name(column_name(name, column), f"=Tables!${letters}${row + 1}:${letters}${last}")
        texts = [column for column in source.order if column not in source.columns]
        for place, column in enumerate(texts, start=1 + len(source.columns)):
            out.write_column(row, place, source.texts(column))
            letters = column_letters(place)
            book.define_name(column_name(name, column), f"=Tables!${letters}${row + 1}:${letters}${last}")
        if source.columns:
            book.define_name(block_name(name), f"=Tables!$B${row + 1}:${column_letters(len(source.columns))}${last}")
        row = last


def longest_cell(function: Named[Any], system: System) -> tuple[int, str]:
    """The length of the longest formula that a function puts into one cell, and whose formula it is."""
    parts, result = recorded_function(function, system)
    printed = Worksheet(lambda _: "C99")
    lines = [*((node, inner.name) for _, inner, node in parts.lines), (result, function.name)]
    return max((len(printed.text(node)), name) for node, name in lines)
