"""Office tests run where LibreOffice is; elsewhere they are skipped and named, unless REQUIRE_OFFICE=1 makes them fail."""

from __future__ import annotations

import engines
import pytest

collect_ignore = ["office_session.py"]  # run by the office's own Python, which has uno

_REASON = "LibreOffice (soffice) is not installed; REQUIRE_OFFICE=1 makes this a failure"


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
