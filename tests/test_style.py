"""The linter, the formatter and the type checker find nothing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.mark.native
@pytest.mark.timeout(900)  # types of a fresh clone take 40 s of processor time, which others want, too
@pytest.mark.parametrize("command", ["ruff check", "ruff format --check", "mypy"])
def test_code_is_clean(command: str) -> None:
    checked = subprocess.run(
        [sys.executable, "-m", *command.split()], cwd=ROOT, capture_output=True, text=True
    )
    assert checked.returncode == 0, checked.stdout + checked.stderr
