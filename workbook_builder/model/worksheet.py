"""A sizing sheet: rows are quantities, columns are runs or loads, one recorded formula a row.

A row is recorded once, with column-relative references, and evaluated over all columns as arrays, so copying a
column to the right in an office program works by construction.  Nested named calls become worked rows of their
own above the row that needs them.  Guards are derived from the references that a formula uses: a cell whose
needs are blank is blank, and a cell whose needs are there and whose value is not a number is an error of ours.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from hydrocalc.measures import RATIO, Key, Measure, System
from hydrocalc.named import Named, calls_go_to
from workbook_builder.formula import nodes
from workbook_builder.formula import recording as formula
from workbook_builder.formula.evaluation import compiled
from workbook_builder.formula.printing import Worksheet, function_in_words
from workbook_builder.formula.rounding import seal
from workbook_builder.table import vocabulary

from .base import ONE, Axis, Reference, ShowsNumber, Values, where_ready
from .input_references import keys_of
from .row_text import coherent_words, guard_of
from .rows import HEADING_ROW, Heading, Left, Row, rows_of

LONGEST_FORMULA = 600


class BuildError(Exception):
    """A line of a sheet cannot be worked out although everything it needs is there."""


@dataclass(repr=False)
class Sheet:
    """One worksheet while it is being built."""

    book: Book
    name: str
    axis: Axis
    title: str
    locked: bool = True
    _open: list[Heading | Row] = field(default_factory=list)
    _folds: list[list[Heading | Row]] = field(default_factory=list)
    _numbers: dict[int, int] = field(default_factory=dict)
    _known: dict[tuple[Any, ...], Row] = field(default_factory=dict)
    _chain: list[Row] | None = None
    _depth: int = 0
    _here: list[Heading | Row] = field(init=False)  # the part of the sheet that is being written
    _single: bool = False
    _inline: bool = False
    _place: tuple[int, int] | None = None
    cells: list[Row] = field(default_factory=list)  # what stands in a table of the page's own, cell by cell
    top: int = HEADING_ROW  # the row of the headings of the columns; above it a page may have something of its own
    names: Row = field(init=False)

    def __post_init__(self) -> None:
        """The names at the heads of the columns are a row that formulas can refer to."""
        self._here = self._open
        fixed = np.array(self.axis.labels, dtype=object)
        self.names = Row(self, self.axis.name, None, compute=lambda _: fixed)
        self.book.order.append(self.names)
        self.book.values[self.names] = fixed

    @property
    def rows(self) -> Iterator[Row]:
        return (item for part in (self._open, *self._folds) for item in part if isinstance(item, Row))

    @property
    def items(self) -> Iterator[tuple[int, Heading | Row]]:
        """Headings and rows from the top down, each with its number: an empty row above a heading, what is folded at the foot."""
        number = self.top
        for item in (item for part in (self._open, *self._folds) for item in part):
            number += 2 if isinstance(item, Heading) and number > self.top else 1
            yield number, item

    def number_of(self, row: Row) -> int:
        """Where a row stands.  Rows are numbered anew when some were added since."""
        if id(row) not in self._numbers:
            self._numbers = {id(self.names): self.top, **{id(item): number for number, item in self.items}}
        return self._numbers[id(row)]

    def begin_below(self, top: int) -> None:
        """Leave the rows down to ``top`` to a page that has something of its own there."""
        self.top, self._numbers = top, {}

    @property
    def axis_here(self) -> Axis:
        """What the columns of a row stand for that comes to stand now: those of the sheet, or the one of the whole job."""
        return ONE if self._single else self.axis

    @contextmanager
    def whole_job(self) -> Iterator[None]:
        """Rows that stand once for the whole job, in the column before those of the sheet's axis."""
        self._single, before = True, self._single
        yield
        self._single = before

    def heading(self, text: str) -> None:
        """A heading, with an empty row above it."""
        self._here.append(Heading(text, folded=self._here is not self._open))

    @contextmanager
    def cell(self, number: int, column: int) -> Iterator[None]:
        """A row that is one cell of a table, for the whole job."""
        self._place = number, column
        with self.whole_job():
            yield
        self._place = None

    @contextmanager
    def folded(self, title: str) -> Iterator[None]:
        """Rows that stand folded at the foot of the sheet, below all that are read: the steps of an iteration."""
        self._folds.append([Heading(title)])
        before, self._here = self._here, self._folds[-1]
        yield
        self._here = before

    @contextmanager
    def inlined(self) -> Iterator[None]:
        """Rows whose nested functions stand inside their own formula: short ones, of which a row each would only be in the way."""
        self._inline, before = True, self._inline
        yield
        self._inline = before

    @property
    def last_heading(self) -> str:
        """The text of the heading under which rows now come to stand."""
        return next(item.text for item in reversed(self._here) if isinstance(item, Heading))

    def line(self, label: str, function: Named[Any], *args: Any, when: Reference | None = None, shows: ShowsNumber = "general") -> Row:
        """A row worked out by a named function from rows (or coherent constants)."""
        system = self.book.system
        given = [formula.leaf(a, a.kind, system) if isinstance(a, Reference) else a for a in args]
        row = self._recorded(label, function, given, when, shows, depth=self._depth)
        # A later function that needs the same thing from the same rows takes this line instead of a copy of it.
        self._known.setdefault((function.name, when, self.axis_here, *(formula.as_node(a) for a in given)), row)
        return row

    def calc(
        self,
        label: str,
        kind: Measure | Key | None,
        body: Callable[..., Any],
        *args: Any,
        when: Reference | None = None,
        shows: ShowsNumber = "general",
        words: str = "",
        source: str = "",
    ) -> Row:
        """A row of plain arithmetic between rows: ``body`` is recorded as a named function's would be."""
        system = self.book.system
        given = [formula.leaf(a, a.kind, system) if isinstance(a, Reference) else a for a in args]
        with formula.recording(system), calls_go_to(self._nested(when)):
            result = body(*given)
        node = seal(formula.in_trade_units(result, kind, system) if isinstance(kind, Measure) else formula.as_node(result))
        row = self._row(label, kind, node, when, shows, self._depth)
        row.words = words or coherent_words(body, args)
        row.source = source
        return row

    def take(
        self, label: str, reference: Reference, *, shows: ShowsNumber = "general", words: str = "", source: str = "", defined_name: str = ""
    ) -> Row:
        """A row that is one reference: something fetched, summed or picked from elsewhere."""
        row = Row(self, label, reference.kind, lambda: reference.text(self), reference.value, words or reference.words, shows=shows)
        row.source = source
        row.defined_name = defined_name
        row.uses = (reference,)
        return self.placed(row)

    def texts(self, label: str, values: Sequence[str]) -> Row:
        """A row of typed texts, one a column."""
        fixed = np.array(list(values), dtype=object)
        return self.placed(Row(self, label, None, None, lambda _: fixed, "typed"))

    def numbers(self, label: str, values: Sequence[float], kind: Measure = RATIO) -> Row:
        """A row of fixed numbers, one a column: the steps of a curve."""
        fixed = np.array(values, dtype=np.float64)
        return self.placed(Row(self, label, kind, None, lambda _: fixed, "fixed steps"))

    @contextmanager
    def chain(self) -> Iterator[Callable[[str, Measure | Key | None], Left]]:
        """Rows in which a column's value may depend on the column to its left.

        Yields a function that names a row to be made later in the chain, as seen in the column to the left.  The
        rows are worked out together when the chain is closed: each pass carries the water one load further.
        """
        lefts: list[Left] = []

        def left(label: str, kind: Measure | Key | None) -> Left:
            lefts.append(Left(label, self, kind))
            return lefts[-1]

        self._chain = []
        yield left
        members, self._chain = self._chain, None
        by_label = {row.label: row for row in members}
        for item in lefts:
            item.row = by_label[item.label]
        self.book.settle(members)

    # -- how a row comes about

    def _recorded(
        self, label: str, function: Named[Any], args: Sequence[Any], when: Reference | None, shows: ShowsNumber, depth: int
    ) -> Row:
        before = len(self._here)
        node = formula.record(function, args, self.book.system, self._nested(when))
        row = self._only_a_new_row(node, before)
        if row is not None:  # the body is one nested call: its row serves, under the name that was asked for
            row.label, row.depth, row.shows = label, depth, shows
            return row
        row = self._row(label, function.result, node, when, shows, depth)
        row.function, row.source, row.words = function.name, function.source, self.book.words(function)
        return row

    def _only_a_new_row(self, node: nodes.Node, before: int) -> Row | None:
        """The row that a node stands for, if it is nothing else and was placed since ``before``."""
        if not isinstance(node, nodes.Leaf) or len(self._here) == before:
            return None
        last = self._here[-1]
        return last if isinstance(last, Row) and node.reference is last else None

    def _nested(self, when: Reference | None) -> Callable[[Named[Any], tuple[Any, ...]], Any]:
        def nested(function: Named[Any], args: tuple[Any, ...]) -> Any:
            recorded = [formula.as_node(a) for a in args]
            if self._inline or not any(nodes.leaves(n) for n in recorded):
                return function.body(*args)
            key = (function.name, when, self.axis_here, *recorded)
            if key not in self._known:
                self._known[key] = self._recorded(function.title, function, args, when, "general", self._depth + 1)
            row = self._known[key]
            return formula.leaf(row, function.result, self.book.system)

        return nested

    def _row(self, label: str, kind: Measure | Key | None, node: nodes.Node, when: Reference | None, shows: ShowsNumber, depth: int) -> Row:
        references: list[Reference] = [leaf.reference for leaf in nodes.leaves(node)]  # type: ignore[misc]
        is_text = not isinstance(kind, Measure)

        worked = compiled(node)

        def compute(values: Values) -> Any:
            ready: Any = np.array(True)
            for reference in references:
                ready = ready & reference.is_ready(values)
            if when is not None:
                ready = ready & when.value(values)
            blanked = where_ready(worked, ready, values, "" if is_text else np.nan)
            # What stands to the left may still be blank; a formula that takes it over is then blank as well.
            return blanked if any(isinstance(r, Left) for r in references) else (blanked, ready)

        def written() -> str:
            text = Worksheet(lambda r: r.text(self)).text(node)  # type: ignore[attr-defined]
            guard = guard_of(references, when, self)
            if len(text) > LONGEST_FORMULA:
                raise BuildError(f"{self.name}, {label}: the formula takes {len(text)} characters; split it into named functions")
            return f'IF({guard},{text},"")' if guard else text

        row = Row(self, label, kind, written, compute, shows=shows, depth=depth)
        row.uses = (*references, *((when,) if when is not None else ()))
        return self.placed(row)

    def placed(self, row: Row) -> Row:
        """The row, in the part of the sheet that is being written, and worked out."""
        if self._place is not None:
            row.place = self._place
            self.cells.append(row)
        else:
            row.folded = self._here is not self._open
            self._here.append(row)
        self.book.order.append(row)
        if self._chain is not None:
            self._chain.append(row)
        else:
            self.book.work_out(row)
        return row


@dataclass(repr=False)
class Book:
    """All sheets of a job while they are being built, and the values of their rows."""

    system: System
    symbol: Callable[[Measure | Key | None], str]
    headings: Callable[[str, tuple[str, ...]], list[str]] = lambda family, names: ["" for _ in names]
    sheets: dict[str, Sheet] = field(default_factory=dict)
    order: list[Row] = field(default_factory=list)
    values: Values = field(default_factory=Values)
    groups: list[list[Row]] = field(default_factory=list)
    _words: dict[str, str] = field(default_factory=dict)
    _reads: dict[Row, tuple[list[Row], list[str]]] = field(default_factory=dict)

    def sheet(self, name: str, axis: Axis = ONE, title: str = "") -> Sheet:
        """A sheet by its name: a new one with its axis and its title, or one that was begun before, to be gone on with."""
        if name not in self.sheets:
            self.sheets[name] = Sheet(self, name, axis, title)
        return self.sheets[name]

    def words(self, function: Named[Any]) -> str:
        if function.name not in self._words:
            self._words[function.name] = function_in_words(function)
        return self._words[function.name]

    def work_out(self, row: Row) -> None:
        """The value of a row, from the rows before it."""
        self.values[row] = self.computed(row, self.values)

    def worked_with(self, inputs: dict[str, Any], wanted: Sequence[Row] | None = None) -> Values:
        """The values of the rows (all, or what ``wanted`` needs) with other inputs, by key and in the book's units.

        An input may be an array of samples.  What the inputs do not reach keeps the book's values; with ``wanted``, a row
        that nothing more reads is let go, since the samples of all rows of a large job together take gigabytes.
        """
        values, steps = Values(self.values, inputs=inputs), self._reached(inputs, wanted)
        last = {read: place for place, members in enumerate(steps) for row in members for read in (row, *self.reads(row)[0])}
        done: list[list[Row]] = [[] for _ in steps]
        if wanted is not None:
            for row in {row for members in steps for row in members}.difference(wanted):
                done[last[row]].append(row)
        for members, over in zip(steps, done, strict=True):
            if len(members) == 1:
                values[members[0]] = self.computed(members[0], values)
            else:
                self.settled(members, values)
            for row in over:
                del values[row]
        return values

    def _reached(self, inputs: dict[str, Any], wanted: Sequence[Row] | None) -> list[list[Row]]:
        """What has to be worked out anew with other inputs, in order: rows, and chains that settle together."""
        needed = self._needed(wanted)
        grouped = {id(row): members for members in self.groups for row in members}
        reached: set[int] = set()
        steps = []
        for row in self.order:
            members = grouped.get(id(row), [row])
            if row is not members[0] or (needed is not None and id(row) not in needed):
                continue
            rows, keys = (set().union(*(self.reads(m)[i] for m in members)) for i in (0, 1))
            if any(id(r) in reached for r in rows) or any(k in inputs for k in keys):
                reached.update(map(id, members))
                steps.append(members)
        return steps

    def reads(self, row: Row) -> tuple[list[Row], list[str]]:
        """The rows and the inputs that a row reads."""
        if row not in self._reads:
            rows = [r for reference in row.uses for r in rows_of(reference)]
            keys = [k for reference in row.uses if not isinstance(reference, Row) for k in keys_of(reference)]
            self._reads[row] = rows, keys
        return self._reads[row]

    def read_by(self, row: Row, rows: list[Row], keys: list[str]) -> None:
        """Say what a copied row reads; its own references are still those of the row it is a copy of."""
        self._reads[row] = rows, keys

    def _needed(self, wanted: Sequence[Row] | None) -> set[int] | None:
        if wanted is None:
            return None
        grouped = {id(row): members for members in self.groups for row in members}
        found: set[int] = set()
        stack = list(wanted)
        while stack:
            row = stack.pop()
            if id(row) in found:
                continue
            found.add(id(row))
            stack += [*self.reads(row)[0], *grouped.get(id(row), [])]
        return found

    def computed(self, row: Row, values: Values) -> Any:
        assert row.compute is not None
        result = row.compute(values)
        ready: Any = None
        if isinstance(result, tuple):
            result, ready = result
        size = len(row.axis.labels)
        result = np.asarray(result, dtype=object if row.is_text else np.float64)
        result = np.asarray(np.broadcast_to(result, (*result.shape[:-1], size) if result.ndim else (size,)), order="F")
        if ready is not None and not row.is_text:
            finite = np.isfinite(result)
            if not finite.all() and (bad := ~finite & np.broadcast_to(ready, result.shape)).any():
                label = row.axis.labels[int(np.nonzero(bad)[-1][0])]
                inputs = self._inputs_near(row, label)
                from_inputs = f"; look at {'; '.join(inputs)}" if inputs else ""
                raise BuildError(f"{row.sheet.name}, {row.label}, {label}: the value is not a number{from_inputs}")
        return result

    def _inputs_near(self, row: Row, label: str) -> list[str]:
        """The inputs of a column from which a row comes straight or over one or two other rows, in words."""
        found: dict[str, set[str]] = {}
        first = self.reads(row)[0]
        for near in (row, *first, *(r for other in first for r in self.reads(other)[0])):
            for part, item in (key.split("|") for key in self.reads(near)[1]):
                if part.endswith(f" {label}") or part in vocabulary.SINGLE:
                    found.setdefault(part, set()).add(item)
        return [f"{part}: {', '.join(sorted(items))}" for part, items in sorted(found.items())]

    def settle(self, members: list[Row]) -> None:
        """Work out the rows of a chain together, over and over until nothing changes."""
        self.groups.append(members)
        self.settled(members, self.values)

    def settled(self, members: list[Row], values: Values) -> None:
        longest = len(members[0].axis.labels) + 2
        changed = {id(row) for row in members}
        reads = [{id(read) for read in self.reads(row)[0]} & changed for row in members]
        for turn in range(longest):
            # After the first turn only what reads a row that the last one changed, or this one has, can become another.
            before, changed = changed, set()
            for row, read in zip(members, reads, strict=True):
                if turn and read.isdisjoint(before) and read.isdisjoint(changed):
                    continue
                new = self.computed(row, values)
                old = values.get(row)
                if old is None or not _same(old, new):
                    changed.add(id(row))
                values[row] = new
            if not changed:
                return
        raise BuildError(f"{members[0].sheet.name}: the water does not come to rest along the line")


def _same(old: Any, new: Any) -> bool:
    if old.dtype == object:
        return bool((old == new).all())
    # By their bits, blanks (NaN) included: the same formula of the same figures gives the same bits.
    return bool(np.array_equal(old.view(np.int64), new.view(np.int64)))
