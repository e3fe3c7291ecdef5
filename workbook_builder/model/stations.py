"""A reference to the first, second, … of what hangs on a run: the stations that its water passes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import Key, Measure

from .base import Reference, SheetPlace, Values, blank_of
from .rows import Row


@dataclass(frozen=True)
class NthOf(Reference):
    """A row of another axis in the n-th column (from 0) that bears this column's name; those columns stand side by side."""

    row: Row
    label: Row
    key: Row
    place: int

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return f"{self.row.label} of its {self.row.axis.name} {self.place + 1}"

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{self.row.label[:1].lower()}{self.row.label[1:]}, {self.row.axis.name} {self.place + 1} of the run"

    def text(self, sheet: SheetPlace) -> str:
        key, labels = self.key.text(sheet), self.label.span(sheet)
        found = f"MATCH({key},{labels},0)+{self.place}"
        return f'IFERROR(IF(INDEX({labels},1,{found})={key},INDEX({self.row.span(sheet)},1,{found}),""),"")'

    def value(self, values: Values) -> Any:
        row, labels = np.asarray(values[self.row]), np.asarray(values[self.label]).tolist()
        first = {label: column for column, label in reversed(list(enumerate(labels)))}
        index = np.array([self._column(labels, first, key) for key in np.asarray(values[self.key]).tolist()])
        return np.where(index < 0, blank_of(self.row), row[..., index])

    def _column(self, labels: list[str], first: dict[str, int], key: str) -> int:
        if key == "" or key not in first:
            return -1
        column = first[key] + self.place
        return column if column < len(labels) and labels[column] == key else -1
