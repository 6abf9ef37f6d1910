"""What can be made: horn angles and numbers as builders set and write them."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array, Index
from posekit.authoring.synthesis.wish import STEP_DEG

NEAR_ANGLES = STEP_DEG * np.arange(-20, 21)


def turned(horn_deg: Array) -> tuple[Array, Index]:
    """Each horn angle (N,) [deg] and those around it, to a tenth of a degree, and which each belongs to; two (M,)."""
    angles = horn_deg[:, None] + NEAR_ANGLES
    return angles.round(1).ravel(), np.repeat(np.arange(len(horn_deg)), len(NEAR_ANGLES))


def tidy(number: float) -> float:
    """A number as a builder writes it, to a thousandth; never -0."""
    return round(float(number), 3) + 0.0
