"""The bridge to pint, and the factors of every measure against it."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pint
import pytest

import hydrocalc
from hydrocalc import named as frame
from hydrocalc import quantities
from hydrocalc.liquids import liquid_density, water_density
from hydrocalc.measures import (
    SYSTEMS,
    Fraction_,
    Key,
    Liquid,
    Measure,
    Power,
    System,
    Temperature,
    TemperatureDifference,
    VolumeFlow,
    measure,
    measures,
)
from hydrocalc.named import RangeError, named

UNITS = quantities.registry()
Q = UNITS.Quantity


@pytest.fixture(autouse=True)
def _own_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a test registers is forgotten after it."""
    monkeypatch.setattr(frame, "_CATALOGUE", dict(frame._CATALOGUE))


def test_quantities_in_quantity_out() -> None:
    flow = hydrocalc.flow_from_load(Q(62000, "BTU/hour"), Q(20, "delta_degF"), Q(61.2, "lb/ft**3"), Q(1, "BTU/(lb*delta_degF)"))
    assert flow.to("gpm").magnitude == pytest.approx(hydrocalc.us.flow_from_load(62000, 20, 61.2, 1), rel=1e-12)
    assert flow.check("[length]**3/[time]")
    # Bare numbers beside a quantity count in the units of the face.
    mixed = hydrocalc.flow_from_load(18000.0, Q(20, "delta_degF"), 980.0, 4190.0)
    assert mixed.to("m**3/s").magnitude == pytest.approx(18000 / (980 * 4190 * 20 / 1.8), rel=1e-12)
    by_name = hydrocalc.flow_from_load(density=980.0, drop=Q(20, "delta_degF"), load=Q(18, "kW"), specific_heat=4190.0)
    assert by_name == mixed


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_view_takes_quantities_by_their_units(system: System) -> None:
    view = getattr(hydrocalc, system).flow_from_load
    drop, density, heat = (20, 61.2, 1.0) if system == "us" else (20 / 1.8, 61.2 * 0.45359237 / 0.3048**3, 4.1868)
    flow = view(Q(18, "kW"), drop, density, heat)
    assert flow.magnitude == pytest.approx(
        view(18 if system == "metric" else 18000 / (1055.05585262 / 3600), drop, density, heat), rel=1e-12
    )
    assert flow.units == UNITS.Unit("gallon/minute" if system == "us" else "liter/minute")


def test_arrays_of_quantities_and_other_registries() -> None:
    many = water_density(Q(np.array([41.0, 140.0]), "degF"))
    assert many.magnitude == pytest.approx([water_density(5.0), water_density(60.0)], rel=1e-12)
    other = pint.UnitRegistry()
    single = water_density(other.Quantity(60.0, "degC"))
    assert single.magnitude == water_density(60.0)
    assert single._REGISTRY is not UNITS
    assert single.to(other.Unit("lb/ft**3")).magnitude == pytest.approx(hydrocalc.us.water_density(140), rel=1e-12)


def test_a_temperature_is_not_a_difference() -> None:
    assert water_density(Q(333.15, "kelvin")).magnitude == pytest.approx(water_density(60.0), rel=1e-12)
    assert water_density(Q(140.0, "degF")).magnitude == pytest.approx(water_density(60.0), rel=1e-12)
    kelvin = hydrocalc.flow_from_load(18000.0, Q(10.0, "kelvin"), 980.0, 4190.0)
    assert kelvin.magnitude == pytest.approx(hydrocalc.flow_from_load(18000.0, 10.0, 980.0, 4190.0), rel=1e-12)
    for unit in ("degC", "degF"):
        with pytest.raises(pint.DimensionalityError, match=r"'delta_degree_Celsius'; flow_from_load: drop is 20.0 degree"):
            hydrocalc.flow_from_load(18000.0, Q(20.0, unit), 980.0, 4190.0)
    for unit in ("delta_degC", "delta_degF"):
        with pytest.raises(pint.DimensionalityError, match=r"'degree_Celsius'; water_density: temperature is 20.0 delta"):
            water_density(Q(20.0, unit))
    mixed = hydrocalc.mixed_temperature(Q(2, "gpm"), Q(180, "degF"), Q(6, "gpm"), Q(140, "degF"))
    assert mixed.to("degF").magnitude == pytest.approx(150.0, rel=1e-9)


def test_a_wrong_dimension_names_both_sides() -> None:
    told = r"Cannot convert from 'meter' \(\[length\]\) to 'watt' .*; flow_from_load: load is 3 meter"
    with pytest.raises(pint.DimensionalityError, match=told):
        hydrocalc.flow_from_load(Q(3, "m"), 10.0, 980.0, 4190.0)


def test_quantities_are_checked_like_numbers() -> None:
    with pytest.raises(RangeError, match=r"drop is -18 Δ°F, allowed: above 0 Δ°F"):
        hydrocalc.flow_from_load(1.0, Q(-18, "delta_degF"), 980.0, 4190.0)
    with pytest.raises(RangeError, match=r"drop is -10 Δ°C, allowed: above 0 Δ°C"):
        hydrocalc.us.flow_from_load(1.0, Q(-10, "delta_degC"), 61.2, 1.0)
    with pytest.raises(RangeError, match=r"liquid is '1 meter', which is not one of: water"):
        liquid_density(Q(1, "m"), Q(0, "percent"), Q(140, "degF"))
    with pytest.raises(RangeError, match="which is not a number"):  # a list of quantities has no unit of its own
        water_density([Q(60, "degF")])


def test_a_text_beside_quantities() -> None:
    found = liquid_density("propylene glycol", Q(40, "percent"), Q(176, "degF"))
    assert found.magnitude == pytest.approx(liquid_density("propylene glycol", 0.4, 80.0), rel=1e-12)


def test_quantity_of_a_trade_unit() -> None:
    assert quantities.quantity(5.0, measure("VolumeFlow"), "us") == Q(5.0, "gpm")
    assert quantities.quantity("water", Key("liquids", "liquid"), "us") == "water"


def test_pint_comes_with_the_first_quantity() -> None:
    code = (
        "import sys, hydrocalc\n"
        "hydrocalc.us.flow_from_load(62000, 20, 61.2, 1.0); hydrocalc.catalogue()\n"
        "print('pint' in sys.modules)\n"
        "from hydrocalc import quantities\n"
        "print('pint' in sys.modules, quantities.is_quantity(3.0))\n"
        "unit = quantities.registry()\n"
        "print('pint' in sys.modules, round(hydrocalc.water_density(unit.Quantity(140, 'degF')).magnitude, 3))\n"
    )
    root = str(frame.__file__).rpartition("hydrocalc")[0]
    found = subprocess.run([sys.executable, "-c", code], cwd=root, check=True, capture_output=True, text=True)
    # 983.195 kg/m³ is IAPWS SR6-08(2011) at 60 °C and 0.1 MPa (IAPWS-95: 983.196).
    assert found.stdout.split("\n")[:3] == ["False", "False False", "True 983.195"]


@pytest.mark.parametrize("kind", list(measures()), ids=lambda kind: kind.name)
@pytest.mark.parametrize("system", SYSTEMS)
def test_factors_of_every_measure_against_pint(kind: Measure, system: System) -> None:
    """pint has its own definitions of inch, pound, gallon, BTU and psi; 1e-12 leaves room for its rounding alone."""
    unit = kind.unit(system)
    for value in (1.0, 73.4):
        coherent = Q(value, unit.pint).to(kind.coherent.pint).magnitude
        assert float(unit.to_coherent(value)) == pytest.approx(coherent, rel=1e-12)
        assert float(unit.from_coherent(coherent)) == pytest.approx(value, rel=1e-12)


def test_a_wrong_factor_would_be_seen() -> None:
    # The thermochemical BTU, the next one to the International Table's, differs by 7e-4.
    assert float(measure("Power").us.to_coherent(1.0)) != pytest.approx(Q(1, "Btu_th/hour").to("W").magnitude, rel=1e-6)


def test_there_and_back_is_the_same_number() -> None:
    for kind in measures():
        for system in SYSTEMS:
            unit = kind.unit(system)
            for value in (20.0, 180.0, 0.862, 1e-3):
                assert unit.from_coherent(unit.to_coherent(value)) == pytest.approx(value, rel=1e-13, abs=1e-13), (kind.name, system)


def test_an_unknown_measure_is_a_key_error() -> None:
    with pytest.raises(KeyError, match="Furlong"):
        measure("Furlong")


def test_a_function_of_everything() -> None:
    """One body with a text, a temperature, a difference and a fraction: every face gives the same state."""

    @named(source="here")
    def warmed(
        liquid: Liquid, temperature: Temperature, rise: TemperatureDifference, part: Fraction_, load: Power, flow: VolumeFlow
    ) -> Temperature:
        """Temperature after a rise.

        liquid: any
        temperature: before
        rise: of the whole
        part: of the rise
        load: not used
        flow: not used
        """
        return temperature + rise * part

    assert warmed("water", 20.0, 10.0, 0.5, 0.0, 0.0) == 25.0
    assert warmed.us("water", 68.0, 18.0, 50.0, 0.0, 0.0) == pytest.approx(77.0, rel=1e-14)
    assert warmed.metric("water", 20.0, 10.0, 50.0, 0.0, 0.0) == pytest.approx(25.0, rel=1e-14)
    found = warmed("water", Q(68.0, "degF"), Q(18.0, "delta_degF"), Q(50, "percent"), 0.0, 0.0)
    assert found.to("degF").magnitude == pytest.approx(77.0, rel=1e-12)
