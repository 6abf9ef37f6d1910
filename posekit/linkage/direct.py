"""The servo shaft is the joint: joint = shaft + offset."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import ClassVar, Literal

import numpy as np

from posekit.arrays import Array
from posekit.fields import key
from posekit.linkage.arcs import EVERYWHERE
from posekit.linkage.protocol import ALONE, Hinge, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Direct:
    """The joint sits on the servo shaft."""

    moves: ClassVar[Literal["turn", "slide"]] = "turn"
    partner_keys: ClassVar[tuple[str, ...]] = ()
    joint_keys: ClassVar[tuple[str, ...]] = ()

    offset: float = key("joint position at shaft 0", unit="deg", default=0.0)

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
        """Joint angle [deg]."""
        return shaft_deg + self.offset

    def in_place(self, hinge: Hinge) -> Callable[[Array], Array]:
        """`position` in one place."""
        return partial(self.position, hinge=hinge)

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """1 everywhere."""
        return np.ones_like(shaft_deg)

    def zero_at(self, position: float, hinge: Hinge) -> Mapping[str, float]:
        """Another offset."""
        return {"offset": self.offset - position}

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """nan: there is no rod."""
        return np.full_like(shaft_deg, np.nan)
