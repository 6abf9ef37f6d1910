"""The quickest move to rest at a target under a speed and an acceleration limit, in closed form.

Such a move has three phases: constant acceleration towards the way it has to go (which first brakes a
shaft that runs the wrong way or too fast to stop in time), constant speed, constant deceleration. It is
the textbook trapezoid, or triangle where the speed limit is not reached; Pontryagin's maximum principle
for the double integrator gives no other (e.g. Bryson and Ho, Applied Optimal Control, 1975; from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.errors import PosekitError, error


@dataclass(frozen=True, slots=True)
class Limits:
    """Speed [deg/s] and acceleration [deg/s2] limits at the shaft, (D,) each; `inf` where there is none."""

    speed: Array
    acceleration: Array

    @classmethod
    def of(cls, speed: Array | list[float], acceleration: Array | list[float]) -> Limits:
        """Limits from anything array-like. PosekitError unless every one is above 0 and shapes agree."""
        made = cls(np.asarray(speed, dtype=float), np.asarray(acceleration, dtype=float))
        if made.speed.shape != made.acceleration.shape:
            counts = f"{made.speed.size} speeds and {made.acceleration.size} accelerations"
            raise PosekitError(
                [error("bad-limits", "limits", f"{counts} are given; give one of each for a drive")]
            )
        if not (np.all(made.speed > 0) and np.all(made.acceleration > 0)):
            sentence = "every speed and acceleration must be above 0; leave a limit out with inf"
            raise PosekitError([error("bad-limits", "limits", sentence)])
        return made

    def take(self, index: Index) -> Limits:
        """The limits of the drives at `index`."""
        return Limits(self.speed[index], self.acceleration[index])


@dataclass(frozen=True, slots=True)
class Profile:
    """Quickest moves, elementwise: every array has the same shape.

    `way` is +1 or -1, the sign of the first acceleration; `peak` [deg/s] the speed after `rise` [s];
    `steady` and `fall` [s] follow. All durations are 0 where neither limit is finite: the move is a jump.
    """

    start: Array
    velocity: Array
    target: Array
    limits: Limits
    way: Array
    peak: Array
    rise: Array
    steady: Array
    fall: Array

    @property
    def duration(self) -> Array:
        """Time [s] until rest at the target."""
        return self.rise + self.steady + self.fall

    @property
    def slope(self) -> Array:
        """Acceleration [deg/s2] of the first phase, signed; 0 where speed jumps instead."""
        return self.way * np.where(np.isinf(self.limits.acceleration), 0.0, self.limits.acceleration)

    def state(self, elapsed: Array) -> tuple[Array, Array]:
        """Position [deg] and velocity [deg/s] `elapsed` >= 0 seconds into each move."""
        slope = self.slope
        rising = elapsed < self.rise
        to_go = self.duration - elapsed
        falling = to_go <= self.fall
        # Each phase is written from its own exact end, so that a move starts and stops on the very number.
        turned = self.start + 0.5 * (self.velocity + self.way * self.peak) * self.rise
        position = np.where(
            rising,
            self.start + (self.velocity + 0.5 * slope * elapsed) * elapsed,
            np.where(
                falling,
                self.target - 0.5 * slope * to_go * to_go,
                turned + self.way * self.peak * (elapsed - self.rise),
            ),
        )
        velocity = np.where(
            rising, self.velocity + slope * elapsed, np.where(falling, slope * to_go, self.way * self.peak)
        )
        arrived = to_go <= 0.0
        return np.where(arrived, self.target, position), np.where(arrived, 0.0, velocity)

    def acceleration(self, elapsed: Array) -> Array:
        """Acceleration [deg/s2] `elapsed` >= 0 seconds into each move, just after that instant."""
        to_go = self.duration - elapsed
        braking = np.where(to_go <= self.fall, -self.slope, 0.0)
        return np.where(to_go <= 0.0, 0.0, np.where(elapsed < self.rise, self.slope, braking))


def quickest(start: Array, velocity: Array, target: Array, limits: Limits) -> Profile:
    """The quickest moves from (`start` [deg], `velocity` [deg/s]) to rest at `target` [deg], elementwise.

    `velocity` may not exceed the speed limit: following never lets it. With D the way to go, v0 the
    velocity along it and a the limit, the peak is min(v, sqrt(a D + v0**2 / 2)); the first acceleration
    points from where the shaft would come to rest by braking at once to the target.
    """
    jumps = np.isinf(limits.acceleration)
    slope = np.where(jumps, 0.0, limits.acceleration)
    per_slope = 1.0 / limits.acceleration  # 0 where speed jumps
    square = velocity * velocity
    stop = start + 0.5 * np.copysign(square, velocity) * per_slope
    way = np.copysign(1.0, target - stop)
    reach = way * (target - start)
    summit = np.sqrt(np.maximum(slope * reach + 0.5 * square, 0.0))
    limited = jumps | (summit >= limits.speed)
    peak = np.where(limited, limits.speed, summit)
    peak = np.where(np.isinf(peak), 0.0, peak)  # neither limit: a jump, of no duration
    rise = np.maximum(peak - way * velocity, 0.0) * per_slope
    plain = reach - (peak * peak - 0.5 * square) * per_slope
    steady = np.divide(np.maximum(plain, 0.0), peak, out=np.zeros_like(plain), where=limited & (peak > 0.0))
    return Profile(start, velocity, target, limits, way, peak, rise, steady, peak * per_slope)


def state_of_one(
    start: float, velocity: float, target: float, elapsed: float, speed: float, acceleration: float
) -> tuple[float, float]:
    """`quickest(...).state(elapsed)` of a single move in plain numbers, equal to the last bit.

    Walking one long chain costs an array call for every operation, twenty times what the numbers themselves take.
    """
    jumps = math.isinf(acceleration)
    slope, per_slope = (0.0, 0.0) if jumps else (acceleration, 1.0 / acceleration)
    square = velocity * velocity
    stop = start + 0.5 * math.copysign(square, velocity) * per_slope
    way = math.copysign(1.0, target - stop)
    reach = way * (target - start)
    peak, steady = math.sqrt(max(slope * reach + 0.5 * square, 0.0)), 0.0
    if jumps or peak >= speed:
        peak = 0.0 if math.isinf(speed) else speed
        plain = reach - (peak * peak - 0.5 * square) * per_slope
        steady = max(plain, 0.0) / peak if peak > 0.0 else 0.0
    rise = max(peak - way * velocity, 0.0) * per_slope
    fall = peak * per_slope
    to_go = rise + steady + fall - elapsed
    slope *= way
    if to_go <= 0.0:
        return target, 0.0
    if elapsed < rise:
        return start + (velocity + 0.5 * slope * elapsed) * elapsed, velocity + slope * elapsed
    if to_go <= fall:
        return target - 0.5 * slope * to_go * to_go, slope * to_go
    return start + 0.5 * (velocity + way * peak) * rise + way * peak * (elapsed - rise), way * peak
