"""The house rules that a reader relies on, checked over the syntax trees."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "posekit"
MODULES = sorted(PACKAGE.rglob("*.py"))

# Imports go down only. A part may import itself and what stands on a later line.
FLOOR = (
    ("cli", "bridge"),
    ("gltf", "maps", "moves", "pipeline"),
    ("output", "motion", "clearance"),
    ("mechanism",),
    ("signal",),
    ("prop",),
    ("linkage",),
    ("text", "transforms"),
    ("fields", "errors"),
)
FLOOR_OF = {part: floor for floor, parts in enumerate(FLOOR) for part in parts}
OPENERS = {"prop/reader.py", "prop/writer.py", "signal/snapshot.py"}
OPENING = {"open", "read_bytes", "read_text", "write_bytes", "write_text", "mkstemp", "fdopen"}
HEAVY = {"trimesh", "pygltflib", "tomlkit", "click", "rich", "coacd", "dpkt", "distributed", "dask"}
NEVER_IN_CORE = {"scipy", "socket", "multiprocessing", "subprocess", "threading", "click", "rich"}
EDGE = ("cli",)


def tree(module: Path) -> ast.Module:
    return ast.parse(module.read_text())


def name_of(module: Path) -> str:
    return module.relative_to(PACKAGE).as_posix()


def part_of(module: Path) -> str:
    return name_of(module).split("/")[0].removesuffix(".py")


def imported(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom) and node.module:
        yield from (f"{node.module}.{alias.name}" for alias in node.names)


def in_package(names: Iterator[str]) -> set[str]:
    return {name.split(".")[1] for name in names if name.startswith("posekit.")}


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_imports_go_down_only(module: Path) -> None:
    part = part_of(module)
    if part == "__init__":
        return
    used = in_package(name for node in ast.walk(tree(module)) for name in imported(node))
    used.discard("__version__")
    upward = {name for name in used if name != part and FLOOR_OF[name] <= FLOOR_OF[part]}
    # Two parts of one floor may lean on each other only where it is said here.
    allowed = {"cli": {"bridge"}, "gltf": {"pipeline"}}
    assert upward <= allowed.get(part, set())


def test_every_part_of_the_package_has_its_floor() -> None:
    parts = {part_of(module) for module in MODULES} - {"__init__"}
    assert parts == set(FLOOR_OF)


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_files_are_opened_only_at_the_edges(module: Path) -> None:
    if part_of(module) in EDGE or name_of(module) in OPENERS:
        return
    calls = [node.func for node in ast.walk(tree(module)) if isinstance(node, ast.Call)]
    names = {
        f.id if isinstance(f, ast.Name) else f.attr for f in calls if isinstance(f, (ast.Name, ast.Attribute))
    }
    assert not names & OPENING


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_only_the_command_line_prints_and_the_core_needs_no_system(module: Path) -> None:
    if part_of(module) in EDGE:
        return
    nodes = list(ast.walk(tree(module)))
    assert not [
        n for n in nodes if isinstance(n, ast.Call) and isinstance(n.func, ast.Name) and n.func.id == "print"
    ]
    roots = {name.split(".")[0] for node in nodes for name in imported(node)}
    assert not roots & NEVER_IN_CORE


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_what_is_slow_to_import_is_imported_where_it_is_needed(module: Path) -> None:
    if part_of(module) in EDGE:
        return
    at_import = [node for node in tree(module).body if isinstance(node, (ast.Import, ast.ImportFrom))]
    assert not {name.split(".")[0] for node in at_import for name in imported(node)} & HEAVY


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_a_module_says_what_it_is_for(module: Path) -> None:
    assert ast.get_docstring(tree(module))


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_what_is_public_says_what_it_does(module: Path) -> None:
    body = tree(module).body
    public = [
        n for n in body if isinstance(n, (ast.FunctionDef, ast.ClassDef)) and not n.name.startswith("_")
    ]
    assert [node.name for node in public if not ast.get_docstring(node)] == []


def test_the_map_of_clearance_lists_its_modules_in_an_order_to_read_them_in() -> None:
    """Each once, and after those that it builds on."""
    folder = PACKAGE / "clearance"
    listed = ast.get_docstring(tree(folder / "__init__.py")) or ""
    modules = {module.stem for module in folder.glob("*.py")} - {"__init__"}
    order = [word for line in listed.splitlines()[3:] for word in line[24:].split()[:1]]
    assert sorted(order) == sorted(modules)
    for module in modules:
        used = [name for node in ast.walk(tree(folder / f"{module}.py")) for name in imported(node)]
        inside = {name.split(".")[2] for name in used if name.startswith("posekit.clearance.")} & modules
        assert all(order.index(name) < order.index(module) for name in inside), module
