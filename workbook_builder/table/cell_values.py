"""What was typed into one cell: a number, a date or a word of a list, taken or refused with what is allowed."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

from hydrocalc.arguments import describe_limits
from hydrocalc.measures import Limits

from .rows import Cell
from .vocabulary import Item

LONG = 12  # characters of a number that are shown
ROUNDING = 1e-9  # of a limit that was converted to another unit
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_PARTING = "'’ \u00a0\u2009\u202f"  # apostrophes and blanks between thousands
_THOUSANDS = re.compile(rf"[+-]?\d{{1,3}}([,{_PARTING}])\d{{3}}(\1\d{{3}})*(\.\d+)?")


# The days of office programs, counted from here; those of 1900 are not the same in all of them.
_EPOCH = date(1899, 12, 30)
FIRST_YEAR = 1901
FIRST_SERIAL, LAST_SERIAL = (date(FIRST_YEAR, 1, 1) - _EPOCH).days, (date.max - _EPOCH).days


class RefusedError(ValueError):
    """A value cannot be taken; the message says what was found and what is allowed."""


def typed_number(cell: Cell) -> float:
    """The number in a cell; RefusedError for what could be read in two ways, or in none."""
    if not isinstance(cell, str):
        return float(cell)
    text = cell.replace("−", "-")
    if _NUMBER.fullmatch(text):
        if not math.isfinite(float(text)):
            raise RefusedError(f"{text if len(text) <= LONG else text[:LONG] + '…'} is larger than any number that a spreadsheet holds")
        return float(text)
    if text.casefold().lstrip("+-") in ("nan", "inf", "infinity"):
        raise RefusedError(f"{cell!r} is not a finite number")
    if _THOUSANDS.fullmatch(text) and not re.fullmatch(r"\D?\d+,\d+", text):
        raise RefusedError(f"{cell!r} is not a number; write thousands without a mark: {re.sub(r'[^-+.0-9]', '', text)}")
    if re.fullmatch(rf"[+-]?[\d.,{_PARTING}]+", text):
        # 1,234 is a thousand to some and little more than one to others; what is meant is not guessed.
        raise RefusedError(f"{cell!r} has a mark between its digits; write a decimal with a point, and thousands without a mark")
    if re.match(r"[+-]?[\d.]+\s*\S", text):
        raise RefusedError(f"{cell!r} is not a number; the unit goes into its own column")
    raise RefusedError(f"{cell!r} is a text, but a number is wanted")


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
        raise RefusedError(f"{shown(cell)!r} is not a date; write it as year-month-day, such as 2024-11-30") from None
    if found.year < FIRST_YEAR:
        raise RefusedError(f"{shown(cell)!r} is a date before those that a spreadsheet holds; allowed: {FIRST_YEAR}-01-01 or later")
    return found.isoformat()


def typed_choice(item: Item, text: str) -> str:
    folded = " ".join(text.split()).casefold()
    choices = item.choices
    for choice in choices:
        if choice.casefold() == folded or (item.type == "month" and len(folded) >= 3 and choice.casefold().startswith(folded)):
            return choice
    near = nearest(folded, list(choices))
    raise RefusedError(f"{text!r} is not one of: {' | '.join(choices)}{f' (did you mean {near}?)' if near else ''}")


def allowed_range(limits: Limits, item: Item) -> str:
    """The range allowed in both trade systems."""
    assert item.measure is not None
    both = [describe_limits(limits, item.measure, "us"), describe_limits(limits, item.measure, "metric")]
    return " or ".join(dict.fromkeys(both))


def nearest(text: str, words: list[str]) -> str | None:
    folded = {w.casefold(): w for w in words}
    near = difflib.get_close_matches(text, folded, 1, 0.6)
    return folded[near[0]] if near else None


def shown(cell: Cell) -> str:
    return cell if isinstance(cell, str) else f"{cell:.10g}"
