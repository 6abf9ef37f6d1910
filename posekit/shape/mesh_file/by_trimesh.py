"""PLY and GLB, read by trimesh once it is plain that they ask for no more than a mesh may be.

trimesh believes what a file says of its own sizes and passes over what it does not understand, with a note in
its log; so sizes are looked at first, and what it notes there is a fault.
"""

from __future__ import annotations

import logging
import re
import struct
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import Any

import numpy as np

from posekit.budgets import GLB_JSON_BYTES, LINE_BYTES, MESH_CORNERS, MESH_NODES, MESH_TRIANGLES
from posekit.shape.mesh_file.lines import lines_of
from posekit.shape.protocol import Triangles
from posekit.textfile import json_value

PLY_ROWS = MESH_CORNERS + 2 * MESH_TRIANGLES  # vertices, faces, and as many of what else there is
GLB_HEAD = struct.Struct("<4sIII4s")


def read_ply(content: bytes) -> Triangles:
    """The triangles of a PLY file. Raises ValueError, as `triangles_in` does, for a file that is none."""
    head, _, body = content.partition(b"end_header")
    if len(head) > LINE_BYTES:
        raise ValueError(f"does not come to its end_header within {LINE_BYTES} bytes; is it a PLY file?")
    is_text, rows = False, 0
    for _, words in lines_of(head):
        is_text = is_text or words[:2] == [b"format", b"ascii"]
        if words[0] == b"element":
            rows += _count(words[-1])
    if rows > PLY_ROWS:
        raise ValueError(f"tells of {rows} vertices, faces and other rows; use {PLY_ROWS} or fewer")
    if is_text:
        _refuse_text(body, rows)
    return _loaded(content, "ply")


def _refuse_text(body: bytes, rows: int) -> None:
    """Raise ValueError for text of fewer lines than `rows`, of far more, or of what text has no use for."""
    if found := re.search(rb"[^\t\n\r -~]", body):
        raise ValueError(f"has the byte {found[0]!r} in what should be numbers; export it again")
    if (count := max(body.count(b"\n"), body.count(b"\r"))) > PLY_ROWS:
        raise ValueError(f"has {count} lines; use {PLY_ROWS} or fewer")
    lines = sum(1 for _ in lines_of(body))
    if lines < rows:
        raise ValueError(f"tells of {rows} vertices, faces and other rows, and has {lines}: it is cut short")


def read_glb(content: bytes) -> Triangles:
    """The triangles of a GLB file, every node in its place. Raises ValueError, as `triangles_in` does."""
    if len(content) < GLB_HEAD.size or content[:4] != b"glTF":
        raise ValueError("is no GLB file, which begins with glTF; export it again")
    _, _, length, json_length, kind = GLB_HEAD.unpack_from(content)
    if kind != b"JSON" or length > len(content) or GLB_HEAD.size + json_length > len(content):
        raise ValueError(f"is cut short: it tells of {length} bytes and has {len(content)}; export it again")
    if json_length > GLB_JSON_BYTES:
        raise ValueError(f"has a description of {json_length} bytes; {GLB_JSON_BYTES} are the most")
    try:
        described = json_value(content[GLB_HEAD.size : GLB_HEAD.size + json_length])
        if wanted := described.get("extensionsRequired"):
            names = ", ".join(map(str, wanted))
            raise ValueError(f"needs {names[:LINE_BYTES]}; export it as plain glTF 2.0")
        _refuse_large(described)
    except (KeyError, TypeError, AttributeError, IndexError) as reason:
        raise ValueError(f"has a description that is no glTF ({reason!r}); export it again") from reason
    return _loaded(content, "glb")


def _refuse_large(described: dict[str, Any]) -> None:
    """Raise ValueError for a GLB that asks for more than a mesh may be, node by node."""
    accessors, nodes = described.get("accessors", []), described.get("nodes", [])
    counts = [_count(accessor["count"]) for accessor in accessors]
    if any("bufferView" not in accessor for accessor in accessors):
        raise ValueError("has values that stand in no buffer, or few of them; export it as plain glTF 2.0")
    if len(nodes) > MESH_NODES:
        raise ValueError(f"has {len(nodes)} nodes; use {MESH_NODES} or fewer")
    if len(accessors) > 8 * MESH_NODES or sum(counts) > 5 * MESH_CORNERS:
        raise ValueError(f"holds {sum(counts)} values; a mesh of {MESH_TRIANGLES} triangles needs fewer")
    children = [child for node in nodes for child in node.get("children", ())]
    if len(set(children)) < len(children):
        raise ValueError("has a node that hangs on two others; export it again")
    corners = [
        sum(max(counts[at] for at in _named(part)) for part in mesh["primitives"])
        for mesh in described.get("meshes", [])
    ]
    there = sum(corners[node["mesh"]] for node in nodes if "mesh" in node)
    if there > MESH_CORNERS:
        raise ValueError(f"has {there // 3} triangles in all its nodes; use {MESH_TRIANGLES} or fewer")


def _named(part: dict[str, Any]) -> list[int]:
    """The accessors that make the triangles of a part: of its vertices, and of the rows that name them."""
    return [part["attributes"]["POSITION"], *([part["indices"]] if "indices" in part else [])]


def _count(found: Any) -> int:
    try:
        count = int(found)
    except (TypeError, ValueError) as reason:
        raise ValueError(f"has {str(found)[:40]!r} where a count is needed; export it again") from reason
    if count < 0:
        raise ValueError(f"has the count {count}; export it again")
    return count


def _loaded(content: bytes, file_type: str) -> Triangles:
    import trimesh

    try:
        with _noted_is_raised():
            loaded = trimesh.load_mesh(
                BytesIO(content), file_type=file_type, process=False, skip_materials=True
            )
        return np.asarray(loaded.vertices), np.asarray(loaded.faces)
    except MemoryError:
        raise
    except Exception as reason:  # a parser fed with any bytes can raise anything
        raise ValueError(
            f"has {len(content)} bytes that cannot be read as {file_type} "
            f"({type(reason).__name__}: {reason}); export it again"
        ) from reason


class _Raising(logging.Filter):
    """Raises what is noted as a warning or worse; nothing of it is printed."""

    def filter(self, record: logging.LogRecord) -> bool:
        if record.levelno >= logging.WARNING:
            raise ValueError(record.getMessage())
        return False


@contextmanager
def _noted_is_raised() -> Iterator[None]:
    """What trimesh warns of is raised, and that NumPy met no number where text should hold one."""
    log, raising = logging.getLogger("trimesh"), _Raising()
    log.addFilter(raising)
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            warnings.filterwarnings("error", message=".*could not be read to its end")
            yield
    finally:
        log.removeFilter(raising)
