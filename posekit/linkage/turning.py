"""Bodies of what turns by a ratio: horn, wheels in mesh, a belt on two wheels, a pinion on its rack."""

from __future__ import annotations

from math import pi

import numpy as np

from posekit.arrays import Array
from posekit.fields import Vector
from posekit.linkage.bodies import ARM_MM, ROD_MM, SHAFT_MM, Body, across, ball, bar, round_about, wheel
from posekit.linkage.protocol import Hinge

HORN_MM = 9.0
SMALL_MM = 8.0  # the smaller wheel, where nothing says how large it is
BELT_SHARE = 0.6  # of the way between two shafts, what the wheels of a belt take up


def horn(shaft_deg: Array, hinge: Hinge) -> tuple[Body, ...]:
    """A disc with an arm on the joint's own axis, turned with the shaft."""
    axis, at = np.array(hinge.axis), np.array(hinge.at)
    x, y = across(axis)
    out = round_about(x, y, shaft_deg)
    return (
        wheel("horn", at, axis, out, HORN_MM, 3.0),
        bar("arm of the horn", at, at + 1.6 * HORN_MM * out, ARM_MM),
    )


def belt_or_gears(
    shaft_deg: Array, joint_deg: Array, ratio: float, hinge: Hinge, shaft_at: Vector | None
) -> tuple[Body, ...]:
    """A wheel on the shaft and one on the joint, as large as their ratio wants it between the two axes."""
    axis, size = np.array(hinge.axis), abs(ratio)
    if shaft_at is None:
        small = SMALL_MM / min(size, 1.0)
        apart = small * (1.0 + size) / (1.0 if ratio < 0.0 else BELT_SHARE)
        x, y = across(axis)
        shaft = np.array(hinge.at) + apart * x
        joint = np.array(hinge.at)
    else:
        (along, apart), shaft = off_axis(shaft_at, hinge), np.array(shaft_at)
        joint = np.array(hinge.at) + along * axis
        x, y = across(axis, shaft - joint)
    own = apart / (1.0 + size) * (1.0 if ratio < 0.0 else BELT_SHARE)
    driven = own * size
    # Both marks point at each other where shaft and joint stand at 0; wheels in mesh turn against each other.
    found = [
        wheel("wheel on the servo", shaft, axis, -round_about(x, y, shaft_deg), own),
        wheel("wheel on the joint", joint, axis, round_about(x, y, joint_deg), driven),
    ]
    if ratio > 0.0:
        # An open belt touches each wheel where its radius is across the belt.
        lean = np.arccos(np.clip((driven - own) / apart, -1.0, 1.0))
        for side, name in ((1.0, "belt, upper run"), (-1.0, "belt, lower run")):
            out = np.cos(lean) * x + side * np.sin(lean) * y
            found.append(bar(name, joint + driven * out, shaft + own * out, ROD_MM))
    return (*found, ball("servo shaft", shaft, "shaft", SHAFT_MM))


def rack_and_pinion(
    shaft_deg: Array, slide_mm: Array, ratio: float, hinge: Hinge, shaft_at: Vector | None = None
) -> tuple[Body, ...]:
    """A pinion whose rim goes as far as the slide does, and the rack on the slide.

    `ratio` is degrees of the shaft for a mm of the slide, which makes the pinion's radius.
    """
    along = np.array(hinge.axis)
    radius = 180.0 / pi / abs(ratio)
    wanted = None if shaft_at is None else np.subtract(shaft_at, hinge.at)
    if wanted is not None and np.linalg.norm(np.cross(along, wanted)) < 1e-9:
        wanted = None
    up, side = across(along, wanted)
    shaft = np.array(hinge.at) + radius * up if shaft_at is None else np.array(shaft_at)
    # Seen from `side` the rim at the rack goes along +axis as the shaft turns, or against it where the ratio says so.
    turn = np.sign(ratio) * shaft_deg
    pinion = wheel("pinion", shaft, side, -round_about(up, -along, turn), radius)
    middle = shaft - radius * up + along * slide_mm[..., None]
    reach = 2.5 * radius * along
    return (
        pinion,
        bar("rack", middle - reach, middle + reach, ARM_MM),
        ball("servo shaft", shaft, "shaft", SHAFT_MM),
    )


def off_axis(point: Vector, hinge: Hinge) -> tuple[float, float]:
    """How far a point lies along the joint's axis from its point, and off the axis [mm]."""
    away = np.subtract(point, hinge.at)
    along = float(away @ np.array(hinge.axis))
    return along, float(np.linalg.norm(away - along * np.array(hinge.axis)))
