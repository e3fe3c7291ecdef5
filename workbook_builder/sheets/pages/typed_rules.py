"""What each typed cell takes: the rule of its drop-down or range, which lets in what ``fill`` takes and nothing else."""

from __future__ import annotations

from typing import Any

from hydrocalc.arguments import describe_limits
from hydrocalc.measures import System
from workbook_builder.model.inputs import Inputs
from workbook_builder.model.needs import span
from workbook_builder.model.typed_sheets import RUNS, SHEET_OF, name_row
from workbook_builder.model.typed_value import limits_in, within
from workbook_builder.table.cell_values import FIRST_SERIAL, FIRST_YEAR, LAST_SERIAL
from workbook_builder.table.job import LONGEST_NAME, RESERVED
from workbook_builder.table.vocabulary import BOILER, KINDS, NAME, Item

from .tables import choices_name

LONGEST_TITLE, LONGEST_HINT = 32, 250
# Stands for "above 0" where a limit is compared with a cell: no quantity is as small.
LEAST_ABOVE_NOTHING = 1e-300
LARGEST = 1e15


def validation(item: Item, cell: str, inputs: Inputs, title: str) -> dict[str, Any]:
    """A drop-down or a range for the cells of an item, seen from the first of them, with a hint that shows when one is entered."""
    unit = inputs.symbol(item.measure)
    rule: dict[str, Any] = {
        "validate": "any",
        "input_title": title[:LONGEST_TITLE],
        "input_message": f"{item.hint}{f' ({unit})' if unit else ''}"[:LONGEST_HINT],
        "error_title": "Not possible",
    }
    if item.measure is not None:
        low, high = limits_in(item.limits, item.measure, inputs.system)
        if item.limits.low_open or item.limits.high_open:  # a range of a validation has its ends in it
            tests = within(item.limits, item.measure, cell, inputs.system)
            rule |= {"validate": "custom", "value": f"=AND({','.join([f'ISNUMBER({cell})', *tests])})"}
        else:
            least, most = -LARGEST if low is None else low, LARGEST if high is None else high
            rule |= {"validate": "decimal", "criteria": "between", "minimum": least, "maximum": most}
        rule["error_message"] = units_allowed(item, inputs.system)[:LONGEST_HINT]
    elif item.choices:
        source, allowed = choices_name(item), f"one of: {', '.join(item.choices)}"
        if len(allowed) > LONGEST_HINT:
            allowed = "one of the list, which stands on Tables"
        rule |= {"validate": "list", "source": f"={source}", "error_message": allowed}
    elif item.type in ("run", "load", "fuel"):
        rule |= _names(item, inputs)
    elif (test := _word_test(item, cell)) is not None:
        rule |= {"validate": "custom", "value": f"={test[0]}", "error_message": test[1][:LONGEST_HINT]}
    return rule


def _names(item: Item, inputs: Inputs) -> dict[str, Any]:
    """The runs, loads or fuels of the job; a run may also start at the boiler."""
    family = "fuel today" if item.type == "fuel" else item.type
    allowed = (
        f"{BOILER}, or the name of a run" if item.name == "starts at" else f"the name of a {family}, as it stands on {SHEET_OF[family]}"
    )
    return {"validate": "list", "source": f"={listed(item, inputs)}", "error_message": allowed}


def listed(item: Item, inputs: Inputs) -> str:
    """Where the words stand from which an item is chosen; empty where it is chosen from no list."""
    if item.type not in ("run", "load", "fuel"):
        return choices_name(item) if item.choices else ""
    family = "fuel today" if item.type == "fuel" else item.type
    if item.name == "starts at":
        return span(RUNS, starts_row(inputs), len(inputs.names[family])).replace("!$D$", "!$C$")
    return span(SHEET_OF[family], name_row(family), len(inputs.names[family]))


def word_test(item: Item, cell: str, inputs: Inputs) -> str:
    """1 where a cell holds something else than a date, or than a word of its list; empty where anything will do."""
    if item.type == "date":
        return f'IF({cell}="",0,IF({date_test(cell)},0,1))'
    if item.type == "kind" and (kinds := kinds_here(inputs)):
        tests = ",".join(f'{cell}="{kind}"' for kind in kinds)
        return f'IF({cell}="",0,IF(OR({tests}),0,1))'
    if item.name == "starts after" and not goes_on_here(inputs):
        return f'IF({cell}="",0,1)'
    words = listed(item, inputs)
    return f'IF({cell}="",0,IF(SUMPRODUCT(--({words}={cell}))>0,0,1))' if words else ""


def kinds_here(inputs: Inputs) -> tuple[str, ...]:
    """The kinds of load that a filled book has rows for; none of a book that has them for all."""
    found = {inputs.job.kind_of(f"load {name}") for name in inputs.names["load"]}
    return () if None in found else tuple(kind for kind in KINDS if kind in found)


def goes_on_here(inputs: Inputs) -> bool:
    """Whether the book has rows for a run whose flow goes on into another: a filled one only if its job has such a run."""
    job = inputs.job
    kinds = {job.kind_of(f"load {name}") for name in inputs.names["load"]}
    return None in kinds or any(job.goes_on_from(name) is not None for name in inputs.names["run"])


def starts_row(inputs: Inputs) -> int:
    """The row on Runs, among what is folded at its foot, that has the boiler and the names of all runs."""
    return inputs.needs.rows[RUNS][-1].number + 3


def _word_test(item: Item, cell: str) -> tuple[str, str] | None:
    """A test of a word that is chosen from no list, and what is allowed; None where any text will do."""
    if item.type == "date":
        return date_test(cell), "a date, such as 2024-11-30"
    if item.name == NAME:
        reserved = ",".join(f'{cell}="{word}"' for word in RESERVED)
        begins = f"EXACT(UPPER(LEFT({cell})),LOWER(LEFT({cell})))"
        test = f"AND(ISTEXT({cell}),LEN({cell})<={LONGEST_NAME},NOT({begins}),NOT(OR({reserved})))"
        return test, f"a name of at most {LONGEST_NAME} characters that begins with a letter and is none of {', '.join(RESERVED)}"
    return None


def date_test(cell: str) -> str:
    """That a date stands there: the office program's own, which is a number, or a text such as 2024-11-30."""
    iso = f'AND(LEN({cell})=10,MID({cell},5,1)="-",MID({cell},8,1)="-",LEFT({cell},4)>="{FIRST_YEAR}",ISNUMBER(DATEVALUE({cell})))'
    return f"IF(ISNUMBER({cell}),AND({cell}>={FIRST_SERIAL},{cell}<={LAST_SERIAL},{cell}=INT({cell})),{iso})"


def units_allowed(item: Item, system: System) -> str:
    assert item.measure is not None
    return f"not possible; allowed: {describe_limits(item.limits, item.measure, system)}"
