"""The printed report of an audit, which fits a page, and the same for machines."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from .claims import Checked, figures
from .evidence import TheirBook

WIDTH = 96
MOST_REMARKS = 6
UNIT = 2  # its place after the claim


def report(title: str, checked: Sequence[Checked], book: TheirBook | None = None) -> str:
    """All claims in a table, each that fails with what would give it."""
    lines = [" ".join(title.split()), ""] if title else []
    heads = ("claim", "claimed", "computed", "", "difference", "within", "verdict")
    rows = [_row(one) for one in checked]
    widths = [max(len(r[i]) for r in [heads, *rows]) for i in range(len(heads))]
    widths[0] = min(widths[0], WIDTH - sum(widths[1:]) - 2 * len(heads))
    lines.append(_joined(heads, widths))
    for one, row in zip(checked, rows, strict=True):
        lines.append(_joined(row, widths))
        for text in _below(one):
            lines += textwrap.wrap(text, WIDTH, initial_indent="    ", subsequent_indent="      ")
    lines += ["", summary(checked)]
    if book is not None and book.remarks:
        lines += ["", f"{book.path.name}:"]
        lines += [f"  {' '.join(r.split())}" for r in book.remarks[:MOST_REMARKS]]
    return "\n".join(line.rstrip() for line in lines)


def summary(checked: Sequence[Checked]) -> str:
    """How many hold."""
    fails = sum(c.fails for c in checked)
    unchecked = sum(c.verdict == "cannot be checked" for c in checked)
    parts = [f"{len(checked) - fails - unchecked} of {len(checked)} claims hold"]
    if fails:
        parts.append(f"{fails} {'does' if fails == 1 else 'do'} not")
    if unchecked:
        parts.append(f"{unchecked} cannot be checked")
    return ", ".join(parts)


def _row(one: Checked) -> tuple[str, ...]:
    return (
        f"{one.claim.part}, {one.claim.item}",
        figures(one.claimed),
        figures(one.computed),
        one.unit,
        _difference(one),
        _tolerance(one),
        one.verdict,
    )


def _difference(one: Checked) -> str:
    difference, share = one.difference, one.share
    if difference is None:
        return ""
    if one.tolerance.share and share is not None and abs(share) < 10:
        return f"{100 * share:+.1f} %"
    if share is not None and abs(share) >= 10:
        return f"× {share + 1:,.3g}"
    return f"{difference:+.3g} {one.unit}".rstrip()


def _tolerance(one: Checked) -> str:
    if isinstance(one.computed, str) or one.computed is None or isinstance(one.claimed, str):
        return ""
    tolerance = one.tolerance
    amount = max(tolerance.amount, tolerance.rounding)
    if amount > tolerance.share * abs(one.computed):
        return f"{amount:.3g} {one.unit}".rstrip()
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


def _joined(cells: Sequence[str], widths: Sequence[int]) -> str:
    first = cells[0] if len(cells[0]) <= widths[0] else cells[0][: widths[0] - 1] + "…"
    middle = [c.ljust(w) if index == UNIT else c.rjust(w) for index, (c, w) in enumerate(zip(cells[1:-1], widths[1:-1], strict=True))]
    return "  ".join([first.ljust(widths[0]), *middle, cells[-1]])


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
