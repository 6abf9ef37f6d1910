"""The convex cores inside solid shapes, many at once, and the one thing asked of them: their support point.

A solid is a core grown by a radius. Four of the five forms share one closed form: a box of half edges
`half`, swept by a disc of radius `disc` in its xy plane (sphere: a point; capsule: a segment; box: a box;
cylinder: a segment swept by a disc, so its side is curved, not faceted). The fifth is a hull of vertices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

NO_HULL = -1
# Vertices to look at before one more hull by itself is cheaper than reading all hulls as one padded table.
WORTH_A_CALL = 2500


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

    def take(self, items: Index) -> Cores:
        """The cores of these items."""
        return Cores(self.half[:, items], self.disc[items], self.hull[items], self.corners)


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
    point = np.copysign(cores.half, direction)
    if cores.disc.any():
        x, y = direction[0], direction[1]
        across = np.hypot(x, y)
        # Straight along the axis every point of the cap is farthest: its centre will do.
        scale = np.divide(cores.disc, across, out=np.zeros_like(across), where=across > 0.0)
        point[0] += x * scale
        point[1] += y * scale
    if cores.corners.size:
        items = np.flatnonzero(cores.hull != NO_HULL)
        point[:, items] = farthest_corner(cores.corners, cores.hull[items], direction[:, items])
    return point


def farthest_corner(corners: Array, hull: Index, direction: Array) -> Array:
    """The vertex (3, N) [mm] of each hull (N,), a row of corners (H, 3, V), farthest along direction (3, N)."""
    rows = np.flatnonzero(np.bincount(hull, minlength=1))
    if hull.size * corners.shape[2] <= rows.size * WORTH_A_CALL:
        own = corners[hull]
        best = np.argmax(np.einsum("ncv,cn->nv", own, direction), axis=1)
        return own[np.arange(hull.size), :, best].T
    point = np.empty_like(direction)
    for row in rows:
        items = np.flatnonzero(hull == row)
        along = direction[:, items].T @ corners[row]
        point[:, items] = corners[row][:, np.argmax(along, axis=1)]
    return point
