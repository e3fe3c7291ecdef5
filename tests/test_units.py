"""Units as people type them.  The listed factors are checked against pint, which knows them independently."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from hydrocalc.measures import SYSTEMS, Measure, measure, measures
from hydrocalc.quantities import registry
from workbook_builder.table import units

# What pint is to read for a listed spelling that it does not know in that form.
PINT = {
    ("Power", "mbh"): "1000 * Btu_it/hour",
    ("Power", "kbtu/h"): "1000 * Btu_it/hour",
    ("VolumeFlow", "gph"): "gallon/hour",
    ("VolumeFlow", "lpm"): "liter/minute",
    ("VolumeFlow", "l/s"): "liter/second",
    ("VolumeFlow", "m3/h"): "m**3/hour",
    ("AirFlow", "ft3/min"): "ft**3/minute",
    ("AirFlow", "m3/h"): "m**3/hour",
    ("Length", "in"): "inch",
    ("Length", "yd"): "yard",
    ("Length", "cm"): "cm",
    ("Length", "mm"): "mm",
    ("Bore", "ft"): "ft",
    ("Bore", "cm"): "cm",
    ("Volume", "ft3"): "ft**3",
    ("Space", "gal"): "gallon",
    ("Space", "l"): "liter",
    ("Velocity", "fpm"): "ft/minute",
    ("Velocity", "mph"): "mile/hour",
    ("Velocity", "km/h"): "km/hour",
    ("Pressure", "bar"): "bar",
    ("Head", "inch"): "inch",
    ("Conductivity", "btu in/h ft2 °f"): "Btu_it*inch/(hour*ft**2*delta_degF)",
    ("HeatingValue", "kj/kg"): "kJ/kg",
    ("Time", "min"): "minute",
    ("Time", "day"): "day",
    ("Minutes", "h"): "hour",
    ("ElectricPower", "kw"): "kilowatt",
}


@pytest.mark.parametrize(("kind", "spelling"), PINT, ids=lambda x: str(x).replace(" ", "_"))
def test_listed_factor_is_pints(kind: str, spelling: str) -> None:
    known = measure(kind)
    expected = (1.0 * registry()(PINT[kind, spelling])).to(known.coherent.pint).magnitude
    assert units.unit(known, spelling).to_coherent(1.0) == pytest.approx(expected, rel=1e-14)  # exact ratios on both sides


def test_every_listed_multiple_is_checked() -> None:
    """No factor stands in the list without its check above."""
    for kind, base, multiple, spellings in units._SPELLINGS:
        if multiple != 1:
            assert any((kind, s) in PINT for s in spellings.split(", ")), (kind, base, spellings)


@pytest.mark.parametrize("kind", list(measures()), ids=lambda m: m.name)
def test_the_trades_own_symbols_are_taken(kind: Measure) -> None:
    for system in SYSTEMS:
        own = kind.unit(system)
        found = units.unit(kind, own.symbol)
        assert (found.scale, found.offset) == (own.scale, own.offset)


@pytest.mark.parametrize(
    ("kind", "value", "spelling", "coherent"),
    [
        ("Temperature", 50.0, "F", 10.0),
        ("Temperature", 50.0, "deg F", 10.0),
        ("Temperature", 50.0, "degF", 10.0),
        ("Temperature", 283.15, "K", 10.0),
        ("Temperature", 509.67, "degR", 10.0),
        ("TemperatureDifference", 18.0, "°F", 10.0),
        ("TemperatureDifference", 18.0, "degR", 10.0),
        ("TemperatureDifference", 10.0, "°C", 10.0),
        ("Conductivity", 1.0, "W/(m·K)", 1.0),
        ("Conductivity", 1.0, "W/m-K", 1.0),
        ("Power", 2.0, "horsepower", 2 * 745.69987158227022),
        ("Volume", 1.0, "imperial_gallon", 4.54609e-3),
        ("Fraction", 25.0, "%", 0.25),
        ("Fraction", 0.25, "fraction", 0.25),
        ("Money", 7.0, "USD", 7.0),
        ("MoneyPerLength", 3.0, "$/yd", 3.0 / 0.9144),
        ("ElectricityPrice", 100.0, "$/MWh", 100.0 / 3.6e9),
        ("Count", 4.0, "", 4.0),
    ],
)
def test_spellings(kind: str, value: float, spelling: str, coherent: float) -> None:
    assert units.unit(measure(kind), spelling).to_coherent(value) == pytest.approx(coherent, rel=1e-12)


@pytest.mark.parametrize(
    ("kind", "spelling", "words"),
    [
        ("Length", "gpm", "measures volume flow, not length"),
        ("Length", "", "missing"),
        ("Length", "5", "decimal comma"),
        ("Length", "fet", "did you mean feet"),
        ("Length", "9**9**9**9**9", "not known"),
        ("Length", "__import__('os').getcwd()", "not known"),
        ("Length", "x" * 10_000, "not known"),
        ("Temperature", "delta_degF", "difference"),
        ("Temperature", "psi", "measures pressure"),
        ("Power", "MBTU/h", "a thousand BTU to some"),
        ("Power", "kWh", "measures energy"),
        ("Fraction", "", "%"),
        ("Money", "ft", "something else"),
    ],
)
def test_refused(kind: str, spelling: str, words: str) -> None:
    with pytest.raises(units.UnitError) as caught:
        units.unit(measure(kind), spelling)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("kind", "spelling", "fuel", "factor"),
    [
        ("MoneyPerUnit", "$/gal", "heating oil", 1.0),
        ("MoneyPerUnit", "$/unit", "heating oil", 1.0),
        ("MoneyPerUnit", "$/liter", "heating oil", 3.785411784),
        ("MoneyPerUnit", "$/MWh", "electricity", 1e-3),
        ("FuelAmount", "gal", "heating oil", 1.0),
        ("FuelAmount", "liter", "heating oil", 1 / 3.785411784),
        ("FuelAmount", "cords", "hardwood cordwood", 1.0),
        ("FuelAmount", "MWh", "electricity", 1000.0),
    ],
)
def test_units_of_sale(kind: str, spelling: str, fuel: str, factor: float) -> None:
    assert units.sold_unit(measure(kind), spelling, fuel).to_coherent(1.0) == pytest.approx(factor, rel=1e-12)


@pytest.mark.parametrize(
    ("kind", "spelling"), [("MoneyPerUnit", "$/kWh"), ("MoneyPerUnit", "gal"), ("FuelAmount", "kWh"), ("FuelAmount", "9**9**9")]
)
def test_units_of_sale_refused(kind: str, spelling: str) -> None:
    with pytest.raises(units.UnitError, match="gal"):
        units.sold_unit(measure(kind), spelling, "heating oil")


def test_a_job_in_listed_units_never_starts_pint() -> None:
    sample = Path(__file__).parents[1] / "samples" / "ridge-orchard.csv"
    script = "import sys; from workbook_builder.table.reader import read_job; read_job(sys.argv[1])"
    script += "; sys.exit(bool({'pint', 'openpyxl'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", script, str(sample)], cwd=sample.parents[1], check=False, timeout=60)
    assert done.returncode == 0
