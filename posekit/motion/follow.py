"""What the shafts really do: every drive runs after its target as fast as its limits let it.

At each frame a drive gets a target that stands until the next frame, and makes for it by the quickest move
from wherever it is and however it moves. Nothing here has a step size: between frames a move is the closed
form of `profile`, so any instant can be asked for, exactly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array, Index
from posekit.errors import PosekitError, error
from posekit.motion.deadband import answered
from posekit.motion.profile import Limits, Profile, quickest
from posekit.motion.runs import states
from posekit.prop.model import Prop
from posekit.signal.batch import rows
from posekit.signal.calibration import pulses, servo_of, shafts
from posekit.text import exact

BLOCK = 1 << 16  # numbers worked on at once, so that an hour of frames needs little memory


@dataclass(frozen=True, slots=True)
class Motion:
    """The motion of D shafts over all time.

    Drive d owns the events `first[d]:first[d + 1]` (its new targets): at `since` [s] its target becomes
    `target` [deg], while it is at `start` [deg] and runs at `entry` [deg/s]. Before the first event it stands
    still; after the last it runs out and rests.
    """

    first: Index
    since: Array
    target: Array
    start: Array
    entry: Array
    limits: Limits
    begin: float
    end: float

    def position(self, t: ArrayLike) -> Array:
        """Shaft angles [deg] at times `t` (n,) [s]; (n, D)."""
        return self.at(t)[0]

    def velocity(self, t: ArrayLike) -> Array:
        """Shaft speeds [deg/s] at times `t` (n,) [s]; (n, D). 0 where the shaft itself jumps."""
        return self.at(t)[1]

    def acceleration(self, t: ArrayLike) -> Array:
        """Shaft accelerations [deg/s2] just after times `t` (n,) [s]; (n, D). 0 where velocity jumps."""
        return self.at(t)[2]

    def commanded(self, t: ArrayLike) -> Array:
        """Shaft angles [deg] the drives are sent to at times `t` (n,) [s]; (n, D)."""
        return self.target[self._events(np.atleast_1d(np.asarray(t, dtype=float)))]

    def at(self, t: ArrayLike) -> tuple[Array, Array, Array]:
        """`position`, `velocity` and `acceleration` at times `t` (n,) [s] at once; (n, D) each."""
        time = np.atleast_1d(np.asarray(t, dtype=float))
        drives = len(self.first) - 1
        result = np.empty((3, len(time), drives))
        rows = max(1, BLOCK // max(drives, 1))
        for a in range(0, len(time), rows):
            part = time[a : a + rows]
            event = self._events(part)
            move = self.moves(event, self.limits)
            elapsed = np.maximum(part[:, None] - self.since[event], 0.0)
            result[0, a : a + rows], result[1, a : a + rows] = move.state(elapsed)
            result[2, a : a + rows] = move.acceleration(elapsed)
        return result[0], result[1], result[2]

    def moves(self, event: Index, limits: Limits) -> Profile:
        """The moves begun at the events at `event`; `limits` are those of their drives."""
        return quickest(self.start[event], self.entry[event], self.target[event], limits)

    def of_drive(self, drive: int) -> Motion:
        """The motion of one drive alone."""
        own = slice(self.first[drive], self.first[drive + 1])
        first = np.array([0, own.stop - own.start], dtype=np.intp)
        events = (self.since[own], self.target[own], self.start[own], self.entry[own])
        return Motion(first, *events, self.limits.take(np.array([drive])), self.begin, self.end)

    def with_drive(self, drive: int, speed: float, acceleration: float) -> Motion:
        """The motion with other limits for one drive; only that one is worked out again."""
        own = slice(self.first[drive], self.first[drive + 1])
        speeds, slopes = self.limits.speed.copy(), self.limits.acceleration.copy()
        speeds[drive], slopes[drive] = speed, acceleration
        alone = self.of_drive(drive).under(Limits.of(speeds[[drive]], slopes[[drive]]))
        start, entry = self.start.copy(), self.entry.copy()
        start[own], entry[own] = alone.start, alone.entry
        limits = Limits(speeds, slopes)
        return Motion(self.first, self.since, self.target, start, entry, limits, self.begin, self.end)

    def under(self, limits: Limits) -> Motion:
        """The motion that the same targets give under other limits."""
        start, entry = states(self.since, self.target, self.first, limits)
        return Motion(self.first, self.since, self.target, start, entry, limits, self.begin, self.end)

    def _events(self, time: Array) -> Index:
        """The event that rules each drive at each time; (n,) to (n, D)."""
        found = [
            a + np.maximum(np.searchsorted(self.since[a:b], time, side="right") - 1, 0)
            for a, b in zip(self.first[:-1], self.first[1:], strict=True)
        ]
        return np.stack(found, axis=1) if found else np.empty((len(time), 0), dtype=np.intp)


def follow(prop: Prop, times: ArrayLike, values: ArrayLike, limits: Limits | None = None) -> Motion:
    """What the shafts do when drive values (T, D) arrive at times (T,) [s], each held until the next.

    The drives stand at the first values at times[0]. Pulses are clamped, and deadbands hold. `limits` replaces those
    of the prop. PosekitError if times are not rising numbers, or shapes or the number of limits disagree.
    """
    return follow_shafts(times, targets(prop, values), limits_of(prop) if limits is None else limits)


def targets(prop: Prop, values: ArrayLike) -> Array:
    """The shaft angles [deg] that drive values (T, D) send the servos to, frame by frame; (T, D).

    Pulses are clamped, and deadbands hold. PosekitError if there is not a column for each drive.
    """
    value = rows(values, prop.drives, "values")
    deadbands = np.array([servo_of(prop, drive).deadband for drive in prop.drives], dtype=float)
    return shafts(prop, answered(pulses(prop, value), deadbands))


def limits_of(prop: Prop) -> Limits:
    """The limits of each drive, (D,): its own, and never more speed than the servo has without load."""
    own = [np.inf if drive.speed is None else drive.speed for drive in prop.drives]
    slope = [np.inf if drive.acceleration is None else drive.acceleration for drive in prop.drives]
    return Limits.of(np.minimum(np.array(own, float), servo_speeds(prop)), np.array(slope, float))


def servo_speeds(prop: Prop) -> Array:
    """The speed without load [deg/s] of the servo of each drive, (D,); `inf` where it is not known."""
    speeds = [servo_of(prop, drive).speed for drive in prop.drives]
    return np.array([np.inf if speed is None else speed for speed in speeds], dtype=float)


def follow_shafts(times: ArrayLike, targets_deg: ArrayLike, limits: Limits) -> Motion:
    """What D shafts do when targets (T, D) [deg] arrive at times (T,) [s], each held until the next.

    They stand at the first targets at times[0]. PosekitError if times are not rising numbers, or there is not
    one speed and one acceleration for each shaft.
    """
    time, target = _numbers(times, "times"), _numbers(targets_deg, "targets")
    _check(time, target, limits)
    changed = np.vstack([np.ones((1, target.shape[1]), dtype=bool), target[1:] != target[:-1]])
    drive, frame = np.nonzero(changed.T)
    first = np.concatenate([[0], np.cumsum(np.count_nonzero(changed, axis=0))]).astype(np.intp)
    since, goal = time[frame], target[frame, drive]
    start, entry = states(since, goal, first, limits)
    return Motion(first, since, goal, start, entry, limits, float(time[0]), float(time[-1]))


def _numbers(given: ArrayLike, what: str) -> Array:
    try:
        return np.asarray(given, dtype=float)
    except (TypeError, ValueError) as problem:
        sentence = f"not an array of numbers ({problem}); give times (T,) in s and targets (T, D) in deg"
        raise PosekitError([error("bad-show", what, sentence)]) from problem


def _check(time: Array, target: Array, limits: Limits) -> None:
    problems = []
    if time.ndim != 1 or target.ndim != 2 or len(time) != len(target):
        sentence = f"{time.shape} times for {target.shape} targets; give one time a frame"
        problems.append(error("bad-show", "times", sentence))
    elif len(time) == 0:
        problems.append(error("bad-show", "times", "there is no frame; give at least one"))
    elif not (np.isfinite(time).all() and np.isfinite(target).all()):
        problems.append(error("bad-show", "times", "some times or targets are not finite numbers"))
    elif (back := np.flatnonzero(np.diff(time) <= 0.0)).size:
        k = int(back[0])
        sentence = (
            f"frame {k + 2} is at {exact(time[k + 1])} s, after one at {exact(time[k])} s; times must rise"
        )
        problems.append(error("times-going-back", "times", sentence))
    if target.ndim == 2 and not limits.speed.shape == limits.acceleration.shape == target.shape[1:]:
        counts = f"{limits.speed.size} speeds and {limits.acceleration.size} accelerations"
        sentence = f"{counts} are given for {target.shape[1]} shafts; give one of each for a shaft"
        problems.append(error("bad-limits", "limits", sentence))
    if problems:
        raise PosekitError(problems)
