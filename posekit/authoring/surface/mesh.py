"""A mesh walked from face to face: what meets along an edge, what lies nearest to a point, what is joined to a face."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Faces, Index, Truth


@dataclass(frozen=True, slots=True)
class Walk:
    """A mesh of vertices (V, 3) [mm] and faces (F, 3), ready to be walked.

    Its faces have corners (F, 3, 3) [mm], unit normals (F, 3) and areas (F,) [mm2].
    `beside` (F, 3) is the face across each edge, -1 where there is none. Where more than two faces meet along an
    edge, it is one of them.
    """

    vertices: Array
    faces: Faces
    corners: Array
    normals: Array
    areas: Array
    beside: Index


def walk_of(vertices: Array, faces: Faces) -> Walk:
    """A mesh of vertices (V, 3) [mm] and faces (F, 3), ready to be walked.

    Faces meet where they name the same two vertices: equal vertices must be one, as a form's `triangles` gives them.
    """
    corners = vertices[faces]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    doubled = np.sqrt(np.einsum("fi,fi->f", cross, cross))
    normals = cross / np.maximum(doubled, 1e-300)[:, None]
    return Walk(vertices, faces, corners, normals, doubled / 2, _beside(faces, len(vertices)))


def _beside(faces: Faces, count: int) -> Index:
    ends = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    key = ends.min(axis=1) * count + ends.max(axis=1)
    order = np.argsort(key)
    same = np.flatnonzero(np.diff(key[order]) == 0)
    one, other = order[same], order[same + 1]
    beside = np.full(len(key), -1, np.intp)
    beside[one], beside[other] = other // 3, one // 3
    return beside.reshape(-1, 3)


def joined(walk: Walk, seed: int, opened: Truth) -> Index:
    """The faces that can be reached from a seed across edges that are `opened` (F, 3), the nearest first."""
    seen = np.zeros(len(walk.areas), bool)
    seen[seed] = True
    place = np.empty(len(seen), np.intp)
    ring = np.array([seed])
    rings = [ring]
    # Ends: a face is seen once.
    while ring.size:
        reached = walk.beside[ring][opened[ring]]
        reached = reached[~seen[reached]]
        place[reached] = np.arange(len(reached))
        ring = reached[place[reached] == np.arange(len(reached))]  # each once
        seen[ring] = True
        rings.append(ring)
    return np.concatenate(rings)


def nearest_face(walk: Walk, point: Array) -> tuple[int, float]:
    """The face that is nearest to a point (3,) [mm], and how far it is."""
    middle = walk.corners.mean(axis=1)
    away = np.linalg.norm(middle - point, axis=1)
    # No face is nearer than its middle less the reach of its corners, and one is as near as its middle.
    reach = np.linalg.norm(walk.corners[:, 0] - middle, axis=1)
    for corner in (1, 2):
        reach = np.maximum(reach, np.linalg.norm(walk.corners[:, corner] - middle, axis=1))
    near = np.flatnonzero(away - reach <= away.min())
    distance = np.linalg.norm(_nearest_points(walk.corners[near], point) - point, axis=1)
    best = int(np.argmin(distance))
    return int(near[best]), float(distance[best])


def _nearest_points(corners: Array, point: Array) -> Array:
    """The point of each triangle (N, 3, 3) nearest to a point; (N, 3). Its foot if inside, else on the nearest edge."""
    a, edges = corners, np.roll(corners, -1, axis=1) - corners
    along = np.einsum("nei,nei->ne", point - a, edges) / np.maximum(
        np.einsum("nei,nei->ne", edges, edges), 1e-300
    )
    on_edges = a + np.clip(along, 0.0, 1.0)[..., None] * edges
    best = np.argmin(np.linalg.norm(on_edges - point, axis=2), axis=1)
    nearest = on_edges[np.arange(len(a)), best]
    normal = np.cross(edges[:, 0], edges[:, 1])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-300)
    foot = point - np.einsum("ni,ni->n", point - a[:, 0], normal)[:, None] * normal
    side = np.einsum("nei,ni->ne", np.cross(edges, foot[:, None] - a), normal)
    inside = (side > 0).all(axis=1)
    return np.where(inside[:, None], foot, nearest)
