"""What the joints' holders have to give while a figure moves, for P instants at once: recursive Newton-Euler.

Outwards from the root the turning of each link and the acceleration of its origin follow from those of the link before
it. What its mass and inertia take to go so pulls back at it, with gravity and springs; inwards each joint holds what is
beyond it (Luh, Walker and Paul 1980; Featherstone, Rigid Body Dynamics Algorithms, ch. 5). All vectors stand in the
frame of the world, components first and instants last.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.signal.batch import rows
from posekit.statics.burden import M_PER_MM, Burden, burden_of
from posekit.statics.gravity import asked_of_holders, at, cross, pulls

# How a link moves (3, P) each: its turning [rad/s], the change of that [rad/s2], its origin's acceleration [m/s2].
Moved = tuple[Array, Array, Array]
BLOCK = 2048  # instants at a time: few enough that their vectors stay in the cache


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
    return moving_and_resting(prop, positions, speeds, accelerations, made)[0]


def moving_and_resting(
    prop: Prop, positions: ArrayLike, speeds: ArrayLike, accelerations: ArrayLike, burden: Burden
) -> tuple[Array, Array]:
    """`moving_torques`, and what of them the holders would give if the figure stood so; two (P, J)."""
    position = rows(positions, prop.joints, "positions")
    speed = rows(speeds, prop.joints, "speeds") * burden.si
    more = rows(accelerations, prop.joints, "accelerations") * burden.si
    moving, resting = np.empty(position.shape), np.empty(position.shape)
    for begin in range(0, len(position), BLOCK):
        part = slice(begin, begin + BLOCK)
        world = forward(prop, position[part], burden.mechanism.tree).transpose(1, 2, 3, 0)
        pull = pulls(burden, world)
        resting[part] = asked_of_holders(burden, world, pull.copy())
        _pull_back(burden, world, speed[part].T, more[part].T, pull)
        moving[part] = asked_of_holders(burden, world, pull)
    return moving, resting


def _pull_back(burden: Burden, world: Array, speed: Array, more: Array, pull: Array) -> None:
    """Add what masses and inertias pull back to the pulls at the links; speeds and accelerations (J, P) [rad | m]."""
    motion: dict[int, Moved] = {}
    none = np.zeros((3, world.shape[-1]))
    for joint in reversed(burden.hung):
        frame, j = world[joint.child], joint.column
        if joint.parent in motion:
            turning, change, gained = motion[joint.parent]
            reach = (frame[:3, 3] - world[joint.parent][:3, 3]) * M_PER_MM
            gained = gained + cross(change, reach) + cross(turning, cross(turning, reach))
        elif j < 0:
            continue  # carried by nothing that moves
        else:
            turning, change, gained = none, none, none
        if j >= 0:
            axis = np.einsum("ijp,j->ip", frame[:3, :3], joint.axis)
            swift, swifter = axis * speed[j], axis * more[j]
            if joint.slides:
                gained = gained + swifter + 2.0 * cross(turning, swift)
            else:
                change = change + swifter + cross(turning, swift)
                turning = turning + swift
        motion[joint.child] = (turning, change, gained)
    for i, (turning, change, gained) in motion.items():
        mass, inertia = float(burden.mass_kg[i]), burden.inertia_kgm2[i]
        if not mass:
            continue
        turned = world[i][:3, :3]
        arm = np.einsum("ijp,j->ip", turned, burden.centre_mm[i]) * M_PER_MM
        force = mass * (gained + cross(change, arm) + cross(turning, cross(turning, arm)))
        moment = _spread(turned, inertia, change) + cross(turning, _spread(turned, inertia, turning))
        pull[i, 0] -= force
        pull[i, 1] -= moment / M_PER_MM + cross(at(world[i], burden.centre_mm[i]), force)


def _spread(turned: Array, inertia: Array, vector: Array) -> Array:
    """An inertia (3, 3) in the frame of a link times a vector (3, P) of the world."""
    own = np.einsum("ijp,ip->jp", turned, vector)
    return np.einsum("ijp,jp->ip", turned, inertia @ own)
