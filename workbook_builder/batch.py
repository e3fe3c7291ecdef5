"""Many tables at once: both cores, a bar on a terminal, and one table that fails does not stop the rest."""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing.connection import wait
from pathlib import Path
from typing import Any, TypeVar

from hydrocalc.blocks import cores
from hydrocalc.measures import System
from workbook_builder.output.files import BOOK, refuse_target

T = TypeVar("T")
TABLES = (".csv", ".xlsx", ".xlsm")


@dataclass(frozen=True)
class Order:
    """One table and the book it becomes."""

    table: Path
    target: Path
    system: System
    force: bool


@dataclass(frozen=True)
class Outcome:
    """What became of an order: what to say of it, why it failed if it did, and whether it was begun at all."""

    order: Order
    said: str
    problem: str = ""
    begun: bool = True


def orders(tables: Sequence[Path], output: Path | None, system: System, force: bool) -> list[Order]:
    """An order for each file named, and for each table in each folder named; targets stand beside or in the output folder.

    In a folder, a workbook that is the target of another table there is that table's book and not a table.
    """
    found: list[Path] = []
    for table in tables:
        if table.is_dir():
            inside = sorted(p for p in table.iterdir() if p.suffix.lower() in TABLES and not p.name.startswith((".", "~$")))
            written = {p.with_suffix(".xlsx") for p in inside if p.suffix.lower() == ".csv"}
            found += [p for p in inside if p not in written]
        else:
            found.append(table)
    single = len(tables) == 1 and not tables[0].is_dir()
    return [Order(t, _target(t, output, single), system, force) for t in dict.fromkeys(found)]


def _target(table: Path, output: Path | None, single: bool) -> Path:
    if output is None:
        return table.with_suffix(".xlsx")
    if single and not output.is_dir():
        return output
    return output / table.with_suffix(".xlsx").name


def carry_out(order: Order) -> Outcome:
    """Fill one table; whatever goes wrong with it is told in the outcome."""
    from workbook_builder.model.worksheet import BuildError
    from workbook_builder.table.reader import read_job
    from workbook_builder.table.rows import InputError, listed

    from .build import build, save

    # A book is many small objects that all live until it is written: looking for rubbish among them finds none.
    collecting = gc.isenabled()
    gc.disable()
    try:
        refuse_target(order.target, BOOK, force=order.force, read=[order.table])
        job = read_job(order.table)
        writer = save(build(job, order.system), order.target, force=order.force)
    except InputError as error:
        return Outcome(order, "", str(error))
    except BuildError as error:
        return Outcome(order, "", f"{order.table}: the inputs do not go together: {error}")
    except OSError as error:
        return Outcome(order, "", f"{error.filename or order.target}: {error.strerror or error}")
    except Exception as error:  # one job of a thousand must not stop the others, whatever is wrong with it
        return Outcome(
            order, "", f"{order.table}: an error of this program, {type(error).__name__}: {error}; please report it with the table"
        )
    finally:
        if collecting:
            gc.enable()
    done = f"{order.target}: {len(job.runs)} runs, {len(job.loads)} loads, {writer.formula_cells} formulas"
    return Outcome(order, "\n".join([done, *listed(job.remarks)]))


def _one_of_many(order: Order) -> Outcome:
    """Fill one table, and let go of its book before the next."""
    outcome = carry_out(order)
    gc.collect(1)  # the book's parts refer to one another, and all of them are new since the last
    return outcome


def clashes(placed: Sequence[Order]) -> list[str]:
    """Orders that would write the same book, or one over the table of another."""
    tables = {order.table.resolve(): order for order in placed}
    seen: dict[Path, Order] = {}
    problems = []
    for order in placed:
        target = Path(os.path.realpath(order.target))
        first = seen.setdefault(target, order)
        if first is not order:
            problems.append(f"{order.target}: both {first.table} and {order.table} would be written there")
        if (other := tables.get(target, order)) is not order:
            problems.append(f"{order.target}: the book of {order.table} would replace the table {other.table}")
    return problems


class Stop:
    """Ctrl-C while books are written: those begun are finished and no other is begun; a second one breaks them off.

    A single table is broken off at once.  ``asked`` tells whether there was one.
    """

    def __init__(self, at_once: bool) -> None:
        self.at_once = at_once
        self.asked = False
        self.byte: Any = None

    def share(self) -> Any:
        """A byte for other processes, which is not 0 after a Ctrl-C."""
        self.byte = multiprocessing.RawValue("b", int(self.asked))
        return self.byte

    def __enter__(self) -> Stop:
        # What a shell started in the background takes no notice of Ctrl-C, and another's handler is left in its place.
        here = threading.current_thread() is threading.main_thread()
        self.handles = here and signal.getsignal(signal.SIGINT) is signal.default_int_handler
        if self.handles:
            signal.signal(signal.SIGINT, self._hear)
        return self

    def __exit__(self, *_: object) -> None:
        if self.handles:
            signal.signal(signal.SIGINT, signal.default_int_handler)

    def _hear(self, *_: object) -> None:
        again, self.asked = self.at_once or self.asked, True
        if self.byte is not None:
            self.byte.value = 1
        if again:
            raise KeyboardInterrupt
        with contextlib.suppress(OSError):  # not by print, which may have been interrupted itself
            os.write(
                sys.stderr.fileno(),
                b"\n" * sys.stderr.isatty() + b"stopping: books that are begun are finished; Ctrl-C again breaks them off\n",
            )


def carry_out_all(placed: Sequence[Order], workers: int | None = None, stop: Stop | None = None) -> Generator[Outcome, None, None]:
    """The outcomes in the order in which they come, of orders that were not begun too; a bar on a terminal while they do."""
    stop = stop or Stop(at_once=False)
    workers = workers or min(len(placed), cores())
    if workers < 2:
        for order in _with_bar(iter(placed), len(placed)):
            if stop.asked:
                yield Outcome(order, "", begun=False)
            else:
                yield carry_out(order) if len(placed) == 1 else _one_of_many(order)
        return
    from . import build  # noqa: F401  # loaded once, before the processes part

    others = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(workers, initializer=_begin, initargs=(stop.share(),))
    try:
        with _no_interruption():
            waiting = {pool.submit(_unless_asked, order): order for order in placed}
        for done in _with_bar(as_completed(waiting), len(waiting)):
            try:
                yield done.result()
            except BrokenProcessPool:
                yield Outcome(waiting[done], "", f"{waiting[done].table}: the process that worked on it was ended from outside")
    except BaseException:  # broken off here, or where the outcomes go
        for child in set(multiprocessing.active_children()) - others:
            child.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


@contextlib.contextmanager
def _no_interruption() -> Iterator[None]:
    """What is started here is deaf to Ctrl-C from its first moment; here it is heard afterwards."""
    if not hasattr(signal, "pthread_sigmask"):  # Windows
        yield
        return
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})


_byte: Any = None  # in a process of the pool: the one shared with the first


def _unless_asked(order: Order) -> Outcome:
    return Outcome(order, "", begun=False) if _byte.value else _one_of_many(order)


def _begin(byte: Any) -> None:
    """In each process of the pool: Ctrl-C is the first one's to answer, and none outlives the first."""
    global _byte
    _byte = byte
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    first = multiprocessing.parent_process()
    assert first is not None
    threading.Thread(target=_end_with, args=(first.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)


def _with_bar(items: Iterator[T], total: int) -> Iterator[T]:
    if total < 2 or not sys.stderr.isatty():
        return items
    from tqdm import tqdm

    return iter(tqdm(items, total=total, unit="job", leave=False))


def say(text: str) -> None:
    """A line to the standard output, above the bar where there is one."""
    tqdm = sys.modules.get("tqdm")
    if tqdm is None:
        print(text)
    else:
        tqdm.tqdm.write(text, file=sys.stdout)
