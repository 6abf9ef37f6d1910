"""Where the joints of a prop file sit, as the linkages need it."""

from __future__ import annotations

from functools import lru_cache

from posekit.fields import Vector
from posekit.linkage import Hinge
from posekit.prop.model import Joint
from posekit.transforms import rotation_rpy, unit


def hinge(joint: Joint) -> Hinge:
    """Point [mm] and unit axis of a joint in the frame of its parent link, at position 0."""
    return _hinge(joint.at, joint.turn, joint.axis)


@lru_cache(512)  # asked for at every pose, and a joint keeps its place
def _hinge(at: Vector, turn: Vector, axis: Vector) -> Hinge:
    x, y, z = rotation_rpy(turn) @ unit(axis)
    return Hinge(at, (float(x), float(y), float(z)))
