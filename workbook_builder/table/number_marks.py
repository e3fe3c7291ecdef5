"""Numbers as they are typed: which mark parts the decimals and which the thousands, as the table itself shows."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from .lookalikes import FRACTIONS
from .rows import Cell, RefusedError

LONG = 12  # characters of a number that are shown
POINT, COMMA = ".", ","
_PARTING = re.compile("[ '’\u00a0\u2007\u2009\u202f]")  # apostrophes and blanks between thousands
_EXPONENT = r"(?:[eE][+-]?\d+)?"
_FORMS = {
    decimal: re.compile(
        rf"[+-]?(?:(?:\d+|[1-9]\d{{0,2}}([{thousands}'])\d{{3}}(?:\1\d{{3}})*)(?:[{decimal}]{digits})?|[{decimal}]\d+){_EXPONENT}"
    )
    # After a comma at the end something is lacking; after a point it is how some write a whole number.
    for decimal, thousands, digits in ((POINT, COMMA, r"\d*"), (COMMA, POINT, r"\d+"))
}
ADVICE = "write a decimal with a point, and thousands without a mark"
# The mark of decimals where a text such as 1,234 or 1.234 could be either and no other number of the table tells, by what
# parts the columns and by its own mark: what parts columns with semicolons has the comma for decimals.
_BY_DELIMITER = {(",", POINT): POINT, (";", COMMA): COMMA}


def readings(text: str) -> dict[str, str]:
    """What a text can be as a number, by the mark of its decimals; nothing if it is none."""
    bare = _PARTING.sub("'", text.replace("−", "-"))
    found = {}
    for decimal, form in _FORMS.items():
        if form.fullmatch(bare):
            thousands = COMMA if decimal == POINT else POINT
            found[decimal] = bare.replace("'", "").replace(thousands, "").replace(decimal, ".")
    return found


def _either_way(found: Mapping[str, str]) -> bool:
    """The text has no mark that matters: a whole number, with blanks between thousands perhaps."""
    return len(found) == 2 and len(set(found.values())) == 1


@dataclass(frozen=True)
class Marks:
    """What the numbers of a table show: for each mark of decimals a number that cannot be read with the other."""

    shown: Mapping[str, str] = field(default_factory=dict)
    delimiter: str = ","

    def plain(self, text: str) -> str:
        """The number as it is written with a point and without other marks; RefusedError where it could be another one."""
        found = readings(text)
        if _either_way(found):
            return found[POINT]
        if len(found) == 1:
            [decimal] = found
            if decimal == COMMA and POINT in self.shown:
                raise RefusedError(f"{text!r} has a decimal comma, but a point stands in {self.shown[POINT]}; {ADVICE}")
            return found[decimal]
        mark = COMMA if COMMA in text else POINT
        if len(self.shown) == 1:
            [decimal] = self.shown
            # A comma between columns and none in numbers is the plain form: there a point is no mark of thousands.
            if (self.delimiter, mark, decimal) == (",", POINT, COMMA):
                raise RefusedError(f"{text!r} has a point, but a decimal comma stands in {self.shown[COMMA]}; {ADVICE}")
            return found[decimal]
        usual = _BY_DELIMITER.get((self.delimiter, mark))
        if usual == POINT or (usual == COMMA and not self.shown):
            return found[usual]
        one, other = found[POINT], found[COMMA]
        raise RefusedError(f"{text!r} has a mark between its digits and could be {one} or {other}; {ADVICE}")


def marks_of(typed: Iterable[tuple[int, Cell]], delimiter: str = ",") -> Marks:
    """The marks that these cells show, each with the number of its row."""
    shown: dict[str, str] = {}
    for row, cell in typed:
        if isinstance(cell, str) and len(found := readings(cell)) == 1:
            shown.setdefault(next(iter(found)), f"row {row}, {cell}")
    return Marks(shown, delimiter)


def typed_number(cell: Cell, marks: Marks | None = None) -> float:
    """The number in a cell; RefusedError for what could be read in two ways, or in none."""
    if not isinstance(cell, str):
        return float(cell)
    text = cell.replace("−", "-")
    if readings(text):
        plain = (marks or Marks()).plain(text)
        if not math.isfinite(float(plain)):
            raise RefusedError(f"{text if len(text) <= LONG else text[:LONG] + '…'} is larger than any number that a spreadsheet holds")
        return float(plain)
    if text.casefold().lstrip("+-") in ("nan", "inf", "infinity"):
        raise RefusedError(f"{cell!r} is not a finite number")
    if re.fullmatch(rf"[+-]?[\d.,{_PARTING.pattern[1:-1]}]+", text):
        raise RefusedError(f"{cell!r} has a mark between its digits; {ADVICE}")
    if re.fullmatch(rf"\d*\s*[{''.join(FRACTIONS)}]", text):
        raise RefusedError(f"{cell!r} is not a number; write the fraction as a decimal with a point")
    if re.match(r"[+-]?[\d.,]+\s*\S", text):
        raise RefusedError(f"{cell!r} is not a number; the unit goes into its own column")
    if re.match(r"[+-]?\s*[$€£]\s*[\d.]", text):
        raise RefusedError(f"{cell!r} is not a number; the sign of money goes into the column of units")
    raise RefusedError(f"{cell!r} is a text, but a number is wanted")
