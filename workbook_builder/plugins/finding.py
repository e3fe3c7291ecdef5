"""Find a named function by what it does, in the words of the trade: ``workbook-builder functions --find "heat loss of a buried pipe"``."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

import hydrocalc
from hydrocalc.named import Named
from hydrocalc.steps import STEPS

MOST = 10  # lines of an answer
NAME, TITLE, ARGUMENTS = 3.0, 2.0, 0.5  # what a word weighs where it stands
MEANT = 0.8  # a word of the trade beside the catalogue's own
LEAST = 0.25  # of the best: what is worth less answers another question

_SMALL = frozenset(
    "a an and are at by can do does for from get how i in is it its much many my need of on or our per the to what when with".split()  # noqa: SIM905
)

# Words of the trade that the catalogue says otherwise, as they are asked and as they stand there; those of two words first.
PHRASES = {
    "pressure drop": "head lost friction length gradient",
    "hot tub": "pool",
    "how many cords": "cords heat",
    "plate exchanger": "counterflow exchanger rating conductance",
    "unit heater": "fan heater",
    "how long": "time",
    "r-value": "resistance surface conductance",
    "heat pump": "fuel efficiency",
}
SYNONYMS = {
    "pipe": "tube line", "piping": "tube line", "pex": "tube", "underground": "buried", "trench": "buried", "run": "line",
    "gpm": "flow", "btu": "heat", "btuh": "heat", "delta": "drop", "circulator": "pump", "speed": "velocity",
    "radiator": "emitter", "baseboard": "emitter", "convector": "emitter", "slab": "floor", "radiant": "floor", "blower": "fan",
    "house": "building", "home": "building", "barn": "building", "draft": "air building", "hx": "exchanger",
    "dhw": "hot water", "shower": "hot water", "tap": "hot water", "faucet": "hot water", "spa": "pool", "tub": "pool",
    "firewood": "wood cord", "log": "wood", "season": "cord heat", "chimney": "stack", "flue": "stack",
    "wet": "moisture", "green": "moisture", "loading": "charge", "fill": "charge", "firebox": "charge",
    "overnight": "burn", "outage": "cool", "blackout": "cool", "freeze": "freezing cool", "antifreeze": "glycol liquid",
    "altitude": "elevation", "diameter": "bore", "size": "volume", "insulation": "jacket layer",
    "oil": "fuel", "gas": "fuel", "propane": "fuel", "worth": "present", "boil": "boiling",
    "deep": "depth ground temperature", "cycling": "cycle firing", "return": "outlet drop", "weight": "mass",
    "elbow": "fitting", "tee": "fitting", "valve": "fitting",
}  # fmt: skip
_SAME = {"loss": "lose", "lost": "lose", "loses": "lose", "cools": "cool", "freezes": "freeze"}


def find(question: str, *, steps: bool = False) -> list[Named[object]]:
    """The functions that answer a question, best first, at most ten; none where no word of it is known."""
    functions = [f for f in hydrocalc.catalogue().values() if steps or f.name not in STEPS]
    fields = [(f, _places(f)) for f in functions]
    rarity = {w: math.log(1.0 + len(fields) / sum(w in places for _, places in fields)) for w in set().union(*(p for _, p in fields))}
    plain = " ".join(question.lower().split())
    for phrase, means in PHRASES.items():
        plain = plain.replace(phrase, means)
    asked = _words(plain)
    meant = [m for word in asked for m in _words(SYNONYMS.get(word, "")) if m not in asked]
    wanted = {**dict.fromkeys(meant, MEANT), **dict.fromkeys(asked, 1.0)}

    def score(places: dict[str, float]) -> float:
        return sum(weight * places[w] * rarity[w] for w, weight in wanted.items() if w in places)

    # What is as good is the simpler one: the shorter name first.
    ranked = sorted(((score(places), f) for f, places in fields), key=lambda found: (-found[0], len(found[1].name)))
    return [f for value, f in ranked[:MOST] if value > 0.0 and value >= LEAST * ranked[0][0]]


def _places(function: Named[object]) -> dict[str, float]:
    """Each word by which a function can be found, and what it weighs."""
    arguments = " ".join(f"{p.name} {p.description}" for p in function.parameters)
    found: dict[str, float] = {}
    for text, weight in ((function.name, NAME), (function.title, TITLE), (arguments, ARGUMENTS)):
        for word in _words(text):
            found[word] = max(found.get(word, 0.0), weight)
    return found


def _words(text: str) -> list[str]:
    return list(dict.fromkeys(_stem(w) for w in re.findall(r"[a-z]+", text.lower().replace("_", " ")) if w not in _SMALL))


def _stem(word: str) -> str:
    """A word without the ending of a plural, the forms of a verb as one."""
    word = _SAME.get(word, word)
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def answer(functions: Iterable[Named[object]]) -> str:
    return "\n".join(f"{f.name:<32}{f.title}" for f in functions)
