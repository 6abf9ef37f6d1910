"""Numbers as short as they can be written: a place that is 12.5 mm is no 12.499999999999996.

What must stay where it is in the picture is written to within `STAYS_MM`, so that no three coordinates are a millionth
of a micrometre off; a turn to within `TURN`, which does the same at the end of a part of a metre. What a builder places
anew is held to be a millionth of a millimetre exact.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.transforms import rotation_rpy

STAYS_MM = 1e-10
PLACED_MM = 1e-6
DIRECTION = 1e-12  # of its length
TURN = 2e-14  # of the entries of a rotation: what float64 itself leaves

DIGITS = 17  # that a float64 has


def short(value: float, within: float) -> int | float:
    """The number of fewest decimals that is at most `within` off; a whole one without a point."""
    for decimals in range(DIGITS):
        rounded = round(value, decimals)
        if abs(rounded - value) <= within:
            return int(rounded) if rounded == int(rounded) else rounded
    return value


def to_figures(value: float, figures: int) -> float:
    """A number to so many figures, as it is to stand in a file: 123456.0 to three of them is 123000.0."""
    return round(value, figures - 1 - math.floor(math.log10(abs(value)))) if value else 0.0


def short_all(values: ArrayLike, within: float) -> list[int | float]:
    """Each number by the fewest decimals that are at most `within` off; a whole one without a point."""
    return [short(each, within) for each in np.asarray(values, float).tolist()]


def turn_of(rotation: Array) -> list[int | float]:
    """Fixed-axis roll, pitch, yaw [deg] of a rotation (3, 3), as short as gives it again."""
    # Yaw first, then what is left of the rotation: so what is lost of one angle near a pitch of 90 is made up by
    # the others.
    yaw = np.arctan2(rotation[1, 0], rotation[0, 0])
    left = rotation_rpy((0.0, 0.0, -float(np.degrees(yaw)))) @ rotation
    pitch = np.arctan2(-left[2, 0], left[0, 0])
    roll = np.arctan2(-left[1, 2], left[1, 1])
    angles = np.degrees([roll, pitch, yaw])
    for decimals in range(DIGITS):
        rounded = np.round(angles, decimals) + 0.0
        if np.abs(rotation_rpy(rounded) - rotation).max() <= TURN:
            return short_all(rounded, 0.0)
    return short_all(angles, 0.0)
