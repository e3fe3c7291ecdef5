"""What stands in a cell is the form that a textbook prints: no series, no hidden guard, no conversion there and back."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator

import numpy as np
import pytest

import hydrocalc
from hydrocalc.measures import SYSTEMS, System
from hydrocalc.named import Named, catalogue
from workbook_builder.formula.nodes import Node
from workbook_builder.formula.printing import Worksheet, recorded_function

CATALOGUE = {name: f for name, f in catalogue().items() if f.body.__module__.startswith("hydrocalc.")}
HIDDEN = re.compile(r"MAX\([^()]*,\d*\.?\d*E-\d+\)|\+\d*\.?\d*E-(?:[6-9]|1\d)\b(?!\*)")
# As printed, over the names of the arguments; constants are those of the units (8.02 is 60 minutes over 7.48 gallons a cubic foot).
PRINTED = {
    "log_mean_difference": "IF(AND(hot_in>cold_out,hot_out>cold_in),IF(ABS((hot_in-cold_out)/(hot_out-cold_in)-1)<0.0001,"
    "0.5*(hot_in-cold_out+hot_out-cold_in),(hot_in-cold_out-hot_out+cold_in)/LN((hot_in-cold_out)/(hot_out-cold_in))),0)",
    "capacity_ratio": "IF(MAX(hot_capacity_rate,cold_capacity_rate)>0,"
    "MIN(hot_capacity_rate,cold_capacity_rate)/MAX(hot_capacity_rate,cold_capacity_rate),0)",
    "transfer_units": "IF(smaller_capacity_rate>0,conductance/smaller_capacity_rate,IF(conductance>0,1000,0))",
    "counterflow_effectiveness": "100*IF(transfer_units*(1-capacity_ratio)<1E-8,transfer_units/(transfer_units+1),"
    "(1-EXP(-1*transfer_units*(1-capacity_ratio)))/(1-capacity_ratio*EXP(-1*transfer_units*(1-capacity_ratio))))",
    "parallel_effectiveness": "100*(1-EXP(-1*transfer_units*(capacity_ratio+1)))/(capacity_ratio+1)",
    "tank_coil_effectiveness": "100*(1-EXP(-1*transfer_units))",
    "hot_outlet_temperature": "hot_in-IF(hot_capacity_rate>0,output/hot_capacity_rate,0)",
    "drop_from_load": "IF(flow>0,load/(8.02083333*flow*density*specific_heat),0)",
    "floor_resistance": "(slab_resistance+covering_resistance)/area",
    "burn_time": "IF(load>0,MIN(charge_heat/load,100000),100000)",
    "simple_payback": "IF(saving>0,MIN(cost/saving,1000),IF(cost>0,1000,0))",
    "net_heating_value": "(dry_heating_value-567)*(1-0.01*moisture)-10.5*moisture",
    "crossing_slope": "ABS(linear)+SQRT(MAX(linear^2+4*square*surplus,0))",
}


def lines(function: Named[object], system: System) -> Iterator[str]:
    """The lines of a function as cells hold them, each name a letter; the powers of a published sum of powers are left out."""
    parts, result = recorded_function(function, system)
    nodes: list[Node] = [*(node for _, _, node in parts.lines), result]
    for node in nodes:
        yield re.sub(r"\{[^}]*\}", "", Worksheet(lambda r: "x").text(node))


def constants(text: str) -> list[float]:
    return [float(c) for c in re.findall(r"(?<![\w.])\d+\.?\d*(?:E-?\d+)?", text)]


def undone(text: str) -> list[tuple[float, float]]:
    """Pairs of long constants of which one is the other's inverse: a conversion there and back."""
    long = [c for c in constants(text) if len(f"{c:.9g}".replace(".", "").strip("0")) > 5]
    return [(a, b) for i, a in enumerate(long) for b in long[i + 1 :] if abs(a * b - 1.0) < 1e-6]


@pytest.mark.parametrize(("name", "form"), PRINTED.items(), ids=PRINTED)
def test_the_form_is_the_one_that_is_printed(name: str, form: str) -> None:
    _, result = recorded_function(CATALOGUE[name], "us")
    assert Worksheet(lambda r: r.name).text(result) == form


@pytest.mark.parametrize("system", SYSTEMS)
def test_no_conversion_goes_there_and_back(system: System) -> None:
    found = {name: pairs for name, f in CATALOGUE.items() for text in lines(f, system) if (pairs := undone(text))}
    assert not found


@pytest.mark.parametrize("system", SYSTEMS)
def test_no_guard_hides_in_a_small_number(system: System) -> None:
    """A least number beside MAX, or added to what is divided by: IF says it instead."""
    found = {name: text for name, f in CATALOGUE.items() for text in lines(f, system) if HIDDEN.search(text)}
    assert not found


def test_what_is_looked_for_would_be_found() -> None:
    assert undone("x/(1.89563424*MAX(0.52752792631*x,1E-9))") == [(1.89563424, 0.52752792631)]
    assert not undone("x/(1.89563424*x)+0.5*2")
    assert HIDDEN.search("x/MAX(1.5*x,1E-9)") and HIDDEN.search("64/(x+1E-12)")
    assert not HIDDEN.search("MAX(x,0)*(x+1E-8*x)")


def test_a_branch_that_is_left_is_not_heard() -> None:
    """``np.where`` works out both branches; a division by zero is heard where it shows in the result alone."""
    flows = np.array([0.0, 1e-4])
    with warnings.catch_warnings(), np.errstate(all="raise", under="ignore"):
        warnings.simplefilter("error")
        assert hydrocalc.drop_from_load(np.array([0.0, 1000.0]), flows, 1000.0, 4000.0).tolist() == [0.0, 2.5]
        assert hydrocalc.drop_from_load(0.0, 0.0, 1000.0, 4000.0) == 0.0
