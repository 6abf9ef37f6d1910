"""Tells, at the end of a run, why tests failed that were tried once more: pytest itself names them and no reason."""

from __future__ import annotations

import pytest

WIDTH = 400  # signs of a reason: a line, not a page


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """A line for each first failure: the test, the line of the tests that failed, and what was said there."""
    failures = terminalreporter.stats.get("rerun", [])
    if failures:
        terminalreporter.write_sep("=", "failed, and tried once more")
    for report in failures:
        terminalreporter.write_line(f"{report.nodeid} ({report.when}): {reason(report)}")


def reason(report: pytest.TestReport) -> str:
    """Where a test failed and why, in one line."""
    trace = getattr(report.longrepr, "reprtraceback", None)
    if trace is None:  # no exception of the test: what a fixture or the time-out said
        return " ".join(report.longreprtext.split())[-WIDTH:]
    places = [entry.reprfileloc for entry in trace.reprentries if getattr(entry, "reprfileloc", None)]
    ours = [place for place in places if "site-packages" not in place.path] or places
    said = " ".join(report.longrepr.reprcrash.message.split())[:WIDTH]
    return f"{ours[-1].path}:{ours[-1].lineno}: {said}" if ours else said
