"""Link poses as the nodes of glTF want them: relative to the parent, metres and unit quaternions."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from posekit.arrays import Array
from posekit.mechanism.tree import joints_root_first
from posekit.prop.model import Prop
from posekit.transforms import a_from_b

# Ours has x to the front, y to the left, z up; glTF 2.0 has z to the front, x to the left, y up: an even
# permutation of the axes, a third of a turn about (1, 1, 1).
GLTF_FROM_OURS = [-0.5, -0.5, -0.5, 0.5]
METRES_PER_MM = 1e-3


def parents(prop: Prop) -> NDArray[np.int64]:
    """Row of the parent of each link (L,); -1 for the root."""
    row = {link.name: i for i, link in enumerate(prop.links)}
    parent = np.full(len(prop.links), -1)
    for joint in joints_root_first(prop):
        parent[row[joint.child]] = row[joint.parent]
    return parent


def parent_from_links(prop: Prop, world_from_link: Array) -> Array:
    """Each link in its parent, the root in the world; (..., L, 4, 4) world_from_link to the same, mm."""
    parent = parents(prop)
    hung = parent >= 0
    local = np.array(world_from_link, float)
    local[..., hung, :, :] = a_from_b(world_from_link[..., parent[hung], :, :], local[..., hung, :, :])
    return local


def translation(frames: Array) -> Array:
    """Translation (..., 3) [m] of frames (..., 4, 4) [mm]."""
    return _tidy(frames[..., :3, 3] * METRES_PER_MM)


def quaternion(frames: Array) -> Array:
    """Unit quaternion x, y, z, w (..., 4) with w >= 0 of frames (..., 4, 4).

    The entries of a rotation matrix give 4 q q^T; its row with the largest diagonal is the quaternion
    times a factor that is never small (Shepperd 1978, from memory).
    """
    (xx, xy, xz), (yx, yy, yz), (zx, zy, zz) = np.moveaxis(frames[..., :3, :3], (-2, -1), (0, 1))
    outer = np.array(
        [
            [1 + xx - yy - zz, xy + yx, xz + zx, zy - yz],
            [xy + yx, 1 - xx + yy - zz, yz + zy, xz - zx],
            [xz + zx, yz + zy, 1 - xx - yy + zz, yx - xy],
            [zy - yz, xz - zx, yx - xy, 1 + xx + yy + zz],
        ]
    )
    outer = np.moveaxis(outer, (0, 1), (-2, -1))
    largest = np.argmax(np.diagonal(outer, axis1=-2, axis2=-1), axis=-1)
    row = np.take_along_axis(outer, largest[..., None, None], axis=-2)[..., 0, :]
    unit = row / np.linalg.norm(row, axis=-1, keepdims=True)
    return _tidy(np.where(unit[..., 3:] < 0, -unit, unit))


def continuous(quaternions: ArrayLike) -> Array:
    """The same turns (T, 4), each with the sign nearer to the one before."""
    q = np.asarray(quaternions, float)
    same_side = np.einsum("ti,ti->t", q[1:], q[:-1]) >= 0
    return q * np.cumprod(np.concatenate(([1.0], np.where(same_side, 1.0, -1.0))))[:, None]


def _tidy(numbers: Array) -> Array:
    """Rounded to a nanometre, far below the float32 of a viewer: the last bits carry nothing. No -0.0."""
    return np.round(numbers, 9) + 0.0
