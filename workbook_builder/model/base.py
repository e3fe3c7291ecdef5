"""What a formula can refer to, and the values of rows: the ground on which rows, references and sheets stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, Protocol

import numpy as np

from hydrocalc.measures import Key, Measure, System


class BookPlace(Protocol):
    """A book, as its rows see it."""

    system: System

    def symbol(self, kind: Measure | Key | None, /) -> str: ...


class SheetPlace(Protocol):
    """A sheet, as what is written on it sees it: cells are named from one sheet to another."""

    name: str
    axis: Axis

    @property
    def names(self) -> Any: ...

    @property
    def book(self) -> BookPlace: ...

    @property
    def axis_here(self) -> Axis: ...

    def number_of(self, row: Any, /) -> int: ...


@dataclass(frozen=True)
class Axis:
    """What the columns of a sheet stand for, and their names."""

    name: str
    labels: tuple[str, ...]


ONE = Axis("one", ("",))  # what stands once for the whole job


class Values(dict[Any, Any]):
    """The value of each row over its columns, and inputs that stand in for those of the book.

    An input is named by its key, ``run house|length``, and given in the book's units; it may be an array of samples.
    """

    def __init__(self, *args: Any, inputs: dict[str, Any] | None = None) -> None:
        super().__init__(*args)
        self.inputs = inputs or {}
        self._there: dict[Any, Any] = {}

    def __setitem__(self, row: Reference, value: Any) -> None:
        super().__setitem__(row, value)
        self._there.pop(row, None)

    def there(self, row: Reference) -> Any:
        """Where a row is not blank; over its columns alone if all samples agree, as they nearly always do."""
        found = self._there.get(row)
        if found is None:
            found = ~is_blank(self[row])
            if found.ndim > 1 and (found == found[0]).all():
                found = found[0]
            self._there[row] = found
        return found


ShowsNumber = Literal["general", "plain", "whole", "one", "two", "three", "money"]


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

    def text(self, sheet: SheetPlace) -> str:
        """The reference as it is written in a formula of that sheet."""
        raise NotImplementedError

    def value(self, values: Values) -> Any:
        raise NotImplementedError

    def needs(self, sheet: SheetPlace) -> tuple[list[str], list[str]]:
        """Cells that must hold a number, and cells that must hold a text, before a formula may use this."""
        return [], []

    def is_ready(self, values: Values) -> Any:
        return np.array(True)


def is_blank(value: Any) -> Any:
    value = np.asarray(value)
    return value == "" if value.dtype == object else np.isnan(value)


def blank_of(reference: Reference) -> Any:
    return "" if reference.is_text else np.nan


def lowered(text: str) -> str:
    """A label as it stands inside a sentence."""
    return text[:1].lower() + text[1:]


def where_ready(worked: Callable[..., Any], ready: Any, values: Values, blank: Any) -> Any:
    """A formula's values where it is ready.  Of samples only the columns that are ready in one of them are worked out."""

    def whole(reference: Any) -> Any:
        return reference.value(values)

    if ready.all():
        return worked(whole)
    if not ready.any():
        return np.full(ready.shape, blank)
    if not values.inputs or ready.shape[-1] == 1:
        return np.where(ready, worked(whole), blank)
    columns = np.flatnonzero(ready.reshape(-1, ready.shape[-1]).any(axis=0))

    def picked(reference: Any) -> Any:
        value = np.asarray(reference.value(values))
        return value[..., columns] if value.ndim and value.shape[-1] > 1 else value

    part = np.asarray(worked(picked))
    spread = np.full((*part.shape[:-1], ready.shape[-1]), blank, dtype=part.dtype if blank == "" else np.float64, order="F")
    spread[..., columns] = part
    return spread if ready.ndim == 1 else np.where(ready, spread, blank)
