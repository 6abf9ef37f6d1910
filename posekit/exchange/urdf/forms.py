"""Visuals and collisions of a URDF as skins and shapes: what is drawn, and what clearance judges.

A collision is judged and not drawn, a visual is drawn and not judged. Where both are the same they are one, drawn and
judged; where a link has no collision, its visuals are judged as they are drawn.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import chain, count
from pathlib import PurePath

import numpy as np

from posekit import shape
from posekit.arrays import Array, Faces
from posekit.errors import Finding, PosekitError, error, note, warning
from posekit.exchange.assembly import Skin
from posekit.exchange.collada import collada_surfaces
from posekit.exchange.colour_files import NO_FILES, ColourFiles
from posekit.exchange.health import health_findings, health_of
from posekit.exchange.surfaces import surfaces_of
from posekit.exchange.units import LARGEST_FIGURE_M
from posekit.exchange.urdf.lookup import MeshFiles
from posekit.exchange.urdf.model import (
    Box,
    Capsule,
    Cylinder,
    Geometry,
    Link,
    Mesh,
    Pose,
    Solid,
    Sphere,
    Triple,
)
from posekit.fields import LEAST_MM, Vector
from posekit.kinds import ending
from posekit.prop.model import Shape
from posekit.shape import Form
from posekit.text import plain

MM_PER_M = 1000.0


@dataclass(slots=True)
class Forms:
    """The skins and shapes of the links of one file. Every mesh is read once; what is wrong or to tell is gathered."""

    name: str
    mesh_files: MeshFiles
    beside: ColourFiles = NO_FILES
    originals: dict[str, bytes] = field(default_factory=dict)
    problems: list[Finding] = field(default_factory=list)
    notes: list[Finding] = field(default_factory=list)
    _surfaces: dict[Mesh, list[Skin]] = field(default_factory=dict)
    _weighed: set[int] = field(default_factory=set)

    def of(self, link: Link) -> tuple[tuple[Skin, ...], tuple[Shape, ...]]:
        """Those of one link."""
        skins: list[Skin] = []
        shapes: list[Shape] = []
        for solid, drawn, judged in self._merged(link):
            at, turn = placed(solid.origin)
            if isinstance(solid.geometry, Mesh):
                for surface in self._surfaces_of(solid.geometry, link, solid.line):
                    if judged and link.mass is None:
                        self._tell_health(surface, link)
                    colour = solid.colour or surface.colour
                    placed_so = replace(surface, at=at, turn=turn, solid=judged, drawn=drawn)
                    name = surface.name if drawn else f"{surface.name}_collision"
                    skins.append(replace(placed_so, name=name, colour=colour))
                continue
            plain = Shape(form=_form_of(solid.geometry), at=at, turn=turn, solid=judged, drawn=drawn)
            shapes.append(plain if solid.colour is None else replace(plain, colour=solid.colour))
        return tuple(skins), tuple(shapes)

    def _merged(self, link: Link) -> Iterator[tuple[Solid, bool, bool]]:
        """Each visual and collision that has a size; whether it is drawn, and whether it is judged."""
        visuals = [solid for solid in link.visuals if self._has_size(solid, link)]
        collisions = [solid for solid in link.collisions if self._has_size(solid, link)]
        yield from ((solid, True, not collisions or solid in collisions) for solid in visuals)
        yield from ((solid, False, True) for solid in collisions if solid not in visuals)

    def _has_size(self, solid: Solid, link: Link) -> bool:
        if MM_PER_M * min(_lengths(solid.geometry)) >= LEAST_MM:
            return True
        said = f"has a {type(solid.geometry).__name__.lower()} of size 0, which is left out"
        self.notes.append(note("no-size", f"link '{link.name}'", said, file=self.name, line=solid.line))
        return False

    def _surfaces_of(self, mesh: Mesh, link: Link, line: int) -> list[Skin]:
        """The surfaces of a mesh, scaled and not yet placed; none of one that cannot be read, which is told once."""
        if mesh not in self._surfaces:
            self._surfaces[mesh] = []
            try:
                self._surfaces[mesh] = self._loaded(mesh)
                self._tell_size(mesh, link, line)
            except PosekitError as wrong:
                self.problems += [_here(each, link, line, self.name) for each in wrong.findings]
        return self._surfaces[mesh]

    def _tell_size(self, mesh: Mesh, link: Link, line: int) -> None:
        """A mesh in mm that lacks its scale is a thousand times too large."""
        reach_m = max(float(np.abs(skin.vertices).max()) for skin in self._surfaces[mesh]) / MM_PER_M
        if reach_m > LARGEST_FIGURE_M:
            right = "if its file is in mm, give it scale='0.001 0.001 0.001'"
            said = f"mesh '{mesh.filename}' reaches {plain(reach_m, 3)} m; {right}"
            self.notes.append(warning("large-mesh", f"link '{link.name}'", said, file=self.name, line=line))

    def _tell_health(self, surface: Skin, link: Link) -> None:
        """What is doubtful of a surface that the mass of its link is found from; once for each surface."""
        if id(surface.vertices) not in self._weighed:
            self._weighed.add(id(surface.vertices))
            health = health_of(surface.vertices, surface.faces)
            self.notes += health_findings(link.name, health, 0, surface.original or surface.name)

    def _loaded(self, mesh: Mesh) -> list[Skin]:
        """The surfaces of a mesh file, whose lengths are metres as all of a URDF is."""
        path, content = self.mesh_files(mesh.filename)
        file = PurePath(path)
        original = self._kept(file, content)
        is_collada = ending(path) == ".dae"
        found = (
            collada_surfaces(content, path)
            if is_collada
            else surfaces_of({path: content}, beside=self.beside)
        )
        self.notes += [told for each in found for told in each.colour_findings]
        skins = []
        for each in found:
            vertices, faces = _scaled(MM_PER_M * each.vertices, each.faces, mesh.scale)
            skins.append(
                Skin(
                    name=file.stem,
                    vertices=vertices,
                    faces=faces,
                    colour=each.colour.hex,
                    original=original,
                    scale=MM_PER_M * mesh.scale[0] if each.is_whole and _is_even(mesh.scale) else None,
                )
            )
        return skins

    def _kept(self, file: PurePath, content: bytes) -> str:
        """The name of a file among the originals; one of the same name in another folder goes by that as well."""
        numbered = (f"{file.stem}_{number}{file.suffix}" for number in count(2))
        taken = {name.casefold(): name for name in self.originals}
        for wanted in chain([file.name, f"{file.parent.name}_{file.name}"], numbered):
            name = taken.get(wanted.casefold(), wanted)
            if self.originals.setdefault(name, content) == content:
                return name
        raise AssertionError("numbers have no end")


def placed(pose: Pose) -> tuple[Vector, Vector]:
    """`at` [mm] and `turn` [deg] of a prop file: the turns are the same three, fixed-axis roll, pitch, yaw."""
    x, y, z = (MM_PER_M * length for length in pose.xyz)
    roll, pitch, yaw = np.degrees(pose.rpy).tolist()
    return (x, y, z), (roll, pitch, yaw)


def _form_of(geometry: Box | Sphere | Cylinder | Capsule) -> Form:
    """The same form in mm, each axis and centre where URDF has it, too."""
    match geometry:
        case Box(size):
            x, y, z = (MM_PER_M * edge for edge in size)
            return shape.Box(size=(x, y, z))
        case Sphere(radius):
            return shape.Sphere(radius=MM_PER_M * radius)
        case Cylinder(radius, length):
            return shape.Cylinder(radius=MM_PER_M * radius, length=MM_PER_M * length)
        case Capsule(radius, length):
            return shape.Capsule(radius=MM_PER_M * radius, length=MM_PER_M * length)


def _lengths(geometry: Geometry) -> tuple[float, ...]:
    """What must be more than 0 for the geometry to be there [m]; of a mesh its factors, which are."""
    match geometry:
        case Box(size):
            return size
        case Sphere(radius):
            return (radius,)
        case Cylinder(radius, length) | Capsule(radius, length):
            return radius, length
        case Mesh():
            return (1.0,)


def _is_even(scale: Triple) -> bool:
    """Whether a scale is the same along all axes and mirrors nothing, as that of a prop file."""
    return scale[0] > 0.0 and scale[0] == scale[1] == scale[2]


def _scaled(vertices: Array, faces: Faces, scale: Triple) -> tuple[Array, Faces]:
    """A surface stretched along its axes; where that mirrors it, faces are turned so that outside stays outside."""
    if scale == (1.0, 1.0, 1.0):
        return vertices, faces
    return vertices * np.array(scale), faces[:, ::-1].copy() if np.prod(scale) < 0 else faces


def _here(finding: Finding, link: Link, line: int, name: str) -> Finding:
    """What is wrong with a mesh, told at the place in the URDF that names it."""
    said = f"{finding.file or finding.subject} {finding.message}"
    return error(finding.code, f"link '{link.name}'", said, file=name, line=line)
