"""Tables of the trade: tubes, liquids, soils, woods, fuels; each a CSV file in ``tables/``, each row with its source.

The header of a column is ``name`` for text and ``name:Measure:system`` for numbers, where system is ``us``,
``metric`` or ``coherent``: the file keeps the figure as its source prints it, and it is converted once, here.

A key that is not text (a worksheet cell) is asked to look itself up, by ``__table_lookup__`` on its type, so
that this module needs to know nothing of worksheets.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

import numpy as np

from .measures import Measure, System, measure


@dataclass(frozen=True)
class Column:
    """A column of numbers: its measure, the system its file is written in, and the values in coherent units."""

    name: str
    measure: Measure
    system: System | None
    printed: tuple[str, ...]
    values: tuple[float | None, ...]


def plain_text(text: str) -> str:
    """A text without regard to capitals and to blanks around it or doubled in it."""
    return " ".join(text.split()).casefold()


class Table:
    """Rows picked by one or more key texts."""

    def __init__(self, name: str, header: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        self.name = name
        self.rows = len(rows)
        self._texts: dict[str, tuple[str, ...]] = {}
        self.columns: dict[str, Column] = {}
        self.order: list[str] = []
        for index, head in enumerate(header):
            column, _, spec = head.partition(":")
            cells = tuple(row[index].strip() for row in rows)
            self.order.append(column)
            if not spec:
                self._texts[column] = cells
                continue
            measure_name, _, system_name = spec.partition(":")
            kind = measure(measure_name)
            system: System | None = "us" if system_name == "us" else "metric" if system_name == "metric" else None
            unit = kind.unit(system)
            values = tuple(float(unit.to_coherent(float(c))) if c else None for c in cells)
            self.columns[column] = Column(column, kind, system, cells, values)
        # The key columns are the text columns before the first column of numbers.
        first_number = next((i for i, c in enumerate(self.order) if c in self.columns), len(self.order))
        self.keys: tuple[str, ...] = tuple(self.order[:first_number])
        self._index: dict[tuple[str, ...], int] = {}
        self._plain: dict[tuple[str, ...], int] = {}
        for row in range(self.rows):
            key = tuple(self._texts[k][row] for k in self.keys)
            plain = tuple(map(plain_text, key))
            if plain in self._plain:
                raise ValueError(f"table {name}: {key} stands twice")
            self._index[key] = self._plain[plain] = row

    def texts(self, column: str) -> tuple[str, ...]:
        """The cells of a text column, a row each."""
        return self._texts[column]

    def spelled(self, column: str) -> dict[str, str]:
        """The cells of a text column as they are spelled, by the text without capitals and surplus blanks."""
        return {plain_text(text): text for text in self._texts[column]}

    def row(self, *keys: str) -> int:
        """The index of the row with these keys, whatever their capitals and blanks; KeyError that names them if there is none."""
        try:
            return self._index[keys]
        except KeyError:
            plain = tuple(map(plain_text, keys))
            if plain in self._plain:
                return self._plain[plain]
            raise KeyError(f"table {self.name} has no row {' | '.join(keys)}") from None

    def lookup(self, column: str, *keys: Any) -> Any:
        """The value of a column in the row picked by the keys, in coherent units.

        A key may be a text, an array of texts, or anything that looks itself up.  A row without that value gives NaN.
        """
        for key in keys:
            if hasattr(type(key), "__table_lookup__"):
                return type(key).__table_lookup__(self, column, keys)
        if all(isinstance(k, str) for k in keys):
            value = self.columns[column].values[self.row(*keys)]
            return np.float64(np.nan if value is None else value)
        spread = np.broadcast_arrays(*(np.asarray(k, dtype=object) for k in keys))
        flat = list(zip(*(s.ravel().tolist() for s in spread), strict=True))
        found = {k: self.lookup(column, *k) for k in dict.fromkeys(flat)}
        return np.array([found[k] for k in flat], dtype=np.float64).reshape(spread[0].shape)

    def power_sum(self, keys: Sequence[Any], columns: Sequence[str], x: Any, y: Any, powers: Sequence[tuple[int, int]]) -> Any:
        """Sum of coefficient * x**i * y**j, the coefficients being columns of the row picked by the keys."""
        for item in (*keys, x, y):
            if hasattr(type(item), "__table_power_sum__"):
                return type(item).__table_power_sum__(self, keys, columns, x, y, powers)
        # Horner over i inside Horner over j: cheap for arrays, and no 0**0 in sight.
        by_j: dict[int, dict[int, Any]] = {}
        for column, (i, j) in zip(columns, powers, strict=True):
            by_j.setdefault(j, {})[i] = self.lookup(column, *keys)
        rows = (by_j.get(j, {}) for j in range(max(by_j), -1, -1))
        inner = (_horner([row.get(i, _NONE) for i in range(max(row, default=0), -1, -1)], x) for row in rows)
        return _horner(inner, y)


_NONE = np.float64(0.0)


def _horner(coefficients: Iterable[Any], x: Any) -> Any:
    """A polynomial by its coefficients in falling order; an array that stands here alone is worked in place, which spares it a pass."""
    falling = iter(coefficients)
    total = next(falling)
    own = False
    for coefficient in falling:
        if own and np.shape(coefficient) in ((), total.shape):
            total *= x
            total += coefficient
        else:
            total = total * x + coefficient
            own = isinstance(total, np.ndarray) and total.shape == np.shape(x)
    return total


def power_sum(x: Any, coefficients: Sequence[float], powers: Sequence[float]) -> Any:
    """Sum of coefficient * x**power.  Prints as one SUMPRODUCT over inline arrays when x is a worksheet cell."""
    if hasattr(type(x), "__power_sum__"):
        return type(x).__power_sum__(x, coefficients, powers)
    if all(p == int(p) and p >= 0 for p in powers):
        # Horner with gaps: the powers in falling order, multiplying by x as many times as they fall.
        falling = sorted(zip(powers, coefficients, strict=True), reverse=True)
        total: Any = falling[0][1]
        for (upper, _), (lower, coefficient) in pairwise(falling):
            total *= _power(x, int(upper - lower))  # once an array, it is its own, and is worked in place
            total += coefficient
        return total * _power(x, int(falling[-1][0]))
    return sum(c * x**p for c, p in zip(coefficients, powers, strict=True))


def _power(x: Any, n: int) -> Any:
    """x**n by repeated multiplication, which numpy does many times faster than its general power."""
    if n < 2:
        return x if n else 1.0
    half = _power(x, n // 2)
    return half * half * x if n % 2 else half * half


@cache
def table(name: str) -> Table:
    """The table of that name."""
    text = (files(__package__) / "tables" / f"{name}.csv").read_text(encoding="utf-8")
    header, *rows = csv.reader(text.splitlines())
    return Table(name, header, rows)


def tables() -> list[str]:
    """The names of all tables."""
    return sorted(f.name[:-4] for f in (files(__package__) / "tables").iterdir() if f.name.endswith(".csv"))
