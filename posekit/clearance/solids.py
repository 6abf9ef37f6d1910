"""The solid shapes of a prop as convex pieces: a core in closed form or of vertices, grown by a radius.

Curved shapes stay curved: a sphere is a point and its radius, a capsule a segment and its radius, a
cylinder a segment swept by a disc. A mesh is a hull of vertices for each of its convex pieces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.clearance.cores import NO_HULL, Cores, padded
from posekit.clearance.hull import hull_vertices
from posekit.clearance.pieces import Pieces, read_pieces
from posekit.errors import Finding, note
from posekit.mechanism.meshes import vertices_and_faces
from posekit.prop.model import Box, Capsule, Cylinder, Form, Mesh, Prop, Sphere
from posekit.toml.places import dotted
from posekit.transforms import rotation_rpy


@dataclass(frozen=True, slots=True)
class Solids:
    """All S convex pieces of a prop, sorted by link: those of link l are rows `first[l]` to `first[l + 1]`.

    `owner` (S,) is the row of the link; `rotation` (S, 3, 3) and `centre` (S, 3) [mm] place each core in the
    frame of its link; a sphere of radius `reach` (S,) [mm] about the centre holds the whole piece, its
    `radius` (S,) [mm] included.
    """

    links: tuple[str, ...]
    owner: Index
    first: Index
    rotation: Array
    centre: Array
    radius: Array
    reach: Array
    cores: Cores
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """One convex piece in the frame of its shape: a core about `centre` [mm], grown by `radius` [mm]."""

    centre: Array
    half: tuple[float, float, float]
    disc: float
    radius: float
    vertices: Array | None = None

    @property
    def reach(self) -> float:
        """Radius [mm] of the sphere about the centre that holds the piece."""
        if self.vertices is not None:
            return float(np.linalg.norm(self.vertices, axis=1).max()) + self.radius
        return float(np.linalg.norm((np.hypot(*self.half[:2]) + self.disc, self.half[2]))) + self.radius


def solids(prop: Prop) -> Solids:
    """The convex pieces of every solid shape. Raises PosekitError for a mesh or pieces it cannot use."""
    owner, rotation, centre, pieces, findings = [], [], [], [], []
    for row, link in enumerate(prop.links):
        for number, shape in enumerate(link.shapes):
            if not shape.solid:
                continue
            if isinstance(shape.form, Mesh) and shape.form.pieces is None:
                findings.append(as_hull(dotted(("links", link.name, "shapes", number, "mesh")), shape.form))
            turn, at = rotation_rpy(shape.turn), np.asarray(shape.at, float)
            for piece in convex_pieces(prop, shape.form):
                owner.append(row)
                rotation.append(turn)
                centre.append(at + turn @ piece.centre)
                pieces.append(piece)
    owners = np.array(owner, np.intp)
    return Solids(
        links=tuple(link.name for link in prop.links),
        owner=owners,
        first=np.searchsorted(owners, np.arange(len(prop.links) + 1)),
        rotation=np.array(rotation, float).reshape(-1, 3, 3),
        centre=np.array(centre, float).reshape(-1, 3),
        radius=np.array([piece.radius for piece in pieces], float),
        reach=np.array([piece.reach for piece in pieces], float),
        cores=cores(pieces),
        findings=tuple(findings),
    )


def convex_pieces(prop: Prop, form: Form) -> list[Piece]:
    """A form as convex pieces in its own frame."""
    origin = np.zeros(3)
    match form:
        case Sphere():
            return [Piece(origin, (0.0, 0.0, 0.0), 0.0, form.radius)]
        case Capsule():
            return [Piece(origin, (0.0, 0.0, form.length / 2), 0.0, form.radius)]
        case Cylinder():
            return [Piece(origin, (0.0, 0.0, form.length / 2), form.radius, 0.0)]
        case Box():
            x, y, z = form.size
            return [Piece(origin, (x / 2, y / 2, z / 2), 0.0, 0.0)]
        case Mesh(pieces=None):
            vertices, _ = vertices_and_faces(prop, form)
            return [hull_piece(hull_vertices(vertices), 0.0)]
        case Mesh():
            found: Pieces = read_pieces(prop, form)
            return [hull_piece(vertices, found.skin_mm) for vertices in found.hulls]


def hull_piece(corners: Array, radius: float) -> Piece:
    """The convex hull of corners (V, 3) [mm], grown by `radius` [mm]."""
    centre = corners.mean(axis=0)
    return Piece(centre, (0.0, 0.0, 0.0), 0.0, radius, corners - centre)


def cores(pieces: Sequence[Piece]) -> Cores:
    """The cores of these pieces, item axis last."""
    hulls = [piece.vertices for piece in pieces if piece.vertices is not None]
    has_hull = np.array([piece.vertices is not None for piece in pieces], bool)
    return Cores(
        half=np.array([piece.half for piece in pieces], float).reshape(-1, 3).T.copy(),
        disc=np.array([piece.disc for piece in pieces], float),
        hull=np.where(has_hull, np.cumsum(has_hull) - 1, NO_HULL).astype(np.intp),
        corners=padded(hulls),
    )


def as_hull(place: str, mesh: Mesh) -> Finding:
    """What is told of a mesh without pieces."""
    return note(
        "mesh-as-hull",
        place,
        f"= {mesh.path!r} has no convex pieces, so clearance takes its hull, which fills every hollow; "
        "make pieces where that is too coarse",
    )
