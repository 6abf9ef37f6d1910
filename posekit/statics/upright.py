"""A bound on what gravity asks of one servo whichever way it pulls: by the levers of what hangs beyond its joints.

It asks at most g |w| of a joint, and does so where the lever lies level. Most figures can come into such a pose, and
then this is the worst case, found without a look at any joint between that one and the root.
"""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array, Index
from posekit.mechanism.kinematics import forward
from posekit.statics.boxes import ROUNDING, Bound, Question, rate_within
from posekit.statics.burden import STANDARD_GRAVITY
from posekit.statics.levers import levers_at
from posekit.statics.vectors import cross
from posekit.statics.ways import within


def levers_alone_say(asked: Question) -> bool:
    """Whether gravity is all that the servo holds."""
    return not asked.holds and not asked.ways.burden.constant[asked.own].any()


def drives_beyond(asked: Question) -> Index:
    """The columns of the shafts that change a lever, and that of the servo itself."""
    beyond = asked.reach.below[asked.own].any(axis=0)
    moved = np.abs(asked.ways.joints.slope[beyond]).sum(axis=0) > 0
    moved[asked.d] = True
    return np.array([d for d in asked.drives.tolist() if moved[d]], dtype=np.intp)


def bound_by_levers(asked: Question, low: Array, high: Array) -> Bound:
    """The most that gravity can ask of the servo, over boxes of shaft angles (N, D) and (N, D) [deg]."""
    burden, reach = asked.ways.burden, asked.reach
    box = within(asked.ways, low, high)
    world = forward(asked.prop, box.middle, burden.mechanism.tree).transpose(1, 2, 3, 0)
    levers = levers_at(burden, world)
    turning = box.delta * reach.turns
    before = turning @ reach.below
    most, share = np.zeros(len(low)), np.zeros(box.delta.shape)
    for j in asked.own.tolist():
        weight = abs(float(asked.weight[j]))
        if not reach.turns[j]:
            most += weight * reach.most[j]
            continue
        beyond = np.flatnonzero(reach.below[j])
        own = levers.beyond[j]
        length = np.sqrt(np.einsum("ip,ip->p", own, own))
        way = own / np.maximum(length, 1e-300)
        # The lever grows by what goes along it, and by the square of what goes across it.
        along = [
            np.abs(np.einsum("ip,ip->p", way, cross(levers.axis[j], levers.beyond[k]))) * box.delta[:, k]
            for k in beyond.tolist()
        ]
        aside = box.delta[:, beyond] @ reach.most[beyond]
        inside = before[:, beyond] - before[:, [j]] - turning[:, [j]]
        second = ((inside + box.delta[:, beyond]) ** 2 - inside**2) @ reach.most[beyond] / 2
        grown = sum(along, np.zeros(len(low))) + second
        bent = aside**2 / (2.0 * np.maximum(length, 1e-300))
        lever = np.minimum(length + np.minimum(grown + bent, aside), reach.most[j])
        most += weight * lever
        share[:, beyond] += weight * (np.stack(along, axis=1) if along else 0.0)
        share[:, beyond] += weight * box.delta[:, beyond] * reach.most[beyond]
    rate, extra = rate_within(asked, low, high)
    most = STANDARD_GRAVITY * most * (1.0 + ROUNDING)
    moved = np.abs(asked.ways.joints.slope) * box.half[:, None, :]
    by_drive = np.einsum("nj,njd->nd", share, moved / np.maximum(moved.sum(axis=2, keepdims=True), 1e-300))
    by_drive[:, asked.d] += most * extra / STANDARD_GRAVITY
    with np.errstate(invalid="ignore"):
        found = most * rate * asked.loss
    return Bound(np.where(np.isnan(found), np.inf, found), by_drive)
