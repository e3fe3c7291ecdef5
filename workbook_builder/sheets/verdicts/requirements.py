"""A requirement of the job: what is wanted, what is found, where it is worst, and what would mend it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import COUNT
from workbook_builder.model.aggregates import CountWhere, total_of
from workbook_builder.model.base import Reference, ShowsNumber
from workbook_builder.model.references import Constant, CountOf, NotAbove, SameColumn
from workbook_builder.model.rows import Row
from workbook_builder.model.worksheet import Sheet
from workbook_builder.sheets.sizing.context import Making
from workbook_builder.table.ordering import above

from .remedies import Remedies, Remedy

PASS, REMARK, FAIL = 0.0, 1.0, 2.0
WHOLE = "inputs"  # the section of the requirements without which a figure would leave something out


@dataclass
class Requirement:
    """One requirement over the columns of a sheet: what is found, what is wanted, and the code 0, 1 or 2 of each column."""

    section: str
    label: str
    remedies: Remedies
    code: Row
    found: Row
    wanted: Row | None


def shown_as(found: Row) -> ShowsNumber:
    """A count has no decimals."""
    return "whole" if found.kind is COUNT else "general"


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
        remedy: str | Remedy | Remedies,
        found: Row,
        limit: Reference | None,
        verdict: Any,
        *more: Any,
        when: Reference | None = None,
    ) -> None:
        """A requirement over the columns of a sheet: found, limit and the code 0, 1 or 2 that ``verdict`` gives."""
        sheet.heading(label)
        shows = shown_as(found)
        shown = sheet.take("Found", SameColumn(found), shows=shows) if found.sheet is not sheet else found
        wanted = sheet.take("Wanted", limit, shows=shows) if limit is not None else None
        args = (shown, *((wanted,) if wanted is not None else ()), *more)
        code = sheet.calc(
            "Verdict (0 pass, 1 remark, 2 fail)", COUNT, verdict, *args, when=when, shows="whole", words="0 pass, 1 remark, 2 fail"
        )
        one = Remedy(remedy) if isinstance(remedy, str) else remedy
        remedies = Remedies(one) if isinstance(one, Remedy) else one
        self.all.append(Requirement(section, label, remedies, code, shown, wanted))

    def between(
        self,
        sheet: Sheet,
        section: str,
        label: str,
        below: Remedy,
        above: Remedy,
        found: Row,
        least: Reference,
        most: Reference,
        codes: tuple[float, float],
    ) -> None:
        """A requirement with two sides: the limit shown is that of the side that is not kept; a code for each side."""
        sheet.heading(f"{label}: the side")
        side = sheet.calc("Above the higher limit (1: yes)", COUNT, lambda x, b: np.where(x > b, 1.0, 0.0), found, most, shows="whole")
        limit = sheet.calc("Limit of that side", found.kind, lambda s, a, b: np.where(s > 0, b, a), side, least, most)
        self.add(
            sheet,
            section,
            label,
            Remedies(below, above, side),
            found,
            SameColumn(limit),
            lambda x, w, s: np.where(s > 0, codes[1], np.where(x < w, codes[0], PASS)),
            side,
        )

    def complete(self, sheet: Sheet, label: str, figures: tuple[Row, ...], given: Reference, section: str = WHOLE) -> None:
        """Where ``given`` holds, all these figures are there: a sum would leave out what is blank without a word."""
        sheet.heading(f"{label}: what is there")
        there = sheet.take("Figures there", CountOf(figures), shows="whole")
        self.add(
            sheet,
            section,
            label,
            "the remarks on Inputs: something is needed that is missing there, or not possible",
            there,
            Constant(len(figures), COUNT),
            lambda x, w: np.where(x < w, FAIL, PASS),
            when=given,
        )

    def named(self, sheet: Sheet, given: Reference) -> None:
        """Every figure is fetched and summed by name: of two columns of one name the first would count for both."""
        family = sheet.axis.name.replace(" today", " of today")
        sheet.heading(f"Columns that bear the name of this {family}")
        self.add(
            sheet,
            WHOLE,
            f"Every {family} has a name of its own",
            "another name on Inputs for one of the two",
            sheet.take("Columns of that name", CountWhere(sheet.names, sheet.names), shows="whole"),
            None,
            lambda x: np.where(x > 1, FAIL, PASS),
            when=given,
        )

    def in_order(self, sheet: Sheet, family: str, given: Reference) -> None:
        """Of two inputs that belong together the one lies above the other, as ``fill`` asks of a table."""
        pairs = above(family)
        sheet.heading(f"Inputs of a {family} that have to lie above one another")
        rows = {item: self.making.fetched(sheet, item) for item in dict.fromkeys(i for pair in pairs for i in (pair.upper, pair.lower))}
        wrong = [sheet.take(f"{rows[p.upper].label} above {p.lower}", NotAbove(rows[p.upper], rows[p.lower]), shows="whole") for p in pairs]
        self.add(
            sheet,
            WHOLE,
            f"Inputs of a {family} in order",
            f"the input that {sheet.name} names with a 1: it has to lie above the other",
            sheet.take("How many are not", total_of(wrong), shows="whole"),
            None,
            lambda x: np.where(x > 0, FAIL, PASS),
            when=given,
        )
