"""Many tables at once: both cores, a bar on a terminal, and one table that fails does not stop the rest."""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing.connection import wait
from pathlib import Path
from typing import TypeVar

from hydrocalc.blocks import cores
from hydrocalc.measures import System

from .files import refuse_target

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
    """What became of an order: what to say of it, and why it failed if it did."""

    order: Order
    said: str
    problem: str = ""


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
    from .build import build, save
    from .job import read_job
    from .rows import InputError
    from .worksheet import BuildError

    # A book is many small objects that all live until it is written: looking for rubbish among them finds none.
    collecting = gc.isenabled()
    gc.disable()
    try:
        refused = _refused(order)
        if refused:
            return Outcome(order, "", refused)
        job = read_job(order.table)
        writer = save(build(job, order.system), order.target)
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
    return Outcome(order, f"{order.target}: {len(job.runs)} runs, {len(job.loads)} loads, {writer.formula_cells} formulas")


def _one_of_many(order: Order) -> Outcome:
    """Fill one table, and let go of its book before the next."""
    outcome = carry_out(order)
    gc.collect(1)  # the book's parts refer to one another, and all of them are new since the last
    return outcome


def _refused(order: Order) -> str:
    if order.target.resolve() == order.table.resolve():
        return f"{order.target}: the workbook would replace its own input table; name another with -o"
    if order.target.is_dir():
        return f"{order.target}: is a folder; name a file with -o"
    refuse_target(order.target)
    if order.target.exists() and not order.force:
        return f"{order.target}: exists already; --force replaces it"
    if not order.target.parent.is_dir():
        return f"{order.target}: the folder {order.target.parent} does not exist"
    return ""


def clashes(placed: Sequence[Order]) -> list[str]:
    """Orders that would write the same book."""
    seen: dict[Path, Order] = {}
    problems = []
    for order in placed:
        first = seen.setdefault(order.target.resolve(), order)
        if first is not order:
            problems.append(f"{order.target}: both {first.table} and {order.table} would be written there")
    return problems


def carry_out_all(placed: Sequence[Order], workers: int | None = None) -> Iterator[Outcome]:
    """The outcomes in the order in which they come; a bar on a terminal while they do."""
    workers = workers or min(len(placed), cores())
    if workers < 2:
        for order in _with_bar(iter(placed), len(placed)):
            yield carry_out(order) if len(placed) == 1 else _one_of_many(order)
        return
    from . import build  # noqa: F401  # loaded once, before the processes part

    pool = ProcessPoolExecutor(workers, initializer=_begin)
    try:
        waiting = {pool.submit(_one_of_many, order): order for order in placed}
        for done in _with_bar(as_completed(waiting), len(waiting)):
            try:
                yield done.result()
            except BrokenProcessPool:
                yield Outcome(waiting[done], "", f"{waiting[done].table}: the process that worked on it was ended from outside")
    finally:
        # Where the work is stopped, books that are being written become whole, and no other is begun.
        pool.shutdown(cancel_futures=True)


def _begin() -> None:
    """In each process of the pool: Ctrl-C is the first one's to answer, and none outlives the first."""
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
