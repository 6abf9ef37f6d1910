"""What any importer gives: parts with what they are made of, the joints between them, and what there is to tell.

An importer reads bytes and knows no folder; `posekit.authoring.new` makes a prop of what it gives. All lengths are mm
and all angles degrees here, whatever the file was drawn in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from posekit.arrays import Array, Faces
from posekit.errors import Finding
from posekit.fields import Vector
from posekit.prop.model import ORIGIN, Joint, Shape


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skin:
    """A surface of triangles: vertices (V, 3) [mm], faces (F, 3), placed in the frame of its part as a shape is.

    `name` is what its mesh file is to be called after, `colour` is `#rrggbb` or None where the source has none.
    `solid` and `drawn` mean what they mean for a shape: what a URDF calls visual is drawn and not solid, what it calls
    collision is solid and not drawn; a part of one skin is both. `original` names the file of `Assembly.originals`
    that the triangles were read from; with `scale`, that file holds these triangles and no others, times `scale`, and
    can stand in the prop as it is. Skins of the same two arrays are written as one file.
    """

    name: str
    vertices: Array
    faces: Faces
    colour: str | None = None
    at: Vector = ORIGIN
    turn: Vector = ORIGIN
    solid: bool = True
    drawn: bool = True
    original: str | None = None
    scale: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """A rigid part: skins, and primitive shapes as they stand in a prop file (box, sphere, cylinder, capsule).

    `mass` [g] is None where the source gives none. A skin and a shape are placed in the frame of the part; the frame
    itself stands where the joint that carries the part puts it.
    """

    name: str
    skins: tuple[Skin, ...] = ()
    shapes: tuple[Shape, ...] = ()
    mass: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Assembly:
    """Parts and joints as a source gives them.

    `unit` is a key of `units.MM_PER_UNIT`: what the source was drawn in, or was taken to be; None for files of several
    units. `joints` are those of a
    prop file and name parts by `Part.name`. A part that no joint carries is held where it stands by whoever makes the
    prop. `originals` are files as they came, by name: kept beside the prop where its own meshes are thinner.
    """

    name: str
    unit: str | None
    parts: tuple[Part, ...]
    joints: tuple[Joint, ...] = ()
    originals: Mapping[str, bytes] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()

    @property
    def loose(self) -> tuple[Part, ...]:
        """The parts that no joint carries."""
        carried = {joint.child for joint in self.joints}
        return tuple(part for part in self.parts if part.name not in carried)
