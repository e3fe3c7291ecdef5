"""References into the tables on the Tables sheet: a figure by its keys, a size by its place, how many are too small."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from hydrocalc.measures import COUNT, Key, Measure

from .base import Reference, SheetPlace, Values
from .references import _numbers
from .rows import Row


def _worked(keys: tuple[Reference | str, ...], values: Values) -> list[Any]:
    return [key if isinstance(key, str) else key.value(values) for key in keys]


@dataclass(frozen=True)
class TableText(Reference):
    """A text column of a table in the row picked by keys, or the n-th row whose first key is given; blank if none."""

    table: str
    column: str
    keys: tuple[Reference | str, ...]
    kind = None

    @property
    def name(self) -> str:
        return f"{self.column.replace('_', ' ')} from the table"

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{self.column.replace('_', ' ')}, table {self.table.replace('_', ' ')}"

    def text(self, sheet: SheetPlace) -> str:
        from workbook_builder.formula.printing import column_name, key_name

        keys = '&"|"&'.join(f'"{k}"' if isinstance(k, str) else k.text(sheet) for k in self.keys)
        return f'IFERROR(INDEX({column_name(self.table, self.column)},MATCH({keys},{key_name(self.table)},0)),"")'

    def value(self, values: Values) -> Any:
        from hydrocalc.tables import table
        from workbook_builder.formula.evaluation import by_key

        source = table(self.table)
        texts = source.texts(self.column)
        return by_key(_worked(self.keys, values), lambda *key: texts[source.row(*map(str, key))], blank="")


@dataclass(frozen=True)
class SizeByOrder(Reference):
    """The size of a family of tubes at a place in the order of its sizes; blank beyond the last."""

    family: Row
    order: Row
    kind = None
    name = "size at that place"
    words = "the family's size at that place"

    def text(self, sheet: SheetPlace) -> str:
        keys = f'{self.family.text(sheet)}&"|"&{self.order.text(sheet)}'
        return f'IFERROR(INDEX(tubes_size,MATCH({keys},tubes_order_key,0)),"")'

    def value(self, values: Values) -> Any:
        from hydrocalc.tables import table
        from workbook_builder.formula.evaluation import by_key

        tubes = table("tubes")
        orders = tubes.columns["order"].values
        places = {(f, o): s for f, s, o in zip(tubes.texts("family"), tubes.texts("size"), orders, strict=True)}
        keys = [values[self.family], _numbers(values[self.order])]
        return by_key(keys, lambda family, order: places.get((str(family), order)), blank="")


@dataclass(frozen=True)
class TableNumber(Reference):
    """A number column of a table in the row picked by keys; blank where there is no such row or no such figure."""

    table: str
    column: str
    keys: tuple[Reference | str, ...]
    system: Any

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        from hydrocalc.tables import table

        return table(self.table).columns[self.column].measure

    @property
    def name(self) -> str:
        return f"{self.column.replace('_', ' ')} from the table"

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{self.column.replace('_', ' ')}, table {self.table.replace('_', ' ')}"

    def text(self, sheet: SheetPlace) -> str:
        from hydrocalc.tables import table
        from workbook_builder.formula.printing import column_name, key_name

        keys = '&"|"&'.join(f'"{k}"' if isinstance(k, str) else k.text(sheet) for k in self.keys)
        found = f"INDEX({column_name(self.table, self.column)},MATCH({keys},{key_name(self.table)},0))"
        if None in table(self.table).columns[self.column].values:
            found = f'IF({found}="","",{found})'  # INDEX makes a 0 of an empty cell
        return f'IFERROR({found},"")'

    def value(self, values: Values) -> Any:
        from hydrocalc.tables import table
        from workbook_builder.formula.evaluation import by_key, trade_values

        source = table(self.table)
        numbers = trade_values(source.columns[self.column], self.system)
        return by_key(_worked(self.keys, values), lambda *key: numbers[source.row(*map(str, key))])


@dataclass(frozen=True)
class CountSmaller(Reference):
    """How many rows of a table with this first key have a smaller number than wanted."""

    table: str
    key_column: str
    column: str
    key: Row
    wanted: Row
    kind = COUNT
    name = "sizes that are too small"
    words = "number of sizes of the family with a smaller bore than that"

    def text(self, sheet: SheetPlace) -> str:
        from workbook_builder.formula.printing import column_name

        keys, numbers = column_name(self.table, self.key_column), column_name(self.table, self.column)
        wanted = self.wanted.text(sheet)
        return f'IF(ISNUMBER({wanted}),SUMPRODUCT(({keys}={self.key.text(sheet)})*({numbers}<{wanted})),"")'

    def value(self, values: Values) -> Any:
        from hydrocalc.tables import table
        from workbook_builder.formula.evaluation import trade_values

        source = table(self.table)
        keys = np.array(source.texts(self.key_column), dtype=object)
        numbers = np.array(trade_values(source.columns[self.column], self.wanted.sheet.book.system), dtype=np.float64)
        wanted = _numbers(values[self.wanted])
        is_family = keys[:, None] == np.asarray(values[self.key], dtype=object)[None, :]
        count = (is_family & (numbers[:, None] < wanted[..., None, :])).sum(axis=-2).astype(np.float64)
        return np.where(np.isnan(wanted), np.nan, count)
