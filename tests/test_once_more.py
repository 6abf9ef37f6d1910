"""A test that is tried once more is told with its reason."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

WAVERING = """
import pytest
tried = []

def click(tries):
    tries.append(1)
    if len(tries) == 1:
        raise TimeoutError("waited for 'Save'\\nand nothing came")

@pytest.fixture
def page():
    tried.append(1)
    assert len(tried) != 1, "no page"

@pytest.mark.flaky(reruns=1)
def test_that_wavers(tries=[]):
    click(tries)

@pytest.mark.flaky(reruns=1)
def test_whose_page_wavers(page):
    pass

def test_that_stands():
    pass
"""


@pytest.mark.native
def test_each_first_failure_is_told_in_one_line_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "test_it.py").write_text(WAVERING)
    words = ["-p", "tests.once_more", "-c", os.devnull, "--rootdir", str(tmp_path), "-n", "1"]
    command = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", *words, str(tmp_path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    told = done.stdout.partition("failed, and tried once more")[2].splitlines()
    lines = {line.partition(" ")[0].rpartition("::")[2]: line for line in told if "::" in line}
    assert set(lines) == {"test_that_wavers", "test_whose_page_wavers"}
    assert lines["test_that_wavers"].endswith(
        "test_it.py:8: TimeoutError: waited for 'Save' and nothing came"
    )
    assert "(setup)" in lines["test_whose_page_wavers"] and "test_it.py:13" in lines["test_whose_page_wavers"]
