"""Work that is cut off, and places that cannot be written: an old book stays as it was, nothing half done is left, one clear line says why.

KILLS=100 kills a hundred times instead of a few.
"""

from __future__ import annotations

import errno
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import books
import pytest

from workbook_builder import files
from workbook_builder.cli import main

SMALL = books.ROOT / "samples" / "small-cottage.csv"
COMMAND = [sys.executable, "-m", "workbook_builder"]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(books.ROOT)}
KILLS = int(os.environ.get("KILLS", "8"))


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
    files.put(b"new", target)
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


def started(tables: Path) -> subprocess.Popen[str]:
    """``fill`` on a folder, as the head of a group of processes, when its first book is there."""
    process = subprocess.Popen(
        [*COMMAND, "fill", str(tables)],
        env=ENVIRONMENT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        # What a shell starts in the background takes no notice of Ctrl-C, nor does what it starts.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
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


def test_stopped_by_the_keyboard(tmp_path: Path) -> None:
    """Ctrl-C goes to all processes of a terminal: those at work end their books, no other is begun, and one line says so."""
    tables = many(tmp_path, 30)
    process = started(tables)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert len(err.splitlines()) == 1 and "stopped" in err
    made = list(tables.glob("*.xlsx"))
    assert 0 < len(made) < 30
    assert not list(tables.glob(".*"))
    whole = {p.read_bytes() for p in made}
    assert len(whole) == 1, "every book that is there is whole"
    assert out.count("formulas") <= len(made)


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


def test_a_link_stays_a_link_and_a_mode_stays(place: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.xlsx"
    link.symlink_to(place / "book.xlsx")
    (place / "book.xlsx").chmod(0o600)
    assert main(["fill", str(tmp_path / "job.csv"), "-o", str(link), "--force"]) == 0
    assert link.is_symlink() and (place / "book.xlsx").read_bytes().startswith(b"PK")
    assert (place / "book.xlsx").stat().st_mode & 0o777 == 0o600
