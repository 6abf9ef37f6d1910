"""What the joints' holders have to give at rest, for P poses at once.

All that pulls at the links beyond a joint is put together into one force and one moment; the holder gives the opposite
of their part along the joint's axis (any text book of statics). A pull at a link stands as its force [N] and its moment
about the origin of the world [N*mm], components first and poses last.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.signal.batch import rows
from posekit.statics.burden import M_PER_MM, Burden, Coil, burden_of


def torques(prop: Prop, positions: ArrayLike, burden: Burden | None = None) -> Array:
    """What gravity, loads and springs ask of the holder of each joint; (P, J) degrees | mm to (P, J) N*m | N.

    Positive where the holder must push the joint forward. A joint that follows is asked for like any other: what its
    leader's drive holds of it is told by `shaft_torques`. Who asks often gives the `burden_of` the prop, for which
    the meshes are read. PosekitError for positions that are none and meshes that cannot be read.
    """
    position = rows(positions, prop.joints, "positions")
    made = burden_of(prop) if burden is None else burden
    world = forward(prop, position, made.mechanism.tree).transpose(1, 2, 3, 0)  # (L, 4, 4, P)
    return asked_of_holders(made, world, pulls(made, world))


def pulls(burden: Burden, world: Array) -> Array:
    """Force and moment on each link by gravity, loads and springs; (L, 4, 4, P) [mm] to (L, 2, 3, P) [N, N*mm]."""
    pull = np.zeros((len(burden.mass_kg), 2, 3, world.shape[-1]))
    for i, mass in enumerate(burden.mass_kg.tolist()):
        if mass:
            force = mass * burden.gravity[:, None]
            pull[i, 0] = force
            pull[i, 1] = cross(at(world[i], burden.centre_mm[i]), force)
    for coil in burden.coils:
        for i, place, force in _spring_forces(coil, world):
            pull[i, 0] += force
            pull[i, 1] += cross(place, force)
    return pull


def asked_of_holders(burden: Burden, world: Array, pull: Array) -> Array:
    """What the holders give against pulls at the links (L, 2, 3, P), which are added up here; (P, J) N*m | N."""
    asked = np.zeros((world.shape[-1], len(burden.si)))
    for joint in burden.hung:
        own = pull[joint.child]
        pull[joint.parent] += own
        if joint.column < 0:
            continue
        frame = world[joint.child]
        axis = np.einsum("ij...,j->i...", frame[:3, :3], joint.axis)
        if joint.slides:
            along = np.einsum("ip,ip->p", axis, own[0])
        else:
            about = own[1] - cross(frame[:3, 3], own[0])
            along = np.einsum("ip,ip->p", axis, about) * M_PER_MM
        asked[:, joint.column] = -along - burden.constant[joint.column]
    return asked


def _spring_forces(coil: Coil, world: Array) -> Iterator[tuple[int, Array, Array]]:
    """Row of the link, place (3, P) [mm] and force (3, P) [N] at either end of a spring. Without length: no force."""
    one, other = (at(world[i], end) for i, end in zip(coil.links.tolist(), coil.ends, strict=True))
    apart = other - one
    length = np.sqrt(np.einsum("ip,ip->p", apart, apart))
    stretch = length - coil.free_mm
    if not coil.pushes:
        stretch = np.maximum(stretch, 0.0)
    share = np.divide(coil.rate_n_mm * stretch, length, out=np.zeros_like(length), where=length > 0.0)
    force = share * apart
    yield int(coil.links[0]), one, force
    yield int(coil.links[1]), other, -force


def at(frame: Array, point: Array) -> Array:
    """A point (3,) [mm] of a link in the world, at its frames (4, 4, P); (3, P)."""
    return np.einsum("ij...,j->i...", frame[:3, :3], point) + frame[:3, 3]


def cross(a: Array, b: Array) -> Array:
    """The product a x b of vectors (3, P); either may be (3, 1). np.cross takes ten times as long."""
    return np.stack([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])
