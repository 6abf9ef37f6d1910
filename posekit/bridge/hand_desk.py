"""What is moved by hand, a drive or a part, or typed for one: each public method of `HandDesk` is one request."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from posekit.bridge import picture, units
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.view_of_prop import finding_views, named
from posekit.bridge.views import Found, Point, SweepView, TypedView, Values
from posekit.bridge.workbench import Workbench, row
from posekit.mechanism import inverse
from posekit.report.drive import column_of, drive_report


class HandDesk:
    """Where one drive takes the prop, and the values that bring a joint or a part to where it is wanted."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    @newest_wins
    def sweep(self, drive: str, values: Values, steps: int = 33) -> SweepView:
        """Where one drive takes the prop between its end points."""
        bench = self._workbench
        found = drive_report(bench.prop, drive, row(bench.prop, values), steps, bench.parts, bench.mechanism)
        return SweepView(
            joint=found.joint,
            values=tuple(found.values.astype(int).tolist()),
            positions=tuple(found.positions.tolist()),
            links=picture.matrices(found.world_from_link),
            trace=picture.points(found.trace).astype(np.float32),
        )

    @newest_wins
    def turn(self, joint: str, position: float, values: Values) -> Found:
        """The values that bring one joint to a position [deg | mm]; drives that do not move it keep theirs."""
        prop = self._workbench.prop
        return self._found(inverse.turn_joint(prop, row(prop, values), joint, position))

    @newest_wins
    def reach(
        self, link: str, grip: Point, target: Point, values: Values, joints: tuple[str, ...] = ()
    ) -> Found:
        """The values that bring a point of a link to a target, from these values on.

        `grip` is in the frame of the link [m], `target` in that of the picture. Only `joints` may move,
        or without any named, all that carry the link.
        """
        x, y, z = picture.to_world_mm(target).tolist()
        return self.bring(link, grip, (x, y, z), values, joints)

    @newest_wins
    def bring(
        self, link: str, grip: Point, target_mm: Point, values: Values, joints: tuple[str, ...] = ()
    ) -> Found:
        """The same with the target in the world of the prop [mm], as people write it."""
        prop, aim = self._workbench.prop, (picture.to_link_mm(grip), np.array(target_mm, float))
        found = self._found(inverse.reach_point(prop, row(prop, values), link, *aim, joints))
        return replace(found, target_mm=target_mm)

    def typed(self, drive: str, text: str, unit: units.Unit) -> TypedView:
        """The value that was typed for a drive in a unit."""
        prop = self._workbench.prop
        return TypedView(*units.typed(prop.drives[column_of(prop, drive)], text, unit))

    def _found(self, found: inverse.Found) -> Found:
        prop = self._workbench.prop
        findings = finding_views(prop, self._workbench.posed(found.values).findings)
        return Found(named(prop, found.values), found.off, None, found.limits, findings)
