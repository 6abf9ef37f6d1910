"""What can be asked while joints are placed: each public method of `Jointing` is one request that the page can make.

All of it stands with every joint at 0, as the page shows the figure meanwhile; drives and their values play no part.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from posekit.arrays import Array
from posekit.authoring.contents import at_zero
from posekit.authoring.hinge import (
    Axis,
    axis_across,
    axis_of,
    axis_through,
    axis_through_holes,
    edge_at,
    round_at,
    surface_at,
    walks_of,
)
from posekit.authoring.lost_units import of_type
from posekit.authoring.numbers import short
from posekit.authoring.parts import joint_named, link_named, rewritten
from posekit.authoring.surface.mesh import Walk
from posekit.authoring.world import become, place_joint
from posekit.bridge import picture, words
from posekit.bridge.joint_views import (
    AxisView,
    FoundAxis,
    JointsView,
    Kind,
    TrialView,
    axis_view,
    joints_view,
    seen,
    told,
)
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.views import Point, PropView
from posekit.bridge.workbench import Workbench
from posekit.errors import PosekitError, error
from posekit.mechanism.free import free_positions, free_range, pulled_to
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.toml.editing import set_keys
from posekit.toml.places import dotted

How = Literal["round", "holes", "points", "edge", "face"]
SPOTS = {"round": 1, "holes": 2, "points": 2, "edge": 1, "face": 1}  # that each way to find an axis takes
HAND_DEG, HAND_MM = 0.1, 0.1  # a position by hand is rounded to


class Jointing:
    """Joints of the prop on a workbench: found on parts, placed, turned by hand."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._walks: tuple[Prop, dict[str, list[Walk]]] | None = None

    def joint_places(self) -> JointsView:
        """Where all joints stand, and the links with them at 0."""
        prop = self._workbench.prop
        zero = np.zeros((1, len(prop.joints)))
        return joints_view(prop, forward(prop, zero, self._workbench.mechanism.tree)[0])

    def spot(self, part: str, point: Point) -> Point:
        """A point of a part, picked in its frame [m] in the picture: in the world with all joints at 0 [mm]."""
        world: Array = at_zero(self._workbench.prop)[link_named(self._workbench.prop, part).name]
        x, y, z = (world @ [*picture.to_link_mm(point), 1.0])[:3].round(3).tolist()
        return x, y, z

    def find_axis(self, how: How, parts: tuple[str, ...], points: tuple[Point, ...]) -> FoundAxis:
        """The axis at one or two points, each of a part: in the world with all joints at 0 [mm].

        "round" is the wall of a hole or shaft, "holes" goes through the middles of two, "points" through two as they
        are, "edge" along the nearest straight one, "face" upright on a flat one. Raises PosekitError where no such
        axis is there.
        """
        if len(points) != SPOTS[how] or len(parts) != len(points):
            raise PosekitError([error("wrong-use", how, f"takes {SPOTS[how]} points, each with its part")])
        if how == "points":
            return FoundAxis(axis_view(axis_through(*points)), ())
        prop = self._workbench.prop
        if how == "edge":
            axis = edge_at(prop, parts[0], points[0], self._walks_of(parts[0]))
            return FoundAxis(axis_view(axis), (f"{parts[0]}: a straight edge.",))
        look = surface_at if how == "face" else round_at
        places = [
            look(prop, part, point, self._walks_of(part)) for part, point in zip(parts, points, strict=True)
        ]
        if how == "holes":
            axis = axis_through_holes(*places)
        else:
            axis = axis_of(places[0]) if how == "round" else axis_across(places[0], points[0])
        return FoundAxis(axis_view(axis), tuple(told(place) for place in places))

    @newest_wins
    def seen_axis(self, at: Point, along: Point) -> AxisView:
        """The axis at a point [m] of the picture along a direction of it, as while it is dragged there."""
        return axis_view(seen(at, along))

    def typed_axis(self, point_mm: Point, direction: Point) -> AxisView:
        """The axis at a point along a direction of the world, as people type it. PosekitError without a direction."""
        if not any(direction):
            sentence = "= 0, 0, 0: has no direction; use for example 0, 1, 0"
            raise PosekitError([error("wrong-value", "direction", sentence)])
        return axis_view(Axis(point_mm, direction))

    def place_joint(self, joint: str, point_mm: Point, direction: Point, type: Kind) -> PropView:
        """Put a joint at a point of the world along a direction, all joints at 0; the parts stay where they are."""
        prop = self._workbench.prop
        return self._workbench.take(
            place_joint(prop, joint, point_mm, direction, type=type), of_type(prop, joint, type, words.anew)
        )

    def become_joint(self, joint: str, type: Kind) -> PropView:
        """Make a joint one of another type where it is, without what counted in the unit of the old one."""
        prop = self._workbench.prop
        return self._workbench.take(become(prop, joint, type), of_type(prop, joint, type, words.anew))

    def drop_joint(self, joint: str, at: Point, along: Point, type: Kind) -> PropView:
        """The same at a point [m] of the picture along a direction of it, as `seen_axis` tells it."""
        axis = axis_view(seen(at, along))
        return self.place_joint(joint, axis.point_mm, axis.direction, type)

    def set_stop(self, joint: str, which: Literal["low", "high"], position: float) -> PropView:
        """A hard stop at a position [deg | mm]; the other, where there is none, stands where a hand stops turning."""
        prop = self._workbench.prop
        low, high = prop.joints[self._column(joint)].stops or free_range(prop, self._column(joint))
        at = short(round(position, 6), 0.0)
        stops = [at, short(high, 0.0)] if which == "low" else [short(low, 0.0), at]
        if not stops[0] < stops[1]:
            other = "high" if which == "low" else "low"
            sentence = (
                f"= {at}: the {other} stop is at {stops[1] if which == 'low' else stops[0]}; move that first"
            )
            raise PosekitError([error("wrong-value", dotted(("joints", joint, "stops")), sentence)])
        return self._workbench.take(rewritten(prop, set_keys(prop.text, {("joints", joint, "stops"): stops})))

    @newest_wins
    def try_joint(self, joint: str, position: float) -> TrialView:
        """Where the parts stand with a joint at a position [deg | mm], whatever its drive and stops; others at 0."""
        j = self._column(joint)
        low, high = free_range(self._workbench.prop, j)
        return self._tried(j, min(max(position, low), high))

    @newest_wins
    def pull_joint(self, joint: str, link: str, grip: Point, target: Point, position: float) -> TrialView:
        """The same, with a part pulled to a target from where the joint stands at `position`.

        `grip` is in the frame of the link [m], `target` in that of the picture.
        """
        prop, made, j = self._workbench.prop, self._workbench.mechanism, self._column(joint)
        link_named(prop, link)
        x, y, z = picture.to_link_mm(grip).tolist()
        to_x, to_y, to_z = picture.to_world_mm(target).tolist()
        found = pulled_to(prop, made, j, link, (x, y, z), (to_x, to_y, to_z), position)
        grid = HAND_MM if prop.joints[j].type == "prismatic" else HAND_DEG
        return self._tried(j, round(found / grid) * grid)

    def _tried(self, j: int, position: float) -> TrialView:
        prop, made = self._workbench.prop, self._workbench.mechanism
        at = round(position, 6) + 0.0
        links = forward(prop, free_positions(prop, made, j, at), made.tree)[0]
        unit = "mm" if prop.joints[j].type == "prismatic" else "°"
        text = f"{at:z.1f}".replace("-", "−") + (" mm" if unit == "mm" else unit)
        return TrialView(prop.joints[j].name, at, text, picture.matrices(links))

    def _column(self, joint: str) -> int:
        """The column of a joint that moves. Raises PosekitError for one that is fixed, or is not there."""
        prop = self._workbench.prop
        if joint_named(prop, joint).type == "fixed":
            sentence = "is fixed; let it turn or slide first"
            raise PosekitError([error("wrong-kind", dotted(("joints", joint)), sentence)])
        return [each.name for each in prop.joints].index(joint)

    def _walks_of(self, part: str) -> list[Walk]:
        """The meshes of a part, kept for the next question while the prop stays the same."""
        prop = self._workbench.prop
        if self._walks is None or self._walks[0] is not prop:
            self._walks = prop, {}
        kept = self._walks[1]
        if part not in kept:
            kept[part] = walks_of(prop, part)
        return kept[part]
