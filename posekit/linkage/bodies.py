"""What a linkage is made of, as bodies that can be drawn: bars, balls and wheels, at P poses at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from posekit.arrays import Array
from posekit.fields import Vector
from posekit.transforms import cross_matrix, unit

# How thick they are drawn [mm]: as such parts are (common practice); no formula uses them.
ROD_MM, ARM_MM, BALL_MM, SHAFT_MM = 1.2, 2.2, 2.8, 3.0
WHEEL_WIDTH_MM = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """One body at P poses, in the frame of its linkage.

    bar: a capsule of `radius` [mm] between its two `ends` (P, 2, 3) [mm]; a ball where they are the same. wheel: a
    disc of `radius` about the line from one end to the other, turned so that its `mark` (P, 3), a point on its rim,
    is where it is; of a bar the mark is its first end. `grip` names the point that can be dragged there, if any: a
    body with one is a ball.
    """

    name: str
    form: Literal["bar", "wheel"]
    ends: Array
    mark: Array
    radius: float
    grip: str = ""


def bar(name: str, start: Array, end: Array, radius: float = ARM_MM) -> Body:
    """A bar from point to point, each (P, 3) or the same for all poses (3,)."""
    start, end = np.broadcast_arrays(start, end)
    return Body(name, "bar", np.stack([start, end], axis=-2), start.copy(), radius)


def ball(name: str, at: Array, grip: str = "", radius: float = BALL_MM) -> Body:
    """A ball (P, 3), which can be dragged by the name `grip`."""
    return Body(name, "bar", np.stack([at, at], axis=-2), at.copy(), radius, grip)


def wheel(
    name: str, middle: Array, axis: Array, out: Array, radius: float, width: float = WHEEL_WIDTH_MM
) -> Body:
    """A disc about `axis`, its mark in the direction `out`, both unit vectors; (P, 3) or (3,) each."""
    middle, axis, out = np.broadcast_arrays(middle, axis, out)
    half = axis * (width / 2)
    return Body(
        name, "wheel", np.stack([middle - half, middle + half], axis=-2), middle + radius * out, radius
    )


def across(axis: Vector | Array, wanted: Vector | Array | None = None) -> tuple[Array, Array]:
    """Two unit vectors that with a unit `axis` make a right-handed frame: x, y, axis.

    x is what of `wanted` lies across the axis; without any, of the frame's axis that lies across it most.
    """
    along = np.asarray(axis, float)
    start = np.eye(3)[np.argmin(np.abs(along))] if wanted is None else np.asarray(wanted, float)
    x = unit(start - along * (start @ along))
    return x, cross_matrix(along) @ x


def round_about(x: Array, y: Array, angle_deg: Array) -> Array:
    """The directions (P, 3) at angles (P,) [deg] from x to y."""
    angle = np.radians(angle_deg)[..., None]
    return np.cos(angle) * x + np.sin(angle) * y


def tenths(point: Array) -> Vector:
    """A point in whole tenths of a millimetre, as parts are drilled."""
    x, y, z = (round(float(each), 1) + 0.0 for each in point)
    return x, y, z


def tenth(length: float) -> float:
    """A length in whole tenths of a millimetre; one at least."""
    return max(round(length, 1), 0.1)
