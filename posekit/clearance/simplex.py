"""The point of a simplex nearest to the origin, many simplices at once (item axis last).

A simplex is its newest vertex w and three older ones, some of which may repeat each other or w. What is
nearest must touch w, or w would have brought nothing: so only w's three edges, three faces and the inside
count. Face weights come from cross products rather than from a Gram matrix: thin faces, which curved
cores bring, then lose half as many digits.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Truth = NDArray[np.bool_]

# Faces at the newest vertex as pairs of older vertices, for one, two and three older ones that differ.
LEAST = float(np.finfo(np.float64).tiny)
FACES: tuple[tuple[list[int], list[int]], ...] = (([], []), ([], []), ([0], [1]), ([0, 1, 2], [1, 2, 0]))


def nearest(w: Array, older: Array, count: int) -> tuple[Array, Array, Truth]:
    """Nearest point v (R, N), the up to three vertices (3, R, N) that carry it, and whether 0 lies inside.

    w (R, N) is the newest vertex and older (3, R, N) the older ones, of which only the first `count` can
    differ from each other. Rows 0 to 2 of R are coordinates [mm]; rows after that are carried along with
    the same weights. Vertices that do not carry v are replaced by w.
    """
    edge = older[:count] - w
    e, n = edge[:, :3], w.shape[-1]
    length2 = dot(e, e)
    along = -dot(e, w[:3]) / np.maximum(length2, LEAST)
    np.minimum(np.maximum(along, 0.0, out=along), 1.0, out=along)
    first, second = FACES[count]
    weights = np.zeros((count + len(first), count, n))
    distance2 = np.empty((count + len(first), n))
    rows = np.arange(count)
    weights[rows, rows] = along
    on_edge = w[:3] + along[:, None] * e
    distance2[:count] = dot(on_edge, on_edge)
    inside = np.zeros(n, bool)
    normal = cross(e[first], e[second])
    area2 = dot(normal, normal)
    height = dot(normal, w[:3])
    if first:
        moment = cross(e, w[:3])
        with np.errstate(divide="ignore", invalid="ignore"):
            s = dot(normal, moment[second]) / area2
            t = dot(normal, moment[first]) / -area2
            on_face = (s > 0.0) & (t > 0.0) & (s + t < 1.0)
            distance2[count:] = np.where(on_face, height * height / area2, np.inf)
            if count == 3:
                depth = height / -dot(normal[0], e[2])
                inside = (depth >= 0.0).all(axis=0) & (depth.sum(axis=0) <= 1.0)
        rows = np.arange(count, count + len(first))
        weights[rows, first] = s
        weights[rows, second] = t
    best = np.argmin(distance2, axis=0)
    weight = weights[best, :, np.arange(n)].T
    v = w + np.einsum("kn,krn->rn", weight, edge)
    if first:
        # Off a face v comes from its normal, whose direction keeps all its digits however near 0 is.
        face = np.flatnonzero(best >= count)
        which = best[face] - count
        v[:3, face] = normal[which, :, face].T * (height[which, face] / area2[which, face])
    carriers = np.empty((3, *w.shape))
    carriers[:count] = np.where(weight[:, None] > 0.0, older[:count], w)
    carriers[count:] = w
    return v, carriers, inside


def dot(a: Array, b: Array) -> Array:
    """Scalar products along the axis before the last: (..., 3, N) to (..., N)."""
    return np.asarray(np.einsum("...cn,...cn->...n", a, b))


def cross(a: Array, b: Array) -> Array:
    """Vector products along the axis before the last."""
    ax, ay, az = a[..., 0, :], a[..., 1, :], a[..., 2, :]
    bx, by, bz = b[..., 0, :], b[..., 1, :], b[..., 2, :]
    return np.stack((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx), axis=-2)
