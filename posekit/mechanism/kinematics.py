"""Forward kinematics over the tree of links, for P poses at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from posekit.prop.model import Joint, Prop
from posekit.transforms import cross_matrix, rotation_rpy, unit

Array = NDArray[np.float64]


def forward(prop: Prop, positions: ArrayLike) -> Array:
    """Where every link is; (P, J) degrees | mm to (P, L, 4, 4) world_from_link, mm.

    The root link stands at the world origin.
    """
    position = np.atleast_2d(np.asarray(positions, float))
    column = {joint.name: j for j, joint in enumerate(prop.joints)}
    row = {link.name: i for i, link in enumerate(prop.links)}
    world_from_link = np.zeros((len(position), len(prop.links), 4, 4))
    world_from_link[..., 3, 3] = 1.0
    world_from_link[:, row[root_link(prop)], :3, :3] = np.eye(3)
    for joint in joints_root_first(prop):
        parent = world_from_link[:, row[joint.parent]]
        child = world_from_link[:, row[joint.child]]
        at = position[:, column[joint.name]] if joint.name in column else None
        rotation, offset = parent_from_child(joint, at)
        child[:, :3, :3] = parent[:, :3, :3] @ rotation
        child[:, :3, 3] = parent[:, :3, 3] + (parent[:, :3, :3] @ offset[..., None])[..., 0]
    return world_from_link


def parent_from_child(joint: Joint, position: Array | None) -> tuple[Array, Array]:
    """Rotation (P, 3, 3) and translation (P, 3) [mm] of the child in its parent, at each position (P,).

    A fixed joint takes None and gives (3, 3) and (3,). Rotation about an axis: Rodrigues' formula,
    R = I + sin(q) K + (1 - cos(q)) K K (any robotics text book), here already turned by the joint frame.
    """
    fixed = rotation_rpy(joint.turn)
    at = np.asarray(joint.at, float)
    if position is None:
        return fixed, at
    axis = unit(joint.axis)
    if joint.type == "prismatic":
        return np.broadcast_to(fixed, (len(position), 3, 3)), at + position[:, None] * (fixed @ axis)
    cross = cross_matrix(axis)
    angle = np.radians(position)[:, None, None]
    rotation = fixed + np.sin(angle) * (fixed @ cross) + (1.0 - np.cos(angle)) * (fixed @ cross @ cross)
    return rotation, np.broadcast_to(at, (len(position), 3))


def root_link(prop: Prop) -> str:
    """The link that hangs on no joint."""
    children = {joint.child for joint in (*prop.joints, *prop.fixed)}
    return next(link.name for link in prop.links if link.name not in children)


def joints_root_first(prop: Prop) -> list[Joint]:
    """All joints, fixed ones too, each after the joint that carries its parent."""
    by_parent: dict[str, list[Joint]] = {}
    for joint in (*prop.joints, *prop.fixed):
        by_parent.setdefault(joint.parent, []).append(joint)
    ordered: list[Joint] = []
    links = [root_link(prop)]
    while links:
        joints = by_parent.get(links.pop(0), [])
        ordered += joints
        links += [joint.child for joint in joints]
    return ordered
