"""Rotations and placements as matrices. `world_from_link`: target first, so that frames cancel in a product."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def rotation_rpy(turn_deg: ArrayLike) -> Array:
    """Rotation (3, 3) by fixed-axis roll, pitch, yaw [deg]: Rz(yaw) Ry(pitch) Rx(roll), as URDF's rpy."""
    roll, pitch, yaw = np.radians(np.asarray(turn_deg, float))
    (cr, cp, cy), (sr, sp, sy) = np.cos((roll, pitch, yaw)), np.sin((roll, pitch, yaw))
    return np.array(
        [
            [cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr],
            [sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr],
            [-sp, cp * sr, cp * cr],
        ]
    )


def cross_matrix(axis: ArrayLike) -> Array:
    """Matrix (3, 3) K with K @ v = axis x v."""
    x, y, z = np.asarray(axis, float)
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def unit(vector: ArrayLike) -> Array:
    """The vector (3,) at length 1."""
    v = np.asarray(vector, float)
    return v / np.linalg.norm(v)


def placement(at: ArrayLike, turn_deg: ArrayLike) -> Array:
    """Transform (4, 4) to the outer frame from one placed at `at` [mm] with `turn_deg` roll, pitch, yaw [deg]."""
    transform = np.eye(4)
    transform[:3, :3] = rotation_rpy(turn_deg)
    transform[:3, 3] = at
    return transform
