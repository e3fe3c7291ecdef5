"""Putting a file in its place: whole or not at all, whatever ends the work in between."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import tempfile
import time
from pathlib import Path

LEFT_OVER = 600.0  # seconds after which a file beside a target is nobody's work any more
# What office programs put beside a file that they have open.
_LOCKS = (".~lock.{}#", "~${}")
_MODE = 0o644


def refuse_target(target: Path) -> None:
    """OSError, naming the target, where it is no ordinary file or is open in an office program."""
    if not target.exists():
        return
    if not target.is_file():
        raise OSError(errno.EINVAL, "is no ordinary file; name another with -o", str(target))
    for lock in (target.with_name(form.format(target.name)) for form in _LOCKS):
        if lock.exists():
            words = f"is open in another program; close it there (or delete {lock.name}, if it is not)"
            raise OSError(errno.EBUSY, words, str(target))


def put(data: bytes, target: Path) -> None:
    """Write beside the target, see it on the disk, and rename; OSError that names the target, which then is as it was."""
    target = target.resolve()  # a link stays a link
    try:
        _clear(target)
        mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else _MODE
        handle, name = tempfile.mkstemp(prefix=f".{target.stem}-", suffix=".tmp", dir=target.parent)
        beside = Path(name)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())  # else a power cut could leave an empty file under the target's name
            beside.chmod(mode)
            beside.replace(target)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        raise OSError(error.errno, error.strerror or str(error), str(target)) from error


def _clear(target: Path) -> None:
    """Take away what work on this target that was killed at its end left beside it, long ago enough to be nobody's."""
    for left in target.parent.glob(f".{_literal(target.stem)}-????????.tmp"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > LEFT_OVER:
                left.unlink()


def _literal(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)
