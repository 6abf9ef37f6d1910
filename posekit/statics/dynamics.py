"""What the joints' holders have to give, at rest and while a figure moves."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.prop.model import Prop
from posekit.signal.batch import rows
from posekit.statics.burden import Burden, burden_of
from posekit.statics.newton_euler import hold, room_for, take, turn
from posekit.statics.springs import given_by_springs


def torques(prop: Prop, positions: ArrayLike, burden: Burden | None = None) -> Array:
    """What gravity, loads and springs ask of the holder of each joint; (P, J) degrees | mm to (P, J) N*m | N.

    Positive where the holder must push the joint forward. A joint that follows is asked for like any other: what its
    leader's drive holds of it is told by `shaft_torques`. Who asks often gives the `burden_of` the prop, for which
    the meshes are read. PosekitError for positions that are none and meshes that cannot be read.
    """
    made = burden_of(prop) if burden is None else burden
    return _asked(prop, made, rows(positions, prop.joints, "positions"), None, (False,))[0]


def moving_torques(
    prop: Prop,
    positions: ArrayLike,
    speeds: ArrayLike,
    accelerations: ArrayLike,
    burden: Burden | None = None,
) -> Array:
    """What the holder of each joint gives; (P, J) degrees | mm, their speeds [/s] and accelerations [/s2] to (P, J).

    N*m, of slides N, for gravity, loads and springs and for all that masses and inertias take to move so. Positive
    where the holder pushes the joint forward. Loads are points without inertia of their own. Who asks often gives the
    `burden_of` the prop. PosekitError for arrays that do not fit and meshes that cannot be read.
    """
    made = burden_of(prop) if burden is None else burden
    position, going = _motion(prop, positions, speeds, accelerations)
    return _asked(prop, made, position, going, (True,))[0]


def moving_and_resting(
    prop: Prop, positions: ArrayLike, speeds: ArrayLike, accelerations: ArrayLike, burden: Burden
) -> tuple[Array, Array]:
    """`moving_torques`, and what of them the holders would give if the figure stood so; two (P, J)."""
    position, going = _motion(prop, positions, speeds, accelerations)
    moving, resting = _asked(prop, burden, position, going, (True, False))
    return moving, resting


def _motion(prop: Prop, *each: ArrayLike) -> tuple[Array, tuple[Array, Array]]:
    names = ("positions", "speeds", "accelerations")
    position, speed, gain = (rows(own, prop.joints, name) for own, name in zip(each, names, strict=True))
    return position, (speed, gain)


def _asked(
    prop: Prop, burden: Burden, position: Array, going: tuple[Array, Array] | None, moving: tuple[bool, ...]
) -> tuple[Array, ...]:
    """What the holders give, (P, J) for each of `moving`: moving as joints go, or at rest.

    Positions, speeds and accelerations are (P, J), degrees | mm.
    """
    bodies, count = burden.bodies, len(position)
    column, si = bodies.column, burden.si[bodies.column, None]
    given = np.empty((len(moving), len(column), count))
    room = room_for(bodies, count)
    size = max(room.position.shape[-1], 1)  # of no poses there is nothing to find, in no block
    for begin in range(0, count, size):
        part = slice(begin, min(begin + size, count))
        at = room.first(part.stop - begin)
        np.multiply(position[part].T[column], si, out=at.position)
        for own, to in zip(going or (), (at.speed, at.gain), strict=False):
            np.multiply(own[part].T[column], si, out=to)
        turn(at)
        springs = given_by_springs(prop, burden, position[part])
        for found, goes in zip(given, moving, strict=True):
            take(bodies, at, burden.gravity, goes)
            for body, own in springs:
                at.pull[body] -= own
            hold(bodies, at, found[:, part])
    by_joint = np.argsort(column)
    return tuple((found[by_joint] - burden.constant[:, None]).T for found in given)
