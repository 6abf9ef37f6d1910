"""The point of a simplex nearest to the origin, many simplices at once (item axis last).

A simplex is its newest vertex w and three older ones, some of which may repeat each other or w. What is
nearest must touch w, or w would have brought nothing: so only w's three edges, three faces and the inside
count. Face weights come from cross products rather than from a Gram matrix: thin faces, which curved
cores bring, then lose half as many digits.
"""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array, Truth

LEAST = float(np.finfo(np.float64).tiny)
FAVOUR = 1.0 - 32 * float(np.finfo(np.float64).eps)
# Faces at w over one, two and three older vertices; face k lies between edge k and the next, 2 and 0.
FACES = (0, 0, 1, 3)


def nearest_of_simplex(w: Array, older: Array, count: int) -> tuple[Array, Array, Truth]:
    """Nearest point v (R, N) of each simplex, the way (3, N) from the origin to it, and whether 0 lies inside.

    w (R, N) is the newest vertex and older (3, R, N) the older ones, of which only the first `count` can
    differ from each other. Rows 0 to 2 of R are coordinates [mm]; rows after that are carried along with
    the same weights. The way is v itself or, where 0 comes so near to a face that v has lost its digits, the
    face's normal; it has any length. `older` is changed in place: vertices that do not carry v give way to w.
    """
    faces = FACES[count]
    point = w[:3]
    edge = np.empty((count + (faces == 3), *w.shape))
    np.subtract(older[:count], w, out=edge[:count])
    edge[count:] = edge[:1]  # face 2 lies between edge 2 and edge 0, here again
    e = edge[:, :3]
    length2 = dot(e[:count], e[:count])
    along = -dot(e[:count], point) / np.maximum(length2, LEAST)
    np.minimum(np.maximum(along, 0.0, out=along), 1.0, out=along)
    on_edge = along[:, None] * e[:count]
    on_edge += point
    distance2 = np.empty((count + faces, w.shape[-1]))
    distance2[:count] = dot(on_edge, on_edge)
    if not faces:
        weight = along
        v = w + along[0] * edge[0]
        way = v[:3]
        inside = np.zeros(w.shape[-1], bool)
    else:
        normal = _cross(e[:faces], e[1 : faces + 1])
        moment = _cross(e, point)
        area2, height = dot(normal, normal), dot(normal, point)
        with np.errstate(divide="ignore", invalid="ignore"):
            s = dot(normal, moment[1 : faces + 1]) / area2
            t = dot(normal, moment[:faces]) / -area2
            lift = height / area2
            on_face = (s > 0.0) & (t > 0.0) & (s + t < 1.0)
            # Where a face is as near as its edge, but for rounding, the face knows better which way v points.
            distance2[count:] = np.where(on_face, height * lift * FAVOUR, np.inf)
            depth = height / -dot(normal[0], e[2]) if faces == 3 else np.full_like(height, -1.0)
            inside = (depth >= 0.0).all(axis=0) & (depth.sum(axis=0) <= 1.0)
        best = np.argmin(distance2, axis=0)
        weight = np.where(best == np.arange(count)[:, None], along, 0.0)
        chosen = best == np.arange(count, count + faces)[:, None]
        weight[:faces] += np.where(chosen, s, 0.0)
        weight[1 : faces + 1] += np.where(chosen, t, 0.0)[: count - 1]
        if faces == 3:
            weight[0] += np.where(chosen[2], t[2], 0.0)
        v = w + np.einsum("kn,krn->rn", weight, edge[:count])
        # Both are off by rounding: v by its size over |v|, a normal by its edges squared over its length.
        wide = np.where(chosen, area2, 0.0).sum(axis=0) > length2.max(axis=0) * dot(v[:3], v[:3])
        upright = np.einsum("fn,fcn->cn", np.where(chosen, lift, 0.0), normal)
        way = np.where(wide, upright, v[:3])
    np.copyto(older[:count], w, where=(weight <= 0.0)[:, None])
    older[count:] = w
    return v, way, inside


def dot(a: Array, b: Array) -> Array:
    """Scalar products along the axis before the last: (..., 3, N) to (..., N)."""
    return np.asarray(np.einsum("...cn,...cn->...n", a, b))


def _cross(a: Array, b: Array) -> Array:
    """Vector products (K, 3, N) of (K, 3, N) with (K, 3, N) or (3, N), along the axis before the last."""
    ax, ay, az = a[:, 0], a[:, 1], a[:, 2]
    bx, by, bz = b[..., 0, :], b[..., 1, :], b[..., 2, :]
    product = np.empty(a.shape)
    np.subtract(ay * bz, az * by, out=product[:, 0])
    np.subtract(az * bx, ax * bz, out=product[:, 1])
    np.subtract(ax * by, ay * bx, out=product[:, 2])
    return product
