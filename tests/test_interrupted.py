"""Work that is cut off, and places that cannot be written: an old book stays as it was, nothing half done is left, one clear line says why.

KILLS=100 kills a hundred times instead of a few.
"""

from __future__ import annotations

import errno
import os
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path

import books
import pytest

from workbook_builder.cli import main
from workbook_builder.output import files

SMALL = books.ROOT / "samples" / "small-cottage.csv"
COMMAND = [sys.executable, "-m", "workbook_builder"]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(books.ROOT)}
pytestmark = pytest.mark.slow
KILLS = int(os.environ.get("KILLS", "2"))


def fill(*arguments: object, before: Sequence[str] = (), **more: object) -> subprocess.CompletedProcess[str]:
    """``fill`` in a process of its own."""
    command = [*before, *COMMAND, "fill", *map(str, arguments)]
    return subprocess.run(command, env=ENVIRONMENT, capture_output=True, text=True, check=False, timeout=120, **more)  # type: ignore[call-overload,no-any-return]


def refused(done: subprocess.CompletedProcess[str], *words: str) -> None:
    assert done.returncode == 2, done
    assert len(done.stderr.splitlines()) == 1 and "Traceback" not in done.stderr, done.stderr
    assert "an error of this program" not in done.stderr
    for word in words:
        assert word in done.stderr, done.stderr


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder with an old book and the table of a new one beside it."""
    folder = tmp_path / "place"
    folder.mkdir()
    (folder / "book.xlsx").write_bytes(b"the old book")
    shutil.copy(SMALL, tmp_path / "job.csv")
    return folder


def untouched(folder: Path) -> None:
    assert [p.name for p in folder.iterdir()] == ["book.xlsx"], "no litter"
    assert (folder / "book.xlsx").read_bytes() == b"the old book"


# --- killed -----------------------------------------------------------------------------------------------------------


def test_killed_at_random_moments_a_book_is_the_old_one_or_the_new_one(place: Path, tmp_path: Path) -> None:
    target, table, temporary = place / "book.xlsx", tmp_path / "job.csv", tmp_path / "temporary"
    temporary.mkdir()
    began = time.perf_counter()
    assert fill(table, "-o", target, "--force").returncode == 0
    lasts = time.perf_counter() - began
    new, old = target.read_bytes(), b"the old book"
    moments, ended = random.Random(5), {"old": 0, "new": 0, "litter": 0}
    for number in range(KILLS):
        target.write_bytes(old)
        process = subprocess.Popen(
            [*COMMAND, "fill", str(table), "-o", str(target), "--force"],
            env={**ENVIRONMENT, "TMPDIR": str(temporary)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        # Every other one in the last tenth, where the file is written.
        time.sleep(moments.uniform(0.85 * lasts * (number % 2), 1.05 * lasts))
        process.send_signal(signal.SIGKILL)
        process.wait()
        found = target.read_bytes()
        assert found in (old, new)
        ended["old" if found == old else "new"] += 1
        # Only a kill between the writing and the renaming can leave a hidden file; the next run on this book clears it up.
        litter = [p for p in place.iterdir() if p != target]
        ended["litter"] += len(litter)
        assert len(litter) <= 1 and all(p.name.startswith(".book-") for p in litter)
        for left in litter:
            os.utime(left, (0, 0))
    assert not list(temporary.iterdir()), "nothing in the system's folder for temporary files"
    assert fill(table, "-o", target, "--force").returncode == 0
    assert [p.name for p in place.iterdir()] == ["book.xlsx"] and target.read_bytes() == new
    print(f"killed {KILLS} times in {lasts:.1f} s: {ended}")


def test_killed_between_writing_and_renaming_the_next_run_clears_up(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = place / "book.xlsx"
    recent, others = place / ".book-abcdefgh.tmp", place / ".bookshelf-abcdefgh.tmp"
    old = place / ".book-12345678.tmp"
    for path in (old, recent, others):
        path.write_bytes(b"part")
    for path in (old, others):
        os.utime(path, (0, 0))
    files.put(b"new", target, force=True)
    assert sorted(p.name for p in place.iterdir()) == sorted(["book.xlsx", recent.name, others.name]), "what may be at work stays"
    assert target.read_bytes() == b"new"


def children_of(process: int) -> list[int]:
    listed = subprocess.run(["ps", "-o", "pid=", "--ppid", str(process)], capture_output=True, text=True, check=False).stdout
    return [int(p) for p in listed.split()]


def many(folder: Path, count: int) -> Path:
    tables = folder / "many"
    tables.mkdir()
    for number in range(count):
        shutil.copy(SMALL, tables / f"{number:02}.csv")
    return tables


def started(tables: Path, cores: int | None = None) -> subprocess.Popen[str]:
    """``fill`` on a folder, as the head of a group of processes, when its first book is there."""

    def prepare() -> None:
        # What a shell starts in the background takes no notice of Ctrl-C, nor does what it starts.
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        if cores is not None and hasattr(os, "sched_setaffinity"):
            os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[:cores])

    process = subprocess.Popen(
        [*COMMAND, "fill", str(tables)],
        env=ENVIRONMENT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        preexec_fn=prepare,
    )
    until = time.monotonic() + 60
    while not list(tables.glob("*.xlsx")) and time.monotonic() < until:
        time.sleep(0.05)
    return process


@pytest.mark.skipif(not Path("/proc").exists(), reason="looks for processes as Linux has them")
def test_no_process_outlives_the_first(tmp_path: Path) -> None:
    tables = many(tmp_path, 30)
    process = started(tables)
    workers = children_of(process.pid)
    assert len(workers) == min(30, len(os.sched_getaffinity(0))) or len(os.sched_getaffinity(0)) == 1
    process.kill()
    process.communicate()
    until = time.monotonic() + 20
    while any(Path(f"/proc/{w}").exists() for w in workers) and time.monotonic() < until:
        time.sleep(0.1)
    assert not [w for w in workers if Path(f"/proc/{w}").exists()]
    assert len(list(tables.glob("*.xlsx"))) < 30


STOPPING = "stopping: books that are begun are finished; Ctrl-C again breaks them off"


def told(err: str) -> dict[str, list[str]]:
    """What the message of a stop says became of the tables and books, by their numbers."""
    found = {}
    for line in err[err.index("stopped by Ctrl-C") :].splitlines()[1:]:
        match = re.fullmatch(r"  (.+) \((\d+)\): (.+)", line)
        assert match, err
        found[match[1]] = sorted(Path(name).stem for name in match[3].split(", "))
        assert len(found[match[1]]) == int(match[2])
    return found


@pytest.mark.parametrize("cores", [1, 2])
def test_stopped_by_the_keyboard(tmp_path: Path, cores: int) -> None:
    """Ctrl-C goes to all processes of a terminal: those at work end their books, no other is begun, and it is said of each."""
    tables = many(tmp_path, 30)
    (tables / "00.csv").write_text("part,item,value\n", encoding="utf-8")  # fails before any book is written
    process = started(tables, cores)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    made = sorted(p.stem for p in tables.glob("*.xlsx"))
    assert 0 < len(made) < 20
    assert not list(tables.glob(".*"))
    assert len({p.read_bytes() for p in tables.glob("*.xlsx")}) == 1, "every book that is there is whole"
    assert sorted(Path(line.split(": ")[0]).stem for line in out.splitlines()) == made
    others = [f"{n:02}" for n in range(1, 30) if f"{n:02}" not in made]
    assert told(err) == {"written": made, "not begun": others}
    assert err.splitlines()[0] == STOPPING and "1 of 30 tables failed" in err and "Traceback" not in err


@pytest.mark.parametrize("cores", [1, 2])
def test_broken_off_by_the_keyboard(tmp_path: Path, cores: int) -> None:
    """A second Ctrl-C does not wait for the books that are begun."""
    tables = many(tmp_path, 30)
    process = started(tables, cores)
    os.killpg(process.pid, signal.SIGINT)
    assert process.stderr is not None and process.stderr.readline().rstrip() == STOPPING
    began = time.monotonic()
    os.killpg(process.pid, signal.SIGINT)
    _, err = process.communicate(timeout=60)
    assert process.returncode == 130 and "Traceback" not in err, err
    took = time.monotonic() - began
    made = sorted(p.stem for p in tables.glob("*.xlsx"))
    found = told(err)
    assert found.pop("written") == made
    assert sorted(n for names in found.values() for n in names) == [f"{n:02}" for n in range(30) if f"{n:02}" not in made]
    assert set(found) <= {"not begun", "broken off or not begun, and not written"}
    assert len({p.read_bytes() for p in tables.glob("*.xlsx")}) == 1
    print(f"ended {took:.2f} s after the second Ctrl-C")


INTERRUPT_AT = """
import os, signal, sys

class Finder:
    def find_spec(self, name, path=None, target=None):
        if name == {name!r}:
            sys.meta_path.remove(self)
            os.kill(os.getpid(), signal.SIGINT)

signal.signal(signal.SIGINT, signal.default_int_handler)
sys.meta_path.insert(0, Finder())
"""


def interrupted_at(module: str, folder: Path, *command: str) -> subprocess.CompletedProcess[str]:
    """A process that is stopped by Ctrl-C at the moment at which it begins to load a module."""
    hooks = folder / "hooks"
    hooks.mkdir(exist_ok=True)
    (hooks / "sitecustomize.py").write_text(INTERRUPT_AT.format(name=module), encoding="utf-8")
    environment = {**ENVIRONMENT, "PYTHONPATH": os.pathsep.join([str(hooks), str(books.ROOT)]), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=120)


def installed(*arguments: str) -> list[str]:
    """What the script that is installed as ``workbook-builder`` does."""
    entry = tomllib.loads((books.ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["scripts"]["workbook-builder"]
    module, name = entry.split(":")
    return [sys.executable, "-c", f"import sys\nfrom {module} import {name}\nsys.exit({name}())", *arguments]


@pytest.mark.parametrize("module", ["workbook_builder.cli", "argparse", "numpy", "hydrocalc", "hydrocalc.wood"])
@pytest.mark.parametrize("command", [lambda *a: [*COMMAND, *a], installed], ids=["module", "script"])
def test_stopped_while_it_is_loaded(tmp_path: Path, module: str, command: Callable[..., list[str]]) -> None:
    done = interrupted_at(module, tmp_path, *command("functions"))
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "stopped\n")


@pytest.mark.parametrize("module", ["workbook_builder.table.job", "workbook_builder.sheets.sizing.money"])
def test_one_table_stopped_in_its_midst(tmp_path: Path, module: str) -> None:
    """It is broken off at once, and said to be."""
    shutil.copy(SMALL, tmp_path / "job.csv")
    done = interrupted_at(module, tmp_path, *COMMAND, "fill", str(tmp_path / "job.csv"))
    assert done.returncode == 130 and done.stdout == ""
    assert done.stderr == f"stopped by Ctrl-C\n  broken off, and not written (1): {tmp_path / 'job.csv'}\n"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["hooks", "job.csv"]


def test_one_table_stopped_when_its_book_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Between the renaming and the word of it, the disk is asked what is true."""
    shutil.copy(SMALL, tmp_path / "job.csv")
    put = files.put

    def interrupted(data: bytes, target: Path, *, force: bool) -> None:
        put(data, target, force=force)
        signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr("workbook_builder.build.put", interrupted)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell starts what runs in the background without it
    try:
        assert main(["fill", str(tmp_path / "job.csv")]) == 130
    finally:
        signal.signal(signal.SIGINT, before)
    assert told(capsys.readouterr().err) == {"written": ["job"]}
    assert (tmp_path / "job.xlsx").read_bytes().startswith(b"PK")


# --- two at work on one book ------------------------------------------------------------------------------------------


def hurried(table: Path, target: Path, count: int, *more: str, without_links: bool = False) -> list[subprocess.CompletedProcess[str]]:
    """So many fills at once that all have looked at the target before any of them writes."""
    script = f"""
import os, sys, time
from pathlib import Path
from workbook_builder import build
from workbook_builder.cli import main
from workbook_builder.output import files
put, here = files.put, Path(sys.argv[1])
def late(data, target, **more):
    (here / str(os.getpid())).touch()
    until = time.monotonic() + 60
    while len(list(here.iterdir())) < {count} and time.monotonic() < until:
        time.sleep(0.02)
    put(data, target, **more)
build.put = late
if {without_links}:
    def refused(*a, **k):
        raise PermissionError(1, "Operation not permitted")
    Path.hardlink_to = os.link = refused
sys.exit(main(sys.argv[2:]))
"""
    here = table.parent / "meeting"
    here.mkdir()
    command = [sys.executable, "-c", script, str(here), "fill", str(table), "-o", str(target), *more]
    running = [subprocess.Popen(command, env=ENVIRONMENT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(count)]
    ended = []
    for process in running:
        out, err = process.communicate(timeout=120)
        ended.append(subprocess.CompletedProcess(process.args, process.returncode, out, err))
    assert len(list(here.iterdir())) == count, "all met before any wrote"
    shutil.rmtree(here)
    return ended


@pytest.mark.parametrize("without_links", [False, True])
def test_of_two_at_work_on_one_book_one_is_refused(place: Path, tmp_path: Path, without_links: bool) -> None:
    target = place / "new.xlsx"
    ended = hurried(tmp_path / "job.csv", target, 2, without_links=without_links)
    assert sorted(e.returncode for e in ended) == [0, 2], ended
    one = next(e for e in ended if e.returncode)
    refused(one, str(target), "was written by another meanwhile", "--force")
    assert one.stdout == ""
    assert target.read_bytes().startswith(b"PK")
    assert sorted(p.name for p in place.iterdir()) == ["book.xlsx", "new.xlsx"], "no litter"


def test_of_two_at_work_on_one_book_that_may_both_write_the_last_one_stays(place: Path, tmp_path: Path) -> None:
    ended = hurried(tmp_path / "job.csv", place / "book.xlsx", 2, "--force")
    assert [e.returncode for e in ended] == [0, 0]
    assert [p.name for p in place.iterdir()] == ["book.xlsx"] and (place / "book.xlsx").read_bytes().startswith(b"PK")


# --- places that cannot be written ------------------------------------------------------------------------------------


def test_a_full_disk(place: Path, tmp_path: Path) -> None:
    """A disk of 300 kB, in a space of its own of names and mounts, so that nobody needs to be root."""
    if subprocess.run(["unshare", "-rm", "true"], capture_output=True, check=False).returncode:
        pytest.skip("this system lets nobody mount a disk of his own (unshare -rm)")
    script = (
        'mount -t tmpfs -o size=300k none "$0" && printf "the old book" > "$0/book.xlsx" && "$@"; status=$?; '
        'ls -A "$0"; cat "$0/book.xlsx"; exit $status'
    )
    command = ["unshare", "-rm", "sh", "-c", script, str(place)]
    done = fill(tmp_path / "job.csv", "-o", place / "book.xlsx", "--force", before=command)
    refused(done, str(place / "book.xlsx"), os.strerror(errno.ENOSPC))
    assert done.stdout == "book.xlsx\nthe old book"


def test_a_file_may_not_grow(place: Path, tmp_path: Path) -> None:
    limit = lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))  # noqa: E731
    done = fill(tmp_path / "job.csv", "-o", place / "book.xlsx", "--force", preexec_fn=limit)
    refused(done, str(place / "book.xlsx"), os.strerror(errno.EFBIG))
    untouched(place)


def without_power() -> list[str]:
    """What comes before a command so that a folder's mode binds even root."""
    if os.geteuid() != 0:
        return []
    if subprocess.run(["unshare", "-U", "true"], capture_output=True, check=False).returncode:
        pytest.skip("root ignores the mode of a folder, and this system lets it not lay down its power (unshare -U)")
    return ["unshare", "-U"]


def test_a_folder_that_is_read_only(place: Path, tmp_path: Path) -> None:
    place.chmod(0o555)
    try:
        done = fill(tmp_path / "job.csv", "-o", place / "book.xlsx", "--force", before=without_power())
        refused(done, str(place / "book.xlsx"), os.strerror(errno.EACCES))
        untouched(place)
    finally:
        place.chmod(0o755)


@pytest.mark.parametrize("lock", [".~lock.book.xlsx#", "~$book.xlsx"])
def test_a_book_that_is_open_in_an_office_program(place: Path, tmp_path: Path, lock: str, capsys: pytest.CaptureFixture[str]) -> None:
    (place / lock).touch()
    for force in ([], ["--force"]):
        assert main(["fill", str(tmp_path / "job.csv"), "-o", str(place / "book.xlsx"), *force]) == 2
        assert f"{place / 'book.xlsx'}: is open in another program" in capsys.readouterr().err
    assert main(["blank", "-o", str(place / "book.xlsx"), "--force"]) == 2
    assert "is open in another program" in capsys.readouterr().err
    (place / lock).unlink()
    untouched(place)


def test_a_book_that_the_system_will_not_let_be_replaced(
    place: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As Windows does while a program has the file open; here the renaming is made to fail so."""

    def in_use(self: Path, target: Path) -> Path:
        raise PermissionError(errno.EACCES, "The process cannot access the file because it is being used by another process", str(self))

    monkeypatch.setattr(Path, "replace", in_use)
    assert main(["fill", str(tmp_path / "job.csv"), "-o", str(place / "book.xlsx"), "--force"]) == 2
    err = capsys.readouterr().err
    assert err.startswith(f"{place / 'book.xlsx'}: The process cannot access") and len(err.splitlines()) == 1
    untouched(place)


def test_a_file_open_here_is_replaced_and_its_reader_keeps_the_old_one(place: Path, tmp_path: Path) -> None:
    with (place / "book.xlsx").open("rb") as reader:
        assert main(["fill", str(tmp_path / "job.csv"), "-o", str(place / "book.xlsx"), "--force"]) == 0
        assert reader.read() == b"the old book"
    assert (place / "book.xlsx").read_bytes().startswith(b"PK")


def test_what_is_no_file_is_not_replaced(place: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pipe = tmp_path / "pipe.xlsx"
    os.mkfifo(pipe)
    assert main(["fill", str(tmp_path / "job.csv"), "-o", str(pipe), "--force"]) == 2
    assert f"{pipe}: is no ordinary file" in capsys.readouterr().err
    assert pipe.is_fifo()


WRITERS = {
    "fill": ["fill", "{table}", "-o", "{output}"],
    "blank": ["blank", "-o", "{output}"],
    "audit": ["audit", str(books.ROOT / "samples" / "quotes" / "quarry.csv"), "-o", "{output}"],
    "excel": ["plugin", "excel", "-o", "{output}"],
    "calc": ["plugin", "calc", "-o", "{output}"],
}


@pytest.mark.parametrize("command", WRITERS)
@pytest.mark.parametrize("force", [[], ["--force"]])
def test_nothing_else_is_overwritten_by_a_book(tmp_path: Path, command: str, force: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Another table, by its name or by that of a link to it; a link that leads nowhere allowed makes no file there."""
    ending = ".oxt" if command == "calc" else ".xlsx"
    shutil.copy(SMALL, tmp_path / "job.csv")
    (tmp_path / "other.csv").write_text("somebody's work")
    names = {"other.csv": "", f"link{ending}": "other.csv", f"nowhere{ending}": "new.csv", f"round{ending}": f"round{ending}"}
    for name, leads in names.items():
        if leads:
            (tmp_path / name).symlink_to(tmp_path / leads)
    before = sorted(p.name for p in tmp_path.iterdir())
    for name in names:
        words = [a.format(table=tmp_path / "job.csv", output=tmp_path / name) for a in WRITERS[command]]
        assert main([*words, *force]) == 2, name
        err = capsys.readouterr().err
        assert err.startswith(f"{tmp_path / name}: ") and len(err.splitlines()) == 1, err
        assert ("round in a circle" if name.startswith("round") else f"must end in {ending}") in err
    assert (tmp_path / "other.csv").read_text() == "somebody's work"
    assert sorted(p.name for p in tmp_path.iterdir()) == before


def test_a_link_of_any_name_may_lead_to_a_book(place: Path, tmp_path: Path) -> None:
    """Also to one that is not there yet; it is made, and made by one alone."""
    link = tmp_path / "current"
    link.symlink_to(place / "new.xlsx")
    ended = hurried(tmp_path / "job.csv", link, 2)
    assert sorted(e.returncode for e in ended) == [0, 2]
    assert link.is_symlink() and (place / "new.xlsx").read_bytes().startswith(b"PK")


def test_a_link_stays_a_link_and_a_mode_stays(place: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.xlsx"
    link.symlink_to(place / "book.xlsx")
    (place / "book.xlsx").chmod(0o600)
    assert main(["fill", str(tmp_path / "job.csv"), "-o", str(link), "--force"]) == 0
    assert link.is_symlink() and (place / "book.xlsx").read_bytes().startswith(b"PK")
    assert (place / "book.xlsx").stat().st_mode & 0o777 == 0o600
