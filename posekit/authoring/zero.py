"""Another zero pose: what a joint's position is counted from, while the figure answers its channels as before."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array
from posekit.authoring.contents import Changes
from posekit.authoring.numbers import STAYS_MM, short, short_all, turn_of
from posekit.authoring.parts import joint_named, rewritten
from posekit.errors import PosekitError, error
from posekit.mechanism.joints import solve, unit_of
from posekit.prop.model import Drive, Joint, Prop
from posekit.prop.placing import hinge, joints_moved
from posekit.signal.calibration import pulses, shafts
from posekit.text import plain
from posekit.toml.editing import set_keys
from posekit.toml.places import dotted
from posekit.transforms import placement, rotation_about, unit

COUNTED = 1e-12  # of a degree or mm: what positions may be off
ROWS = 33  # of values, from low to high, at which the answer is compared


def move_zero(prop: Prop, joint: str, position: float) -> Prop:
    """The prop with a joint's 0 where it now stands at `position` [deg | mm].

    Its frame, stops and follow, the joints that follow it and the linkage of its drive go along, so that every value
    of every drive gives the picture it gave. A joint without a drive and a leader stands at 0 and so at its new one.
    Raises PosekitError for a fixed joint, and where the linkage cannot count from there.
    """
    moved = joint_named(prop, joint)
    path = ("joints", joint)
    if moved.type == "fixed":
        raise PosekitError(
            [error("wrong-kind", dotted(path), "is fixed, so it has no other position to be 0 at")]
        )
    if not np.isfinite(position):
        raise PosekitError(
            [error("wrong-value", dotted(path), f"position = {position}: a finite number is needed")]
        )
    changes = _frame(moved, position)
    if moved.stops is not None:
        changes[(*path, "stops")] = short_all(np.subtract(moved.stops, position), COUNTED)
    if moved.follow is not None:
        changes[(*path, "follow", "offset")] = short(moved.follow.offset - position, COUNTED)
    for other in prop.joints:
        if other.follow is not None and other.follow.joint == joint:
            offset = other.follow.offset + other.follow.ratio * position
            changes["joints", other.name, "follow", "offset"] = short(offset, COUNTED)
    for drive in prop.drives:
        if any(name == joint for _, name in joints_moved(drive)):
            changes |= _linkage(drive, moved, position)
    new = rewritten(prop, set_keys(prop.text, changes))
    _must_answer_alike(prop, new, moved, position)
    return new


def _frame(joint: Joint, position: float) -> Changes:
    """Where the frame of a joint stands at a position of it."""
    frame = placement(joint.at, joint.turn)
    along = unit(joint.axis)
    if joint.type == "prismatic":
        at = short_all(frame[:3, 3] + frame[:3, :3] @ along * position, STAYS_MM)
        return {("joints", joint.name, "at"): at}
    return {("joints", joint.name, "turn"): turn_of(frame[:3, :3] @ rotation_about(along, position))}


def _linkage(drive: Drive, joint: Joint, position: float) -> Changes:
    keys = drive.linkage.zero_at(position, hinge(joint))
    if keys is None:
        sentence = (
            f"moves '{joint.name}' with others and has no key for where it is 0; "
            "turn the part on its joint instead, or give the drives of their own"
        )
        raise PosekitError([error("no-zero", dotted(("drives", drive.name, "linkage")), sentence)])
    return {("drives", drive.name, "linkage", key): _short(value) for key, value in keys.items()}


def _short(value: float | tuple[float, float, float]) -> object:
    within = COUNTED / 10  # a ball's place is seen from the joint through the length of its arm
    return short_all(value, within) if isinstance(value, tuple) else short(value, within)


def _must_answer_alike(old: Prop, new: Prop, joint: Joint, position: float) -> None:
    """Raise PosekitError if the positions at any of some values are others than the new zero makes them."""
    is_driven = any(joint.name == name for drive in old.drives for _, name in joints_moved(drive))
    if not is_driven and joint.follow is None:
        return  # it stands at its new 0 now, and what follows it where that takes it
    share = np.linspace(0.0, 1.0, ROWS)[:, None]
    values = np.rint(share * np.array([drive.full_scale for drive in old.drives]))
    before, after = (_wanted(prop, values) for prop in (old, new))
    names = [each.name for each in old.joints]
    before[:, names.index(joint.name)] -= position
    if np.abs(after - before).max(initial=0.0) > 1e-6:
        sentence = (
            f"cannot be 0 where it now is {plain(position, 6)} {unit_of(joint)}: at shaft 0 its linkage would take the "
            "other of the two ways it closes; choose a position nearer to that at shaft 0"
        )
        raise PosekitError([error("no-zero", dotted(("joints", joint.name)), sentence)])


def _wanted(prop: Prop, values: Array) -> Array:
    return solve(prop, shafts(prop, pulses(prop, values))).position.copy()
