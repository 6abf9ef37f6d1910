"""The page's side of the door."""

from __future__ import annotations

from tests.runtime.conftest import Built


def test_requests_are_kept_in_order_dropped_when_stale_and_answered_after_a_crash(built: Built) -> None:
    # Node ends with a status of its own where a test fails, and `run` asserts that it does not.
    report = built.run("engine.test.mjs")
    assert "# fail 0" in report and "# pass 9" in report
