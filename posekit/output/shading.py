"""Normals: smooth over gentle edges, flat across sharp ones. One rule for every form."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array, Faces
from posekit.shape.mesh_file import equal_rows

# Facets of a round form meet at 30 degrees or less (12 to a turn), the edges that should show at more.
CREASE_DEG = 40.0


def shaded(vertices: Array, faces: Faces) -> tuple[Array, Array, Faces]:
    """Array (W, 3), unit normals (W, 3) and faces (F, 3), with vertices doubled along the creases.

    The normal at a corner is the mean of the triangles that meet there within CREASE_DEG of its own
    triangle, weighted by their angle at the corner, so that it does not depend on how a facet is cut
    into triangles.
    """
    flat, angle = _triangles(vertices[faces])
    corner, other = _corners_that_meet(faces.ravel())
    face, other_face = corner // 3, other // 3
    gentle = np.einsum("ni,ni->n", flat[face], flat[other_face]) >= np.cos(np.radians(CREASE_DEG))
    corner, other, other_face = corner[gentle], other[gentle], other_face[gentle]
    weighted = flat[other_face] * angle.ravel()[other, None]
    normal = np.column_stack([np.bincount(corner, weighted[:, axis], faces.size) for axis in range(3)])
    return _distinct(vertices, faces, normal / np.linalg.norm(normal, axis=1, keepdims=True))


def _triangles(points: Array) -> tuple[Array, Array]:
    """Unit normal (F, 3) and corner angles (F, 3) [rad] of triangles (F, 3, 3)."""
    forward = np.roll(points, -1, axis=1) - points
    backward = np.roll(points, 1, axis=1) - points
    cross = np.cross(forward, backward)
    angle = np.arctan2(np.linalg.norm(cross, axis=2), np.einsum("fci,fci->fc", forward, backward))
    return cross[:, 0] / np.linalg.norm(cross[:, 0], axis=1, keepdims=True), angle


def _corners_that_meet(vertex: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """All ordered pairs of corners that stand on one vertex, each corner with itself too."""
    order = np.argsort(vertex, kind="stable")
    valence = np.bincount(vertex)
    first = np.cumsum(valence) - valence
    meeting = valence[vertex[order]]
    corner = np.repeat(order, meeting)
    within = np.arange(len(corner)) - np.repeat(np.cumsum(meeting) - meeting, meeting)
    return corner, order[np.repeat(first[vertex[order]], meeting) + within]


def _distinct(vertices: Array, faces: Faces, normal: Array) -> tuple[Array, Array, Faces]:
    """One vertex for all corners that share place and, to 1e-5, normal."""
    key = np.column_stack([faces.ravel(), np.rint(normal * 1e5).astype(np.int64)])
    first, rows = equal_rows(key)
    return vertices[faces.ravel()[first]], normal[first], rows.reshape(-1, 3)
