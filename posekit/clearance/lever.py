"""How far the points of a part can move along one direction while joints move a little.

Let z be a point of a part that joints 1 (nearest to the observer) to m carry, each turning about a fixed
line or sliding along one at the centre pose (product of exponentials: K. Lynch and F. Park, Modern
Robotics, ch. 4), by amounts |t_j| <= d_j [rad | mm]. Along the unit direction n

    n.z(t) - n.z(0) = sum_j s_j t_j + remainder,    s_j = n.(w_j x (z - o_j)), or n.w_j for a slide.

Second derivatives: d2z/dt_i dt_j with i the inner joint is w_i x (velocity of z by joint j), turned by the
joints inside of i, so no longer than L_j if i turns and 0 if it slides; L_j is 1 for a slide, and for a
turn the largest distance of z from axis j, which only the joints outside of j change:
L_j <= |w_j x (z - o_j)| + sum_{k > j} d_k L_k. By Taylor with Lagrange's remainder along the straight way,

    remainder <= 1/2 sum_i sum_j d_i d_j [inner one turns] L_outer,

and whatever the direction, a point moves no farther than sum_j d_j L_j. The smaller bound holds. Where
several joints go with one coordinate their s_j are added before the absolute value is taken, so that
what one takes back of another counts. For any t a rigid motion is affine in z: what holds for the corners
of a hull holds for all of it, and a radius about it moves along unchanged.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Truth = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Play:
    """What the m joints that carry a part can do around N centre poses; joints ordered from the observer out.

    `origin`, `direction` (3, m, N) [mm] place the axes; `delta` (m, N) [rad | mm] is how far each joint
    can go from its centre. Joint j goes by `pull[j, c]` [rad | mm] for each unit of coordinate c where
    `free` (m, N) is true, and as it likes where a stop cuts into its cell. `half` (C, N) is how far the
    coordinates go. `turns` (m,) tells revolute joints.
    """

    origin: Array
    direction: Array
    delta: Array
    free: Truth
    half: Array
    pull: Array
    turns: Truth

    def take(self, items: NDArray[np.intp]) -> Play:
        """The same for these poses."""
        return Play(
            self.origin[:, :, items], self.direction[:, :, items], self.delta[:, items], self.free[:, items],
            self.half[:, items], self.pull, self.turns,
        )  # fmt: skip


def travel(points: Array, along: Array, play: Play) -> tuple[Array, Array]:
    """How far each point can move along +-n [mm], and how much of it each coordinate brings.

    Points (3, V, N) and unit directions `along` (3, N) [mm] in the world at the centre poses; to bounds
    (V, N) [mm] and shares (C, N) [mm], the largest over the points.
    """
    shape = points.shape[1:]
    C = len(play.half)
    inner = np.cumsum(np.where(play.turns[:, None], play.delta, 0.0), axis=0)
    total_turn = inner[-1] if len(inner) else np.zeros(shape[1])
    carried, second, loose = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    first = np.zeros((C, *shape))
    bent = np.zeros((C, *shape))
    for j in reversed(range(len(play.turns))):
        w, delta = play.direction[:, j], play.delta[j]
        if play.turns[j]:
            r = points - play.origin[:, j, None]
            slope = dot(r, cross(along, w)[:, None])
            r2 = dot(r, r)
            # |w x r|; the last term is more than rounding can take from the difference.
            length = np.sqrt(np.maximum(r2 - dot(r, w[:, None]) ** 2, 0.0) + 1e-14 * r2) + carried
            second += length * (delta * (inner[j] - delta / 2))
        else:
            slope = np.broadcast_to(dot(along, w), shape)
            length = np.ones(shape)
            second += delta * inner[j]
        carried += length * delta
        free = play.free[j]
        loose += np.where(free, 0.0, np.abs(slope) * delta)
        for c in np.flatnonzero(play.pull[j]):
            first[c] += np.where(free, play.pull[j, c], 0.0) * slope
            bent[c] += abs(play.pull[j, c]) * length
    first = np.abs(first) * play.half[:, None]
    bound = np.minimum(loose + first.sum(axis=0) + second, carried)
    bent *= play.half[:, None] * total_turn / 2
    return bound, (first + bent).max(axis=1)


def wander(points: Array, play: Play) -> Array:
    """How far each point (3, V, N) can move [mm], whatever the direction; (V, N)."""
    carried = np.zeros(points.shape[1:])
    for j in reversed(range(len(play.turns))):
        length: Array | float = 1.0
        if play.turns[j]:
            r, w = points - play.origin[:, j, None], play.direction[:, j, None]
            length = np.sqrt(dot(cross(w, r), cross(w, r))) + carried
        carried = carried + length * play.delta[j]
    return carried


def dot(a: Array, b: Array) -> Array:
    """Scalar products over the first axis."""
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def cross(a: Array, b: Array) -> Array:
    """Vector products over the first axis."""
    return np.stack([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])
