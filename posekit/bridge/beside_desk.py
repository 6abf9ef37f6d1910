"""Two poses beside each other: each public method of `BesideDesk` is one request that the page can make."""

from __future__ import annotations

from posekit.bridge import picture
from posekit.bridge.beside_views import BesideView, DifferenceRow
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.views import Values
from posekit.bridge.workbench import Workbench, row
from posekit.report.beside import DIGITS, DriveDiffers, JointDiffers, beside


class BesideDesk:
    """The open prop in two poses."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    @newest_wins
    def beside(self, left: Values, right: Values) -> BesideView:
        """What differs between the poses at these values, and where each part is in both."""
        prop = self._workbench.prop
        found = beside(prop, row(prop, left), row(prop, right), self._workbench.mechanism)
        carried = {joint.name: joint.child for joint in prop.joints}
        links = picture.matrices(found.world_from_link)
        return BesideView(
            left=links[0],
            right=links[1],
            drives=tuple(_drive(each, carried) for each in found.drives),
            joints=tuple(map(_joint, found.joints)),
            sentence=found.sentence,
        )


def _drive(each: DriveDiffers, carried: dict[str, str]) -> DifferenceRow:
    part = carried[each.joints[0]] if each.joints else None
    by = f"{each.right - each.left:+d}"
    return DifferenceRow(each.drive, ", ".join(each.joints), str(each.left), str(each.right), by, part)


def _joint(each: JointDiffers) -> DifferenceRow:
    unit = "°" if each.unit == "deg" else f" {each.unit}"
    left, right = (f"{value:.{DIGITS}f}{unit}" for value in (each.left, each.right))
    by = f"{each.right - each.left:+.{DIGITS}f}{unit}"
    return DifferenceRow(each.joint, each.part, left, right, by, each.part)
