"""Surfaces as files hold them, before anybody knows their unit: what `parts` makes links of."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import PurePath

import numpy as np

from posekit.arrays import Array, Faces
from posekit.budgets import IMPORT_BYTES, IMPORT_TRIANGLES, PICTURES
from posekit.errors import Finding, PosekitError, error, note
from posekit.exchange.colour_files import NO_FILES, ColourFiles
from posekit.exchange.names import plain_name, telling, unique
from posekit.kinds import ending
from posekit.shape.mesh_file import checked, has_area, merged, surface_in
from posekit.shape.mesh_file.colours import NONE, Colour
from posekit.shape.mesh_file.glb import nodes_in
from posekit.shape.mesh_file.glb_colour import Picture
from posekit.shape.mesh_file.obj_colour import obj_colour
from posekit.shape.mesh_file.ply import ply_colour

WHOLE_FILES = (".stl", ".obj", ".ply")  # each of them one part


# What tells the part of each node from others, and the names down to it, for the paths of all nodes.
Places = Callable[[Sequence[tuple[str, ...]]], Sequence[tuple[str, tuple[str, ...]]]]


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """A surface of `part`, out of `file`, in the units of that file; equal vertices (V, 3) are one, faces are (F, 3).

    `without_area` counts the triangles that were left out. `is_whole` is True if the file holds nothing else.
    """

    part: str
    file: str
    vertices: Array
    faces: Faces
    without_area: int
    colour: Colour
    is_whole: bool

    @property
    def colour_findings(self) -> list[Finding]:
        """What there is to tell of its colour: which was taken where the file has several, or none can be had."""
        if not self.colour.told:
            return []
        return [note("colours", f"links.{self.part}" if self.part else "", self.colour.told, file=self.file)]


def surfaces_of(
    files: Mapping[str, bytes], places: Places | None = None, beside: ColourFiles = NO_FILES
) -> list[Surface]:
    """The surfaces of mesh files by name, in their order; the parts they belong to have unique names.

    `places` says of the nodes of a GLB to which part each belongs, where the nodes themselves do not; `beside` has
    what their colours take besides.

    Raises PosekitError with what is wrong with each of the files.
    """
    found: list[tuple[Surface, tuple[str, ...]]] = []
    wrong = []
    for file, content in files.items():
        try:
            found += _surfaces(file, content, places, beside)
        except ValueError as reason:
            wrong.append(error("mesh-unusable", "", str(reason), file=file))
    if wrong:
        raise PosekitError(wrong)
    # Surfaces of one node, which stand one behind the other, are of one part.
    paths = list(dict.fromkeys(path for _, path in found))
    names = dict(zip(paths, unique(each[-1] for each in paths), strict=True))
    return [_named(surface, names[path]) for surface, path in found]


def _surfaces(
    file: str, content: bytes, places: Places | None, beside: ColourFiles
) -> Iterator[tuple[Surface, tuple[str, ...]]]:
    """The surfaces of a file, each with a path that tells its part from others: file, place in it, name."""
    stem = plain_name(PurePath(file).stem) or "part"
    if ending(file) in WHOLE_FILES:
        vertices, faces = surface_in(content, PurePath(file).name, 1.0, IMPORT_TRIANGLES, IMPORT_BYTES)
        colour = NONE
        if ending(file) == ".ply":
            colour = ply_colour(content, IMPORT_TRIANGLES)
        elif ending(file) == ".obj":
            library = partial(beside.library, file)
            colour = obj_colour(content, (vertices, faces), library, IMPORT_TRIANGLES)
        yield _surface(file, vertices, faces, colour, is_whole=True), (file, "", stem)
        return
    if ending(file) != ".glb":
        kind = f"is a '{ending(file)}' file" if ending(file) else "has no ending that says what it is"
        raise ValueError(f"{kind}; use STL, OBJ, PLY or GLB, STEP or URDF")
    if len(content) > IMPORT_BYTES:
        raise ValueError(f"has {len(content)} bytes; use {IMPORT_BYTES} or fewer")
    nodes = nodes_in(content, IMPORT_TRIANGLES, _pictures(file, beside))
    indices = list(dict.fromkeys(node.index for node in nodes))
    path_of = {node.index: node.path for node in nodes}
    told = [(str(index), path_of[index]) for index in indices]
    if places:
        told = list(places([path_of[index] for index in indices]))
    part_of = dict(zip(indices, (part for part, _ in told), strict=True))
    paths = dict(told)
    wanted = telling([[stem] * (not any(path)) + list(path) for path in paths.values()])
    names = dict(zip(paths, wanted, strict=True))
    some = False
    for node in nodes:
        vertices, faces = checked(node.vertices, node.faces, 1.0, IMPORT_TRIANGLES, least=0.0)
        if has_area(vertices, faces).any():
            some = True
            yield (
                _surface(file, vertices, faces, node.colour, is_whole=False),
                (file, part_of[node.index], names[part_of[node.index]]),
            )
    if not some:
        raise ValueError(
            f"has {len(content)} bytes but no triangle with an area; export it as triangles again"
        )


def _pictures(file: str, beside: ColourFiles) -> Picture:
    """The pictures of a GLB, each read once, and no more than a few."""
    seen: dict[int, Array] = {}

    def picture(number: int, content: bytes) -> Array:
        if number not in seen:
            if len(seen) >= PICTURES:
                raise ValueError(f"comes after {PICTURES} others, and is not looked at")
            seen[number] = beside.picture(file, number, content)
        return seen[number]

    return picture


def _surface(file: str, vertices: Array, faces: Faces, colour: Colour, *, is_whole: bool) -> Surface:
    points, corners = merged(vertices, faces)
    return Surface("", file, points, corners, len(faces) - len(corners), colour, is_whole)


def _named(found: Surface, part: str) -> Surface:
    return replace(found, part=part)


def reach_of(found: list[Surface]) -> tuple[Array, Array]:
    """The lowest and highest corner (3,) of a box about all of them."""
    corners = np.vstack([surface.vertices for surface in found])
    return corners.min(axis=0), corners.max(axis=0)
