"""All that a prop file states in the frame of a link, and what it says once the frame is another.

Stated so are the places of the link's shapes, loads and ends of springs and of the joints it carries, and the vectors
in the linkages of those joints' drives: with a unit they are points, without one directions. A zone, stops and
dimensions are the same in every frame; a mesh and its pieces stand in the frame of their shape.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.authoring.numbers import DIRECTION, STAYS_MM, short_all, turn_of
from posekit.fields import Vector, types_of
from posekit.linkage import Linkage
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Joint, Link, Prop
from posekit.prop.placing import joints_moved
from posekit.toml.places import Path
from posekit.transforms import a_from_b, placement

Changes = dict[Path, Any]


def at_zero(prop: Prop) -> dict[str, Array]:
    """world_from_link (4, 4) [mm] of each link with all joints at 0."""
    world = forward(prop, np.zeros((1, len(prop.joints))))[0]
    return {link.name: np.array(world[i]) for i, link in enumerate(prop.links)}


def inverse(transform: Array) -> Array:
    """The other way round, of turns and shifts alone."""
    return a_from_b(transform, np.eye(4))


def restated(prop: Prop, link: Link, new_from_old: Array) -> Changes:
    """The keys that keep all contents of a link where they are while its frame becomes another."""
    changes: Changes = {}
    for number, shape in enumerate(link.shapes):
        path: Path = ("links", link.name, "shapes", number)
        changes |= _replaced(path, shape.at, shape.turn, new_from_old)
    for joint in (*prop.joints, *prop.fixed):
        if joint.parent == link.name:
            changes |= _replaced(("joints", joint.name), joint.at, joint.turn, new_from_old)
            changes |= linkages_restated(prop, joint, new_from_old)
    for path, at in _points_on(prop, link.name):
        changes |= _changed(path, short_all((new_from_old @ [*at, 1.0])[:3], STAYS_MM), at)
    return changes


def _points_on(prop: Prop, link: str) -> Iterator[tuple[Path, Vector]]:
    """Where loads and ends of springs sit in the frame of a link, by key path."""
    for load in prop.loads:
        if load.link == link:
            yield ("loads", load.name, "at"), load.at
    for spring in prop.springs:
        for end, key, at in ((spring.link, "at", spring.at), (spring.other, "other_at", spring.other_at)):
            if end == link:
                yield ("springs", spring.name, key), at


def _replaced(path: Path, at: Vector, turn: Vector, new_from_old: Array) -> Changes:
    """`at` and `turn` under a key path, where they are others in the new frame."""
    old = placement(at, turn)
    new = new_from_old @ old
    changes: Changes = {}
    if not np.array_equal(new[:3, :3], old[:3, :3]):
        changes |= _changed((*path, "turn"), turn_of(new[:3, :3]), turn)
    # The place is the same for any turn.
    changes |= _changed((*path, "at"), short_all(new[:3, 3], STAYS_MM), at)
    return changes


def linkages_restated(prop: Prop, joint: Joint, new_from_old: Array) -> Changes:
    """The vectors of the linkages that move a joint, which stand in the frame of its parent."""
    changes: Changes = {}
    for drive in prop.drives:
        if any(name == joint.name for _, name in joints_moved(drive)):
            for key, value, is_point in vectors_of(drive.linkage):
                path: Path = ("drives", drive.name, "linkage", key)
                turned = new_from_old[:3, :3] @ value
                if is_point:
                    new = short_all(turned + new_from_old[:3, 3], STAYS_MM)
                else:
                    new = short_all(turned, DIRECTION * float(np.linalg.norm(value)))
                changes |= _changed(path, new, value)
    return changes


def vectors_of(linkage: Linkage) -> Iterator[tuple[str, Vector, bool]]:
    """Each vector of a linkage: its key, its value, and whether it is a point or a direction."""
    hints = types_of(type(linkage))
    for declared in linkage.__dataclass_fields__.values():
        value = getattr(linkage, declared.name)
        if hints[declared.name] in (Vector, Vector | None) and value is not None:
            yield declared.name, value, declared.metadata["unit"] == "mm"


def _changed(path: Path, new: list[int | float], old: Vector) -> Changes:
    return {path: new} if tuple(new) != tuple(old) else {}
