"""The gentlest limits with which a show still arrives in time, found by trying and proved by trying again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Truth
from posekit.errors import Finding, PosekitError, error, note, warning
from posekit.motion.follow import follow_shafts, limits_of, servo_speeds, targets
from posekit.motion.profile import Limits
from posekit.motion.readings import DriveReading, drive_readings, lateness
from posekit.prop.model import Prop
from posekit.stream.show import Show
from posekit.text import exact

LEAST, MOST = 0.1, 1e6  # deg/s and deg/s2; no servo of a prop is outside
ROUNDS = 15  # halvings of the range on a logarithmic scale: to a thousandth
GROWTH = 1.02


@dataclass(frozen=True, slots=True)
class Suggested:
    """Limits for each drive, the readings with them over the same show, and what there is to tell."""

    limits: Limits
    readings: tuple[DriveReading, ...]
    findings: tuple[Finding, ...]


def suggest(prop: Prop, show: Show, lag_s: float) -> Suggested:
    """The gentlest speed and acceleration with which each drive reaches its stops within `lag_s` seconds.

    First the smallest acceleration, at the speed of the servo; then the smallest speed with it. A stop that the
    servo cannot reach before the show goes on, at any acceleration, is not asked of it. A drive whose servo
    is too slow for `lag_s` keeps its limits, and a finding says so. The result is rounded up to three digits and
    was run once more: `readings` are from that run. PosekitError unless `lag_s` is a time above 0.
    """
    if not 0.0 < lag_s < np.inf:
        raise PosekitError([error("out-of-range", "within", f"= {exact(lag_s)}: use a time above 0 s")])
    asked = targets(prop, show.values)
    own = limits_of(prop)
    fast = Limits(np.minimum(servo_speeds(prop), MOST), np.full(len(prop.drives), MOST))

    def late(limits: Limits) -> tuple[Array, Array, Array]:
        """Stops, longest lag [s] and missed stops of each drive, (D,)."""
        motion = follow_shafts(show.times, asked, limits)
        stop, lag, missed = lateness(motion)
        starts = motion.first[:-1]
        return (
            np.add.reduceat(stop, starts),
            np.maximum.reduceat(lag, starts),
            np.add.reduceat(missed, starts),
        )

    stops, _, out_of_reach = late(fast)

    def arrives(limits: Limits) -> Truth:
        _, lag, missed = late(limits)
        return (lag <= lag_s) & (missed <= out_of_reach)

    sought = arrives(fast) & (stops > 0)
    slope = _smallest(lambda slope: arrives(Limits(fast.speed, slope)), fast.acceleration)
    speed = _smallest(lambda speed: arrives(Limits(speed, slope)), fast.speed)
    limits = Limits(np.where(sought, speed, own.speed), np.where(sought, slope, own.acceleration))
    # Ends: what is wrong grows by GROWTH each time, up to the limits with which all that is sought arrives.
    while (wrong := sought & ~arrives(limits)).any():
        # Only where a later start happens to help; a little more of both ends it.
        more = np.where(wrong, GROWTH, 1.0)
        limits = Limits(
            np.minimum(limits.speed * more, fast.speed), np.minimum(limits.acceleration * more, MOST)
        )
    proved = drive_readings(prop, follow_shafts(show.times, asked, limits))
    return Suggested(limits, proved, tuple(_findings(proved, sought, lag_s)))


def _smallest(holds: Callable[[Array], Truth], top: Array) -> Array:
    """The smallest limits (D,) from LEAST to `top` that hold, each drive by itself, rounded up to three digits."""
    low, high = np.full_like(top, LEAST), top.copy()
    for _ in range(ROUNDS):
        middle = np.sqrt(low * high)
        good = holds(middle)
        low, high = np.where(good, low, middle), np.where(good, middle, high)
    unit = 10.0 ** (np.floor(np.log10(high)) - 2.0)
    return np.minimum(np.ceil(high / unit) * unit, top)


def _findings(proved: tuple[DriveReading, ...], sought: Truth, lag_s: float) -> list[Finding]:
    found = []
    for reading, was_sought in zip(proved, sought, strict=True):
        if not reading.stops:
            sentence = "never stops in this show, so its own limits are kept"
            found.append(note("no-stop", reading.drive, sentence))
        elif not was_sought:
            sentence = (
                f"cannot reach every stop within {exact(lag_s)} s at any acceleration; its limits are kept"
            )
            found.append(warning("too-slow", reading.drive, sentence))
    return found
