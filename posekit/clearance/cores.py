"""The convex cores inside solid shapes, many at once, and the one thing asked of them: their support point.

A solid is a core grown by a radius. Four of the five forms share one closed form: a box of half edges
`half`, swept by a disc of radius `disc` in its xy plane (sphere: a point; capsule: a segment; box: a box;
cylinder: a segment swept by a disc, so its side is curved, not faceted). The fifth is a hull of vertices.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

NO_HULL = -1


@dataclass(frozen=True, slots=True)
class Cores:
    """N cores, each in its own frame with its centre, a point of the core, at the origin; item axis last.

    `hull` (N,) is a row of `hulls`, whose entries are vertices (V, 3) [mm], or NO_HULL.
    """

    half: Array  # (3, N) mm
    disc: Array  # (N,) mm
    hull: Index  # (N,)
    hulls: tuple[Array, ...]

    def take(self, items: Index) -> Cores:
        """The cores of these items."""
        return Cores(self.half[:, items], self.disc[items], self.hull[items], self.hulls)


def point_cores(count: int) -> Cores:
    """Cores that are points."""
    return Cores(np.zeros((3, count)), np.zeros(count), np.full(count, NO_HULL, np.intp), ())


def hull_cores(vertices: Array, count: int) -> Cores:
    """Cores that are all the hull of the same vertices (V, 3) [mm]."""
    return Cores(np.zeros((3, count)), np.zeros(count), np.zeros(count, np.intp), (vertices,))


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
    if cores.hulls:
        for row in np.flatnonzero(np.bincount(cores.hull + 1)[1:]):
            items = np.flatnonzero(cores.hull == row)
            vertices = cores.hulls[row]
            point[:, items] = vertices[np.argmax(direction[:, items].T @ vertices.T, axis=1)].T
    return point
