"""Where the joints of a prop file sit, as the linkages need it."""

from __future__ import annotations

from posekit.linkage import Hinge
from posekit.prop.model import Joint
from posekit.transforms import rotation_rpy, unit


def hinge(joint: Joint) -> Hinge:
    """Point [mm] and unit axis of a joint in the frame of its parent link, at position 0."""
    x, y, z = rotation_rpy(joint.turn) @ unit(joint.axis)
    return Hinge(joint.at, (float(x), float(y), float(z)))
