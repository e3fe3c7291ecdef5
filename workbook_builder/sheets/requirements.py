"""A requirement of the job: what is wanted, what is found, where it is worst, and what would mend it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from hydrocalc.measures import COUNT

from ..references import Reference, SameColumn
from ..sheet_rows import Row
from ..units import in_units
from ..worksheet import Sheet
from .common import Making

PASS, REMARK, FAIL = 0.0, 1.0, 2.0


@dataclass
class Requirement:
    """One requirement over the columns of a sheet: what is found, what is wanted, and the code 0, 1 or 2 of each column."""

    section: str
    label: str
    remedy: str
    code: Row
    found: Row
    wanted: Row | None


class Requirements:
    """All requirements, in the order of the summary."""

    def __init__(self, making: Making) -> None:
        self.making = making
        self.all: list[Requirement] = []

    def add(
        self,
        sheet: Sheet,
        section: str,
        label: str,
        remedy: str,
        found: Row,
        limit: Reference | None,
        verdict: Any,
        *more: Any,
        when: Reference | None = None,
    ) -> None:
        """A requirement over the columns of a sheet: found, limit and the code 0, 1 or 2 that ``verdict`` gives."""
        sheet.heading(label)
        shown = sheet.take("Found", SameColumn(found)) if found.sheet is not sheet else found
        wanted = sheet.take("Wanted", limit) if limit is not None else None
        args = (shown, *((wanted,) if wanted is not None else ()), *more)
        code = sheet.calc(
            "Verdict (0 pass, 1 remark, 2 fail)", COUNT, verdict, *args, when=when, shows="whole", words="0 pass, 1 remark, 2 fail"
        )
        self.all.append(Requirement(section, label, in_units(remedy, sheet.book.system), code, shown, wanted))
