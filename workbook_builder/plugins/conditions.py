"""What the arguments of a named function must fulfil, as conditions that can be printed like any formula.

They come from the function's own limits and requirements, so no range is written down a second time.
"""

from __future__ import annotations

import math
from typing import Any

from hydrocalc.measures import Measure, System
from hydrocalc.named import Named, calls_go_to
from workbook_builder.formula import recording as formula
from workbook_builder.formula.nodes import Node
from workbook_builder.formula.printing import Argument
from workbook_builder.formula.rounding import seal


def conditions(function: Named[Any], system: System) -> list[Node]:
    """Every condition over the arguments in trade units: the ends of each range, then what the arguments ask of one another."""
    arguments = [formula.leaf(Argument(p.name), p.kind, system) for p in function.parameters]
    ends: list[Any] = []
    for parameter, value in zip(function.parameters, arguments, strict=True):
        if not isinstance(parameter.kind, Measure):
            continue
        limits = parameter.limits
        if math.isfinite(limits.low):
            ends.append(value > limits.low if limits.low_open else value >= limits.low)
        if math.isfinite(limits.high):
            ends.append(value < limits.high if limits.high_open else value <= limits.high)
    with formula.recording(system), calls_go_to(lambda inner, args: inner.body(*args)):
        asked = [holds(*arguments) for _, holds in function.requires]
    # The ends of a range stay unrounded: rounded to the digits of a formula, an end could refuse itself.
    return [*map(formula.as_node, ends), *(seal(formula.as_node(a)) for a in asked)]
