"""The linkages of a prop as bodies in its world, at P poses at once: what of them can be drawn, and where.

A linkage stands in the frame of the part that carries its first joint. One whose file does not say where it lies is
put beside its joint, clear of it, until it does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.linkage import Hinge
from posekit.linkage.bodies import Body, across
from posekit.mechanism.joints import Mechanism, Train
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.prop.placing import hinge
from posekit.transforms import a_from_b

BESIDE = 0.7  # of how far its bodies reach from the joint
CLEAR_MM = 12.0


@dataclass(frozen=True, slots=True)
class Placed:
    """One linkage where it stands: `link` is the row of the part that carries it.

    `hinges` are those of its joints in the frame of that part, `shift` (3,) [mm] is how far it is drawn beside where
    its keys put it, and `unplaced` the keys that would say where it lies.
    """

    train: Train
    link: int
    hinges: tuple[Hinge, ...]
    shift: Array
    unplaced: tuple[str, ...]


def placed(prop: Prop, mechanism: Mechanism) -> tuple[Placed, ...]:
    """All linkages of a prop, in the order of the drives; found once for all poses."""
    world = forward(prop, np.zeros((1, len(prop.joints))), mechanism.tree)[0]
    return tuple(_placed(prop, train, world) for train in mechanism.trains)


def skeleton(found: Sequence[Placed], shafts_deg: Array, world_from_link: Array) -> list[tuple[Body, ...]]:
    """The bodies of each linkage in the world of the prop, at shafts (P, D) [deg] and links (P, L, 4, 4) [mm]."""
    return [_in_world(each, shafts_deg, world_from_link[:, each.link]) for each in found]


def points(skeletons: Sequence[tuple[Body, ...]], poses: int) -> Array:
    """The two ends and the mark of all bodies (P, B, 3, 3) [mm], one linkage after the other."""
    rows = [
        np.concatenate([body.ends, body.mark[:, None]], axis=1) for bodies in skeletons for body in bodies
    ]
    return np.stack(rows, axis=1) if rows else np.zeros((poses, 0, 3, 3))


def own_bodies(each: Placed, shafts_deg: Array) -> tuple[Body, ...]:
    """The bodies of one linkage in the frame of the part that carries it, as they are drawn; shafts (P, D) [deg]."""
    train = each.train
    own = np.clip(shafts_deg[:, list(train.drives)], *train.closes)
    return train.linkage.bodies(own[:, 0] if len(train.drives) == 1 else own, each.hinges)


def _placed(prop: Prop, train: Train, world: Array) -> Placed:
    row = {link.name: i for i, link in enumerate(prop.links)}
    joints = [prop.joints[j] for j in train.joints]
    carrier = world[row[joints[0].parent]]
    hinges = []
    for joint in joints:
        own = hinge(joint)
        carrier_from_parent = a_from_b(carrier, world[row[joint.parent]])
        at = carrier_from_parent[:3, :3] @ own.at + carrier_from_parent[:3, 3]
        axis = carrier_from_parent[:3, :3] @ own.axis
        hinges.append(Hinge(_vector(at), _vector(axis), own.slides))
    unplaced = train.linkage.unplaced()
    each = Placed(train, row[joints[0].parent], tuple(hinges), np.zeros(3), unplaced)
    if not unplaced:
        return each
    standing = own_bodies(each, np.zeros((1, len(prop.drives))))
    ends = np.concatenate([body.ends.reshape(-1, 3) for body in standing])
    reach = float(np.linalg.norm(ends - np.array(hinges[0].at), axis=1).max())
    # Out of the plane in which it moves.
    way = across(hinges[0].axis)[1] if hinges[0].slides else np.array(hinges[0].axis)
    return Placed(train, each.link, each.hinges, (BESIDE * reach + CLEAR_MM) * way, unplaced)


def _in_world(each: Placed, shafts_deg: Array, world_from_carrier: Array) -> tuple[Body, ...]:
    poses = len(shafts_deg)
    turn, place = world_from_carrier[:, None, :3, :3], world_from_carrier[:, None, :3, 3]
    out = []
    for body in own_bodies(each, shafts_deg):
        ends = np.broadcast_to(body.ends, (poses, 2, 3)) + each.shift
        mark = np.broadcast_to(body.mark, (poses, 3)) + each.shift
        moved = (turn @ np.concatenate([ends, mark[:, None]], axis=1)[..., None])[..., 0] + place
        out.append(Body(body.name, body.form, moved[:, :2], moved[:, 2], body.radius, body.grip))
    return tuple(out)


def _vector(array: Array) -> tuple[float, float, float]:
    x, y, z = array.tolist()
    return x, y, z
