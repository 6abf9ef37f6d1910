"""The convex cores inside solid shapes, many at once, and the one thing asked of them: their support point.

A solid is a core grown by a radius. Four of the five forms share one closed form: a box of half edges
`half`, swept by a disc of radius `disc` in its xy plane (sphere: a point; capsule: a segment; box: a box;
cylinder: a segment swept by a disc, so its side is curved, not faceted). The fifth is a hull of vertices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.clearance.simplex import LEAST

NO_HULL = -1
STRAIGHT = 1e-290
# Vertices to look at before one more hull by itself is cheaper than reading all hulls as one padded table.
WORTH_A_CALL = 2500
# Products small enough to stay in the cache, and on one thread: a second one costs more than it brings.
BLOCK = 80_000


@dataclass(frozen=True, slots=True)
class Cores:
    """N cores, each in its own frame with its centre, a point of the core, at the origin; item axis last.

    `hull` (N,) is a row of `corners` (H, 3, V) [mm], the vertices of H hulls, or NO_HULL. A hull with fewer
    than V vertices repeats its first.
    """

    half: Array  # (3, N) mm
    disc: Array  # (N,) mm
    hull: Index  # (N,)
    corners: Array  # (H, 3, V) mm

    @property
    def are_hulls(self) -> bool:
        """True if all of them are hulls."""
        return bool(self.corners.size and (self.hull != NO_HULL).all())

    def take(self, items: Index) -> Cores:
        """The cores of these items."""
        return Cores(self.half.take(items, axis=-1), self.disc[items], self.hull[items], self.corners)


def point_cores(count: int) -> Cores:
    """Cores that are points."""
    return Cores(np.zeros((3, count)), np.zeros(count), np.full(count, NO_HULL, np.intp), padded([]))


def hull_cores(vertices: Array, count: int) -> Cores:
    """Cores that are all the hull of the same vertices (V, 3) [mm]."""
    return Cores(np.zeros((3, count)), np.zeros(count), np.zeros(count, np.intp), padded([vertices]))


def padded(hulls: Sequence[Array]) -> Array:
    """Hulls of vertices (V, 3) each as one table (H, 3, V), for the largest V."""
    widest = max((len(vertices) for vertices in hulls), default=0)
    table = np.empty((len(hulls), 3, widest))
    for row, vertices in zip(table, hulls, strict=True):
        row[:, : len(vertices)] = vertices.T
        row[:, len(vertices) :] = vertices[0][:, None]
    return table


def support(cores: Cores, direction: Array) -> Array:
    """The point (3, N) [mm] of each core that lies farthest along a direction (3, N) of any length but 0."""
    if cores.are_hulls:
        return _best_corner(cores.corners, cores.hull, direction)
    point = np.copysign(cores.half, direction)
    if cores.disc.any():
        x, y = direction[0], direction[1]
        across = np.hypot(x, y)
        # Straight along the axis every point of the cap is farthest: its centre will do. So it will as near to straight
        # as float64 can hardly tell, where a kilometre over `across` would be no number.
        scale = np.divide(cores.disc, across, out=np.zeros_like(across), where=across > STRAIGHT)
        point[0] += x * scale
        point[1] += y * scale
    if cores.corners.size:
        items = np.flatnonzero(cores.hull != NO_HULL)
        point[:, items] = _best_corner(cores.corners, cores.hull[items], direction[:, items])
    return point


def nearest_point(cores: Cores, point: Array) -> Array:
    """The point (3, N) [mm] of each core nearest to a point (3, N) [mm]; of a hull its centre, for want of faces."""
    near = np.minimum(np.maximum(point, -cores.half), cores.half)
    if cores.disc.any():
        across = point[:2] - near[:2]
        length = np.sqrt(across[0] ** 2 + across[1] ** 2)
        near[:2] += across * (cores.disc / np.maximum(length, np.maximum(cores.disc, LEAST)))
    return near


def nearest_corner(cores: Cores, point: Array) -> Array:
    """The vertex (3, N) [mm] of each hull nearest to a point (3, N) [mm]; 0, the centre, of any other core."""
    nearest = np.zeros_like(point)
    if cores.corners.size:
        items = np.flatnonzero(cores.hull != NO_HULL)
        # |x - p|^2 is least where x.p - x.x / 2 is most.
        half_square = np.einsum("hcv,hcv->hv", cores.corners, cores.corners) / 2
        nearest[:, items] = _best_corner(cores.corners, cores.hull[items], point[:, items], half_square)
    return nearest


def _best_corner(corners: Array, hull: Index, direction: Array, handicap: Array | None = None) -> Array:
    """The vertex x (3, N) [mm] of each hull (N,), a row of corners (H, 3, V), with most x.d less its handicap.

    Directions d are (3, N), handicaps (H, V); without them it is the vertex farthest along d.
    """
    rows = np.flatnonzero(np.bincount(hull, minlength=1))
    if hull.size * corners.shape[2] <= rows.size * WORTH_A_CALL:
        own = corners[hull]
        score = np.einsum("ncv,cn->nv", own, direction)
        if handicap is not None:
            score -= handicap[hull]
        best = np.argmax(score, axis=1)
        return own[np.arange(hull.size), :, best].T
    point = np.empty_like(direction)
    block = max(BLOCK // corners.shape[2], 1)
    for row in rows:
        of_hull = np.flatnonzero(hull == row)
        for begin in range(0, of_hull.size, block):
            part = slice(begin, begin + block)
            items = part if rows.size == 1 else of_hull[part]
            score = direction[:, items].T @ corners[row]
            if handicap is not None:
                score -= handicap[row]
            point[:, items] = corners[row].take(np.argmax(score, axis=1), axis=-1)
    return point
