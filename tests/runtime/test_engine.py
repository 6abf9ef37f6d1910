"""The page's side of the door."""

from __future__ import annotations

import subprocess

import pytest

from tests.runtime.conftest import WEB, Built


def test_requests_are_kept_in_order_dropped_when_stale_and_answered_after_a_crash(built: Built) -> None:
    # Node ends with a status of its own where a test fails, and `run` asserts that it does not.
    report = built.run("engine.test.mjs")
    assert "# fail 0" in report and "# pass 13" in report


@pytest.mark.parametrize("project", ["tsconfig.json", "tsconfig.worker.json"])
def test_the_types_of_the_page_hold(built: Built, project: str) -> None:
    compiler = WEB / "node_modules" / "typescript" / "bin" / "tsc"
    checked = subprocess.run(
        [built.node, str(compiler), "--noEmit", "--project", project], cwd=WEB, capture_output=True, text=True
    )
    assert checked.returncode == 0, checked.stdout
