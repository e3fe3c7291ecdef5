"""The rows that say whether the heat closes: they are nothing to rounding, and move as soon as a wire of the book is cut."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import books
import engines
import ironcalc
import pytest
from books import FULL
from openpyxl.utils import get_column_letter

from workbook_builder.model.rows import Row
from workbook_builder.sheets.sizing.design import Sizing

# Of the heat; and of the supply in °F, whose tries are extrapolated, a hundredth of what is asked of a station's temperature.
CLOSES, FOLLOWED = 1e-9, 0.0018

# A row, the place of the column, and what becomes of the cell's formula.
Cut = tuple[Callable[[Sizing], Row], str, str]
CUTS: dict[str, Cut] = {
    "a tenth of what a run's loads take is left out": (lambda m: m.returns.own, "house", "0.9*({})"),
    "a branch is not counted by the run it starts on": (lambda m: m.returns.total, "barns", "0.8*({})"),
    "a run is not counted at the boiler": (lambda m: m.returns.from_boiler, "house", "0*({})"),
    "the loss of a supply is counted twice": (lambda m: m.returns.supply_loss, "cider", "2*({})"),
    "the loss of a return is left out": (lambda m: m.returns.return_loss, "house", "0*({})"),
    "a branch gets the boiler's own water": (lambda m: m.returns.inlet, "cider", "3+({})"),
    "the supply arrives warmer than it can": (lambda m: m.returns.arrival, "house", "1+({})"),
    "the return is taken for warmer than it is": (lambda m: m.returns.near, "barns", "1+({})"),
}


@cache
def _opened() -> tuple[books.Written, Any, dict[tuple[str, str], str]]:
    book = books.written(FULL, "us")
    return book, ironcalc.load_from_xlsx(str(book.path), "en", "UTC", "en"), engines.formulas(book.path)


def _open(model: Any, sizing: Sizing) -> bool:
    """Whether any of the rows says that the heat does not close."""
    names = [s["name"] for s in model.get_worksheets_properties()]
    model.evaluate()

    def worst(row: Row) -> float:
        places = range(row.first_column + 1, row.first_column + 1 + len(row.axis.labels))
        return max(abs(model.get_cell_value(names.index(row.sheet.name), row.number, place)) for place in places)

    returns = sizing.returns
    return max(worst(returns.residual), worst(sizing.boiler.load.residual)) > CLOSES or worst(returns.followed) > FOLLOWED


def test_the_heat_closes() -> None:
    book, model, _ = _opened()
    assert not _open(model, book.built.sizing)


@pytest.mark.parametrize("name", CUTS)
def test_a_cut_wire_shows(name: str) -> None:
    book, model, formulas = _opened()
    sizing = book.built.sizing
    pick, column, cut = CUTS[name]
    row = pick(sizing)
    sheet = [s["name"] for s in model.get_worksheets_properties()].index(row.sheet.name)
    place = row.first_column + 1 + row.axis.labels.index(column)
    formula = formulas[row.sheet.name, f"{get_column_letter(place)}{row.number}"]
    model.set_user_input(sheet, row.number, place, "=" + cut.format(formula.removeprefix("=")))
    try:
        assert _open(model, sizing)
    finally:
        model.set_user_input(sheet, row.number, place, formula)
