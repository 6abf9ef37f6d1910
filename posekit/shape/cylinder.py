"""A cylinder."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import ClassVar

import numpy as np

from posekit.fields import LEAST_MM, key
from posekit.shape.bulk import Bulk, about
from posekit.shape.protocol import Core, Extent, Source, Triangles
from posekit.shape.turned import turned

RIM = 32  # points for the rim of a disc


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """A cylinder along z, centred."""

    bare: ClassVar[str | None] = None

    radius: float = key("radius", unit="mm", least=LEAST_MM)
    length: float = key("length", unit="mm", least=LEAST_MM)

    def names(self) -> tuple[tuple[str, str], ...]:
        """None."""
        return ()

    def bulk(self, source: Source) -> Bulk:
        """Disc times length."""
        volume, across = pi * self.radius**2 * self.length, self.radius**2 / 4
        return Bulk(volume, np.zeros(3), volume * about(np.diag([across, across, self.length**2 / 12])))

    def cores(self, source: Source) -> list[Core]:
        """A segment swept by a disc, so that the side is curved, not faceted."""
        return [Core(np.zeros(3), half=(0.0, 0.0, self.length / 2), disc=self.radius)]

    def extent(self, source: Source) -> Extent:
        """Points of both rims."""
        angle = np.arange(RIM) * (2 * pi / RIM)
        rim = np.column_stack([self.radius * np.cos(angle), self.radius * np.sin(angle), np.zeros(RIM)])
        lift = np.array([0.0, 0.0, self.length / 2])
        return Extent(np.concatenate([rim - lift, rim + lift]), np.zeros(2 * RIM))

    def triangles(self, source: Source) -> Triangles:
        """A strip between two fans."""
        end = self.length / 2 / self.radius
        return turned(self.radius, np.array([(0.0, -end), (1.0, -end), (1.0, end), (0.0, end)]))
