"""The functions at their edges: what a wrong call is told, and which texts, quantities and arrays are taken."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pint
import pytest

import hydrocalc
from hydrocalc import quantities
from hydrocalc.named import RangeError
from hydrocalc.tables import table, tables

Q = quantities.registry().Quantity
FLOW = "load, drop, density, specific_heat"


@pytest.mark.parametrize("face", [hydrocalc.flow_from_load, hydrocalc.us.flow_from_load, hydrocalc.metric.flow_from_load])
@pytest.mark.parametrize(
    ("args", "options", "told"),
    [
        ((), {"heat": 3.0}, f"flow_from_load has no argument 'heat'; it has {FLOW}"),
        ((1.0, 2.0, 3.0, 4.0), {"heat": 3.0, "cold": 1}, f"flow_from_load has no argument 'heat', 'cold'; it has {FLOW}"),
        ((1.0, 2.0, 3.0, 4.0, 5.0), {}, f"flow_from_load was given 5 arguments; it has {FLOW}"),
        ((1.0, 2.0), {"density": 3.0}, f"flow_from_load was not given the argument 'specific_heat'; it has {FLOW}"),
        ((1.0, 2.0, 3.0, 4.0), {"drop": 3.0}, f"flow_from_load was given the argument 'drop' twice; it has {FLOW}"),
    ],
)
def test_a_wrong_call_names_the_function_and_the_word(
    face: Callable[..., Any], args: tuple[Any, ...], options: dict[str, Any], told: str
) -> None:
    with pytest.raises(TypeError, match=f"^{re.escape(told)}$"):
        face(*args, **options)


def test_a_quantity_is_refused_in_the_unit_in_which_it_came() -> None:
    for face in (hydrocalc.water_vapor_pressure, hydrocalc.us.water_vapor_pressure):  # 0 to 370 °C
        with pytest.raises(RangeError, match=r"temperature is 400 °C, allowed: 0 °C to 370 °C$"):
            face(Q(400, "degC"))
        with pytest.raises(RangeError, match=r"temperature is 200 K, allowed: 273.15 K to 643.15 K$"):
            face(Q(200, "kelvin"))
    with pytest.raises(RangeError, match=r"bore is -2 in, allowed: above 0 in$"):
        hydrocalc.flow_from_velocity(1.0, Q(-2, "inch"))
    with pytest.raises(RangeError, match=r"temperature\[1\] is 400 °C, temperature\[3\] is -5 °C, allowed: 0 °C to 370 °C$"):
        hydrocalc.us.water_vapor_pressure(Q(np.array([20.0, 400.0, 50.0, -5.0]), "degC"))
    with pytest.raises(RangeError, match=r"hot must be at least cold, but volume is 64, cold is 60 °C, hot is 125$"):
        hydrocalc.us.hot_water_energy(64, Q(60, "degC"), 125)


def test_a_quantity_of_a_registry_that_does_not_know_the_trade() -> None:
    foreign = pint.UnitRegistry()
    assert "cord" not in foreign
    heat = hydrocalc.us.cord_energy(0.63, foreign.Quantity(80.0, "ft**3"), 8600)
    assert heat._REGISTRY is foreign
    assert heat.magnitude == pytest.approx(hydrocalc.us.cord_energy(0.63, 80, 8600), rel=1e-12)
    assert (heat * foreign.Quantity(2.0, "cord")).to("Btu_it").magnitude == pytest.approx(2e6 * heat.magnitude, rel=1e-12)
    own = pint.UnitRegistry()
    own.define("cord = 128 * foot**3")  # what a registry has already stays what it is there
    length = hydrocalc.us.cords_in_stack(own.Quantity(8.0, "ft"), 4, 4)
    assert length.to("ft**3").magnitude == pytest.approx(128.0)


def test_texts_count_whatever_their_capitals_and_blanks() -> None:
    wanted = hydrocalc.liquid_density("propylene glycol", 0.4, 60.0)
    for text in ("Propylene Glycol", "  propylene   GLYCOL ", np.str_("PROPYLENE GLYCOL")):
        assert hydrocalc.liquid_density(text, 0.4, 60.0) == wanted
    many = hydrocalc.liquid_density(["Water", " propylene glycol"], 0.4, 60.0)
    assert many.tolist() == [hydrocalc.liquid_density("water", 0.4, 60.0), wanted]
    for name in tables():
        made = table(name)
        for key in zip(*(made.texts(k) for k in made.keys), strict=True):
            assert made.row(*(f" {k.upper()} ".replace(" ", "  ") for k in key)) == made.row(*key), name
    with pytest.raises(KeyError, match=r"table soils has no row Moon Dust"):
        table("soils").row("Moon Dust")


def test_what_is_wrong_in_an_array_is_named_by_its_place_and_counted() -> None:
    grid = np.full((2, 400), 20.0)
    grid[1, 3] = -300.0
    with pytest.raises(RangeError, match=r"^water_vapor_pressure: temperature\[1, 3\] is -300 °C, allowed: 0 °C to 370 °C$"):
        hydrocalc.water_vapor_pressure(grid)
    grid[0, :] = 999.0
    with pytest.raises(RangeError, match=r"temperature\[0, 0\] is 999 °C, .*temperature\[0, 4\] is 999 °C and 396 more, allowed") as told:
        hydrocalc.water_vapor_pressure(grid)
    assert len(str(told.value)) < 300
    texts = ["water", *(f"tar {i}" for i in range(300))]
    with pytest.raises(
        RangeError, match=r"liquid\[1\] is 'tar 0', .*liquid\[5\] is 'tar 4' and 295 more, which is not one of: water"
    ) as told:
        hydrocalc.liquid_density(texts, 0.4, 20.0)
    assert len(str(told.value)) < 300
    cold = np.full(900, 50.0)
    cold[[7, 8, 20]] = 140.0
    with pytest.raises(RangeError, match=r"hot must be at least cold, but at \[7\] volume is 64, cold is 140, hot is 125, at \[8\]"):
        hydrocalc.us.hot_water_energy(64, cold, 125)
    for nothing in ("x" * 5000, ["x"] * 5000, {i: i for i in range(5000)}):
        with pytest.raises(RangeError, match="which is not a number") as told:
            hydrocalc.water_density(nothing)
        assert len(str(told.value)) < 300


def test_a_masked_array_is_refused_and_one_of_which_nothing_is_masked_is_taken() -> None:
    values = np.array([20.0, 30.0, -300.0])
    told = r"temperature is an array of which some is masked: give its compressed\(\) values, or its filled\(\) ones"
    for face in (hydrocalc.water_density, hydrocalc.us.water_density, hydrocalc.metric.water_density):
        with pytest.raises(RangeError, match=told):
            face(np.ma.masked_array(values, [False, False, True]))
    whole = np.ma.masked_array(values[:2], [False, False])
    assert hydrocalc.water_density(whole).tolist() == hydrocalc.water_density(values[:2]).tolist()
