"""Rotations and placements as matrices. `world_from_link`: target first, so frames cancel in a product.

Every function takes one vector (3,) or many (..., 3) and gives as many results.
"""

from __future__ import annotations

from math import hypot

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.fields import Vector

# Levi-Civita symbol e: (a x v)[i] is the sum of e[i, j, k] a[j] v[k].
_LEVI_CIVITA = np.zeros((3, 3, 3))
_LEVI_CIVITA[[0, 1, 2], [1, 2, 0], [2, 0, 1]] = 1.0
_LEVI_CIVITA[[0, 2, 1], [2, 1, 0], [1, 0, 2]] = -1.0


def rotation_rpy(turn_deg: ArrayLike) -> Array:
    """Rotation (..., 3, 3) by fixed-axis roll, pitch, yaw [deg]: Rz(yaw) Ry(pitch) Rx(roll), as URDF's rpy."""
    angles = np.radians(np.asarray(turn_deg, float))
    cr, cp, cy = np.moveaxis(np.cos(angles), -1, 0)
    sr, sp, sy = np.moveaxis(np.sin(angles), -1, 0)
    rows = (
        (cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr),
        (sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr),
        (-sp, cp * sr, cp * cr),
    )
    return np.moveaxis(np.array(rows), (0, 1), (-2, -1))


def cross_matrix(axis: ArrayLike) -> Array:
    """Matrix K (..., 3, 3) with K @ v = axis x v."""
    return np.einsum("ijk,...j->...ik", _LEVI_CIVITA, np.asarray(axis, float))


def rotation_about(axis: ArrayLike, angle_deg: float) -> Array:
    """Rotation (3, 3) by an angle [deg] about one unit axis (Rodrigues' formula)."""
    angle, turn = np.radians(angle_deg), cross_matrix(axis)
    return np.asarray(np.eye(3) + np.sin(angle) * turn + (1.0 - np.cos(angle)) * (turn @ turn))


def unit(vector: ArrayLike) -> Array:
    """The vectors (..., 3) at length 1."""
    v = np.asarray(vector, float)
    return v / np.linalg.norm(v, axis=-1, keepdims=True)


def has_direction(vector: Vector) -> bool:
    """True if `unit` can bring the vector to length 1, which takes a float64 that holds its length squared."""
    return 1e-150 < hypot(*vector) < 1e150


def a_from_b(world_from_a: Array, world_from_b: Array) -> Array:
    """Frame b in frame a, both placed in the world: (..., 4, 4) each, of turns and shifts alone."""
    a_from_world = world_from_a[..., :3, :3].swapaxes(-1, -2)
    transform = np.zeros_like(world_from_a)
    transform[..., :3, :3] = a_from_world @ world_from_b[..., :3, :3]
    transform[..., :3, 3] = (a_from_world @ (world_from_b[..., :3, 3] - world_from_a[..., :3, 3])[..., None])[
        ..., 0
    ]
    transform[..., 3, 3] = 1.0
    return transform


def placement(at: ArrayLike, turn_deg: ArrayLike) -> Array:
    """Transform (..., 4, 4) to the outer frame from one placed at `at` [mm] with roll, pitch, yaw [deg]."""
    place = np.asarray(at, float)
    transform = np.zeros((*place.shape[:-1], 4, 4))
    transform[..., :3, :3] = rotation_rpy(turn_deg)
    transform[..., :3, 3] = place
    transform[..., 3, 3] = 1.0
    return transform
