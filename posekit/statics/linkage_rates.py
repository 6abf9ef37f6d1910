"""The most that a linkage of one drive moves its joint per degree, over any range of its shaft.

Its rate is read at many angles. Between two of them it is taken to rise above both by no more than the largest second
difference there and beside it would let a parabola rise, twice over. That is an allowance, not a proof: a rate that
rose between two of the angles, and at none of them, would be missed. What is called proved by it is so but for that.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.mechanism.joints import Train

ANGLES = 2048


@dataclass(frozen=True, slots=True)
class RateTable:
    """`highest[k][i]` is the most of |rate| from angle i of `low` to `high` [deg] on, over 2**k steps."""

    low: float
    high: float
    highest: tuple[Array, ...]

    def most(self, low_deg: Array, high_deg: Array) -> Array:
        """The most of |rate| [deg/deg | mm/deg] over ranges of the shaft; (N,) and (N,) to (N,)."""
        steps = len(self.highest[0])
        per_deg = steps / (self.high - self.low) if self.high > self.low else 0.0
        first = np.clip(np.floor((low_deg - self.low) * per_deg).astype(int), 0, steps - 1)
        last = np.clip(np.floor((high_deg - self.low) * per_deg).astype(int), first, steps - 1)
        level = np.frexp(last - first + 1)[1] - 1  # the largest power of two that is no more
        found = np.empty(len(first))
        for k in np.unique(level).tolist():
            own = level == k
            found[own] = np.maximum(self.highest[k][first[own]], self.highest[k][last[own] - 2**k + 1])
        return found


def rate_table(train: Train, low_deg: float, high_deg: float) -> RateTable:
    """The table of a linkage of one drive from one shaft angle to another, within what it closes at."""
    angles = np.linspace(low_deg, high_deg, ANGLES + 1)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = np.abs(train.linkage.rate(angles, train.hinge) * train.mix[0, 0])
        rate[np.isnan(rate)] = np.inf
        bend = np.abs(np.diff(rate, 2))
    bend[~np.isfinite(bend)] = np.inf
    bend = np.concatenate([bend[:1], bend, bend[-1:]])
    rise = 2 * np.maximum(bend[:-1], bend[1:]) / 8
    rise[rise < 1e-12 * rate.max()] = 0.0  # rounding of what is straight
    highest = [np.maximum(rate[:-1], rate[1:]) + rise]
    # Ends: each level is shorter by twice as much as the last.
    while len(highest[-1]) > (half := 2 ** (len(highest) - 1)):
        highest.append(np.maximum(highest[-1][:-half], highest[-1][half:]))
    return RateTable(low_deg, high_deg, tuple(highest))
