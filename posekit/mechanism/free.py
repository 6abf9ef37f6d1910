"""One joint moved by hand, whatever its drive, its leader and its stops would have it: as while a figure is built.

All other joints stand at 0, but for those that follow it, which go along.
"""

from __future__ import annotations

from math import atan2

import numpy as np

from posekit.arrays import Array
from posekit.fields import Vector
from posekit.mechanism.joints import Mechanism, led, unit_of
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.transforms import unit

FREE_DEG = 180.0  # to either side: a full turn
LEAST_MM, ROUND_MM = 100.0, 10.0  # to either side of a joint that slides, at least; and to what it is rounded
ON_AXIS_MM = 1e-3  # a point nearer to the axis tells no angle


def free_positions(prop: Prop, made: Mechanism, joint: int, position: float) -> Array:
    """Positions (1, J) [deg | mm] with the joint of column `joint` at a position; its followers go along."""
    found = np.zeros((1, len(prop.joints)))
    found[0, joint] = position
    moved = {joint}
    for follower, leader, ratio, offset in made.follows:
        if leader in moved and follower != joint:
            found[:, follower] = led(found[:, leader], ratio, offset)
            moved.add(follower)
    return found


def free_range(prop: Prop, joint: int) -> tuple[float, float]:
    """How far a joint is moved by hand [deg | mm]: a full turn, or as far as the figure reaches, its stops within."""
    own = prop.joints[joint]
    if unit_of(own) == "deg":
        far = FREE_DEG
    else:
        places = [np.abs(each.at).max() for each in (*prop.joints, *prop.fixed)]
        far = max(LEAST_MM, float(np.ceil(2 * max(places) / ROUND_MM) * ROUND_MM))
    low, high = own.stops or (0.0, 0.0)
    return min(-far, low), max(far, high)


def pulled_to(
    prop: Prop, made: Mechanism, joint: int, link: str, grip_mm: Vector, target_mm: Vector, position: float
) -> float:
    """The position [deg | mm] at which a joint brings a point of a link nearest to a target, of its turns the nearest.

    `grip_mm` is in the frame of the link, `target_mm` in the world, where the joint now stands at `position`. It stays
    there where the link does not move with the joint, and where grip or target tell no angle.
    """
    own = prop.joints[joint]
    row = {each.name: i for i, each in enumerate(prop.links)}
    zero, now = (forward(prop, free_positions(prop, made, joint, at), made.tree)[0] for at in (0.0, position))
    child = row[own.child]
    # Held as it stands now, brought back to where the joint is 0 with all that its child carries.
    gripped = now[row[link]] @ [*grip_mm, 1.0]
    begin = (zero[child] @ np.linalg.inv(now[child]) @ gripped)[:3]
    axis = zero[child][:3, :3] @ unit(own.axis)
    low, high = free_range(prop, joint)
    if not _carries(prop, own.child, link):
        return position
    if unit_of(own) == "mm":
        return float(np.clip((np.asarray(target_mm) - begin) @ axis, low, high))
    origin = zero[child][:3, 3]
    one, two = (each - origin - (each - origin) @ axis * axis for each in (begin, np.asarray(target_mm)))
    if min(np.linalg.norm(one), np.linalg.norm(two)) < ON_AXIS_MM:
        return position
    angle = float(np.degrees(atan2(np.cross(one, two) @ axis, one @ two)))
    angle += 360.0 * round((position - angle) / 360.0)
    return float(np.clip(angle, low, high))


def _carries(prop: Prop, base: str, link: str) -> bool:
    """Whether a link hangs on another, or is it."""
    parent = {each.child: each.parent for each in (*prop.joints, *prop.fixed)}
    # Ends: the links are a tree.
    while link != base and link in parent:
        link = parent[link]
    return link == base
