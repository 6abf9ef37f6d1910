"""What can be asked about linkages: each public method of `LinkageDesk` is one request that the page can make."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.bridge import picture
from posekit.bridge.linkage_views import BodyView, DragView, FiguresView, LinkagesView, LinkageView
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.view_of_prop import finding_views
from posekit.bridge.views import Point, Setting, Values
from posekit.bridge.workbench import Workbench, row
from posekit.errors import PosekitError, error
from posekit.linkage.protocol import Keys
from posekit.mechanism.joints import Mechanism, mechanism_of, unit_of
from posekit.mechanism.range_check import linkage_findings, linkage_report
from posekit.mechanism.skeleton import Placed, own_bodies, placed, points, skeleton
from posekit.pipeline import pose_at
from posekit.prop.model import Prop
from posekit.prop.placing import hinge
from posekit.report.drive import column_of
from posekit.signal.calibration import pulses, shafts
from posekit.toml.places import dotted
from posekit.transforms import a_from_b, unit

FLATTEST = 0.15  # sine of the least angle at which a plane is looked at, so that a pull means a place in it


class LinkageDesk:
    """The linkages of the prop on a workbench: as they are drawn, and pulled by hand."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def linkages(self) -> LinkagesView:
        """What `linkages` of a pose are made of."""
        prop = self._workbench.prop
        return LinkagesView(tuple(views_of(prop, self._workbench.skeleton)))

    def linkage_figures(self, drive: str) -> FiguresView | None:
        """Reach, dead points, transmission angle and advantage of a drive's linkage; null where several share it."""
        return _figures_of(self._workbench.prop, self._workbench.mechanism, drive)

    @newest_wins
    def drag_linkage(self, drive: str, grip: str, eye: Point, to: Point, values: Values) -> DragView:
        """What becomes of a linkage with one of its grips pulled, the drives at these values.

        The pull goes from the `eye` through the point `to`, both in the picture [m]: a grip that moves in a plane
        comes to where that meets it, any other one to `to`. The prop stays as it is until the `changes` are edited
        into it.
        """
        prop, made = self._workbench.prop, self._workbench.mechanism
        shaft = shafts(prop, pulses(prop, row(prop, values)[None]))
        each = next((found for found in self._workbench.skeleton if _owner(prop, found) == drive), None)
        if each is None:
            raise PosekitError([error("no-linkage", drive, "has no linkage of its own that could be pulled")])
        world = np.array(list(pose_at(prop, row(prop, values), mechanism=made).links.values()))
        own = np.clip(shaft[0, each.train.drives[0]], *each.train.closes)
        carrier_from_world = a_from_b(world[each.link], np.eye(4))
        sight = [carrier_from_world @ [*picture.to_world_mm(point), 1.0] for point in (eye, to)]
        place = _pulled_to(each, grip, shaft, *(point[:3] - each.shift for point in sight))
        keys = each.train.linkage.dragged(grip, place, float(own), each.hinges[0])
        changed, problems = _with_keys(prop, drive, keys)
        path = dotted(("drives", drive, "linkage"))
        if problems:
            found = finding_views(
                prop, [error("wrong-linkage", f"{path}.{key}", said) for key, said in problems]
            )
            return _drag(prop, made, each, values, {}, None, found)
        after = mechanism_of(changed)
        again = next(found for found in placed(changed, after) if _owner(changed, found) == drive)
        figures = _figures_of(changed, after, drive)
        changes: dict[str, Setting] = {f"{path}.{key}": value for key, value in keys.items()}
        return _drag(changed, after, again, values, changes, figures, ())


def views_of(prop: Prop, found: tuple[Placed, ...]) -> list[LinkageView]:
    """All linkages of a prop as they are drawn, one behind the other."""
    at_rest = shafts(prop, pulses(prop, row(prop, {})[None]))
    world = np.broadcast_to(np.eye(4), (1, len(prop.links), 4, 4))
    views, first = [], 0
    for each, bodies in zip(found, skeleton(found, at_rest, world), strict=True):
        drawn = tuple(BodyView(body.name, body.form, body.radius * picture.MM, body.grip) for body in bodies)
        joint = prop.joints[each.train.joints[0]].name
        views.append(LinkageView(_owner(prop, each), joint, first, drawn, _beside(joint, each)))
        first += len(drawn)
    return views


def _figures_of(prop: Prop, mechanism: Mechanism, drive: str) -> FiguresView | None:
    """The figures of a linkage of one drive."""
    d = column_of(prop, drive)
    train = next(each for each in mechanism.trains if d in each.drives)
    if len(train.drives) > 1:
        return None
    report = linkage_report(prop, train)
    return FiguresView(
        drive=drive,
        joint=report.joint,
        unit="mm" if unit_of(prop.joints[train.joints[0]]) == "mm" else "deg",
        kind=report.kind,
        turns=report.turns,
        reach=report.reach,
        dead_points_deg=(_finite(report.closes_deg[0]), _finite(report.closes_deg[1])),
        transmission_deg=_finite(report.transmission_deg),
        advantage=(_finite(report.advantage[0]), _finite(report.advantage[1])),
        findings=finding_views(prop, linkage_findings(prop, train)),
    )


def _drag(
    prop: Prop, made: Mechanism, each: Placed, values: Values, changes: dict[str, Setting],
    figures: FiguresView | None, refused: Any,
) -> DragView:  # fmt: skip
    state = pose_at(prop, row(prop, values), mechanism=made)
    world = np.array(list(state.links.values()))
    shaft = np.array([list(state.shafts.values())])
    return DragView(
        changes=changes,
        points=picture.points(points(skeleton((each,), shaft, world[None]), 1))[0].astype(np.float32),
        links=picture.matrices(world),
        figures=figures,
        refused=refused,
    )


def _with_keys(prop: Prop, drive: str, keys: Keys) -> tuple[Prop, tuple[tuple[str, str], ...]]:
    """The prop with other dimensions in a linkage, its text as it was; and what is wrong with them."""
    d = column_of(prop, drive)
    linkage = replace(prop.drives[d].linkage, **keys)
    joint = next(joint for joint in prop.joints if joint.name == prop.drives[d].joint)
    problems = linkage.problems(hinge(joint))
    drives = (*prop.drives[:d], replace(prop.drives[d], linkage=linkage), *prop.drives[d + 1 :])
    return replace(prop, drives=drives), problems


def _pulled_to(each: Placed, grip: str, shafts_deg: Array, eye: Array, to: Array) -> Array:
    """Where a pull in the frame of the carrier takes a grip (3,) [mm]."""
    normal = each.train.linkage.plane(each.hinges[0])
    at = next(
        (body.ends.reshape(-1, 3)[0] for body in own_bodies(each, shafts_deg) if body.grip == grip), None
    )
    if normal is None or at is None:
        return to
    way, across = unit(to - eye), np.array(normal)
    if abs(way @ across) < FLATTEST:  # seen on edge, the plane is met anywhere
        return np.asarray(to - across * ((to - at) @ across))
    return np.asarray(eye + way * ((at - eye) @ across) / (way @ across))


def _owner(prop: Prop, each: Placed) -> str:
    return prop.drives[each.train.drives[0]].name


def _beside(joint: str, each: Placed) -> str:
    if not each.unplaced:
        return ""
    key = " and ".join(name.replace("_", " ") for name in each.unplaced)
    return f"drawn beside {joint}: say where it lies ({key}), or drag its servo shaft"


def _finite(number: float) -> float | None:
    return number if isfinite(number) else None
