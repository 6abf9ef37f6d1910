"""Names of a package whose modules are imported when they are first named: a command or a page starts the sooner."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def named_later(package: str, places: Mapping[str, tuple[str, str]]) -> Callable[[str], Any]:
    """The `__getattr__` of a package (PEP 562): by name the module below it, and the name in that; "" for all of it."""

    def named(name: str) -> Any:
        if name not in places:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        module, inside = places[name]
        found: Any = import_module(f"{package}.{module}")
        found = getattr(found, inside) if inside else found
        setattr(sys.modules[package], name, found)  # found once; from here on Python asks no more
        return found

    return named
