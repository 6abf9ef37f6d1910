"""Distance between convex cores, many pairs at once: the narrow phase.

The algorithm of Gilbert, Johnson and Keerthi (IEEE Journal of Robotics and Automation 4(2), 1988) on
arrays whose last axis is the item. The Minkowski difference A - B is searched for its point nearest to
the origin. Each support point w against a direction v proves `v.w / |v| <= distance`, each v found on the
simplex proves `distance <= |v|`: every item carries its own certificate and ends when the two meet.

All vectors live in the frame of core A; `Placed` tells where core B is in it.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.clearance.cores import Cores, nearest_corner, nearest_point, support
from posekit.clearance.simplex import LEAST, dot, nearest_of_simplex

TOLERANCE_MM = 1e-9
MOST_STEPS = 128
MOST_IDLE = 4
GUESSES = 5
EPSILON = float(np.finfo(np.float64).eps)
WORTH_DROPPING = 0.15


@dataclass(frozen=True, slots=True)
class Placed:
    """N pairs of cores: A, B, B's rotation (3, 3, N) and centre (3, N) [mm] in the frame of A.

    `rounding` (N,) [mm] is what the two radii take off the distance. `group` (N,) names the limit that
    tells when a pair is far enough not to matter.
    """

    a: Cores
    b: Cores
    rotation: Array
    centre: Array
    rounding: Array
    group: Index

    def take(self, items: Index) -> Placed:
        """These pairs alone."""
        return Placed(
            self.a.take(items),
            self.b.take(items),
            self.rotation.take(items, axis=-1),
            self.centre.take(items, axis=-1),
            self.rounding[items],
            self.group[items],
        )


@dataclass(frozen=True, slots=True)
class Gap:
    """Bounds (N,) [mm] on the distance of N pairs of cores, the vector from B's nearest point to A's, and A's.

    `offset` and `point_a` are (3, N) [mm] in the frame of core A; `offset` is 0 where the cores overlap,
    `point_a` is nan unless it was asked for.
    """

    lower: Array
    upper: Array
    offset: Array
    point_a: Array


def gap_steps(
    placed: Placed, limit: Array, tolerance_mm: float = TOLERANCE_MM, points: bool = False
) -> Generator[None, None, Gap]:
    """Distance of each pair of cores, to `tolerance_mm` or as near as float64 allows.

    Whether they are apart at all, their radii taken off, is no matter of the tolerance, nor is whether the cores are:
    what is that near and neither proved to be apart nor to overlap is gone on with to TOLERANCE_MM.

    `limit` (G,) [mm] is changed in place: every pair lowers the limit of its group to its own upper bound
    less rounding, and a pair whose lower bound less rounding exceeds it is left there, unfinished.

    In small steps, of a support point each, for callers with other work to do.
    """
    count = placed.group.size
    found = Gap(np.zeros(count), np.zeros(count), np.zeros((3, count)), np.full((3, count), np.nan))
    items = np.arange(count)
    # Where points are asked for, rows 3 to 5 below each vector of A - B hold the point of A that it is made of.
    v = _first_guess(placed, points)
    norm = np.sqrt(dot(v[:3], v[:3]))
    u = _unit(v[:3])
    simplex = np.stack((v, v, v))
    lower = np.zeros(count)
    least_mm = min(tolerance_mm, TOLERANCE_MM)
    tiny = 16 * EPSILON * np.sqrt(dot(placed.centre, placed.centre))
    ended = np.zeros(count, bool)
    idle = np.zeros(count, np.intp)
    for step in range(MOST_STEPS):
        yield
        w = farthest(placed, u, points)
        np.maximum(lower, dot(u, w[:3]), out=lower)
        if step == 0:
            tiny += 16 * EPSILON * np.abs(w[:3]).max(axis=0)
        np.minimum.at(limit, placed.group, np.maximum(norm - placed.rounding, 0.0))
        decided = (lower > placed.rounding) | ((norm <= placed.rounding) & (lower > 0.0))
        done = (
            ended
            | (norm <= tiny)
            | (norm - lower <= np.where(decided, tolerance_mm, least_mm))
            | (lower - placed.rounding > limit[placed.group])
        )
        leaving = np.count_nonzero(done)
        last = leaving == items.size or step == MOST_STEPS - 1
        if last or leaving > WORTH_DROPPING * items.size:
            rows = np.arange(items.size) if last else np.flatnonzero(done)
            apart = norm[rows] > tiny[rows]
            found.lower[items[rows]] = np.minimum(lower[rows], norm[rows]) * apart
            found.upper[items[rows]] = norm[rows] * apart
            found.offset[:, items[rows]] = u[:, rows] * (norm[rows] * apart)
            if points:
                found.point_a[:, items[rows]] = v[3:, rows]
            if last:
                break
            rows = np.flatnonzero(~done)
            placed, items, ended = placed.take(rows), items[rows], ended[rows]
            tiny, idle = tiny[rows], idle[rows]
            v, u, norm, lower = v.take(rows, axis=-1), u.take(rows, axis=-1), norm[rows], lower[rows]
            w, simplex = w.take(rows, axis=-1), simplex.take(rows, axis=-1)
        nearer, way, inside = nearest_of_simplex(w, simplex, min(step + 1, 3))
        nearer_norm = np.sqrt(dot(nearer[:3], nearer[:3]))
        overlap = inside & (lower <= 0.0) & ~ended
        # A turn of v too small to show in |v| can still be what the next support point needs, so a step that
        # brings nothing is taken as well; several in a row mean that float64 has no more to give.
        idle = np.where(nearer_norm < norm, 0, idle + 1)
        moved = (nearer_norm <= norm + tiny) & ~overlap & ~ended
        v = np.where(moved, nearer, v)
        u = np.where(moved, _unit(way), u)
        norm = np.where(moved, nearer_norm, norm)
        norm[overlap] = 0.0
        ended |= ~moved | (idle == MOST_IDLE)
    return found


def _unit(vectors: Array) -> Array:
    """Vectors (3, N) at length 1; 0 stays 0."""
    return vectors / np.maximum(np.sqrt(dot(vectors, vectors)), LEAST)


def _first_guess(placed: Placed, points: bool) -> Array:
    """A vector (3, N) of A - B near the origin; (6, N), above the point of A in it, with `points`.

    Alternating projections onto the two convex sets (von Neumann; Cheney and Goldstein 1959) creep to the
    distance in the end; their first few steps are the cheapest way to come near, most of all for cylinders.
    The vertex of a hull is chosen once and kept.
    """
    corner_a = nearest_corner(placed.a, placed.centre)
    a = corner_a + nearest_point(placed.a, placed.centre)
    in_b = np.einsum("ijn,in->jn", placed.rotation, a - placed.centre)
    corner_b = nearest_corner(placed.b, in_b)
    settled = placed.a.are_hulls and placed.b.are_hulls
    for _ in range(1 if settled else GUESSES):
        b = corner_b + nearest_point(placed.b, in_b)
        b = np.einsum("ijn,jn->in", placed.rotation, b) + placed.centre
        a = corner_a + nearest_point(placed.a, b)
        in_b = np.einsum("ijn,in->jn", placed.rotation, a - placed.centre)
    return np.concatenate((a - b, a)) if points else a - b


def farthest(placed: Placed, u: Array, points: bool) -> Array:
    """Support points (3, N) of A - B against directions u (3, N); (6, N), above those of A, with `points`."""
    a = support(placed.a, -u)
    b = support(placed.b, np.einsum("ijn,in->jn", placed.rotation, u))
    b = np.einsum("ijn,jn->in", placed.rotation, b) + placed.centre
    return np.concatenate((a - b, a)) if points else a - b
