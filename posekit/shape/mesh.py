"""A mesh file: any surface of triangles, with the convex pieces that cover it for clearance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

import numpy as np

from posekit.errors import PosekitError, error
from posekit.fields import key
from posekit.shape.bulk import Bulk, mesh_bulk
from posekit.shape.protocol import Core, Extent, Source, Triangles

if TYPE_CHECKING:
    from posekit.shape.piece_file import Pieces


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """A mesh file beside the prop file: STL, OBJ, PLY or GLB.

    `pieces` names a file of convex pieces that together cover the mesh, for clearance; without it
    the mesh counts as its convex hull.
    """

    bare: ClassVar[str | None] = "path"

    path: str = key("mesh file, from the prop folder")
    scale: float = key("factor to mm", default=1.0, above=0)
    pieces: str | None = key("file of convex pieces that cover the mesh, from the prop folder", default=None)

    def names(self) -> tuple[tuple[str, str], ...]:
        """The mesh and its pieces."""
        return (("mesh", self.path), *(() if self.pieces is None else (("pieces", self.pieces),)))

    def bulk(self, source: Source) -> Bulk:
        """The bulk of what the surface holds in."""
        return mesh_bulk(*self.triangles(source))

    def cores(self, source: Source) -> list[Core]:
        """Its pieces, grown by their skin; without them its hull."""
        if self.pieces is None:
            vertices, _ = self.triangles(source)
            middle = vertices.mean(axis=0)
            return [Core(middle, points=vertices - middle, lean=False)]
        found = self.convex_pieces(source)
        middles = [hull.mean(axis=0) for hull in found.hulls]
        return [
            Core(middle, radius=found.skin_mm, points=hull - middle)
            for hull, middle in zip(found.hulls, middles, strict=True)
        ]

    def extent(self, source: Source) -> Extent:
        """Its vertices."""
        vertices, _ = self.triangles(source)
        return Extent(vertices, np.zeros(len(vertices)))

    def triangles(self, source: Source) -> Triangles:
        """The triangles of the file times `scale`; its axes are taken as they stand, GLB too.

        Equal vertices are one, triangles without area are left out. Raises PosekitError for a file that is
        missing, that cannot be read as what its name says, or that holds no triangle of a size to draw.
        """
        # When a mesh is read: a page is ready the sooner.
        from posekit.shape.mesh_file import READERS, triangles_in

        content = source.files.get(self.path)
        if content is None:
            known = (
                ", ".join(path for path in source.files if path.lower().endswith(tuple(READERS))) or "none"
            )
            raise self._unusable(
                source, "mesh", f"is not in the prop folder; mesh files found there: {known}"
            )
        try:
            return triangles_in(content, self.path, self.scale)
        except ValueError as reason:
            raise self._unusable(source, "mesh", str(reason)) from reason

    def convex_pieces(self, source: Source) -> Pieces:
        """The pieces of the file named by `pieces`, times `scale`. Raises PosekitError as `triangles` does."""
        from posekit.shape.piece_file import pieces_in  # likewise

        path = str(self.pieces)
        content = source.files.get(path)
        if content is None:
            sentence = "is not in the prop folder; make the pieces again, or leave the key out"
            raise self._unusable(source, "pieces", sentence)
        try:
            return pieces_in(content, self.scale)
        except ValueError as reason:
            raise self._unusable(source, "pieces", str(reason)) from reason

    def _unusable(self, source: Source, key: str, sentence: str) -> PosekitError:
        path = dict(self.names())[key]
        told = error(f"{key}-unusable", f"{source.place}.{key}", f"= {path!r} {sentence}", file=path)
        return PosekitError([told])
