"""Places in the world, at the zero pose: all joints at 0. The picture there stays the same, whatever is placed.

Parts that come from CAD share one origin, and a builder thinks in the figure as it stands. So a joint is placed by a
point and a direction of the world, and what its frame carried is stated anew so that it stays.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from posekit.arrays import Array
from posekit.authoring.contents import Changes, at_zero, inverse, linkages_restated, restated
from posekit.authoring.lost_units import JointType, with_lost_units
from posekit.authoring.notes import moved_frame
from posekit.authoring.numbers import DIRECTION, PLACED_MM, STAYS_MM, short_all, turn_of
from posekit.authoring.parts import (
    joint_named,
    joint_to,
    link_named,
    must_be_there,
    rewritten,
    shape_of,
    subtree,
)
from posekit.errors import PosekitError, error
from posekit.prop.model import Joint, Prop
from posekit.toml.editing import move, set_keys
from posekit.toml.places import Path, dotted
from posekit.transforms import a_from_b, has_direction, placement


def place_joint(
    prop: Prop,
    joint: str,
    point: Sequence[float],
    direction: Sequence[float] | None = None,
    *,
    type: JointType | None = None,
) -> Prop:
    """The prop with a joint at a point [mm] of the world, its axis along a direction of the world.

    All stands at the zero pose, and so it stays: shapes, joints, linkages and points of notes that the joint's frame
    carried are stated anew. The linkage of the joint itself keeps its place beside it. Without `direction` the axis
    keeps its own; `type` makes it another kind of joint, and one that becomes another loses what counted in the unit
    of the old one (`lost_units`). Raises PosekitError.
    """
    placed = joint_named(prop, joint)
    world = at_zero(prop)
    parent_from_world = inverse(world[placed.parent])
    at = short_all((parent_from_world @ [*_three(joint, "point", point), 1.0])[:3], PLACED_MM)
    old, new = placement(placed.at, placed.turn), placement(at, placed.turn)
    changes = _typed(prop, placed, type)
    if tuple(at) != placed.at:
        changes["joints", joint, "at"] = at
    if direction is not None:
        given = np.array(_three(joint, "direction", direction))
        if not has_direction((given[0], given[1], given[2])):
            sentence = f"= {given.tolist()}: has no direction; use for example 0, 1, 0"
            raise PosekitError([error("wrong-value", dotted(("joints", joint, "axis")), sentence)])
        along = world[placed.child][:3, :3].T @ given
        axis = short_all(along, DIRECTION * 1e3 * float(np.linalg.norm(given)))
        if tuple(axis) != placed.axis:
            changes["joints", joint, "axis"] = axis
    # Turned as before, so that nothing the frame carries turns in it: the shift alone, exact.
    new_from_old = np.eye(4)
    new_from_old[:3, 3] = new[:3, :3].T @ (old[:3, 3] - new[:3, 3])
    changes |= restated(prop, link_named(prop, placed.child), new_from_old)
    return rewritten(prop, set_keys(prop.text, changes), moved_frame(prop, placed.child, new_from_old))


def become(prop: Prop, joint: str, type: JointType) -> Prop:
    """The prop with a joint of another type where it is; it loses figures as in `place_joint`. Raises PosekitError."""
    return rewritten(prop, set_keys(prop.text, _typed(prop, joint_named(prop, joint), type)))


def _typed(prop: Prop, joint: Joint, type: JointType | None) -> Changes:
    if type in (None, joint.type):
        return {}
    return with_lost_units(prop, {("joints", joint.name, "type"): type})[0]


def hang(prop: Prop, link: str, parent: str) -> Prop:
    """The prop with a link, and all that hangs on it, hung on another link; at the zero pose it stays where it is.

    Its joint goes with it, and so does the servo of a linkage that is stated beside it. Raises PosekitError, also
    for a link that would hang on itself.
    """
    must_be_there(prop, "links", parent)
    joint = joint_to(prop, link)
    if parent in subtree(prop, link):
        itself = "is that link itself" if parent == link else f"hangs on '{link}'"
        sentence = f"= '{parent}': {itself}; choose a link that does not"
        raise PosekitError([error("loop", dotted(("joints", joint.name, "parent")), sentence)])
    if parent == joint.parent:
        return prop
    world = at_zero(prop)
    new_from_old = a_from_b(world[parent], world[joint.parent])
    placed = a_from_b(world[parent], world[link])
    changes: Changes = {("joints", joint.name, "parent"): parent}
    changes |= _placed_anew(("joints", joint.name), placed, placement(joint.at, joint.turn))
    changes |= linkages_restated(prop, joint, new_from_old)
    return rewritten(prop, set_keys(prop.text, changes))


def move_shape(prop: Prop, link: str, number: int, to: str) -> Prop:
    """The prop with a shape moved from one link to another, behind its shapes; at the zero pose it stays where it is.

    `number` counts the shapes of the link from 0. Raises PosekitError.
    """
    shape = shape_of(prop, link, number)
    target = link_named(prop, to)
    if to == link:
        return prop
    world = at_zero(prop)
    placed = a_from_b(world[to], world[link] @ placement(shape.at, shape.turn))
    path: Path = ("links", to, "shapes", len(target.shapes))
    text = move(prop.text, ("links", link, "shapes", number), path)
    return rewritten(prop, set_keys(text, _placed_anew(path, placed, placement(shape.at, shape.turn))))


def _placed_anew(path: Path, placed: Array, old: Array) -> Changes:
    """`at` and `turn` of a placement, where they are not as they were."""
    changes: Changes = {}
    at = short_all(placed[:3, 3], STAYS_MM)
    if not np.array_equal(at, old[:3, 3]):
        changes[(*path, "at")] = at
    if np.abs(placed[:3, :3] - old[:3, :3]).max() > 1e-15:
        changes[(*path, "turn")] = turn_of(placed[:3, :3])
    return changes


def _three(joint: str, what: str, given: Sequence[float]) -> list[float]:
    numbers = np.asarray(given, float)
    if numbers.shape != (3,) or not np.isfinite(numbers).all():
        sentence = f"= {numbers.tolist()}: three finite numbers are needed; use for example 10, 0, 52.5"
        raise PosekitError([error("wrong-value", f"{dotted(('joints', joint))} {what}", sentence)])
    return [float(each) for each in numbers]
