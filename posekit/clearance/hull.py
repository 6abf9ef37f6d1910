"""Corners of a convex hull, found with the narrow phase itself: the browser has no scipy."""

from __future__ import annotations

from itertools import product

import numpy as np

from posekit.arrays import Array
from posekit.clearance.cores import hull_cores, point_cores
from posekit.clearance.gjk import Gap, Placed, gaps

# How far, as a share of its size, a point may stand outside and still count as rounding.
ROUNDING = 2e-12
MANY, FEW = 256, 8  # corners added at once: all are wanted, or few of them
BATCH = 8192
DIRECTIONS = np.array([direction for direction in product((-1.0, 0.0, 1.0), repeat=3) if any(direction)])


def hull_vertices(points: Array, within_mm: float = 0.0) -> Array:
    """The points (V, 3) [mm] out of (N, 3) whose hull holds all of them, but for `within_mm` and rounding.

    Grown from the outermost points along a few directions: whatever point still lies outside tells a
    direction in which the hull must go on, until none does. Needs no faces, so flat and even straight
    sets of points are as good as solid ones.
    """
    points = np.unique(np.asarray(points, float), axis=0)
    tolerance = max(within_mm, ROUNDING * float(np.ptp(points, axis=0).max()))
    corners = np.unique(np.argmax(points @ DIRECTIONS.T, axis=0))
    waiting = np.setdiff1d(np.arange(len(points)), corners)
    while waiting.size:
        gap = gaps_to_hull(points[waiting], points[corners])
        outside = gap.upper > tolerance
        waiting, offset = waiting[outside], gap.offset[:, outside]
        worst = np.argsort(-gap.upper[outside], kind="stable")[: FEW if within_mm else MANY]
        corners = np.union1d(corners, np.argmax(points @ offset[:, worst], axis=0))
        waiting = np.setdiff1d(waiting, corners)
    return points[corners]


def gaps_to_hull(points: Array, corners: Array) -> Gap:
    """Distance [mm] of each point (N, 3) from the hull of `corners` (V, 3); `offset` leads there from the hull."""
    centre = corners.mean(axis=0)
    lower, upper, offset = [], [], []
    for begin in range(0, len(points), BATCH):
        some = points[begin : begin + BATCH]
        count = len(some)
        placed = Placed(
            a=point_cores(count),
            b=hull_cores(corners - centre, count),
            rotation=np.broadcast_to(np.eye(3)[..., None], (3, 3, count)),
            centre=(centre - some).T,
            rounding=np.zeros(count),
            group=np.arange(count),
        )
        gap = gaps(placed, np.full(count, np.inf))
        lower.append(gap.lower)
        upper.append(gap.upper)
        offset.append(gap.offset)
    nowhere = np.full((3, len(points)), np.nan)
    return Gap(np.concatenate(lower), np.concatenate(upper), np.concatenate(offset, axis=1), nowhere)
