"""The words of the input table: every item of every part, read from ``vocabulary.csv``.

An item's value is a number of some measure, one of a few words, a row of a table of the trade, the name of
another part, a month, a date or free text.  Defaults stand here with their source and nowhere else.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from hydrocalc.measures import ANY, Limits, Measure, measure
from hydrocalc.tables import table

from . import units

BUILDINGS = ("baseboard", "fan heater", "floor")
KINDS = (*BUILDINGS, "hot water", "tub", "known")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
MONTHLY_MEANS = tuple(f"{m.lower()} mean temperature" for m in MONTHS)

# Parts that stand once, and parts that carry a name after them (``run house``).
SINGLE = ("job", "site", "liquid", "boiler", "wood", "money", "limits")
NAMED = ("fuel today", "run", "load")
BOILER = "boiler"
NAME = "name"  # of a run, a load or a fuel
CHOSEN = "chosen"
# A run may start at a run that starts at a run: so deep, and no deeper, is the heat added up.
BRANCHING = 2
# What tells that a run is filled with a liquid of its own, behind an exchanger at its start.
OWN_LIQUID = ("liquid", "antifreeze by volume", "antifreeze by mass")
# A run may start after a load of a run, its whole flow going on into it: so many times one after the other, and no more.
GOING_ON = 1
INDOORS = "indoors"  # the arrangement of a run that lies in no ground and loses nothing
# Common practice, no source: tubes in one jacket lie a third of their diameter apart.
TWIN_SPACING = 1.3


@dataclass(frozen=True)
class Item:
    """One item: what it is, what it may be, and what stands in when it is not given."""

    part: str
    kinds: tuple[str, ...]
    name: str
    type: str
    measure: Measure | None
    required: bool
    default: float | str | None
    default_text: str
    unit: str
    limits: Limits
    otherwise: str
    source: str
    hint: str
    block: str  # the heading under which it stands on its sheet
    metric_default: float | None  # the metric trade's own round figure, where it is not the other converted
    first: bool  # wanted for a first answer, or often given: not among those that are folded away

    @property
    def choices(self) -> tuple[str, ...]:
        """The words allowed; empty where any text or number goes.  Rows of a table are read when asked for."""
        if self.type == "month":
            return MONTHS
        if self.type == "kind":
            return KINDS
        if self.type.startswith("table "):
            _, name, column, *more = self.type.split()
            return (*dict.fromkeys(table(name).texts(column)), *(more[1:] if more else ()))
        return tuple(c.strip() for c in self.type.split("|")) if "|" in self.type else ()

    @property
    def informational(self) -> bool:
        """True where no figure follows from it: names, and what the pages say of the job."""
        return self.type == "text" or self.part == "job"

    def serves(self, kind: str | None) -> bool:
        """True when a load of that kind has this item; items of other parts serve always."""
        return not self.kinds or kind in self.kinds

    def printed_default(self, system: str) -> float | str | None:
        """The default in the trade unit of a system; None where there is none."""
        if self.measure is None or not isinstance(self.default, float):
            return self.default
        if system == "metric" and self.metric_default is not None:
            return self.metric_default
        if self.default_text and self.unit == self.measure.us.symbol and system == "us":
            return float(self.default_text)
        return float(self.measure.unit("us" if system == "us" else "metric").from_coherent(self.default))


@cache
def vocabulary() -> Mapping[str, Mapping[str, Item]]:
    """Items by part and name, in the order in which they are read and shown."""
    text = (files(__package__) / "vocabulary.csv").read_text(encoding="utf-8")
    found: dict[str, dict[str, Item]] = {part: {} for part in (*SINGLE, *NAMED)}
    for row in csv.DictReader(text.splitlines()):
        item = _item(row)
        if item.name in found[item.part]:
            raise ValueError(f"vocabulary: {item.part}|{item.name} stands twice")
        found[item.part][item.name] = item
    return found


def items(family: str, kind: str | None = None) -> list[Item]:
    """The items of a part; of a load, those of one kind, or all of them when no kind is named."""
    return [i for i in vocabulary()[family].values() if kind is None or i.serves(kind)]


def family(part: str) -> str:
    """The part without the name after it: ``run house`` is a ``run``; KeyError if there is none."""
    for one in NAMED:
        if part.startswith(one + " "):
            return one
    if part in SINGLE:
        return part
    raise KeyError(part)


def name_of(part: str) -> str:
    """The name after the part: ``run house`` is called ``house``; '' for a part that stands once."""
    return part[len(family(part)) + 1 :]


def item(part: str, name: str) -> Item:
    """The item of a part, with or without a name after it; KeyError if there is none."""
    return vocabulary()[part if part in NAMED else family(part)][name]


def _item(row: Mapping[str, str]) -> Item:
    type_, unit = row["type"], row["unit"]
    known = None if "|" in type_ or not type_[:1].isupper() else measure(type_)
    default: float | str | None = row["default"] or None
    limits = ANY
    if known is not None:
        scale = units.unit(known, unit)
        limits = _limits(row, scale.to_coherent, known)
        if row["default"]:
            default = float(scale.to_coherent(float(row["default"])))
    return Item(
        part=row["part"],
        kinds=tuple(k.strip() for k in row["kinds"].split(";") if k.strip()),
        name=row["item"],
        type=type_,
        measure=known,
        required=row["required"] == "yes",
        default=default,
        default_text=row["default"],
        unit=unit,
        limits=limits,
        otherwise=row["otherwise"],
        source=row["source"],
        hint=row["hint"],
        block=row["block"],
        metric_default=float(row["metric default"]) if row["metric default"] else None,
        first=row["first"] == "yes",
    )


def _limits(row: Mapping[str, str], convert: Callable[[float], float], kind: Measure) -> Limits:
    low, high = row["low"], row["high"]
    return Limits(
        float(convert(float(low.removeprefix(">")))) if low else kind.limits.low,
        float(convert(float(high))) if high else kind.limits.high,
        low.startswith(">") if low else kind.limits.low_open,
        False if high else kind.limits.high_open,
    )
