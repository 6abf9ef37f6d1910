"""Forward kinematics over the tree of links, for P poses at once.

All poses of a link are arrays of components whose last axis is the pose: a joint then costs a handful of array
calls, however many poses there are. A joint is a constant placement and a turn about, or a slide along, one axis of
its frame: a turn by q mixes two columns of the matrix with cos q and sin q (any robotics text book), twelve
multiplications. An axis that is none of the frame's is made its z by a constant rotation, and a second one turns the
link back.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.fields import Vector
from posekit.mechanism.tree import joints_root_first, root_link
from posekit.prop.model import Prop
from posekit.signal.batch import rows
from posekit.transforms import placement, unit

# Poses at a time: many enough that array calls cost little of them, few enough that a link and its parent stay in
# the cache (96 bytes a pose each).
BLOCK = 8192
# The two columns that a turn about each axis mixes.
MIXED = (slice(1, 3), slice(0, 3, 2), slice(0, 2))
Y, Z = 1, 2


@dataclass(frozen=True, slots=True)
class Step:
    """From one frame to the next: a constant placement, then a turn or slide by a joint's position.

    `parent` and `child` are rows of the links. The placement is `turned` (4, 4), transposed, or where it does not
    turn `shifts`, (axis, mm) for each axis along which it goes. `axis` is that of the frame about which or along
    which column `joint` of the positions moves it; with kind "none" no joint does.
    """

    parent: int
    child: int
    turned: Array | None
    shifts: tuple[tuple[int, float], ...]
    kind: Literal["turn", "slide", "none"] = "none"
    joint: int = -1
    axis: int = Z


@dataclass(frozen=True, slots=True)
class Tree:
    """The links of a prop as the steps from the root out, found once for all poses.

    `sign` (J,) is -1 for a joint that goes the other way about or along the axis of its step, else 1.
    """

    links: int
    root: int
    steps: tuple[Step, ...]
    sign: Array


def tree_of(prop: Prop) -> Tree:
    """The steps from the root of a prop out to its links."""
    row = {link.name: i for i, link in enumerate(prop.links)}
    column = {joint.name: j for j, joint in enumerate(prop.joints)}
    joints = joints_root_first(prop)
    fixed = placement(_rows(joint.at for joint in joints), _rows(joint.turn for joint in joints))
    direction = unit(_rows(joint.axis for joint in joints))
    steps: list[Step] = []
    sign = np.ones(len(prop.joints))
    for place, along, joint in zip(fixed, direction, joints, strict=True):
        parent, child = row[joint.parent], row[joint.child]
        if joint.type == "fixed":
            steps.append(_step(parent, child, place))
            continue
        kind: Literal["turn", "slide"] = "slide" if joint.type == "prismatic" else "turn"
        axis, j = int(np.argmax(np.abs(along))), column[joint.name]
        if abs(along[axis]) == 1.0:
            # Of the columns z and x, which a turn about y mixes, x comes first here: the other way round.
            sign[j] = -along[axis] if kind == "turn" and axis == Y else along[axis]
            steps.append(_step(parent, child, place, kind, j, axis))
            continue
        to_axis = with_z_along(along)
        steps.append(_step(parent, child, place @ to_axis, kind, j))
        steps.append(_step(child, child, to_axis.T))
    return Tree(len(prop.links), row[root_link(prop)], tuple(steps), sign)


def _rows(vectors: Iterable[Vector]) -> Array:
    return np.array(list(vectors), float).reshape(-1, 3)


def with_z_along(direction: Array) -> Array:
    """A turn (4, 4) that brings z to a unit vector."""
    aside = unit(np.cross(np.eye(3)[np.argmin(np.abs(direction))], direction))
    turned = np.eye(4)
    turned[:3, :3] = np.column_stack([aside, np.cross(direction, aside), direction])
    return turned


def _step(
    parent: int,
    child: int,
    fixed: Array,
    kind: Literal["turn", "slide", "none"] = "none",
    joint: int = -1,
    axis: int = Z,
) -> Step:
    (xx, xy, xz, x), (yx, yy, yz, y), (zx, zy, zz, z), _ = fixed.tolist()
    if (xx, yy, zz) == (1.0, 1.0, 1.0) and not any((xy, xz, yx, yz, zx, zy)):
        return Step(
            parent, child, None, tuple((i, d) for i, d in enumerate((x, y, z)) if d), kind, joint, axis
        )
    return Step(parent, child, np.ascontiguousarray(fixed.T), (), kind, joint, axis)


def forward(prop: Prop, positions: ArrayLike, tree: Tree | None = None) -> Array:
    """Where every link is; (P, J) degrees | mm to (P, L, 4, 4) world_from_link, mm.

    The root link stands at the world origin. Who poses often gives `tree`, the `tree_of` the prop. The poses are
    the last axis in memory, so that component after component of all poses is read quickest.
    """
    position = rows(positions, prop.joints, "positions")
    tree = tree_of(prop) if tree is None else tree
    # Columns before rows: those of a link are read and written one by one.
    world = np.empty((tree.links, 4, 4, len(position)))
    world[:, :3, 3] = 0.0
    world[:, 3, 3] = 1.0
    world[tree.root] = np.eye(4)[..., None]
    for begin in range(0, len(position), BLOCK):
        part = slice(begin, begin + BLOCK)
        _place(tree, position[part].T * tree.sign[:, None], world[:, :, :3, part])
    return world.transpose(3, 0, 2, 1)


def _place(tree: Tree, position: Array, columns: Array) -> None:
    """Fill the columns (L, 4, 3, P) of all links but the root, at joint positions (J, P) times their signs."""
    angle = np.radians(position)
    sine, cosine = np.sin(angle), np.cos(angle)
    some = np.empty((2, 3, position.shape[1]))
    for step in tree.steps:
        own, base = columns[step.child], columns[step.parent]
        if step.turned is not None:
            before = base.swapaxes(0, 1)
            # Not over itself while it is read.
            before = before.copy() if step.parent == step.child else before
            np.matmul(step.turned, before, out=own.swapaxes(0, 1))
            base = own
        else:
            start = base[3]
            for axis, along in step.shifts:
                np.multiply(base[axis], along, out=some[0])
                start = np.add(start, some[0], out=own[3])
            if not step.shifts:
                own[3] = start
        if step.kind == "turn":
            one, other = MIXED[step.axis], own[MIXED[step.axis]]
            np.multiply(base[one], sine[step.joint], out=some)
            np.multiply(base[one], cosine[step.joint], out=other)
            other[0] += some[1]
            other[1] -= some[0]
            if base is not own:
                own[step.axis] = base[step.axis]
            continue
        if base is not own:
            own[:3] = base[:3]
        if step.kind == "slide":
            np.multiply(base[step.axis], position[step.joint], out=some[0])
            own[3] += some[0]
