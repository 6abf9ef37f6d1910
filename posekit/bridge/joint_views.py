"""Joints as the page shows them while a figure is built: where they stand, in numbers and in the picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from posekit.arrays import Array
from posekit.authoring.contents import at_zero
from posekit.authoring.hinge import Axis, Place
from posekit.authoring.numbers import short_all
from posekit.bridge import picture
from posekit.bridge.views import Floats, Point, Range
from posekit.fields import Vector
from posekit.mechanism.free import free_range
from posekit.mechanism.joints import unit_of
from posekit.prop.model import Joint, Prop
from posekit.text import exact, upward
from posekit.toml.places import dotted
from posekit.transforms import unit

Kind = Literal["revolute", "prismatic", "fixed"]
SEEN_MM, SEEN = 1e-3, 1e-6  # what a place taken from the picture is rounded to, and a direction


@dataclass(frozen=True, slots=True)
class AxisView:
    """An axis in the world with all joints at 0 [mm], and the same in the picture (`at` in metres).

    `text` are its numbers in words; `radius_mm` that of the wall it was read off.
    """

    point_mm: Point
    direction: Point
    radius_mm: float | None
    at: Point
    along: Point
    text: str


@dataclass(frozen=True, slots=True)
class PlacedJoint:
    """Any joint, a fixed one too. `path` is where it stands in the prop file, `free` how far it is moved by hand."""

    name: str
    path: str
    type: Kind
    unit: Literal["deg", "mm"]
    parent: str
    child: str
    stops: Range | None
    free: Range
    moved_by: str
    axis: AxisView


@dataclass(frozen=True, slots=True)
class JointsView:
    """All joints, those that move first, and where the links stand with every joint at 0: (L, 16) as in a pose."""

    joints: tuple[PlacedJoint, ...]
    links: Floats


@dataclass(frozen=True, slots=True)
class FoundAxis:
    """An axis read off parts; `told` is what they are at each of the points that it was asked for at."""

    axis: AxisView
    told: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TrialView:
    """A joint moved by hand: its position [deg | mm], in words too, and where the links stand: (L, 16) as in a pose."""

    joint: str
    position: float
    text: str
    links: Floats


def axis_view(axis: Axis) -> AxisView:
    """An axis of the world at the zero pose as the page shows it."""
    direction = unit(axis.direction)
    numbers = ", ".join(exact(each) for each in short_all(axis.point, 5e-4))
    along = ", ".join(exact(each) for each in short_all(direction, 5e-5))
    return AxisView(
        point_mm=axis.point,
        direction=_point(direction),
        radius_mm=axis.radius,
        at=_point(picture.points(np.array(axis.point))),
        along=_point(picture.PICTURE_FROM_PROP @ direction),
        text=f"{numbers} mm, along {along}",
    )


def seen(at: Point, along: Point) -> Axis:
    """The axis at a point [m] of the picture along a direction of it, its numbers as round as a hand is steady."""
    point = short_all(picture.to_world_mm(at), SEEN_MM / 2)
    direction = unit(np.asarray(along, float) @ picture.PICTURE_FROM_PROP)
    return Axis(_point(np.array(point)), _point(np.array(short_all(direction, SEEN / 2))))


def joints_view(prop: Prop, links: Array) -> JointsView:
    """All joints of a prop, whose links stand so (L, 4, 4) at the zero pose."""
    world = at_zero(prop)
    column = {joint.name: j for j, joint in enumerate(prop.joints)}
    placed = tuple(
        _placed(prop, joint, world[joint.child], column.get(joint.name))
        for joint in (*prop.joints, *prop.fixed)
    )
    return JointsView(placed, picture.matrices(links))


def _placed(prop: Prop, joint: Joint, world: Array, column: int | None) -> PlacedJoint:
    return PlacedJoint(
        name=joint.name,
        path=dotted(("joints", joint.name)),
        type=joint.type,
        unit="mm" if unit_of(joint) == "mm" else "deg",
        parent=joint.parent,
        child=joint.child,
        stops=joint.stops,
        free=(0.0, 0.0) if column is None else free_range(prop, column),
        moved_by=_moved_by(prop, joint),
        axis=axis_view(Axis(_point(world[:3, 3]), _point(world[:3, :3] @ unit(joint.axis)))),
    )


def _moved_by(prop: Prop, joint: Joint) -> str:
    """What moves a joint, in words."""
    drives = [drive.name for drive in prop.drives if drive.joint == joint.name]
    if joint.type == "fixed":
        return "is fixed"
    if drives:
        return f"is moved by the drive {drives[0]}"
    return (
        f"follows the joint {joint.follow.joint}" if joint.follow else "is moved by no drive of its own yet"
    )


def told(place: Place) -> str:
    """What a part is at a place, and how well that is known, in words."""
    found = place.surface
    if found.kind == "none":
        return f"{place.link}: {found.why}."
    within = f"The mesh lies within {upward(found.worst, 3)} mm of it"
    if found.kind == "plane":
        return f"{place.link}: a flat face. {within}."
    if found.kind == "sphere":
        return f"{place.link}: a ball of radius {found.radius:.2f} mm. {within}."
    if found.kind == "cone":
        return f"{place.link}: a cone, {found.slope_deg:.1f}° to either side. {within}."
    around = "all the way round" if found.share > 0.99 else f"{360 * found.share:.0f}° of it are there"
    what = "a hole" if found.is_hole else "a shaft"
    return (
        f"{place.link}: {what} of radius {found.radius:.2f} mm, {found.length:.1f} mm long, {around}. {within}; "
        f"its axis is known to {upward(found.uncertain_mm, 3)} mm and {upward(found.uncertain_deg)}°."
    )


def _point(array: Sequence[float] | Array | Vector) -> Point:
    x, y, z = (float(each) + 0.0 for each in array)
    return x, y, z
