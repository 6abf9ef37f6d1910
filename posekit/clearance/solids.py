"""The solid shapes of a prop as convex pieces: a core in closed form or of vertices, grown by a radius.

Curved shapes stay curved: a sphere is a point and its radius, a capsule a segment and its radius, a
cylinder a segment swept by a disc. A mesh is a hull of vertices for each of its convex pieces.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.clearance.cores import NO_HULL, Cores, padded
from posekit.clearance.hull import hull_of
from posekit.errors import Finding, note
from posekit.prop.model import Prop
from posekit.prop.shapes import sources
from posekit.shape import Core, Mesh
from posekit.stepwise import finished
from posekit.transforms import rotation_rpy

# What rounding moves a point of a mesh file off its side, at most, as a share of the largest coordinate: two units
# in the last place along each of three axes.
FLOAT32 = 2.0**-22


@dataclass(frozen=True, slots=True)
class Solids:
    """All S convex pieces of a prop, sorted by side: those of side l are rows `first[l]` to `first[l + 1]`.

    The first sides are the links themselves; what `watch` adds are parts of links, outside of a zone. `links`
    names the link of each side, `owner` (S,) is the row of its side; `rotation` (S, 3, 3) and `centre` (S, 3)
    [mm] place each core in the frame of its link; a sphere of radius `reach` (S,) [mm] about the centre holds
    the whole piece, its `radius` (S,) [mm] included.
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


def solids(prop: Prop) -> Solids:
    """The convex pieces of every solid shape. Raises PosekitError for a mesh or pieces it cannot use."""
    return finished(solid_steps(prop))


def solid_steps(prop: Prop) -> Generator[None, None, Solids]:
    """`solids` in small steps of a shape each, for callers with other work to do."""
    owner, rotation, centre, pieces, findings = [], [], [], [], []
    for row, shape, source in sources(prop):
        if not shape.solid:
            continue
        yield
        if isinstance(shape.form, Mesh) and shape.form.pieces is None:
            findings.append(_as_hull(f"{source.place}.mesh", shape.form))
        turn, at = rotation_rpy(shape.turn), np.asarray(shape.at, float)
        for piece in map(_lean, shape.form.cores(source)):
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


def _lean(piece: Core) -> Core:
    """The same piece; if it is a hull, of its corners alone, grown by what those leave out.

    To float32, which mesh files hold: flat sides of a turned part have hills of its rounding all over, and
    their tops would count as corners.
    """
    if piece.points is None or piece.lean:
        return piece
    points = piece.centre + piece.points
    hull = hull_of(points, FLOAT32 * float(np.abs(points).max()))
    middle = hull.corners.mean(axis=0)
    return Core(middle, radius=piece.radius + hull.skin_mm, points=hull.corners - middle)


def cores(pieces: Sequence[Core]) -> Cores:
    """The cores of these pieces, item axis last."""
    hulls = [piece.points for piece in pieces if piece.points is not None]
    has_hull = np.array([piece.points is not None for piece in pieces], bool)
    return Cores(
        half=np.array([piece.half for piece in pieces], float).reshape(-1, 3).T.copy(),
        disc=np.array([piece.disc for piece in pieces], float),
        hull=np.where(has_hull, np.cumsum(has_hull) - 1, NO_HULL).astype(np.intp),
        corners=padded(hulls),
    )


def _as_hull(place: str, mesh: Mesh) -> Finding:
    """What is told of a mesh without pieces."""
    return note(
        "mesh-as-hull",
        place,
        f"= {mesh.path!r} has no convex pieces, so clearance uses its hull, which fills any hollow; "
        "make pieces where that is too coarse",
    )
