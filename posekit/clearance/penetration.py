"""How deep two links overlap in one pose: the deepest of their pairs of convex pieces."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace

import numpy as np

from posekit.arrays import Array
from posekit.clearance.bounds import piece_pairs, placed_pieces
from posekit.clearance.gjk import TOLERANCE_MM, Gap, Placed, gap_steps
from posekit.clearance.hull import DIRECTIONS
from posekit.clearance.polytope import TOLERANCE_MM as DEPTH_TOLERANCE_MM
from posekit.clearance.polytope import Depth, depth_steps, flat_normal, supports
from posekit.clearance.solids import Solids
from posekit.stepwise import finished


@dataclass(frozen=True, slots=True)
class Penetration:
    """Moving link a by `mm` along the unit vector `normal` (3,) frees its deepest piece from link b's.

    No move by less than `least_mm` frees it: the two differ by the tolerance asked for, or by what very thin
    curved pieces leave open. `point_a` and `point_b` (3,) [mm] are the two pieces' deepest points, `mm` apart
    along the normal. All in the frame of link a. For links of several pieces both are least depths: freeing
    one piece may not free all.
    """

    mm: float
    least_mm: float
    normal: Array
    point_a: Array
    point_b: Array


def penetration(
    parts: Solids, side_a: int, side_b: int, a_from_b: Array, tolerance_mm: float = DEPTH_TOLERANCE_MM
) -> Penetration:
    """Penetration of two sides of `parts` at a_from_b (4, 4) [mm]; 0 mm if they are apart."""
    return finished(penetration_steps(parts, side_a, side_b, a_from_b, tolerance_mm))


def penetration_steps(
    parts: Solids, side_a: int, side_b: int, a_from_b: Array, tolerance_mm: float = DEPTH_TOLERANCE_MM
) -> Generator[None, None, Penetration]:
    """`penetration` in small steps, for callers with other work to do."""
    pairs = piece_pairs(parts, np.array([side_a]), np.array([side_b]), a_from_b[None], 0.0)
    near = np.flatnonzero(pairs.lower <= 0.0)
    placed = placed_pieces(parts, pairs, near)
    placed = replace(placed, group=np.arange(near.size))
    gap = yield from gap_steps(placed, np.zeros(near.size), TOLERANCE_MM, points=True)
    deepest = Penetration(0.0, 0.0, np.zeros(3), np.full(3, np.nan), np.full(3, np.nan))
    for n in np.flatnonzero(gap.upper <= placed.rounding):
        a, b = pairs.piece_a[near[n]], pairs.piece_b[near[n]]
        core = yield from _depth_of_cores(placed.take(np.array([n])), gap, int(n), tolerance_mm)
        rounding = float(placed.rounding[n])
        mm = core.upper + rounding
        if mm >= deepest.mm:
            rotation = parts.rotation[a]
            normal = rotation @ core.normal
            point = rotation @ core.point_a + parts.centre[a]
            deepest = Penetration(
                mm,
                max(core.lower + rounding, 0.0),
                normal,
                point - normal * parts.radius[a],
                point + normal * (core.upper + parts.radius[b]),
            )
    return deepest


def _depth_of_cores(pair: Placed, gap: Gap, n: int, tolerance_mm: float) -> Generator[None, None, Depth]:
    """Penetration of the cores of row n, alone in `pair`: negative where the cores are apart."""
    distance = float(gap.upper[n])
    if distance > TOLERANCE_MM:
        return Depth(-distance, -distance, gap.offset[:, n] / distance, gap.point_a[:, n])
    depth = yield from depth_steps(pair, tolerance_mm)
    if depth is None:
        across = flat_normal(supports(pair, DIRECTIONS))
        return Depth(0.0, 0.0, np.zeros(3) if across is None else across, gap.point_a[:, n])
    return depth
