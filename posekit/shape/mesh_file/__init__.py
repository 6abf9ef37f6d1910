"""Mesh files as vertices and triangles. Reads bytes that are there already, never a path."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from hashlib import sha256
from pathlib import PurePosixPath
from typing import Any

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array, Faces, Truth
from posekit.budgets import KEPT_MESH_BYTES, KEPT_MESHES, MESH_BYTES, MESH_TRIANGLES
from posekit.shape.mesh_file.glb import read_glb
from posekit.shape.mesh_file.obj import read_obj
from posekit.shape.mesh_file.ply import read_ply
from posekit.shape.mesh_file.stl import read_stl
from posekit.shape.protocol import Triangles
from posekit.text import exact

READERS: dict[str, Callable[[bytes, int], Triangles]] = {
    "stl": read_stl,
    "obj": read_obj,
    "ply": read_ply,
    "glb": read_glb,
}
SMALLEST_MM, LARGEST_MM = 1e-3, 1e9  # float32 holds these with their triangles

# Meshes as they were read, those asked for last behind the others.
_kept: OrderedDict[tuple[bytes, str, float], Triangles] = OrderedDict()


def triangles_in(content: bytes, path: str, scale: float = 1.0) -> Triangles:
    """The triangles of a mesh file, coordinates times `scale`; its ending tells what it is.

    Equal vertices are one, triangles without area are left out. Raises ValueError, a sentence that goes on
    after the name of the file, for what cannot be read as what its name says or holds no triangle.

    Nobody may write into them: to check a prop asks some ten times of each mesh, which is read once.
    """
    asked = (sha256(content).digest(), PurePosixPath(path).suffix.lower(), scale)
    found = _kept.pop(asked, None)
    if found is None:
        found = merged(*surface_in(content, path, scale))
        for each in found:
            each.flags.writeable = False
    if sum(each.nbytes for each in found) <= KEPT_MESH_BYTES:
        _kept[asked] = found
        if len(_kept) > KEPT_MESHES:
            _kept.popitem(last=False)
    return found


def surface_in(
    content: bytes,
    path: str,
    scale: float = 1.0,
    most: int = MESH_TRIANGLES,
    most_bytes: int = MESH_BYTES,
) -> Triangles:
    """The triangles of a mesh file as they stand in it, times `scale`; `merged` makes a mesh of them.

    Raises ValueError as `triangles_in` does.
    """
    file_type = PurePosixPath(path).suffix.lstrip(".").lower()
    if file_type not in READERS:
        raise ValueError(f"is a '{file_type}' file; use one of {', '.join(READERS)}")
    if len(content) > most_bytes:
        raise ValueError(f"has {len(content)} bytes; use {most_bytes} or fewer")
    found, faces = READERS[file_type](content, most)
    vertices, corners = checked(found, faces, scale, most)
    if not has_area(vertices, corners).any():
        size = len(content)
        raise ValueError(f"has {size} bytes but no triangle with an area; export it as triangles again")
    return vertices, corners


def checked(found: Array, faces: Faces, scale: float, most: int, least: float = SMALLEST_MM) -> Triangles:
    """The triangles that a file holds, times `scale`, if numbers and places are what a mesh needs.

    Raises ValueError as `triangles_in` does.
    """
    if not (found.ndim == faces.ndim == 2 and found.shape[1] == faces.shape[1] == 3):
        raise ValueError("does not hold triangles in space; export it again")
    if max(len(found) / 3, len(faces)) > most:
        raise ValueError(f"has {len(faces)} triangles; use {most} or fewer")
    with np.errstate(over="ignore", invalid="ignore"):
        vertices = np.asarray(found, float) * scale
    corners = np.asarray(faces, np.int64)
    if not np.isfinite(vertices).all():
        raise ValueError("holds a coordinate that is not a finite number; export it again")
    if len(corners) and (corners.min() < 0 or corners.max() >= len(vertices)):
        raise ValueError(f"names a vertex outside its {len(vertices)} vertices; export it again")
    reach = float(np.abs(vertices).max(initial=0.0))
    if len(corners) and not least <= reach <= LARGEST_MM:
        raise ValueError(
            f"reaches {exact(reach)} mm from its origin; use {exact(least)} to {exact(LARGEST_MM)} mm"
        )
    return vertices, corners


def has_area(vertices: Array, faces: Faces) -> Truth:
    """Whether each triangle (F,) has an area to speak of for its longest edge."""
    points = vertices[faces]
    doubled_area = np.linalg.norm(np.cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0]), axis=1)
    longest_edge = np.linalg.norm(points - np.roll(points, 1, axis=1), axis=2).max(axis=1, initial=0.0)
    return np.asarray(doubled_area > 1e-9 * longest_edge**2)


def merged(vertices: Array, faces: Faces) -> Triangles:
    """Equal vertices made one and triangles without area left out; only vertices in use remain."""
    used = faces[has_area(vertices, faces)]
    corners = vertices[used].reshape(-1, 3)
    first, rows = equal_rows(corners)
    return corners[first], rows.reshape(-1, 3)


def equal_rows(table: NDArray[Any]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """One row (U,) for each set of equal rows of (N, C), and the set (N,) that each row belongs to."""
    # Column by column; numpy.unique compares whole rows as bytes, which takes five times as long.
    order = np.lexsort(table.T[::-1])
    ordered = table[order]
    differs = np.ones(len(table), bool)
    differs[1:] = (ordered[1:] != ordered[:-1]).any(axis=1)
    belongs = np.empty(len(table), np.int64)
    belongs[order] = np.cumsum(differs) - 1
    return order[differs], belongs
