"""A word that is not in the vocabulary: what is proposed, what is not, and that the list of what is allowed has an end."""

from __future__ import annotations

from pathlib import Path

import pytest
from broken_tables import SOUND

from workbook_builder.table import vocabulary
from workbook_builder.table.near_misses import (
    CHOICE,
    PART,
    WORD,
    elsewhere,
    listing,
    meant,
    proposed_choices,
    proposed_items,
    proposed_parts,
    stems,
    synonyms,
)
from workbook_builder.table.reader import read_job
from workbook_builder.table.rows import InputError

ITEMS = [
    # The trade's words
    ("load", "baseboard", "heat loss", ["design loss"]),
    ("load", "known", "heat loss", ["heat"]),
    ("load", "tub", "setpoint", ["set temperature"]),
    ("load", "floor", "set-point", ["indoor temperature"]),
    ("load", "fan heater", "CFM", ["rated air flow"]),
    ("run", None, "GPM", ["flow"]),
    ("run", None, "Pipe", ["tube family"]),
    ("run", None, "PEX size", ["size"]),
    ("run", None, "pump shutoff head", ["circulator shutoff head"]),
    ("run", None, "max velocity", ["highest velocity"]),
    ("boiler", None, "BTU", ["rated output"]),
    ("boiler", None, "Gallons", ["water content"]),
    ("liquid", None, "antifreeze", ["antifreeze by volume", "antifreeze by mass"]),
    ("site", None, "HDD", ["annual degree days"]),
    ("site", None, "Jan mean temp", ["january mean temperature"]),
    ("fuel today", None, "gallons per year", ["use"]),
    # Case, hyphens, underscores, plurals, a word too few or too many
    ("run", None, "tube_family", ["tube family"]),
    ("run", None, "Tube-Families", ["tube family"]),
    ("run", None, "elbow", ["elbows"]),
    ("run", None, "lengths", ["length"]),
    ("run", None, "length of trench", ["length"]),
    ("boiler", None, "return temperature lowest", ["lowest return temperature"]),
    ("site", None, "outdoor design temperatures", ["outdoor design temperature"]),
    # Slips of the fingers
    ("run", None, "dept", ["depth"]),
    ("run", None, "lenght", ["length"]),
    ("load", "baseboard", "rated ouput", ["rated output"]),
    ("load", "baseboard", "desing los", ["design loss"]),
    # Nothing of the kind
    ("run", None, "colour", []),
    ("run", None, "tank size", []),
    ("boiler", None, "xyzzy", []),
    ("boiler", None, "", []),
    ("limits", None, "title", []),
]


@pytest.mark.parametrize(("family", "kind", "text", "expected"), ITEMS)
def test_items(family: str, kind: str | None, text: str, expected: list[str]) -> None:
    assert proposed_items(family, kind, text) == expected


def test_a_pump_is_the_circulator_in_all_its_items() -> None:
    found = proposed_items("run", None, "pump")
    assert len(found) == 5 and all(item.startswith("circulator ") for item in found)


CHOICES = [
    ("run", "tube family", "PEX", ["PEX SDR-9"]),
    ("run", "tube family", "pex_sdr_9", ["PEX SDR-9"]),
    ("run", "tube family", "copper type L", ["copper L"]),
    ("run", "tube family", "PVC", []),
    ("run", "size", '3/4"', ["3/4"]),
    ("run", "size", "1-1/4 in.", ["1-1/4"]),
    ("run", "size", "0.75", ["3/4"]),
    ("run", "size", "1.25", ["1-1/4"]),
    ("run", "size", "4-Mar", ["3/4"]),  # what an office program makes of 3/4
    ("run", "size", "2024-03-04", ["3/4"]),
    ("run", "size", "3/4/2024", ["3/4"]),
    ("run", "size", "5", []),
    ("wood", "species", "red oak", ["northern red oak"]),
    ("wood", "species", "Oaks", ["white oak", "northern red oak", "bur oak"]),
    ("wood", "species", "dougles fir", ["douglas-fir (coast)"]),
    ("wood", "species", "hard maple", ["sugar maple"]),
    ("wood", "species", "plastic", []),
    ("liquid", "kind", "Antifreeze", ["propylene glycol", "ethylene glycol"]),
    ("run", "liquid", "glycol", ["propylene glycol", "ethylene glycol"]),
    ("fuel today", "fuel", "oil", ["heating oil"]),
    ("fuel today", "fuel", "#2 oil", ["heating oil"]),
    ("fuel today", "fuel", "LP", ["propane"]),
    ("load", "kind", "radiators", ["baseboard"]),
    ("load", "kind", "basebord", ["baseboard"]),
    ("load", "kind", "fan-heater", ["fan heater"]),
    ("load", "mixing valve", "TRUE", ["yes"]),
    ("boiler", "first month lit", "Jäner", []),
    ("boiler", "first month lit", "Octobre", ["October"]),
]


@pytest.mark.parametrize(("part", "item", "text", "expected"), CHOICES)
def test_choices(part: str, item: str, text: str, expected: list[str]) -> None:
    assert proposed_choices(vocabulary.item(part, item), text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("pipe house", ["run house"]),
        ("Runs house", ["run house"]),
        ("boilr", ["boiler"]),
        ("furnace", ["boiler"]),
        ("fuel", ["fuel today NAME"]),
        ("lood", ["wood", "load NAME"]),
        ("qwer", []),
    ],
)
def test_parts(text: str, expected: list[str]) -> None:
    assert proposed_parts(text) == expected


def test_every_item_and_choice_is_proposed_for_its_own_spelling() -> None:
    """With underscores and an s where none was; what a name already is cannot be proposed wrongly."""
    for family, items in vocabulary.vocabulary().items():
        for name, item in items.items():
            kind = item.kinds[0] if item.kinds else None
            assert proposed_items(family, kind, name.replace(" ", "_").upper()) == [name]
            for choice in item.choices:
                assert choice in proposed_choices(item, choice.replace(" ", "-")), (name, choice)


def test_synonyms_say_what_there_is() -> None:
    choices = [i for items in vocabulary.vocabulary().values() for i in items.values() if i.choices]
    lists = {of: {c for i in choices if i.type.startswith(f"table {of} ") for c in i.choices} for of in synonyms()}
    names = {family: set(items) for family, items in vocabulary.vocabulary().items()}
    allowed = {of: names.get(of) or lists[of] for of in synonyms()}
    allowed[PART] = set(names)
    allowed["kind"] = set(vocabulary.KINDS)
    allowed[CHOICE] = {c for i in choices if "|" in i.type for c in i.choices}
    words = {word for items in names.values() for name in items for word in stems(name)}
    for of, meanings in synonyms().items():
        for typed, meaning in meanings.items():
            if of == WORD:
                assert set(stems(" ".join(meaning))) <= words, typed
            else:
                assert set(meaning) <= allowed[of], (of, typed)
                assert typed not in {" ".join(stems(w)) for w in allowed[of]}, f"{of}, {typed} is a word already"
    assert sum(map(len, synonyms().values())) > 200


def test_lists_have_an_end() -> None:
    assert listing(["a", "b"], ", ", "run") == "a, b"
    long = listing([f"w{n}" for n in range(40)], ", ", "wood")
    assert long.startswith("w0, w1") and long.endswith("w11, … and 28 more (workbook-builder items wood lists them)")
    assert meant([]) == "" and meant(["a"]) == "did you mean a?" and meant(["a", "b", "c"], "'") == "did you mean 'a', 'b' or 'c'?"
    assert elsewhere("elevation") == ["site"] and elsewhere("Rated Output") == ["boiler", "load"] and elsewhere("nothing") == []


def said(tmp_path: Path, table: str) -> list[str]:
    path = tmp_path / "t.csv"
    path.write_text(table, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_job(path)
    return [str(p) for p in caught.value.problems]


def test_what_fill_says(tmp_path: Path) -> None:
    """The kind of a load stands below its items: they are looked for among those of the kind all the same."""
    table = SOUND.replace("load cottage,kind,baseboard,,\n", "").replace("PEX SDR-9", "PEX").replace("white oak", "red oak")
    table = table.replace("cottage,design loss", "cottage,heat loss") + "load cottage,kind,baseboard,,\n"
    found = said(tmp_path, table + "site,rated output,5,BTU/h,\nboiler,xyzzy,5,ft,\nzone west,length,5,ft,\n")
    assert any(
        line.startswith("t.csv, row 7, wood, species: 'red oak' (did you mean northern red oak?) is not one of: osage") for line in found
    )
    assert any(line.startswith("t.csv, row 9, run yard, tube family: 'PEX' (did you mean PEX SDR-9?) is not one of: ") for line in found)
    assert "t.csv, row 12, load cottage, heat loss: 'heat loss' is not an item of 'load'; did you mean 'design loss'?" in found
    assert "t.csv, row 15, site, rated output: 'rated output' is not an item of 'site'; it is one of: boiler, load" in found
    [other] = [line for line in found if "row 16" in line]
    assert "items of a boiler: kind, rated output" in other and "(workbook-builder items boiler lists them)" in other and len(other) < 500
    [part] = [line for line in found if "row 17" in line]
    assert "'zone west' is not a part (did you mean load west?); parts are: " in part
