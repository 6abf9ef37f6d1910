"""How near a part can come along one direction while joints move a little.

Let z be a point of a part that joints 1 (nearest to the observer) to m carry, each turning about a fixed
line or sliding along one at the centre pose (product of exponentials: K. Lynch and F. Park, Modern
Robotics, ch. 4), by amounts |t_j| <= d_j [rad | mm]. Along the unit direction n

    n.z(t) - n.z(0) = sum_j s_j t_j + remainder,    s_j = n.(w_j x (z - o_j)), or n.w_j for a slide.

Second derivatives: d2z/dt_i dt_j with i the inner joint is w_i x (velocity of z by joint j), turned by the
joints inside of i, so no longer than L_j if i turns and 0 if it slides; L_j is 1 for a slide, and for a
turn the largest distance of z from axis j, which only the joints outside of j change:
L_j <= |w_j x (z - o_j)| + sum_{k > j} d_k L_k. By Taylor with Lagrange's remainder along the straight way,

    remainder <= 1/2 sum_i sum_j d_i d_j [inner one turns] L_outer,

and whatever the direction, a point moves no farther than sum_j d_j L_j. Either bound holds. Where several
joints go with one coordinate their s_j are added before the absolute value is taken, so that what one
takes back of another counts. The first order is taken corner by corner, the lengths L for a ball about all
corners. For any t a rigid motion is affine in z: what holds for the corners of a hull holds for all of it,
and a radius about it moves along unchanged.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Truth = NDArray[np.bool_]

CHUNK = 1 << 15  # numbers worked on at once: they stay in a processor's cache


@dataclass(frozen=True, slots=True)
class Play:
    """What the m joints that carry a part can do around N centre poses; joints ordered from the observer out.

    `origin`, `direction` (3, m, N) [mm] place the axes in the frame of the part; `delta` (m, N) [rad | mm] is
    how far each joint can go from its centre. Joint j goes by `pull[j, c]` [rad | mm] for each unit of
    coordinate c where `free` (m, N) is true, and as it likes where a stop cuts into its cell. `half` (C, N)
    is how far the coordinates go. `turns` (m,) tells revolute joints.
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


def nearest(corners: Array, floor: Array | None, along: Array, play: Play) -> tuple[Array, Array]:
    """Least height along a direction that a hull of corners keeps, whatever its joints do; and who takes it.

    Corners (V, 3) [mm] and unit directions `along` (3, N) are in the frame of the part. `floor` (N,) [mm] is
    the least height at rest if the corners lie outside the part, as about a disc. Heights (N,) [mm], and the
    share (C, N) [mm] of each coordinate in what the height loses.
    """
    second, carried, bent = remainder(corners, play)
    N, chunk = along.shape[1], max(CHUNK // len(corners), 1)
    least, share = np.empty(N), np.empty(play.half.shape)
    for start in range(0, N, chunk):
        now = slice(start, start + chunk)
        height = corners @ along[:, now]
        first, share[:, now] = first_order(corners, along[:, now], play, now)
        rest = height.min(axis=0) if floor is None else floor[now]
        # The disc itself begins at its floor, though corners about it lie lower.
        by_floor = rest - first.max(axis=0)
        by_corner = (height - first).min(axis=0)
        least[now] = np.maximum(np.maximum(by_corner, by_floor) - second[now], rest - carried[now])
    return least, share + bent


def first_order(corners: Array, along: Array, play: Play, now: slice) -> tuple[Array, Array]:
    """How far each corner (V, N) [mm] can go along the direction to first order; largest shares (C, N) [mm]."""
    by_coordinate: dict[int, Array] = {}
    total = np.zeros((len(corners), along.shape[1]))
    for j, turns in enumerate(play.turns):
        w, free = play.direction[:, j, now], play.free[j, now]
        if turns:
            across = cross(along, w)
            slope = corners @ across - dot(play.origin[:, j, now], across)
        else:
            slope = np.broadcast_to(dot(along, w), total.shape)
        if not free.all():
            total += np.abs(slope) * np.where(free, 0.0, play.delta[j, now])
        for c in np.flatnonzero(play.pull[j]):
            part = slope * np.where(free, play.pull[j, c], 0.0)
            by_coordinate[c] = by_coordinate[c] + part if c in by_coordinate else part
    share = np.zeros((len(play.half), along.shape[1]))
    for c, part in by_coordinate.items():
        np.abs(part, out=part)
        part *= play.half[c, now]
        share[c] = part.max(axis=0)
        total += part
    return total, share


def remainder(corners: Array, play: Play) -> tuple[Array, Array, Array]:
    """The second order, and how far any point can move at all, (N,) [mm]; the second order's shares (C, N)."""
    centre = (corners.min(axis=0) + corners.max(axis=0)) / 2
    radius = float(np.linalg.norm(corners - centre, axis=1).max())
    inner = np.cumsum(np.where(play.turns[:, None], play.delta, 0.0), axis=0)
    second, carried = np.zeros(play.half.shape[1]), np.zeros(play.half.shape[1])
    bent = np.zeros(play.half.shape)
    for j in reversed(range(len(play.turns))):
        delta, length = play.delta[j], np.ones_like(carried)
        if play.turns[j]:
            arm = cross(play.direction[:, j], centre[:, None] - play.origin[:, j])
            length = np.sqrt(dot(arm, arm)) + radius + carried
            second += length * delta * (inner[j] - delta / 2)
        else:
            second += delta * inner[j]
        carried = carried + length * delta
        bent += np.abs(play.pull[j])[:, None] * play.half * length * (inner[-1] / 2)
    return second, carried, bent


def dot(a: Array, b: Array) -> Array:
    """Scalar products over the first axis."""
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def cross(a: Array, b: Array) -> Array:
    """Vector products over the first axis."""
    return np.stack([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])
