"""Questions as an estimator asks them, and the function that answers: among the first lines, and never more than ten."""

from __future__ import annotations

import pytest

from hydrocalc.named import catalogue
from workbook_builder.cli import main
from workbook_builder.plugins.finding import MOST, PHRASES, SYNONYMS, _words, find

QUESTIONS = [
    ("heat loss of a buried pipe", "line_loss"),
    ("how many gpm do I need", "flow_from_load"),
    ("velocity in the pipe", "velocity_from_flow"),
    ("pressure drop in pex", "head_gradient"),
    ("head loss of an elbow", "fitting_head"),
    ("baseboard output", "emitter_output"),
    ("heat loss of a house", "transmission_load"),
    ("how many cords of firewood", "cords_for_heat"),
    ("btu in a cord of wood", "cord_energy"),
    ("chimney loss", "stack_loss_fraction"),
    ("how long does a charge burn", "burn_time"),
    ("expansion tank size", "expansion_tank_volume"),
    ("when does antifreeze freeze", "liquid_freezing_temperature"),
    ("time until the water freezes in a power outage", "cooling_time"),
    ("size of a buffer tank", "buffer_volume"),
    ("payback in years", "simple_payback"),
    ("size of a plate exchanger", "conductance_from_rating"),
    ("heat loss of a hot tub", "pool_evaporation_loss"),
    ("circulator electricity", "pump_power"),
    ("floor heating output", "floor_output"),
    ("how deep should the line be", "ground_temperature"),
    ("short cycling", "cycles_per_hour"),
    ("R-value of a wall", "surface_conductance"),
    ("how long to heat the hot tub", "heat_up_time"),
    ("weight of a cord", "cord_mass"),
    ("boiling point at altitude", "water_boiling_temperature"),
]


@pytest.mark.parametrize(("question", "name"), QUESTIONS)
def test_a_question_finds_its_function(question: str, name: str) -> None:
    found = [f.name for f in find(question)]
    assert name in found[:4], found
    assert len(found) <= MOST


def test_every_function_is_found_first_by_its_own_name() -> None:
    for name, function in catalogue().items():
        if function.body.__module__.startswith("hydrocalc."):
            assert name in [f.name for f in find(name.replace("_", " "), steps=True)[:3]], name


def test_a_synonym_means_words_that_the_catalogue_has() -> None:
    known = {w for f in catalogue().values() for w in _words(f"{f.name} {f.title}")}
    for word, meant in {**SYNONYMS, **PHRASES}.items():
        assert set(_words(meant)) & known, word


def test_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["functions", "--find", "heat loss of a buried pipe"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert 1 <= len(lines) <= MOST
    assert lines[0].split()[0] in ("line_loss", "line_loss_from_readings")
    assert main(["functions", "--find", "xyzzy"]) == 2
    assert "no function is known by the words of 'xyzzy'" in capsys.readouterr().err
