"""What each servo gives while the figure follows a show, and whether it is strong enough at the speed it goes.

Looked at are 50 instants a second and each moment at which the acceleration of any shaft changes, just before and just
after: where it ends to gain speed, a servo is fastest and still gives all that takes. Losses of linkages are counted as
when holding (see `shafts`); the inertia of a servo's own gears is in no data sheet and is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields

import numpy as np

from posekit.arrays import Array, Index, Truth
from posekit.budgets import SHOW_TORQUES
from posekit.errors import PosekitError, error
from posekit.mechanism.joints import Solved, Train, solve
from posekit.motion.follow import Motion
from posekit.motion.instants import tick_count
from posekit.motion.segments import Segments, settled, stretches
from posekit.prop.model import Prop
from posekit.statics.burden import Burden
from posekit.statics.dynamics import moving_and_resting
from posekit.statics.shafts import AT_DEAD_POINTS, by_rates, rates

SAMPLES = 50.0  # instants a second
NEAR_DEG = 1e-3  # of a shaft, over which the change of a linkage's rate is taken
BLOCK = 4096  # instants at once, so that only what is told of them takes memory, and no step between


@dataclass(frozen=True, slots=True)
class ShowTorques:
    """At T instants `times` [s], each for `lasts` [s]: what the servos give, (T, D) [N*m], and at what speed [deg/s].

    Of two at one time the first is just before it, and lasts for nothing.
    `resting` (T, D) is what gravity, loads and springs alone ask of them there, `gain` the acceleration [deg/s2]. Where
    `dead` (T, D), a linkage is at a dead point: nobody can tell what its servo gives, or how its joints go.
    """

    times: Array
    lasts: Array
    torque: Array
    resting: Array
    speed: Array
    gain: Array
    dead: Truth


def torques_over(prop: Prop, motion: Motion, burden: Burden) -> ShowTorques:
    """What the servos give as the figure moves so, until all rests.

    PosekitError where it takes days to rest, and for more than SHOW_TORQUES instants times drives, which would fill
    the memory: of such a show take `torque_parts`. Where the speed of a shaft jumps, for want of an acceleration limit,
    the jump itself is not counted. Joints of a linkage at a dead point count as standing, for the sake of all others.
    """
    found, instants = list[ShowTorques](), 0
    for part in torque_parts(prop, motion, burden)[1]:
        instants += len(part.times)
        if instants * len(prop.drives) > SHOW_TORQUES:
            most = SHOW_TORQUES // len(prop.drives)
            sentence = (
                f"has more than {most:,} instants at which the torques of {len(prop.drives)} servos would be "
            )
            sentence += "found, the most at once: take it by torque_parts"
            raise PosekitError([error("too-long", "show", sentence)])
        found.append(part)
    whole = {
        field.name: np.concatenate([getattr(part, field.name) for part in found])
        for field in fields(ShowTorques)
    }
    return ShowTorques(**whole)


def torque_parts(prop: Prop, motion: Motion, burden: Burden) -> tuple[float, Iterator[ShowTorques]]:
    """When all rests [s], at the end of the show or later, and what is found of a part of it after the other.

    The motion is cut BLOCK events at a time and looked at as many instants, so that a long show takes no more memory
    than a short one.
    In all these are SAMPLES a second for twice DAY_S at most, else a PosekitError, and eight for each of the
    SHOW_VALUES that a show may have: each sets off four phases at most, which are looked at before and after.
    """
    end = max(settled(motion), motion.end)
    count = tick_count(motion.begin, end, SAMPLES)
    return end, _parts(prop, motion, burden, end, count)


def _parts(prop: Prop, motion: Motion, burden: Burden, end: float, count: int) -> Iterator[ShowTorques]:
    looked = (
        (cut, *found)
        for begin, to, cut in stretches(motion, motion.begin + (count - 1) / SAMPLES, BLOCK / SAMPLES, BLOCK)
        if len((found := _instants(cut, begin, to, count))[0])
    )
    held = next(looked, None)
    # Ends: with the stretches.
    while held is not None:
        cut, times, before = held
        held = next(looked, None)
        lasts = np.diff(times, append=times[-1] if held is None else held[1][0])
        for a in range(0, len(times), BLOCK):
            own = slice(a, a + BLOCK)
            yield _part(prop, burden, cut, times[own], lasts[own], before[own])


def _part(
    prop: Prop, burden: Burden, cut: Segments, times: Array, lasts: Array, before: Truth
) -> ShowTorques:
    shaft, speed, gain = cut.at(times, before)
    # While all rests one instant is like the last, and is looked at once. Where only the acceleration changes the
    # figure stands alike, too; but to find that once and bring it to both takes longer than to find it twice.
    new, as_last = _unlike_the_last(shaft, speed, gain)
    shaft = shaft[new]
    solved = solve(prop, shaft, burden.mechanism)
    rate = shaft_rates(burden, solved.held)
    going, gaining = joint_motion(burden, shaft, speed[new], gain[new], solved, rate)
    lost = ~(np.isfinite(going) & np.isfinite(gaining))
    going[lost], gaining[lost] = 0.0, 0.0
    found = moving_and_resting(prop, solved.position, going, gaining, burden)
    torque, resting = (by_rates(prop, burden, own, rate)[as_last] for own in found)
    dead = np.isinf(torque)
    for train in burden.mechanism.trains:
        dead[:, list(train.drives)] |= lost[as_last][:, list(train.joints)].any(axis=1, keepdims=True)
    return ShowTorques(times, lasts, torque, resting, speed, gain, dead)


def _instants(cut: Segments, begin: float, end: float, count: int) -> tuple[Array, Truth]:
    """The times (T,) [s] to look at after `begin`, up to `end`; which of them (T,) stand for the moment just before.

    The even ones are of `count` ticks from where the motion begins.
    """
    changes = np.unique(cut.since[(cut.since > max(cut.begin, begin)) & (cut.since <= end)])
    first, last = (int((each - cut.begin) * SAMPLES) for each in (begin, end))
    even = cut.begin + np.arange(max(first - 1, 0), min(last + 2, count)) / SAMPLES
    even = np.union1d(even[(even > begin) & (even <= end)], changes)
    times = np.concatenate([changes, even])
    order = np.argsort(times, kind="stable")
    return times[order], order < len(changes)


@AT_DEAD_POINTS
def joint_motion(
    burden: Burden, shaft: Array, speed: Array, more: Array, solved: Solved, rate: Sequence[Array]
) -> tuple[Array, Array]:
    """Speeds [/s] and accelerations [/s2] of the joints, (P, J) degrees | mm, for those of the shafts, (P, D) degrees.

    `rate` are the `shaft_rates` there. A joint at a hard stop stands, and so does what a linkage holds at a dead point.
    """
    going, gaining = np.zeros((2, *solved.position.T.shape))
    free = shaft == solved.held
    for train, own in zip(burden.mechanism.trains, rate, strict=True):
        for d, drive in enumerate(train.drives):
            swift, gained = (np.where(free[:, drive], each[:, drive], 0.0) for each in (speed, more))
            for j, joint in enumerate(train.joints):
                going[joint] += own[:, j, d] * swift
                gaining[joint] += own[:, j, d] * gained
        if len(train.drives) == 1:
            (drive,), (joint,) = train.drives, train.joints
            moves = np.flatnonzero(swift)
            change = _rate_change(train, solved.held[moves, drive, None])
            gaining[joint, moves] += change[:, 0, 0] * swift[moves] ** 2
    stands = (solved.position != solved.wanted).T
    going[stands], gaining[stands] = 0.0, 0.0
    for follower, leader, ratio, _ in burden.mechanism.follows:
        moves = ~stands[follower]
        going[follower, moves] = ratio * going[leader, moves]
        gaining[follower, moves] = ratio * gaining[leader, moves]
    return going.T, gaining.T


@AT_DEAD_POINTS
def shaft_rates(burden: Burden, held_deg: Array) -> list[Array]:
    """The rates (P, n, n) of each linkage while its shafts go through (P, D) [deg]; while they stand, found once."""
    found = []
    for train in burden.mechanism.trains:
        own = held_deg[:, list(train.drives)]
        new, as_last = _unlike_the_last(own)
        found.append(rates(train, own[new])[as_last])
    return found


def _unlike_the_last(*each: Array) -> tuple[Truth, Index]:
    """Which rows (P, D) differ from the one before in any of the arrays, and which of those stands for each row."""
    new = np.ones(len(each[0]), bool)
    new[1:] = np.any([(own[1:] != own[:-1]).any(axis=1) for own in each], axis=0)
    return new, np.cumsum(new) - 1


def _rate_change(train: Train, held: Array) -> Array:
    """How the rate of a linkage of one drive changes with its shaft, (P, 1, 1) [/deg]."""
    low, high = (np.clip(held + way * NEAR_DEG, *train.closes) for way in (-1.0, 1.0))
    apart = np.where(high > low, high - low, 1.0)[:, :, None]
    return (rates(train, high) - rates(train, low)) / apart
