"""Putting a file in its place: whole or not at all, whatever ends the work in between, and over no other unless it is to be."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

BOOK = ".xlsx"
LEFT_OVER = 600.0  # seconds after which a file beside a target is nobody's work any more
# What office programs put beside a file that they have open.
_LOCKS = (".~lock.{}#", "~${}")
_MODE = 0o644
THERE = "exists already; --force replaces it"


def refuse_target(target: Path, ending: str, *, force: bool, read: Sequence[Path] = ()) -> None:
    """OSError with all that is wrong, naming the target, where no file of that ending can or may be put.

    A link is followed: what counts is the file that it leads to, which must have the ending too and be none that is read.
    """
    problems = list(_problems(_resolved(target), ending, force, read))
    if problems:
        resolved = _resolved(target)
        led = "" if os.path.normpath(target.absolute()) == str(resolved) else f"leads to {resolved}: "
        raise OSError(errno.EINVAL, led + "; ".join(problems), str(target))


def _problems(target: Path, ending: str, force: bool, read: Sequence[Path]) -> Iterator[str]:
    if target.is_symlink():
        yield "is a link that leads round in a circle; name another with -o"
        return
    if any(_resolved(one) == target or (one.exists() and target.exists() and one.samefile(target)) for one in read):
        yield "would replace a file that is to be read; name another with -o"
        return
    if target.suffix.lower() != ending:
        yield f"must end in {ending}"
    if not target.parent.is_dir():
        yield f"there is no such folder as {target.parent}"
    elif target.is_dir():
        yield "is a folder; name a file with -o"
    elif target.exists() and not target.is_file():
        yield "is no ordinary file; name another with -o"
    elif target.exists():
        for lock in (target.with_name(form.format(target.name)) for form in _LOCKS):
            if lock.exists():
                yield f"is open in another program; close it there (or delete {lock.name}, if it is not)"
        if not force:
            yield THERE


def _resolved(path: Path) -> Path:
    return Path(os.path.realpath(path))  # Path.resolve raises where links lead round in a circle


def put(data: bytes, target: Path, *, force: bool) -> None:
    """Write beside the target, see it on the disk, and rename; OSError that names the target, which then is as it was.

    Without ``force`` the target is made and never replaced: of two at work on it at once the second is refused.
    """
    target = _resolved(target)  # a link stays a link
    try:
        _clear(target)
        mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else _MODE
        handle, name = tempfile.mkstemp(prefix=f".{target.stem}-", suffix=".tmp", dir=target.parent)
        beside = Path(name)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())  # else a power failure could leave an empty file under the target's name
            beside.chmod(mode)
            if force:
                beside.replace(target)
            else:
                _rename_to_a_free_name(beside, target)
        finally:
            beside.unlink(missing_ok=True)
    except FileExistsError as error:
        raise OSError(error.errno, f"was written by another meanwhile and is left as it is; it {THERE}", str(target)) from error
    except OSError as error:
        raise OSError(error.errno, error.strerror or str(error), str(target)) from error


def changes_since(targets: Iterable[Path]) -> Callable[[], set[Path]]:
    """What tells, when it is asked, which of these files are others than they are now."""
    before = {target: _identity(target) for target in targets}
    return lambda: {target for target, identity in before.items() if _identity(target) != identity}


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_ino, found.st_mtime_ns


def _rename_to_a_free_name(beside: Path, target: Path) -> None:
    """FileExistsError where the name is taken."""
    if os.name == "nt":
        beside.rename(target)  # refuses there by itself
        return
    try:
        target.hardlink_to(beside)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        with _alone_in(target.parent):
            if target.exists():
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from None
            beside.rename(target)


@contextlib.contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """Where processes of ours wait for one another; the system ends the waiting with the process, so that nothing is left behind."""
    import fcntl  # not on Windows

    handle = os.open(folder, os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):  # where even this cannot be had, the look before the renaming has to do
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _clear(target: Path) -> None:
    """Take away what work on this target that was killed at its end left beside it, long ago enough to be nobody's."""
    for left in target.parent.glob(f".{_literal(target.stem)}-????????.tmp"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > LEFT_OVER:
                left.unlink()


def _literal(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)
