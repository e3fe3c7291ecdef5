"""A throw-away LibreOffice profile: an extension goes in and out, and sessions without a screen say what they saw."""

from __future__ import annotations

import functools
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import engines

# A virtual environment ahead on the path gives LibreOffice's own Python a wrong home (std::bad_alloc over the add-in).
SYSTEM = {k: v for k, v in os.environ.items() if k not in ("VIRTUAL_ENV", "PYTHONPATH", "PYTHONHOME")} | {
    "PATH": "/usr/bin:/bin:/usr/sbin:/sbin"
}
_SECONDS = 300
_SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>{locale}</value></prop></item>
</oor:items>
"""
Step = dict[str, Any]


@functools.cache
def uno_python() -> str:
    """A Python that has LibreOffice's ``uno``: this one, the system's, or the office program's own."""
    program = engines.soffice()
    beside = Path(program).resolve().parent / "python" if program else None
    for candidate in (sys.executable, "/usr/bin/python3", str(beside)):
        if (
            Path(candidate).exists()
            and subprocess.run([candidate, "-c", "import uno"], env=SYSTEM, capture_output=True, check=False).returncode == 0
        ):
            return candidate
    raise AssertionError("LibreOffice is installed, but no Python has its uno module (on Debian: python3-uno)")


@dataclass
class Profile:
    """The settings and extensions of one user who exists for one test."""

    folder: Path
    locale: str = ""  # such as de-DE; by default the system's

    def __post_init__(self) -> None:
        if self.locale:
            settings = self.folder / "profile" / "user" / "registrymodifications.xcu"
            settings.parent.mkdir(parents=True)
            settings.write_text(_SETTINGS.format(locale=self.locale), encoding="utf-8")

    @property
    def url(self) -> str:
        return (self.folder / "profile").as_uri()

    def extensions(self, *arguments: str) -> str:
        """Run ``unopkg``; what it printed.  It refuses to work for root, who therefore calls it as nobody in particular."""
        program = shutil.which("unopkg")
        assert program is not None, "unopkg is not installed"
        as_user = ["unshare", "-U"] if os.geteuid() == 0 else []
        command, *rest = arguments
        done = subprocess.run(
            [*as_user, program, command, f"-env:UserInstallation={self.url}", *rest],
            env=SYSTEM,
            capture_output=True,
            text=True,
            timeout=_SECONDS,
            check=False,
        )
        assert done.returncode == 0, f"unopkg {command} ended with {done.returncode}: {done.stdout}{done.stderr}"
        return done.stdout + done.stderr

    def session(self, steps: Sequence[Step]) -> list[Any]:
        """One start of the office program: what it saw at each step (see office_session.py)."""
        program = engines.soffice()
        assert program is not None
        self.folder.mkdir(exist_ok=True)
        file = self.folder / "steps.json"
        file.write_text(json.dumps(list(steps)), encoding="utf-8")
        script = Path(__file__).with_name("office_session.py")
        done = subprocess.run(
            [uno_python(), str(script), program, self.url, str(file)],
            env=SYSTEM,
            capture_output=True,
            text=True,
            timeout=_SECONDS,
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        seen: list[Any] = json.loads(done.stdout)
        return seen


@dataclass
class Seen:
    """The cells of a sheet as a session saw them."""

    cells: dict[str, Any]

    def __getitem__(self, place: tuple[int, int]) -> Any:
        """The value of a cell (row and column from 0), or ``Error(code)``."""
        row, column = place
        code = self.cells["errors"].get(f"{row},{column}")
        return Error(code) if code else self.cells["rows"][row][column]


@dataclass(frozen=True)
class Error:
    """An error value, by the code that LibreOffice has for it."""

    code: int


NUMBER, VALUE, DIVISION, NOT_AVAILABLE = Error(503), Error(519), Error(532), Error(0x7FFF)
MISSING_ARGUMENT, ILLEGAL_ARGUMENT, UNKNOWN_NAME = Error(504), Error(502), Error(525)
