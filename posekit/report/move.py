"""From one look to another, as the servos really go: whether parts strike on the way, and when first."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from posekit.clearance.moves import Course, MoveVerdict, along
from posekit.motion.follow import Motion, follow
from posekit.motion.segments import segments
from posekit.prop.model import Prop


def between(prop: Prop, from_values: ArrayLike, to_values: ArrayLike) -> tuple[MoveVerdict, ...]:
    """The verdict on each pair of links while the drives go from values (D,), at rest, to values (D,).

    Each drive goes as fast as its own speed and acceleration allow, so that they do not arrive together.
    """
    return along(prop, course_of(follow(prop, [0.0, 1e-9], np.stack([from_values, to_values]))))


def course_of(motion: Motion) -> Course:
    """A motion as clearance takes it: until everything rests, and where each shaft turns or jumps."""
    cut = segments(motion)
    knots, places = [], []
    for d in range(len(cut.first) - 1):
        own = slice(cut.first[d], cut.first[d + 1])
        since, position, velocity, slope = (
            cut.since[own],
            cut.position[own],
            cut.velocity[own],
            cut.acceleration[own],
        )
        lasts = np.where(np.isfinite(cut.lasts[own]), cut.lasts[own], 0.0)
        # Within a segment a shaft turns where its speed passes 0.
        turn = np.divide(-velocity, slope, out=np.zeros_like(slope), where=slope != 0.0)
        turn = np.where((turn > 0.0) & (turn < lasts), turn, 0.0)
        elapsed = np.stack([np.zeros_like(lasts), turn, lasts], axis=1)
        knots.append((since[:, None] + elapsed).ravel())
        places.append(
            (position[:, None] + (velocity[:, None] + slope[:, None] / 2 * elapsed) * elapsed).ravel()
        )
    return Course(motion.begin, max(cut.settled, motion.end), motion.position, tuple(knots), tuple(places))
