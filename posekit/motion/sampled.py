"""A motion as a drawing can hold it: at even times, or where there are far more frames than that, by its extremes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.motion.follow import Motion

RATE = 25.0  # 1/s; as fine as the curves that are written to a file
NEAR = 0.8  # of a limit: from there on a drive comes near it
ENOUGH = 4  # frames from one row to the next but one: nothing that is seen falls between
_AT_ONCE = 20_000  # times looked at in one go, so that a day of a show takes no more memory than a minute


@dataclass(frozen=True, slots=True)
class Sampled:
    """Curves (N, D) at `times` (N,) [s]: shaft angles [deg] and speeds [deg/s].

    With `extremes` rows 2 i and 2 i + 1 are the least and the most from their times up to the next pair's.
    """

    times: Array
    commanded: Array
    position: Array
    velocity: Array
    extremes: bool

    def near_limits(self, speed: Array) -> tuple[tuple[float, ...], ...]:
        """For each drive the limits of speed (D,) [deg/s], either way, that it comes near to here."""
        most, least = self.velocity.max(axis=0), self.velocity.min(axis=0)
        return tuple(
            tuple(
                sign * limit
                for sign, top in ((1.0, high), (-1.0, -low))
                if np.isfinite(limit) and top > NEAR * limit
            )
            for limit, high, low in zip(speed.tolist(), most.tolist(), least.tolist(), strict=True)
        )


def sampled(motion: Motion, begin: float, end: float, count: int) -> Sampled:
    """The motion from `begin` to `end` [s] in `count` rows, both ends included.

    Where the rows are further apart than the frames of a film, a short move would fall between them: then half as
    many spans tell their least and most, from 25 looks a second.
    """
    looks = int((end - begin) * RATE / max(count // 2, 1)) + 1  # in each span
    if looks <= ENOUGH:
        times = np.linspace(begin, end, count)
        return Sampled(times, motion.commanded(times), *motion.at(times)[:2], False)
    edges = np.linspace(begin, end, count // 2 + 1)
    share = np.arange(looks) / looks
    blocks = []
    spans = max(_AT_ONCE // looks, 1)
    for first in range(0, len(edges) - 1, spans):
        starts, ends = edges[first : first + spans + 1][:-1], edges[first + 1 : first + spans + 1]
        times = (starts[:, None] + share * (ends - starts)[:, None]).ravel()
        curves = np.stack([motion.commanded(times), *motion.at(times)[:2]])  # (3, times, D)
        blocks.append(curves.reshape(3, len(starts), looks, -1))
    bounds = [(block.min(axis=2), block.max(axis=2)) for block in blocks]
    rows = np.concatenate(
        [np.stack(pair, axis=2).reshape(3, -1, pair[0].shape[-1]) for pair in bounds], axis=1
    )
    middle = (edges[:-1] + edges[1:]) / 2
    times = np.stack([edges[:-1], middle], axis=1).ravel()
    return Sampled(times, rows[0], rows[1], rows[2], True)
