"""What lies between two links: the joints on the way from one to the other, and nothing else of the prop."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from posekit.arrays import Array
from posekit.mechanism.kinematics import Tree, forward, tree_of
from posekit.mechanism.reach import Coordinates, joints_at
from posekit.mechanism.tree import way_to_root
from posekit.prop.model import Prop
from posekit.transforms import rotation_rpy, unit


@dataclass(frozen=True, slots=True)
class Chain:
    """The m moving joints on the way from link a to link b, in that order.

    `part` is the prop cut down to this way, so that `forward(part, ...)` poses it alone; `row_a` and
    `row_b` are the two links in it. Joint i is column `joint[i]` of the whole prop and `column[i]` of
    `part`; `sign[i]` is +1 where b hangs on its child side and -1 where a does. `drives` are the columns
    of the C coordinates that move anything here, and `own` is what these do to the m joints.
    """

    part: Prop
    row_a: int
    row_b: int
    joint: tuple[int, ...]
    column: tuple[int, ...]
    sign: tuple[float, ...]
    drives: tuple[int, ...]
    own: Coordinates
    tree: Tree


@dataclass(frozen=True, slots=True)
class Axes:
    """Where the m joints of a chain stand at N poses: origin and unit direction (N, m, 3) [mm] in the world."""

    origin: Array
    direction: Array


def chain_between(prop: Prop, ways: Coordinates, link_a: str, link_b: str) -> Chain:
    """The chain between two links of a prop whose coordinates are `ways`."""
    up_a, up_b = way_to_root(prop, link_a), way_to_root(prop, link_b)
    # Ends: both ways grow shorter.
    while up_a and up_b and up_a[-1] is up_b[-1]:
        up_a.pop()
        up_b.pop()
    moving = {joint.name: j for j, joint in enumerate(prop.joints)}
    way = [(joint, -1.0) for joint in up_a] + [(joint, 1.0) for joint in reversed(up_b)]
    signs = {joint.name: sign for joint, sign in way}
    used = {joint.name for joint, _ in way}
    names = {link_a, link_b} | {joint.parent for joint, _ in way} | {joint.child for joint, _ in way}
    part = replace(
        prop,
        links=tuple(link for link in prop.links if link.name in names),
        joints=tuple(joint for joint in prop.joints if joint.name in used),
        fixed=tuple(joint for joint in prop.fixed if joint.name in used),
        drives=(),
        files={},
        text="",
    )
    row = {link.name: i for i, link in enumerate(part.links)}
    column = {joint.name: j for j, joint in enumerate(part.joints)}
    ordered = [joint.name for joint, _ in way if joint.name in moving]
    joints = tuple(moving[name] for name in ordered)
    touched = np.abs(ways.slope[list(joints)]).sum(axis=0) > 0
    free = np.ptp(ways.span, axis=1) > 0
    drives = np.flatnonzero(touched & free)
    # A coordinate that cannot move still says where its joints stand.
    standing = np.where(free, 0.0, ways.span.mean(axis=1))
    own = Coordinates(
        span=ways.span[drives],
        slope=ways.slope[list(joints)][:, drives],
        offset=ways.offset[list(joints)] + ways.slope[list(joints)] @ standing,
        stops=ways.stops[list(joints)],
    )
    return Chain(
        part=part,
        row_a=row[link_a],
        row_b=row[link_b],
        joint=joints,
        column=tuple(column[name] for name in ordered),
        sign=tuple(signs[name] for name in ordered),
        drives=tuple(drives.tolist()),
        own=own,
        tree=tree_of(part),
    )


def chain_poses(chain: Chain, u: Array) -> tuple[Array, Axes]:
    """World transforms (N, L', 4, 4) of the chain's links and its joint axes, at coordinates u (N, C)."""
    position = joints_at(chain.own, u)
    by_column = np.empty_like(position)
    by_column[:, list(chain.column)] = position
    world_from_link = forward(chain.part, by_column, chain.tree)
    row = {link.name: i for i, link in enumerate(chain.part.links)}
    joints = [chain.part.joints[column] for column in chain.column]
    world_from_parent = world_from_link[:, [row[joint.parent] for joint in joints]]
    at = np.array([joint.at for joint in joints]).reshape(-1, 3)
    along = np.array([rotation_rpy(joint.turn) @ unit(joint.axis) for joint in joints]).reshape(-1, 3)
    turn = world_from_parent[..., :3, :3]
    origin = np.einsum("nmij,mj->nmi", turn, at) + world_from_parent[..., :3, 3]
    return world_from_link, Axes(origin, np.einsum("nmij,mj->nmi", turn, along))
