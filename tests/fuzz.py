"""Spoiled tables and books against ``fill`` and ``audit``: a clear message or a result, never a traceback, a hang or a flood.

``python tests/fuzz.py tables 10000`` and ``python tests/fuzz.py books 2000`` are the long runs; ``--first N`` begins with
another number.  Each case is made from its number alone; one that fails is kept with its number under ``--keep``.
"""

from __future__ import annotations

import argparse
import contextlib
import gc
import io
import json
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
import warnings
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

sys.path.insert(0, str(Path(__file__).parent.parent))

from broken_tables import SOUND
from mutations import mutated_table
from mutations_books import mutated_book

from workbook_builder.build import build, write_book
from workbook_builder.cli import main
from workbook_builder.table.job import blank_job
from workbook_builder.table.reader import read_job

SECONDS = 60.0  # of the processor that a case may take: ten times what the slowest sound one takes
WAITING = 20  # times as long by the clock, since a busy machine gives a long run but a share of a processor
MEGABYTES = 1_000  # that a case may add to what the process ever had
WRITTEN = 4  # one book in so many is written too; the others end when they are worked out
REFUSED, DONE, CRASH = "refused", "done", "crash"
TOGETHER = "refused by a line of the book"  # inputs that are each allowed, but do not go together


class OverdueError(BaseException):
    """A case took too long; no handler of ours may catch it."""


@dataclass(frozen=True)
class Verdict:
    """What became of a case."""

    outcome: str
    said: str


@contextlib.contextmanager
def within(seconds: float) -> Iterator[None]:
    def stop(*_: object) -> None:
        raise OverdueError(f"not done after {seconds:.0f} s")

    timers = ((signal.SIGPROF, signal.ITIMER_PROF, seconds), (signal.SIGALRM, signal.ITIMER_REAL, WAITING * seconds))
    before = [signal.signal(number, stop) for number, _, _ in timers]
    for _, timer, after in timers:
        signal.setitimer(timer, after)
    try:
        yield
    finally:
        for (number, timer, _), handler in zip(timers, before, strict=True):
            signal.setitimer(timer, 0)
            signal.signal(number, handler)


def run(*arguments: str) -> Verdict:
    """One command in this process, judged by what it did and said."""
    out, err = io.StringIO(), io.StringIO()
    try:
        with within(SECONDS), warnings.catch_warnings(), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            warnings.simplefilter("error")
            warnings.filterwarnings("ignore", category=ResourceWarning)
            status = main(arguments)
    except (Exception, SystemExit, OverdueError):
        return Verdict(CRASH, traceback.format_exc())
    said = err.getvalue()
    if "an error of this program" in said or "Traceback" in said:
        return Verdict(CRASH, said + _traceback(arguments))
    if status not in (0, 1, 2):
        return Verdict(CRASH, f"exit status {status}\n{said}")
    if "--json" in arguments:
        try:
            told = json.loads(out.getvalue())
        except ValueError:
            return Verdict(CRASH, f"no JSON: {out.getvalue()[:2000]}")
        if status == 2 and not said:
            said = "\n".join(f"{p['file']}: {p['message']}".replace("\n", " ") for p in told["problems"])
    if status == 2:
        name = Path(arguments[1]).name
        clear = said.strip() and all(name in line for line in said.strip().splitlines())
        return Verdict((TOGETHER if "do not go together" in said else REFUSED) if clear else CRASH, said)
    return Verdict(DONE, out.getvalue() + said)


def _traceback(arguments: tuple[str, ...]) -> str:
    """``fill`` tells of an error without its place; here the place is wanted."""
    try:
        write_book(build(read_job(arguments[1])), Path(tempfile.gettempdir()) / "fuzz-again.xlsx")
    except Exception:
        return traceback.format_exc()
    return ""


def check_written(path: Path) -> None:
    """A book that was written is sound: every part is XML, no text longer than a cell holds."""
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            root = ElementTree.fromstring(archive.read(name))
            if name.endswith("sharedStrings.xml"):
                longest = max((len("".join(t.text or "" for t in item.iter() if t.tag.endswith("}t"))) for item in root), default=0)
                assert longest <= 32_767, f"a text of {longest} characters"


def table_case(seed: int, folder: Path) -> Verdict:
    """A spoiled table through ``fill`` or, one in five, ``audit``."""
    path = mutated_table(seed, folder)
    if seed % 5 == 0:
        return run("audit", str(path), *(["--json"] if seed % 2 else []))
    if seed % WRITTEN:
        return _built(path)
    return _filled(path, folder)


def _built(path: Path) -> Verdict:
    """What ``fill`` does with a table, without writing the book."""
    from workbook_builder.model.worksheet import BuildError
    from workbook_builder.table.rows import InputError

    try:
        with within(SECONDS), warnings.catch_warnings():
            warnings.simplefilter("error")
            warnings.filterwarnings("ignore", category=ResourceWarning)
            build(read_job(path))
    except InputError as error:
        return Verdict(
            REFUSED if error.problems and all(p.file.startswith(path.name) and p.message for p in error.problems) else CRASH, str(error)
        )
    except BuildError as error:
        return Verdict(TOGETHER, str(error))
    except (Exception, OverdueError):
        return Verdict(CRASH, traceback.format_exc())
    return Verdict(DONE, "")


def _filled(path: Path, folder: Path) -> Verdict:
    target = folder / "filled.xlsx"
    target.unlink(missing_ok=True)
    verdict = run("fill", str(path), "-o", str(target))
    if verdict.outcome == DONE:
        try:
            check_written(target)
        except Exception:
            return Verdict(CRASH, traceback.format_exc())
    elif target.exists():
        return Verdict(CRASH, f"refused, and yet written\n{verdict.said}")
    return verdict


_sources: list[bytes] = []


def sound_books(folder: Path) -> list[bytes]:
    """The books that are spoiled: of a small job in each system, and a blank one."""
    if not _sources:
        table, book = folder / "sound.csv", folder / "sound.xlsx"
        table.write_text(SOUND, encoding="utf-8")
        for job, system in ((read_job(table), "us"), (read_job(table), "metric"), (blank_job(1, 1), "us")):
            write_book(build(job, system), book)  # type: ignore[arg-type]
            _sources.append(book.read_bytes())
    return _sources


def book_case(seed: int, folder: Path) -> Verdict:
    """A spoiled book through ``audit`` or, one in three, ``fill``."""
    path = mutated_book(seed, sound_books(folder), folder / "book.xlsx")
    if seed % 3 == 0:
        return _filled(path, folder) if seed % (3 * WRITTEN) == 0 else _built(path)
    return run("audit", str(path), *(["--json"] if seed % 2 else []))


CASES = {"tables": table_case, "books": book_case}


def _peak() -> int:
    """The most memory that the process ever had, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def fuzz(what: str, seeds: range, keep: Path | None = None) -> tuple[Counter[str], list[tuple[int, str]]]:
    """How many cases came to what, and the number and the words of each that failed."""
    counts: Counter[str] = Counter()
    failures: list[tuple[int, str]] = []
    collecting = gc.isenabled()
    gc.disable()  # as fill does; it is collected between the cases
    try:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            for seed in seeds:
                began, before = time.perf_counter(), _peak()
                verdict = CASES[what](seed, folder)
                if verdict.outcome != CRASH and _peak() - before > MEGABYTES:
                    verdict = Verdict(CRASH, f"{_peak() - before} MB more")
                counts[verdict.outcome] += 1
                if verdict.outcome == CRASH:
                    failures.append((seed, verdict.said))
                    print(f"FAILED {what} {seed} after {time.perf_counter() - began:.1f} s:\n{verdict.said[-2500:]}", flush=True)
                    if keep is not None:
                        keep.mkdir(parents=True, exist_ok=True)
                        for file in folder.glob("table.*" if what == "tables" else "book.xlsx"):
                            shutil.copy(file, keep / f"{what}-{seed}{file.suffix}")
                elif verdict.outcome == TOGETHER:
                    print(f"{what} {seed}: {verdict.said.strip()[-300:]}", flush=True)
                for file in folder.glob("table.*"):
                    file.unlink()
                gc.collect(0 if seed % 20 else 2)
    finally:
        if collecting:
            gc.enable()
    return counts, failures


def command() -> int:
    """The long run; 1 where a case failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=tuple(CASES))
    parser.add_argument("count", type=int)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--keep", type=Path, default=Path("build/fuzz"))
    options = parser.parse_args()
    began = time.perf_counter()
    counts, failures = fuzz(options.what, range(options.first, options.first + options.count), options.keep)
    listed = ", ".join(f"{n} {what}" for what, n in sorted(counts.items()))
    print(f"{options.count} {options.what} from {options.first} in {time.perf_counter() - began:.0f} s, at most {_peak()} MB: {listed}")
    for seed, _ in failures:
        print(f"again: python tests/fuzz.py {options.what} 1 --first {seed}")
    return int(bool(failures))


if __name__ == "__main__":
    sys.exit(command())
