"""What only a sheet can do: pick by name, sum where, the first that fits, an input by its key.

Each reference knows two things side by side: how it is written in a cell, and what its value is.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from hydrocalc.measures import COUNT, Key, Measure

from .printing import COLUMN

if TYPE_CHECKING:
    from .worksheet import Row, Sheet


class Values(dict["Row", Any]):
    """The value of each row over its columns, and inputs that stand in for those of the book.

    An input is named by its key, ``run house|length``, and given in the book's units; it may be an array of samples.
    """

    def __init__(self, *args: Any, inputs: dict[str, Any] | None = None) -> None:
        super().__init__(*args)
        self.inputs = inputs or {}


ShowsNumber = Literal["general", "whole", "one", "two", "three", "money"]


class Reference:
    """Something a formula can refer to."""

    kind: Measure | Key | None
    words = ""

    @property
    def name(self) -> str:
        raise NotImplementedError

    @property
    def is_text(self) -> bool:
        return not isinstance(self.kind, Measure)

    def text(self, sheet: Sheet) -> str:
        """The reference as it is written in a formula of that sheet."""
        raise NotImplementedError

    def value(self, values: Values) -> Any:
        raise NotImplementedError

    def needs(self, sheet: Sheet) -> tuple[list[str], list[str]]:
        """Cells that must hold a number, and cells that must hold a text, before a formula may use this."""
        return [], []

    def is_ready(self, values: Values) -> Any:
        return np.array(True)


def _replaced(keys: list[str], used: tuple[Any, ...], values: Values, dtype: Any) -> Any:
    """The inputs of a row, those named in ``values.inputs`` in place of the book's own."""
    row = np.array(list(used), dtype=dtype)
    if not values.inputs or not any(k in values.inputs for k in keys):
        return row
    columns = [np.asarray(values.inputs.get(key, own), dtype=dtype) for key, own in zip(keys, row, strict=True)]
    return np.stack(np.broadcast_arrays(*columns), axis=-1)


def rows_of(reference: Reference) -> list[Row]:
    """The rows that a reference reads."""
    from .worksheet import Row

    if isinstance(reference, Row):
        return [reference]
    found: list[Row] = []
    for item in dataclasses.fields(reference):  # type: ignore[arg-type]
        value = getattr(reference, item.name)
        for part in value if isinstance(value, tuple) else (value,):
            if isinstance(part, Reference):
                found += rows_of(part)
    return found


def keys_of(reference: Reference) -> list[str]:
    """The inputs that a reference reads, by key."""
    if isinstance(reference, JobInput):
        return [f"{reference.part}|{reference.item}"]
    if isinstance(reference, Input):
        return [f"{reference.part} {name}|{reference.item}" for name in reference.names]
    if isinstance(reference, MonthInput):
        return [f"{reference.part}|{month.lower()} {reference.item_after_month}" for month in reference.months]
    found: list[str] = []
    for item in dataclasses.fields(reference):  # type: ignore[arg-type]
        value = getattr(reference, item.name)
        for part in value if isinstance(value, tuple) else (value,):
            if isinstance(part, Reference) and dataclasses.is_dataclass(part) and not hasattr(part, "compute"):
                found += keys_of(part)
    return found


def is_blank(value: Any) -> Any:
    value = np.asarray(value)
    return value == "" if value.dtype == object else np.isnan(value)


def blank_of(reference: Reference) -> Any:
    return "" if reference.is_text else np.nan


def _numbers(value: Any) -> Any:
    return np.asarray(value, dtype=np.float64)


@dataclass(frozen=True)
class Condition(Reference):
    """A text row is one of these texts.  Used to say for which kinds a row applies."""

    row: Row
    texts: tuple[str, ...]
    negated: bool = False
    kind = None

    @property
    def name(self) -> str:
        return f"{self.row.label} is {' or '.join(self.texts)}"

    def text(self, sheet: Sheet) -> str:
        cell = self.row.text(sheet)
        tests = [f'{cell}="{t}"' for t in self.texts]
        joined = tests[0] if len(tests) == 1 else f"OR({','.join(tests)})"
        return f"NOT({joined})" if self.negated else joined

    def value(self, values: Values) -> Any:
        found = np.isin(np.asarray(values[self.row], dtype=object).astype(str), self.texts)
        return ~found if self.negated else found


@dataclass(frozen=True)
class Both(Reference):
    """Two conditions at once."""

    first: Reference
    second: Reference
    kind = None

    @property
    def name(self) -> str:
        return f"{self.first.name} and {self.second.name}"

    def text(self, sheet: Sheet) -> str:
        return f"AND({self.first.text(sheet)},{self.second.text(sheet)})"

    def value(self, values: Values) -> Any:
        return self.first.value(values) & self.second.value(values)


def kind_is(row: Row, *texts: str) -> Condition:
    return Condition(row, texts)


def kind_is_not(row: Row, *texts: str) -> Condition:
    return Condition(row, texts, negated=True)


@dataclass(frozen=True)
class FirstGiven(Reference):
    """The first of several rows that is not blank; blank if all are."""

    rows: tuple[Reference, ...]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.rows[0].kind

    @property
    def name(self) -> str:
        return " or else ".join(r.name for r in self.rows)

    @property
    def words(self) -> str:  # type: ignore[override]
        return " or else ".join(_lower(r.name) for r in self.rows)

    def text(self, sheet: Sheet) -> str:
        last = self.rows[-1].text(sheet)
        for row in reversed(self.rows[:-1]):
            cell = row.text(sheet)
            last = f'IF({cell}<>"",{cell},{last})'
        return last

    def value(self, values: Values) -> Any:
        result = np.asarray(self.rows[-1].value(values))
        for row in reversed(self.rows[:-1]):
            value = np.asarray(row.value(values))
            result = np.where(is_blank(value), result, value)
        return result


@dataclass(frozen=True)
class SameColumn(Reference):
    """A row of another sheet, carried over for the same run or load."""

    row: Row

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return self.row.label

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"from {self.row.sheet.name}"

    def text(self, sheet: Sheet) -> str:
        return self.row.text(sheet)

    def value(self, values: Values) -> Any:
        return values[self.row]


@dataclass(frozen=True)
class IfPositive(Reference):
    """A row where it is more than nothing; blank where it is not: the sum of loads that are not there yet."""

    row: Row

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return self.row.label

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{_lower(self.row.label)}; blank while it is nothing"

    def text(self, sheet: Sheet) -> str:
        cell = self.row.text(sheet)
        return f'IF(ISNUMBER({cell}),IF({cell}>0,{cell},""),"")'

    def value(self, values: Values) -> Any:
        row = _numbers(values[self.row])
        return np.where(row > 0, row, np.nan)


@dataclass(frozen=True)
class SumOf(Reference):
    """The sum of several rows of the same column, blanks counting nothing; blank if all are blank."""

    rows: tuple[Row, ...]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.rows[0].kind

    @property
    def name(self) -> str:
        return " + ".join(_lower(r.name) for r in self.rows)

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: Sheet) -> str:
        cells = ",".join(r.text(sheet) for r in self.rows)
        return f'IF(COUNT({cells})>0,SUM({cells}),"")'

    def value(self, values: Values) -> Any:
        stack = np.stack(np.broadcast_arrays(*(_numbers(r.value(values)) for r in self.rows)))
        # Added one after the other, as SUM does, so that the last digit agrees.
        total = np.zeros(stack.shape[1:])
        for part in stack:
            total = total + np.nan_to_num(part)
        return np.where(np.isnan(stack).all(axis=0), np.nan, total)


@dataclass(frozen=True)
class Across(Reference):
    """A row of a whole axis brought down to one number: its sum, its largest or smallest value, how many there are."""

    row: Row
    how: Literal["SUM", "MAX", "MIN", "COUNT", "AVERAGE"]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return COUNT if self.how == "COUNT" else self.row.kind

    @property
    def name(self) -> str:
        word = {"SUM": "sum of", "MAX": "largest", "MIN": "smallest", "COUNT": "number of", "AVERAGE": "mean of"}[self.how]
        return f"{word} {_lower(self.row.label)}, all {self.row.sheet.axis.name}s"

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: Sheet) -> str:
        span = self.row.span(sheet)
        return f"COUNT({span})" if self.how == "COUNT" else f'IF(COUNT({span})>0,{self.how}({span}),"")'

    def value(self, values: Values) -> Any:
        row = _numbers(values[self.row])
        there = ~np.isnan(row)
        if self.how == "COUNT":
            return there.sum(axis=-1, keepdims=True).astype(np.float64)
        if self.how in ("SUM", "AVERAGE"):
            # One after the other, as the worksheet adds, so that the last digit agrees.
            result = np.cumsum(np.nan_to_num(row), axis=-1)[..., -1:]
            if self.how == "AVERAGE":
                result = result / np.maximum(there.sum(axis=-1, keepdims=True), 1)
        elif self.how == "MAX":
            result = np.max(np.where(there, row, -np.inf), axis=-1, keepdims=True)
        else:
            result = np.min(np.where(there, row, np.inf), axis=-1, keepdims=True)
        return np.where(there.any(axis=-1, keepdims=True), result, np.nan)


@dataclass(frozen=True)
class SumWhere(Reference):
    """The sum of a row of another axis over the columns whose key row bears this column's name."""

    row: Row
    key: Row
    label: Row

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return f"sum of {_lower(self.row.label)} over its {self.row.sheet.axis.name}s"

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: Sheet) -> str:
        span = self.row.span(sheet)
        return f'IF(COUNT({span})>0,SUMIF({self.key.span(sheet)},{self.label.text(sheet)},{span}),"")'

    def value(self, values: Values) -> Any:
        matches = np.asarray(values[self.key])[..., None, :] == np.asarray(values[self.label])[..., :, None]
        row = _numbers(values[self.row])
        summed = np.cumsum(np.where(matches, np.nan_to_num(row)[..., None, :], 0.0), axis=-1)[..., -1]
        # While nothing is there to be summed the sum is blank, not nothing.
        return np.where(np.isnan(row).all(axis=-1, keepdims=True), np.nan, summed)


@dataclass(frozen=True)
class CountWhere(Reference):
    """How many columns of another axis bear this column's name."""

    key: Row
    label: Row
    kind = COUNT

    @property
    def name(self) -> str:
        return f"number of its {self.key.sheet.axis.name}s"

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: Sheet) -> str:
        return f"COUNTIF({self.key.span(sheet)},{self.label.text(sheet)})"

    def value(self, values: Values) -> Any:
        matches = np.asarray(values[self.key])[..., None, :] == np.asarray(values[self.label])[..., :, None]
        return matches.sum(axis=-1).astype(np.float64)


@dataclass(frozen=True)
class Pick(Reference):
    """The value of a row of another axis in the column that bears the name in ``key``; blank where there is none."""

    row: Row
    label: Row
    key: Row

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return f"{_lower(self.row.label)} of its {self.row.sheet.axis.name}"

    @property
    def words(self) -> str:  # type: ignore[override]
        return self.name

    def text(self, sheet: Sheet) -> str:
        return f'IFERROR(INDEX({self.row.span(sheet)},1,MATCH({self.key.text(sheet)},{self.label.span(sheet)},0)),"")'

    def value(self, values: Values) -> Any:
        row, labels, keys = (np.asarray(values[r]) for r in (self.row, self.label, self.key))
        where = {name: i for i, name in reversed(list(enumerate(labels.tolist()))) if name != ""}
        index = np.array([where.get(k, -1) for k in keys.tolist()])
        picked = row[..., index]
        return np.where(index < 0, blank_of(self.row), picked)


@dataclass(frozen=True)
class FirstFit(Reference):
    """Among candidates in order, the value that goes with the first whose ``fits`` row says 1; the last if none fits."""

    fits: tuple[Row, ...]
    takes: tuple[Row, ...]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.takes[0].kind

    @property
    def name(self) -> str:
        return f"first {_lower(self.takes[0].label)} that fits"

    words = "the first that keeps the limits; if none does, the last that there is"

    def text(self, sheet: Sheet) -> str:
        there = [t.text(sheet) for t in self.takes]
        last = '""'
        for cell in there:  # the last size that there is
            last = f'IF({cell}<>"",{cell},{last})'
        for fit, take in reversed(list(zip(self.fits, self.takes, strict=True))):
            last = f"IF({fit.text(sheet)}=1,{take.text(sheet)},{last})"
        return last

    def value(self, values: Values) -> Any:
        result: Any = np.full(np.shape(values[self.takes[0]]), blank_of(self.takes[0]), dtype=object)
        for take in self.takes:
            value = np.asarray(values[take], dtype=object)
            result = np.where(is_blank(values[take]), result, value)
        for fit, take in reversed(list(zip(self.fits, self.takes, strict=True))):
            result = np.where(_numbers(values[fit]) == 1, np.asarray(values[take], dtype=object), result)
        return result if self.is_text else result.astype(np.float64)


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
class Input(Reference):
    """An input of the column's run or load, fetched from the Inputs sheet by its key."""

    part: str
    item: str
    kind: Measure | Key | None
    names: tuple[str, ...]
    used: tuple[Any, ...]

    @property
    def name(self) -> str:
        return self.item

    words = "from Inputs"

    def text(self, sheet: Sheet) -> str:
        return f'IFERROR(INDEX(input_values,MATCH("{self.part} "&{COLUMN}$4&"|{self.item}",input_keys,0)),"")'

    def value(self, values: Values) -> Any:
        return _replaced(keys_of(self), self.used, values, object if self.is_text else np.float64)


@dataclass(frozen=True)
class JobInput(Reference):
    """An input of the whole job: a defined name that reads well."""

    part: str
    item: str
    kind: Measure | Key | None
    used: Any

    @property
    def name(self) -> str:
        return self.item

    words = "from Inputs"

    @property
    def cell_name(self) -> str:
        return input_name(self.part, self.item)

    def text(self, sheet: Sheet) -> str:
        return self.cell_name

    def value(self, values: Values) -> Any:
        return _replaced(keys_of(self), (self.used,), values, object if self.is_text else np.float64)

    def needs(self, sheet: Sheet) -> tuple[list[str], list[str]]:
        return ([], [self.cell_name]) if self.is_text else ([self.cell_name], [])

    def is_ready(self, values: Values) -> Any:
        return ~is_blank(self.value(values))


@dataclass(frozen=True)
class Constant(Reference):
    """A number of ours among references: the value that stands in when nothing is given."""

    number: float
    kind: Measure | Key | None

    @property
    def name(self) -> str:
        return f"{self.number:g}"

    def text(self, sheet: Sheet) -> str:
        return f"{self.number:g}"

    def value(self, values: Values) -> Any:
        return np.array([self.number])


@dataclass(frozen=True)
class At(Reference):
    """One cell of a row, named by its place: a month of the climate, say."""

    row: Row
    index: int

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return self.row.label

    @property
    def words(self) -> str:  # type: ignore[override]
        return f"{_lower(self.row.label)}, {self.row.sheet.axis.labels[self.index]}"

    def text(self, sheet: Sheet) -> str:
        from .worksheet import FIRST_COLUMN, column_letters

        prefix = "" if sheet is self.row.sheet else f"{self.row.sheet.name}!"
        return f"{prefix}${column_letters(FIRST_COLUMN + self.index)}${self.row.number}"

    def value(self, values: Values) -> Any:
        return values[self.row][..., self.index : self.index + 1]

    def needs(self, sheet: Sheet) -> tuple[list[str], list[str]]:
        return ([], [self.text(sheet)]) if self.is_text else ([self.text(sheet)], [])

    def is_ready(self, values: Values) -> Any:
        return ~is_blank(self.value(values))


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


@dataclass(frozen=True)
class MonthInput(Reference):
    """An input that stands once for each month, fetched by the month at the head of the column."""

    part: str
    item_after_month: str
    kind: Measure | Key | None
    months: tuple[str, ...]
    used: tuple[Any, ...]

    @property
    def name(self) -> str:
        return self.item_after_month

    words = "from Inputs"

    def text(self, sheet: Sheet) -> str:
        return f'IFERROR(INDEX(input_values,MATCH("{self.part}|"&LOWER({COLUMN}$4)&" {self.item_after_month}",input_keys,0)),"")'

    def value(self, values: Values) -> Any:
        return _replaced(keys_of(self), self.used, values, np.float64)


@dataclass(frozen=True)
class FoundAt(Reference):
    """The value of a row in the first column whose verdict is the worst; blank where there is no verdict."""

    row: Row
    code: Row
    worst: Row

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.row.kind

    @property
    def name(self) -> str:
        return f"{_lower(self.row.label)} where it is worst"

    words = "in the first column that has the worst verdict"

    def text(self, sheet: Sheet) -> str:
        worst = self.worst.text(sheet)
        return f'IF(ISNUMBER({worst}),INDEX({self.row.span(sheet)},1,MATCH({worst},{self.code.span(sheet)},0)),"")'

    def value(self, values: Values) -> Any:
        code, row, worst = _numbers(values[self.code]), np.asarray(values[self.row]), _numbers(values[self.worst])
        matches = code == worst
        index = np.argmax(matches, axis=-1)
        row = np.broadcast_to(row, (*matches.shape[:-1], row.shape[-1]))
        picked = np.take_along_axis(row, index[..., None], axis=-1)
        return np.where(matches.any(axis=-1, keepdims=True), picked, blank_of(self.row))


@dataclass(frozen=True)
class SumRows(Reference):
    """The sum of rows that stand one below another, blanks counting nothing; blank if all are blank."""

    first: Row
    last: Row
    rows: tuple[Row, ...]

    @property
    def kind(self) -> Measure | Key | None:  # type: ignore[override]
        return self.first.kind

    name = "sum of the rows above"
    words = "sum of the rows above"

    def text(self, sheet: Sheet) -> str:
        span = f"{self.first.text(sheet)}:{self.last.text(self.last.sheet)}"  # the sheet is named once: not every program reads it twice
        return f'IF(COUNT({span})>0,SUM({span}),"")'

    def value(self, values: Values) -> Any:
        return SumOf(self.rows).value(values)


def total_of(rows: list[Row]) -> SumRows | SumOf:
    """The sum of rows; as a range only where nothing else stands between them."""
    together = rows[-1].number - rows[0].number == len(rows) - 1
    return SumRows(rows[0], rows[-1], tuple(rows)) if together else SumOf(tuple(rows))


def input_name(part: str, item: str) -> str:
    """The defined name of a job-wide input: ``site|elevation`` is ``site_elevation``."""
    return f"{part} {item}".replace(" ", "_").replace("-", "_")


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
