"""What stands around a recorded formula: the guard that keeps a cell blank, and the formula in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from hydrocalc.named import Named, calls_go_to
from workbook_builder.formula import recording as formula
from workbook_builder.formula.printing import Argument, Words
from workbook_builder.formula.rounding import seal

from .base import Reference, SheetPlace, lowered


def guard_of(references: Sequence[Reference], when: Reference | None, sheet: SheetPlace) -> str:
    """The test that everything a formula uses is there, and that its kind applies."""
    numbers: dict[str, None] = {}
    texts: dict[str, None] = {}
    for reference in references:
        more_numbers, more_texts = reference.needs(sheet)
        numbers.update(dict.fromkeys(more_numbers))
        texts.update(dict.fromkeys(more_texts))
    tests: list[str] = []
    if when is not None:
        tests.append(when.text(sheet))
    if numbers:
        tests.append(f"COUNT({','.join(numbers)})={len(numbers)}")
    tests += [f'{text}<>""' for text in texts]
    return tests[0] if len(tests) == 1 else f"AND({','.join(tests)})" if tests else ""


def coherent_words(body: Callable[..., Any], args: Sequence[Any]) -> str:
    """The formula of a row without units, for people; a named function is told by its name."""
    given = [formula.leaf(a, a.kind, None) if isinstance(a, Reference) else a for a in args]

    def nested(function: Named[Any], inner: tuple[Any, ...]) -> Any:
        return formula.leaf(Argument(function.name.replace("_", " ")), function.result, None)

    with formula.recording(None), calls_go_to(nested):
        return Words(lambda r: lowered(r.name)).text(seal(formula.as_node(body(*given))))
