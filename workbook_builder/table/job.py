"""A job: its inputs by part and item, in coherent units.

A job answers ``value(part, item)`` with what was given
or with the default of the vocabulary, and ``given(part, item)`` says which of the two it was.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from . import vocabulary
from .rows import Cell, Problem
from .vocabulary import BOILER, Item

LONGEST_NAME = 40
# A sheet has 16,384 columns; before they are full the book is more than a computer's memory holds and an office program opens.
# Of 2,000 loads on 400 runs it was 1.6 GB and two minutes.
MOST = {"run": 1_000, "load": 2_000, "fuel today": 200}
UNSTATED = "unstated"  # the name of a run or a load that the table does not give
RESERVED = ("true", "false", "none", BOILER)


@dataclass(frozen=True)
class Entry:
    """The value of one item: coherent if it is a number, with the text, unit and row it was typed in."""

    part: str
    item: Item
    value: float | str | None
    text: str
    unit: str
    note: str = ""
    row: int | None = None
    given: bool = True
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Claim:
    """Somebody else's number, kept as it was typed until the worked lines say what it is to be compared with."""

    part: str
    item: str
    value: Cell
    unit: str
    note: str
    row: int
    further: dict[str, Cell] = field(default_factory=dict)


@dataclass(frozen=True)
class Lack:
    """An item that a sizing needs and the table does not give; an audit does without it as far as it can."""

    part: str
    item: str
    message: str


class Job:
    """All inputs of one job by part and item."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.runs: list[str] = []
        self.loads: list[str] = []
        self.fuels: list[str] = []
        self.claims: list[Claim] = []
        self.lacking: list[Lack] = []
        self.remarks: list[Problem] = []  # of how the table was read, where that is not plain
        self.entries: dict[tuple[str, str], Entry] = {}
        self.first_row: dict[str, int] = {}

    def parts(self) -> list[str]:
        """Every part in the order in which an Inputs sheet shows them."""
        return [
            *("job", "site", "liquid", BOILER, "wood"),
            *(f"fuel today {n}" for n in self.fuels),
            "money",
            *(f"run {n}" for n in self.runs),
            *(f"load {n}" for n in self.loads),
            "limits",
        ]

    def entry(self, part: str, item: str) -> Entry:
        """What is known of an item, given or default; KeyError for a word that is not in the vocabulary."""
        found = self.entries.get((part, item))
        if found is not None:
            return found
        known = vocabulary.item(part, item)
        value = known.default if known.serves(self.kind_of(part)) else None
        return Entry(part, known, value, known.default_text if value is not None else "", known.unit, given=False)

    def value(self, part: str, item: str) -> float | str | None:
        """The value in coherent units (or the text), given or default; None where there is neither."""
        return self.entry(part, item).value

    def number(self, part: str, item: str) -> float | None:
        """The value of an item that is a number."""
        value = self.value(part, item)
        if isinstance(value, str):
            raise TypeError(f"{part}|{item} is a text")
        return value

    def text(self, part: str, item: str) -> str | None:
        """The value of an item that is a word or a text."""
        value = self.value(part, item)
        if isinstance(value, float):
            raise TypeError(f"{part}|{item} is a number")
        return value

    def given(self, part: str, item: str) -> bool:
        """True where the table gives the item."""
        return (part, item) in self.entries

    def items_of(self, part: str) -> list[Item]:
        """The items that a part can have; of a load, those of its kind."""
        return vocabulary.items(vocabulary.family(part), self.kind_of(part))

    def kind_of(self, part: str) -> str | None:
        """The kind of a load; None for another part or a load whose kind is not known."""
        found = self.entries.get((part, "kind")) if part.startswith("load ") else None
        return found.value if found is not None and isinstance(found.value, str) else None

    def loads_on(self, run: str) -> list[str]:
        """The loads of a run in the order in which the water meets them."""
        return [n for n in self.loads if self.value(f"load {n}", "run") == run]

    def goes_on_from(self, run: str) -> str | None:
        """The run whose whole flow goes on into this one after its last load; None where it starts at the boiler or at a run's end."""
        after = self.text(f"run {run}", "starts after")
        return self.text(f"load {after}", "run") if after is not None else None

    def starts_on(self, run: str) -> str:
        """The run on whose flow this one lives, or the boiler."""
        return self.goes_on_from(run) or self.text(f"run {run}", "starts at") or BOILER


def blank_job(runs: int, loads: int, fuels: int = 1) -> Job:
    """A job with nothing but names: for a book that is filled by hand."""
    job = Job("blank")
    job.runs = [chr(ord("A") + i) if i < 26 else f"A{i}" for i in range(runs)]
    job.loads = [f"L{i + 1}" for i in range(loads)]
    job.fuels = [f"F{i + 1}" for i in range(fuels)]
    return job
