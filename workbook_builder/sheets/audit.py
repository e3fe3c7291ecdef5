"""Audit: each claim beside the live result, with the difference and the verdict as formulas, so that what-if works here too."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ..paper import page
from ..xlsx import GREY, SLATE, STRAW, Writer

if TYPE_CHECKING:
    from ..audit.claims import Checked

COLUMNS = (
    ("part", 16),
    ("result", 22),
    ("claimed", 11),
    ("unit", 12),
    ("computed", 11),
    ("difference", 11),
    ("of computed", 10),
    ("tolerance, share", 10),
    ("tolerance, amount", 10),
    ("verdict", 17),
    ("what would give the claim, or what is missing", 50),
    ("evidence", 30),
)
PART, RESULT, CLAIMED, UNIT, COMPUTED, DIFFERENCE, SHARE, WITHIN, AMOUNT, VERDICT, WHY, EVIDENCE = range(len(COLUMNS))
FIRST_ROW = 5  # counted from 1
NAME = "Audit"
SHOWN = "#,##0.####"


def write_audit(writer: Writer, checked: list[Checked]) -> None:
    """The sheet."""
    out = writer.add_sheet(NAME, STRAW)
    for column, (_, width) in enumerate(COLUMNS):
        out.set_column(column, column, width)
    out.set_row(0, 22)
    out.write_string(0, 0, "Audit: claims against what the job gives", writer.format(bold=True, font_size=14, font_color=SLATE))
    out.write_string(1, 0, writer.job_title, writer.format(font_color=GREY))
    hint = "Change claims and tolerances here, inputs on Inputs; the verdicts follow. The last two columns are of the day of the audit."
    out.write_string(2, 0, hint, writer.format(italic=True, font_color=GREY))
    head = writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE, text_wrap=True)
    for column, (title, _) in enumerate(COLUMNS):
        out.write_string(FIRST_ROW - 2, column, title, head)
    out.set_row(FIRST_ROW - 2, 30)
    for index, one in enumerate(checked):
        _write(writer, out, FIRST_ROW + index, one)
    out.freeze_panes(FIRST_ROW - 1, 2)
    page(writer, out, repeat=FIRST_ROW - 1)


def _write(writer: Writer, out: Any, row: int, one: Checked) -> None:
    box = {"bg_color": STRAW, "border": 1, "border_color": GREY, "locked": False, "align": "right"}
    number = writer.format(align="right", num_format=SHOWN)
    wrapped = writer.format(text_wrap=True, font_size=9)
    out.write_string(row - 1, PART, one.claim.part, writer.format())
    out.write_string(row - 1, RESULT, one.claim.item, writer.format())
    if isinstance(one.claimed, float):
        out.write_number(row - 1, CLAIMED, one.claimed, writer.format(**box, num_format="General"))
    elif one.claimed is None:
        out.write_blank(row - 1, CLAIMED, None, writer.format(**box))
    else:
        out.write_string(row - 1, CLAIMED, one.claimed, writer.format(**box))
    out.write_string(row - 1, UNIT, one.unit, writer.format(font_color=GREY))
    stored = one.in_book
    writer.formula(out, row - 1, COMPUTED, f"={one.place.address}", "" if stored is None else stored, number)
    difference = one.claimed - stored if isinstance(one.claimed, float) and isinstance(stored, float) else None
    writer.formula(
        out,
        row - 1,
        DIFFERENCE,
        f'=IF(AND(ISNUMBER(C{row}),ISNUMBER(E{row})),C{row}-E{row},"")',
        "" if difference is None else difference,
        number,
    )
    share = difference / abs(stored) if difference is not None and isinstance(stored, float) and stored else None
    writer.formula(
        out,
        row - 1,
        SHARE,
        f'=IF(ISNUMBER(F{row}),IF(E{row}=0,"",F{row}/ABS(E{row})),"")',
        "" if share is None else share,
        writer.format(align="right", num_format="0.0%"),
    )
    out.write_number(row - 1, WITHIN, one.tolerance.share, writer.format(**box, num_format="0.0%"))
    out.write_number(row - 1, AMOUNT, max(one.tolerance.amount, one.tolerance.rounding), writer.format(**box, num_format="General"))
    verdict = one.verdict.replace(" as rounded", "")
    writer.formula(out, row - 1, VERDICT, "=" + verdict_formula(row, one), verdict, writer.format(bold=True))
    out.write_string(row - 1, WHY, one.why, wrapped)
    out.write_string(row - 1, EVIDENCE, one.evidence.words if one.evidence else "", wrapped)


def verdict_formula(row: int, one: Checked) -> str:
    """Holds within the larger tolerance; words hold if they are the same; nothing is said while something is missing."""
    compared = (
        f"IF(ISNUMBER(F{row}),"
        f'IF(ABS(F{row})<=MAX(H{row}*ABS(E{row}),I{row})*(1+1E-9),"holds","does not hold"),'
        f'IF(LOWER(C{row}&"")=LOWER(E{row}&""),"holds","does not hold"))'
    )
    missing = [f'C{row}=""', f'E{row}=""']
    missing += [f'INDEX(input_values,MATCH("{n.key}",input_keys,0))=""' for n in one.needs[:1] if n.key]
    return f'IF(OR({",".join(missing)}),"cannot be checked",{compared})'
