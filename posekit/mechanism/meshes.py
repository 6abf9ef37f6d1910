"""Mesh files of a prop as vertices and triangles. Reads bytes the prop already holds, never a path."""

from __future__ import annotations

from io import BytesIO
from pathlib import PurePosixPath
from typing import Any

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array, Faces
from posekit.errors import PosekitError, error
from posekit.prop.model import Form, Mesh, Prop
from posekit.toml.places import dotted

Vertices = Array

FILE_TYPES = ("stl", "obj", "ply", "glb")


def vertices_and_faces(prop: Prop, mesh: Mesh) -> tuple[Vertices, Faces]:
    """The triangles of a mesh file: vertices (V, 3) [mm] and faces (F, 3), rows of vertices.

    Coordinates are those of the file times `mesh.scale`; its axes are taken as they stand, GLB too.
    Equal vertices are one, triangles without area are left out. Raises PosekitError for a file that
    is missing, that cannot be read as what its name says, or that holds no triangle.
    """
    found, faces = _load(prop, mesh)
    vertices = np.asarray(found, float).reshape(-1, 3) * mesh.scale
    corners = np.asarray(faces, np.int64).reshape(-1, 3)
    if not np.isfinite(vertices).all():
        raise _unusable(prop, mesh, "holds a coordinate that is not a finite number; export it again")
    if len(corners) and (corners.min() < 0 or corners.max() >= len(vertices)):
        raise _unusable(prop, mesh, f"names a vertex outside its {len(vertices)} vertices; export it again")
    vertices, corners = _merged(vertices, corners)
    if not len(corners):
        size = len(prop.files[mesh.path])
        raise _unusable(
            prop, mesh, f"has {size} bytes but no triangle with an area; export it as triangles again"
        )
    return vertices, corners


def _load(prop: Prop, mesh: Mesh) -> tuple[Vertices, Faces]:
    file_type = PurePosixPath(mesh.path).suffix.lstrip(".").lower()
    if file_type not in FILE_TYPES:
        raise _unusable(prop, mesh, f"is a '{file_type}' file; use one of {', '.join(FILE_TYPES)}")
    if mesh.path not in prop.files:
        known = ", ".join(path for path in prop.files if path.lower().endswith(FILE_TYPES)) or "none"
        raise _unusable(prop, mesh, f"is not in the prop folder; mesh files found there: {known}")
    import trimesh

    content = prop.files[mesh.path]
    try:
        loaded = trimesh.load_mesh(BytesIO(content), file_type=file_type, process=False, skip_materials=True)
        return loaded.vertices, loaded.faces
    except Exception as reason:  # a parser fed with any bytes can raise anything
        raise _unusable(
            prop,
            mesh,
            f"has {len(content)} bytes that cannot be read as {file_type} "
            f"({type(reason).__name__}: {reason}); export it again",
        ) from reason


def _merged(vertices: Vertices, faces: Faces) -> tuple[Vertices, Faces]:
    """Equal vertices made one and triangles without area left out; only vertices in use remain."""
    points = vertices[faces]
    doubled_area = np.linalg.norm(np.cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0]), axis=1)
    longest_edge = np.linalg.norm(points - np.roll(points, 1, axis=1), axis=2).max(axis=1, initial=0.0)
    used = faces[doubled_area > 1e-9 * longest_edge**2]
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


def place_of(prop: Prop, form: Form) -> str:
    """Key path of the first shape with this form."""
    places = (
        dotted(("links", link.name, "shapes", index))
        for link in prop.links
        for index, shape in enumerate(link.shapes)
        if shape.form == form
    )
    return next(places, "shapes")


def _unusable(prop: Prop, mesh: Mesh, what: str) -> PosekitError:
    place = f"{place_of(prop, mesh)}.mesh"
    return PosekitError([error("mesh-unusable", place, f"= {mesh.path!r} {what}", file=mesh.path)])
