"""Shapes as glTF meshes. Equal forms share their triangles, equal colours their material."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from posekit.output.gltf.binary import Binary
from posekit.output.gltf.frames import METRES_PER_MM, quaternion, translation
from posekit.output.shading import shaded
from posekit.prop.model import Link, Prop
from posekit.prop.shapes import sources_of
from posekit.shape import Form, Source
from posekit.transforms import placement

if TYPE_CHECKING:
    from pygltflib import Attributes, Material, Mesh, Node

ROUGHNESS = 0.65  # painted plastic or foam; nothing in a prop file says metal
NORMAL_STEPS = (
    256  # along an axis, of a picture: 0.2 degrees, of length one as near as the validator of glTF asks
)


@dataclass(slots=True)
class Parts:
    """Meshes and materials of one GLB under construction; with `fine` its normals are exact."""

    prop: Prop
    binary: Binary
    fine: bool = True
    meshes: list[Mesh] = field(default_factory=list)
    materials: list[Material] = field(default_factory=list)
    _triangles: dict[Form, tuple[Attributes, int]] = field(default_factory=dict)
    _colours: dict[str, int] = field(default_factory=dict)

    def nodes(self, link: Link) -> list[Node]:
        """A node for each shape of the link that is drawn, placed in the link frame and named `link/index`."""
        from pygltflib import Mesh, Node, Primitive

        found = []
        for index, (shape, source) in enumerate(sources_of(self.prop, link)):
            if not shape.drawn:
                continue
            name = f"{link.name}/{index}"
            attributes, indices = self._form(shape.form, source)
            primitive = Primitive(attributes=attributes, indices=indices, material=self._colour(shape.colour))
            self.meshes.append(Mesh(name=name, primitives=[primitive]))
            frame = placement(shape.at, shape.turn)
            found.append(
                Node(
                    name=name,
                    mesh=len(self.meshes) - 1,
                    translation=translation(frame).tolist(),
                    rotation=quaternion(frame).tolist(),
                    extras={"shape": index, "solid": shape.solid},
                )
            )
        return found

    def _form(self, form: Form, source: Source) -> tuple[Attributes, int]:
        from pygltflib import Attributes

        if form not in self._triangles:
            vertices, normals, faces = shaded(*form.triangles(source))
            position = self.binary.vertices(vertices * METRES_PER_MM)
            if not self.fine:
                normals = np.rint(normals * NORMAL_STEPS) / NORMAL_STEPS
            normal = self.binary.vertices(normals)
            self._triangles[form] = (Attributes(POSITION=position, NORMAL=normal), self.binary.faces(faces))
        return self._triangles[form]

    def _colour(self, colour: str) -> int:
        from pygltflib import Material, PbrMetallicRoughness

        key = colour.lower()
        if key not in self._colours:
            self._colours[key] = len(self.materials)
            pbr = PbrMetallicRoughness(
                baseColorFactor=[*linear(key), 1.0], metallicFactor=0.0, roughnessFactor=ROUGHNESS
            )
            # Older pygltflib gives every material a cutoff, which is for another way of blending.
            self.materials.append(Material(name=key, pbrMetallicRoughness=pbr, alphaCutoff=None))
        return self._colours[key]


def linear(colour: str) -> list[float]:
    """Linear red, green, blue, 0..1, of an sRGB colour `#rrggbb` (transfer function of IEC 61966-2-1)."""
    encoded = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    return [round(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4, 6) for c in encoded]
