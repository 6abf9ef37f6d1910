"""How far a thinned surface lies from the one it was made of.

A mesh that was thinned by collapsing edges tells for each vertex what became of it, so that the near part of the
other surface need not be searched for: it lies around that vertex, or a step or two from there. Distances found so
are never too small, at most too large.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array, Faces, Index
from posekit.shape.mesh_file import equal_rows

STEPS = 16  # from face to face towards a nearer one; few points take more than five
CLOSE = 0.25  # of the distance allowed: what is as near need not be known nearer
SOME = 2000  # vertices looked at first
STRAGGLERS = 2000  # points for which all faces are looked at
PAIRS = 500_000  # of a point and a face at a time: some 150 MB
AROUND = (
    64  # faces or vertices looked at around one vertex: more meet only in fans, and in meshes that are broken
)
MOST_SPLITS = 3  # of a triangle that no single one of the other surface serves


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """A mesh with the faces around each vertex: those of vertex v are `around[first[v]:first[v + 1]]`."""

    vertices: Array
    faces: Faces
    around: Index
    first: Index


def surface(vertices: Array, faces: Faces) -> Surface:
    """The mesh (V, 3), (F, 3), made ready; of faces that are there several times, one is enough."""
    once, _ = equal_rows(np.sort(faces, axis=1))
    faces = faces[np.sort(once)]
    corners = faces.ravel()
    first = np.concatenate([[0], np.cumsum(np.bincount(corners, minlength=len(vertices)))])
    return Surface(vertices, faces, np.argsort(corners, kind="stable") // 3, first)


def deviation(whole: Surface, thin: Surface, became: Index, enough_mm: float) -> float:
    """A distance [mm] between two surfaces; `became` (V,) is the vertex of `thin` that each of `whole` went into.

    No point of `whole` lies farther from `thin`: the distance from a triangle is a convex function, so over another
    triangle it is largest at a corner; one that no single triangle of `thin` serves within `enough_mm` is split in
    four, MOST_SPLITS times, and what is left then is measured, at an eighth of its edge. The other way it is measured,
    at seven points of each triangle of `thin`. Beyond `enough_mm` the distance is not told exactly.
    """
    some = np.arange(0, len(whole.vertices), max(1, len(whole.vertices) // SOME))
    if (seen := float(_near(whole.vertices[some], became[some], thin, enough_mm)[0].max())) > enough_mm:
        return seen  # a few vertices tell of most that are too thin
    there = _proved(whole, thin, became, enough_mm)
    return there if there > enough_mm else max(there, _measured(whole, thin, became, enough_mm))


def _proved(whole: Surface, thin: Surface, became: Index, enough_mm: float) -> float:
    apart, best = _near(whole.vertices, became, thin, enough_mm)
    corners, apart, best = whole.vertices[whole.faces], apart[whole.faces], best[whole.faces]
    settled = 0.0
    for split in range(MOST_SPLITS + 1):
        bound = apart.max(axis=1)
        mixed = np.flatnonzero((best != best[:, :1]).any(axis=1))
        # Served by one of the faces that are nearest to its corners.
        served = np.full((len(mixed), 3), 0.0)
        for face in range(3):
            triangle = thin.vertices[thin.faces[best[mixed, face]]]
            for corner in range(3):
                far = _distances(corners[mixed, corner], triangle)
                served[:, face] = np.maximum(served[:, face], far)
        bound[mixed] = served.min(axis=1)
        open_ = bound > enough_mm
        settled = max(settled, float(bound[~open_].max(initial=0.0)))
        # A corner that stands out settles it: no split brings it nearer.
        if not open_.any() or float(apart.max()) > enough_mm:
            break
        if split == MOST_SPLITS:
            return max(settled, float(apart.max()))  # measured at the ends of the last split
        corners, apart, best = _split(corners[open_], apart[open_], best[open_], thin, enough_mm)
    return max(settled, float(bound.max(initial=0.0)))


def _split(
    corners: Array, apart: Array, best: Index, thin: Surface, enough_mm: float
) -> tuple[Array, Array, Index]:
    """Each triangle as the four between its corners and the middles of its edges, with what is nearest to each."""
    middle = (corners + np.roll(corners, -1, axis=1)) / 2
    start = thin.faces[best, 0]
    far, face = _near(middle.reshape(-1, 3), start.reshape(-1), thin, enough_mm)
    far, face = far.reshape(-1, 3), face.reshape(-1, 3)
    parts = [(0, 0, 2), (1, 1, 0), (2, 2, 1)]  # corner, the middle after it, the middle before it

    def four(at: NDArray[Any], between: NDArray[Any]) -> NDArray[Any]:
        ends = [
            np.stack([at[:, c], between[:, after], between[:, before]], axis=1) for c, after, before in parts
        ]
        return np.concatenate([*ends, between])

    return four(corners, middle), four(apart, far), four(best, face)


def _measured(whole: Surface, thin: Surface, became: Index, enough_mm: float) -> float:
    """The largest distance [mm] from `whole` of corners, middles of edges and centre of each triangle of `thin`."""
    order = np.argsort(became, kind="stable")
    first = np.concatenate([[0], np.cumsum(np.bincount(became, minlength=len(thin.vertices)))])
    corners = thin.vertices[thin.faces]
    shares = np.array(
        [[1, 0, 0], [0, 1, 0], [0, 0, 1], [0.5, 0.5, 0], [0, 0.5, 0.5], [0.5, 0, 0.5], [1 / 3] * 3]
    )
    points = (shares @ corners).reshape(-1, 3)
    face = np.repeat(np.arange(len(thin.faces)), len(shares))
    # Begun at the nearest of the vertices that went into a corner of the triangle.
    start, least = np.zeros(len(points), np.intp), np.full(len(points), np.inf)
    for corner in range(3):
        into = thin.faces[face, corner]
        for some in np.array_split(np.arange(len(points)), _blocks(first, into)):
            rows, there = _ragged(first, into[some])
            vertex = order[there]
            far = np.linalg.norm(points[some][rows] - whole.vertices[vertex], axis=1)
            nearest, at = _least(far, rows, len(some))
            nearer = nearest < least[some]
            start[some[nearer]], least[some[nearer]] = vertex[at[nearer]], nearest[nearer]
    return float(_near(points, start, whole, enough_mm)[0].max(initial=0.0))


def _near(points: Array, start: Index, on: Surface, within_mm: float) -> tuple[Array, Index]:
    """Distance (N,) [mm] of points (N, 3) from the nearest face found around vertex `start` (N,), and that face.

    From a face that is nearer than those before, the search goes on around its corners, until it is CLOSE. Points for
    which nothing within `within_mm` was found so are looked up by the boxes of all faces, if they are few.
    """
    best, face = np.full(len(points), np.inf), np.zeros(len(points), np.intp)
    active, from_ = np.arange(len(points)), np.asarray(start)[:, None]
    for _ in range(STEPS):
        still: list[Index] = []
        for some in np.array_split(np.arange(len(active)), _blocks(on.first, from_.ravel())):
            those = active[some]
            turn, there = _ragged(on.first, from_[some].ravel())
            rows, found = turn // from_.shape[1], on.around[there]
            far = _distances(points[those][rows], on.vertices[on.faces[found]])
            least, at = _least(far, rows, len(those))
            nearer = least < best[those]
            moved = those[nearer]
            best[moved], face[moved] = least[nearer], found[at[nearer]]
            still.append(moved[best[moved] > CLOSE * within_mm])
        active = np.concatenate(still)
        from_ = on.faces[face[active]]
        if not len(active):
            break
    lost = np.flatnonzero(best > within_mm)
    if len(lost) <= STRAGGLERS:
        low, high = (
            on.vertices[on.faces].min(axis=1) - within_mm,
            on.vertices[on.faces].max(axis=1) + within_mm,
        )
        for some in np.array_split(lost, len(lost) * len(low) // PAIRS + 1):
            place = points[some, None]
            rows, found = np.nonzero(((low <= place) & (place <= high)).all(axis=2))
            far = _distances(points[some][rows], on.vertices[on.faces[found]])
            least, which = _least(far, rows, len(some))
            nearer = least < best[some]
            best[some[nearer]], face[some[nearer]] = least[nearer], found[which[nearer]]
    return best, face


def _counts(first: Index, which: Index) -> Index:
    return np.minimum(first[which + 1] - first[which], AROUND)


def _blocks(first: Index, which: Index) -> int:
    """In how many blocks the entries of `which` (N,) are looked at, so that each takes little memory."""
    return int(_counts(first, which).sum()) // PAIRS + 1


def _ragged(first: Index, which: Index) -> tuple[Index, Index]:
    """The entries `first[w]` up to `first[w + 1]` of each w in `which` (N,), behind the row of `which` they are for.

    Of more than AROUND, as many as that, evenly spaced.
    """
    there, count = first[which + 1] - first[which], _counts(first, which)
    rows = np.repeat(np.arange(len(which)), count)
    within = np.arange(len(rows)) - np.repeat(np.cumsum(count) - count, count)
    spaced: Index = (within * there[rows] // count[rows]).astype(np.intp)
    return rows, first[which[rows]] + spaced


def _least(values: Array, rows: Index, count: int) -> tuple[Array, Index]:
    """The least of the values of each row (count,), infinite for one without, and where it stands; `rows` rise."""
    least = np.full(count, np.inf)
    np.minimum.at(least, rows, values)
    at = np.zeros(count, np.intp)
    hits = np.flatnonzero(values == least[rows])
    at[rows[hits]] = hits
    return least, at


def _distances(points: Array, triangles: Array) -> Array:
    """Distance (N,) of points (N, 3) from triangles (N, 3, 3), each from its own.

    Over the inside of a triangle it is that from its plane, elsewhere that from the nearest edge.
    """
    squared = np.full(len(points), np.inf)
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    inside = np.ones(len(points), bool)
    for start in range(3):
        a, b = triangles[:, start], triangles[:, (start + 1) % 3]
        edge, out = b - a, points - a
        length = np.einsum("ij,ij->i", edge, edge)
        share = np.clip(np.einsum("ij,ij->i", out, edge) / np.where(length > 0.0, length, 1.0), 0.0, 1.0)
        rest = out - share[:, None] * edge
        squared = np.minimum(squared, np.einsum("ij,ij->i", rest, rest))
        inside &= np.einsum("ij,ij->i", np.cross(normal, edge), out) >= 0.0
    area = np.einsum("ij,ij->i", normal, normal)
    inside &= area > 0.0
    height = np.einsum("ij,ij->i", normal, points - triangles[:, 0])
    over = height * height / np.where(area > 0.0, area, 1.0)
    return np.asarray(np.sqrt(np.where(inside, np.minimum(over, squared), squared)))
