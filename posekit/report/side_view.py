"""A joint as somebody sees it who looks along its axis: outlines of what stands and what moves, and its pointer.

Seen against the axis, so that a turn the positive way goes counter-clockwise; a slide is seen from the side of the
prop, or from the front where it runs from side to side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.mechanism.kinematics import forward
from posekit.mechanism.tree import joints_root_first
from posekit.output.silhouette import Loops, silhouette
from posekit.prop.model import Joint, Prop
from posekit.prop.shapes import sources
from posekit.transforms import placement, unit

ROOM = 0.12  # of the picture, around what moves
LEAST_MM = 40.0  # a side of the picture where nothing is drawn
SEEN_FROM = (
    ((1, 0, 0), "the front"), ((-1, 0, 0), "behind"), ((0, 1, 0), "the left"), ((0, -1, 0), "the right"),
    ((0, 0, 1), "above"), ((0, 0, -1), "below"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Drawn:
    """All triangles that a prop draws, by link, in its frame: (F, 3, 3) [mm] each."""

    of_link: tuple[Array, ...]


@dataclass(frozen=True, slots=True)
class SideView:
    """One joint in P poses, in a square of side 1 with y upwards.

    `stands` are the outlines of the part that holds the joint, and `moves` of all that it carries, pose by pose. The
    pointer goes from `pivot` (2,) to `tips` (P, 2), the place of what reaches farthest; for a slide it goes from
    where that is in the first pose.
    """

    seen_from: str
    pivot: Array
    tips: Array
    stands: tuple[Loops, ...]
    moves: tuple[Loops, ...]


def drawn(prop: Prop) -> Drawn:
    """The triangles of a prop. Raises PosekitError for a mesh that cannot be used."""
    found: list[list[Array]] = [[] for _ in prop.links]
    for row, shape, source in sources(prop):
        if shape.drawn:
            vertices, faces = shape.form.triangles(source)
            link_from_shape = placement(shape.at, shape.turn)
            found[row].append((vertices @ link_from_shape[:3, :3].T + link_from_shape[:3, 3])[faces])
    return Drawn(tuple(np.concatenate(each) if each else np.empty((0, 3, 3)) for each in found))


def side_view(prop: Prop, triangles: Drawn, joint: Joint, positions: Array) -> SideView:
    """A joint seen in poses at positions (P, J) [deg | mm]."""
    world = forward(prop, positions)
    row = {link.name: i for i, link in enumerate(prop.links)}
    carried, holding = _carried(prop, joint), _holding(prop, joint)
    child = world[:, row[joint.child]]
    sight, across, up = _sight(joint, child[0])
    flat = np.stack([across, up])
    placed = [
        [
            (corners @ pose[i, :3, :3].T + pose[i, :3, 3]) @ flat.T
            for i, corners in enumerate(triangles.of_link)
        ]
        for pose in world
    ]
    moving = [np.concatenate([pose[row[name]] for name in carried]) for pose in placed]
    standing = [np.concatenate([pose[row[name]] for name in holding]) for pose in placed]
    pivots = child[:, :3, 3] @ flat.T
    points = np.concatenate([pivots, *(each.reshape(-1, 2) for each in moving)])
    low, high = points.min(axis=0), points.max(axis=0)
    side = max(float((high - low).max()) * (1 + 2 * ROOM), LEAST_MM)
    corner = (low + high) / 2 - side / 2
    far = _far(moving[0], pivots[0])
    local = child[0, :3, :3].T @ (np.array([across, up]).T @ (far - pivots[0]))
    tips = np.array([pose[:3, 3] + pose[:3, :3] @ local for pose in child]) @ flat.T
    return SideView(
        seen_from=_words(sight),
        pivot=(pivots[0] - corner) / side,
        tips=(tips - corner) / side,
        stands=tuple(silhouette((each - corner) / side) for each in standing),
        moves=tuple(silhouette((each - corner) / side) for each in moving),
    )


def _carried(prop: Prop, joint: Joint) -> list[str]:
    """The links that move with a joint, nearest first."""
    names = [joint.child]
    for other in joints_root_first(prop):
        if other.parent in names:
            names.append(other.child)
    return names


def _holding(prop: Prop, joint: Joint) -> list[str]:
    """The link that holds a joint, and what is fixed on it."""
    names = [joint.parent]
    for other in joints_root_first(prop):
        if other.type == "fixed" and other.parent in names:
            names.append(other.child)
    return names


def _sight(joint: Joint, world_from_child: Array) -> tuple[Array, Array, Array]:
    """The way towards the eye, to its right, and up: unit vectors in the world."""
    axis = world_from_child[:3, :3] @ unit(joint.axis)
    sight = axis if joint.type == "revolute" else _aside(axis)
    # Up in the picture is up in the world, or for a view from above the front.
    upright = np.array([0.0, 0.0, 1.0]) if abs(sight[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    up = unit(upright - (upright @ sight) * sight)
    return sight, np.cross(up, sight), up


def _aside(axis: Array) -> Array:
    """A level view that shows a way along an axis: from the left, or from the front where it runs from side to side."""
    view = np.array([0.0, 1.0, 0.0]) if abs(axis[1]) < 0.7 else np.array([1.0, 0.0, 0.0])
    return np.asarray(unit(view - (view @ axis) * axis))


def _far(moving: Array, pivot: Array) -> Array:
    """The point (2,) of what moves that is farthest from the pivot."""
    points = moving.reshape(-1, 2)
    if not len(points):
        return pivot + np.array([0.0, LEAST_MM / 3])
    away = np.linalg.norm(points - pivot, axis=1)
    return np.asarray(points[np.argmax(away)]) if away.max() > 0 else pivot + np.array([0.0, LEAST_MM / 3])


def _words(sight: Array) -> str:
    """From where one looks, in words; two where it lies between them."""
    near = sorted(((float(sight @ np.array(way)), words) for way, words in SEEN_FROM), reverse=True)
    (most, first), (next_most, second) = near[0], near[1]
    return f"{first} and {second}" if next_most > 0.38 * most else first  # about 20 degrees off
