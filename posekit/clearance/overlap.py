"""How far the common part of two convex pieces reaches along a direction, bounded from above.

The most of n.x over A and B together is a linear programme over the points of both: weights on pairs (a, b)
with a weighted difference of 0, most n.a. It is solved by columns made when they are wanted (Dantzig and
Wolfe, Operations Research 8(1), 1960): each step asks two support points, which is all there is to ask of a
core. Its dual is a vector m, and any m proves `n.x <= h_A(n - m) + h_B(m)` for all x in both, with h the
support heights; the least of these is told. So the bound holds however early the steps end.
"""

from __future__ import annotations

from collections.abc import Generator

import numpy as np

from posekit.arrays import Array
from posekit.clearance.cores import support
from posekit.clearance.gjk import Placed
from posekit.clearance.simplex import LEAST, dot

MOST_STEPS = 48
WITHIN = 1e-3  # share of the size that a bound may be too large
# Weight of the four columns that only make a start, against the size of the pieces.
PENALTY = 1e4
START = np.array([[1.0, 1.0, 1.0], [1.0, -1.0, -1.0], [-1.0, 1.0, -1.0], [-1.0, -1.0, 1.0]])


def reach_steps(pair: Placed, radius_a: Array, radius_b: Array, along: Array) -> Generator[None, None, Array]:
    """A height (N,) [mm] along unit directions (3, N) that no point of both pieces passes.

    Pieces are the cores of `pair` grown by `radius_a` and `radius_b` (N,) [mm]; directions and heights are
    in the frame of core A. Where the pieces have no point in common the height means nothing. In small steps, of a
    column each, for callers with other work to do.
    """
    N = along.shape[1]
    size = np.abs(along).sum(axis=0) + _height(pair, radius_a, radius_b, along)[1] + 1.0
    basis = np.empty((N, 4, 4))  # columns: a - b, and 1
    basis[:, :3] = START.T * size[:, None, None]
    basis[:, 3] = 1.0
    cost = np.repeat(-PENALTY * size[:, None], 4, axis=1)
    target = np.broadcast_to([0.0, 0.0, 0.0, 1.0], (N, 4))[..., None]
    least = np.minimum(*(bound(pair, radius_a, radius_b, along, m)[0] for m in (0.0 * along, along)))
    rows = np.arange(N)
    for _ in range(MOST_STEPS):
        yield
        # A basis gone singular has no more to tell: its item keeps the bound it has.
        flat = np.abs(np.linalg.det(basis)) <= LEAST
        basis[flat] = np.eye(4)
        dual = np.linalg.solve(basis.transpose(0, 2, 1), cost[..., None])[..., 0]
        found, a, b = bound(pair, radius_a, radius_b, along, dual[:, :3].T)
        least = np.where(flat, least, np.minimum(least, found))
        gain = found - dual[:, 3]
        if (flat | (gain <= WITHIN * size)).all():
            break
        column = np.concatenate(((a - b).T, np.ones((N, 1))), axis=1)
        weight = np.linalg.solve(basis, target)[..., 0]
        change = np.linalg.solve(basis, column[..., None])[..., 0]
        falls = change > 1e-12
        ratio = np.where(falls, np.maximum(weight, 0.0) / np.where(falls, change, 1.0), np.inf)
        out = np.argmin(ratio, axis=1)
        going = ~flat & falls.any(axis=1) & (gain > WITHIN * size)
        basis[rows[going], :, out[going]] = column[going]
        cost[rows[going], out[going]] = dot(along, a)[going]
    return least


def bound(
    pair: Placed, radius_a: Array, radius_b: Array, along: Array, m: Array
) -> tuple[Array, Array, Array]:
    """What m (3, N) proves, h_A(n - m) + h_B(m) (N,) [mm], and the points (3, N) of A and B that it meets."""
    a = support(pair.a, along - m) + _grown(along - m, radius_a)
    b = support(pair.b, np.einsum("ijn,in->jn", pair.rotation, m))
    b = np.einsum("ijn,jn->in", pair.rotation, b) + pair.centre + _grown(m, radius_b)
    return dot(along - m, a) + dot(m, b), a, b


def _grown(direction: Array, radius: Array) -> Array:
    """The point (3, N) [mm] of a ball about the origin farthest along directions (3, N)."""
    length = np.sqrt(dot(direction, direction))
    return np.asarray(direction / np.maximum(length, LEAST) * radius)


def _height(pair: Placed, radius_a: Array, radius_b: Array, along: Array) -> tuple[Array, Array]:
    """Support heights (N,) [mm] of B along the directions, and a size [mm] that holds both pieces."""
    size = np.zeros(along.shape[1])
    for axis in np.concatenate([np.eye(3), -np.eye(3)]):
        way = np.repeat(axis[:, None], along.shape[1], axis=1)
        for m in (0.0 * way, way):
            _, a, b = bound(pair, radius_a, radius_b, way, m)
            size = np.maximum(size, np.maximum(np.abs(a).max(axis=0), np.abs(b).max(axis=0)))
    return bound(pair, radius_a, radius_b, along, along)[0], size
