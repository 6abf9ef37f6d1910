"""A capsule."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import ClassVar

import numpy as np

from posekit.fields import LEAST_MM, key
from posekit.shape.bulk import Bulk, about
from posekit.shape.protocol import Core, Extent, Source, Triangles
from posekit.shape.turned import capped, turned


@dataclass(frozen=True, slots=True, kw_only=True)
class Capsule:
    """A cylinder with round caps along z, centred; `length` lies between the cap centres."""

    bare: ClassVar[str | None] = None

    radius: float = key("radius", unit="mm", least=LEAST_MM)
    length: float = key("length between the cap centres", unit="mm", least=LEAST_MM)

    def names(self) -> tuple[tuple[str, str], ...]:
        """None."""
        return ()

    def bulk(self, source: Source) -> Bulk:
        """The bulk of a cylinder and of a ball."""
        r, h = self.radius, self.length
        rod, ball = pi * r**2 * h, 4.0 / 3.0 * pi * r**3
        across = rod * r**2 / 4 + ball * r**2 / 5
        # The middle of a half ball lies 3/8 of the radius from its flat side.
        along = rod * h**2 / 12 + ball * (r**2 / 5 + h**2 / 4 + 3 / 8 * r * h)
        return Bulk(rod + ball, np.zeros(3), about(np.diag([across, across, along])))

    def cores(self, source: Source) -> list[Core]:
        """A segment, grown."""
        return [Core(np.zeros(3), half=(0.0, 0.0, self.length / 2), radius=self.radius)]

    def extent(self, source: Source) -> Extent:
        """Its two caps."""
        end = np.array([0.0, 0.0, self.length / 2])
        return Extent(np.array([-end, end]), np.full(2, self.radius))

    def triangles(self, source: Source) -> Triangles:
        """Rings from pole to pole."""
        return turned(self.radius, capped(self.radius, self.length))
