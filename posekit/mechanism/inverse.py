"""From where a part should be to the values that bring it there: the inverse of the whole chain.

Works in the independent coordinates of `mechanism.reach`, so that differentials and follow joints move as
they must, and inside their spans, so that every answer is within end points, linkages and hard stops.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.errors import PosekitError, error
from posekit.mechanism.joints import followers, linked, positions, solve, stop_limits, trains
from posekit.mechanism.kinematics import forward
from posekit.mechanism.reach import Coordinates, coordinates, joints_at
from posekit.mechanism.tree import way_to_root
from posekit.mechanism.values import values_at
from posekit.prop.model import Joint, Prop
from posekit.signal.calibration import pulses, shafts
from posekit.transforms import rotation_rpy, unit

STEPS = 40
NEAR_MM = 1e-3
# Each step tries all of these dampings at once, one row of a batch each, and keeps the best: cheaper than
# to raise and lower one damping from step to step, since a batch costs little more than one pose.
DAMPINGS = np.geomspace(1e-3, 1e2, 11)


@dataclass(frozen=True, slots=True)
class Found:
    """Values (D,) and what is left to the wish: mm for a point, degrees | mm for a joint.

    `limits` names the drives that stand at an end of what they can do.
    """

    values: Array
    off: float
    limits: tuple[str, ...]


def turn_joint(prop: Prop, values: ArrayLike, joint: str, position: float) -> Found:
    """Values that bring one joint to a position [deg | mm]; drives that do not move it keep theirs.

    A follow joint is moved by its leader. The other joints of a linkage of several drives keep their
    positions, to the step of a value: where an end of a drive would take them along, the joint stops short.
    """
    start = np.asarray(values, float)
    column = {each.name: j for j, each in enumerate(prop.joints)}
    if joint not in column:
        raise PosekitError([error("unknown-joint", joint, "is not a moving joint of this prop")])
    leader, at = joint, position
    for follower, leads in reversed(followers(prop)):
        if follower == column[leader]:
            follow = prop.joints[follower].follow
            assert follow is not None
            at = (at - follow.offset) / follow.ratio if follow.ratio else 0.0
            leader = prop.joints[leads].name
    at = float(np.clip(at, *stop_limits(prop)[column[leader]]))
    ways, u = coordinates(prop), _coordinates_at(prop, start)
    found, held = start, list[str]()
    for train in trains(prop):
        if column[leader] not in train.joints:
            continue
        drives, row = list(train.drives), train.joints.index(column[leader])
        move = np.linalg.inv(train.mix)[:, row] * (at - train.mix[row] @ u[drives])
        u[drives] += move * _share_within(ways.span[drives], u[drives], move[None])[0]
        answer = values_at(prop, u[None])[0]
        found = np.where(np.isin(np.arange(len(start)), drives), answer, start)
        held = [prop.drives[d].name for d in drives if found[d] in (0, prop.drives[d].full_scale)]
    reached = positions(prop, pulses(prop, found))[0, column[joint]]
    return Found(found, abs(float(reached) - position), tuple(held))


def reach_point(
    prop: Prop,
    values: ArrayLike,
    link: str,
    grip_mm: ArrayLike,
    target_mm: ArrayLike,
    joints: Collection[str] = (),
) -> Found:
    """Values that bring a point of a link, in the link's frame, as near to a target in the world as they can.

    Damped least squares (Wampler 1986; Nakamura and Hanafusa 1986, both from memory) from `values` (D,) on.
    Only `joints` may move, or without any named, all that carry the link. Drives that do not move it keep
    their values.
    """
    start, grip, target = (np.asarray(given, float) for given in (values, grip_mm, target_mm))
    rows = {each.name: i for i, each in enumerate(prop.links)}
    if link not in rows:
        raise PosekitError([error("unknown-link", link, "is not a part of this prop")])
    ways, together = coordinates(prop), [list(drives) for drives, _ in linked(prop)]
    moves = _moves(prop, link, joints)
    free = moves.any(axis=1)
    u = np.clip(_coordinates_at(prop, start), ways.span[:, 0], ways.span[:, 1])
    here, gap = _point(prop, ways, u[None], rows[link], grip)[0], np.inf
    for _ in range(STEPS):
        step = target - here
        gap = float(np.linalg.norm(step))
        if gap < NEAR_MM:
            break
        jacobian = _jacobian(prop, ways, u, link, here) @ moves
        # A move against an end that would have to go on is left out, so that the others take its share.
        ahead = moves * (jacobian.T @ step)
        stuck = ((u <= ways.span[:, 0])[:, None] & (ahead < 0)) | (
            (u >= ways.span[:, 1])[:, None] & (ahead > 0)
        )
        jacobian = np.where(stuck.any(axis=0), 0.0, jacobian)
        size = np.trace(jacobian @ jacobian.T)
        if size == 0.0:
            break
        damped = jacobian @ jacobian.T + (DAMPINGS * size)[:, None, None] * np.eye(3)
        steps = np.linalg.solve(damped, np.broadcast_to(step, (len(damped), 3))[..., None])[..., 0]
        tries = steps @ jacobian @ moves.T
        for drives in together:
            tries[:, drives] *= _share_within(ways.span[drives], u[drives], tries[:, drives])[:, None]
        tries = np.clip(u + tries, ways.span[:, 0], ways.span[:, 1])
        places = _point(prop, ways, tries, rows[link], grip)
        gaps = np.linalg.norm(target - places, axis=1)
        best = int(np.argmin(gaps))
        if gaps[best] >= gap - 1e-9:
            break
        u, here = tries[best], places[best]
    found = np.where(free, values_at(prop, u[None])[0], start)
    place = _point_at_values(prop, found, rows[link], grip)
    ends = (u <= ways.span[:, 0]) | (u >= ways.span[:, 1])
    held = tuple(drive.name for drive, end in zip(prop.drives, ends & free, strict=True) if end)
    return Found(found, float(np.linalg.norm(target - place)), held)


def _share_within(span: Array, u: Array, move: Array) -> Array:
    """How much of each move (N, n) from u (n,) stays within spans (n, 2), all its parts alike; (N,) of 0 to 1."""
    room = np.where(move > 0, span[:, 1] - u, u - span[:, 0])
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(move == 0, 1.0, room / np.abs(move))
    return np.asarray(np.clip(share, 0.0, 1.0).min(axis=1))


def _coordinates_at(prop: Prop, values: Array) -> Array:
    """The independent coordinates (D,) at these values."""
    shaft = shafts(prop, pulses(prop, values[None]))
    solved = solve(prop, shaft)
    u = shaft[0].copy()
    for drives, joints in linked(prop):
        if len(drives) == 1:
            u[drives[0]] = solved.position[0, joints[0]]
    return u


def _moves(prop: Prop, link: str, joints: Collection[str]) -> Array:
    """The moves that are free, as columns of coordinates; (D, M).

    Each moves one joint, or those that follow it, and no other: of those named, or of all that carry the
    link. A linkage of several drives so holds its joints that were not asked for.
    """
    carriers = {joint.name for joint in _carriers(prop, link)}
    chosen = carriers & set(joints) if joints else carriers
    asked = {j for j, joint in enumerate(prop.joints) if joint.name in chosen}
    for follower, leader in reversed(followers(prop)):
        if follower in asked:
            asked.add(leader)
    columns: list[Array] = []
    for train in trains(prop):
        for row, j in enumerate(train.joints):
            if j in asked:
                column = np.zeros(len(prop.drives))
                column[list(train.drives)] = np.linalg.inv(train.mix)[:, row]
                columns.append(column)
    return np.array(columns).reshape(-1, len(prop.drives)).T


def _carriers(prop: Prop, link: str) -> list[Joint]:
    """Moving joints between the link and the root."""
    return [joint for joint in way_to_root(prop, link) if joint.type != "fixed"]


def _point(prop: Prop, ways: Coordinates, u: Array, row: int, grip: Array) -> Array:
    """The point in the world at coordinates; (N, D) to (N, 3) mm."""
    frame = forward(prop, joints_at(ways, u))[:, row]
    return frame[:, :3, :3] @ grip + frame[:, :3, 3]


def _point_at_values(prop: Prop, values: Array, row: int, grip: Array) -> Array:
    frame = forward(prop, positions(prop, pulses(prop, values[None])))[0, row]
    return frame[:3, :3] @ grip + frame[:3, 3]


def _jacobian(prop: Prop, ways: Coordinates, u: Array, link: str, point: Array) -> Array:
    """How the point moves with each coordinate, (3, D): mm per degree | mm.

    A revolute joint moves it by axis x (point - joint), a prismatic one along its axis.
    """
    world = forward(prop, joints_at(ways, u[None]))[0]
    row = {each.name: i for i, each in enumerate(prop.links)}
    column = {each.name: j for j, each in enumerate(prop.joints)}
    by_joint = np.zeros((3, len(prop.joints)))
    for joint in _carriers(prop, link):
        parent, child = world[row[joint.parent]], world[row[joint.child]]
        axis = parent[:3, :3] @ rotation_rpy(joint.turn) @ unit(joint.axis)
        turning = np.radians(1.0) * np.cross(axis, point - child[:3, 3])
        by_joint[:, column[joint.name]] = axis if joint.type == "prismatic" else turning
    asked = ways.slope @ u + ways.offset
    held = (asked < ways.stops[:, 0]) | (asked > ways.stops[:, 1])
    return np.where(held, 0.0, by_joint) @ ways.slope
