"""Bodies of bevel wheels on crossing axes: a differential of two shafts, a head on three nested shafts.

Wheels in mesh have the same speed where they touch, which makes their radii of their ratio. Where the axes of the
joints do not cross, the wheels stand about the point of the first one as if they did.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from posekit.arrays import Array
from posekit.linkage.bodies import ARM_MM, Body, across, bar, round_about, wheel
from posekit.linkage.protocol import LEAST_ACROSS, Hinge

BEVEL_MM, FREE_MM = 9.0, 6.0
BEVEL_WIDTH_MM = 2.5
LENGTHS_MM = (14.0, 22.0, 30.0)  # of nested shafts below the head, outer to inner
RADII_MM = (4.5, 3.2, 1.8)


def bevel_differential(shaft_deg: Array, hinges: Sequence[Hinge]) -> tuple[Body, ...]:
    """A side wheel on each shaft, both about the axis of the sum, and one between them about that of the difference.

    The wheel between them rolls on both, so that it is carried by half of what both turn and spun by half of what
    they turn against each other.
    """
    sums, differences = hinges
    axis, at = np.array(sums.axis), np.array(sums.at)
    out, aside = _crossing(sums, differences)
    a, b = np.moveaxis(shaft_deg, -1, 0)
    carried = round_about(out, aside, (a + b) / 2)
    # It sits on the far side of the carrier: on the near one it would be spun the other way about this direction.
    between = at - BEVEL_MM * carried
    spun = _turned(np.broadcast_to(axis, carried.shape), carried, (a - b) / 2)
    return (
        _bevel("wheel of this drive", at + BEVEL_MM * axis, axis, round_about(out, aside, a), BEVEL_MM),
        _bevel("wheel of the partner", at - BEVEL_MM * axis, axis, round_about(out, aside, b), BEVEL_MM),
        _bevel("wheel between them", between, carried, spun, BEVEL_MM),
        bar("carrier", between, at + BEVEL_MM * carried, ARM_MM),
    )


def bevel_head(
    shaft_deg: Array, joint_deg: Array, ratios: tuple[float, float], hinges: Sequence[Hinge]
) -> tuple[Body, ...]:
    """Three nested shafts below the nod axis; on it the wheel that nods, and one that runs free and turns the roll.

    `shaft_deg` are the outer, middle and inner shaft, `joint_deg` pan, nod and roll, `ratios` those of nod and roll.
    """
    pan, nod, _ = hinges
    axis, heart = np.array(pan.axis), np.array(nod.at)
    out, aside = _crossing(pan, nod)
    outer, middle, inner = np.moveaxis(shaft_deg, -1, 0)
    panned, nodded, rolled = np.moveaxis(joint_deg, -1, 0)
    side = round_about(out, aside, panned)  # the nod axis, taken round by the pan
    front = round_about(aside, -out, panned)
    ahead = _turned(front, side, nodded)  # the roll axis
    nod_mm, roll_mm = BEVEL_MM * abs(ratios[0]), FREE_MM * abs(ratios[1])
    # With a negative ratio wheels touch on the other side, where they turn the other way.
    nod_side, roll_side = (side if ratio > 0.0 else -side for ratio in ratios)
    turned = [round_about(out, aside, shaft) for shaft in (outer, middle, inner)]
    tops = (heart - (nod_mm + 2 * BEVEL_WIDTH_MM) * axis, heart - nod_mm * axis, heart - FREE_MM * axis)
    shafts = zip(
        ("outer shaft", "middle shaft", "inner shaft"), tops, turned, RADII_MM, LENGTHS_MM, strict=True
    )
    free = _turned(front, side, inner - outer)
    return (
        *(
            wheel(name, top - axis * long / 2, axis, mark, radius, long)
            for name, top, mark, radius, long in shafts
        ),
        _bevel("bevel of the middle shaft", tops[1], axis, turned[1], BEVEL_MM),
        _bevel("bevel of the inner shaft", tops[2], axis, turned[2], FREE_MM),
        _bevel("wheel of the nod", heart + BEVEL_MM * nod_side, side, ahead, nod_mm),
        _bevel("wheel that runs free", heart + FREE_MM * side, side, free, FREE_MM),
        _bevel("its other face", heart - roll_mm * roll_side, side, free, FREE_MM),
        _bevel("wheel of the roll", heart + FREE_MM * ahead, ahead, _turned(side, ahead, rolled), roll_mm),
    )


def _bevel(name: str, middle: Array, axis: Array, out: Array, radius: float) -> Body:
    return wheel(name, middle, axis, out, radius, BEVEL_WIDTH_MM)


def _crossing(first: Hinge, second: Hinge) -> tuple[Array, Array]:
    """The second axis, as far as it lies across the first, and what lies across both."""
    wanted = second.axis if np.linalg.norm(np.cross(first.axis, second.axis)) > LEAST_ACROSS else None
    return across(first.axis, wanted)


def _turned(start: Array, about: Array, angle_deg: Array) -> Array:
    """Unit vectors (P, 3) turned about unit vectors across them by angles (P,) [deg]."""
    angle = np.radians(angle_deg)[..., None]
    return np.asarray(np.cos(angle) * start + np.sin(angle) * np.cross(about, start))
