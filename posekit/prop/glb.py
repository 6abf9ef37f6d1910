"""The prop inside a GLB that posekit wrote: its text, its files, the pose and its snapshot.

Read by hand from the two chunks, because only that can tell a file cut short from one of another
program, and because opening a GLB then needs no library.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from posekit.budgets import FOLDER_BYTES, FOLDER_FILES, GLB_BYTES, GLB_JSON_BYTES
from posekit.errors import PosekitError, error
from posekit.paths import megabytes, too_large, what_is_wrong
from posekit.prop.folder import PROP_FILE
from posekit.textfile import json_value

RECORD_VERSION = 1
TOP_16_BIT = 65535  # largest value of a drive

# ISO/IEC 12113 (glTF 2.0), binary glTF: a header and two chunks, all little-endian.
MAGIC = b"glTF"
HEADER, CHUNK = struct.Struct("<4sII"), struct.Struct("<I4s")


@dataclass(frozen=True, slots=True)
class Carried:
    """What `asset.extras.posekit` of a GLB holds. An animated GLB may carry no pose."""

    text: str
    files: Mapping[str, bytes]
    snapshot: Mapping[str, Mapping[str, int]] | None
    state: Mapping[str, Any] | None
    is_animated: bool = False


def prop_files(glb: bytes, file: str = "GLB") -> dict[str, bytes]:
    """The prop folder that went into a GLB: `prop.toml` and what stood beside it, by path."""
    carried = read(glb, file)
    return {PROP_FILE: carried.text.encode(), **carried.files}


def read(glb: bytes, file: str = "GLB") -> Carried:
    """All that posekit put into a GLB. `file` is its name for messages.

    Raises PosekitError for bytes that are no GLB, are cut short, or were not written by posekit.
    """
    if len(glb) > GLB_BYTES:
        raise too_large(len(glb), GLB_BYTES, file, "a GLB")
    try:
        document, binary = _chunks(glb)
        return _carried(document, binary)
    except _UnreadableError as reason:
        raise PosekitError([error("glb-unreadable", "", str(reason), file=file)]) from None


class _UnreadableError(Exception):
    """Why the bytes give no prop."""


def _chunks(glb: bytes) -> tuple[Any, bytes]:
    """The JSON chunk, decoded, and the binary chunk."""
    if not glb.startswith(MAGIC):
        raise _UnreadableError(f"starts with {glb[:4]!r}: not a GLB, which starts with {MAGIC!r}")
    if len(glb) < HEADER.size:
        raise _UnreadableError(
            f"has {len(glb)} bytes, fewer than its header: it was cut short; copy it again"
        )
    _, version, length = HEADER.unpack_from(glb)
    if version != 2:
        raise _UnreadableError(f"is glTF version {version}; posekit reads version 2")
    if length != len(glb):
        fault = "cut short" if length > len(glb) else "has bytes after its end"
        raise _UnreadableError(f"has {len(glb)} bytes, its header says {length}: {fault}; copy it again")
    content, end = _chunk(glb, HEADER.size, b"JSON")
    binary, _ = _chunk(glb, end, b"BIN\0") if end < length else (b"", end)
    if len(content) > GLB_JSON_BYTES:
        size = f"{megabytes(len(content))}; {megabytes(GLB_JSON_BYTES)} at most"
        raise _UnreadableError(f"has a JSON chunk of {size} are read")
    try:
        return json_value(content), binary
    except ValueError as reason:
        raise _UnreadableError(f"its JSON chunk cannot be read ({reason}); copy or export it again") from None


def _chunk(glb: bytes, start: int, kind: bytes) -> tuple[bytes, int]:
    """The content of the chunk that starts there, and where the next one starts."""
    size, found = CHUNK.unpack_from(glb, start) if start + CHUNK.size <= len(glb) else (0, b"")
    end = start + CHUNK.size + size
    if found != kind or end > len(glb):
        raise _UnreadableError(
            f"has at byte {start} of {len(glb)} a chunk {found!r} of {size} bytes, "
            f"where a chunk {kind!r} that fits was due; copy it again"
        )
    return glb[start + CHUNK.size : end], end


def _carried(document: Any, binary: bytes) -> Carried:
    record: Any = document
    for key in ("asset", "extras", "posekit"):
        record = record.get(key) if isinstance(record, dict) else None
    if not isinstance(record, dict):
        raise _UnreadableError(
            "holds no prop: it was not written by posekit; open a prop folder, or use it there as a mesh"
        )
    if record.get("version") != RECORD_VERSION:
        raise _UnreadableError(
            f"carries a prop as version {record.get('version')!r}; this posekit reads {RECORD_VERSION}"
        )
    listed = record.get("files", [])
    if not isinstance(listed, list):
        raise _UnreadableError(f"has a {type(listed).__name__} for its list of files; export it again")
    if len(listed) > FOLDER_FILES:
        raise _UnreadableError(f"lists {len(listed)} files; a prop may have {FOLDER_FILES} at most")
    files: dict[str, bytes] = {}
    left = FOLDER_BYTES
    for entry in listed:
        path, content = _file(entry, document.get("bufferViews", []), binary)
        if path in files:
            raise _UnreadableError(f"lists the file {path!r} twice; export it again")
        files[path] = content
        if (left := left - len(content)) < 0:
            raise _UnreadableError(f"carries files of more than {megabytes(FOLDER_BYTES)}; not opened")
    moves = bool(document.get("animations"))
    return Carried(_text(record), files, _table(record, "snapshot"), _state(record), moves)


def _file(entry: Any, views: Any, binary: bytes) -> tuple[str, bytes]:
    try:
        path = _inside(entry["path"])
        if "bufferView" not in entry:
            return path, b""
        view = views[entry["bufferView"]]
        start, size = view.get("byteOffset", 0), view["byteLength"]
        content = binary[start : start + size]
    except (AttributeError, IndexError, KeyError, TypeError) as reason:
        raise _UnreadableError(f"has a damaged list of files ({reason}); export it again") from None
    if start < 0 or len(content) != size:
        raise _UnreadableError(
            f"has {path!r} at bytes {start} to {start + size} of {len(binary)}; copy it again"
        )
    return path, content


def _inside(path: str) -> str:
    """The path, if it stays in the prop folder: a GLB from elsewhere must not name files outside of it."""
    if wrong := what_is_wrong(path):
        raise _UnreadableError(f"names a file {path!r}, which {wrong}; not opened")
    return path


def _text(record: dict[str, Any]) -> str:
    text = record.get("prop", "")
    try:
        text.encode()
    except (AttributeError, UnicodeEncodeError):
        raise _UnreadableError("has a damaged prop text; export it again") from None
    return str(text)


def _state(record: dict[str, Any]) -> Mapping[str, Any] | None:
    state = _table(record, "state")
    # pygltflib leaves out a table without entries: a prop without drives has no values.
    values = {} if state is None else state.get("values", {})
    if not isinstance(values, dict) or not all(map(_is_value, values.values())):
        raise _UnreadableError("has a damaged pose; export it again")
    return state


def _is_value(found: object) -> bool:
    return isinstance(found, int | float) and not isinstance(found, bool) and 0 <= found <= TOP_16_BIT


def _table(record: dict[str, Any], key: str) -> Mapping[str, Any] | None:
    found = record.get(key)
    if found is not None and not isinstance(found, dict):
        raise _UnreadableError(f"has a {key} that is a {type(found).__name__}, not a table; export it again")
    return found
