"""What every form answers. A type for checkers to check, not a class to inherit from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import Field, dataclass
from typing import Any, ClassVar, Protocol

import numpy as np

from posekit.arrays import Array, Faces
from posekit.shape.bulk import Bulk

Triangles = tuple[Array, Faces]  # vertices (V, 3) [mm] and faces (F, 3), counter-clockwise seen from outside


@dataclass(frozen=True, slots=True)
class Source:
    """The files that a form may be read from, by path, and its place in the prop file, for messages."""

    files: Mapping[str, bytes]
    place: str


@dataclass(frozen=True, slots=True)
class Core:
    """One convex piece in the frame of its form: a core about `centre` (3,) [mm], grown by `radius` [mm].

    The core is a box of half edges `half` [mm] swept by a disc of radius `disc` [mm] in its xy plane or,
    with `points` (N, 3) [mm, about the centre], their hull. `lean` is True if every point is a corner of it.
    """

    centre: Array
    half: tuple[float, float, float] = (0.0, 0.0, 0.0)
    disc: float = 0.0
    radius: float = 0.0
    points: Array | None = None
    lean: bool = True

    @property
    def reach(self) -> float:
        """Radius [mm] of the sphere about the centre that holds the piece."""
        if self.points is not None:
            return float(np.linalg.norm(self.points, axis=1).max()) + self.radius
        return float(np.linalg.norm((np.hypot(*self.half[:2]) + self.disc, self.half[2]))) + self.radius


@dataclass(frozen=True, slots=True)
class Extent:
    """Points (n, 3) [mm], each with a ball of `radius` (n,) [mm] around it: their hull holds the form."""

    points: Array
    radius: Array


class Form(Protocol):
    """A form in its own frame; all but a mesh are centred there. Its fields, made by `key`, are its keys.

    In a prop file a form is a table of its keys under its name (`sphere = {radius = 30}`). With `bare`, the
    name of one key, the value of that key stands alone (`box = [1, 2, 3]`) and its other keys beside it.
    Raises PosekitError, at `source.place`, for a file that cannot be used.
    """

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]
    bare: ClassVar[str | None]

    def names(self) -> tuple[tuple[str, str], ...]:
        """(key in the table of the shape, path) of each file it is made from."""

    def bulk(self, source: Source) -> Bulk:
        """Volume, centre and inertia."""

    def cores(self, source: Source) -> list[Core]:
        """Convex pieces that together hold the form and are as near to it as distances are told."""

    def extent(self, source: Source) -> Extent:
        """Balls whose hull holds the form, for bounds of motion."""

    def triangles(self, source: Source) -> Triangles:
        """Its surface for pictures: round forms cut finely enough to look round."""
