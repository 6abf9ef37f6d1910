"""A show: what the drives are sent over time, whatever it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from posekit.arrays import Array
from posekit.budgets import FRAMES, SHOW_VALUES
from posekit.errors import Finding


@dataclass(frozen=True, slots=True)
class Show:
    """Drive values (T, D) that arrive at times (T,) [s], each held until the next.

    Of a file with faults this is what could be read; `findings` tell every fault, at level `error` where
    something of the show is missing.
    """

    name: str
    times: Array
    values: Array
    findings: tuple[Finding, ...] = ()

    @property
    def duration(self) -> float:
        """Time [s] from the first frame to the last."""
        return float(self.times[-1] - self.times[0])


def most_frames(drives: int) -> int:
    """The most frames that a show of this many drives may have."""
    return min(FRAMES, SHOW_VALUES // max(drives, 1))
