"""One item as it stands on the sheet of inputs."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.table.vocabulary import Item


@dataclass(frozen=True)
class InputLine:
    """What was typed, what is used, and why."""

    row: int
    part: str
    item: Item
    typed: float | str | None
    used: float | str | None
    unit: str
    note: str
    default: float | str | None
    source: str
    low: float | None = None
    high: float | None = None

    @property
    def key(self) -> str:
        return f"{self.part}|{self.item.name}"
