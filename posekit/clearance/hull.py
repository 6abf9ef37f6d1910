"""Corners of a convex hull, found with the narrow phase itself: the browser has no scipy."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from itertools import product

import numpy as np

from posekit.arrays import Array, Index
from posekit.budgets import HULL_CORNERS
from posekit.chance import shuffled
from posekit.clearance.cores import hull_cores, point_cores
from posekit.clearance.gjk import TOLERANCE_MM, Gap, Placed, gap_steps
from posekit.stepwise import finished

# How far, as a share of its size, a point may stand outside and still count as rounding.
ROUNDING = 2e-12
MANY, FEW = 256, 8  # corners added at once: where all are wanted, or as few as will do
LOOK = 4096  # points looked at before corners are added
BATCH = 8192
BLOCK = 1 << 20  # products held at once
SKIN_SHARE = 1e-5  # of its size, to which the skin of a hull of too many corners is measured
DIRECTIONS = np.array([direction for direction in product((-1.0, 0.0, 1.0), repeat=3) if any(direction)])


@dataclass(frozen=True, slots=True)
class _Hull:
    """A convex hull: its corners (V, 3) [mm], which grown by `skin_mm` hold all points it was made of."""

    corners: Array
    skin_mm: float


def hull_of(points: Array, within_mm: float = 0.0, most: int = HULL_CORNERS, at_once: int = MANY) -> _Hull:
    """The hull of points (N, 3) [mm], to `within_mm` and rounding, or as near as `most` corners come.

    `at_once` corners are added before the others are looked at again: FEW find fewer in all.
    Grown from the outermost points along a few directions: whatever point still lies outside tells a
    direction in which the hull must go on, until none does. Needs no faces, so flat and even straight
    sets of points are as good as solid ones.
    """
    points = np.unique(np.asarray(points, float), axis=0)
    size = float(np.ptp(points, axis=0).max())
    rounding = ROUNDING * size
    is_corner = np.zeros(len(points), bool)
    is_corner[_farthest_along(points, DIRECTIONS)] = True
    corners = np.flatnonzero(is_corner)
    # Not in the order of their coordinates, so that the first ones looked at come from all over.
    waiting = shuffled(np.flatnonzero(~is_corner))
    skin_mm = 0.0
    # Ends: whatever rounding does to the distances, each round takes one out of those that wait.
    while waiting.size and corners.size < most:
        gap = gaps_to_hull(points[waiting[:LOOK]], points[corners])
        outside = gap.upper > max(within_mm, rounding)
        skin_mm = max(skin_mm, float(gap.upper[~outside].max(initial=0.0)))
        worst = np.argsort(-gap.upper, kind="stable")[: min(at_once, most - corners.size, outside.sum())]
        waiting = np.concatenate((waiting[LOOK:], waiting[:LOOK][outside]))
        found = np.unique(_farthest_along(points[waiting], gap.offset[:, worst].T))
        corners = np.concatenate((corners, waiting[found]))
        waiting = np.delete(waiting, found)
    if waiting.size:
        left = gaps_to_hull(points[waiting], points[corners], SKIN_SHARE * size).upper
        skin_mm = max(skin_mm, float(left.max()))
    return _Hull(points[corners], skin_mm if skin_mm > rounding else 0.0)


def _farthest_along(points: Array, directions: Array) -> Index:
    """The row of the point (N, 3) farthest along each direction (D, 3)."""
    few = max(BLOCK // max(len(points), 1), 1)
    blocks = [directions[begin : begin + few] for begin in range(0, len(directions), few)]
    return np.concatenate([np.empty(0, np.intp), *(np.argmax(block @ points.T, axis=1) for block in blocks)])


def gaps_to_hull(points: Array, corners: Array, tolerance_mm: float = TOLERANCE_MM) -> Gap:
    """Distance [mm] of each point (N, 3) from the hull of `corners` (V, 3); `offset` leads there from the hull."""
    return finished(hull_gap_steps(points, corners, tolerance_mm))


def hull_gap_steps(
    points: Array, corners: Array, tolerance_mm: float = TOLERANCE_MM
) -> Generator[None, None, Gap]:
    """`gaps_to_hull` in small steps, for callers with other work to do."""
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
        gap = yield from gap_steps(placed, np.full(count, np.inf), tolerance_mm)
        lower.append(gap.lower)
        upper.append(gap.upper)
        offset.append(gap.offset)
    nowhere = np.full((3, len(points)), np.nan)
    return Gap(np.concatenate(lower), np.concatenate(upper), np.concatenate(offset, axis=1), nowhere)
