"""One shaft that swings between two angles under its limits, for as long as one looks; in closed form.

It goes to one end, stands there for a moment, goes to the other, and so on. Only the first move begins in motion; all
others go from rest to rest and repeat.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.motion.profile import Limits, quickest

PAUSE_S = 0.4  # at each end: long enough to see it stand, and to hear that a servo does not hum there


@dataclass(frozen=True, slots=True)
class Swing:
    """From `start_deg` at `velocity` [deg/s] at time `begin` [s] to `ends_deg[towards]`, then to the other, and so on.

    `limits` are those of the one shaft, (1,) each. A velocity above the speed limit is cut to it.
    """

    ends_deg: tuple[float, float]
    limits: Limits
    begin: float
    start_deg: float
    velocity: float = 0.0
    towards: int = 1

    @property
    def period(self) -> float:
        """Time [s] from one end to the other and back, with its pauses."""
        return 2.0 * (self._sweep() + PAUSE_S)

    def position(self, t: ArrayLike) -> Array:
        """Shaft angle [deg] at times `t` (n,) [s]; (n,). Before `begin` it stands at `start_deg`."""
        return self._at(t)[0]

    def at(self, t: float) -> tuple[float, float, int]:
        """Shaft angle [deg], speed [deg/s] and the end (0 or 1) that it goes to, or last came to, at a time [s]."""
        position, velocity, towards = self._at([t])
        return float(position[0]), float(velocity[0]), int(towards[0])

    def _sweep(self) -> float:
        a, b = (np.array([end]) for end in self.ends_deg)
        return float(quickest(a, np.zeros(1), b, self.limits).duration[0])

    def _at(self, t: ArrayLike) -> tuple[Array, Array, Array]:
        since = np.atleast_1d(np.asarray(t, float)) - self.begin
        elapsed = np.maximum(since, 0.0)
        entry = np.clip([self.velocity], -self.limits.speed, self.limits.speed)
        first = quickest(
            np.array([self.start_deg]), entry, np.array([self.ends_deg[self.towards]]), self.limits
        )
        first_ends = float(first.duration[0]) + PAUSE_S
        leg = self._sweep() + PAUSE_S
        # Legs since the first move ended, counted from 0; the first of them leaves the end that was come to.
        count, into = np.divmod(np.maximum(elapsed - first_ends, 0.0), leg)
        towards = (self.towards + 1 + count.astype(int)) % 2
        ends = np.array(self.ends_deg)
        later = quickest(ends[1 - towards], np.zeros(len(elapsed)), ends[towards], self.limits)
        position, velocity = later.state(into)
        early = elapsed < first_ends
        position_early, velocity_early = first.state(elapsed)
        position_early = np.where(since < 0.0, self.start_deg, position_early)
        return (
            np.where(early, position_early, position),
            np.where(early, velocity_early, velocity),
            np.where(early, self.towards, towards),
        )
