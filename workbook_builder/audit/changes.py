"""What was changed in a book of ours: gathered, printed on a page, and the same for machines."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from .cells import Cell

SHOWN, SHOWN_A_SHEET = 40, 12
WIDTH = 96
LONGEST_FORMULA = 70


@dataclass(frozen=True)
class Edit:
    """One thing that was changed, and where."""

    place: str
    kind: str
    message: str


@dataclass
class Edits:
    """All that was changed, and what could not be looked at."""

    found: list[Edit] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def note(self, place: str, kind: str, message: str) -> None:
        self.found.append(Edit(place, kind, message))


def shown_value(value: float | str | None) -> str:
    """A number in seven figures, a text in quotation marks."""
    return f"{value:,.7g}" if isinstance(value, float) else f"{value!r}" if value else "nothing"


def shown_formula(text: str) -> str:
    """The beginning of a formula."""
    text = text if text.startswith("=") else f"={text}"
    return text if len(text) <= LONGEST_FORMULA else text[: LONGEST_FORMULA - 1] + "…"


def shown_cell(cell: Cell) -> str:
    """What a cell holds."""
    return shown_formula(cell.formula) if cell.formula else shown_value(cell.value)


def edited_report(file: str, edits: Edits) -> str:
    """What was changed, on a page."""
    count = len(edits.found)
    head = f"{file}: as it was written" if not count else f"{file}: {count:,} {'change' if count == 1 else 'changes'}"
    lines = [head, *_listed(edits.found)]
    for remark in edits.remarks:
        lines += textwrap.wrap(" ".join(remark.split()), WIDTH, initial_indent="  ", subsequent_indent="      ")
    return "\n".join(lines)


def _listed(found: Sequence[Edit]) -> Iterator[str]:
    shown: dict[str, int] = {}
    total = 0
    for edit in found:
        sheet = edit.place.partition("!")[0]
        shown[sheet] = shown.get(sheet, 0) + 1
        if total < SHOWN and shown[sheet] <= SHOWN_A_SHEET:
            total += 1
            yield from textwrap.wrap(f"{edit.place}  {edit.kind}: {edit.message}", WIDTH, initial_indent="  ", subsequent_indent="      ")
    left = len(found) - total
    if left:
        yield f"  and {left:,} more; --json lists all"


def edited_json(file: str, edits: Edits) -> str:
    """The same for machines."""
    changes = [{"place": e.place, "kind": e.kind, "message": e.message} for e in edits.found]
    return json.dumps({"file": file, "changes": changes, "remarks": edits.remarks}, ensure_ascii=False, indent=2)
