"""Audit: each claim beside the live result, with the difference and the verdict as formulas, so that what-if works here too."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from workbook_builder.output.page_layout import page
from workbook_builder.output.writer import GREY, MOSS, RUST, SLATE, STRAW, Writer, number_format

if TYPE_CHECKING:
    from .claims import Checked

COLUMNS = (
    ("part", 14),
    ("result", 20),
    ("claimed", 11),
    ("unit", 12),
    ("computed", 11),
    ("difference", 11),
    ("of computed", 10),
    ("tolerance, share", 9),
    ("tolerance, amount", 9),
    ("verdict", 17),
    ("what would give the claim, or what is missing", 44),
    ("evidence", 28),
)
PART, RESULT, CLAIMED, UNIT, COMPUTED, DIFFERENCE, SHARE, WITHIN, AMOUNT, VERDICT, WHY, EVIDENCE = range(len(COLUMNS))
FIRST_ROW = 5  # counted from 1
NAME = "Audit"
LINE_POINTS = 13
SMALLER = 1.1  # characters of the small type for one of the other
LONGEST_GENERAL = 8  # characters; a claim that was worked out has digits without end


def write_audit(writer: Writer, checked: list[Checked]) -> None:
    """The sheet."""
    out = writer.add_sheet(NAME, STRAW)
    for column, (_, width) in enumerate(COLUMNS):
        out.set_column(column, column, width)
    out.set_row(0, 22)
    out.write_string(0, 0, "Audit: claims against what the job gives", writer.format(bold=True, font_size=14, font_color=SLATE))
    out.write_string(1, 0, writer.job_title, writer.format(font_color=GREY))
    hint = "Change claims and tolerances here, inputs on their own; the verdicts follow. The last two columns are of the day of the audit."
    out.write_string(2, 0, hint, writer.format(italic=True, font_color=GREY))
    head = writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE, text_wrap=True)
    for column, (title, _) in enumerate(COLUMNS):
        out.write_string(FIRST_ROW - 2, column, title, head)
    out.set_row(FIRST_ROW - 2, 30)
    for index, one in enumerate(checked):
        _write(writer, out, FIRST_ROW + index, one)
    area = (FIRST_ROW - 1, VERDICT, FIRST_ROW - 2 + len(checked), VERDICT)
    for word, color in (("does not hold", RUST), ("holds", MOSS)):
        rule = {"type": "cell", "criteria": "==", "value": f'"{word}"', "format": writer.workbook.add_format({"font_color": color})}
        out.conditional_format(*area, rule)
    out.freeze_panes(FIRST_ROW - 1, 2)
    page(writer, out, repeat=FIRST_ROW - 1)


def _write(writer: Writer, out: Any, row: int, one: Checked) -> None:
    top = {"valign": "top"}
    box = {"bg_color": STRAW, "border": 1, "border_color": GREY, "locked": False, "align": "right", "text_wrap": True, **top}
    text = writer.format(text_wrap=True, **top)
    stored = one.in_book
    number = number_format([stored]) if isinstance(stored, float) else "General"
    shown = writer.format(align="right", text_wrap=True, num_format=number, **top)
    out.write_string(row - 1, PART, one.claim.part, text)
    out.write_string(row - 1, RESULT, one.claim.item, text)
    if isinstance(one.claimed, float):
        short = len(f"{one.claimed:.15g}") <= LONGEST_GENERAL
        out.write_number(row - 1, CLAIMED, one.claimed, writer.format(**box, num_format="General" if short else number))
    elif one.claimed is None:
        out.write_blank(row - 1, CLAIMED, None, writer.format(**box))
    else:
        out.write_string(row - 1, CLAIMED, one.claimed, writer.format(**box))
    out.write_string(row - 1, UNIT, one.unit, writer.format(font_color=GREY, align="left", indent=1, text_wrap=True, **top))
    writer.formula(out, row - 1, COMPUTED, f"={one.place.address}", "" if stored is None else stored, shown)
    difference = one.claimed - stored if isinstance(one.claimed, float) and isinstance(stored, float) else None
    writer.formula(
        out,
        row - 1,
        DIFFERENCE,
        f'=IF(AND(ISNUMBER(C{row}),ISNUMBER(E{row})),C{row}-E{row},"")',
        "" if difference is None else difference,
        shown,
    )
    share = difference / abs(stored) if difference is not None and isinstance(stored, float) and stored else None
    writer.formula(
        out,
        row - 1,
        SHARE,
        f'=IF(ISNUMBER(F{row}),IF(E{row}=0,"",F{row}/ABS(E{row})),"")',
        "" if share is None else share,
        writer.format(align="right", num_format="0.0%", **top),
    )
    out.write_number(row - 1, WITHIN, one.tolerance.share, writer.format(**box, num_format="0.0%"))
    out.write_number(row - 1, AMOUNT, max(one.tolerance.amount, one.tolerance.rounding), writer.format(**box, num_format="General"))
    verdict = one.verdict.replace(" as rounded", "")
    writer.formula(out, row - 1, VERDICT, "=" + verdict_formula(row, one), verdict, writer.format(bold=True, align="left", indent=1, **top))
    evidence = one.evidence.words if one.evidence else ""
    small = writer.format(text_wrap=True, font_size=9, **top)
    out.write_string(row - 1, WHY, one.why, small)
    out.write_string(row - 1, EVIDENCE, evidence, small)
    texts = [(PART, one.claim.part), (RESULT, one.claim.item), (UNIT, one.unit), (WHY, one.why), (EVIDENCE, evidence)]
    texts += [(c, v) for c, v in ((CLAIMED, one.claimed), (COMPUTED, stored)) if isinstance(v, str)]
    out.set_row(row - 1, LINE_POINTS * max(_lines(text, column) for column, text in texts) + 2)


def _lines(text: str, column: int) -> int:
    """Lines that a text takes in its column; a program that sets no heights of its own shows no more than these."""
    width = int(COLUMNS[column][1] * (SMALLER if column in (WHY, EVIDENCE) else 1))
    return sum(max(1, len(textwrap.wrap(part, width))) for part in text.split("\n"))


def verdict_formula(row: int, one: Checked) -> str:
    """Holds within the larger tolerance; words hold if they are the same; nothing is said while something is missing."""
    compared = (
        f"IF(ISNUMBER(F{row}),"
        f'IF(ABS(F{row})<=MAX(H{row}*ABS(E{row}),I{row})*(1+1E-9),"holds","does not hold"),'
        f'IF(LOWER(C{row}&"")=LOWER(E{row}&""),"holds","does not hold"))'
    )
    missing = [f'C{row}=""', f'E{row}=""']
    missing += [f'{n.place}=""' for n in one.needs[:1] if n.place]
    return f'IF(OR({",".join(missing)}),"cannot be checked",{compared})'
