"""The instants at which a motion is looked at: evenly spaced, until all rests."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array
from posekit.budgets import DAY_S
from posekit.errors import PosekitError, error
from posekit.stream.show import Show
from posekit.text import exact

PICTURES = 25.0  # instants a second of animations and tables, close enough for any player


def instants(show: Show, settled: float) -> Array:
    """Times [s] to look at a show, PICTURES a second, from its first frame until it ends and all rests (`settled`)."""
    return ticks(float(show.times[0]), max(settled, float(show.times[-1])), PICTURES)


def ticks(begin: float, end: float, rate: float) -> Array:
    """Times [s], `rate` a second, from `begin` to the first that is not before `end`: `tick_count` of them."""
    return begin + np.arange(tick_count(begin, end, rate)) / rate


def tick_count(begin: float, end: float, rate: float) -> int:
    """How many `ticks` there are.

    PosekitError where that is twice as long as any show may be, as when a drive is so slow that it needs days.
    """
    if end - begin > 2 * DAY_S:
        sentence = (
            f"all rests only {exact(end - begin)} s after the show begins; use {exact(2 * DAY_S)} s or less: "
        )
        sentence += "more speed and acceleration, or a shorter show"
        raise PosekitError([error("too-long", "motion", sentence)])
    return int(np.ceil((end - begin) * rate)) + 1
