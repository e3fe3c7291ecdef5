"""Verdicts: of each requirement that can be told by hand, a job that keeps it and the same job with one thing wrong."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import engines
import ironcalc
import pytest
from slow import but_first
from typing_by_hand import Typist

from workbook_builder.build import Built, build, save
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.rows import Row
from workbook_builder.table.job import blank_job
from workbook_builder.table.reader import job_from_rows
from workbook_builder.table.rows import TableRow

# A sound job, with a load of each kind whose verdicts are asked for.  Invented.
SOUND = {
    ("job", "title"): "Sound",
    ("site", "outdoor design temperature"): ("0", "°F"),
    ("site", "annual degree days"): ("7000", "°F day"),
    ("liquid", "kind"): "propylene glycol",
    ("liquid", "antifreeze by mass"): ("45", "%"),
    ("boiler", "rated output"): ("110000", "BTU/h"),
    ("boiler", "water content"): ("400", "gal"),
    ("boiler", "lower setpoint"): ("168", "°F"),
    ("boiler", "upper setpoint"): ("183", "°F"),
    ("boiler", "firebox volume"): ("45", "ft³"),
    ("wood", "species"): "white oak",
    ("run house", "length"): ("100", "ft"),
    ("run house", "tube family"): "PEX SDR-9",
    ("run house", "jacket outer diameter"): ("5", "in"),
    ("run house", "insulation"): "polyurethane foam",
    ("run barn", "starts at"): "house",
    ("run barn", "length"): ("60", "ft"),
    ("run barn", "tube family"): "PEX SDR-9",
    ("run barn", "jacket outer diameter"): ("5", "in"),
    ("run barn", "insulation"): "polyurethane foam",
    ("run barn", "size"): "1/2",
    ("run barn", "flow"): ("2", "gpm"),
    ("load taps", "run"): "house",
    ("load taps", "kind"): "hot water",
    ("load taps", "heated by"): "coil in tank",
    ("load taps", "use a day"): ("60", "gal"),
    ("load taps", "tank volume"): ("60", "gal"),
    ("load rooms", "run"): "house",
    ("load rooms", "kind"): "baseboard",
    ("load rooms", "design loss"): ("40000", "BTU/h"),
    ("load rooms", "rated output"): ("90000", "BTU/h"),
    ("load tub", "run"): "house",
    ("load tub", "kind"): "tub",
    ("load tub", "volume"): ("300", "gal"),
    ("load tub", "surface"): ("35", "ft²"),
    ("load tub", "set temperature"): ("100", "°F"),
    ("load tub", "second side flow"): ("6", "gpm"),
    ("load shop", "run"): "barn",
    ("load shop", "kind"): "floor",
    ("load shop", "design loss"): ("15000", "BTU/h"),
    ("load shop", "floor area"): ("800", "ft²"),
    ("load shop", "slab resistance"): ("0.5", "h ft² °F/BTU"),
    ("fuel today oil", "fuel"): "heating oil",
    ("fuel today oil", "price"): ("3.5", "$/gal"),
}
Change = dict[tuple[str, str], str | tuple[str, str]]

SERVED, SCALDING, STORED = "Every load gets what it needs", "Scalding: a mixing valve at the taps", "Storage against bacteria"
FLOOR, TUB, APPROACH = "Floor no hotter than is comfortable, the need met", "Tub no hotter than is safe", "Approach of the exchanger"
FLOW, BRANCHES, FAST, SLOW = (
    "The circulator delivers the design flow",
    "Branches take no more than the run carries",
    "Velocity not too high",
    "Velocity not too low",
)
DRY, HIGH, BOILS, TUBE = (
    "Jacket dry",
    "High point of an open system",
    "Highest point below boiling, circulator stopped",
    "Tube within its pressure at its temperature",
)
OUTPUT, RETURN, FIRING, RESERVE, FREEZING = (
    "Boiler's rated output over the load",
    "Return to the boiler",
    "Firing time at half load",
    "Minutes of a full fire until the boiler boils",
    "Freezing of the liquid, circulator stopped",
)
EASY, SUSTAINED = "Head loss per length not too low", "Sustained output over the load"
USE = "Heat of its loads in a year, against the fuel's use"
PLATE, TOP, MEETS, LIQUID = (
    "Hot water at the peak draw, out of the plate",
    "Pressure at the highest point of a closed system, cold",
    "The circulator's curve meets the run at the flow",
    "A liquid of its own behind an exchanger",
)
CLOSED: Change = {("boiler", "system"): "closed", ("boiler", "fill pressure"): ("12", "psi")}

WEAK: Change = {
    ("run house", "circulator shutoff head"): ("4", "ft"),
    ("run house", "circulator middle flow"): ("2", "gpm"),
    ("run house", "circulator middle head"): ("2.5", "ft"),
    ("run house", "circulator high flow"): ("3.5", "gpm"),
    ("run house", "circulator high head"): ("0.5", "ft"),
}
# One thing wrong, the requirement that then is not kept, the verdict, and where.
WRONG: dict[str, tuple[Change, str, str, str]] = {
    "baseboard of a third": ({("load rooms", "rated output"): ("25000", "BTU/h")}, SERVED, "fail", "rooms"),
    "no mixing valve": ({("load taps", "mixing valve"): "no"}, SCALDING, "fail", "taps"),
    "a tank kept at 120 °F": ({("load taps", "stored temperature"): ("120", "°F")}, STORED, "remark", "taps"),
    # 2 gpm in a bore of 1.054 in is 0.74 ft/s: 0.035 × 100 ft / 0.0878 ft × 0.74² / 64.3 = 0.3 ft of head in 100 ft.
    "a branch of 1-1/4 in": ({("run barn", "size"): "1-1/4"}, EASY, "remark", "barn"),
    "an average over a charge below the load": (
        {
            ("boiler", "firebox volume"): ("", ""),
            ("boiler", "rated output"): ("50000", "BTU/h"),
            ("boiler", "rated output basis"): "average over a charge",
        },
        SUSTAINED,
        "fail",
        "whole job",
    ),
    "a tub at 108 °F": ({("load tub", "set temperature"): ("108", "°F")}, TUB, "fail", "tub"),
    # 15,000 BTU/h over 280 ft² is 169 W/m², and EN 1264's curve lets out 8.92 × 7.8^1.1 = 85 at 84 °F in a room of 70.
    "a floor of 280 ft²": ({("load shop", "floor area"): ("280", "ft²")}, FLOOR, "fail", "shop"),
    "an exchanger of 2,000 BTU/(h °F)": (
        # 40,000 BTU/h at 2,000 BTU/(h °F) want a mean difference of 20 °F.
        {
            ("load rooms", "behind an exchanger"): "yes",
            ("load rooms", "second side flow"): ("6", "gpm"),
            ("load rooms", "exchanger conductance"): ("2000", "BTU/(h °F)"),
        },
        APPROACH,
        "remark",
        "rooms",
    ),
    "a weak circulator": (WEAK, FLOW, "fail", "house"),
    "a branch of 12 gpm on a run of 3": (WEAK | {("run barn", "flow"): ("12", "gpm")}, BRANCHES, "fail", "house"),
    "20 gpm in three quarter inch": (
        {("run house", "size"): "3/4", ("run house", "flow"): ("20", "gpm")},
        FAST,
        "fail",  # 0.0446 ft³ a second through a bore of 0.681 in, 0.00253 ft²: 17.6 ft/s
        "house",
    ),
    "1 gpm in an inch and a quarter": ({("run barn", "size"): "1-1/4", ("run barn", "flow"): ("1", "gpm")}, SLOW, "remark", "barn"),
    "a wet jacket": ({("run barn", "jacket condition"): "wet"}, DRY, "fail", "barn"),
    "a pipe over a beam": ({("run house", "highest point"): ("6", "ft")}, HIGH, "remark", "house"),
    # At sea level water of 188 °F boils under 9 psi: some 14 ft up, more or less for the glycol.
    "a pipe through the attic": ({("run house", "highest point"): ("25", "ft")}, BOILS, "fail", "house"),
    "a relief valve of 150 psi": (
        {
            ("boiler", "system"): "closed",
            ("boiler", "relief pressure"): ("150", "psi"),
            ("boiler", "fill pressure"): ("12", "psi"),
        },
        TUBE,
        "fail",
        "house",
    ),
    # 4 gpm from 50 to 120 °F are 140,000 BTU/h, and a plate of 800 BTU/(h °F) on water of 168 °F gives at most 800 × 118 = 94,000.
    "a plate that is too small": (
        {("load taps", "heated by"): "plate", ("load taps", "exchanger conductance"): ("800", "BTU/(h °F)")},
        PLATE,
        "fail",
        "taps",
    ),
    "a small plate before a tank": (
        {("load taps", "heated by"): "plate then tank", ("load taps", "exchanger conductance"): ("800", "BTU/(h °F)")},
        PLATE,
        "remark",
        "taps",
    ),
    # 40 ft of water weigh 62.4 lb/ft³ × 40 ft / 144 in²/ft² = 17.3 psi, more than the 12 that the system is filled to.
    "12 psi under 40 ft": (CLOSED | {("run house", "highest point"): ("40", "ft")}, TOP, "fail", "house"),
    "a boiler of half the load": ({("boiler", "rated output"): ("40000", "BTU/h")}, OUTPUT, "fail", "whole job"),
    "a boiler of ten times the load": ({("boiler", "rated output"): ("900000", "BTU/h")}, OUTPUT, "remark", "whole job"),
    "a cool boiler": (
        {("boiler", "lower setpoint"): ("145", "°F"), ("boiler", "return protection"): "none"},
        RETURN,
        "fail",
        "whole job",
    ),
    # 40 gal × 8.3 lb × 15 °F = 5,000 BTU, against half of 110,000 BTU/h: five and a half minutes.
    "a jacket of 40 gallons": ({("boiler", "water content"): ("40", "gal")}, FIRING, "fail", "whole job"),
    # 40 gal × 8.3 lb × some 35 °F = 11,600 BTU of 110,000 an hour: six minutes.
    "a jacket that boils soon": ({("boiler", "water content"): ("40", "gal")}, RESERVE, "fail", "whole job"),
    "water in the lines": ({("liquid", "kind"): "water", ("liquid", "antifreeze by mass"): ("0", "%")}, FREEZING, "remark", "whole job"),
    "too little antifreeze": ({("liquid", "antifreeze by mass"): ("20", "%")}, FREEZING, "fail", "whole job"),
    # 200 gal × 138,000 BTU are a sixth of what 55,000 BTU/h on the design night come to in a year.
    "bills of 200 gallons": ({("fuel today oil", "use"): ("200", "gal")}, USE, "fail", "oil"),
}


@cache
def _built(name: str) -> Built:
    change: Change = WRONG[name][0] if name else {}
    # The rows of a part stand together, in the order of their first.
    merged = {**SOUND, **change}
    lines = [(part, item, *(value if isinstance(value, tuple) else (value, ""))) for (part, item), value in merged.items()]
    return build(job_from_rows("table.csv", [TableRow(n, *line, "") for n, line in enumerate(lines, 2)]))


def verdict(built: Built, label: str) -> tuple[str, str]:
    values = built.book.values
    check = next(c for c in built.checks.all if c.label == label)
    return str(values[check.verdict][0]), str(values[check.where][0])


def opened(path: Path) -> tuple[Any, list[str]]:
    """A book in IronCalc, and the names of its sheets."""
    model = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
    return model, [p["name"] for p in model.get_worksheets_properties()]


def type_over(model: Any, names: list[str], line: InputLine, text: str) -> None:
    model.set_user_input(names.index(line.sheet), line.row, line.column + 1, text)


def cell_of(model: Any, names: list[str], row: Row) -> Any:
    """What a row of the whole job shows."""
    return model.get_cell_value(names.index(row.sheet.name), row.number, row.first_column + 1)


@pytest.mark.parametrize("label", sorted({label for _, label, *_ in WRONG.values()} - {USE, APPROACH, HIGH, PLATE, TOP}))
def test_a_sound_job_passes(label: str) -> None:
    assert verdict(_built(""), label)[0] == "pass"


@pytest.mark.parametrize("name", but_first(WRONG))
def test_what_is_wrong_is_said_and_where(name: str) -> None:
    _, label, expected, where = WRONG[name]
    assert verdict(_built(name), label) == (expected, where)


IN_ORDER = {part: f"Inputs of {part} in order" for part in ("a load", "a run", "the boiler")}
LOAD_MISSING, RUN_MISSING, LAID = "Nothing about a load is missing", "Nothing about a run is missing", "The line can be as it is described"
# What a hand can do to a book that ``fill`` would have refused: an input, and which requirements then fail and where.
RUN_NAMED, LOAD_NAMED, REACHES = (
    "Every run has a name of its own",
    "Every load has a name of its own",
    "Every run starts at the boiler in the end",
)
FIRE_MISSING = "Nothing about the boiler and the wood is missing"
FUEL_KNOWN = "The fuel of a load is one of today's"
LOOKED_AT = (FIRE_MISSING, LOAD_MISSING, RUN_MISSING, LAID, LIQUID, RUN_NAMED, LOAD_NAMED, REACHES, FUEL_KNOWN, *IN_ORDER.values())
# A run on which nothing can be worked out leaves its loads without water, and the first of them is said as well.
BARN, HOUSE = {RUN_MISSING: "barn", LOAD_MISSING: "shop"}, {RUN_MISSING: "house", LOAD_MISSING: "taps"}
BY_HAND: dict[str, tuple[dict[str, str], dict[str, str]]] = {
    "nothing": ({}, {}),
    "a jacket smaller than its two tubes": ({"run barn|jacket outer diameter": "1.4"}, {LAID: "barn"} | BARN),
    "a tube larger than its jacket": (
        {"run house|size": "2", "run house|arrangement": "apart", "run house|jacket outer diameter": "2"},
        {LAID: "house"} | HOUSE,
    ),
    "tubes in one another": ({"run barn|spacing": "0.5"}, {LAID: "barn"} | BARN),
    "jackets in one another": ({"run barn|arrangement": "apart", "run barn|spacing": "4"}, {LAID: "barn"} | BARN),
    # Some four inches of earth over the middle of a jacket of eight and a half.
    "a jacket out of the ground": ({"run barn|depth": "0.35", "run barn|jacket outer diameter": "8.5"}, {LAID: "barn"} | BARN),
    "a depth that is not possible": ({"run barn|depth": "-3"}, BARN),
    "a design loss taken away": ({"load shop|design loss": ""}, {LOAD_MISSING: "shop"}),
    "a mixing valve colder than the main": (
        {"load taps|hot water temperature": "75", "load taps|cold water temperature": "85"},
        {IN_ORDER["a load"]: "taps"},
    ),
    "a baseboard rated at the room's temperature": (
        {"load rooms|rated mean water temperature": "80", "load rooms|rated air temperature": "80"},
        {IN_ORDER["a load"]: "rooms"},
    ),
    "a fan that goes off before it goes on": ({"boiler|upper setpoint": "150"}, {IN_ORDER["the boiler"]: "whole job"}),
    "a relief valve under the fill": (
        {"boiler|system": "closed", "boiler|relief pressure": "12", "boiler|fill pressure": "15"},
        {IN_ORDER["the boiler"]: "whole job"},
    ),
    "a circulator that is stronger with more flow": (
        {
            "run barn|circulator shutoff head": "10",
            "run barn|circulator middle flow": "4",
            "run barn|circulator middle head": "12",
            "run barn|circulator high flow": "8",
            "run barn|circulator high head": "6",
        },
        {IN_ORDER["a run"]: "barn"},
    ),
    "two runs of one name": ({"run barn|name": "house"}, {RUN_NAMED: "house", LOAD_MISSING: "shop"}),
    "two loads of one name": ({"load shop|name": "rooms"}, {LOAD_NAMED: "rooms"}),
    "a run that starts nowhere": ({"run barn|starts at": "pond"}, {REACHES: "barn"} | BARN),
    "runs in a circle": ({"run house|starts at": "barn"}, {REACHES: "house"} | HOUSE),
    "a run that is not there": ({"load shop|run": "pond"}, {LOAD_MISSING: "shop"}),
    "a fuel that is not there": ({"load rooms|fuel today": "peat"}, {FUEL_KNOWN: "rooms"}),
    "a rated output taken away": ({"boiler|rated output": ""}, {FIRE_MISSING: "whole job"}),
    "a run of another liquid": ({"run barn|liquid": "ethylene glycol"}, {LIQUID: "barn"}),
    "a run of another strength": ({"run barn|antifreeze by mass": "30"}, {LIQUID: "barn"}),
    "a species taken away": ({"wood|species": ""}, {FIRE_MISSING: "whole job"}),
}


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Typist]:
    """The sound book open in IronCalc; in the end it shows again what it has stored."""
    path = tmp_path_factory.mktemp("hand") / "sound.xlsx"
    save(_built(""), path)
    typist = Typist(_built(""), path, "us")
    yield typist
    assert engines.compare(engines.stored_values(path), engines.values_of_model(typist.model)) == []


@pytest.mark.parametrize("name", but_first(BY_HAND, 8))
def test_what_is_typed_by_hand_and_cannot_be_is_said_and_no_figure_lies(name: str, sound: Typist) -> None:
    """A sum leaves out what is blank: a requirement has to say that something of it is missing, and no cell may be an error."""
    typed, expected = BY_HAND[name]
    built, model = _built(""), sound.model
    names = [p["name"] for p in model.get_worksheets_properties()]
    # What was typed is put back after, but nothing is worked out until the next is typed: the cells can be looked at.
    assert sound.errors_with([(built.context.inputs.by_key[key], text) for key, text in typed.items()]) == []
    found = {}
    for check in built.checks.all:
        if check.label in LOOKED_AT:
            verdict_, where = (cell_of(model, names, row) for row in (check.verdict, check.where))
            # Where the first line cannot be, nothing at all reaches the boiler, and its own requirement is not asked.
            assert verdict_ in ("pass", "fail") or check.label in (FIRE_MISSING, LIQUID)
            if verdict_ == "fail":
                found[check.label] = where
    assert found == expected


@pytest.mark.slow
def test_runs_that_branch_too_often_are_said_to(tmp_path: Path) -> None:
    """The loads of what lies too far from the boiler would be left out of the first run without a word."""
    further = {
        (f"run {name}", item): value
        for name in ("pens", "sheds")
        for item, value in {
            "starts at": "barn",
            "length": ("30", "ft"),
            "tube family": "PEX SDR-9",
            "jacket outer diameter": ("5", "in"),
            "insulation": "polyurethane foam",
        }.items()
    }
    loads = {
        (f"load {name} heat", item): value
        for name in ("pens", "sheds")
        for item, value in {"run": name, "kind": "known", "heat": ("5000", "BTU/h")}.items()
    }
    lines = [
        (part, item, *(value if isinstance(value, tuple) else (value, ""))) for (part, item), value in (SOUND | further | loads).items()
    ]
    built = build(job_from_rows("table.csv", [TableRow(n, *line, "") for n, line in enumerate(lines, 2)]))
    assert verdict(built, REACHES)[0] == "pass"
    path = tmp_path / "far.xlsx"
    save(built, path)
    model, names = opened(path)
    check = next(c for c in built.checks.all if c.label == REACHES)

    def found(start: str) -> list[str]:
        type_over(model, names, built.context.inputs.by_key["run sheds|starts at"], start)
        model.evaluate()
        return [cell_of(model, names, row) for row in (check.verdict, check.where)]

    assert found("pens") == ["fail", "sheds"]
    assert found("sheds") == ["fail", "sheds"]
    assert found("house")[0] == "pass"


@pytest.mark.slow
def test_loads_of_a_run_that_stand_apart_are_said_to(tmp_path: Path) -> None:
    """Typed into a blank book by hand; ``fill`` would put them in order."""
    blank = build(blank_job(2, 4))
    path = tmp_path / "blank.xlsx"
    save(blank, path)
    model, names = opened(path)

    def found(label: str, runs: tuple[str, ...], beside: dict[str, str]) -> tuple[str, str]:
        for key, line in blank.context.inputs.by_key.items():
            part, _, item = key.partition("|")
            if item in ("run", "parallel with") and part.startswith("load "):
                place = blank.job.loads.index(part.removeprefix("load "))
                typed = runs[place] if item == "run" else beside.get(part.removeprefix("load "), "")
                type_over(model, names, line, typed)
        model.evaluate()
        check = next(c for c in blank.checks.all if c.label == label)
        return cell_of(model, names, check.verdict), cell_of(model, names, check.where)

    first, second = blank.job.runs
    one, two, three, _ = blank.job.loads
    together, beside = "Loads of a run stand together", "Loads in parallel stand so"
    assert found(together, (first, first, second, second), {}) == ("pass", first)
    assert found(together, (first, second, second, first), {}) == ("fail", first)
    assert found(beside, (first, first, first, second), {two: one, three: one}) == ("pass", two)
    assert found(beside, (first, first, first, second), {three: one}) == ("fail", three)
