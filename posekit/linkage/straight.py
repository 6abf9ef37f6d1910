"""A linkage whose joint goes with the shaft in one proportion: joint = shaft / ratio + offset."""

from __future__ import annotations

from dataclasses import dataclass

from posekit.arrays import Array


@dataclass(frozen=True, slots=True)
class Straight:
    """The position of one such joint at shaft angles of any shape; with columns (n, 1), of n of them at (n, P)."""

    ratio: float | Array
    offset: float | Array

    def __call__(self, shaft_deg: Array) -> Array:
        """Joint position [deg | mm]."""
        return shaft_deg / self.ratio + self.offset
