"""A box."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import ClassVar

import numpy as np

from posekit.fields import LEAST_MM, Vector, key
from posekit.shape.bulk import Bulk, about
from posekit.shape.protocol import Core, Extent, Source, Triangles


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A box, centred; full edge lengths along x, y, z."""

    bare: ClassVar[str | None] = "size"

    size: Vector = key("full edge lengths", unit="mm", least=LEAST_MM)

    def names(self) -> tuple[tuple[str, str], ...]:
        """None."""
        return ()

    def bulk(self, source: Source) -> Bulk:
        """The product of the edges, in the middle; a rod along an edge x spreads by x^2 / 12 along it."""
        x, y, z = self.size
        return Bulk(x * y * z, np.zeros(3), x * y * z * about(np.diag([x * x, y * y, z * z]) / 12))

    def cores(self, source: Source) -> list[Core]:
        """Itself."""
        x, y, z = self.size
        return [Core(np.zeros(3), half=(x / 2, y / 2, z / 2))]

    def extent(self, source: Source) -> Extent:
        """Its eight corners."""
        return Extent(np.array(list(product(*((-edge / 2, edge / 2) for edge in self.size)))), np.zeros(8))

    def triangles(self, source: Source) -> Triangles:
        """Two triangles a side."""
        from trimesh import creation

        box = creation.box(self.size)
        return np.asarray(box.vertices), np.asarray(box.faces)
