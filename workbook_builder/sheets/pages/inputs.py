"""Inputs: the input table as it stands in the book, with the value used, the defaults and where they come from.

This sheet is the one gate: an impossible or missing value is turned here into a blank or a default, with a
remark, and every other sheet fetches from here by key.
"""

from __future__ import annotations

from typing import Any

from hydrocalc.measures import Limits, Measure, System
from workbook_builder.formula.printing import decimal
from workbook_builder.model.input_line import InputLine
from workbook_builder.model.input_references import input_name
from workbook_builder.model.inputs import FIRST_ROW, Inputs, rounded
from workbook_builder.model.needs import ITEMS, MISSING, PARTS, REMARKS, TYPED
from workbook_builder.model.rows import column_letters
from workbook_builder.output.page_layout import page
from workbook_builder.output.writer import GREY, PALE, RUST, SLATE, STRAW, Writer, input_format
from workbook_builder.table import vocabulary
from workbook_builder.table.cell_values import FIRST_SERIAL, FIRST_YEAR, LAST_SERIAL
from workbook_builder.table.job import LONGEST_NAME, RESERVED
from workbook_builder.table.rows import FURTHER
from workbook_builder.table.vocabulary import BOILER, NAME, Item

from .tables import choices_name

COLUMNS = (("part", 22), ("item", 30), ("value", 18), ("unit", 14), ("note", 34), ("value used", 18), ("remark", 46), ("key", 34))
PART, ITEM, VALUE, UNIT, NOTE, USED, REMARK, KEY = range(len(COLUMNS))
LOW, HIGH, RANGE_WIDTH = len(COLUMNS), len(COLUMNS) + 1, 12  # beside the table, and read as a part of it: the range of an uncertain input
# Characters that stand in one line of a column, on the safe side of a wider font, and points to a line.
REMARK_A_LINE, VALUE_A_LINE, NOTE_A_LINE, LINE_POINTS = 44, 18, 36, 14
OTHER_KIND = "not for this kind of load"


def write_inputs(writer: Writer, inputs: Inputs) -> None:
    """The sheet itself, with the defined names of the job-wide inputs."""
    out = writer.add_sheet("Inputs", STRAW)
    for column, (_, width) in enumerate(COLUMNS):
        out.set_column(column, column, width)
    out.set_row(0, 22)
    out.write_string(0, 0, "Inputs", writer.format(bold=True, font_size=14, font_color=SLATE))
    out.write_string(1, 0, writer.job_title, writer.format(font_color=GREY))
    hint = "Type in the framed value column; leave a value empty for its default. Everything else follows."
    out.write_string(2, 0, hint, writer.format(italic=True, font_color=GREY))
    missing = writer.format(bold=True, font_color=RUST)
    writer.formula(out, 1, USED, f"={inputs.needs.formula}", inputs.needs.text, missing)
    writer.workbook.define_name(MISSING, f"=Inputs!${column_letters(USED)}$2")
    head = writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE)
    for column, (title, _) in enumerate(COLUMNS):
        out.write_string(FIRST_ROW - 2, column, title, head)
    _range_columns(writer, out)
    previous = ""
    for line in inputs.lines:
        _write_line(writer, out, line, inputs, new_part=line.part != previous)
        previous = line.part
    last = inputs.last_row
    for column in range(len(COLUMNS)):
        out.write_blank(last - 1, column, None, writer.format(bg_color=PALE))
    out.set_row(last - 1, 4)
    for name, column in ((ITEMS, ITEM), (TYPED, VALUE), (REMARKS, REMARK)):
        letters = column_letters(column)
        writer.workbook.define_name(name, f"=Inputs!${letters}${FIRST_ROW}:${letters}${last}")
    writer.workbook.define_name(PARTS, f"=Inputs!$A${FIRST_ROW}:$A${last}")
    writer.workbook.define_name("input_keys", f"=Inputs!$H${FIRST_ROW}:$H${last}")
    writer.workbook.define_name("input_values", f"=Inputs!$F${FIRST_ROW}:$F${last}")
    out.freeze_panes(FIRST_ROW - 1, 2)
    out.print_area(0, 0, last - 1, REMARK)
    page(writer, out, repeat=FIRST_ROW - 1)


def _range_columns(writer: Writer, out: Any) -> None:
    """Headings and free cells for the low and the high end of an uncertain input."""
    free = writer.format(locked=False, align="right", num_format="General")
    out.set_column(LOW, HIGH, RANGE_WIDTH, free)
    hint = "Low and high of an uncertain input, in its unit; the ranges on Summary are worked out when the book is filled anew."
    out.write_string(2, LOW, hint, writer.format(italic=True, font_color=GREY))
    for column, title in ((LOW, FURTHER[0]), (HIGH, FURTHER[1])):
        out.write_string(FIRST_ROW - 2, column, title, writer.format(bold=True, font_color="#FFFFFF", bg_color=SLATE, align="right"))


def _write_line(writer: Writer, out: Any, line: InputLine, inputs: Inputs, *, new_part: bool) -> None:
    row = line.row - 1
    top = {"top": 1, "top_color": GREY} if new_part else {}
    plain = writer.format(**top)
    quiet = writer.format(font_color=GREY, **top)
    if line.part in vocabulary.SINGLE:
        out.write_string(row, PART, line.part, writer.format(bold=new_part, **top))
    else:  # a part with a name follows the cell in which it is named
        family = vocabulary.family(line.part)
        text = f'="{family} "&{inputs.name_cell(line.part)}'
        writer.formula(out, row, PART, text, line.part, writer.format(bold=new_part, **top))
    out.write_string(row, ITEM, line.item.name, plain)
    box = {"bg_color": STRAW, "border": 1, "border_color": GREY, "locked": False}
    if line.item.type == "date":
        box["num_format"] = "yyyy-mm-dd"  # of a date that is typed there
    if isinstance(line.typed, float):
        out.write_number(row, VALUE, line.typed, writer.format(**box, align="right", num_format=input_format(line.typed)))
    elif line.typed is None:
        out.write_blank(row, VALUE, None, writer.format(**box, align="right", **_as_text(line.item)))
    else:
        out.write_string(row, VALUE, line.typed, writer.format(**box, align="right", text_wrap=True, **_as_text(line.item)))
    out.data_validation(row, VALUE, row, VALUE, _validation(line, inputs.system))
    out.write_string(row, UNIT, line.unit, writer.format(font_color=GREY, indent=1, **top))
    out.write_string(row, NOTE, line.note, writer.format(**top, locked=False, font_size=9, text_wrap=True))
    for column, end in ((LOW, line.low), (HIGH, line.high)):
        if end is not None:
            style = writer.format(bg_color=STRAW, locked=False, align="right", num_format=input_format(end))
            out.write_number(row, column, end, style)
    cell = f"C{line.row}"
    used = "" if line.used is None else line.used
    shown = writer.format(**top, align="right", num_format=input_format(line.used), text_wrap=True)
    used_text, remark_text = used_formula(line, cell, inputs.system), remark_formula(line, cell, inputs.system, default_remark(line))
    wanted = inputs.needs.of(line)
    remark_text, remark = wanted.formula(remark_text), wanted.remark(default_remark(line) if line.typed is None else "")
    kind = inputs.kind_test(line)
    if kind:
        used_text, remark_text, remark = f'IF({kind},{used_text},"")', f'IF({kind},{remark_text},"{OTHER_KIND}")', OTHER_KIND
    writer.formula(out, row, USED, "=" + used_text, used, shown)
    writer.formula(out, row, REMARK, "=" + remark_text, remark, writer.format(font_color=GREY, indent=1, text_wrap=True, **top))
    remarks = max(map(len, (default_remark(line), *wanted.texts)))
    texts = ((remarks, REMARK_A_LINE), (len(str(line.typed or "")), VALUE_A_LINE), (len(line.note), NOTE_A_LINE))
    lines = max(1 + length // a_line for length, a_line in texts)
    if lines > 1:
        out.set_row(row, LINE_POINTS * lines)
    writer.formula(out, row, KEY, f'=A{line.row}&"|"&B{line.row}', line.key, quiet)
    if line.part in vocabulary.SINGLE:
        writer.workbook.define_name(input_name(line.part, line.item.name), f"=Inputs!$F${line.row}")


def _as_text(item: Item) -> dict[str, str]:
    """A size such as 3/4 or 1 stays the word that it is, and is not taken for a day or a number; a date becomes a date."""
    return {} if item.measure is not None or item.type == "date" else {"num_format": "@"}


LONGEST_TITLE, LONGEST_HINT = 32, 250


def _validation(line: InputLine, system: System) -> dict[str, Any]:
    """A drop-down or a range for an input, with a hint that shows when its cell is entered."""
    item, cell = line.item, f"C{line.row}"
    rule: dict[str, Any] = {
        "validate": "any",
        "input_title": item.name[:LONGEST_TITLE],
        "input_message": f"{item.hint}{f' ({line.unit})' if line.unit else ''}"[:LONGEST_HINT],
        "error_title": "Not possible",
    }
    if item.measure is not None:
        unit = item.measure.unit(system)
        ends = (item.limits.low, item.limits.high)
        low, high = (rounded(float(unit.from_coherent(end))) if abs(end) != float("inf") else None for end in ends)
        if item.limits.low_open or item.limits.high_open:  # a range of a validation has its ends in it
            tests = _within(item.limits, item.measure, cell, system)
            rule |= {"validate": "custom", "value": f"=AND({','.join([f'ISNUMBER({cell})', *tests])})"}
        else:
            least, most = -1e15 if low is None else low, 1e15 if high is None else high
            rule |= {"validate": "decimal", "criteria": "between", "minimum": least, "maximum": most}
        rule["error_message"] = units_allowed(line, system)[:LONGEST_HINT]
    elif item.choices:
        source, allowed = choices_name(item), f"one of: {', '.join(item.choices)}"
        if len(allowed) > LONGEST_HINT:
            allowed = "one of the list, which stands on Tables"
        rule |= {"validate": "list", "source": f"={source}", "error_message": allowed}
    elif (test := _word_test(line, cell)) is not None:
        rule |= {"validate": "custom", "value": f"={test[0]}", "error_message": test[1][:LONGEST_HINT]}
    return rule


def _word_test(line: InputLine, cell: str) -> tuple[str, str] | None:
    """A test of a word that is chosen from no list, and what is allowed; None where any text will do."""
    item = line.item
    if item.type in ("run", "load", "fuel"):
        # By comparison and not by MATCH, for which a * would stand for any name; parts that are not named yet are none.
        family = "fuel today" if item.type == "fuel" else item.type
        known = f'SUMPRODUCT(--({PARTS}="{family} "&TRIM({cell})))>0'
        if item.name == "starts at":
            return f'OR({cell}="{BOILER}",{known})', f"{BOILER}, or the name of a run"
        return known, f"the name of a {family}, as it stands in its row {NAME}"
    if item.type == "date":
        iso = f'AND(LEN({cell})=10,MID({cell},5,1)="-",MID({cell},8,1)="-",LEFT({cell},4)>="{FIRST_YEAR}",ISNUMBER(DATEVALUE({cell})))'
        return (
            f"IF(ISNUMBER({cell}),AND({cell}>={FIRST_SERIAL},{cell}<={LAST_SERIAL},{cell}=INT({cell})),{iso})",
            "a date, such as 2024-11-30",
        )
    if item.name == NAME:
        reserved = ",".join(f'{cell}="{word}"' for word in RESERVED)
        begins = f"EXACT(UPPER(LEFT({cell})),LOWER(LEFT({cell})))"
        test = f"AND(ISTEXT({cell}),LEN({cell})<={LONGEST_NAME},NOT({begins}),NOT(OR({reserved})))"
        return test, f"a name of at most {LONGEST_NAME} characters that begins with a letter and is none of {', '.join(RESERVED)}"
    return None


def default_remark(line: InputLine) -> str:
    """What the remark says while the value is empty."""
    if line.default is None:
        return line.item.otherwise or ("" if line.item.required else "not given")
    return f"default: {line.source}"[:240] if line.source else "default"


def _quoted(value: float | str | None) -> str:
    if value is None:
        return '""'
    return decimal_text(value) if isinstance(value, float) else '"' + value.replace('"', '""') + '"'


def decimal_text(value: float) -> str:
    from fractions import Fraction

    return decimal(Fraction(repr(value)))


def _within(limits: Limits, kind: Measure, cell: str, system: System) -> list[str]:
    unit = kind.unit(system)
    tests = []
    if limits.low != float("-inf"):
        tests.append(f"{cell}{'>' if limits.low_open else '>='}{decimal_text(rounded(float(unit.from_coherent(limits.low))))}")
    if limits.high != float("inf"):
        tests.append(f"{cell}{'<' if limits.high_open else '<='}{decimal_text(rounded(float(unit.from_coherent(limits.high))))}")
    return tests


def used_formula(line: InputLine, cell: str, system: System) -> str:
    """Typed and possible: as typed; empty: the default; impossible: blank."""
    default = _quoted(line.default)
    if line.item.type == "date":
        return _date_text(cell)
    if line.item.measure is None:
        return f'IF({cell}<>"",{cell},{default})'
    tests = _within(line.item.limits, line.item.measure, cell, system)
    if not tests:
        return f'IF(ISNUMBER({cell}),{cell},IF({cell}="",{default},""))'
    test = tests[0] if len(tests) == 1 else f"AND({','.join(tests)})"
    return f'IF(ISNUMBER({cell}),IF({test},{cell},""),IF({cell}="",{default},""))'


def remark_formula(line: InputLine, cell: str, system: System, default: str) -> str:
    """Says that a default stands in, or what is wrong with what was typed."""
    empty = _quoted(default)
    if line.item.type == "date":
        return f'IF({cell}="",{empty},IF(F{line.row}="",{_quoted(NO_DATE)},""))'
    if line.item.measure is None:
        return f'IF({cell}="",{empty},"")'
    tests = _within(line.item.limits, line.item.measure, cell, system)
    if not tests:
        return f'IF({cell}="",{empty},IF(ISNUMBER({cell}),"","not a number"))'
    test = tests[0] if len(tests) == 1 else f"AND({','.join(tests)})"
    allowed = units_allowed(line, system)
    return f'IF({cell}="",{empty},IF(ISNUMBER({cell}),IF({test},"",{_quoted(allowed)}),"not a number"))'


NO_DATE = "no date; write it as year-month-day, such as 2024-11-30"


def _date_text(cell: str) -> str:
    """A date as year-month-day, from a date of the office program's own, which is a number, or from such a text; else blank."""
    year, month, day = f"VALUE(LEFT({cell},4))", f"VALUE(MID({cell},6,2))", f"VALUE(RIGHT({cell},2))"
    sound = f'LEN({cell})=10,MID({cell},5,1)="-",MID({cell},8,1)="-",{year}>={FIRST_YEAR},MONTH(DATE({year},{month},{day}))={month}'
    own = f'YEAR({cell})&"-"&RIGHT("0"&MONTH({cell}),2)&"-"&RIGHT("0"&DAY({cell}),2)'
    number = f'IF(AND({cell}>={FIRST_SERIAL},{cell}<={LAST_SERIAL},INT({cell})={cell}),{own},"")'
    return f'IF({cell}="","",IF(ISNUMBER({cell}),{number},IFERROR(IF(AND({sound}),{cell},""),"")))'


def units_allowed(line: InputLine, system: System) -> str:
    from hydrocalc.arguments import describe_limits

    assert line.item.measure is not None
    return f"not possible; allowed: {describe_limits(line.item.limits, line.item.measure, system)}"
