"""The functions at their edges: what a wrong call is told, and which texts, quantities and arrays are taken."""

from __future__ import annotations

import re
import warnings
from collections.abc import Callable
from typing import Any

import numpy as np
import pint
import pytest
from faces import drawn

import hydrocalc
from hydrocalc import quantities
from hydrocalc.measures import Limits
from hydrocalc.named import Named, RangeError, catalogue
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


# --- results -----------------------------------------------------------------------------------------------------

# What may come out where no argument of the kind could lie, each with its reason.
BEYOND = {
    "expansion_volume": "water between freezing and 4 °C shrinks when it is warmed",
    "dry_basis_moisture": "green wood holds more water than wood",
    "stack_loss_fraction": "wood that is nearly all water has less heat than its water takes",
    "break_even_cord_price": "what does not pay even with wood for nothing",
    "length_expansion": "a metal that cools shortens",
}


def _outside(limits: Limits, results: Any) -> Any:
    low = results > limits.low if limits.low_open else results >= limits.low
    high = results < limits.high if limits.high_open else results <= limits.high
    return ~(low & high & np.isfinite(results))


@pytest.mark.parametrize("function", catalogue().values(), ids=lambda f: f.name)
def test_no_result_lies_where_no_argument_of_its_kind_could(function: Named[Any]) -> None:
    """Thousands of sets of arguments that the function takes, ends among them: no flow below none, nothing under absolute zero."""
    columns = drawn(function, np.random.default_rng(5), 2000)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        wrong = _outside(function.result.limits, np.asarray(function(*columns)))
    if function.name in BEYOND:
        assert wrong.any(), "no longer an exception"
        return
    first = int(np.argmax(wrong))
    assert not wrong.any(), {p.name: c[first] for p, c in zip(function.parameters, columns, strict=True)}


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda us: us.water_specific_heat(-22), "temperature is -22 °F, allowed: -4 °F to 302 °F"),
        (
            lambda us: us.hot_outlet_temperature(180, 500_000, 400),
            "an output needs a hot_capacity_rate with which what leaves stays a liquid",
        ),
        (
            lambda us: us.cold_outlet_temperature(50, 500_000, 400),
            "an output needs a cold_capacity_rate with which what leaves stays a liquid",
        ),
        (lambda us: us.exchanger_water_resistance(100, 1000, 400), "smaller_capacity_rate must be at most second_capacity_rate"),
        (lambda us: us.cord_mass(0.6, 20, 5000), "solid_volume is 5000 ft³, allowed: 0 ft³ to 128 ft³"),
        (lambda us: us.cord_energy(0.6, 129, 8600), "solid_volume is 129 ft³, allowed: 0 ft³ to 128 ft³"),
        (lambda us: us.cord_net_energy(0.6, 95, 80, 8600), "the wood must be dry enough to have net heat"),
        (lambda us: us.parity_cord_price(30, -24, 55), "cord_energy is -24 million BTU/cord, allowed: at least 0 million BTU/cord"),
        (lambda us: us.efficiency_at_moisture(90, 0.5), "efficiency must be at most green_penalty"),
        (lambda us: us.flow_from_load(-62_000, 20, 61.2, 1.0), "load is -62000 BTU/h, allowed: at least 0 BTU/h"),
        (lambda us: us.pump_power(5, -20, 61, 40), "head is -20 ft, allowed: at least 0 ft"),
        (lambda us: us.balance_temperature(70, 300_000, 500), "the gains must not outweigh the loss of the coldest air"),
    ],
)
def test_what_gave_nonsense_is_refused(call: Callable[[Any], Any], told: str) -> None:
    with pytest.raises(RangeError, match=re.escape(told)):
        call(hydrocalc.us)


# What turns what is bought into heat, a heat pump among it; every other efficiency is a fire's or a circulator's.
SOURCES = {"conductance_from_fuel", "heat_price", "useful_fuel_heat"}


def test_an_efficiency_has_one_limit_wherever_it_is_asked() -> None:
    found = {f.name: p.limits for f in catalogue().values() for p in f.parameters if p.name == "efficiency"}
    assert set(found) > SOURCES
    assert {n for n, limits in found.items() if limits == Limits(0.0, 6.0, low_open=True)} == SOURCES
    assert {limits for n, limits in found.items() if n not in SOURCES} == {Limits(0.0, 1.0, low_open=True)}
    heats = {p.limits for f in catalogue().values() for p in f.parameters if p.name == "dry_heating_value"}
    solid = {p.limits for f in catalogue().values() for p in f.parameters if p.name == "solid_volume"}
    assert (len(heats), len(solid)) == (1, 1)
