"""What is doubtful about a mesh, and what that means for mass and clearance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Faces
from posekit.errors import Finding, note, warning
from posekit.shape.mesh_file import equal_rows


@dataclass(frozen=True, slots=True)
class Health:
    """Counts of a mesh: open edges belong to one face, `flipped` to two that disagree on which side is out, `crowded`
    to more than two. `is_inside_out` is True if all of it faces inwards."""

    open_edges: int
    flipped: int
    crowded: int
    bodies: int
    is_inside_out: bool


def health_of(vertices: Array, faces: Faces) -> Health:
    """The health of a mesh (V, 3), (F, 3) in which equal vertices are one."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    order = np.sort(edges, axis=1)
    first, belongs = equal_rows(order)
    count = np.bincount(belongs, minlength=len(first))
    forward = np.bincount(belongs, edges[:, 0] < edges[:, 1], minlength=len(first))
    flipped = int(((count == 2) & (forward != 1)).sum())
    open_edges, crowded = int((count == 1).sum()), int((count > 2).sum())
    inside_out = not (open_edges or flipped or crowded) and _signed_volume(vertices, faces) < 0.0
    return Health(open_edges, flipped, crowded, _bodies(len(vertices), order[first]), inside_out)


def health_findings(name: str, health: Health, without_area: int, file: str) -> list[Finding]:
    """What there is to tell of the mesh of a part, with what it means and what to do."""
    subject, told = f"links.{name}", []
    mass = f"its volume and mass are not certain: give links.{name}.mass"
    if health.open_edges or health.crowded:
        count = health.open_edges + health.crowded
        sentence = f"the surface is not closed ({count} edges do not join two faces), so {mass}. "
        sentence += "Clearance goes by the surface that is there; close it in CAD if it should be full"
        told.append(warning("mesh-open", subject, sentence, file=file))
    if health.flipped:
        sentence = f"some faces look inwards ({health.flipped} edges join two that disagree), so {mass}. "
        sentence += "Clearance is not touched by it; let CAD turn the faces outwards"
        told.append(warning("mesh-flipped", subject, sentence, file=file))
    if health.is_inside_out:
        sentence = "all faces look inwards; they are taken as if turned, so mass and clearance hold"
        told.append(note("mesh-inside-out", subject, sentence, file=file))
    if without_area:
        sentence = f"{without_area} triangles without an area are left out; mass and clearance hold"
        told.append(note("mesh-no-area", subject, sentence, file=file))
    if health.bodies > 1:
        sentence = f"holds {health.bodies} separate bodies, which move as one part and share its mass; "
        sentence += "those inside another count twice in the mass. Export what moves by itself on its own"
        told.append(note("mesh-bodies", subject, sentence, file=file))
    return told


def _signed_volume(vertices: Array, faces: Faces) -> float:
    a, b, c = (vertices - vertices.mean(axis=0))[faces].transpose(1, 0, 2)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def _bodies(count: int, edges: Faces) -> int:
    """How many pieces of surface hang together by `edges` (E, 2) among `count` vertices."""
    label = np.arange(count)
    # Ends: each round gives some vertex a smaller label, and labels are whole numbers from 0 on.
    while True:
        a, b = label[edges[:, 0]], label[edges[:, 1]]
        apart = a != b
        if not apart.any():
            return len(np.unique(label))
        np.minimum.at(label, np.maximum(a, b)[apart], np.minimum(a, b)[apart])
        # Ends: as above; here labels of labels are taken until each is the least of its own.
        while (label[label] != label).any():
            label = label[label]
