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
    turned = np.einsum("lijp,lj->lip", world[:, :3, :3], burden.centre_mm) + world[:, :3, 3]
    # Of each link and all beyond, about the origin of the world: what hangs further out comes first.
    moment, whole = burden.mass_kg[:, None, None] * M_PER_MM * turned, burden.mass_kg.copy()
    for joint in burden.hung:
        moment[joint.parent] += moment[joint.child]
        whole[joint.parent] += whole[joint.child]
    moving = [joint for joint in burden.hung if joint.column >= 0]
    child, column = [joint.child for joint in moving], [joint.column for joint in moving]
    slides = np.array([joint.slides for joint in moving], bool)[:, None]
    along = np.array([joint.axis for joint in moving]).reshape(-1, 3)
    frame, mass = world[child], whole[child][:, None]
    axis = np.einsum("kijp,kj->ikp", frame[:, :3, :3], along)
    about = moment[child].transpose(1, 0, 2) - mass * M_PER_MM * frame[:, :3, 3].transpose(1, 0, 2)
    axes, beyond = np.zeros((2, len(burden.si), 3, world.shape[-1]))
    axes[column] = np.where(slides, 0.0, axis).transpose(1, 0, 2)
    beyond[column] = np.where(slides, mass * axis, cross(axis, about)).transpose(1, 0, 2)
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
