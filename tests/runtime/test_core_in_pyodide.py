"""The core's own unit tests under Pyodide, on the archives that a page fetches: the shipped core is the tested core."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest
from runtime.fetch import fetch_pure

from tests.runtime.conftest import ROOT, WEB, Built

HERE = Path(__file__).parent
TESTS = ROOT / "tests"

# A test file runs there if it imports nothing but this and Python's own modules. No list of files is kept: a
# new one takes part by itself.
IN_A_PAGE = {"posekit", "tests", "numpy", "pytest", "hypothesis", "trimesh", "pygltflib", "tomlkit"}
NOT_IN_A_PAGE = {
    "posekit.cli",
    "posekit.serve",
    "ast",  # looks at the sources, of which a page has only the bytecode
    "concurrent",
    "multiprocessing",
    "resource",
    "socket",
    "subprocess",
    "threading",
}

# Long work made of parts that are tried there one by one, or that the tests of the page have the page do: here it adds
# minutes and finds what the native run has found. Single tests of that kind are marked `native`.
NATIVE_IS_ENOUGH = {
    "authoring/synthesis/test_linkages_found.py": "searches made of the linkages, each of which is tried there",
    "authoring/synthesis/test_loosened.py": "likewise",
    "authoring/test_data_sheet.py": "words and numbers of Python's own, which are the same in every Python",
    "authoring/test_measured.py": "the page takes what was measured in web/test_page_bench.py, where it is compared",
    "authoring/test_movement.py": "searches made of the linkages, each of which is tried there",
    "authoring/test_remove.py": "the page removes and renames in web/test_page_parts.py, where it is compared",
    "authoring/test_rename.py": "likewise",
    "bridge/test_linkage_desk.py": "the page draws and pulls in web/test_page_linkages.py, where it is compared",
    "bridge/test_note_desk.py": "the page takes notes and compares looks in web/test_page_notes.py",
    "bridge/test_search_desk.py": "the page searches in web/test_page_linkages.py",
    "clearance/test_cells.py": "loops over distances and lever bounds, which are tried there",
    "clearance/test_fixes.py": "likewise",
    "clearance/test_looks.py": "counts what is done between two looks at the clock, which is the same in every Python",
    "clearance/test_margin.py": "loops over distances and lever bounds, which are tried there",
    "clearance/test_moves.py": "likewise",
    "clearance/test_safe_range.py": "likewise",
    "clearance/test_slices.py": "likewise",
    "motion/test_demo_shows.py": "asks for what the demo props are like",
    "prop/test_growth.py": "counts lines run, which are the same in every Python",
    "report/test_cards.py": "the page makes cards in web/test_page_sheets.py",
    "report/test_director.py": "the page makes the file in web/test_director_file.py, where it is compared",
    "report/test_measured.py": "the page reads a CSV that was filled in in web/test_page_sheets.py",
    "report/test_pictures.py": "the page makes them in web/test_page_sheets.py, of drawings that are tried there",
    "stream/test_growth.py": "counts lines run, which are the same in every Python",
}


def imports_of(file: Path) -> set[str]:
    """Dotted names of all modules that a file imports, and of those that its helpers among the tests import."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Call) and ast.unparse(node.func) == "pytest.importorskip":
            names.add(ast.literal_eval(node.args[0]))
    helpers = {ROOT / f"{name.replace('.', '/')}.py" for name in names if name.startswith("tests.")} - {file}
    return names.union(*(imports_of(helper) for helper in helpers if helper.is_file()))


def runs_in_a_page(file: Path) -> bool:
    names = imports_of(file)
    foreign = {name.split(".")[0] for name in names} - IN_A_PAGE - sys.stdlib_module_names
    refused = any(name == bad or name.startswith(f"{bad}.") for name in names for bad in NOT_IN_A_PAGE)
    return not foreign and not refused


def core_tests() -> list[str]:
    """Test files that need nothing which a page has not."""
    files = {str(file.relative_to(TESTS)): file for file in sorted(TESTS.rglob("test_*.py"))}
    assert set(files) >= set(NATIVE_IS_ENOUGH), "names a file that is not there"
    chosen = (file for name, file in files.items() if name not in NATIVE_IS_ENOUGH)
    return [
        str(file.relative_to(ROOT))
        for file in chosen
        if file.parent.name not in ("web", "runtime") and runs_in_a_page(file)
    ]


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
    ]
    chosen = ["-m", "not native and not page and not long", *core_tests()]
    command = [built.node, str(HERE / "core_in_pyodide.mjs"), str(ROOT), str(built.runtime), str(wheels)]
    done = subprocess.run([*command, *flags, *chosen], capture_output=True, text=True)
    told = done.stdout[-8000:] + done.stderr[-2000:]
    assert done.returncode == 0, told
    passed = re.search(r"(\d+) passed", done.stdout)
    assert passed and int(passed[1]) > 300, told
