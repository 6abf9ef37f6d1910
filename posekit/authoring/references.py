"""Where the names of parts and files stand: in the prop file, and in the shows beside it.

Which key names what is said where the key is declared (`names=` of `fields.key`), so that a new linkage is followed
without a word here. Looks and pieces name no part: a look has addresses, a file of pieces corners. Notes are followed
by `posekit.authoring.notes`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from posekit.authoring.parts import Kind
from posekit.errors import Finding, PosekitError, warning
from posekit.prop.folder import SHOWS
from posekit.prop.model import Prop
from posekit.textfile import decoded
from posekit.toml.places import Path
from posekit.toml.reading import tables


def naming(prop: Prop, kind: Kind, name: str) -> list[Path]:
    """The keys and items of the prop file whose value is the name of this part."""
    return [path for path, whose, value in _references(prop) if whose == kind and value == name]


def naming_file(prop: Prop, file: str) -> list[Path]:
    """The keys of the prop file whose value is the path of this file."""
    return [
        ("links", link.name, "shapes", number, key)
        for link in prop.links
        for number, shape in enumerate(link.shapes)
        for key, path in shape.form.names()
        if path == file
    ]


def cues_with_drive(prop: Prop, drive: str) -> dict[str, list[Path]]:
    """The keys in the shows of a prop that are the name of this drive, by file. A faulty show has none."""
    found: dict[str, list[Path]] = {
        file: [
            ("cues", i, "values", drive) for i, cue in enumerate(cues) if drive in _table(cue.get("values"))
        ]
        for file, cues in _shows(prop)
    }
    return {file: paths for file, paths in found.items() if paths}


def cues_with_look(prop: Prop, look: str) -> dict[str, list[Path]]:
    """The keys in the shows of a prop whose value is the path of this look, by file. A faulty show has none."""
    found: dict[str, list[Path]] = {
        file: [("cues", i, "look") for i, cue in enumerate(cues) if cue.get("look") == look]
        for file, cues in _shows(prop)
    }
    return {file: paths for file, paths in found.items() if paths}


def unread_shows(prop: Prop) -> list[Finding]:
    """A warning for each show that cannot be read, so that a name in it is not followed."""
    read = {file for file, _ in _shows(prop)}
    sentence = "cannot be read as a list of cues, so what it names was left as it is; mend it by hand"
    return [warning("left-alone", "", sentence, file=file) for file in _cue_files(prop) if file not in read]


def _references(prop: Prop) -> Iterator[tuple[Path, str, str]]:
    named: tuple[tuple[str, tuple[Any, ...]], ...] = (
        ("joints", (*prop.joints, *prop.fixed)),
        ("drives", prop.drives),
        ("loads", prop.loads),
        ("springs", prop.springs),
    )
    for kind, parts in named:
        for part in parts:
            yield from _names_in(part, (kind, part.name))
    yield from _names_in(prop.clearance, ("clearance",))


def _names_in(table: Any, path: Path) -> Iterator[tuple[Path, str, str]]:
    """Key path, table of the prop file and name, for each name in a data class and those within it."""
    for declared in fields(table):
        value = getattr(table, declared.name)
        if is_dataclass(value):
            yield from _names_in(value, (*path, declared.name))
        elif kind := declared.metadata.get("names"):
            yield from ((place, kind, name) for place, name in _texts(value, (*path, declared.name)))


def _texts(value: Any, path: Path) -> Iterator[tuple[Path, str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, tuple):
        for i, each in enumerate(value):
            yield from _texts(each, (*path, i))


def _shows(prop: Prop) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """The lists of cues of a prop, as far as they can be read."""
    for file in _cue_files(prop):
        try:
            cues = tables(decoded(prop.files[file], file), file).get("cues")
        except PosekitError:  # told where the show is opened
            continue
        yield file, [_table(cue) for cue in cues] if isinstance(cues, list) else []


def _cue_files(prop: Prop) -> list[str]:
    return [file for file in prop.files if file.startswith(SHOWS) and file.lower().endswith(".toml")]


def _table(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}
