"""What a job still needs: one list, asked by ``fill`` of a table and, as formulas, by a book of its own cells.

Each rule names an item, when it is wanted, and what to give.  A condition knows two things side by side: whether it holds
for a job as it was read, and how it is written about the cells of the sheet of inputs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Protocol

from hydrocalc.tables import table

from . import vocabulary
from .vocabulary import BUILDINGS, INDOORS, MONTHLY_MEANS, Item

PUMP_POINTS = (
    "circulator shutoff head",
    "circulator middle flow",
    "circulator middle head",
    "circulator high flow",
    "circulator high head",
)
EXCHANGER_RATING = (
    "exchanger rated load",
    "exchanger rated hot inlet",
    "exchanger rated hot outlet",
    "exchanger rated cold inlet",
    "exchanger rated cold outlet",
)
WAYS_TO_A_LOSS = ("design loss", "conductance", "loss per area", "share of fuel")


class Asked(Protocol):
    """A part of a job as it was read."""

    def given(self, item: str) -> bool: ...
    def word(self, item: str) -> str | None: ...
    def amount(self, item: str) -> float: ...
    def fuels_use_given(self) -> bool: ...


class Cells(Protocol):
    """The same part on the sheet of inputs: where an item is typed and where its used value stands; None if it has no row."""

    def typed(self, item: str) -> str | None: ...
    def used(self, item: str) -> str | None: ...
    def fuels_use(self) -> str: ...


class Condition:
    """When an item is wanted."""

    def holds(self, part: Asked) -> bool:
        raise NotImplementedError

    def text(self, cells: Cells) -> str:
        raise NotImplementedError


@dataclass(frozen=True)
class Given(Condition):
    """Any of these items is given."""

    items: tuple[str, ...]

    def holds(self, part: Asked) -> bool:
        return any(part.given(item) for item in self.items)

    def text(self, cells: Cells) -> str:
        found = [cell for item in self.items if (cell := cells.typed(item))]
        return f"COUNTA({','.join(found)})>0" if found else "FALSE"


@dataclass(frozen=True)
class Is(Condition):
    """The value of an item, given or by default, is one of these words."""

    item: str
    words: tuple[str, ...]

    def holds(self, part: Asked) -> bool:
        return part.word(self.item) in self.words

    def text(self, cells: Cells) -> str:
        cell = cells.used(self.item)
        if not cell:
            return "FALSE"
        tests = [f'{cell}="{word}"' for word in self.words]
        return f"OR({','.join(tests)})"


@dataclass(frozen=True)
class MoreThanNothing(Condition):
    """The value of an item, given or by default, is above 0."""

    item: str

    def holds(self, part: Asked) -> bool:
        return part.amount(self.item) > 0.0

    def text(self, cells: Cells) -> str:
        cell = cells.used(self.item)
        return f"N({cell})>0" if cell else "FALSE"


@dataclass(frozen=True)
class FuelsUseGiven(Condition):
    """The use of the fuel that heats this load today is given."""

    def holds(self, part: Asked) -> bool:
        return part.fuels_use_given()

    def text(self, cells: Cells) -> str:
        return cells.fuels_use()


@dataclass(frozen=True)
class Not(Condition):
    """The other condition does not hold."""

    condition: Condition

    def holds(self, part: Asked) -> bool:
        return not self.condition.holds(part)

    def text(self, cells: Cells) -> str:
        return f"NOT({self.condition.text(cells)})"


@dataclass(frozen=True)
class All(Condition):
    """All of the conditions hold."""

    conditions: tuple[Condition, ...]

    def holds(self, part: Asked) -> bool:
        return all(c.holds(part) for c in self.conditions)

    def text(self, cells: Cells) -> str:
        return f"AND({','.join(c.text(cells) for c in self.conditions)})" if self.conditions else "TRUE"


@dataclass(frozen=True)
class Need:
    """An item that is wanted under a condition, and what to give for it."""

    family: str
    item: str
    words: str
    when: Condition
    required: bool = False  # by the vocabulary itself, whatever else is given


@cache
def needs() -> dict[tuple[str, str], tuple[Need, ...]]:
    """The rules by family and item."""
    found: dict[tuple[str, str], list[Need]] = {}
    for need in (*_required(), *_rules()):
        found.setdefault((need.family, need.item), []).append(need)
    return {key: tuple(rules) for key, rules in found.items()}


def needs_of(family: str, item: str) -> tuple[Need, ...]:
    return needs().get((family, item), ())


def _required() -> Iterator[Need]:
    for family, items in vocabulary.vocabulary().items():
        for item in items.values():
            if item.required and item.default is None:
                yield Need(family, item.name, item.hint, All((*_of_kind(item), Not(Given((item.name,))))), required=True)


def _of_kind(item: Item) -> tuple[Condition, ...]:
    return (Is("kind", item.kinds),) if item.kinds else ()


def _unless_given(family: str, item: str, words: str, *when: Condition) -> Need:
    """Wanted when these hold and it is not given."""
    return Need(family, item, words, All((*_of_kind(vocabulary.item(family, item)), *when, Not(Given((item,))))))


def _together(family: str, items: tuple[str, ...]) -> Iterator[Need]:
    """Items that go together: where any is given, each of the others is wanted."""
    for item in items:
        others = tuple(other for other in items if other != item)
        yield _unless_given(family, item, f"these go only together: {', '.join(items)}", Given(others))


def _rules() -> Iterator[Need]:
    year = "give the annual degree days or the twelve monthly mean temperatures"
    yield _unless_given("site", "annual degree days", year, Not(Given(MONTHLY_MEANS)))
    for month in MONTHLY_MEANS:
        others = tuple(m for m in MONTHLY_MEANS if m != month)
        yield _unless_given("site", month, "all twelve monthly means go together", Given(others))
    own = ("heating value", "specific gravity")
    yield _unless_given("wood", "species", "give a species or a heating value and a specific gravity", Not(Given(own)))
    for item, other in (own, own[::-1]):
        yield _unless_given("wood", item, f"{other} goes only together with: {item}", Given((other,)), Not(Given(("species",))))
    yield from _of_fuels()
    yield from _of_runs()
    yield from _of_loads()


def _of_fuels() -> Iterator[Need]:
    yield from _together("fuel today", ("first date", "last date"))
    of_use = ("degree days of the use", "first date", "last date")
    yield _unless_given("fuel today", "use", "degree days or dates of a use go only together with: use", Given(of_use))


def _of_runs() -> Iterator[Need]:
    yield from _together("run", ("stated loss", "stated loss difference"))
    stated = Given(("stated loss", "stated loss difference"))
    jacket = "give the jacket's outer diameter or a stated loss with its difference"
    buried = Not(Is("arrangement", (INDOORS,)))
    yield _unless_given("run", "jacket outer diameter", jacket, Not(stated), buried)
    insulation = table("insulation")
    dry_only = tuple(
        name for name in dict.fromkeys(insulation.texts("material")) if math.isnan(insulation.lookup("wet_conductivity", name))
    )
    wet = "the jacket is wet, and the table has no figure for this insulation when wet"
    soaked = (buried, Is("jacket condition", ("wet",)), Is("insulation", dry_only), Not(Given(("stated loss",))))
    yield _unless_given("run", "wet insulation conductivity", wet, *soaked)
    yield from _together("run", ("other head", "other head flow"))
    yield from _together("run", PUMP_POINTS)
    better = "upgraded line cost goes only together with an upgraded insulation or an upgraded jacket outer diameter"
    cost = Given(("upgraded line cost",))
    yield _unless_given("run", "upgraded jacket outer diameter", better, cost, Not(Given(("upgraded insulation",))))
    yield _unless_given("run", "line cost", "upgraded line cost goes only together with: line cost", cost)


def _of_loads() -> Iterator[Need]:
    yield from _together("load", ("rated water flow", "rated air flow"))
    yield from _together("load", EXCHANGER_RATING)
    building = Is("kind", BUILDINGS)
    loss = "give the design loss, the conductance, the heated area with the loss per area, or the share of fuel"
    yield Need("load", "design loss", loss, All((building, Not(Given(WAYS_TO_A_LOSS)))))
    yield _unless_given("load", "heated area", "loss per area goes only together with: heated area", Given(("loss per area",)))
    wants = "a share is of the use of a fuel today: give the use of the fuel that heats this load"
    yield Need("load", "share of fuel", wants, All((building, Given(("share of fuel",)), Not(FuelsUseGiven()))))
    tank = Is("heated by", ("coil in tank", "side-arm", "plate then tank"))
    yield Need(
        "load",
        "tank volume",
        "a tank is wanted for what heats this water; give its volume",
        All((Is("kind", ("hot water",)), tank, Not(MoreThanNothing("tank volume")))),
    )
