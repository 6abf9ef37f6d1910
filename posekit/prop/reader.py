"""Reads a prop: a folder, its prop.toml, or a GLB that posekit wrote. One of the few places that open files."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path as FilePath
from typing import Any

from posekit.errors import Finding, PosekitError, error
from posekit.fields import Vector
from posekit.linkage import LINKAGES, Direct
from posekit.prop.glb import prop_files
from posekit.prop.model import (
    Box,
    Capsule,
    Clearance,
    Cylinder,
    Drive,
    Joint,
    Link,
    Mesh,
    Prop,
    Servo,
    Shape,
    Sphere,
    Supply,
)
from posekit.prop.places import Path, dotted, line_of, lines_of_keys
from posekit.prop.rules import broken_rules
from posekit.prop.structure import ABSENT, Problems, build, convert, shown, tell_unknown

PROP_FILE = "prop.toml"
BESIDE = ("meshes", "looks", "shows")  # folders whose files belong to a prop

_TOP = ("format", "name", "supply", "servos", "links", "joints", "drives", "clearance")


def load(path: str | FilePath) -> Prop:
    """The prop in a folder, a prop.toml or a GLB that posekit wrote.

    Raises PosekitError with every problem of the file at once.
    """
    place = place_of(path)
    try:
        content = place.read_bytes()
        if place.suffix.lower() == ".glb":
            return read(prop_files(content, str(place)), str(place))
        return read({PROP_FILE: content, **_files_beside(place.parent)}, str(place))
    except OSError as problem:
        reason = problem.strerror or str(problem)
        hint = "give a prop folder, its prop.toml or a GLB that posekit wrote"
        raise PosekitError(
            [error("unreadable", "", f"cannot be read ({reason}); {hint}", file=str(place))]
        ) from problem


def place_of(path: str | FilePath) -> FilePath:
    """The file meant by a path: the prop.toml of a folder, else the file itself."""
    place = FilePath(path)
    return place / PROP_FILE if place.is_dir() else place


def read(files: Mapping[str, bytes], name: str = PROP_FILE) -> Prop:
    """The prop in `files`: `prop.toml` and what stands beside it, by path from the prop folder.

    `name` is how messages call the prop file. Raises PosekitError with every problem at once.
    """
    if PROP_FILE not in files:
        raise PosekitError([error("unreadable", "", f"there is no {PROP_FILE} in it", file=name)])
    text, data = _parse(files[PROP_FILE], name)
    beside = {path: bytes(content) for path, content in files.items() if path != PROP_FILE}
    problems = Problems()
    prop = _prop(data, text, beside, problems)
    if prop is not ABSENT:
        for path, code, sentence in broken_rules(prop):
            problems.tell(path, code, sentence)
    if problems.found or prop is ABSENT:
        raise PosekitError(placed(problems.found, text, name))
    return prop


def placed(found: list[tuple[Path, str, str]], text: str, name: str) -> list[Finding]:
    """Problems as findings with their lines, in the order of the file."""
    lines = lines_of_keys(text)
    findings = [
        error(code, dotted(path), sentence, file=name, line=line_of(path, lines))
        for path, code, sentence in found
    ]
    return sorted(findings, key=lambda finding: finding.line or 0)


def _files_beside(folder: FilePath) -> dict[str, bytes]:
    return {
        file.relative_to(folder).as_posix(): file.read_bytes()
        for name in BESIDE
        for file in sorted((folder / name).rglob("*"))
        if file.is_file() and not file.name.startswith(".")
    }


def _parse(content: bytes, name: str) -> tuple[str, dict[str, Any]]:
    try:
        text = content.decode("utf-8")
        return text, tomllib.loads(text)
    except UnicodeDecodeError as problem:
        line = content[: problem.start].count(b"\n") + 1
        raise PosekitError(
            [error("not-utf8", "", "is not UTF-8 text; save it as UTF-8", file=name, line=line)]
        ) from problem
    except tomllib.TOMLDecodeError as problem:
        at = re.search(r"line (\d+)", str(problem))
        line = int(at[1]) if at else len(text.splitlines())
        raise PosekitError(
            [error("not-toml", "", f"is not TOML: {problem}", file=name, line=line)]
        ) from problem
    except (RecursionError, ValueError) as problem:
        # tomllib lets these through for absurdly deep nesting and for numbers of thousands of digits.
        raise PosekitError(
            [error("not-toml", "", f"is not TOML that can be read: {problem}", file=name)]
        ) from problem


def _prop(data: dict[str, Any], text: str, files: Mapping[str, bytes], problems: Problems) -> Any:
    tell_unknown(data, dict.fromkeys(_TOP), (), problems)
    if data.get("format") != Prop.format or isinstance(data.get("format"), bool):
        problems.tell(
            ("format",), "wrong-format", f"= {shown(data.get('format', 'missing'))}: use {Prop.format}"
        )
    joints = _named(
        data, "joints", lambda table, path, name: build(Joint, table, path, problems, name=name), problems
    )
    parts = {
        "name": convert(str, data.get("name"), ("name",), problems, {}),
        "supply": build(Supply, data["supply"], ("supply",), problems) if "supply" in data else None,
        "servos": _named(
            data, "servos", lambda table, path, name: build(Servo, table, path, problems, name=name), problems
        ),
        "links": _named(
            data, "links", lambda table, path, name: _link(table, path, name, problems), problems
        ),
        "joints": joints if joints is ABSENT else tuple(joint for joint in joints if joint.type != "fixed"),
        "fixed": joints if joints is ABSENT else tuple(joint for joint in joints if joint.type == "fixed"),
        "drives": _named(
            data, "drives", lambda table, path, name: _drive(table, path, name, problems), problems
        ),
        "clearance": build(Clearance, data.get("clearance", {}), ("clearance",), problems),
    }
    if any(part is ABSENT for part in parts.values()):
        return ABSENT
    return Prop(**parts, text=text, files=files)


def _named(
    data: Mapping[str, Any], key: str, one: Callable[[Any, Path, str], Any], problems: Problems
) -> Any:
    tables = data.get(key, {})
    if not isinstance(tables, Mapping):
        return problems.tell(
            (key,), "wrong-type", f"= {shown(tables)}: tables such as [{key}.name] are needed"
        )
    built = tuple(one(table, (key, name), name) for name, table in tables.items())
    return ABSENT if any(item is ABSENT for item in built) else built


def _link(table: Any, path: Path, name: str, problems: Problems) -> Any:
    if not isinstance(table, Mapping):
        return build(Link, table, path, problems, name=name)
    entries = table.get("shapes", [])
    if not isinstance(entries, list):
        return problems.tell(
            (*path, "shapes"), "wrong-type", f"= {shown(entries)}: [[{dotted(path)}.shapes]] is needed"
        )
    shapes = tuple(_shape(entry, (*path, "shapes", i), problems) for i, entry in enumerate(entries))
    rest = {key: value for key, value in table.items() if key != "shapes"}
    link = build(Link, rest, path, problems, name=name, shapes=shapes)
    return ABSENT if any(shape is ABSENT for shape in shapes) else link


_FORMS = ("box", "sphere", "cylinder", "capsule", "mesh")
_MESH_KEYS = ("scale", "pieces")


def _shape(table: Any, path: Path, problems: Problems) -> Any:
    if not isinstance(table, Mapping):
        return build(Shape, table, path, problems)
    kinds = [kind for kind in _FORMS if kind in table]
    if len(kinds) != 1:
        found = " and ".join(kinds) or "none of them"
        return problems.tell(
            path, "wrong-shape", f"a shape is exactly one of {', '.join(_FORMS)}; found {found}"
        )
    kind = kinds[0]
    form = _form(kind, table, path, problems)
    own = (kind, *_MESH_KEYS) if kind == "mesh" else (kind,)
    rest = {key: value for key, value in table.items() if key not in own}
    shape = build(Shape, rest, path, problems, form=form)
    return ABSENT if form is ABSENT else shape


def _form(kind: str, table: Mapping[str, Any], path: Path, problems: Problems) -> Any:
    value, place = table[kind], (*path, kind)
    if kind == "box":
        size = convert(Vector, value, place, problems, Box.__dataclass_fields__["size"].metadata)
        return size if size is ABSENT else Box(size=size)
    if kind == "mesh":
        keys = {"path": value, **{key: table[key] for key in _MESH_KEYS if key in table}}
        return build(Mesh, keys, path, problems)
    return build({"sphere": Sphere, "cylinder": Cylinder, "capsule": Capsule}[kind], value, place, problems)


def _drive(table: Any, path: Path, name: str, problems: Problems) -> Any:
    if not isinstance(table, Mapping):
        return build(Drive, table, path, problems, name=name)
    linkage = _linkage(table["linkage"], (*path, "linkage"), problems) if "linkage" in table else Direct()
    rest = {key: value for key, value in table.items() if key != "linkage"}
    drive = build(Drive, rest, path, problems, name=name, linkage=linkage)
    return ABSENT if linkage is ABSENT else drive


def _linkage(table: Any, path: Path, problems: Problems) -> Any:
    if not isinstance(table, Mapping):
        return problems.tell(path, "wrong-type", f"= {shown(table)}: a table is needed")
    kind = table.get("type", "direct")
    if not isinstance(kind, str) or kind not in LINKAGES:
        return problems.tell(
            (*path, "type"), "wrong-value", f"= {shown(kind)}: use one of {', '.join(LINKAGES)}"
        )
    rest = {key: value for key, value in table.items() if key != "type"}
    return build(LINKAGES[kind], rest, path, problems)
