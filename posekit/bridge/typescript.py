"""The door's types in TypeScript, read off the annotations.

`python -m posekit.bridge.typescript > web/src/engine/protocol.ts` writes them anew.
"""

from __future__ import annotations

import inspect
import json
import sys
import textwrap
import types
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np
from numpy.typing import NDArray

import posekit
from posekit import budgets, kinds
from posekit.bridge.desks import desks
from posekit.bridge.overtaking import is_in_steps, is_overtaken
from posekit.bridge.workbench import Workbench

HEAD = """\
// Made from posekit/bridge by `python -m posekit.bridge.typescript`; a test fails when the two differ.

export const POSEKIT = "{version}";

/** Flat numbers with the lengths of their axes. */
export interface Floats {{
  readonly data: Float32Array<ArrayBuffer>;
  readonly shape: readonly number[];
}}
"""
# What the page unpacks or reads itself, before it hands anything to Python.
PAGE_BUDGETS = (
    "INFLATED_BYTES",
    "LINK_LETTERS",
    "FOLDER_BYTES",
    "FOLDER_FILES",
    "MEASURED_BYTES",
    "PICTURE_PIXELS",
    "PICTURE_EDGE",
    "PICTURES",
    "NOTES_BYTES",
)
# Of Python 3.12 on, NumPy's name of typed arrays stands for itself.
ARRAYS = (np.ndarray, NDArray)
PLAIN = {
    float: "number",
    int: "number",
    str: "string",
    bool: "boolean",
    bytes: "Uint8Array<ArrayBuffer>",
    Any: "unknown",
    type(None): "null",
}


def protocol() -> str:
    """The whole of web/src/engine/protocol.ts."""
    methods = dict(requests())
    views: dict[str, type] = {}
    for method in methods.values():
        for hint in get_type_hints(method).values():
            _collect(hint, views)
    interfaces = [_interface(view) for view in views.values()]
    head = HEAD.format(version=posekit.__version__)
    return "\n".join([head, _budgets(), _kinds(), *interfaces, _methods(methods), _marked(methods)])


def requests() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Public methods of what stands behind the door, by name, in their order."""
    return (
        (name, member)
        for desk in (Workbench, *desks())
        for name, member in vars(desk).items()
        if not name.startswith("_") and callable(member)
    )


def _budgets() -> str:
    lines = [f"  {name}: {getattr(budgets, name)}," for name in PAGE_BUDGETS]
    comment = "/** The limits of posekit/budgets.py that the page keeps before Python sees anything. */"
    return "\n".join([comment, "export const BUDGETS = {", *lines, "} as const;", ""])


def _kinds() -> str:
    named = ("SNAPSHOTS", "SHOWS", "CAPTURES", "PROPS", "MESHES", "COLOURS", "STEPS", "ASSEMBLIES", "NOTES")
    lines = [f"  {name}: {json.dumps(getattr(kinds, name))}," for name in named]
    comment = "/** The kinds of files by their endings, as in posekit/kinds.py. */"
    return "\n".join(
        [
            comment,
            "export const KINDS = {",
            *lines,
            "} as const satisfies Record<string, readonly string[]>;",
            "",
        ]
    )


def _marked(methods: Mapping[str, Callable[..., Any]]) -> str:
    """What the page has to know of requests to put them in order."""
    return "\n".join(
        [
            "/** Of these only the newest counts; any older one that still waits is dropped. */",
            *_listed("NEWEST_WINS", methods, is_overtaken),
            "/** Asked again and again until they are answered, a short step each time, between which poses go out. */",
            *_listed("IN_STEPS", methods, is_in_steps),
        ]
    )


def _listed(
    name: str, methods: Mapping[str, Callable[..., Any]], marked: Callable[[Callable[..., Any]], bool]
) -> list[str]:
    names = [f'  "{each}",' for each, method in methods.items() if marked(method)]
    return [f"export const {name}: ReadonlySet<keyof Methods> = new Set<keyof Methods>([", *names, "]);", ""]


def _interface(view: type) -> str:
    hints = get_type_hints(view)
    lines = [f"  readonly {field.name}: {_type(hints[field.name])};" for field in fields(view)]
    return "\n".join([_comment(view, ""), f"export interface {view.__name__} {{", *lines, "}", ""])


def _methods(methods: Mapping[str, Callable[..., Any]]) -> str:
    blocks = []
    for name, method in methods.items():
        hints = get_type_hints(method)
        result = _type(hints.pop("return"))
        optional = {p.name for p in inspect.signature(method).parameters.values() if p.default is not p.empty}
        params = "; ".join(f"{key}{'?' * (key in optional)}: {_type(hint)}" for key, hint in hints.items())
        ask = f"{{ {params} }}" if params else "Record<string, never>"
        blocks += [_comment(method, "  "), f"  {name}: {{ params: {ask}; result: {result} }};"]
    return "\n".join(
        ["/** Every request the page can make. */", "export interface Methods {", *blocks, "}", ""]
    )


def _comment(documented: Any, indent: str) -> str:
    lines = inspect.cleandoc(documented.__doc__).splitlines()
    if len(lines) == 1:
        return f"{indent}/** {lines[0]} */"
    body = textwrap.indent("\n".join(lines), f"{indent} * ", lambda line: True)
    return "\n".join([f"{indent}/**", *(line.rstrip() for line in body.splitlines()), f"{indent} */"])


def _collect(hint: Any, views: dict[str, type]) -> None:
    if is_dataclass(hint) and isinstance(hint, type):
        for inner in get_type_hints(hint).values():
            _collect(inner, views)
        views.setdefault(hint.__name__, hint)
    elif get_origin(hint) not in ARRAYS:
        for inner in get_args(hint):
            _collect(inner, views)


def _type(hint: Any) -> str:
    origin, inner = get_origin(hint), get_args(hint)
    if hint in PLAIN:
        return PLAIN[hint]
    if is_dataclass(hint) and isinstance(hint, type):
        return hint.__name__
    if origin in ARRAYS:
        return "Floats"
    if origin is Literal:
        return " | ".join(f'"{choice}"' if isinstance(choice, str) else str(choice) for choice in inner)
    if origin in (Union, types.UnionType):
        return " | ".join(dict.fromkeys(_type(kind) for kind in inner))
    if origin is tuple and inner[-1] is Ellipsis:
        return f"ReadonlyArray<{_type(inner[0])}>"
    if origin is tuple:
        return f"readonly [{', '.join(_type(kind) for kind in inner)}]"
    if origin is Mapping:
        return f"Readonly<Record<string, {_type(inner[1])}>>"
    raise TypeError(f"no TypeScript for {hint!r}")


if __name__ == "__main__":
    sys.stdout.write(protocol())
