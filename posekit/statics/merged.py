"""Joints that turn about parallel axes one after the other tilt what hangs beyond them by their sum alone.

Between the root and a servo's own joint only the tilt matters to it, not the place. So of a neck of three such joints
one is looked at, which goes as far as all of them together, and the others stand still: a box of three sides fewer.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from posekit.mechanism.reach import Coordinates
from posekit.mechanism.tree import way_to_root
from posekit.statics.boxes import Question
from posekit.transforms import rotation_rpy, unit

PARALLEL = 1e-12


def merged(asked: Question) -> Question | None:
    """The same question with parallel joints before the servo's own as one; None where there are none.

    Its coordinates are no longer shafts, so that its boxes have no values.
    """
    if asked.holds:
        return None
    below = asked.reach.below
    top = min(asked.own.tolist(), key=lambda j: int(below[:, j].sum()))
    if not all(j == top or below[top, j] for j in asked.own.tolist()):
        return None
    groups = [group for group in _groups(asked, top) if len(group) > 1]
    if not groups:
        return None
    ways = asked.ways
    own, span, table = ways.joints, ways.span.copy(), list(ways.table)
    slope, stops = own.slope.copy(), own.stops.copy()
    for group in groups:
        drives = [d for j, _ in group if (d := _alone(own, j)) is not None]
        (kept, _), first = group[0], drives[0]
        ends = sum(np.sort(sign * own.span[d]) for d, (_, sign) in zip(drives, group, strict=True))
        for d, (j, _) in zip(drives, group, strict=True):
            span[d], table[d] = 0.0, None
            slope[j, d] = 0.0
            # Its range, stops and all, is in the sum: no stop may hold it anywhere but at 0.
            stops[j] = (-np.inf, np.inf)
        span[first], slope[kept, first] = ends, 1.0
    joints = Coordinates(own.span, slope, own.offset, stops)
    moving = span[asked.drives, 1] > span[asked.drives, 0]
    new = replace(ways, span=span, table=tuple(table), joints=joints)
    return replace(asked, ways=new, drives=asked.drives[moving])


def _groups(asked: Question, top: int) -> list[list[tuple[int, float]]]:
    """Runs of parallel joints between the root and a joint, each column with its sign against the first of its run."""
    prop, own = asked.prop, asked.ways.joints
    column = {joint.name: j for j, joint in enumerate(prop.joints)}
    groups: list[list[tuple[int, float]]] = []
    axis = None  # of the run, in the frame of the part at hand
    for joint in way_to_root(prop, prop.joints[top].parent):
        j = column.get(joint.name, -1)
        if j >= 0 and joint.type == "revolute":
            along = unit(joint.axis)
            if _alone(own, j) is None:
                axis = None
            elif axis is not None and np.linalg.norm(np.cross(axis, along)) < PARALLEL:
                groups[-1].append((j, float(np.sign(axis @ along))))
            else:
                groups.append([(j, 1.0)])
                axis = along
        axis = None if axis is None else rotation_rpy(joint.turn) @ axis
    return groups


def _alone(own: Coordinates, j: int) -> int | None:
    """The drive that moves a joint and nothing else, as its coordinate says; None if there is none."""
    drives = np.flatnonzero(own.slope[j])
    if len(drives) != 1 or np.count_nonzero(own.slope[:, drives[0]]) != 1:
        return None
    return int(drives[0]) if own.slope[j, drives[0]] == 1.0 and own.offset[j] == 0.0 else None
