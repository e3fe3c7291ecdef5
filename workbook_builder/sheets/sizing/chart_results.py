"""What the makers of the tables behind the charts hand on."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet


@dataclass(frozen=True)
class RunCurves:
    """A run's curve and its circulator's, over the same flows, and the words of the charts of that run."""

    name: str
    flow: Row
    system: Row
    curve: Row
    curve_name: Row
    title: Row
    sizes_title: Row
    size_taken: Row


@dataclass(frozen=True)
class CoolDown:
    """The boiler's water over the hours without fire and circulator."""

    hours: Row
    water: Row
    name: Row


@dataclass(frozen=True)
class Curves:
    """The tables behind the charts that no other sheet holds."""

    sheet: Sheet
    outdoor: Row
    load: Row
    output: Row
    sustained: Row
    cool_down: CoolDown
    money_name: Row
    runs: tuple[RunCurves, ...]


@dataclass(frozen=True)
class Stations:
    """The water along each run: what it passes, how far that is, its temperature there, and what the loads need of it."""

    sheet: Sheet
    names: tuple[Row, ...]
    distance: tuple[Row, ...]
    water: tuple[Row, ...]
    needed: tuple[Row, ...]  # of the first, second … load, each where the water enters it: at the second, third … distance
