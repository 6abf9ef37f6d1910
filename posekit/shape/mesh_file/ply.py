"""PLY: a plain one read here, any other by trimesh once it is sure that it asks for no more than a mesh may be.

trimesh believes what a file says of its own sizes and passes over what it does not understand, with a note in
its log; so sizes are looked at first, and what it notes there is a fault.
"""

from __future__ import annotations

import logging
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import Any

import numpy as np

from posekit.budgets import CORNERS_OF_TRIANGLE, LINE_BYTES, MESH_TRIANGLES
from posekit.shape.mesh_file.colours import NONE, Colour, areas, one_colour
from posekit.shape.mesh_file.lines import lines_of
from posekit.shape.mesh_file.plain_ply import plain_ply
from posekit.shape.protocol import Triangles
from posekit.text import printable, whole

PLY_ROWS = CORNERS_OF_TRIANGLE + 2  # for each triangle: vertices, a face, and as much of what else there is


def read_ply(content: bytes, most: int = MESH_TRIANGLES) -> Triangles:
    """The triangles of a PLY file, about `most` at most.

    Raises ValueError, as `triangles_in` does, for a file that is none.
    """
    plain = plain_ply(content)
    return _triangles(_ply(content, most)) if plain is None else plain


def ply_colour(content: bytes, most: int = MESH_TRIANGLES) -> Colour:
    """The colour of a PLY, by the mean of those of its vertices or faces. Raises as `read_ply` does."""
    head, _, _ = content[:LINE_BYTES].partition(b"end_header")
    if not re.search(rb"property\s+\w+\s+red\b", head):
        return NONE
    loaded = _ply(content, most)
    visual, (vertices, faces) = loaded.visual, _triangles(loaded)
    if visual.kind not in ("vertex", "face"):
        return NONE
    size = areas(vertices, faces)
    if visual.kind == "face":
        return one_colour(np.asarray(visual.face_colors, float)[:, :3] / 255.0, size, "on its faces")
    corners = np.asarray(visual.vertex_colors, float)[:, :3] / 255.0
    return one_colour(corners[faces].mean(axis=1), size, "at its corners")


def _ply(content: bytes, most: int) -> Any:
    """The mesh of a PLY file, once its head has told of no more than that."""
    head, _, body = content.partition(b"end_header")
    if len(head) > LINE_BYTES:
        raise ValueError(f"does not come to its end_header within {LINE_BYTES} bytes; is it a PLY file?")
    is_text, rows = False, 0
    for _, words in lines_of(head):
        is_text = is_text or words[:2] == [b"format", b"ascii"]
        if words[0] == b"element":
            rows += _count(words[-1])
    if rows > PLY_ROWS * most:
        raise ValueError(f"tells of {rows} vertices, faces and other rows; use {PLY_ROWS * most} or fewer")
    if is_text:
        _refuse_text(body, rows, PLY_ROWS * most)
    return _loaded(content, "ply")


def _refuse_text(body: bytes, rows: int, most: int) -> None:
    """Raise ValueError for text of fewer lines than `rows`, of far more, or of what text has no use for."""
    if found := re.search(rb"[^\t\n\r -~]", body):
        raise ValueError(f"has the byte {found[0]!r} in what should be numbers; export it again")
    if (count := max(body.count(b"\n"), body.count(b"\r"))) > most:
        raise ValueError(f"has {count} lines; use {most} or fewer")
    lines = sum(1 for _ in lines_of(body, most=most))
    if lines < rows:
        raise ValueError(f"tells of {rows} vertices, faces and other rows, and has {lines}: it is cut short")


def _count(found: bytes) -> int:
    words = found.decode("latin-1")
    if (count := whole(words)) is None:
        raise ValueError(f"has '{printable(words, 40)}' where a count is needed; export it again")
    if count < 0:
        raise ValueError(f"has the count {count}; export it again")
    return count


def _triangles(loaded: Any) -> Triangles:
    return np.asarray(loaded.vertices), np.asarray(loaded.faces)


def _loaded(content: bytes, file_type: str) -> Any:
    """The mesh that trimesh makes of a file."""
    import trimesh

    try:
        with _noted_is_raised():
            # Not `load_mesh`: it copies what it read, and a copy works out colours for which it wants SciPy.
            scene = trimesh.load_scene(BytesIO(content), file_type=file_type, process=False)
            meshes = [each for each in scene.geometry.values() if isinstance(each, trimesh.Trimesh)]
            return meshes[0] if meshes else trimesh.Trimesh()
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
