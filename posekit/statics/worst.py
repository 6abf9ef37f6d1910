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
from posekit.statics.boxes import Bound, Question, bound, common, question
from posekit.statics.burden import Burden, burden_of
from posekit.statics.shafts import MOST_NM
from posekit.statics.tilted import bound_steps, is_alone
from posekit.statics.tried import (
    alone_in_turn,
    climbed,
    hardest_middle,
    hardest_tried,
    settled_about,
    values_of,
)
from posekit.statics.upright import bound_by_levers, drives_beyond, levers_alone_say
from posekit.statics.ways import ways_of
from posekit.stepwise import finished, left_where

CLOSE = 1.03  # a bound this much above what was found is near enough
NOTHING_NM = 1e-6  # no servo feels less
LEVER_BOXES = 500  # for the levers alone, which are tried first
BATCH = 256  # boxes at a time: enough that array calls cost little of them


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
    known, of_all = apart(ways), common(prop, ways)
    return tuple(worst_of(question(prop, ways, d, of_all), known=known) for d in range(len(prop.drives)))


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
    """`worst_of` in small steps, for callers with other work to do."""
    yield
    proof, begin, alone = Proof(np.inf, np.zeros(0), 0.0, 0), None, alone_in_turn(asked)
    yield
    if is_alone(asked) and not stop():
        found = yield from left_where(stop, bound_steps(asked, known or apart(asked.ways)))
        if found is not None:
            begin, torque = settled_about(asked, values_of(asked, found[1]))
            yield
            proof = Proof(found[0], begin, torque, 0)
    if proof.most > _near(proof.found) and stop():
        # Many servos may be left, and whoever stops waits for them all: what is known already has to do.
        if abs(alone[1]) >= abs(proof.found):
            proof = Proof(proof.most, *alone, 0)
    elif proof.most > _near(proof.found):
        tried = hardest_tried(asked) if begin is None else np.concatenate([hardest_tried(asked), begin[None]])
        yield
        proof = Proof(proof.most, *(yield from climbed(asked, tried, stop)), 0)
    if proof.most > _near(proof.found) and levers_alone_say(asked):
        beyond = drives_beyond(asked)
        proof = yield from _proved(asked, bound_by_levers, beyond, proof, LEVER_BOXES, stop)
    if proof.most > _near(proof.found) and not (stop() and np.isfinite(proof.most)):  # as above
        yield
        proof = yield from _proved(asked, bound, asked.drives, proof, HOLDING_BOXES, stop)
    name = asked.prop.drives[asked.d].name
    values = tuple(proof.values.astype(int).tolist())
    most = float(proof.most) if proof.most <= MOST_NM else np.inf
    tight = bool(np.isfinite(most) and most <= _near(proof.found))
    return Holding(name, most, values, proof.found, abs(alone[1]), proof.boxes, tight, not tight and stop())


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
        yield
        better, torque = hardest_middle(asked, new_low, new_high, new)
        if abs(torque) > abs(found):
            values, found = yield from climbed(asked, better[None], stop)
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
