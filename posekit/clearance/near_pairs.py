"""The pairs that come near in one pose, told in full: how far, where, which way, how deep."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.clearance.distance import Asked, separations_steps
from posekit.clearance.penetration import penetration_steps
from posekit.clearance.watch import Watch
from posekit.errors import Finding, error, warning
from posekit.fields import Vector
from posekit.stepwise import finished
from posekit.text import downward, exact
from posekit.transforms import a_from_b


@dataclass(frozen=True, slots=True)
class Near:
    """Two links in one pose, in the frame of the world.

    `mm` is their clearance, 0 if they touch or overlap; `depth_mm` how far link a must move along `normal`,
    a unit vector from link b to link a, until its deepest piece is free: 0 if they are apart. `point_a`
    and `point_b` [mm] are the nearest points of the two; where they overlap, the deepest ones.
    """

    pair: tuple[str, str]
    mm: float
    depth_mm: float
    point_a: Vector
    point_b: Vector
    normal: Vector

    def as_dict(self) -> dict[str, Any]:
        """As the command line and the page print it."""
        return {
            "pair": list(self.pair),
            "mm": self.mm,
            "depth_mm": self.depth_mm,
            "points": [list(self.point_a), list(self.point_b)],
            "normal": list(self.normal),
        }


def near_finding(pair: tuple[str, str], mm: float, margin_mm: float) -> Finding:
    """What to tell of a pair whose clearance is below the margin."""
    subject = f"{pair[0]} - {pair[1]}"
    if mm == 0.0:
        return error("strikes", subject, "touch or overlap in this pose")
    return warning(
        "near",
        subject,
        f"only {downward(mm)} mm apart in this pose, less than the margin of {exact(margin_mm)} mm",
    )


def near_pairs(
    watched: Watch,
    world_from_link: Array,
    within_mm: float = np.inf,
    tolerance_mm: float = 1e-6,
) -> list[Near]:
    """The pairs watched with a clearance up to `within_mm` in one pose, nearest first.

    Distances and depths are told to `tolerance_mm`, which is what curved shapes take their time for.
    `world_from_link` is (L, 4, 4) [mm]. Pairs that overlap come before all others, deepest first.
    """
    return finished(near_steps(watched, world_from_link, within_mm, tolerance_mm))


def near_steps(
    watched: Watch, world_from_link: Array, within_mm: float, tolerance_mm: float
) -> Generator[None, None, list[Near]]:
    """`near_pairs` in small steps, for callers with other work to do."""
    found = yield from separations_steps(watched, world_from_link[None], Asked(within_mm, tolerance_mm))
    told = []
    for k in np.flatnonzero(found.upper[0] <= within_mm):
        a, b = watched.links[k]
        mm, depth_mm = float(found.upper[0, k]), 0.0
        points, normal = (found.point_a[0, k], found.point_b[0, k]), found.normal[0, k]
        if mm == 0.0:
            rotation, at = world_from_link[a, :3, :3], world_from_link[a, :3, 3]
            side_a, side_b = watched.sides[k].tolist()
            placed = a_from_b(world_from_link[a], world_from_link[b])
            deep = yield from penetration_steps(watched.parts, side_a, side_b, placed, tolerance_mm)
            depth_mm, normal = deep.mm, rotation @ deep.normal
            points = (rotation @ deep.point_a + at, rotation @ deep.point_b + at)
        told.append(
            Near(
                watched.pairs[k],
                mm,
                depth_mm,
                _vector(points[0]),
                _vector(points[1]),
                _vector(normal),
            )
        )
    return sorted(told, key=lambda near: (near.mm, -near.depth_mm))


def _vector(point: Array) -> Vector:
    """A point (3,) as plain numbers."""
    x, y, z = point.tolist()
    return (x, y, z)
