"""Where a hinge is, read off the part itself: the axis of a round wall, or of a line through points or two holes.

All stands in the world at the zero pose, as `place_joint` takes it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.authoring.contents import at_zero
from posekit.authoring.parts import link_named
from posekit.authoring.surface.edge import edge_about
from posekit.authoring.surface.mesh import Walk, nearest_face, walk_of
from posekit.authoring.surface.recognise import Surface, surface_about
from posekit.errors import PosekitError, error
from posekit.fields import Vector
from posekit.prop.model import Prop
from posekit.prop.shapes import sources_of
from posekit.text import exact, plain
from posekit.transforms import placement, unit

BESIDE = 3  # surfaces to be passed over from a face to the wall of a hole: the face, a chamfer, one more
LEAST_APART_MM = 0.1  # between two points that an axis is laid through: nearer ones tell no direction
OUTSIDE_SHARE, OUTSIDE_MM = (
    0.1,
    5.0,
)  # of a part's own size, or so far, beyond which a point is not meant for it


@dataclass(frozen=True, slots=True)
class Axis:
    """A point [mm] and a direction of length 1 in the world at the zero pose; `radius` [mm] of the wall about it."""

    point: Vector
    direction: Vector
    radius: float | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """What a part is about a point of the world: shape number `shape` of `link` is nearest, `away` [mm] from it.

    `surface` stands in the world at the zero pose.
    """

    link: str
    shape: int
    away: float
    surface: Surface

    def as_dict(self) -> dict[str, Any]:
        """As the command line and the page print it; lengths in mm, angles in degrees, None where there is none."""
        found = self.surface
        is_round = found.kind in ("cylinder", "cone", "sphere")
        told = found.kind != "none"
        return {
            "link": self.link,
            "shape": self.shape,
            "away_mm": self.away,
            "kind": found.kind,
            "why": found.why,
            "point": found.point.tolist() if told else None,
            "direction": None if found.direction is None else found.direction.tolist(),
            "radius_mm": found.radius if is_round else None,
            "slope_deg": found.slope_deg if found.kind == "cone" else None,
            "is_hole": found.is_hole if is_round else None,
            "length_mm": found.length if found.kind in ("cylinder", "cone") else None,
            "share_of_turn": found.share if found.kind in ("cylinder", "cone") else None,
            "rms_mm": found.rms if told else None,
            "worst_mm": found.worst if told else None,
            "uncertain_mm": found.uncertain_mm if found.kind == "cylinder" else None,
            "uncertain_deg": found.uncertain_deg if found.kind == "cylinder" else None,
            "faces": len(found.faces),
        }


def surface_at(prop: Prop, link: str, point: Vector, walks: Sequence[Walk] | None = None) -> Place:
    """What a part is about a point [mm] of the world at the zero pose: the surface nearest to it, drawn or not.

    The middle of a hole is as good a point as one of its wall. Who asks often gives the `walks_of` the part. Raises
    PosekitError for a part that is not there or has no shape, a mesh that cannot be read, and a point far from it.
    """
    at, meshes = np.asarray(point, float), walks_of(prop, link) if walks is None else walks
    lows, highs = _boxes(link, at, meshes)
    outside = np.linalg.norm(np.maximum(np.maximum(lows - at, at - highs), 0.0), axis=1)
    away, number, face, walk = np.inf, -1, -1, None
    # The nearest boxes first: none of those beyond what was found holds a nearer face.
    for i in np.argsort(outside).tolist():
        if outside[i] >= away:
            break
        walked = meshes[i]
        nearest, distance = nearest_face(walked, at)
        if distance < away:
            away, number, face, walk = distance, i, nearest, walked
    assert walk is not None  # a box has a face
    return Place(link, number, away, surface_about(walk, face))


def round_at(prop: Prop, link: str, point: Vector, walks: Sequence[Walk] | None = None) -> Place:
    """The same, but beside a round wall, on a flat face or a chamfer, it is that wall, for it is what is meant.

    A wall is beside a point that is nearer to it than its own radius. Raises PosekitError as `surface_at` does.
    """
    at, meshes = np.asarray(point, float), walks_of(prop, link) if walks is None else walks
    place = surface_at(prop, link, point, meshes)
    walk, left = meshes[place.shape], np.ones(len(meshes[place.shape].faces), bool)
    found = place.surface
    for _ in range(BESIDE):
        if found.kind not in ("plane", "cone"):
            break
        left[found.faces] = False
        others = np.flatnonzero(left)
        if not len(others):
            break
        face, away = nearest_face(replace(walk, corners=walk.corners[others]), at)
        found = surface_about(walk, int(others[face]))
        if found.kind == "cylinder" and away <= found.radius:
            return Place(link, place.shape, away, found)
    return place


def edge_at(prop: Prop, link: str, point: Vector, walks: Sequence[Walk] | None = None) -> Axis:
    """The axis along the straight edge of a part nearest to a point [mm] of the world at the zero pose.

    Its point is the middle of the edge. Raises PosekitError as `surface_at` does, and
    where the edge is bent or the part has none.
    """
    at, meshes = np.asarray(point, float), walks_of(prop, link) if walks is None else walks
    _boxes(link, at, meshes)
    found = min((edge_about(walk, at) for walk in meshes), key=lambda edge: edge.away)
    if found.why:
        raise PosekitError([error("no-axis", link, found.why)])
    return Axis(_vector(found.ends.mean(axis=0)), _vector(unit(found.ends[1] - found.ends[0])))


def walks_of(prop: Prop, link: str) -> list[Walk]:
    """The mesh of each shape of a part, in the world at the zero pose. Raises PosekitError."""
    place, walks = at_zero(prop)[link_named(prop, link).name], []
    for shape, source in sources_of(prop, link_named(prop, link)):
        vertices, faces = shape.form.triangles(source)
        world = place @ placement(shape.at, shape.turn)
        walks.append(walk_of(vertices @ world[:3, :3].T + world[:3, 3], faces))
    return walks


def _boxes(link: str, at: Array, meshes: Sequence[Walk]) -> tuple[Array, Array]:
    """The lowest and highest corner (N, 3) of each mesh; PosekitError for none, and for a point far from all."""
    if not meshes:
        sentence = "has no shape, so there is nothing to read an axis off"
        raise PosekitError([error("no-surface", link, sentence)])
    lows = np.array([walk.vertices.min(axis=0) for walk in meshes])
    highs = np.array([walk.vertices.max(axis=0) for walk in meshes])
    _must_be_near(link, at, lows.min(axis=0), highs.max(axis=0))
    return lows, highs


def _must_be_near(link: str, at: Array, low: Array, high: Array) -> None:
    """Refuse a point that cannot be meant for a part within this box."""
    beyond = float(np.maximum(low - at, at - high).max())
    if not beyond <= max(
        OUTSIDE_SHARE * float(np.linalg.norm(high - low)), OUTSIDE_MM
    ):  # nor what is no number
        sentence = (
            f"stands elsewhere: at the zero pose it reaches from {np.round(low, 1).tolist()} to "
            f"{np.round(high, 1).tolist()} mm; use a point on the wall of the hole, or within it"
        )
        raise PosekitError([error("no-surface", link, sentence)])


def axis_of(place: Place) -> Axis:
    """The axis of a round wall. Raises PosekitError for anything else, with what it is."""
    found = place.surface
    if found.kind != "cylinder" or found.direction is None:
        raise PosekitError([error("no-axis", place.link, _refused(found))])
    return Axis(_vector(found.point), _vector(found.direction), found.radius)


def axis_across(place: Place, point: Vector) -> Axis:
    """The axis upright on a flat face, through a point [mm] of it. Raises PosekitError for a face that is bent."""
    found = place.surface
    if found.kind != "plane" or found.direction is None:
        what = found.why or f"is a {found.kind} there, not flat"
        raise PosekitError([error("no-axis", place.link, f"{what}; use a point on a flat face")])
    off = (np.asarray(point, float) - found.point) @ found.direction
    return Axis(_vector(np.asarray(point, float) - off * found.direction), _vector(found.direction))


def axis_through(point: Vector, other: Vector) -> Axis:
    """The axis from a point of the world to another. Raises PosekitError if they are too near to tell a direction."""
    from_to = np.asarray(other, float) - np.asarray(point, float)
    if not np.linalg.norm(from_to) >= LEAST_APART_MM:
        sentence = (
            f"are {plain(float(np.linalg.norm(from_to)), 2)} mm apart, too near to tell a direction; use two that are "
            f"{exact(LEAST_APART_MM)} mm apart or more"
        )
        raise PosekitError([error("no-axis", "points", sentence)])
    return Axis(_vector(np.asarray(point, float)), _vector(unit(from_to)))


def axis_through_holes(place: Place, other: Place) -> Axis:
    """The axis through the middles of two round walls, as of a pin in two eyes. Raises PosekitError.

    The walls' own axes, which short holes tell less well than their middles, do not count.
    """
    one, two = axis_of(place), axis_of(other)
    return axis_through(one.point, two.point)


def _refused(found: Surface) -> str:
    if found.kind == "plane":
        return "is flat there, and a plane has no axis; use a point on a round wall, such as that of a hole"
    if found.kind == "cone":
        return (
            f"is a cone there ({found.slope_deg:.1f} degrees to either side), as of a countersink; use a point on a "
            "wall that goes straight"
        )
    if found.kind == "sphere":
        return f"is a ball there (radius {found.radius:.2f} mm), which has no axis of its own; use two points"
    return f"{found.why}; use two points, or two holes"


def _vector(array: Array) -> Vector:
    x, y, z = (float(each) for each in array)
    return x, y, z
