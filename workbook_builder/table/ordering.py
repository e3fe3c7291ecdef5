"""Inputs of which one has to lie above another: ``fill`` refuses a table that has it otherwise, and a book filled by hand says so."""

from __future__ import annotations

from dataclasses import dataclass

from .vocabulary import BUILDINGS

EXCHANGED = (*BUILDINGS, "hot water", "tub")


@dataclass(frozen=True)
class Above:
    """The first item's value has to exceed the second's, for these kinds of load; both have one measure."""

    family: str
    upper: str
    lower: str
    kinds: tuple[str, ...] = ()


ABOVE = (
    Above("run", "circulator high flow", "circulator middle flow"),
    Above("run", "circulator shutoff head", "circulator middle head"),
    Above("run", "circulator middle head", "circulator high head"),
    Above("load", "rated mean water temperature", "rated air temperature", ("baseboard",)),
    Above("load", "rated entering water temperature", "rated entering air temperature", ("fan heater",)),
    Above("load", "hot water temperature", "cold water temperature", ("hot water",)),
    Above("load", "exchanger rated hot inlet", "exchanger rated hot outlet", EXCHANGED),
    Above("load", "exchanger rated cold outlet", "exchanger rated cold inlet", EXCHANGED),
    Above("load", "exchanger rated hot inlet", "exchanger rated cold outlet", EXCHANGED),
    Above("load", "exchanger rated hot outlet", "exchanger rated cold inlet", EXCHANGED),
)


def above(family: str) -> list[Above]:
    return [pair for pair in ABOVE if pair.family == family]
