"""Office tests run where LibreOffice is; elsewhere they are skipped and named, unless REQUIRE_OFFICE=1 makes them fail."""

from __future__ import annotations

import gc
import os
from types import ModuleType

# Before numpy is loaded: on systems as small as these a second thread of the linear algebra only waits for the first, and
# takes the core from the test beside it.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import engines
import pytest

from hydrocalc import named

# A book is some hundred thousand objects that live; looked through after every 700 new ones, as Python does unless told, they cost
# a third of the time of whatever builds, reads or writes books.
gc.set_threshold(50_000, 10, 10)

collect_ignore = ["office_session.py"]  # run by the office's own Python, which has uno

_REASON = "LibreOffice (soffice) is not installed; REQUIRE_OFFICE=1 makes this a failure"


# Functions that tests invent leave the catalogue again: the books and add-ins of other tests are made from it.
def pytest_collection_finish() -> None:
    _forget_invented()
    gc.collect()
    gc.freeze()  # the tests themselves stay to the end


def pytest_runtest_teardown(item: pytest.Item, nextitem: pytest.Item | None) -> None:
    _forget_invented()
    module = getattr(item, "module", None)
    if module is not None and getattr(nextitem, "module", None) is not module:
        _let_go(module)


def _let_go(module: ModuleType) -> None:
    """What a module kept for its own tests: what lives on is looked through again and again by whatever collects rubbish."""
    for kept in vars(module).values():
        if hasattr(kept, "cache_clear") and getattr(kept, "__module__", "") == module.__name__:
            kept.cache_clear()


def _forget_invented() -> None:
    for name, function in list(named._CATALOGUE.items()):
        if not function.body.__module__.startswith("hydrocalc."):
            del named._CATALOGUE[name]


def pytest_runtest_setup(item: pytest.Item) -> None:
    if item.get_closest_marker("office") and engines.soffice() is None:
        if engines.office_required():
            pytest.fail("LibreOffice (soffice) is not installed, and REQUIRE_OFFICE=1", pytrace=False)
        pytest.skip(_REASON)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    skipped = [r for r in terminalreporter.stats.get("skipped", []) if "office" in getattr(r, "keywords", {})]
    if skipped:
        terminalreporter.write_line(f"{len(skipped)} office tests skipped: {_REASON}")
        for report in skipped:
            terminalreporter.write_line(f"  {report.nodeid}")
