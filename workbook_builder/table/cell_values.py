"""What was typed into one cell: a number, a date or a word of a list, taken or refused with what is allowed."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

from hydrocalc.arguments import describe_limits
from hydrocalc.measures import Limits

from .lookalikes import plain_signs, plain_size
from .near_misses import listing, meant, proposed_choices
from .rows import Cell, RefusedError
from .vocabulary import Item

ROUNDING = 1e-9  # of a limit that was converted to another unit
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


# The days of office programs, counted from here; those of 1900 are not the same in all of them.
_EPOCH = date(1899, 12, 30)
FIRST_YEAR = 1901
FIRST_SERIAL, LAST_SERIAL = (date(FIRST_YEAR, 1, 1) - _EPOCH).days, (date.max - _EPOCH).days


def in_order(typed: Sequence[tuple[str, Cell, float | str | None]]) -> None:
    """Refuse where one of these, as it was typed and as it counts, is above the next."""
    given = [(name, cell, number) for name, cell, number in typed if isinstance(number, float)]
    for (name, cell, number), (above, other, most) in pairwise(given):
        if number > most:
            raise RefusedError(f"{name}, {shown(cell)}, is above {above}, {shown(other)}")


def holds(limits: Limits, value: float) -> bool:
    """True inside the limits; what is typed as a limit in another unit is the limit but for its rounding."""
    return limits.holds(value) or any(
        not is_open and math.isclose(value, end, rel_tol=ROUNDING)
        for end, is_open in ((limits.low, limits.low_open), (limits.high, limits.high_open))
        if math.isfinite(end)
    )


def _iso(text: str) -> date:
    """Year-month-day and nothing else of what the standard has: a cell's rule could not tell."""
    if not _DATE.fullmatch(text):
        raise ValueError(text)
    return date.fromisoformat(text)


def typed_date(cell: Cell) -> str:
    """A date as year-month-day; a number in a workbook is one as office programs count days."""
    try:
        counted = not isinstance(cell, str) and FIRST_SERIAL <= cell <= LAST_SERIAL and cell == int(cell)
        found = _EPOCH + timedelta(days=int(cell)) if counted else _iso(str(cell))
    except ValueError:
        advice = "write it as year-month-day, such as 2024-11-30; in a spreadsheet program format the cell as text or as yyyy-mm-dd"
        raise RefusedError(f"{shown(cell)!r} is not a date; {advice}") from None
    if found.year < FIRST_YEAR:
        raise RefusedError(f"{shown(cell)!r} is a date before those that a spreadsheet holds; allowed: {FIRST_YEAR}-01-01 or later")
    return found.isoformat()


def typed_choice(item: Item, text: str, *, propose: bool = True) -> str:
    """The choice that was typed; RefusedError with what is allowed, and with what is proposed if that is wanted."""
    plain = plain_size(text) if item.name == "size" else plain_signs(text)
    folded = " ".join(plain.split()).casefold()
    choices = item.choices
    for choice in choices:
        if choice.casefold() == folded or (item.type == "month" and len(folded) >= 3 and choice.casefold().startswith(folded)):
            return choice
    hint = meant(proposed_choices(item, plain)) if propose else ""
    raise RefusedError(f"{text!r}{f' ({hint})' if hint else ''} is not one of: {listing(choices, ' | ', item.part)}")


def allowed_range(limits: Limits, item: Item) -> str:
    """The range allowed in both trade systems."""
    assert item.measure is not None
    both = [describe_limits(limits, item.measure, "us"), describe_limits(limits, item.measure, "metric")]
    return " or ".join(dict.fromkeys(both))


def shown(cell: Cell) -> str:
    return cell if isinstance(cell, str) else f"{cell:.10g}"
