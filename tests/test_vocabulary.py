"""The vocabulary holds together: defaults have sources and lie in their ranges, words that stand in are tables' rows."""

from __future__ import annotations

import pytest

from hydrocalc.measures import measure
from workbook_builder.table import vocabulary
from workbook_builder.table.cell_values import holds
from workbook_builder.table.vocabulary import Item

ITEMS = [i for part in vocabulary.vocabulary().values() for i in part.values()]


@pytest.mark.parametrize("item", ITEMS, ids=lambda i: f"{i.part}|{i.name}")
def test_item(item: Item) -> None:
    assert item.hint and item.name == item.name.lower()
    assert set(item.kinds) <= set(vocabulary.KINDS) and (not item.kinds or item.part == "load")
    assert not (item.required and item.default is not None)
    if item.default is not None:
        assert item.source, "a default says where it comes from"
        if item.measure is not None:
            assert isinstance(item.default, float) and item.limits.holds(item.default)
        elif item.choices:
            assert item.default in item.choices
    elif not item.required and item.type not in ("text", "date"):
        assert item.otherwise, "an item that may be left out says what stands in for it"
    if item.measure is None:
        assert not item.unit
    else:
        assert item.unit in {u.symbol for u in (item.measure.us, item.measure.metric, item.measure.coherent)}
        assert item.limits.low < item.limits.high


def test_the_needed_items() -> None:
    """Those marked as needed where the vocabulary was laid down; the others of the either-or rules are in the checks."""
    needed = {f"{i.part}|{i.name}" for i in ITEMS if i.required}
    assert needed == {
        "job|title",
        "site|outdoor design temperature",
        "boiler|rated output",
        "boiler|water content",
        "fuel today|fuel",
        "fuel today|price",
        "run|length",
        "run|tube family",
        "load|run",
        "load|kind",
        "load|rated output",
        "load|floor area",
        "load|use a day",
        "load|volume",
        "load|surface",
        "load|heat",
    }


def test_parts_and_names() -> None:
    assert vocabulary.family("run back house") == "run" and vocabulary.name_of("run back house") == "back house"
    assert vocabulary.family("fuel today oil") == "fuel today" and vocabulary.name_of("site") == ""
    for part in ("run", "nonsense", "runhouse"):
        with pytest.raises(KeyError):
            vocabulary.family(part)
    with pytest.raises(KeyError):
        vocabulary.item("run house", "nonsense")
    assert {i.name for i in vocabulary.items("load", "known")} >= {"heat", "hours a day", "run", "coincidence"}
    assert "volume" not in {i.name for i in vocabulary.items("load", "known")}
    assert "chosen" in vocabulary.item("run", "size").choices and "3/4" in vocabulary.item("run", "size").choices


def test_defaults_print_as_they_are_written() -> None:
    fan_on = vocabulary.item("boiler", "lower setpoint")
    assert fan_on.printed_default("us") == 165.0 and fan_on.measure is measure("Temperature")
    assert fan_on.printed_default("metric") == 74.0  # 73.9, in a round figure
    assert vocabulary.item("run", "tees").printed_default("metric") == vocabulary.item("run", "tees").printed_default("us") == 2.0
    assert vocabulary.item("liquid", "kind").printed_default("us") == "water"
    assert vocabulary.item("run", "flow").printed_default("us") is None


ROUND = 0.12  # of a default: a round figure of the metric trade is so near to the other, of a temperature within 1.2 K


def test_round_defaults_of_the_metric_trade_are_near_the_others_and_allowed() -> None:
    seen = 0
    for item in (item for items in vocabulary.vocabulary().values() for item in items.values() if item.metric_default is not None):
        assert item.measure is not None and isinstance(item.default, float)
        round_one = float(item.measure.metric.to_coherent(item.metric_default))
        near = 10 * ROUND if item.measure.name == "Temperature" else ROUND * abs(item.default)
        assert abs(round_one - item.default) <= near, item.name
        assert holds(item.limits, round_one), item.name
        seen += 1
    assert seen > 20
