"""Gears or a toothed belt between servo shaft and joint: joint = shaft / ratio + offset."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

import numpy as np

from posekit.arrays import Array
from posekit.fields import LEAST_MM, Vector, key
from posekit.linkage.arcs import EVERYWHERE
from posekit.linkage.bodies import Body, across, tenths
from posekit.linkage.protocol import ALONE, Hinge, Keys, Problem
from posekit.linkage.straight import Straight
from posekit.linkage.turning import belt_or_gears, off_axis, rack_and_pinion


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear:
    """A fixed ratio between shaft and joint."""

    moves: ClassVar[Literal["turn", "slide"]] = "turn"
    partner_keys: ClassVar[tuple[str, ...]] = ()
    joint_keys: ClassVar[tuple[str, ...]] = ()
    efficiency: ClassVar[float] = 0.9  # a pair of wheels or a belt

    ratio: float = key(
        "turns of the shaft for one turn of the joint, degrees for one mm of a slide; negative reverses"
    )
    offset: float = key("joint position at shaft 0", unit="deg or mm", default=0.0)
    shaft_at: Vector | None = key(
        "a point on the servo shaft in the part that carries the joint; to draw it there",
        unit="mm",
        default=None,
    )

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """A ratio of 0, or a servo shaft on the axis of the joint."""
        if self.ratio == 0.0:
            return (("ratio", "= 0: no gear has this ratio; use for example 2, or -2 to reverse"),)
        if self.shaft_at is None or hinge is None or hinge.slides:
            return ()
        if off_axis(self.shaft_at, hinge)[1] < LEAST_MM:
            said = (
                f"= {list(self.shaft_at)}: lies on the joint axis, where its wheel is; place it beside that"
            )
            return (("shaft_at", said),)
        return ()

    def closes(self, hinge: Hinge) -> tuple[float, float]:
        """Everywhere."""
        return EVERYWHERE

    def mix(self) -> Array:
        """One joint, one coordinate."""
        return ALONE

    def position(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint position [deg | mm]."""
        return self.in_place(hinge)(shaft_deg)

    def in_place(self, hinge: Hinge) -> Straight:
        """`position` in one place."""
        return Straight(self.ratio, self.offset)

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """1 / ratio everywhere."""
        return np.full_like(shaft_deg, 1.0 / self.ratio)

    def zero_at(self, position: float, hinge: Hinge) -> Mapping[str, float]:
        """Another offset."""
        return {"offset": self.offset - position}

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """nan: there is no rod."""
        return np.full_like(shaft_deg, np.nan)

    def bodies(self, shaft_deg: Array, hinges: Sequence[Hinge]) -> tuple[Body, ...]:
        """Two wheels in mesh, or with a belt where both turn the same way; of a slide a pinion on its rack."""
        hinge = hinges[0]
        if hinge.slides:
            position = self.position(shaft_deg, hinge)
            return rack_and_pinion(shaft_deg, position, self.ratio, hinge, self.shaft_at)
        return belt_or_gears(shaft_deg, self.position(shaft_deg, hinge), self.ratio, hinge, self.shaft_at)

    def unplaced(self) -> tuple[str, ...]:
        """Where the servo's shaft is."""
        return ("shaft_at",) if self.shaft_at is None else ()

    def plane(self, hinge: Hinge) -> Vector:
        """Across the joint axis; of a slide that of the pinion."""
        if not hinge.slides:
            return hinge.axis
        x, y, z = across(hinge.axis)[1].tolist()
        return x, y, z

    def dragged(self, grip: str, to: Array, shaft_deg: float, hinge: Hinge) -> Keys:
        """Another place of the shaft; a wheel on the joint's axis does not come along."""
        return {"shaft_at": tenths(to)} if grip == "shaft" else {}
