"""What a stopwatch shows when a drive alone goes from one of its end points to the other, and back from it.

The servo is sent the other end point at once and goes there as fast as its limits let it: the trapezoid of `profile`.
From rest to rest it is the same read forwards and backwards, so half of the way is passed at half of the time. A
move to the middle value and a stop there takes longer than that: it brakes, and so tells speed from acceleration.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Truth
from posekit.motion.follow import limits_of
from posekit.motion.profile import quickest
from posekit.prop.model import Prop
from posekit.signal.calibration import pulses, shafts


@dataclass(frozen=True, slots=True)
class Timed:
    """One drive against the stopwatch, all in seconds.

    `whole_deg` and `part_deg` are the ways of the shaft from low to high and from low to middle; `whole_s` the time
    from low to high, `half_s` when half of that way is passed, `middle_s` the time from low to middle and a stop.
    Times are None where nothing limits speed or acceleration: then nothing tells them.
    """

    whole_deg: float
    part_deg: float
    whole_s: float | None
    half_s: float | None
    middle_s: float | None


def timed(prop: Prop) -> tuple[Timed, ...]:
    """The times of every drive, in the order of the drives."""
    values = np.array([[0.0, drive.middle, drive.full_scale] for drive in prop.drives], dtype=float).reshape(
        -1, 3
    )
    low, middle, high = shafts(prop, pulses(prop, values.T))
    limits, still = limits_of(prop), np.zeros(len(prop.drives))
    whole = quickest(low, still, high, limits).duration
    part = quickest(low, still, middle, limits).duration
    known = np.isfinite(limits.speed) | np.isfinite(limits.acceleration)
    return tuple(
        Timed(
            whole_deg=float(abs(high[d] - low[d])),
            part_deg=float(abs(middle[d] - low[d])),
            whole_s=_told(whole, known, d),
            half_s=_told(whole / 2, known, d),
            middle_s=_told(part, known, d),
        )
        for d in range(len(prop.drives))
    )


def _told(seconds: Array, known: Truth, d: int) -> float | None:
    return float(seconds[d]) if known[d] else None
