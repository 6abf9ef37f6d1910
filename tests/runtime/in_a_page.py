"""What of the core's own tests runs under Pyodide, too; `pytest -p tests.runtime.in_a_page` leaves out the rest there.

What can differ there is NumPy's build, integers of 32 bits, the sines of another C library, files in memory and what
is missing (threads, processes, compiled libraries). What reckons or writes is tried in full, with few seeds; what puts
words, tables and documents together is the same in every Python, and comes in by the first test of each file: so every
module is imported there and its door opened.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
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

# Folders and files of which every test runs there: they reckon, or write.
IN_FULL = (
    "authoring/test_surface.py",
    "clearance/",
    "laws/",
    "linkage/",
    "mechanism/",
    "motion/",
    "output/",
    "prop/",
    "reference/",
    "shape/",
    "signal/",
    "statics/",
    "stream/",
)
SEEDS = 2  # of a search: the native run tries them all

# Long work made of parts that are tried there one by one, or that the tests of the page have the page do: here it adds
# minutes and finds what the native run has found. Single tests of that kind are marked `native`.
NATIVE_IS_ENOUGH = {
    "authoring/synthesis/test_loosened.py": "searches made of the linkages, each of which is tried there",
    "authoring/test_movement.py": "likewise",
    "bridge/test_note_desk.py": "the page takes notes and compares looks in web/test_page_notes.py",
    "bridge/test_search_desk.py": "the page searches in web/test_page_linkages.py",
    "clearance/test_cells.py": "loops over distances and lever bounds, which are tried there",
    "clearance/test_fixes.py": "likewise",
    "clearance/test_looks.py": "counts what is done between two looks at the clock, which is the same in every Python",
    "clearance/test_margin.py": "loops over distances and lever bounds, which are tried there",
    "clearance/test_moves.py": "likewise",
    "clearance/test_pieces.py": "pieces are cut natively; that a page judges them is tried with the demo props",
    "clearance/test_safe_range.py": "loops over distances and lever bounds, which are tried there",
    "clearance/test_slices.py": "likewise",
    "motion/test_demo_shows.py": "asks for what the demo props are like",
    "prop/test_growth.py": "counts lines run, which are the same in every Python",
    "report/test_cards.py": "the page makes cards in web/test_page_sheets.py",
    "report/test_director.py": "the page makes the file in web/test_director_file.py, where it is compared",
    "report/test_pictures.py": "the page makes them in web/test_page_sheets.py, of drawings that are tried there",
    "stream/test_growth.py": "counts lines run, which are the same in every Python",
}


def looked_at(file: Path, *, helper: bool) -> Iterator[ast.AST]:
    """What is run there of a file: all of a test file but `native` tests; of a helper what is run by its import.

    What a test asks of a helper beyond that is not in the page: that test is `native`.
    """
    for statement in ast.parse(file.read_text()).body:
        apart = isinstance(statement, ast.FunctionDef)
        native = apart and any("mark.native" in ast.unparse(each) for each in statement.decorator_list)
        if not native and not (apart and helper):
            yield from ast.walk(statement)


def imports_of(file: Path, *, helper: bool = False) -> set[str]:
    """Dotted names of all modules that a file imports, and of those that its helpers among the tests import."""
    names: set[str] = set()
    for node in looked_at(file, helper=helper):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Call) and ast.unparse(node.func) == "pytest.importorskip":
            names.add(ast.literal_eval(node.args[0]))
    helpers = {ROOT / f"{name.replace('.', '/')}.py" for name in names if name.startswith("tests.")} - {file}
    return names.union(*(imports_of(each, helper=True) for each in helpers if each.is_file()))


def runs_in_a_page(file: Path) -> bool:
    if re.search(r"^pytestmark = .*native", file.read_text(), re.MULTILINE):
        return False
    names = imports_of(file)
    foreign = {name.split(".")[0] for name in names} - IN_A_PAGE - sys.stdlib_module_names
    refused = any(name == bad or name.startswith(f"{bad}.") for name in names for bad in NOT_IN_A_PAGE)
    return not foreign and not refused


def core_tests() -> list[str]:
    """Test files that need nothing which a page has not."""
    files = {str(file.relative_to(TESTS)): file for file in sorted(TESTS.rglob("test_*.py"))}
    assert set(files) >= set(NATIVE_IS_ENOUGH), "names a file that is not there"
    assert all(any(name.startswith(place) for name in files) for place in IN_FULL), "names what is not there"
    chosen = (file for name, file in files.items() if name not in NATIVE_IS_ENOUGH)
    return [
        str(file.relative_to(ROOT))
        for file in chosen
        if file.parent.name not in ("web", "runtime") and runs_in_a_page(file)
    ]


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leaves out what need not run there, when marks have been looked at."""
    opened: set[Path] = set()
    kept, left = [], []
    for item in items:
        in_full = str(item.path.relative_to(TESTS)).startswith(IN_FULL)
        runs = not later_seed(item) if in_full else item.path not in opened
        opened.add(item.path)
        (kept if runs else left).append(item)
    config.hook.pytest_deselected(items=left)
    items[:] = kept


def later_seed(item: pytest.Item) -> bool:
    """One of the seeds of a search behind the first few."""
    given = getattr(item, "callspec", None)
    return given is not None and given.indices.get("seed", 0) >= SEEDS
