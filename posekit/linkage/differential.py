"""A bevel differential: two servos move two joints, one by their sum and one by their difference."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

import numpy as np

from posekit.arrays import Array
from posekit.fields import key
from posekit.linkage.arcs import EVERYWHERE
from posekit.linkage.protocol import Hinge, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Differential:
    """Shafts (a, b) to joints (sum, difference); a is the shaft of this drive, b its partner's."""

    moves: ClassVar[Literal["turn", "slide"]] = "turn"

    partner: str = key("the other drive", names="drives")
    sum: str = key("joint at (a + b) / 2", names="joints")
    difference: str = key("joint at (a - b) / 2", names="joints")

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """None: its names are looked up where the whole prop is known."""
        return ()

    def closes(self, hinge: Hinge) -> tuple[float, float]:
        """Everywhere."""
        return EVERYWHERE

    def position(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint angles (..., 2) [deg] of the shafts (..., 2)."""
        a, b = shaft_deg[..., 0], shaft_deg[..., 1]
        return np.stack([(a + b) / 2, (a - b) / 2], axis=-1)

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """The sum joint for each degree of a, the difference joint for each degree of b."""
        return np.broadcast_to(np.array([0.5, -0.5]), shaft_deg.shape).copy()

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """nan: there is no rod."""
        return np.full_like(shaft_deg, np.nan)
