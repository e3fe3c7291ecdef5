"""What a formula makes of a cell that is typed into: the value where it is possible, the default where nothing is typed, else blank."""

from __future__ import annotations

from fractions import Fraction

from hydrocalc.measures import Limits, Measure, System
from workbook_builder.formula.printing import decimal
from workbook_builder.table.cell_values import FIRST_SERIAL, FIRST_YEAR, LAST_SERIAL
from workbook_builder.table.vocabulary import Item


def rounded(value: float) -> float:
    """Twelve significant digits: what was typed comes back as it was typed after two conversions."""
    return float(f"{value:.12g}")


def used_text(item: Item, cell: str, default: str, system: System) -> str:
    """The value that is used of a cell; ``default`` is the cell of its default, or a pair of quotation marks where it has none."""
    if item.type == "date":
        return _date_text(cell)
    if item.measure is None:
        return f'IF({cell}<>"",{cell},{default})'
    tests = [f"ISNUMBER({cell})", *within(item.limits, item.measure, cell, system)]
    typed = f'IF({tests[0] if len(tests) == 1 else "AND(" + ",".join(tests) + ")"},{cell},"")'
    return typed if default == '""' else f'IF({cell}="",{default},{typed})'


def within(limits: Limits, kind: Measure, cell: str, system: System) -> list[str]:
    """The tests that a number lies within its limits."""
    low, high = limits_in(limits, kind, system)
    tests = [] if low is None else [f"{cell}{'>' if limits.low_open else '>='}{number_text(low)}"]
    return tests if high is None else [*tests, f"{cell}{'<' if limits.high_open else '<='}{number_text(high)}"]


def limits_in(limits: Limits, kind: Measure, system: System) -> tuple[float | None, float | None]:
    """The lowest and the highest possible number in the units of a book; None where there is no limit."""
    unit = kind.unit(system)
    low, high = (None if abs(end) == float("inf") else rounded(float(unit.from_coherent(end))) for end in (limits.low, limits.high))
    return low, high


def number_text(value: float) -> str:
    return decimal(Fraction(repr(value)))


def _date_text(cell: str) -> str:
    """A date as year-month-day, from a date of the office program's own, which is a number, or from such a text; else blank."""
    year, month, day = f"VALUE(LEFT({cell},4))", f"VALUE(MID({cell},6,2))", f"VALUE(RIGHT({cell},2))"
    sound = f'LEN({cell})=10,MID({cell},5,1)="-",MID({cell},8,1)="-",{year}>={FIRST_YEAR},MONTH(DATE({year},{month},{day}))={month}'
    own = f'YEAR({cell})&"-"&RIGHT("0"&MONTH({cell}),2)&"-"&RIGHT("0"&DAY({cell}),2)'
    number = f'IF(AND({cell}>={FIRST_SERIAL},{cell}<={LAST_SERIAL},INT({cell})={cell}),{own},"")'
    return f'IF({cell}="","",IF(ISNUMBER({cell}),{number},IFERROR(IF(AND({sound}),{cell},""),"")))'
