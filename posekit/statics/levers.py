"""How the torque of gravity at one joint changes with another joint, and how fast that can change at all.

The height of a mass depends on a turning joint by one sine. So the second derivative of the energy by joints o and i,
o the nearer to the root, is -g . (a_o x w_i): w_i is how the first moment beyond joint i moves with it, a_i x S_i where
it turns about the axis a_i with the moment S_i [kg*m] about it, a_i M_i where it slides. Third derivatives are of the
same form, so that they are at most g |w_i| of the innermost of three joints on one way to the root, and nothing for
any three that are not, or of which an outer one slides.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Truth
from posekit.statics.bodies import M_PER_MM
from posekit.statics.burden import Burden
from posekit.statics.vectors import cross


@dataclass(frozen=True, slots=True)
class Levers:
    """At P poses: `axis` (J, 3, P) of what turns and 0 of what slides, and `beyond` (J, 3, P), the w [kg*m | kg]."""

    axis: Array
    beyond: Array


@dataclass(frozen=True, slots=True)
class Reach:
    """What no pose exceeds: `most` (J,) of |w| [kg*m, kg], `below` (J, J) true where column hangs beyond row.

    `turns` (J,) is true for joints that turn.
    """

    most: Array
    below: Truth
    turns: Truth


def levers_at(burden: Burden, world: Array) -> Levers:
    """The levers at poses of the links (L, 4, 4, P) [mm]."""
    poses = world.shape[-1]
    moment = np.empty(
        (len(burden.mass_kg), 3, poses)
    )  # of each link and all beyond, about the origin of the world
    for i, (mass, centre) in enumerate(zip(burden.mass_kg.tolist(), burden.centre_mm, strict=True)):
        turned = np.einsum("ijp,j->ip", world[i, :3, :3], centre) + world[i, :3, 3]
        moment[i] = mass * M_PER_MM * turned
    whole = burden.mass_kg.copy()
    axes, beyond = np.zeros((len(burden.si), 3, poses)), np.zeros((len(burden.si), 3, poses))
    for joint in burden.hung:
        moment[joint.parent] += moment[joint.child]
        whole[joint.parent] += whole[joint.child]
        if joint.column < 0:
            continue
        frame = world[joint.child]
        axis = np.einsum("ijp,j->ip", frame[:3, :3], joint.axis)
        if joint.slides:
            beyond[joint.column] = whole[joint.child] * axis
            continue
        about = moment[joint.child] - whole[joint.child] * M_PER_MM * frame[:3, 3]
        beyond[joint.column] = cross(axis, about)
        axes[joint.column] = axis
    return Levers(axes, beyond)


def reach_of(burden: Burden, far: Array) -> Reach:
    """What no pose exceeds whose slides stand no further than `far` (J,) [mm] from 0; entries of what turns are unused.

    From the leaves in: what is rigid beyond a joint is added as it stands, what moves in it by its length.
    """
    links, joints = len(burden.mass_kg), len(burden.si)
    rigid = burden.mass_kg[:, None] * burden.centre_mm  # (L, 3) [kg*mm] in the frame of the link
    loose, whole = np.zeros(links), burden.mass_kg.copy()
    most, turns = np.zeros(joints), np.zeros(joints, bool)
    beyond: list[set[int]] = [set() for _ in range(links)]
    below = np.zeros((joints, joints), bool)
    for hung in burden.hung:
        mass, child = whole[hung.child], hung.child
        frame = hung.place
        added = mass * frame[:3, 3]
        if hung.column < 0:
            added = added + frame[:3, :3] @ rigid[child]
            extra = loose[child]
        elif hung.slides:
            # Its rigid part does not turn, but goes along its axis.
            added = added + frame[:3, :3] @ rigid[child]
            extra = loose[child] + mass * far[hung.column]
            most[hung.column] = mass
        else:
            across = float(np.linalg.norm(np.cross(hung.axis, rigid[child])))
            extra = loose[child] + float(np.linalg.norm(rigid[child]))
            most[hung.column] = (across + loose[child]) * M_PER_MM
            turns[hung.column] = True
        rigid[hung.parent] += added
        loose[hung.parent] += extra
        whole[hung.parent] += mass
        found = beyond[child]
        if hung.column >= 0:
            below[hung.column, list(found)] = True
            found = found | {hung.column}
        beyond[hung.parent] |= found
    return Reach(most, below, turns)
