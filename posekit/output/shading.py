"""Normals: smooth over gentle edges, flat across sharp ones. One rule for every form."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from posekit.arrays import Array, Faces, Index
from posekit.shape.mesh_file import equal_rows

# Facets of a round form meet at 30 degrees or less (12 to a turn), the edges that should show at more.
CREASE_DEG = 40.0
MEETING = 128  # triangles at one corner, above which each keeps its own normal there: the work grows with their square


def shaded(vertices: Array, faces: Faces) -> tuple[Array, Array, Faces]:
    """Array (W, 3), unit normals (W, 3) and faces (F, 3), with vertices doubled along the creases.

    The normal at a corner is the mean of the triangles that meet there within CREASE_DEG of its own
    triangle, weighted by their angle at the corner, so that it does not depend on how a facet is cut
    into triangles.
    """
    flat, angle = _triangles(vertices[faces])
    own = np.repeat(flat, 3, axis=0)
    normal = own * angle.reshape(-1, 1)
    for corner, other in _corners_that_meet(faces.ravel()):
        gentle = np.einsum("ni,ni->n", own[corner], own[other]) >= np.cos(np.radians(CREASE_DEG))
        normal[corner[gentle]] += (own[other] * angle.reshape(-1, 1)[other])[gentle]
    return _distinct(vertices, faces, normal / np.linalg.norm(normal, axis=1, keepdims=True))


def _triangles(points: Array) -> tuple[Array, Array]:
    """Unit normal (F, 3) and corner angles (F, 3) [rad] of triangles (F, 3, 3)."""
    forward = np.roll(points, -1, axis=1) - points
    backward = np.roll(points, 1, axis=1) - points
    cross = np.cross(forward, backward)
    angle = np.arctan2(np.linalg.norm(cross, axis=2), np.einsum("fci,fci->fc", forward, backward))
    return cross[:, 0] / np.linalg.norm(cross[:, 0], axis=1, keepdims=True), angle


def _corners_that_meet(vertex: Index) -> Iterator[tuple[Index, Index]]:
    """All ordered pairs of two corners that stand on one vertex, where at most MEETING do; each corner once a time."""
    order = np.argsort(vertex, kind="stable")
    valence = np.bincount(vertex)
    first, count = (np.cumsum(valence) - valence)[vertex[order]], valence[vertex[order]]
    place = np.arange(len(order)) - first
    few = count <= MEETING
    for step in range(1, int(count[few].max(initial=1))):
        some = np.flatnonzero(few & (count > step))
        yield order[some], order[first[some] + (place[some] + step) % count[some]]


def _distinct(vertices: Array, faces: Faces, normal: Array) -> tuple[Array, Array, Faces]:
    """One vertex for all corners that share place and, to 1e-5, normal."""
    key = np.column_stack([faces.ravel(), np.rint(normal * 1e5).astype(np.int64)])
    first, rows = equal_rows(key)
    return vertices[faces.ravel()[first]], normal[first], rows.reshape(-1, 3)
