"""Changes to a file of cues: one cue added, changed, moved or removed, its comments and the rest as they were.

Each function takes the bytes of a file that `cue_file.parse` reads and gives the bytes of the next. What a cue
must be is not checked here: who reads the result is told.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from posekit.errors import PosekitError, error
from posekit.stream.cue_file import FORMAT
from posekit.stream.cues import RATE
from posekit.textfile import decoded

WAYS = ("look", "text", "values")  # what a cue is; exactly one of them stands in it


def begin(title: str) -> bytes:
    """A file without cues."""
    import tomlkit  # only edits need it

    document = tomlkit.document()
    document["format"], document["name"], document["rate"] = FORMAT, title, RATE
    document["cues"] = tomlkit.aot()
    return tomlkit.dumps(document).encode()


def add(content: bytes, at: int, changes: Mapping[str, Any]) -> bytes:
    """The file with a new cue before cue `at`; after the last where there is none."""
    import tomlkit

    document = _document(content)
    if not document.get("cues"):  # an empty list is written as `cues = []`, which takes no tables
        document["cues"] = tomlkit.aot()
    cues: Any = document["cues"]
    # Cues may also stand in one list, `cues = [{...}]`, which takes tables within the line only.
    table: Any = tomlkit.table() if isinstance(cues, tomlkit.items.AoT) else tomlkit.inline_table()
    for name, value in changes.items():
        table[name] = _item(value)
    cues.insert(at, table)
    return tomlkit.dumps(document).encode()


def change(content: bytes, cue: int, changes: Mapping[str, Any]) -> bytes:
    """The file with some keys of a cue set anew. Another look, text or values takes the place of the old."""
    import tomlkit

    document = _document(content)
    table = _cue(document, cue)
    if any(way in changes for way in WAYS):
        for way in WAYS:
            if way not in changes:
                table.pop(way, None)
    for name, value in changes.items():
        table[name] = _item(value)
    return tomlkit.dumps(document).encode()


def move(content: bytes, cue: int, to: int) -> bytes:
    """The file with a cue in another place: cue `to` of the result."""
    import tomlkit

    document = _document(content)
    table = _cue(document, cue)
    cues: Any = document["cues"]
    del cues[cue]
    cues.insert(to, table)
    return tomlkit.dumps(document).encode()


def drop(content: bytes, cue: int) -> bytes:
    """The file without a cue."""
    import tomlkit

    document = _document(content)
    _cue(document, cue)
    cues: Any = document["cues"]
    del cues[cue]
    return tomlkit.dumps(document).encode()


def _document(content: bytes) -> Any:
    import tomlkit

    text = decoded(content, "cues")
    # Without an end to its last line, tomlkit would write the next table into that line.
    return tomlkit.parse(text if text.endswith("\n") else text + "\n")


def _cue(document: Any, cue: int) -> Any:
    cues = document.get("cues", ())
    if not 0 <= cue < len(cues):
        raise PosekitError([error("unknown-cue", f"cues[{cue}]", f"there are {len(cues)} cues in this show")])
    return cues[cue]


def _item(value: Any) -> Any:
    """A mapping as a table within its line, all else as it is."""
    import tomlkit

    if not isinstance(value, Mapping):
        return value
    inline = tomlkit.inline_table()
    inline.update(value)
    return inline
