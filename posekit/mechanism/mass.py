"""Mass and centre of mass of each link, from the solid shapes it is made of.

Shapes that are not solid are for the eye: they count neither here nor in clearance. Shapes that overlap
count twice where they do, and hollow parts count as full; where that matters, the prop file gives `mass`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi

import numpy as np

from posekit.arrays import Array, Faces
from posekit.errors import Finding, warning
from posekit.mechanism.meshes import Vertices, vertices_and_faces
from posekit.prop.model import Box, Capsule, Cylinder, Form, Link, Mesh, Prop, Shape, Sphere
from posekit.toml.places import dotted
from posekit.transforms import rotation_rpy

MM3_PER_CM3 = 1000.0


@dataclass(frozen=True, slots=True)
class Bulk:
    """How much there is of a body, and where its middle lies."""

    volume_mm3: float
    centre_mm: Array


@dataclass(frozen=True, slots=True)
class LinkMass:
    """A link's mass [g], centre of mass (3,) [mm, link frame] and volume [cm3] of its solid shapes."""

    mass_g: float
    centre_mm: Array
    volume_cm3: float


def masses(prop: Prop) -> tuple[LinkMass, ...]:
    """Mass, centre and volume of every link, in the order of `prop.links`.

    A mass in the prop file holds as it is; otherwise it is density times volume. The shapes of a link
    share its mass by their volumes. Without volume the centre is the origin of the link frame.
    Raises PosekitError for a mesh that cannot be read.
    """
    return tuple(_link_mass(prop, link) for link in prop.links)


def mass_findings(prop: Prop) -> list[Finding]:
    """What makes the masses of a prop doubtful: meshes that are not closed, mass without a solid shape."""
    return [finding for link in prop.links for finding in _doubts(prop, link)]


def mesh_bulk(vertices: Vertices, faces: Faces) -> Bulk:
    """Volume and centre of the body inside a closed mesh, vertices (V, 3) [mm], faces (F, 3).

    The sum of the tetrahedra from one point to every face, those facing the point negative. A mesh
    whose faces all point inwards counts as if turned. Without volume, the centre is that of its corners.
    """
    middle = vertices.mean(axis=0)  # near the body, so that little cancels
    a, b, c = (vertices - middle)[faces].transpose(1, 0, 2)
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0
    volume = float(volumes.sum())
    if abs(volume) <= 1e-12 * float(np.abs(volumes).sum()):
        return Bulk(0.0, middle)
    return Bulk(abs(volume), middle + volumes @ (a + b + c) / (4.0 * volume))


def is_closed(faces: Faces) -> bool:
    """True if every edge (F, 3) of the mesh belongs to two faces that agree on which side is out."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    there, count = np.unique(edges, axis=0, return_counts=True)
    back = np.unique(edges[:, ::-1], axis=0)
    return bool((count == 1).all() and np.array_equal(there, back))


def _link_mass(prop: Prop, link: Link) -> LinkMass:
    bulks = [_placed(prop, shape) for shape in link.shapes if shape.solid]
    volume_mm3 = sum(bulk.volume_mm3 for bulk in bulks)
    centre = np.zeros(3)
    if volume_mm3 > 0.0:
        centre = sum((bulk.centre_mm * (bulk.volume_mm3 / volume_mm3) for bulk in bulks), centre)
    volume_cm3 = volume_mm3 / MM3_PER_CM3
    return LinkMass(link.density * volume_cm3 if link.mass is None else link.mass, centre, volume_cm3)


def _placed(prop: Prop, shape: Shape) -> Bulk:
    bulk = _bulk(prop, shape.form)
    return Bulk(bulk.volume_mm3, shape.at + rotation_rpy(shape.turn) @ bulk.centre_mm)


def _bulk(prop: Prop, form: Form) -> Bulk:
    """The bulk of a form in its own frame; all but a mesh are centred there."""
    centre = np.zeros(3)
    match form:
        case Box(size=(x, y, z)):
            return Bulk(x * y * z, centre)
        case Sphere(radius=radius):
            return Bulk(4.0 / 3.0 * pi * radius**3, centre)
        case Cylinder(radius=radius, length=length):
            return Bulk(pi * radius**2 * length, centre)
        case Capsule(radius=radius, length=length):
            return Bulk(pi * radius**2 * (length + 4.0 / 3.0 * radius), centre)
        case Mesh():
            return mesh_bulk(*vertices_and_faces(prop, form))


def _doubts(prop: Prop, link: Link) -> Iterator[Finding]:
    subject = dotted(("links", link.name))
    solid = [(number, shape.form) for number, shape in enumerate(link.shapes) if shape.solid]
    if not solid and link.mass:
        said = f"mass {link.mass:g} g, but no solid shape: it counts at the origin of the link frame; give it one"
        yield warning("no-volume", subject, said)
    for number, form in solid:
        if isinstance(form, Mesh) and not is_closed(vertices_and_faces(prop, form)[1]):
            said = (
                "is not a closed surface, so its volume and centre are doubtful; close it or add a solid box"
            )
            yield warning("mesh-open", f"{subject}.shapes[{number}].mesh", f"= '{form.path}': {said}")
