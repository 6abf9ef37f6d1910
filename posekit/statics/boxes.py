"""A bound on what one servo has to hold, over boxes of the shaft angles of all servos.

In the middle of a box the torque, its slopes and its bends (second derivatives) are known. Away from there it is, by
Taylor's theorem, at most what slopes and bends make of the half widths and a rest of third order, which `levers`
bounds over the whole box; or, where that is less, what the slopes make and a rest of second order. A linkage of one
drive is counted at its largest rate within the box.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.statics.burden import STANDARD_GRAVITY, TURN
from posekit.statics.coils import Hold, holds_of, spring_play
from posekit.statics.dynamics import torques
from posekit.statics.levers import Levers, Reach, levers_at, reach_of
from posekit.statics.shafts import efficiencies
from posekit.statics.vectors import cross
from posekit.statics.ways import Ways, Within, within

ROUNDING = 1e-9  # of what the parts of a bound add up to
TURNED = (
    6  # variables whose bends are turned to their own directions; those of the others are taken as they are
)


@dataclass(frozen=True, slots=True)
class Question:
    """One servo, and all of the prop that its torque depends on.

    `weight` (J,) is how much of each joint's torque counts. `near` (R,) are the joints that change it, `own` (T,) those
    of them with a weight. `drives` are the columns of the shafts that move any of them. `loss` is 1 / efficiency.
    """

    d: int
    prop: Prop
    ways: Ways
    reach: Reach
    holds: tuple[Hold, ...]
    weight: Array
    own: Index
    near: Index
    drives: Index
    loss: float


@dataclass(frozen=True, slots=True)
class Bound:
    """Over N boxes: `most` (N,) [N*m] of the magnitude, and what each shaft adds to it, `share` (N, D)."""

    most: Array
    share: Array


@dataclass(frozen=True, slots=True)
class Common:
    """What all servos of a prop are asked alike: `reach`, `holds`, and `loss` (D,) are those of their `Question`s."""

    reach: Reach
    holds: tuple[Hold, ...]
    loss: Array


def common(prop: Prop, ways: Ways) -> Common:
    """What is the same for the questions about all servos, found once."""
    burden, far = ways.burden, _far(ways)
    loss = 1.0 / efficiencies(prop, burden.mechanism)
    return Common(reach_of(burden, far), holds_of(prop, burden, far), loss)


def question(prop: Prop, ways: Ways, d: int, of_all: Common | None = None) -> Question:
    """What is asked about the servo of drive `d`; who asks about several gives what is `common` to them."""
    of_all = of_all or common(prop, ways)
    burden, joints, reach = ways.burden, ways.joints, of_all.reach
    train = ways.train[d]
    # Of a linkage of one drive the torque at its joint, for its rates are counted apart; of several that at the shaft.
    unit = burden.si[train.joints[0]] if len(train.drives) == 1 else TURN
    weight = joints.slope[:, d] * burden.si / unit
    own = np.flatnonzero(weight)
    on_way = reach.below | reach.below.T | np.eye(len(weight), dtype=bool)
    touched = on_way[own].any(axis=0)
    holds = tuple(hold for hold in of_all.holds if (weight * hold.arm).any())
    for hold in holds:
        touched = touched | (hold.arm > 0)
    moved = np.abs(joints.slope[touched]).sum(axis=0) > 0
    moved[d] = True
    return Question(
        d=d,
        prop=prop,
        ways=ways,
        reach=reach,
        holds=holds,
        weight=weight,
        own=own,
        near=np.flatnonzero(touched),
        drives=np.flatnonzero(moved & (ways.span[:, 1] > ways.span[:, 0])),
        loss=float(of_all.loss[d]),
    )


def _far(ways: Ways) -> Array:
    """How far from 0 each joint gets (J,) [deg | mm]."""
    found = within(ways, ways.span[None, :, 0], ways.span[None, :, 1])
    return np.asarray((np.abs(found.middle) + found.delta / ways.burden.si)[0])


def bound(asked: Question, low: Array, high: Array) -> Bound:
    """The most that the servo has to hold over boxes of shaft angles (N, D) and (N, D) [deg]."""
    burden = asked.ways.burden
    box = within(asked.ways, low, high)
    world = forward(asked.prop, box.middle, burden.mechanism.tree).transpose(1, 2, 3, 0)
    levers = levers_at(burden, world)
    slope, bend = _derivatives(asked, levers)
    plays = [spring_play(hold, world, box.delta, asked.weight) for hold in asked.holds]
    torque = torques(asked.prop, box.middle, burden) @ asked.weight
    torque = np.abs(torque - sum((play.out for play in plays), np.zeros(len(low))))
    slope += sum((play.slope[:, asked.near] for play in plays), np.zeros(slope.shape))
    into, half = _variables(asked, box)
    along = np.abs(np.einsum("nr,nrv->nv", slope, into)) * half
    bends = np.einsum("nrv,nrs,nsw->nvw", into, bend, into, optimize=True)
    bends *= half[:, :, None] * half[:, None, :]
    lever = _most_lever(asked, levers, box)
    curved = _bent(bends) + _rest(asked, lever, box.delta, 3)
    third = np.minimum(curved, _rest(asked, lever, box.delta, 2))
    played = sum((play.most for play in plays), np.zeros(len(low)))
    adds = sum((play.share[:, asked.near] for play in plays), np.zeros(slope.shape))
    most = (torque + along.sum(axis=1) + third + played) * (1.0 + ROUNDING)
    rate, extra = rate_within(asked, low, high)
    adds += (
        third[:, None]
        * box.delta[:, asked.near]
        / np.maximum(box.delta[:, asked.near].sum(axis=1), 1e-300)[:, None]
    )
    by_variable = along + np.abs(bends).sum(axis=2) / 2 + _by_variable(into, half, adds)
    share = np.zeros(low.shape)
    share[:, asked.drives] = by_variable[:, : len(asked.drives)]
    if by_variable.shape[1] > len(asked.drives):
        clipped = by_variable[:, len(asked.drives) :]
        moved = np.abs(asked.ways.joints.slope[asked.near]) * box.half[:, None, :]
        moved = moved / np.maximum(moved.sum(axis=2, keepdims=True), 1e-300)
        share += np.einsum("nr,nrd->nd", clipped, moved)
    share[:, asked.d] += most * extra
    with np.errstate(invalid="ignore"):
        found = most * rate * asked.loss
    return Bound(np.where(np.isnan(found), np.inf, found), share)


def _derivatives(asked: Question, levers: Levers) -> tuple[Array, Array]:
    """Slopes (N, R) and bends (N, R, R) of the torque by the joints near; in radians and metres."""
    near, below = asked.near, asked.reach.below[np.ix_(asked.near, asked.near)]
    axis, beyond = levers.axis[near], levers.beyond[near]
    down = asked.ways.burden.gravity[:, None]
    count, poses = len(near), axis.shape[-1]
    slope, bend = np.zeros((count, poses)), np.zeros((count, count, poses))
    # By pairs m, i of joints: how the w of i turns with m, where i hangs beyond m or is m.
    turned = [
        [cross(axis[m], beyond[i]) if below[m, i] or m == i else None for i in range(count)]
        for m in range(count)
    ]
    across = [cross(down, axis[k]) for k in range(count)]
    depth = below.sum(axis=0)
    row = {int(j): r for r, j in enumerate(near)}
    for j in asked.own.tolist():
        t, weight = row[j], float(asked.weight[j])
        mates = [k for k in range(count) if k == t or below[t, k] or below[k, t]]
        for k in mates:
            outer, inner = sorted((t, k), key=depth.__getitem__)
            slope[k] -= weight * np.einsum("ip,ip->p", across[outer], beyond[inner])
            for m in mates:
                if m < k or not (m == k or below[m, k] or below[k, m]):
                    continue
                first, second, third = sorted((t, k, m), key=depth.__getitem__)
                found = turned[second][third]
                if found is None:
                    continue
                value = -weight * np.einsum("ip,ip->p", across[first], found)
                bend[k, m] += value
                if m != k:
                    bend[m, k] += value
    return slope.T, bend.transpose(2, 0, 1)


def _variables(asked: Question, box: Within) -> tuple[Array, Array]:
    """What moves the joints near within each box: how (N, R, V) [rad | m] and how far to either side (N, V).

    First the shafts' coordinates, for joints that no hard stop cuts off, so that what works against each other is seen
    to; then, where any is cut off, each of those joints by itself.
    """
    ways, near = asked.ways, asked.near
    slope = ways.joints.slope[np.ix_(near, asked.drives)] * ways.burden.si[near, None]
    free = box.free[:, near]
    into = slope[None] * free[:, :, None]
    half = box.half[:, asked.drives]
    if free.all():
        return into, half
    cut = np.where(free, 0.0, box.delta[:, near])
    one = np.broadcast_to(np.eye(len(near)), (len(cut), len(near), len(near)))
    return np.concatenate([into, one], axis=2), np.concatenate([half, cut], axis=1)


def _bent(bends: Array) -> Array:
    """The most that half of t B t can be for |t| up to 1 in every variable; B (N, V, V) to (N,).

    Turned to the directions of B's eigenvectors only those that bend upwards add to it, for a torque that is largest
    bends down. The few variables that matter most are turned; all others, and what that does not help, as they are.
    """
    whole = np.abs(bends).sum(axis=(1, 2)) / 2
    rows = np.abs(bends).sum(axis=2).max(axis=0)
    main = np.sort(np.argsort(-rows, kind="stable")[:TURNED])
    part = bends[:, main[:, None], main]
    found = np.zeros(len(bends))
    for sign in (1.0, -1.0):
        size, way = np.linalg.eigh(sign * part)
        up = np.maximum(size, 0.0) * np.abs(way).sum(axis=1) ** 2
        found = np.maximum(found, up.sum(axis=1) / 2)
    return np.minimum(whole, found + whole - np.abs(part).sum(axis=(1, 2)) / 2)


def _most_lever(asked: Question, levers: Levers, box: Within) -> Array:
    """The most of |w| of each joint within each box (N, J): that in the middle and what joints beyond it add."""
    reach = asked.reach
    middle = np.sqrt(np.einsum("kip,kip->pk", levers.beyond, levers.beyond))
    most = np.minimum(reach.most, middle + box.delta @ (reach.below * reach.most).T)
    return np.where(reach.turns, most, reach.most)


def _rest(asked: Question, lever: Array, delta: Array, order: int) -> Array:
    """What derivatives of the torque of this order can make within each box (N,), 2 or 3; half widths (N, J)."""
    reach = asked.reach
    before = (delta * reach.turns) @ reach.below  # what turns on the way to each joint, itself aside
    whole = before + delta
    found = np.zeros(len(delta))
    for j in asked.own.tolist():
        beyond = np.flatnonzero(reach.below[j])
        inner = lever[:, beyond] * (whole[:, beyond] ** order - before[:, beyond] ** order)
        found += abs(asked.weight[j]) * (lever[:, j] * whole[:, j] ** order + inner.sum(axis=1))
    return STANDARD_GRAVITY * found / (2.0 if order == 2 else 6.0)


def _by_variable(into: Array, half: Array, adds: Array) -> Array:
    """What joints add, shared among the variables that move them (N, V)."""
    if not adds.any():
        return np.zeros(half.shape)
    parts = np.abs(into) * half[:, None, :]
    return np.einsum("nrv,nr->nv", parts / np.maximum(parts.sum(axis=2, keepdims=True), 1e-300), adds)


def rate_within(asked: Question, low: Array, high: Array) -> tuple[Array, Array]:
    """The largest torque at the shaft for one at the joint (N,), and by how much of itself it exceeds the middle's."""
    table = asked.ways.table[asked.d]
    if table is None:
        return np.ones(len(low)), np.zeros(len(low))
    d = asked.d
    si = asked.ways.burden.si[asked.ways.train[d].joints[0]] / TURN
    most = table.most(low[:, d], high[:, d]) * si
    middle = (low[:, d] + high[:, d]) / 2
    at_middle = table.most(middle, middle) * si
    with np.errstate(divide="ignore", invalid="ignore"):
        extra = np.where(most > at_middle, most / at_middle - 1.0, 0.0)
    return most, np.nan_to_num(extra, nan=0.0, posinf=1e9)
