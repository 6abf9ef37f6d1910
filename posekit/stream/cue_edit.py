"""Changes to a file of cues: one cue added, changed, moved or removed, its comments and the rest as they were.

Each function takes the bytes of a file that `cue_file.parse` reads and gives the bytes of the next; it raises
PosekitError for a cue that is not there and for what TOML cannot hold. What a cue must be is not checked here: who
reads the result is told.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from posekit.errors import PosekitError, error
from posekit.stream.cue_file import FORMAT
from posekit.stream.cues import RATE
from posekit.textfile import decoded
from posekit.toml.editing import document, item, written

WAYS = ("look", "text", "values")  # what a cue is; exactly one of them stands in it


def begin(title: str) -> bytes:
    """A file without cues."""
    import tomlkit  # only edits need it

    opened = document("")
    opened["format"], opened["name"], opened["rate"] = FORMAT, title, RATE
    opened["cues"] = tomlkit.aot()
    return _content(opened)


def add(content: bytes, at: int, changes: Mapping[str, Any]) -> bytes:
    """The file with a new cue before cue `at`; after the last where there is none."""
    import tomlkit

    opened = _opened(content)
    if not opened.get("cues"):  # an empty list is written as `cues = []`, which takes no tables
        opened["cues"] = tomlkit.aot()
    cues: Any = opened["cues"]
    # Cues may also stand in one list, `cues = [{...}]`, which takes tables within the line only.
    table: Any = tomlkit.table() if isinstance(cues, tomlkit.items.AoT) else tomlkit.inline_table()
    _set(table, f"cues[{at}]", changes)
    cues.insert(at, table)
    return _content(opened)


def change(content: bytes, cue: int, changes: Mapping[str, Any]) -> bytes:
    """The file with some keys of a cue set anew. Another look, text or values takes the place of the old."""
    opened = _opened(content)
    table = _cue(opened, cue)
    if any(way in changes for way in WAYS):
        for way in WAYS:
            if way not in changes:
                table.pop(way, None)
    _set(table, f"cues[{cue}]", changes)
    return _content(opened)


def move(content: bytes, cue: int, to: int) -> bytes:
    """The file with a cue in another place: cue `to` of the result."""
    opened = _opened(content)
    table = _cue(opened, cue)
    cues: Any = opened["cues"]
    del cues[cue]
    cues.insert(to, table)
    return _content(opened)


def drop(content: bytes, cue: int) -> bytes:
    """The file without a cue."""
    opened = _opened(content)
    _cue(opened, cue)
    cues: Any = opened["cues"]
    del cues[cue]
    return _content(opened)


def _opened(content: bytes) -> Any:
    return document(decoded(content, "cues"))


def _content(changed: Any) -> bytes:
    return written(changed, "cues").encode()


def _cue(opened: Any, cue: int) -> Any:
    cues = opened.get("cues", ())
    if not 0 <= cue < len(cues):
        raise PosekitError([error("unknown-cue", f"cues[{cue}]", f"there are {len(cues)} cues in this show")])
    return cues[cue]


def _set(table: Any, place: str, changes: Mapping[str, Any]) -> None:
    for name, value in changes.items():
        table[name] = item(value, f"{place}.{name}")
