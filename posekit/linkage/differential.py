"""A bevel differential: two servos move two joints, one by their sum and one by their difference."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar, Literal

import numpy as np

from posekit.arrays import Array
from posekit.fields import key
from posekit.linkage.arcs import EVERYWHERE
from posekit.linkage.bevels import bevel_differential
from posekit.linkage.bodies import Body
from posekit.linkage.protocol import Hinge, Keys, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Differential:
    """Shafts (a, b) to joints (sum, difference); a is the shaft of this drive, b its partner's."""

    moves: ClassVar[Literal["turn", "slide"]] = "turn"
    partner_keys: ClassVar[tuple[str, ...]] = ("partner",)
    joint_keys: ClassVar[tuple[str, ...]] = ("sum", "difference")
    efficiency: ClassVar[float] = 0.85  # bevel wheels, each of two meshes

    partner: str = key("the other drive", names="drives")
    sum: str = key("joint at (a + b) / 2", names="joints")
    difference: str = key("joint at (a - b) / 2", names="joints")

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """None: its names are looked up where the whole prop is known."""
        return ()

    def closes(self, hinge: Hinge) -> tuple[float, float]:
        """Everywhere."""
        return EVERYWHERE

    def mix(self) -> Array:
        """Half the sum of both shafts, half their difference."""
        return np.array([[0.5, 0.5], [0.5, -0.5]])

    def position(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint angles (..., 2) [deg] of the shafts (..., 2)."""
        return shaft_deg @ self.mix().T

    def in_place(self, hinge: Hinge) -> Callable[[Array], Array]:
        """`position` in one place."""
        return partial(self.position, hinge=hinge)

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """The mix, everywhere."""
        return np.broadcast_to(self.mix(), (*shaft_deg.shape, 2)).copy()

    def zero_at(self, position: float, hinge: Hinge) -> None:
        """None: it has no key for it."""

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """nan: there is no rod."""
        return np.full_like(shaft_deg, np.nan)

    def bodies(self, shaft_deg: Array, hinges: Sequence[Hinge]) -> tuple[Body, ...]:
        """A bevel wheel on each shaft, both on the axis of the sum, and one between them on that of the difference."""
        return bevel_differential(shaft_deg, hinges)

    def unplaced(self) -> tuple[str, ...]:
        """None: its wheels turn about the axes of its joints."""
        return ()

    def plane(self, hinge: Hinge) -> None:
        """None: it has no grips."""

    def dragged(self, grip: str, to: Array, shaft_deg: float, hinge: Hinge) -> Keys:
        """None: it has nothing to be dragged."""
        return {}
