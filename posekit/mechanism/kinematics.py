"""Forward kinematics over the tree of links, for P poses at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.fields import Vector
from posekit.mechanism.tree import joints_root_first, root_link
from posekit.prop.model import Joint, Prop
from posekit.signal.batch import rows
from posekit.transforms import cross_matrix, placement, unit


def forward(prop: Prop, positions: ArrayLike) -> Array:
    """Where every link is; (P, J) degrees | mm to (P, L, 4, 4) world_from_link, mm.

    The root link stands at the world origin.
    """
    position = rows(positions, prop.joints, "positions")
    row = {link.name: i for i, link in enumerate(prop.links)}
    joints = joints_root_first(prop)
    parent_from_child = joint_transforms(prop, joints, position)
    world_from_link = np.empty((len(prop.links), len(position), 4, 4))
    world_from_link[row[root_link(prop)]] = np.eye(4)
    for joint, transform in zip(joints, parent_from_child, strict=True):
        np.matmul(world_from_link[row[joint.parent]], transform, out=world_from_link[row[joint.child]])
    return world_from_link.swapaxes(0, 1)


def joint_transforms(prop: Prop, joints: Sequence[Joint], position: Array) -> Array:
    """parent_from_child (N, P, 4, 4) of N joints of the prop at positions (P, J) [deg | mm].

    A turn about a unit axis with cross matrix K is I + sin(q) K + (1 - cos(q)) K K (Rodrigues' formula, any
    robotics text book), a slide is q times the axis: both are sums of constant matrices, so all poses of a
    joint are one matrix product of (P, 3) with (3, 16).
    """
    column = {joint.name: j for j, joint in enumerate(prop.joints)}
    columns = np.array([column.get(joint.name, -1) for joint in joints], int)
    slides = np.array([joint.type == "prismatic" for joint in joints], bool)
    with_still = np.append(
        position, np.zeros((len(position), 1)), axis=1
    )  # column -1: fixed joints stay at 0
    q = with_still[:, columns].T
    turn = np.radians(np.where(slides[:, None], 0.0, q))
    fixed = placement(_rows(joint.at for joint in joints), _rows(joint.turn for joint in joints))
    axis, rotation = unit(_rows(joint.axis for joint in joints)), fixed[:, :3, :3]
    cross = cross_matrix(axis)
    parts = np.zeros((len(joints), 3, 4, 4))
    parts[:, 0, :3, :3], parts[:, 1, :3, :3] = rotation @ cross, rotation @ cross @ cross
    parts[:, 2, :3, 3] = slides[:, None] * (rotation @ axis[..., None])[..., 0]
    moved = np.stack([np.sin(turn), 1.0 - np.cos(turn), q], axis=-1)
    transforms = (moved @ parts.reshape(-1, 3, 16)).reshape(*q.shape, 4, 4)
    transforms += fixed[:, None]
    return transforms


def _rows(vectors: Iterable[Vector]) -> Array:
    return np.array(list(vectors), float).reshape(-1, 3)
