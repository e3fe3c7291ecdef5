"""The catalogue of functions against the project's own list of what must be there (shared/catalogue.csv)."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

import hydrocalc

LIST = Path(__file__).parent.parent / "shared" / "catalogue.csv"
MORE = "…"  # in the list: further arguments follow, which the list leaves open
# Chapters that grew beyond one page.
PARTS = {"twin": "ground", "pair": "ground", "pools": "loads"}

with LIST.open(encoding="utf-8", newline="") as _file:
    ROWS = list(csv.DictReader(_file))


@pytest.mark.parametrize("row", ROWS, ids=[r["name"] for r in ROWS])
def test_listed_function_is_there(row: dict[str, str]) -> None:
    function = hydrocalc.catalogue()[row["name"]]
    assert PARTS.get(function.chapter, function.chapter) == row["chapter"]
    assert getattr(hydrocalc, row["name"]) is function
    listed = row["arguments"].split()
    given = [p.name for p in function.parameters]
    if MORE in listed:
        assert given[: listed.index(MORE)] == listed[: listed.index(MORE)]
    elif listed:
        assert given == listed


def test_the_list_is_whole() -> None:
    assert len({r["name"] for r in ROWS}) == len(ROWS) == 114
    assert {PARTS.get(f.chapter, f.chapter) for f in hydrocalc.catalogue().values()} == {r["chapter"] for r in ROWS}


def test_a_missing_name_would_be_seen() -> None:
    with pytest.raises(KeyError):
        test_listed_function_is_there({"chapter": "flow", "name": "flow_of_load", "arguments": ""})
    with pytest.raises(AssertionError):
        test_listed_function_is_there({"chapter": "flow", "name": "capacity_rate", "arguments": "density flow specific_heat"})


def test_every_function_is_complete() -> None:
    for name, function in hydrocalc.catalogue().items():
        assert function.title and function.source and function.accuracy, name
        assert all(p.description for p in function.parameters), name
        assert ">>>" in (function.body.__doc__ or ""), f"{name} shows no worked number"
