"""What the page runs before it imports anything: modules are taken straight out of the archives that it fetched.

To look for a module among files takes as long as to run it: each question goes through JavaScript. And the methods
that `dataclasses` writes as text, a third of what the core does at its import, were compiled when the page was built.
"""

from __future__ import annotations

import dataclasses
import marshal
import sys
from importlib.machinery import ModuleSpec

TYPE_CHECKING = False  # of typing, which is not loaded yet
if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from types import ModuleType
    from typing import Any

HEAD = 16  # bytes of a .pyc file before its code (PEP 552)
MADE = "made-ahead.bin"


class Archive:
    """Finds and loads the modules of one archive as if its files lay in the folder `root`.

    `places` has of each file where it begins in `content` and how long it is.
    """

    def __init__(self, root: str, content: memoryview, places: Mapping[str, tuple[int, int]]) -> None:
        self.root, self.content, self.places = root, content, places

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """As importlib asks it; None for a module that is not in here."""
        folder = name.replace(".", "/")
        for file, package in ((f"{folder}/__init__.pyc", True), (f"{folder}.pyc", False)):
            if file in self.places:
                spec = ModuleSpec(name, self, origin=f"{self.root}/{file}", is_package=package)
                spec.has_location = True
                if package:
                    spec.submodule_search_locations = [f"{self.root}/{folder}"]
                return spec
        return None

    def create_module(self, spec: ModuleSpec) -> None:
        """An ordinary module."""

    def exec_module(self, module: ModuleType) -> None:
        """Run its code."""
        assert module.__spec__ and module.__spec__.origin
        file = module.__spec__.origin[len(self.root) + 1 :]
        exec(marshal.loads(self.read(file)[HEAD:]), vars(module))

    def read(self, file: str) -> memoryview:
        """The bytes of a file."""
        begin, size = self.places[file]
        return self.content[begin : begin + size]


def take(root: str, content: memoryview, listed: str) -> None:
    """Let modules be found in an archive, and what was made ahead be used.

    `listed` has a line a file, as they lie in `content` one after the other: its name and its size.
    """
    places, begin = {}, 0
    for line in listed.splitlines():
        file, size = line.split()
        places[file] = begin, int(size)
        begin += int(size)
    archive = Archive(root, content, places)
    sys.meta_path.insert(0, archive)
    if MADE in places:
        made = marshal.loads(archive.read(MADE))

        def run(text: str, *names: dict[str, Any]) -> None:
            # What was not met at the build is compiled as ever, with nothing that this module has from the future.
            code = made.get(text)
            exec(
                marshal.loads(code) if code else compile(text, "<string>", "exec", dont_inherit=True), *names
            )

        dataclasses.exec = run  # type: ignore[attr-defined]  # a name of a module comes before the built-in one
