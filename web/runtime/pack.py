"""Make wheels small and quick to start; runs inside Pyodide, because bytecode must come from the same Python.

Each archive holds compiled modules in place of their sources, and nothing a running page does not need.
"""

from __future__ import annotations

import ast
import dataclasses
import importlib._bootstrap_external as bootstrap
import importlib.util
import io
import marshal
import re
import sys
import zipfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from runtime.ahead import MADE

Entry = tuple[str, bytes]
AHEAD = Path(__file__).with_name("ahead.py")

# What only builds, tests, documents or types a package.
UNUSED = re.compile(
    r"""
    (^|/)tests?/ | (^|/)conftest\.py$ | \.(pyi|pxd|h|c|a|lib|txt|ini|build|md|json5)$ | (^|/)py\.typed$
    | ^numpy/(f2py|distutils|_pyinstaller|doc)/ | ^numpy/_core/(include|lib)/ | ^numpy/typing/mypy_plugin
    | /_(multiarray|umath|rational|operand_flag|struct_ufunc)_tests\. | /_simd\.
    | \.dist-info/(?!METADATA$) | \.data/scripts/ | ^bin/
    """,
    re.VERBOSE,
)
# Parts of the core that a page has no use for: its command line, its server, and the page itself.
NOT_IN_A_PAGE = re.compile(r"^posekit/(cli|page|serve)/")

# Modules of the standard library that no import of the core or its packages comes by; they are one archive of
# their own, for the day one does.
SELDOM = re.compile(
    r"""^(
    _pydatetime|_pydecimal|_pyio|_pyrepl|_strptime|antigravity|argparse|bdb|calendar|cmd|code|codeop|colorsys
    |compileall|configparser|cProfile|dbm|doctest|email|filecmp|fileinput|fractions|ftplib|getpass|graphlib
    |html|http|imaplib|lzma|mailbox|mimetypes|modulefinder|multiprocessing|netrc|optparse|pdb|pickletools|plistlib
    |poplib|pprint|profile|pstats|py_compile|pyclbr|pydoc|quopri|rlcompleter|sched|shelve|smtplib|socketserver
    |sqlite3|ssl|statistics|stringprep|symtable|tabnanny|tarfile|this|timeit|trace|tracemalloc|tty|pty|unittest
    |wave|webbrowser|wsgiref|xml|xmlrpc|zipapp|zoneinfo
    )(/|\.py$)""",
    re.VERBOSE,
)
# Text encodings that no file posekit reads may have: it takes UTF-8.
OLD_ENCODINGS = re.compile(
    r"^encodings/(cp(?!437|1252)|mac_|iso8859_(?!1\.|15)|iso2022|koi8|kz1048|ptcp154|hp_roman8|tis_620|palmos"
    r"|big5|gb|hz|euc|shift|johab)"
)

DOCUMENTED = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
NOT_CLASSES = (ast.Module, ast.FunctionDef, ast.AsyncFunctionDef)


def wheels(paths: Iterable[str], but_not: str = "") -> bytes:
    """One archive of these wheels, without the files whose name matches `but_not`."""
    dropped = re.compile(but_not) if but_not else None
    return archive(_of_wheels(paths, lambda name: not (dropped and dropped.search(name))))


def rest(paths: Iterable[str], but_not: str) -> bytes:
    """One archive of what `wheels` left out."""
    dropped = re.compile(but_not)
    return archive(_of_wheels(paths, lambda name: bool(dropped.search(name))))


def standard_library(path: str) -> bytes:
    """Pyodide's standard library, without what is asked for seldom."""
    return archive(
        entry for entry in _inside(path) if not (SELDOM.match(entry[0]) or OLD_ENCODINGS.match(entry[0]))
    )


def standard_library_rest(path: str) -> tuple[list[str], bytes]:
    """The modules asked for seldom: their names, and one archive of them all."""
    seldom = [entry for entry in _inside(path) if SELDOM.match(entry[0])]
    names = sorted({re.split(r"[/.]", name)[0] for name, _ in seldom})
    return names, archive(seldom)


def core(folder: str) -> bytes:
    """posekit itself, from its source folder, and what `ahead.py` uses of it."""
    root = Path(folder)
    found = (
        (f"posekit/{path.relative_to(root).as_posix()}", path.read_bytes())
        for path in sorted(root.rglob("*.py"))
    )
    modules = [entry for entry in found if not NOT_IN_A_PAGE.search(entry[0])]
    return archive(
        [(AHEAD.name, AHEAD.read_bytes()), *modules, (MADE, generated(root.parent))],
        NOT_CLASSES,  # what a class is for stands in its docstring, and that is shown
    )


def generated(folder: Path) -> bytes:
    """The code of all methods that `dataclasses` writes for the core, by their text. NumPy must be there."""
    made: dict[str, bytes] = {}

    def kept(text: str, *names: dict[str, Any]) -> None:
        code = compile(text, "<string>", "exec", dont_inherit=True)
        made[text] = marshal.dumps(code)
        exec(code, *names)

    dataclasses.exec = kept  # type: ignore[attr-defined]  # a name of a module comes before the built-in one
    sys.dont_write_bytecode = True
    sys.path.insert(0, str(folder))
    for module in ("posekit.bridge.workbench", "posekit.bridge.desks", "posekit.bridge"):
        importlib.import_module(module)
    for desk in sys.modules["posekit.bridge.desks"].desks():
        assert desk
    del dataclasses.exec  # type: ignore[attr-defined]
    return marshal.dumps(made)


def archive(entries: Iterable[Entry], blank: tuple[type[ast.AST], ...] = DOCUMENTED) -> bytes:
    """A zip of these files, without the docstrings of what is to be `blank`.

    It is left to the transport to compress it, which does that better and once.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as file:
        for name, data in entries:
            if name.endswith(".py"):
                name, data = f"{name}c", bytecode(name, data, blank)
            # One date for all, so that the same input makes the same bytes and the same name.
            file.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data)
    return out.getvalue()


def bytecode(name: str, source: bytes, blank: tuple[type[ast.AST], ...]) -> bytes:
    """A compiled module that is taken without a look at its source (PEP 552, unchecked hash)."""
    tree = ast.parse(source, name)
    blank_docstrings(tree, blank)
    code = compile(tree, name, "exec", dont_inherit=True, optimize=0)
    return bytes(bootstrap._code_to_hash_pyc(code, importlib.util.source_hash(source), False))


def blank_docstrings(tree: ast.AST, of: tuple[type[ast.AST], ...]) -> None:
    """Empty the docstrings of these. None at all, as `python -OO` leaves, is more than NumPy can take."""
    waiting = [tree]
    # Ends: every statement is taken out once. What they are made of has none, and is ten times as much.
    while waiting:
        node = waiting.pop()
        if isinstance(node, of) and ast.get_docstring(node, clean=False) is not None:
            first = node.body[0]
            assert isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
            first.value.value = ""
        for block in ("body", "handlers", "orelse", "finalbody", "cases"):
            waiting += getattr(node, block, ())


def _of_wheels(paths: Iterable[str], wanted: Callable[[str], bool]) -> Iterator[Entry]:
    for path in paths:
        for name, data in _inside(path):
            if wanted(name) and not UNUSED.search(name):
                yield name, data


def _inside(path: str) -> Iterator[Entry]:
    with zipfile.ZipFile(path) as file:
        for name in sorted(file.namelist()):
            if not name.endswith("/"):
                yield name, file.read(name)
