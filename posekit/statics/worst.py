"""The worst holding torque of each servo over everything the end points allow, proved.

Of a servo that holds one joint, with every joint by itself (`tilted`), where no drive moves several joints and there
are no springs; of any other by bounds on boxes. The range of all shafts is one box. The box whose bound is the largest
is cut in two, again and again, across the shaft that adds most to the bound, until no bound is much above the largest
torque that a pose was found to ask for: then that bound is proved for every pose, and the pose shows that it is not
much too large.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.budgets import HOLDING_BOXES
from posekit.prop.model import Prop
from posekit.statics.apart import Apart, apart
from posekit.statics.boxes import Bound, Question, bound, question
from posekit.statics.burden import Burden, burden_of
from posekit.statics.shafts import MOST_NM, shaft_torques
from posekit.statics.tilted import bound_steps, is_alone
from posekit.statics.upright import bound_by_levers, drives_beyond, levers_alone_say
from posekit.statics.ways import Ways, ways_of
from posekit.stepwise import finished

CLOSE = 1.03  # a bound this much above what was found is near enough
NOTHING_NM = 1e-6  # no servo feels less
LEVER_BOXES = 500  # for the levers alone, which are tried first
BATCH = 256  # boxes at a time: enough that array calls cost little of them
TRIES = 256  # poses tried before the first box
STEPS = 33  # values of a drive tried at a time
NEAR = 17  # of those about one
ROUNDS = 4  # over all drives, of going to the best value of each


@dataclass(frozen=True, slots=True)
class Holding:
    """What the servo of one drive has to hold at most.

    `most_nm` [N*m] is the proved bound of the magnitude, infinite where a linkage comes to a dead point that cannot be
    held; `values` (D,) is a pose that comes nearest to it, `found_nm` what that asks for, with its sign. `alone_nm` is
    the most while all other drives stand at rest: what their poses add is the difference. `tight` is False where the
    search ended before the bound was near what was found, as it may for springs, whose bounds are coarser; `cut` where
    whoever asked ended it. The bound is proved all the same.
    """

    drive: str
    most_nm: float
    values: tuple[int, ...]
    found_nm: float
    alone_nm: float
    boxes: int
    tight: bool
    cut: bool = False

    @property
    def loose(self) -> float:
        """How much of what was found the bound lies above it; infinite where there is no bound."""
        return self.most_nm / abs(self.found_nm) - 1.0 if self.found_nm else np.inf


def worst_holding(prop: Prop, burden: Burden | None = None) -> tuple[Holding, ...]:
    """The worst case of every drive, in their order. PosekitError for meshes that cannot be read.

    `burden` is the `burden_of` the prop, for who has it.
    """
    made = burden_of(prop) if burden is None else burden
    ways = ways_of(prop, made)
    known = apart(ways)
    return tuple(worst_of(question(prop, ways, d), known=known) for d in range(len(prop.drives)))


def never() -> bool:
    """No time is too long."""
    return False


def worst_of(asked: Question, stop: Callable[[], bool] = never, known: Apart | None = None) -> Holding:
    """The worst case of one servo. Once `stop` says so, with what is proved by then.

    Who asks about several servos gives what they have in common, `apart` of the prop.
    """
    return finished(worst_steps(asked, stop, known))


def worst_steps(
    asked: Question, stop: Callable[[], bool] = never, known: Apart | None = None
) -> Generator[None, None, Holding]:
    """`worst_of` in steps of a round each, for callers with other work to do."""
    proof, begin, alone = Proof(np.inf, np.zeros(0), 0.0, 0), None, _alone(asked)
    if is_alone(asked) and not stop():
        most, pose = yield from bound_steps(asked, known or apart(asked.ways))
        begin, torque = _settled(asked, _values_of(asked, pose))
        proof = Proof(most, begin, torque, 0)
    if proof.most > _near(proof.found) and stop():
        # Many servos may be left, and whoever stops waits for them all: what is known already has to do.
        if abs(alone[1]) >= abs(proof.found):
            proof = Proof(proof.most, *alone, 0)
    elif proof.most > _near(proof.found):
        tried = _tried(asked) if begin is None else np.concatenate([_tried(asked), begin[None]])
        proof = Proof(proof.most, *(yield from _climbed(asked, tried, stop)), 0)
    if proof.most > _near(proof.found) and levers_alone_say(asked):
        beyond = drives_beyond(asked)
        proof = yield from _proved(asked, bound_by_levers, beyond, proof, LEVER_BOXES, stop)
    if proof.most > _near(proof.found):
        proof = yield from _proved(asked, bound, asked.drives, proof, HOLDING_BOXES, stop)
    name = asked.prop.drives[asked.d].name
    values = tuple(proof.values.astype(int).tolist())
    most = float(proof.most) if proof.most <= MOST_NM else np.inf
    tight = bool(np.isfinite(most) and most <= _near(proof.found))
    return Holding(name, most, values, proof.found, abs(alone[1]), proof.boxes, tight, not tight and stop())


def _alone(asked: Question) -> tuple[Array, float]:
    """Where the servo holds most while all others stand at rest: values (D,), and the torque [N*m]."""
    rest = np.array([drive.rest_value for drive in asked.prop.drives], float)
    full = asked.prop.drives[asked.d].full_scale
    values = np.repeat(rest[None], 256, axis=0)
    values[:, asked.d] = np.rint(np.linspace(0, full, 256))
    torque = _torque(asked, values)
    best = int(np.argmax(np.abs(torque)))
    return values[best], float(torque[best])


@dataclass(frozen=True, slots=True)
class Proof:
    """What is known of one servo: the bound, the pose (D,) nearest to it with its torque, and boxes judged so far."""

    most: float
    values: Array
    found: float
    boxes: int


def _proved(
    asked: Question,
    bounded: Callable[[Question, Array, Array], Bound],
    drives: Index,
    known: Proof,
    budget: int,
    stop: Callable[[], bool],
) -> Generator[None, None, Proof]:
    """A better proof by bounds on boxes of these drives."""
    values, found = known.values, known.found
    low, high = (asked.ways.span[None, :, side].copy() for side in (0, 1))
    free = np.zeros(len(asked.prop.drives), bool)
    free[drives] = True
    # A shaft that changes nothing stays in the middle of its range.
    low, high = np.where(free, low, (low + high) / 2), np.where(free, high, (low + high) / 2)
    bounds = bounded(asked, low, high)
    judged, settled = 1, 0.0
    # Ends: at the budget of boxes or of time, or where no bound is left to be brought down.
    while len(low):
        shut = bounds.most <= _near(found)
        settled = max(settled, float(bounds.most[shut].max(initial=0.0)))
        low, high, bounds = low[~shut], high[~shut], Bound(bounds.most[~shut], bounds.share[~shut])
        if not len(low) or judged >= budget or stop() or not bounds.share.max(axis=1).all():
            break
        if judged > LEVER_BOXES and np.isinf(bounds.most).any():  # a dead point: no box about it has a bound
            break
        first = np.argsort(-bounds.most, kind="stable")
        rows, rest = first[:BATCH], first[BATCH:]
        new_low, new_high = _halves(low[rows], high[rows], bounds.share[rows])
        new = bounded(asked, new_low, new_high)
        judged += len(new_low)
        better, torque = _nearest(asked, new_low, new_high, new)
        if abs(torque) > abs(found):
            values, found = yield from _climbed(asked, better[None], stop)
        low, high = np.concatenate([low[rest], new_low]), np.concatenate([high[rest], new_high])
        bounds = Bound(
            np.concatenate([bounds.most[rest], new.most]), np.concatenate([bounds.share[rest], new.share])
        )
        yield
    most = max(settled, float(bounds.most.max(initial=0.0)), abs(found))
    return Proof(min(most, known.most), values, found, known.boxes + judged)


def _near(found: float) -> float:
    """What a bound needs not be brought below."""
    return max(CLOSE * abs(found), abs(found) + NOTHING_NM)


def _halves(low: Array, high: Array, share: Array) -> tuple[Array, Array]:
    """Each box cut in two across the shaft with the largest share; (N, D) to (2 N, D)."""
    rows, across = np.arange(len(low)), np.argmax(share, axis=1)
    middle = (low[rows, across] + high[rows, across]) / 2
    upper, lower = high.copy(), low.copy()
    upper[rows, across] = middle
    lower[rows, across] = middle
    return np.concatenate([low, lower]), np.concatenate([upper, high])


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


def _values_of(asked: Question, pose: Array) -> Array:
    """The values (D,) that bring each joint of one drive nearest to a pose (J,) [deg | mm]; others rest."""
    values = np.array([drive.rest_value for drive in asked.prop.drives], float)
    for d in asked.drives.tolist():
        train = asked.ways.train[d]
        if len(train.drives) == 1:
            there = train.position(asked.ways.shaft[d]) * train.mix[0, 0]
            values[d] = float(np.argmin(np.abs(there - pose[train.joints[0]])))
    return values


def _settled(asked: Question, values: Array) -> tuple[Array, float]:
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


def _torque(asked: Question, values: Array) -> Array:
    """What the servo has to hold at values (N, D); (N,) [N*m]."""
    return shaft_torques(asked.prop, values, asked.ways.burden)[:, asked.d]


def _nearest(asked: Question, low: Array, high: Array, new: Bound) -> tuple[Array, float]:
    """Of the boxes with the largest bounds, the values at whose middle the servo has most to hold, and that."""
    rows = np.argsort(-new.most, kind="stable")[:STEPS]
    values = _values_at(asked.ways, (low[rows] + high[rows]) / 2)
    rest = np.array([drive.rest_value for drive in asked.prop.drives], float)
    values = np.where(np.isin(np.arange(len(rest)), asked.drives), values, rest)
    torque = _torque(asked, values)
    best = int(np.argmax(np.abs(torque)))
    return values[best], float(torque[best])


def _tried(asked: Question) -> Array:
    """The most that some poses ask for, each drive at rest, at an end or anywhere; the best few (n, D)."""
    random = np.random.default_rng(0)
    full = np.array([drive.full_scale for drive in asked.prop.drives], float)
    rest = np.array([drive.rest_value for drive in asked.prop.drives], float)
    share = random.random((TRIES, len(full)))
    share[: TRIES // 2] = np.rint(share[: TRIES // 2])
    values = np.concatenate([rest[None], np.rint(share * full)])
    values = np.where(np.isin(np.arange(len(full)), asked.drives), values, rest)  # what changes nothing rests
    torque = np.abs(_torque(asked, values))
    return values[np.argsort(-torque, kind="stable")[:3]]


def _climbed(
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
        if stop() or (np.abs(torque) <= before).all():
            break
        yield
    best = int(np.argmax(np.abs(torque)))
    return values[best], float(torque[best])


def _wide(full: int, now: Array) -> Array:
    """Values of a drive over its whole range, for each of where it is now (n,); (n, m)."""
    return np.broadcast_to(np.rint(np.linspace(0, full, STEPS)), (len(now), STEPS))


def _close(full: int, now: Array) -> Array:
    """Values of a drive about where it is now (n,); (n, m)."""
    step = max(full // (STEPS * STEPS // 2), 1)
    return np.clip(now[:, None] + step * np.arange(-(NEAR // 2), NEAR // 2 + 1), 0, full)
