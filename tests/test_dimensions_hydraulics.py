"""Dimensions of the hydraulic chapters: each homogeneous body, called with pint quantities, returns its declared measure.

A body's constants stand in its module as numbers with their unit in the comment beside them; here each of them is
replaced by the quantity, so a body that forgot one, or a comment that lies about one, fails.
"""

from __future__ import annotations

import re
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from hydrocalc import flow, friction, liquids, pressure, pumps, quantities
from hydrocalc.measures import Key, Measure
from hydrocalc.named import Named, calls_go_to, catalogue
from hydrocalc.tables import Table, table

MODULES: tuple[ModuleType, ...] = (liquids, flow, friction, pumps, pressure)
CHAPTERS = {m.__name__.rpartition(".")[2] for m in MODULES}
HOMOGENEOUS = [f for f in catalogue().values() if f.chapter in CHAPTERS and not f.correlation]
UNITS = {
    "m": "m",
    "K": "K",
    "Pa": "Pa",
    "°C": "K",
    "K/m": "K/m",
    "m/s²": "m/s**2",
    "kg/m³": "kg/m**3",
}
NO_UNIT = {"LAMINAR_LIMIT", "LAMINAR_FACTOR", "TURBULENT_LIMIT", "ATMOSPHERE_EXPONENT"}


def constants(module: ModuleType) -> dict[str, str]:
    """The constants of a module with the unit that the comment beside each of them names."""
    found: dict[str, str] = {}
    for line in Path(str(module.__file__)).read_text(encoding="utf-8").splitlines():
        match = re.match(r"^([A-Z][A-Z_]+) = .*?#\s*(.+)$", line)
        if match and match[1] not in NO_UNIT:
            text = match[2]
            found[match[1]] = max((u for u in UNITS if re.match(re.escape(u) + r"(,|$)", text)), key=len)
    return found


def as_quantity(value: Any, unit: str) -> Any:
    registry = quantities.registry()
    return registry.Quantity(float(value) + (273.15 if unit == "°C" else 0.0), UNITS[unit])


def sample(kind: Measure, place: int) -> Any:
    unit = kind.coherent.pint
    # Temperatures in kelvin: pint refuses to multiply degrees that have an offset, and a body may weigh two of them.
    registry = quantities.registry()
    return registry.Quantity(330.0 + place, "K") if unit == "degC" else registry.Quantity(7.5 + place, unit)


def unit_of(kind: Measure) -> str:
    return "K" if kind.coherent.pint == "degC" else kind.coherent.pint


@pytest.fixture
def with_units(monkeypatch: pytest.MonkeyPatch) -> None:
    for home in MODULES:
        for name, unit in constants(home).items():
            replaced = as_quantity(getattr(home, name), unit)
            for module in (m for m in MODULES if hasattr(m, name)):  # where it is imported, too
                monkeypatch.setattr(module, name, replaced)
    plain = Table.lookup

    def lookup(self: Table, column: str, *keys: Any) -> Any:
        kind = self.columns[column].measure
        offset = 273.15 if kind.coherent.pint == "degC" else 0.0
        return quantities.registry().Quantity(plain(self, column, *keys) + offset, unit_of(kind))

    monkeypatch.setattr(Table, "lookup", lookup)


@pytest.mark.usefixtures("with_units")
@pytest.mark.parametrize("function", HOMOGENEOUS, ids=[f.name for f in HOMOGENEOUS])
def test_dimensions(function: Named[Any]) -> None:
    given = {}
    for place, parameter in enumerate(function.parameters):
        kind = parameter.kind
        given[parameter.name] = table(kind.table).texts(kind.column)[0] if isinstance(kind, Key) else sample(kind, place)
    with calls_go_to(lambda inner, args: inner.body(*args)):
        result = quantities.registry().Quantity(function.body(**given))
    assert result.check(quantities.registry().Quantity(1, unit_of(function.result)).dimensionality)


def test_constants_were_found() -> None:
    pressures = {"BAR": "Pa", "PSI": "Pa", "WATER_DENSITY": "kg/m³"}
    assert constants(friction) == {"STANDARD_GRAVITY": "m/s²", "INCH": "m", **pressures}
    assert {"SEA_LEVEL_PRESSURE", "LAPSE_RATE", "COOL_POINT"} <= constants(pressure).keys()


def test_correlations_are_few() -> None:
    """What is a fit with its units built in, by name: anything else in these chapters is homogeneous."""
    fits = {f.name for f in catalogue().values() if f.chapter in CHAPTERS and f.correlation}
    assert {n for n in fits if not n.startswith(("water_", "liquid_"))} == {
        "saturation_variable",
        "boiling_root",
        "boiling_variable",
        "glycol_fraction_offset",
        "hazen_williams_gradient",
        "expansion_volume",
        "boiling_height",
    }
