"""A sphere."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import ClassVar

import numpy as np

from posekit.fields import LEAST_MM, key
from posekit.shape.bulk import Bulk
from posekit.shape.protocol import Core, Extent, Source, Triangles
from posekit.shape.turned import capped, turned


@dataclass(frozen=True, slots=True, kw_only=True)
class Sphere:
    """A sphere, centred."""

    bare: ClassVar[str | None] = None

    radius: float = key("radius", unit="mm", least=LEAST_MM)

    def names(self) -> tuple[tuple[str, str], ...]:
        """None."""
        return ()

    def bulk(self, source: Source) -> Bulk:
        """The bulk of a ball."""
        volume = 4.0 / 3.0 * pi * self.radius**3
        return Bulk(volume, np.zeros(3), 0.4 * volume * self.radius**2 * np.eye(3))

    def cores(self, source: Source) -> list[Core]:
        """A point, grown."""
        return [Core(np.zeros(3), radius=self.radius)]

    def extent(self, source: Source) -> Extent:
        """Itself."""
        return Extent(np.zeros((1, 3)), np.array([self.radius]))

    def triangles(self, source: Source) -> Triangles:
        """Rings from pole to pole."""
        return turned(self.radius, capped(self.radius, 0.0))
