"""Penetration of two convex cores: how far one must move, at least, to come free of the other.

The expanding polytope of van den Bergen (Game Developers Conference 2001): a polytope inside the Minkowski
difference A - B grows where its surface comes nearest to the origin, until that face lies on the surface
of A - B. The height of the nearest face bounds the depth from below, the reach of A - B along a face normal
from above. For reported poses only; distances in batches never come here.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.clearance.gjk import EPSILON, Placed, farthest
from posekit.clearance.hull import DIRECTIONS

TOLERANCE_MM = 1e-6
MOST_STEPS = 400
COPLANAR = 1e-10  # share of the size
TETRAHEDRON = np.array([[0, 1, 2], [0, 2, 3], [0, 3, 1], [1, 3, 2]])


@dataclass(frozen=True, slots=True)
class Depth:
    """Bounds [mm] on the penetration of two cores, the way out, and where it is told.

    Moving A by `upper` along the unit vector `normal` (3,) frees it. `point_a` (3,) [mm] is A's deepest
    point in B, and B's is `upper` further along `normal`. All in the frame of core A.
    """

    lower: float
    upper: float
    normal: Array
    point_a: Array


@dataclass(frozen=True, slots=True)
class _Polytope:
    """Faces (F, 3), rows of vertices (V, 6) [mm], each a point of A - B and, behind it, the point of A in it.

    `normal` (F, 3) points outwards with length 1, or is 0 for a face without area; `height` (F,) [mm] is
    that of the face's plane over the origin; `far` (F, 6) is the point of A - B farthest along the normal
    and `reach` (F,) [mm] how far that is.
    """

    vertices: Array
    faces: Index
    normal: Array
    height: Array
    far: Array
    reach: Array


def depth_steps(pair: Placed, tolerance_mm: float = TOLERANCE_MM) -> Generator[None, None, Depth | None]:
    """Penetration of a pair of cores (N = 1) that overlap, to `tolerance_mm` or as near as float64 allows.

    None if A - B is flat: then a step across it frees the cores, however small; see `flat_normal`. In small
    steps, of a vertex each, for callers with other work to do.
    """
    start = supports(pair, DIRECTIONS)
    size = float(np.abs(start[:, :3]).max())
    if flat_normal(start) is not None:
        return None
    polytope = _with_faces(pair, _tetrahedron(start), TETRAHEDRON)
    for _ in range(MOST_STEPS):
        yield
        nearest = int(np.argmin(polytope.height))
        if polytope.reach[nearest] - polytope.height[nearest] <= max(tolerance_mm, 16 * EPSILON * size):
            break
        larger = _grown(pair, polytope, nearest, COPLANAR * size)
        if larger is None:
            break
        polytope = larger
    out = int(np.argmin(polytope.reach))
    corners = polytope.vertices[polytope.faces[out]]
    foot = polytope.normal[out] * polytope.height[out]
    return Depth(
        lower=float(polytope.height.min()),
        upper=float(polytope.reach[out]),
        normal=-polytope.normal[out],
        point_a=_face_weights(corners[:, :3], foot) @ corners[:, 3:],
    )


def supports(pair: Placed, directions: Array) -> Array:
    """The points (F, 6) of A - B farthest along directions (F, 3), each with the point of A in it."""
    return farthest(pair.take(np.zeros(len(directions), np.intp)), -directions.T, True).T


def flat_normal(points: Array) -> Array | None:
    """A unit vector (3,) across points (N, 3 or more) that lie in one plane; None if they do not."""
    _, extent, axes = np.linalg.svd(points[:, :3] - points[:, :3].mean(axis=0))
    return np.asarray(axes[2]) if extent[2] <= 256 * EPSILON * extent[0] else None


def _tetrahedron(points: Array) -> Array:
    """Four of the points (N, 6) that span a volume, the faces of TETRAHEDRON turned outwards."""
    p = points[:, :3]
    second = int(np.argmax(np.linalg.norm(p - p[0], axis=1)))
    third = int(np.argmax(np.linalg.norm(np.cross(p - p[0], p[second] - p[0]), axis=1)))
    height = (p - p[0]) @ np.cross(p[second] - p[0], p[third] - p[0])
    fourth = int(np.argmax(np.abs(height)))
    rows = [0, second, third, fourth] if height[fourth] < 0.0 else [0, third, second, fourth]
    return points[rows]


def _with_faces(pair: Placed, vertices: Array, faces: Index) -> _Polytope:
    """Faces over vertices, with their planes and how far A - B goes beyond them."""
    corner = vertices[faces, :3]
    normal = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    area2 = np.linalg.norm(normal, axis=1)
    level = area2 > 0.0
    normal[level] /= area2[level, None]
    far = supports(pair, np.where(level[:, None], normal, 1.0))
    height = np.where(level, np.einsum("fi,fi->f", normal, corner[:, 0]), np.inf)
    reach = np.where(level, np.einsum("fi,fi->f", normal, far[:, :3]), np.inf)
    return _Polytope(vertices, faces, normal, height, far, reach)


def _grown(pair: Placed, polytope: _Polytope, face: int, rounding_mm: float) -> _Polytope | None:
    """The polytope with the farthest point of A - B over one face as a further vertex.

    None where rounding scatters the faces that the new vertex sees, so that no cone over their rim closes.
    """
    apex = polytope.far[face]
    # A face in one plane with the apex goes as well: kept, it would get a neighbour without area.
    visible = polytope.normal @ apex[:3] - polytope.height > -rounding_mm
    edges = polytope.faces[visible][:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
    count = len(polytope.vertices)
    # The rim of what the new vertex sees: edges that no second visible face runs the other way.
    rim = edges[~np.isin(edges @ [count, 1], edges @ [1, count])]
    # Euler: vertices - edges + faces of a patch without holes is 1.
    if 2 * len(np.unique(edges)) - np.count_nonzero(visible) - len(rim) != 2:
        return None
    vertices = np.concatenate((polytope.vertices, apex[None]))
    new = _with_faces(pair, vertices, np.column_stack((rim, np.full(len(rim), count))))
    kept = ~visible
    return _Polytope(
        vertices,
        np.concatenate((polytope.faces[kept], new.faces)),
        np.concatenate((polytope.normal[kept], new.normal)),
        np.concatenate((polytope.height[kept], new.height)),
        np.concatenate((polytope.far[kept], new.far)),
        np.concatenate((polytope.reach[kept], new.reach)),
    )


def _face_weights(corners: Array, point: Array) -> Array:
    """Weights (3,), none negative and 1 in all, of the corners (3, 3) of a face that make a point of it."""
    edges = corners[1:] - corners[0]
    s, t = np.linalg.lstsq(edges.T, point - corners[0], rcond=None)[0]
    weights = np.maximum((1.0 - s - t, s, t), 0.0)
    return np.asarray(weights / weights.sum())
