"""Runs commands in a process of its own with little memory, and tells what each said and everything it did outside itself.

python hostile.py '[["audit", "t.csv"], …]'
"""

from __future__ import annotations

import contextlib
import io
import json
import resource
import sys
import time
from typing import Any

MEMORY = 1_500_000_000  # bytes of addresses; a job by itself takes a third of it
CHANGES = ("os.remove", "os.rename", "os.mkdir", "os.truncate", "os.link", "os.symlink")
done: list[str] = []


def watch(event: str, details: tuple[Any, ...]) -> None:
    """Notes what is started, sent or opened for writing."""
    if event.startswith(("subprocess.", "os.system", "os.exec", "os.posix_spawn", "os.fork", "socket.", "urllib.", "shutil.", *CHANGES)):
        done.append(f"{event} {details[:1]}")
    elif event == "open" and isinstance(details[1], str) and set(details[1]) & set("wax+"):
        done.append(f"open {details[0]} {details[1]}")


def main() -> None:
    """One line of JSON for each command: status, what was printed, seconds, what was done."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    from workbook_builder.cli import main as command

    sys.addaudithook(watch)
    for arguments in json.loads(sys.argv[1]):
        done.clear()
        out, err = io.StringIO(), io.StringIO()
        started = time.perf_counter()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = command(arguments)
        took = time.perf_counter() - started
        told = {"status": status, "out": out.getvalue(), "err": err.getvalue(), "seconds": took, "done": list(done)}
        print(json.dumps(told), flush=True)


if __name__ == "__main__":
    main()
