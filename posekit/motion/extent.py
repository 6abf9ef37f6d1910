"""How far parts reach: the points by which a motion is judged where it shows most."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop, Shape
from posekit.prop.shapes import sources
from posekit.shape import Extent
from posekit.transforms import rotation_rpy, unit


def extents(prop: Prop) -> list[Extent]:
    """The extent of each link, in the order of `prop.links`; shapes that are drawn only count too."""
    own: list[list[Extent]] = [[] for _ in prop.links]
    for row, shape, source in sources(prop):
        own[row].append(_placed(shape, shape.form.extent(source)))
    return [_joined(parts) for parts in own]


def tips(prop: Prop, parts: list[Extent]) -> Array:
    """The point (L, 3) [mm] of each link that is farthest from what it moves about, in the frame of the link.

    That is the axis of the joint that carries it, or for a slide, a fixed joint and the root the link's origin.
    """
    carries = {joint.child: joint for joint in (*prop.joints, *prop.fixed)}
    found = np.zeros((len(prop.links), 3))
    for row, (link, part) in enumerate(zip(prop.links, parts, strict=True)):
        if not len(part.points):
            continue
        joint = carries.get(link.name)
        axis = unit(joint.axis) if joint is not None and joint.type == "revolute" else np.zeros(3)
        beside = part.points - (part.points @ axis)[:, None] * axis
        away = np.linalg.norm(beside, axis=1)
        k = int(np.argmax(away + part.radius))
        outward = beside[k] / away[k] if away[k] > 0.0 else np.array([1.0, 0.0, 0.0])
        found[row] = part.points[k] + part.radius[k] * outward
    return found


def farthest_move(
    prop: Prop, parts: list[Extent], position_from: Array, position_to: Array
) -> tuple[float, int]:
    """How far [mm] the point that moves most goes between two poses (J,), and the row of its link."""
    world = forward(prop, np.stack([position_from, position_to]))
    change = world[1] - world[0]
    moved = [_farthest(part, change[row]) for row, part in enumerate(parts)]
    most = int(np.argmax(moved))
    return moved[most], most


def _farthest(part: Extent, change: Array) -> float:
    if not len(part.points):
        return 0.0
    # A ball around a point that moves by x, in a part that turns by w, has points that move by up to x + w r.
    turn = float(np.linalg.norm(change[:3, :3], 2))
    moved = np.linalg.norm(part.points @ change[:3, :3].T + change[:3, 3], axis=1)
    return float(np.max(moved + turn * part.radius))


def _placed(shape: Shape, extent: Extent) -> Extent:
    placed = extent.points @ rotation_rpy(shape.turn).T + np.asarray(shape.at, dtype=float)
    return Extent(placed, extent.radius)


def _joined(parts: list[Extent]) -> Extent:
    return Extent(
        np.concatenate([np.empty((0, 3)), *(part.points for part in parts)]),
        np.concatenate([np.empty(0), *(part.radius for part in parts)]),
    )
