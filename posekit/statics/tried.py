"""The poses tried of one servo: which of them asks for most, on the way to a bound that it comes near to."""

from __future__ import annotations

from collections.abc import Callable, Generator

import numpy as np

from posekit.arrays import Array
from posekit.chance import chances
from posekit.statics.boxes import Bound, Question
from posekit.statics.shafts import shaft_torque
from posekit.statics.ways import Ways

TRIES = 256  # poses tried before the first box
STEPS = 33  # values of a drive tried at a time
NEAR = 17  # of those about one
ROUNDS = 4  # over all drives, of going to the best value of each


def alone_in_turn(asked: Question) -> tuple[Array, float]:
    """Where the servo holds most while all others stand at rest: values (D,), and the torque [N*m]."""
    rest = np.array([drive.rest_value for drive in asked.prop.drives], float)
    full = asked.prop.drives[asked.d].full_scale
    values = np.repeat(rest[None], 256, axis=0)
    values[:, asked.d] = np.rint(np.linspace(0, full, 256))
    torque = _torque(asked, values)
    best = int(np.argmax(np.abs(torque)))
    return values[best], float(torque[best])


def hardest_tried(asked: Question) -> Array:
    """The most that some poses ask for, each drive at rest, at an end or anywhere; the best few (n, D)."""
    full = np.array([drive.full_scale for drive in asked.prop.drives], float)
    rest = np.array([drive.rest_value for drive in asked.prop.drives], float)
    share = chances(TRIES, len(full))
    share[: TRIES // 2] = np.rint(share[: TRIES // 2])
    values = np.concatenate([rest[None], np.rint(share * full)])
    values = np.where(np.isin(np.arange(len(full)), asked.drives), values, rest)  # what changes nothing rests
    torque = np.abs(_torque(asked, values))
    return values[np.argsort(-torque, kind="stable")[:3]]


def climbed(
    asked: Question, begin: Array, stop: Callable[[], bool]
) -> Generator[None, None, tuple[Array, float]]:
    """The best of some poses (n, D), each drive in turn brought to the value that asks for most; and the torque."""
    values, torque = begin.copy(), _torque(asked, begin)
    rows = np.arange(len(begin))
    for _ in range(ROUNDS):
        before = np.abs(torque)
        for d in asked.drives.tolist():
            if stop():
                break
            for offer in (_wide, _close):
                tried = offer(asked.prop.drives[d].full_scale, values[:, d])
                several = np.repeat(values[:, None], tried.shape[1], axis=1)
                several[:, :, d] = tried
                found = _torque(asked, several.reshape(-1, values.shape[1])).reshape(tried.shape)
                top = np.argmax(np.abs(found), axis=1)
                better = np.abs(found[rows, top]) > np.abs(torque)
                values[better], torque[better] = several[rows, top][better], found[rows, top][better]
            yield
        if stop() or (np.abs(torque) <= before).all():
            break
    best = int(np.argmax(np.abs(torque)))
    return values[best], float(torque[best])


def values_of(asked: Question, pose: Array) -> Array:
    """The values (D,) that bring each joint of one drive nearest to a pose (J,) [deg | mm]; others rest."""
    values = np.array([drive.rest_value for drive in asked.prop.drives], float)
    for d in asked.drives.tolist():
        train = asked.ways.train[d]
        if len(train.drives) == 1:
            there = train.position(asked.ways.shaft[d]) * train.mix[0, 0]
            values[d] = float(np.argmin(np.abs(there - pose[train.joints[0]])))
    return values


def settled_about(asked: Question, values: Array) -> tuple[Array, float]:
    """The best of values (D,) near some: each drive by itself at the best about it, or all of them at once."""
    tried = [values]
    for d in asked.drives.tolist():
        near = _close(asked.prop.drives[d].full_scale, values[[d]])[0]
        several = np.repeat(values[None], len(near), axis=0)
        several[:, d] = near
        tried += list(several)
    torque = _torque(asked, np.stack(tried))
    every = values.copy()
    for place, d in enumerate(asked.drives.tolist()):
        own = slice(1 + place * NEAR, 1 + (place + 1) * NEAR)
        every[d] = tried[own][int(np.argmax(np.abs(torque[own])))][d]
    found = np.append(torque, _torque(asked, every[None]))
    best = int(np.argmax(np.abs(found)))
    return [*tried, every][best], float(found[best])


def hardest_middle(asked: Question, low: Array, high: Array, new: Bound) -> tuple[Array, float]:
    """Of the boxes with the largest bounds, the values at whose middle the servo has most to hold, and that."""
    rows = np.argsort(-new.most, kind="stable")[:STEPS]
    values = _values_at(asked.ways, (low[rows] + high[rows]) / 2)
    rest = np.array([drive.rest_value for drive in asked.prop.drives], float)
    values = np.where(np.isin(np.arange(len(rest)), asked.drives), values, rest)
    torque = _torque(asked, values)
    best = int(np.argmax(np.abs(torque)))
    return values[best], float(torque[best])


def _values_at(ways: Ways, shafts_deg: Array) -> Array:
    """The values nearest to shaft angles, one by one; (N, D) [deg] to (N, D)."""
    found = np.empty(shafts_deg.shape)
    for d, shaft in enumerate(ways.shaft):
        order = np.argsort(shaft, kind="stable")
        place = np.clip(np.searchsorted(shaft[order], shafts_deg[:, d]), 1, len(order) - 1)
        below, above = order[place - 1], order[place]
        nearer = np.abs(shaft[below] - shafts_deg[:, d]) <= np.abs(shaft[above] - shafts_deg[:, d])
        found[:, d] = np.where(nearer, below, above)
    return found


def _torque(asked: Question, values: Array) -> Array:
    """What the servo has to hold at values (N, D); (N,) [N*m]."""
    return shaft_torque(asked.prop, values, asked.ways.burden, asked.d)


def _wide(full: int, now: Array) -> Array:
    """Values of a drive over its whole range, for each of where it is now (n,); (n, m)."""
    return np.broadcast_to(np.rint(np.linspace(0, full, STEPS)), (len(now), STEPS))


def _close(full: int, now: Array) -> Array:
    """Values of a drive about where it is now (n,); (n, m)."""
    step = max(full // (STEPS * STEPS // 2), 1)
    return np.clip(now[:, None] + step * np.arange(-(NEAR // 2), NEAR // 2 + 1), 0, full)
