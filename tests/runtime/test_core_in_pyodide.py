"""The core's own unit tests under Pyodide, on the archives that a page fetches: the shipped core is the tested core."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from runtime.fetch import fetch_pure

from tests.runtime.conftest import ROOT, WEB, Built
from tests.runtime.in_a_page import TESTS, core_tests

HERE = Path(__file__).parent


@pytest.mark.timeout(1200)
def test_the_core_passes_its_own_tests_in_the_python_of_the_page(built: Built) -> None:
    wheels = WEB / ".cache" / "test-wheels"
    fetch_pure(wheels, HERE / "wheels.txt")
    ini = str((HERE / "pyodide.ini").relative_to(ROOT))
    flags = [
        "-c",
        ini,
        "--rootdir=.",
        "--confcutdir=.",
        "--import-mode=importlib",
        "-q",
        "--assert=plain",  # to rewrite what is asserted takes minutes there; the native run tells what was compared
        "-p",
        "no:cacheprovider",
        "-p",
        "tests.runtime.in_a_page",
    ]
    chosen = ["-m", "not native and not page and not long", *core_tests()]
    command = [built.node, str(HERE / "core_in_pyodide.mjs"), str(ROOT), str(built.runtime), str(wheels)]
    done = subprocess.run([*command, *flags, *chosen], capture_output=True, text=True)
    told = done.stdout[-8000:] + done.stderr[-2000:]
    assert done.returncode == 0, told
    passed = re.search(r"(\d+) passed", done.stdout)
    assert passed and int(passed[1]) > 1000, told


def test_what_asks_whether_it_is_in_a_page_is_run_in_one() -> None:
    """A helper that comes to import a compiled library would take the tests that use it out of the page unheard."""
    asks = [
        str(file.relative_to(ROOT))
        for file in TESTS.rglob("test_*.py")
        if "if IN_A_PAGE" in file.read_text() and file != Path(__file__)
    ]
    assert asks and set(asks) <= set(core_tests())


def test_each_part_of_the_core_is_tried_there() -> None:
    apart = {"cli", "serve"}  # no page has them
    by_others = {"shape"}  # its files are tried in processes of their own, its forms by whoever measures them
    parts = {file.parent.name for file in (ROOT / "posekit").glob("*/__init__.py")} - apart - by_others
    assert parts <= {Path(name).parts[1] for name in core_tests()}
