"""References into the tables on the Tables sheet: a figure by its keys, a size by its place, how many are too small."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrocalc.measures import COUNT, Key, Measure

from .references import Reference, Values, _numbers

if TYPE_CHECKING:
    from .sheet_rows import Row
    from .worksheet import Sheet


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

    def text(self, sheet: Sheet) -> str:
        from .printing import column_name, key_name

        keys = '&"|"&'.join(f'"{k}"' if isinstance(k, str) else k.text(sheet) for k in self.keys)
        return f'IFERROR(INDEX({column_name(self.table, self.column)},MATCH({keys},{key_name(self.table)},0)),"")'

    def value(self, values: Values) -> Any:
        from hydrocalc.tables import table

        source = table(self.table)
        texts = source.texts(self.column)
        spread = np.broadcast_arrays(*(np.asarray(k if isinstance(k, str) else k.value(values), dtype=object) for k in self.keys))
        out = np.full(spread[0].shape, "", dtype=object)
        for index in np.ndindex(out.shape):
            try:
                out[index] = texts[source.row(*(str(s[index]) for s in spread))]
            except KeyError:
                continue
        return out


@dataclass(frozen=True)
class SizeByOrder(Reference):
    """The size of a family of tubes at a place in the order of its sizes; blank beyond the last."""

    family: Row
    order: Row
    kind = None
    name = "size at that place"
    words = "the family's size at that place"

    def text(self, sheet: Sheet) -> str:
        keys = f'{self.family.text(sheet)}&"|"&{self.order.text(sheet)}'
        return f'IFERROR(INDEX(tubes_size,MATCH({keys},tubes_order_key,0)),"")'

    def value(self, values: Values) -> Any:
        from hydrocalc.tables import table

        tubes = table("tubes")
        orders = tubes.columns["order"].values
        places = {(f, o): s for f, s, o in zip(tubes.texts("family"), tubes.texts("size"), orders, strict=True)}
        families, wanted = np.broadcast_arrays(np.asarray(values[self.family], dtype=object), _numbers(values[self.order]))
        out = np.full(families.shape, "", dtype=object)
        for index in np.ndindex(out.shape):
            out[index] = places.get((str(families[index]), float(wanted[index])), "")
        return out


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

    def text(self, sheet: Sheet) -> str:
        from hydrocalc.tables import table

        from .printing import column_name, key_name

        keys = '&"|"&'.join(f'"{k}"' if isinstance(k, str) else k.text(sheet) for k in self.keys)
        found = f"INDEX({column_name(self.table, self.column)},MATCH({keys},{key_name(self.table)},0))"
        if None in table(self.table).columns[self.column].values:
            found = f'IF({found}="","",{found})'  # INDEX makes a 0 of an empty cell
        return f'IFERROR({found},"")'

    def value(self, values: Values) -> Any:
        from hydrocalc.tables import table

        from .evaluate import trade_values

        source = table(self.table)
        numbers = trade_values(source.columns[self.column], self.system)
        spread = np.broadcast_arrays(*(np.asarray(k if isinstance(k, str) else k.value(values), dtype=object) for k in self.keys))
        out = np.full(spread[0].shape, np.nan)
        for index in np.ndindex(out.shape):
            try:
                number = numbers[source.row(*(str(s[index]) for s in spread))]
            except KeyError:
                continue
            out[index] = np.nan if number is None else number
        return out


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

    def text(self, sheet: Sheet) -> str:
        from .printing import column_name

        keys, numbers = column_name(self.table, self.key_column), column_name(self.table, self.column)
        wanted = self.wanted.text(sheet)
        return f'IF(ISNUMBER({wanted}),SUMPRODUCT(({keys}={self.key.text(sheet)})*({numbers}<{wanted})),"")'

    def value(self, values: Values) -> Any:
        from hydrocalc.tables import table

        from .evaluate import trade_values

        source = table(self.table)
        keys = np.array(source.texts(self.key_column), dtype=object)
        numbers = np.array(trade_values(source.columns[self.column], self.wanted.sheet.book.system), dtype=np.float64)
        wanted = _numbers(values[self.wanted])
        is_family = keys[:, None] == np.asarray(values[self.key], dtype=object)[None, :]
        count = (is_family & (numbers[:, None] < wanted[..., None, :])).sum(axis=-2).astype(np.float64)
        return np.where(np.isnan(wanted), np.nan, count)
