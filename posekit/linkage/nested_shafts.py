"""Three shafts one inside the other, up through a neck: they pan a head, nod it and roll it.

The servos stand still below. The outer shaft carries the head, so that panning takes the bevel wheels of
the two others round with it: each of these moves its joint by what it turns more than the shaft around it.
Coupled bevel wrists are worked out so in robotics text books (L.-W. Tsai, Robot Analysis, ch. 9, from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar, Literal

import numpy as np

from posekit.arrays import Array
from posekit.fields import key
from posekit.linkage.arcs import EVERYWHERE
from posekit.linkage.bevels import bevel_head
from posekit.linkage.bodies import Body
from posekit.linkage.protocol import Hinge, Keys, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class NestedShafts:
    """Shafts (outer, middle, inner) to joints (pan, nod, roll); outer is the shaft of this drive.

    pan = outer; nod = (middle - outer) / nod_ratio; the inner shaft turns a wheel that runs free on the nod
    axis, and the roll wheel meets that one as it nods: roll = (inner - outer - nod) / roll_ratio.
    """

    moves: ClassVar[Literal["turn", "slide"]] = "turn"
    partner_keys: ClassVar[tuple[str, ...]] = ("middle", "inner")
    joint_keys: ClassVar[tuple[str, ...]] = ("pan", "nod", "roll")
    efficiency: ClassVar[float] = 0.8  # bevel wheels one after the other, shafts one in the other

    middle: str = key("drive of the middle shaft", names="drives")
    inner: str = key("drive of the inner shaft", names="drives")
    pan: str = key("joint that turns with the outer shaft", names="joints")
    nod: str = key("joint that the middle shaft turns by bevel wheels", names="joints")
    roll: str = key("joint that the inner shaft turns by bevel wheels", names="joints")
    nod_ratio: float = key("turns of the middle shaft for one turn of nod; negative reverses", default=1.0)
    roll_ratio: float = key(
        "turns of the wheel on the nod axis for one turn of roll; negative reverses", default=1.0
    )

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """Ratios of 0."""
        ratios = {"nod_ratio": self.nod_ratio, "roll_ratio": self.roll_ratio}
        right = "= 0: no pair of wheels has this ratio; use for example 2, or -2 to reverse"
        return tuple((name, right) for name, ratio in ratios.items() if ratio == 0.0)

    def closes(self, hinge: Hinge) -> tuple[float, float]:
        """Everywhere."""
        return EVERYWHERE

    def mix(self) -> Array:
        """Pan, nod and roll for a degree of each shaft."""
        outer, middle, inner = np.eye(3)
        nod = (middle - outer) / self.nod_ratio
        return np.stack([outer, nod, (inner - outer - nod) / self.roll_ratio])

    def position(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint angles (..., 3) [deg] of the shafts (..., 3)."""
        return shaft_deg @ self.mix().T

    def in_place(self, hinge: Hinge) -> Callable[[Array], Array]:
        """`position` in one place."""
        return partial(self.position, hinge=hinge)

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """The mix, everywhere."""
        return np.broadcast_to(self.mix(), (*shaft_deg.shape, 3)).copy()

    def zero_at(self, position: float, hinge: Hinge) -> None:
        """None: it has no key for it."""

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """nan: there is no rod."""
        return np.full_like(shaft_deg, np.nan)

    def bodies(self, shaft_deg: Array, hinges: Sequence[Hinge]) -> tuple[Body, ...]:
        """Three shafts one in the other on the pan axis, and the bevel wheels on those of nod and roll."""
        return bevel_head(
            shaft_deg, self.position(shaft_deg, hinges[0]), (self.nod_ratio, self.roll_ratio), hinges
        )

    def unplaced(self) -> tuple[str, ...]:
        """None: its wheels turn about the axes of its joints."""
        return ()

    def plane(self, hinge: Hinge) -> None:
        """None: it has no grips."""

    def dragged(self, grip: str, to: Array, shaft_deg: float, hinge: Hinge) -> Keys:
        """None: it has nothing to be dragged."""
        return {}
