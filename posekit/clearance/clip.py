"""A convex hull of points cut by planes: by its points alone, which need no faces.

Every point of a section lies between a corner before the plane and one beyond it, so the places where the
lines between all such corners pass the plane span the section. Of these only their own corners are kept.
"""

from __future__ import annotations

from collections.abc import Generator
from math import hypot

import numpy as np

from posekit.arrays import Array
from posekit.transforms import unit

LEVEL = 1e-12  # share of the size within which a corner counts as on the plane
ASLANT = np.array([0.8, 0.6])  # any direction will do to begin with; along an axis many points would be level


def beyond_steps(
    points: Array, normals: Array, heights: Array
) -> Generator[None, None, tuple[list[Array], bool]]:
    """The hull of points (V, 3) without what lies below all planes, as convex parts; and whether anything did.

    Planes are unit normals (F, 3) and heights (F,) [mm]. The parts share no volume, and together hold every
    point of the hull that is beyond one of the planes. In small steps, of a cut each, for callers with other work.
    """
    parts: list[Array] = []
    rest, left = points, list(range(len(heights)))
    # Ends: each round takes a plane out of those that are left.
    while left:
        over = (rest @ normals[left].T).max(axis=0) - heights[left]
        k = int(np.argmax(over))
        if over[k] <= 0.0:
            break
        plane = left.pop(k)
        yield
        below, above = parted(rest, normals[plane], float(heights[plane]))
        parts.append(above)
        if not len(below):
            return parts, False
        rest = below
    return parts, True


def parted(points: Array, normal: Array, height: float) -> tuple[Array, Array]:
    """The hull of points (V, 3) below a plane and above it, as points; none where it does not go there."""
    level = points @ normal - height
    tiny = LEVEL * max(float(np.abs(points).max()), abs(height))
    below, above = level < -tiny, level > tiny
    on = points[~below & ~above]
    if not (below.any() and above.any()):
        return (points, on) if below.any() else (points[:0], points)
    share = level[above][:, None] / (level[above][:, None] - level[below][None])
    crossing = points[above][:, None] * (1.0 - share[..., None]) + points[below][None] * share[..., None]
    section = _corners_in_plane(np.concatenate([crossing.reshape(-1, 3), on]), normal)
    return np.concatenate([points[below], section]), np.concatenate([points[above], section])


def _corners_in_plane(points: Array, normal: Array) -> Array:
    """Those of points (N, 3) in one plane that are corners of their hull, but for rounding.

    From the two ends, each side is bent to its farthest point until none stands out (Eddy, ACM Transactions
    on Mathematical Software 3(4), 1977). Every bend takes one point out of those that wait.
    """
    across = unit(np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))]))
    flat = points @ np.stack([across, np.cross(normal, across)], axis=1)
    tiny = LEVEL * float(np.ptp(flat, axis=0).max())
    along = flat @ ASLANT
    ends = int(np.argmin(along)), int(np.argmax(along))
    kept, every = {*ends}, np.arange(len(points))
    waiting = [(*ends, every), (*ends[::-1], every)]
    # Ends: each bend takes a point out of those on its side, and a side without any is done.
    while waiting:
        a, b, rows = waiting.pop()
        x, y = (flat[b] - flat[a]).tolist()
        aside = x * (flat[rows, 1] - flat[a, 1]) - y * (flat[rows, 0] - flat[a, 0])
        out = np.flatnonzero(aside > tiny * hypot(x, y))
        if out.size:
            best = int(np.argmax(aside[out]))
            c, others = int(rows[out[best]]), np.delete(rows[out], best)
            kept.add(c)
            waiting += [(a, c, others), (c, b, others)]
    return np.asarray(points[sorted(kept)])
