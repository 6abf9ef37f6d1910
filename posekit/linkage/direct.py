"""The servo shaft is the joint: joint = shaft + offset."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

import numpy as np

from posekit.arrays import Array
from posekit.fields import key
from posekit.linkage.arcs import EVERYWHERE
from posekit.linkage.bodies import Body
from posekit.linkage.protocol import ALONE, Hinge, Keys, Problem
from posekit.linkage.straight import Straight
from posekit.linkage.turning import horn, rack_and_pinion


@dataclass(frozen=True, slots=True, kw_only=True)
class Direct:
    """The joint sits on the servo shaft."""

    moves: ClassVar[Literal["turn", "slide"]] = "turn"
    partner_keys: ClassVar[tuple[str, ...]] = ()
    joint_keys: ClassVar[tuple[str, ...]] = ()
    efficiency: ClassVar[float] = 1.0  # nothing stands between

    offset: float = key("joint position at shaft 0", unit="deg or mm", default=0.0)

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """None: any offset will do."""
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
        return Straight(1.0, self.offset)

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """1 everywhere."""
        return np.ones_like(shaft_deg)

    def zero_at(self, position: float, hinge: Hinge) -> Mapping[str, float]:
        """Another offset."""
        return {"offset": self.offset - position}

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """nan: there is no rod."""
        return np.full_like(shaft_deg, np.nan)

    def bodies(self, shaft_deg: Array, hinges: Sequence[Hinge]) -> tuple[Body, ...]:
        """The horn on the joint; of a slide a pinion on its rack, one mm of which goes by a degree."""
        if hinges[0].slides:
            return rack_and_pinion(shaft_deg, self.position(shaft_deg, hinges[0]), 1.0, hinges[0])
        return horn(shaft_deg, hinges[0])

    def unplaced(self) -> tuple[str, ...]:
        """None: the shaft is the joint's own axis."""
        return ()

    def plane(self, hinge: Hinge) -> None:
        """None: it has no grips."""

    def dragged(self, grip: str, to: Array, shaft_deg: float, hinge: Hinge) -> Keys:
        """None: it has nothing to be dragged."""
        return {}
