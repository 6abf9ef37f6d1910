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
from posekit.toml import editing
from posekit.toml.editing import insert, remove, set_keys
from posekit.toml.places import Path
from posekit.toml.reading import tables

WAYS = ("look", "text", "values")  # what a cue is; exactly one of them stands in it


def begin(title: str) -> bytes:
    """A file without cues."""
    return set_keys("", {("format",): FORMAT, ("name",): title, ("rate",): RATE}).encode()


def add(content: bytes, at: int, changes: Mapping[str, Any]) -> bytes:
    """The file with a new cue before cue `at`; after the last where there is none."""
    text, count = _opened(content)
    return insert(text, ("cues", min(at, count)), changes).encode()


def change(content: bytes, cue: int, changes: Mapping[str, Any]) -> bytes:
    """The file with some keys of a cue set anew. Another look, text or values takes the place of the old."""
    text, count = _opened(content)
    path = _there(cue, count)
    gone = WAYS if any(way in changes for way in WAYS) else ()
    keys = {key: None for key in gone if key not in changes} | dict(changes)
    return set_keys(text, {(*path, key): value for key, value in keys.items()}).encode()


def move(content: bytes, cue: int, to: int) -> bytes:
    """The file with a cue in another place: cue `to` of the result."""
    text, count = _opened(content)
    return editing.move(text, _there(cue, count), _there(min(to, count - 1), count)).encode()


def drop(content: bytes, cue: int) -> bytes:
    """The file without a cue."""
    text, count = _opened(content)
    return remove(text, _there(cue, count)).encode()


def _opened(content: bytes) -> tuple[str, int]:
    """The text of a file and how many cues it has."""
    text = decoded(content, "cues")
    return text, len(tables(text, "cues").get("cues", ()))


def _there(cue: int, count: int) -> Path:
    if not 0 <= cue < count:
        raise PosekitError([error("unknown-cue", f"cues[{cue}]", f"there are {count} cues in this show")])
    return "cues", cue
