"""References for the words of a chart: texts put together, and one of two texts by whether a number is there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from .base import Reference, SheetPlace, Values, is_blank


@dataclass(frozen=True)
class Joined(Reference):
    """Fixed words and the texts of cells, one after the other."""

    parts: tuple[Reference | str, ...]
    kind = None
    words = "put together"

    @property
    def name(self) -> str:
        return "".join(part if isinstance(part, str) else part.name for part in self.parts)

    def text(self, sheet: SheetPlace) -> str:
        return "&".join(f'"{part}"' if isinstance(part, str) else part.text(sheet) for part in self.parts)

    def value(self, values: Values) -> Any:
        joined: Any = np.array([""], dtype=object)
        for part in self.parts:
            joined = joined + (part if isinstance(part, str) else np.asarray(part.value(values), dtype=object))
        return joined


@dataclass(frozen=True)
class Told(Reference):
    """What a chart shows, or that nothing is there to be shown."""

    of: Reference
    shown: str
    missing: str
    kind = None

    @property
    def name(self) -> str:
        return self.shown

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{self.shown}, or: {self.missing}"

    def text(self, sheet: SheetPlace) -> str:
        return f'IF(ISNUMBER({self.of.text(sheet)}),"{self.shown}","{self.missing}")'

    def value(self, values: Values) -> Any:
        return np.where(is_blank(self.of.value(values)), self.missing, self.shown).astype(object)
