"""What servos draw when power comes on, all at once or one after another.

A servo that does not stand where its first pulse sends it goes there as fast as it can, and begins with what it draws
stalled (common practice). It goes no longer than its whole range takes at its speed without load, twice over.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array


@dataclass(frozen=True, slots=True)
class PowerOn:
    """`at_once_a` [A]; with `pause_s` [s] between one and the next no more than `staggered_a` [A] at any time.

    The two are None where even one after another is more than the supply gives, or that is not known.
    """

    at_once_a: float
    pause_s: float | None
    staggered_a: float | None


def power_on(stall_a: Array, holding_a: Array, way_s: float, supply_a: float | None) -> PowerOn:
    """The shortest pause that keeps below the supply, servos in the order of the drives; (D,) [A] each.

    `way_s` [s] is how long any of them is on its way at most. Those that have arrived hold, those to come draw nothing.
    """
    at_once = float(stall_a.sum())
    count = len(stall_a)
    if supply_a is None or not count:
        return PowerOn(at_once, None, None)
    if at_once <= supply_a:
        return PowerOn(at_once, 0.0, at_once)
    held = np.concatenate([[0.0], np.cumsum(holding_a)])
    begun = np.concatenate([[0.0], np.cumsum(stall_a)])
    for together in range(count - 1, 0, -1):
        # While servo i begins, those before the last few that are still on their way hold.
        last = np.arange(1, count + 1)
        first = np.maximum(last - together, 0)
        most = float((held[first] + begun[last] - begun[first]).max())
        if most <= supply_a:
            return PowerOn(at_once, way_s / together, most)
    return PowerOn(at_once, None, None)
