"""Reads a prop: a folder, its prop.toml, or a GLB that posekit wrote. One of the few places that open files."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields
from functools import partial
from os.path import isdir, lexists
from pathlib import Path as FilePath
from typing import Any

from posekit.budgets import (
    FOLDER_BYTES,
    FOLDER_FILES,
    GLB_BYTES,
    NAME_LETTERS,
    NOTES_BYTES,
    PARTS,
    SHAPES,
    TOML_BYTES,
)
from posekit.errors import PosekitError, error, unreadable
from posekit.fields import types_of
from posekit.linkage import LINKAGES
from posekit.paths import file_inside, files_inside, problems_of, read_within, staying, too_large
from posekit.prop.folder import LOOKS, MESHES, NOTES_FILE, PROP_FILE, SHOWS
from posekit.prop.glb import prop_files
from posekit.prop.model import (
    Clearance,
    Drive,
    Gravity,
    Joint,
    Link,
    Load,
    Prop,
    Receiver,
    Servo,
    Shape,
    Spring,
    Supply,
)
from posekit.prop.rules import broken_rules
from posekit.shape import FORMS
from posekit.textfile import decoded
from posekit.toml.places import Path, dotted
from posekit.toml.reading import tables
from posekit.toml.structure import ABSENT, Problems, as_found, build, convert, tell_unknown
from posekit.toml.told import placed

_NAMED = ("supplies", "servos", "links", "joints", "drives", "loads", "springs")  # tables of tables by name
BELONGS = "it belongs to the prop"
_TOP = ("format", "name", "supply", "receiver", "gravity", *_NAMED, "clearance")


def load(path: str | FilePath) -> Prop:
    """The prop in a folder, a prop.toml or a GLB that posekit wrote.

    Raises PosekitError with every problem of the file at once.
    """
    return read(files_of(path), str(prop_path(path)))


def files_of(path: str | FilePath) -> dict[str, bytes]:
    """The files of a prop by path from its folder, `prop.toml` first, as `load` reads them; nothing is judged yet.

    Raises PosekitError for what cannot be read.
    """
    place = prop_path(path)
    right = "give a prop folder, its prop.toml or a GLB that posekit wrote"
    if place.suffix.lower() == ".glb":
        return prop_files(read_within(place, GLB_BYTES, "a GLB", right), str(place))
    content = read_within(place, TOML_BYTES, "a prop file", right)
    staying(place, place.parent)
    return {PROP_FILE: content, **_files_beside(place.parent)}


def prop_path(path: str | FilePath) -> FilePath:
    """The file meant by a path: the prop.toml of a folder, else the file itself."""
    place = FilePath(path)
    return place / PROP_FILE if isdir(place) else place  # which, unlike place.is_dir(), takes any text


def read(files: Mapping[str, bytes], name: str = PROP_FILE) -> Prop:
    """The prop in `files`: `prop.toml` and what stands beside it, by path from the prop folder.

    `name` is how messages call the prop file. Raises PosekitError with every problem at once.
    """
    if PROP_FILE not in files:
        raise PosekitError([error("unreadable", "", f"it holds no {PROP_FILE}", file=name)])
    _within_budget(files, name)
    text = decoded(files[PROP_FILE], name)
    data = tables(text, name)
    if beyond := list(_too_many(data)):
        raise PosekitError(placed(beyond, text, name))
    beside = {path: bytes(content) for path, content in files.items() if path != PROP_FILE}
    problems = Problems(
        {kind: dict.fromkeys(data[kind]) for kind in _NAMED if isinstance(data.get(kind), Mapping)}
    )
    prop = _prop(data, text, beside, problems)
    found = [*problems.found, *broken_rules(prop, problems.names)]
    if found:
        raise PosekitError(placed(found, text, name))
    return prop


def _files_beside(folder: FilePath) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    left = FOLDER_BYTES
    if lexists(folder / NOTES_FILE):
        place = file_inside(folder, NOTES_FILE)
        files[NOTES_FILE] = read_within(place, NOTES_BYTES, "the notes of a prop", BELONGS)
        left -= len(files[NOTES_FILE])
    try:
        for path, place in files_inside(folder, (MESHES, LOOKS, SHOWS)):
            files[path] = read_within(place, left, "with the files before it, a prop folder", BELONGS)
            left -= len(files[path])
    except OSError as problem:
        raise unreadable(folder, problem, BELONGS) from problem
    return files


def _within_budget(files: Mapping[str, bytes], name: str) -> None:
    """Refuse paths that are none, and files that are too many or too large together."""
    if len(files) > FOLDER_FILES:
        sentence = f"comes with {len(files)} files; a prop may have {FOLDER_FILES} at most"
        raise PosekitError([error("too-large", "", sentence, file=name)])
    if wrong := problems_of(files):
        raise PosekitError(wrong)
    if (size := sum(map(len, files.values()))) > FOLDER_BYTES:
        raise too_large(size, FOLDER_BYTES, name, "a prop with its files")


def _too_many(data: Mapping[str, Any]) -> Iterator[tuple[Path, str, str]]:
    """Tables of more entries, and names of more letters, than a prop may have."""
    for kind in _NAMED:
        if isinstance(named := data.get(kind), Mapping) and len(named) > PARTS:
            yield (kind,), "too-many", f"has {len(named)} entries; a prop may have {PARTS} {kind} at most"
        for name in named if isinstance(named, Mapping) else ():
            if len(name) > NAME_LETTERS:
                yield (
                    (kind, name),
                    "too-long",
                    f"is a name of {len(name)} letters; use {NAME_LETTERS} or fewer",
                )
    links = data.get("links")
    tables = links.values() if isinstance(links, Mapping) else ()
    shapes = [table["shapes"] for table in tables if isinstance(table, Mapping) and "shapes" in table]
    count = sum(len(each) for each in shapes if isinstance(each, list))
    if count > SHAPES:
        yield ("links",), "too-many", f"has {count} shapes; a prop may have {SHAPES} at most"


def _prop(data: dict[str, Any], text: str, files: Mapping[str, bytes], problems: Problems) -> Prop:
    """The prop as far as it can be read: what cannot is told, and left out or at its default."""
    tell_unknown(data, _TOP, (), problems)
    if "format" not in data:
        problems.tell(("format",), "missing-key", f"is missing: write format = {Prop.format}")
    elif data["format"] != Prop.format or isinstance(data["format"], bool):
        problems.tell(("format",), "wrong-format", f"= {as_found(data['format'])}: use {Prop.format}")
    if "name" in data:
        title = convert(str, data["name"], ("name",), problems, {})
        if title is not ABSENT and len(title) > NAME_LETTERS:
            problems.tell(("name",), "too-long", f"has {len(title)} letters; use {NAME_LETTERS} or fewer")
    else:
        problems.tell(("name",), "missing-key", "is missing: name of the prop")
    supply = build(Supply, data["supply"], ("supply",), problems, name="") if "supply" in data else None
    receiver = build(Receiver, data.get("receiver", {}), ("receiver",), problems)
    gravity = build(Gravity, data.get("gravity", {}), ("gravity",), problems)
    clearance = build(Clearance, data.get("clearance", {}), ("clearance",), problems)
    joints = _named(data, "joints", partial(build, Joint), problems)
    return Prop(
        name=str(data.get("name", "")),
        supply=None if supply is ABSENT else supply,
        servos=_named(data, "servos", partial(build, Servo), problems),
        links=_named(data, "links", _link, problems),
        joints=tuple(joint for joint in joints if joint.type != "fixed"),
        fixed=tuple(joint for joint in joints if joint.type == "fixed"),
        drives=_named(data, "drives", _drive, problems),
        clearance=Clearance() if clearance is ABSENT else clearance,
        text=text,
        files=files,
        receiver=Receiver() if receiver is ABSENT else receiver,
        gravity=Gravity() if gravity is ABSENT else gravity,
        loads=_named(data, "loads", partial(build, Load), problems),
        springs=_named(data, "springs", partial(build, Spring), problems),
        supplies=_named(data, "supplies", partial(build, Supply), problems),
    )


def _named(
    data: Mapping[str, Any], kind: str, one: Callable[..., Any], problems: Problems
) -> tuple[Any, ...]:
    """Those of the tables [kind.name] that can be read, in the order of the file."""
    tables = data.get(kind, {})
    if not isinstance(tables, Mapping):
        problems.tell((kind,), "wrong-type", f"= {as_found(tables)}: tables such as [{kind}.name] are needed")
        return ()
    for name in tables:
        if len(name) > NAME_LETTERS:
            sentence = f"has a name of {len(name)} letters; use {NAME_LETTERS} or fewer"
            problems.tell((kind, name), "too-long", sentence)
    built = (one(table, (kind, name), problems, name=name) for name, table in tables.items())
    return tuple(each for each in built if each is not ABSENT)


def _link(table: Any, path: Path, problems: Problems, name: str) -> Any:
    entries = table.get("shapes", []) if isinstance(table, Mapping) else []
    if not isinstance(entries, list):
        problems.tell(
            (*path, "shapes"), "wrong-type", f"= {as_found(entries)}: [[{dotted(path)}.shapes]] is needed"
        )
        entries = []
    shapes = [_shape(entry, (*path, "shapes", i), problems) for i, entry in enumerate(entries)]
    good = tuple(shape for shape in shapes if shape is not ABSENT)
    return build(Link, table, path, problems, "shapes", name=name, shapes=good)


def _shape(table: Any, path: Path, problems: Problems) -> Any:
    if not isinstance(table, Mapping):
        return build(Shape, table, path, problems)
    kinds = [kind for kind in FORMS if kind in table]
    if len(kinds) != 1:
        found = " and ".join(kinds) or "none of them"
        return problems.tell(
            path, "wrong-shape", f"a shape is exactly one of {', '.join(FORMS)}; found {found}"
        )
    kind = kinds[0]
    form, own = _form(kind, table, path, problems)
    return build(Shape, table, path, problems, kind, *own, form=form)


def _form(kind: str, table: Mapping[str, Any], path: Path, problems: Problems) -> tuple[Any, list[str]]:
    """A form, and those of its keys that stand beside its name in the table of the shape."""
    cls, value = FORMS[kind], table[kind]
    if cls.bare is None:
        return build(cls, value, (*path, kind), problems), []
    keys = {declared.name: declared.metadata for declared in fields(cls)}
    hint, limits = types_of(cls)[cls.bare], keys.pop(cls.bare)
    given = {cls.bare: convert(hint, value, (*path, kind), problems, limits)}
    beside = {key: table[key] for key in keys if key in table}
    return build(cls, beside, path, problems, **given), list(keys)


def _drive(table: Any, path: Path, problems: Problems, name: str) -> Any:
    if not isinstance(table, Mapping) or "linkage" not in table:
        return build(Drive, table, path, problems, "linkage", name=name)
    linkage = _linkage(table["linkage"], (*path, "linkage"), problems)
    given = {} if linkage is ABSENT and "joint" in table else {"linkage": linkage}
    return build(Drive, table, path, problems, "linkage", name=name, **given)


def _linkage(table: Any, path: Path, problems: Problems) -> Any:
    if not isinstance(table, Mapping):
        return problems.tell(path, "wrong-type", f"= {as_found(table)}: a table is needed")
    kind = table.get("type", "direct")
    if not isinstance(kind, str) or kind not in LINKAGES:
        return problems.tell(
            (*path, "type"), "wrong-value", f"= {as_found(kind)}: use one of {', '.join(LINKAGES)}"
        )
    return build(LINKAGES[kind], table, path, problems, "type")
