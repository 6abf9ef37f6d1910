"""The house rules that a reader relies on, checked over the syntax trees. Each tells every module that breaks it."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator
from graphlib import TopologicalSorter
from pathlib import Path

from tests.syntax import nodes, tree

TESTS = Path(__file__).parent
PACKAGE = TESTS.parent / "posekit"
MODULES = sorted(PACKAGE.rglob("*.py"))

# Imports go down only. A part may import itself and what stands on a later line.
FLOOR = (
    ("command",),
    ("cli",),
    ("serve",),
    ("bridge",),
    ("report",),
    ("gltf", "pipeline"),
    ("authoring",),
    ("exchange",),
    ("statics",),
    ("output", "motion", "clearance"),
    ("mechanism", "stream"),
    ("signal",),
    ("prop",),
    ("linkage", "shape", "toml"),
    ("paths", "textfile", "transforms"),
    ("fields", "errors"),
    ("text", "chance"),
    ("arrays", "budgets", "kinds", "later", "stepwise", "interrupt"),
)
FLOOR_OF = {part: floor for floor, parts in enumerate(FLOOR) for part in parts}
OPENERS = {"paths.py", "prop/reader.py", "prop/writer.py", "signal/snapshot.py"}
OPENING = {"open", "read_bytes", "read_text", "write_bytes", "write_text", "mkstemp", "fdopen"}
HEAVY = {"trimesh", "pygltflib", "click", "rich", "coacd", "dpkt", "distributed", "dask"}
HEAVY |= {"uvicorn", "starlette", "anyio", "h11", "collada", "cascadio", "fast_simplification"}
NEVER_IN_CORE = {"scipy", "socket", "multiprocessing", "subprocess", "threading", "click", "rich"}
LINES = 300
EDGE = ("cli", "serve")


def name_of(module: Path) -> str:
    return module.relative_to(PACKAGE).as_posix()


def part_of(module: Path) -> str:
    return name_of(module).split("/")[0].removesuffix(".py")


def core() -> list[Path]:
    return [module for module in MODULES if part_of(module) not in EDGE]


def imported(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom) and node.module:
        yield from (f"{node.module}.{alias.name}" for alias in node.names)


def all_imported(module: Path) -> set[str]:
    return {name for node in nodes(module) for name in imported(node)}


def in_package(names: Iterable[str]) -> set[str]:
    return {name.split(".")[1] for name in names if name.startswith("posekit.")}


def test_the_synthesis_of_linkages_knows_no_prop() -> None:
    for module in MODULES:
        if name_of(module).startswith("authoring/synthesis/"):
            known = {name.split(".")[1] for name in all_imported(module) if name.startswith("posekit.")}
            assert known <= {"arrays", "authoring", "fields", "linkage", "stepwise", "text", "transforms"}, (
                name_of(module)
            )


def test_imports_go_down_only() -> None:
    # Two parts of one floor may lean on each other only where it is said here.
    allowed = {"gltf": {"pipeline"}}
    upward = {}
    for module in MODULES:
        part = part_of(module)
        if part not in ("__init__", "__main__"):
            used = in_package(all_imported(module)) - {part, "__version__"} - allowed.get(part, set())
            upward[name_of(module)] = {name for name in used if FLOOR_OF[name] <= FLOOR_OF[part]}
    assert {name: used for name, used in upward.items() if used} == {}


def test_no_module_leans_on_itself_by_way_of_others() -> None:
    """Imports within functions count, too: put off until then, they hide a circle and do not break it."""
    dotted = {
        "posekit." + name_of(m).removesuffix(".py").replace("/", ".").removesuffix(".__init__"): m
        for m in MODULES
    }
    leans_on = {
        name: {whole if whole in dotted else whole.rpartition(".")[0] for whole in all_imported(module)}
        - {name}
        for name, module in dotted.items()
    }
    TopologicalSorter(leans_on).prepare()  # raises CycleError, with the circle


def test_every_part_of_the_package_has_its_floor() -> None:
    parts = {part_of(module) for module in MODULES} - {"__init__", "__main__"}
    assert parts == set(FLOOR_OF)


def test_files_are_opened_only_at_the_edges() -> None:
    opening = {}
    for module in core():
        calls = [node.func for node in nodes(module) if isinstance(node, ast.Call)]
        names = {f.id for f in calls if isinstance(f, ast.Name)}
        names |= {f.attr for f in calls if isinstance(f, ast.Attribute)}
        opening[name_of(module)] = names & OPENING
    assert {name for name, found in opening.items() if found} - OPENERS == set()


def test_a_file_is_read_through_the_one_function_that_keeps_budgets_and_refuses_devices() -> None:
    """The command line and the server, too; last_resort writes down a fault of ours, show opens a browser,
    apart has a place to throw away what is printed."""
    reading = {"open", "read_bytes", "read_text"}
    called = {}
    for module in MODULES:
        calls = [node.func for node in nodes(module) if isinstance(node, ast.Call)]
        called[name_of(module)] = {f.id for f in calls if isinstance(f, ast.Name)} & reading
        called[name_of(module)] |= {f.attr for f in calls if isinstance(f, ast.Attribute)} & reading
    assert {name for name, found in called.items() if found} == {
        "paths.py",
        "cli/apart.py",
        "cli/last_resort.py",
        "cli/show.py",
    }


def test_every_budget_is_kept_somewhere() -> None:
    stated = {
        target.id
        for node in tree(PACKAGE / "budgets.py").body
        if isinstance(node, ast.Assign)
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    others = [module.read_text() for module in MODULES if module.name != "budgets.py"]
    page = [file.read_text() for file in (PACKAGE.parent / "web" / "src").rglob("*.ts")]
    elsewhere = "\n".join([*others, *(text for text in page if "export const BUDGETS" not in text)])
    unkept = {name for name in stated if not re.search(rf"\b{name}\b", elsewhere)}
    assert unkept == set()


def test_only_the_command_line_prints_and_the_core_needs_no_system() -> None:
    printing = {
        name_of(module)
        for module in core()
        for node in nodes(module)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    }
    assert printing == set()
    roots = {name_of(module): {name.split(".")[0] for name in all_imported(module)} for module in core()}
    assert {name: found & NEVER_IN_CORE for name, found in roots.items() if found & NEVER_IN_CORE} == {}


def test_what_is_slow_to_import_is_imported_where_it_is_needed() -> None:
    slow = {}
    for module in core():
        at_import = [node for node in tree(module).body if isinstance(node, (ast.Import, ast.ImportFrom))]
        slow[name_of(module)] = {name.split(".")[0] for node in at_import for name in imported(node)} & HEAVY
    assert {name: found for name, found in slow.items() if found} == {}


def test_every_while_says_why_it_ends() -> None:
    """In the comment above it, `# Ends: why`: by what is taken out, counted or cut smaller, not by what is computed."""
    silent = []
    for module in MODULES:
        lines = module.read_text().splitlines()
        for node in nodes(module):
            if isinstance(node, ast.While):
                above = node.lineno - 2
                # The reason may take several lines.
                while lines[above].lstrip().startswith("#") and "# Ends: " not in lines[above]:
                    above -= 1
                if not lines[above].lstrip().startswith("# Ends: "):
                    silent.append(f"{name_of(module)}:{node.lineno}")
    assert silent == []


def test_no_function_of_numbers_calls_itself() -> None:
    """What calls itself ends by what it is called with, and not before Python's stack does."""
    of_numbers = ("shape", "linkage", "mechanism", "clearance", "motion")
    calling = set()
    for module in (module for module in MODULES if part_of(module) in of_numbers):
        classes = [node for node in nodes(module) if isinstance(node, ast.ClassDef)]
        methods = {id(node) for each in classes for node in each.body}
        for node in nodes(module):
            if isinstance(node, ast.FunctionDef) and id(node) not in methods:
                calls = [each.func for each in ast.walk(node) if isinstance(each, ast.Call)]
                if node.name in {called.id for called in calls if isinstance(called, ast.Name)}:
                    calling.add(f"{name_of(module)}: {node.name}")
    assert calling == set()


def test_a_function_that_only_its_own_module_uses_begins_with_an_underscore() -> None:
    """And one that others use does not: so a reader knows from its name how far a change of it reaches."""
    files = [*MODULES, *TESTS.rglob("*.py"), *(PACKAGE.parent / "models").rglob("*.py")]
    used = Counter(name for file in files for name in named(file))
    by_the_page = {"zipped"}
    wrong = set()
    for module in MODULES:
        own = named(module)
        for node in tree(module).body:
            if isinstance(node, ast.FunctionDef) and not node.decorator_list and node.name not in by_the_page:
                names = {(module.stem, node.name), (module.parent.name, node.name)}
                elsewhere = any(used[name] > (name in own) for name in names)
                if node.name.startswith("_") == elsewhere:
                    wrong.add(f"{name_of(module)}: {node.name}")
    assert wrong == set()


def named(file: Path) -> set[tuple[str, str]]:
    """What a file takes from modules: the last name of the module, and the name in it."""
    found = set()
    for node in nodes(file):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {(node.module.rpartition(".")[2], alias.name) for alias in node.names}
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name | ast.Attribute):
            holder = node.value.id if isinstance(node.value, ast.Name) else node.value.attr
            found.add((holder, node.attr))
    return found


def test_a_module_fits_on_a_few_pages() -> None:
    """At most LINES lines, but for those that say here why not."""
    long = {name_of(module): len(module.read_text().splitlines()) for module in MODULES}
    reasons = {"prop/rules.py": "what must hold between the parts of a prop is looked up in one place"}
    assert {name: lines for name, lines in long.items() if lines > LINES and name not in reasons} == {}
    assert [name for name in reasons if long[name] <= LINES] == []


def test_a_module_says_what_it_is_for() -> None:
    assert [name_of(module) for module in MODULES if not ast.get_docstring(tree(module))] == []


def test_what_is_public_says_what_it_does() -> None:
    silent = [
        f"{name_of(module)}: {node.name}"
        for module in MODULES
        for node in tree(module).body
        if isinstance(node, (ast.FunctionDef, ast.ClassDef))
        and not node.name.startswith("_")
        and not ast.get_docstring(node)
    ]
    assert silent == []


def test_the_map_of_a_part_lists_its_modules_in_an_order_to_read_them_in() -> None:
    """Each once, and after those that it builds on."""
    for part in ("clearance", "motion", "stream"):
        folder = PACKAGE / part
        listed = ast.get_docstring(tree(folder / "__init__.py")) or ""
        modules = {module.stem for module in folder.glob("*.py")} - {"__init__"}
        # A line is the module and what it is, perhaps with a heading before; columns are apart by two spaces or more.
        columns = [re.split(r"  +", line) for line in listed.splitlines() if line.startswith("    ")]
        order = [words[-2] for words in columns]
        assert sorted(order) == sorted(modules), part
        for module in modules:
            used = [name for node in nodes(folder / f"{module}.py") for name in imported(node)]
            inside = {name.split(".")[2] for name in used if name.startswith(f"posekit.{part}.")} & modules
            assert all(order.index(name) < order.index(module) for name in inside), module


def test_what_the_package_imports_from_outside_is_a_dependency_of_it() -> None:
    """One that only the tests have would be missing where posekit is installed."""
    project = tomllib.loads((PACKAGE.parent / "pyproject.toml").read_text())["project"]
    extras = [
        name for extra, names in project["optional-dependencies"].items() if extra != "test" for name in names
    ]
    declared = {
        re.split(r"[^a-z0-9-]", name)[0].replace("-", "_") for name in [*project["dependencies"], *extras]
    }
    named_otherwise = {"collada": "pycollada", "PIL": "pillow"}
    used = {named_otherwise.get(root, root) for module in MODULES for root in roots_of(module)}
    assert used - declared - set(sys.stdlib_module_names) - {"posekit", "__future__"} == set()


def roots_of(module: Path) -> set[str]:
    return {name.split(".")[0] for name in all_imported(module)}
