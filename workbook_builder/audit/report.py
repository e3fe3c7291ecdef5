"""The printed report of an audit, which fits a page, and the same for machines."""

from __future__ import annotations

import json
import math
import re
import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from .claims import Checked, figures
from .evidence import TheirBook

WIDTH = 98
HEADS = ("claim", "claimed", "computed", "", "difference", "within", "verdict")
LEAST_NAME = 16  # the name of a claim is not broken into shorter lines
LONGEST_WORDS = (24, 12)
MOST_REMARKS = 6
UNIT = 2  # its place after the claim


def report(title: str, checked: Sequence[Checked], book: TheirBook | None = None) -> str:
    """All claims in a table, each that fails with what would give it."""
    lines = [*textwrap.wrap(title, WIDTH), ""] if title else []
    for longest in LONGEST_WORDS:  # words are cut shorter if there is no room for them
        rows = [_row(one, longest) for one in checked]
        widths = [max(len(r[i]) for r in [HEADS, *rows]) for i in range(len(HEADS))]
        room = WIDTH - sum(widths[1:]) - 2 * (len(HEADS) - 1)
        if room >= min(widths[0], LEAST_NAME):
            break
    widths[0] = min(widths[0], max(room, LEAST_NAME))
    lines += _joined(HEADS, widths)
    for one, row in zip(checked, rows, strict=True):
        lines += _joined(row, widths)
        for text in _below(one):
            lines += textwrap.wrap(text, WIDTH, initial_indent="    ", subsequent_indent="      ")
    lines += ["", summary(checked)]
    if book is not None and book.remarks:
        lines += ["", f"{book.path.name}:"]
        for remark in book.remarks[:MOST_REMARKS]:
            lines += textwrap.wrap(remark, WIDTH, initial_indent="  ", subsequent_indent="      ")
        if len(book.remarks) > MOST_REMARKS:
            lines.append(f"  and {len(book.remarks) - MOST_REMARKS} more; --json lists all")
    return "\n".join(line.rstrip() for line in lines)


def summary(checked: Sequence[Checked]) -> str:
    """How many hold."""
    fails = sum(c.fails for c in checked)
    unchecked = sum(c.verdict == "cannot be checked" for c in checked)
    holding = len(checked) - fails - unchecked
    parts = [f"{holding} of {len(checked)} claim{'s' if len(checked) > 1 else ''} hold{'s' if holding == 1 else ''}"]
    if fails:
        parts.append(f"{fails} {'does' if fails == 1 else 'do'} not")
    if unchecked:
        parts.append(f"{unchecked} cannot be checked")
    return ", ".join(parts)


def _row(one: Checked, longest: int) -> tuple[str, ...]:
    return (
        f"{one.claim.part}, {one.claim.item}",
        _claimed(one, longest),
        _short(one.computed, longest),
        one.unit,
        _difference(one),
        _tolerance(one),
        one.verdict,
    )


def _claimed(one: Checked, longest: int) -> str:
    """As it was written where it is in the book's unit, so that no digit is claimed that was not."""
    match = re.fullmatch(r"[+-]?\d+(?:\.(\d+))?", one.text)
    if isinstance(one.claimed, float) and match is not None and math.isclose(float(one.text), one.claimed, rel_tol=1e-12):
        return f"{one.claimed:,.{len(match[1] or '')}f}"
    return _short(one.claimed, longest)


def _short(value: float | str | None, longest: int) -> str:
    """A number in four figures, or the beginning of a text."""
    text = figures(value)
    return text if len(text) <= longest else text[: longest - 1] + "…"


def _difference(one: Checked) -> str:
    difference, share = one.difference, one.share
    if difference is None:
        return ""
    if one.tolerance.share and share is not None and abs(share) < 10:
        return f"{100 * share:+.1f} %"
    if share is not None and abs(share) >= 10:
        return f"× {figures(share + 1)}"
    return f"{difference:+.3g}"


def _tolerance(one: Checked) -> str:
    if isinstance(one.computed, str) or one.computed is None or isinstance(one.claimed, str):
        return ""
    tolerance = one.tolerance
    amount = max(tolerance.amount, tolerance.rounding)
    if amount > tolerance.share * abs(one.computed):
        return f"{amount:.3g}"
    return f"{100 * tolerance.share:g} %"


def _below(one: Checked) -> Iterator[str]:
    if one.needs:
        yield "needs " + "; ".join(n.words for n in one.needs)
    for index, explanation in enumerate(one.explanations):
        lead = "this is what you get with" if index == 0 else "or with"
        yield f"{lead} {explanation.words}: {figures(explanation.value)} {one.unit}".rstrip()
    if one.fails and not one.explanations and one.difference is not None:
        yield "none of the usual mistakes leads there" + (
            "" if one.pairs_tried else " alone; so many claims fail that pairs were not tried"
        )
    if one.evidence is not None:
        yield one.evidence.words


def _joined(cells: Sequence[str], widths: Sequence[int]) -> list[str]:
    """One line of the table, with more where the name of the claim is long."""
    first, *rest = textwrap.wrap(cells[0], widths[0], subsequent_indent="  ") or [""]
    middle = [c.ljust(w) if index == UNIT else c.rjust(w) for index, (c, w) in enumerate(zip(cells[1:-1], widths[1:-1], strict=True))]
    return ["  ".join([first.ljust(widths[0]), *middle, cells[-1]]), *rest]


def as_json(file: str, checked: Sequence[Checked], book: TheirBook | None = None) -> str:
    """The same for machines."""
    found: dict[str, Any] = {"file": file, "claims": [_record(one) for one in checked]}
    if book is not None:
        found["book"] = {"file": book.path.name, "remarks": book.remarks}
    return json.dumps(found, ensure_ascii=False, indent=2)


def _record(one: Checked) -> dict[str, Any]:
    return {
        "row": one.claim.row,
        "part": one.claim.part,
        "result": one.claim.item,
        "cell": one.place.address,
        "claimed": one.claimed,
        "computed": one.computed,
        "unit": one.unit,
        "difference": one.difference,
        "tolerance": {
            "share": one.tolerance.share,
            "amount": max(one.tolerance.amount, one.tolerance.rounding),
            "reason": one.tolerance.reason,
        },
        "verdict": one.verdict,
        "needs": [n.words for n in one.needs],
        "explanations": [
            {"mistakes": list(e.keys), "words": e.words, "value": e.value, "unexplained": round(e.closeness, 4)} for e in one.explanations
        ],
        "evidence": one.evidence.words if one.evidence else None,
    }
