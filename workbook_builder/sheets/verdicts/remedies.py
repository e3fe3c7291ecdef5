"""What would mend a requirement: words for each side on which it can fail, with the figure that would do where one can be worked out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import System
from workbook_builder.model.base import Reference, SheetPlace, Values, is_blank
from workbook_builder.model.rows import Row
from workbook_builder.table.units import in_units

FIGURE = "{figure}"
ROUNDING = 1e-6  # of a step: a figure that is a whole number of them but for the rounding of its arithmetic stays that number


@dataclass(frozen=True)
class Remedy:
    """Words in which ``{figure}`` stands for a number, which typed into the inputs makes the requirement pass."""

    words: str
    figure: Row | None = None
    step: tuple[float, float] = (1.0, 1.0)  # the figure is given in whole steps, of the trade units of both systems
    up: bool = True  # rounded up, for "at least"; else down, for "at most"
    without: str = ""  # the words where no figure would do: it is blank or 0

    def step_in(self, system: System) -> float:
        return self.step[0] if system == "us" else self.step[1]

    def longest(self, system: System) -> str:
        """The words with a figure of some length in them."""
        before, behind = self.parts(system)
        return f"{before}{'9,999,999' if self.figure is not None else ''}{behind}"

    def parts(self, system: System) -> tuple[str, str]:
        """The words before and behind the figure, unit and all."""
        before, _, behind = in_units(self.words, system).partition(FIGURE)
        assert self.figure is None or FIGURE in self.words, f"no figure in {self.words!r}"
        unit = self.figure.unit if self.figure is not None else ""
        return before, f" {unit}{behind}" if unit else behind


@dataclass(frozen=True)
class Remedies:
    """What would mend a requirement that is not kept on the low side, and on the high side if it has two."""

    low: Remedy
    high: Remedy | None = None
    side: Row | None = None  # 1 in the columns in which the high side is not kept


@dataclass(frozen=True)
class RemedyText(Reference):
    """The words of the side that is not kept, with the figures of the column where it is worst; blank where all is kept."""

    remedies: Remedies
    system: System
    worst: Row  # the code of the worst column
    low: Row | None  # the figures and the side of that column
    high: Row | None
    side: Row | None
    kind = None
    name = "remedy"
    words = "what would mend it, with the figure that would do"

    def text(self, sheet: SheetPlace) -> str:
        text = self._text(sheet, self.remedies.low, self.low)
        if self.remedies.high is not None and self.side is not None:
            text = f"IF({self.side.text(sheet)}=1,{self._text(sheet, self.remedies.high, self.high)},{text})"
        worst = self.worst.text(sheet)
        return f'IF(ISNUMBER({worst}),IF({worst}>0.5,{text},""),"")'

    def _text(self, sheet: SheetPlace, remedy: Remedy, figure: Row | None) -> str:
        before, behind = remedy.parts(self.system)
        if figure is None:
            return _quoted(before)
        step = remedy.step_in(self.system)
        cell = figure.text(sheet)
        whole = cell if step == 1 else f"{cell}/{step:g}"
        whole = f"-INT({ROUNDING:g}-{whole})" if remedy.up else f"INT({whole}+{ROUNDING:g})"
        shown = f"FIXED({whole if step == 1 else f'{whole}*{step:g}'},{_decimals(step)})"
        there = f"N({cell})>0" if remedy.without else f"ISNUMBER({cell})"
        return f"IF({there},{_quoted(before)}&{shown}&{_quoted(behind)},{_quoted(in_units(remedy.without, self.system))})"

    def value(self, values: Values) -> Any:
        said = self._value(values, self.remedies.low, self.low)
        if self.remedies.high is not None and self.side is not None:
            said = np.where(_numbers(values[self.side]) == 1, self._value(values, self.remedies.high, self.high), said)
        return np.where(_numbers(values[self.worst]) > 0.5, said, "").astype(object)

    def _value(self, values: Values, remedy: Remedy, figure: Row | None) -> Any:
        if figure is None:
            return np.array([remedy.parts(self.system)[0]], dtype=object)
        return np.array([self._said(remedy, x) for x in np.ravel(values[figure])], dtype=object).reshape(np.shape(values[figure]))

    def _said(self, remedy: Remedy, figure: float) -> str:
        if is_blank(figure) or (remedy.without and figure <= 0):
            return in_units(remedy.without, self.system)
        (before, behind), step = remedy.parts(self.system), remedy.step_in(self.system)
        whole = 0.0 - np.floor(ROUNDING - figure / step) if remedy.up else np.floor(figure / step + ROUNDING)
        return f"{before}{whole * step:,.{_decimals(step)}f}{behind}"

    def needs(self, sheet: SheetPlace) -> tuple[list[str], list[str]]:
        return [], []


def _numbers(value: Any) -> Any:
    return np.asarray(value, dtype=np.float64)


def _decimals(step: float) -> int:
    return 0 if step == int(step) else 1


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'
