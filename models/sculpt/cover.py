"""Convex pieces of few corners that, grown by a thin skin, cover what a mesh encloses."""

from __future__ import annotations

from math import ceil

import numpy as np

from posekit.clearance.hull import gaps_to_hull
from posekit.shape.piece_file import Pieces
from sculpt.skin import GRID_MM, Points

GOLDEN = np.pi * (3 - np.sqrt(5))


def cover(*bodies: Points, corners: int = 48, within_mm: float = 0.3) -> Pieces:
    """One convex piece for each body (n, 3), on at most `corners` of its own points.

    Corners are taken one by one, each time the point that stands out furthest, until nothing stands
    out more than `within_mm`. The skin is what still does, rounded up: the thickest that any body needs.
    """
    directions = _directions(5000)
    hulls, proud = [], 0.0
    for body in bodies:
        points = np.round(body / GRID_MM) * GRID_MM
        reach = points @ directions.T
        furthest, most = reach.argmax(axis=0), reach.max(axis=0)
        chosen = [int(furthest[0])]
        left = most - reach[chosen[0]]
        while left.max() > within_mm and len(chosen) < corners:
            chosen.append(int(furthest[left.argmax()]))
            left = np.minimum(left, most - reach[chosen[-1]])
        hulls.append(points[chosen])
        proud = max(proud, float(gaps_to_hull(points, points[chosen]).upper.max()))
    return Pieces(tuple(hulls), ceil(20 * proud + 0.2) / 20)


def _directions(many: int) -> Points:
    """Unit vectors spread evenly over the sphere (Fibonacci's spiral)."""
    k = np.arange(many) + 0.5
    z = 1 - 2 * k / many
    flat = np.sqrt(1 - z**2)
    return np.stack([flat * np.cos(GOLDEN * k), flat * np.sin(GOLDEN * k), z], axis=1)
