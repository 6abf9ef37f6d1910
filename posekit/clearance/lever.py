"""How near a part can come along one direction while joints move a little.

Let z be a point of a part that joints 1 (nearest to the observer) to m carry, each turning about a fixed
line or sliding along one at the centre pose (product of exponentials: K. Lynch and F. Park, Modern
Robotics, ch. 4), by amounts |t_j| <= d_j [rad | mm]. Along the unit direction n

    n.z(t) - n.z(0) = sum_j s_j t_j + remainder,    s_j = n.(w_j x (z - o_j)), or n.w_j for a slide.

Second derivatives: d2z/dt_i dt_j with i the inner joint is w_i x (velocity of z by joint j), turned by the
joints inside of i, so no longer than L_j if i turns and 0 if it slides; L_j is 1 for a slide, and for a
turn the largest distance of z from axis j, which only the joints outside of j change:
L_j <= |w_j x (z - o_j)| + sum_{k > j} d_k L_k. By Taylor with Lagrange's remainder along the straight way,

    remainder <= 1/2 sum_i sum_j d_i d_j [inner one turns] L_outer.

One order further, with H_ij = n.(w_i x (w_j x (z - o_j))), i the inner, or n.(w_i x w_j) for a slide j,

    loss of height <= 1/2 sum_i d_i^2 max(-H_ii, 0) + sum_{i < j} d_i d_j |H_ij| + third order,
    third order <= 1/6 sum_i sum_j sum_k d_i d_j d_k [the two inner ones turn] L_outermost,

and whatever the direction, a point moves no farther than sum_j d_j L_j. Each bound holds. Where several
joints go with one coordinate their s_j are added before the absolute value is taken, so that what one
takes back of another counts. The first order is taken corner by corner, all else for a ball about all
corners. For any t a rigid motion is affine in z: what holds for the corners of a hull holds for all of it,
and a radius about it moves along unchanged.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array, Truth

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


def least_along(corners: Array, floor: Array | None, along: Array, play: Play) -> tuple[Array, Array]:
    """Least height along a direction that a hull of corners keeps, whatever its joints do; and who takes it.

    Corners (V, 3) [mm] and unit directions `along` (3, N) are in the frame of the part. `floor` (N,) [mm] is
    the least height at rest if the corners lie outside the part, as about a disc. Heights (N,) [mm], and the
    share (C, N) [mm] of each coordinate in what the height loses.
    """
    second, third, carried = remainder(corners, play)
    bent, part = _bend(corners, along, play)
    second = np.minimum(second, bent + third)
    N, chunk = along.shape[1], max(CHUNK // len(corners), 1)
    least, share = np.empty(N), np.empty(play.half.shape)
    for start in range(0, N, chunk):
        now = slice(start, start + chunk)
        height = corners @ along[:, now]
        first, share[:, now] = _first_order(corners, along[:, now], play, now)
        rest = height.min(axis=0) if floor is None else floor[now]
        # The disc itself begins at its floor, though corners about it lie lower.
        by_floor = rest - first.max(axis=0)
        by_corner = (height - first).min(axis=0)
        least[now] = np.maximum(np.maximum(by_corner, by_floor) - second[now], rest - carried[now])
    return least, share + _shared_bend(part + third / max(len(part), 1), play)


def _shared_bend(part: Array, play: Play) -> Array:
    """What each coordinate has to do with the parts (m, N) of the joints; (C, N) [mm]."""
    reach = np.abs(play.pull)[:, :, None] * play.half
    return np.asarray(np.einsum("mn,mcn->cn", part / np.maximum(reach.sum(axis=1), 1e-12), reach))


def _first_order(corners: Array, along: Array, play: Play, now: slice) -> tuple[Array, Array]:
    """How far each corner (V, N) [mm] can go along the direction to first order; largest shares (C, N) [mm]."""
    by_coordinate: dict[int, Array] = {}
    total = np.zeros((len(corners), along.shape[1]))
    for j, turns in enumerate(play.turns):
        w, free = play.direction[:, j, now], play.free[j, now]
        if turns:
            across = cross(along, w)
            slope = corners @ across - _dot(play.origin[:, j, now], across)
        else:
            slope = np.broadcast_to(_dot(along, w), total.shape)
        if not free.all():
            total += np.abs(slope) * np.where(free, 0.0, play.delta[j, now])
        for c in np.flatnonzero(play.pull[j]).tolist():
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
    """Bounds (N,) [mm] on the second order, on the third, and on how far any point can move at all."""
    centre, radius = _ball(corners)
    turned = np.zeros(play.half.shape[1])
    inner = np.cumsum(np.where(play.turns[:, None], play.delta, 0.0), axis=0)
    second, third, carried = np.zeros_like(turned), np.zeros_like(turned), np.zeros_like(turned)
    for j in reversed(range(len(play.turns))):
        delta, before = play.delta[j], inner[j - 1] if j else turned
        if play.turns[j]:
            arm = cross(play.direction[:, j], centre[:, None] - play.origin[:, j])
            length = np.sqrt(_dot(arm, arm)) + radius + carried
            second += length * (inner[j] ** 2 - before**2) / 2
            third += length * (inner[j] ** 3 - before**3) / 6
            carried = carried + length * delta
        else:
            second += delta * before
            third += delta * before**2 / 2
            carried = carried + delta
    return second, third, carried


def _bend(corners: Array, along: Array, play: Play) -> tuple[Array, Array]:
    """The second order at the centre pose: what height it can take (N,) [mm], and each joint's part (m, N)."""
    centre, radius = _ball(corners)
    m, N = play.delta.shape
    part = np.zeros((m, N))
    across = [cross(along, play.direction[:, i]) for i in range(m)]
    for j in range(m):
        w = play.direction[:, j]
        swing = cross(w, centre[:, None] - play.origin[:, j]) if play.turns[j] else w
        spread = radius if play.turns[j] else 0.0
        for i in range(j + 1 if play.turns[j] else j):
            if not play.turns[i]:
                continue
            # n.(w_i x v) = (n x w_i).v
            height = _dot(across[i], swing)
            size = spread * np.sqrt(_dot(across[i], across[i]))
            taken = np.maximum(size - height, 0.0) / 2 if i == j else np.abs(height) + size
            loss = taken * play.delta[i] * play.delta[j]
            part[i] += loss / 2
            part[j] += loss / 2
    return part.sum(axis=0), part


def _ball(corners: Array) -> tuple[Array, float]:
    """Centre (3,) and radius [mm] of a ball that holds all corners."""
    centre = (corners.min(axis=0) + corners.max(axis=0)) / 2
    return centre, float(np.linalg.norm(corners - centre, axis=1).max())


def _dot(a: Array, b: Array) -> Array:
    """Scalar products over the first axis."""
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def cross(a: Array, b: Array) -> Array:
    """Vector products over the first axis."""
    return np.stack([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])
