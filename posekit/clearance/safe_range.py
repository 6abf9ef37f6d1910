"""How much of one coordinate can stay if a pair of links is to be clear, all the others at full range."""

from __future__ import annotations

import time
from collections.abc import Generator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from posekit.arrays import Array
from posekit.chance import chances
from posekit.clearance.cells import (
    Cells,
    cut_up,
    divisible,
    judge_steps,
    put_together,
    to_prove,
    whole,
)
from posekit.clearance.pair_model import PairModel, distance_steps, poses_of
from posekit.clearance.search import BATCH, USUAL_PAIRS, cells_a_go, least_certain

Side = Literal["top", "bottom"]

PROBES, LEAST_PROBES = 8192, 256
LEAST_RANGE = 0.25  # a coordinate cut down to less of its range than this is no use to a builder
MOST_CELLS = 20_000
PORTION = 512  # cells or places at a time: whoever waits can look at the clock in between


@dataclass(frozen=True, slots=True)
class Limit:
    """Coordinate `c` of a chain kept on one side of `at` [deg | mm]: the pair is clear by the margin there."""

    c: int
    side: Side
    at: float


def limits_that_clear(
    model: PairModel, margin_mm: float, resolution: float, until_s: float = np.inf
) -> list[Limit] | None:
    """Every single limit that makes the pair clear by the margin, each proved; the widest within a resolution.

    None if it is not done by `until_s`, in seconds of `time.time`, which machines that share the work have in common.
    """
    steps = limit_steps(model, margin_mm, resolution)
    # Ends: with the search for each limit.
    while True:
        try:
            next(steps)
        except StopIteration as end:
            found: list[Limit] = end.value
            return found
        if time.time() >= until_s:
            return None


def limit_steps(model: PairModel, margin_mm: float, resolution: float) -> Generator[None, None, list[Limit]]:
    """`limits_that_clear` in steps of a portion of cells, for callers with other work to do."""
    wanted_mm = to_prove(margin_mm)
    bad = yield from _near_places(model, wanted_mm)
    found = []
    for c in range(len(model.box)):
        sides: tuple[Side, Side] = ("top", "bottom")
        for side in sides:
            at, bad = yield from widest_steps(model, c, side, wanted_mm, resolution, bad)
            if at is not None:
                found.append(Limit(c, side, at))
    return found


def _near_places(model: PairModel, margin_mm: float) -> Generator[None, None, Array]:
    """Coordinates (N, C), probed at random and at all corners, where the links are nearer than the margin."""
    low, high = model.box.T
    # Fewer where each takes more; they only spare work that proof would do.
    count = max(PROBES * USUAL_PAIRS // max(len(model.piece_a), USUAL_PAIRS), LEAST_PROBES)
    probes = chances(count, len(low))
    probes[: count // 4] = np.round(probes[: count // 4])
    places = low + probes * (high - low)
    near = np.zeros(count, bool)
    some = cells_a_go(model, PORTION)
    for begin in range(0, count, some):
        world_from_link, _ = poses_of(model, places[begin : begin + some])
        near[begin : begin + some] = (yield from distance_steps(model, world_from_link)) < margin_mm
        yield
    return places[near]


def widest_steps(
    model: PairModel, c: int, side: Side, margin_mm: float, resolution: float, bad: Array
) -> Generator[None, None, tuple[float | None, Array]]:
    """Where to end coordinate `c` so that the rest is clear by the margin; and the bad places known by then.

    None if less than `LEAST_RANGE` could stay, or if that takes too many cells to prove. `bad` (N, C) are
    places nearer than the margin. Yields after each portion of cells.
    """
    # Looked at from the side that is kept: a mirrored coordinate makes both sides alike.
    sign = 1.0 if side == "top" else -1.0
    first, last = sorted(float(sign * end) for end in model.box[c])
    back = max(resolution, 0.01 * (last - first))
    least = first + LEAST_RANGE * (last - first)
    limit = last
    cells, judged = whole(model), 0
    # Ends: each round judges a cell at least, and MOST_CELLS are the most.
    while True:
        limit = float(min(limit, (sign * bad[:, c]).min(initial=np.inf) - back))
        if limit < least or judged > MOST_CELLS:
            return None, bad
        cells = _kept(cells, c, sign, limit)
        if not len(cells):
            return sign * limit, bad
        near_end = np.minimum(sign * cells.low[:, c], sign * cells.high[:, c])
        picked, rest = least_certain(near_end, cells_a_go(model, BATCH))
        now, later = cells.take(picked), cells.take(rest)
        found = yield from judge_steps(model, now)
        yield
        judged += len(now)
        centre = (now.low + now.high) / 2
        bad = np.concatenate([bad, centre[found.centre.min(axis=1) < margin_mm]])
        watched = now.active & (found.least < margin_mm)
        wide = divisible(now, resolution)
        stuck = watched.any(axis=1) & ~wide.any(axis=1)
        limit = min(limit, float(near_end[picked][stuck].min(initial=np.inf)))
        split = watched.any(axis=1) & ~stuck
        cells = put_together([later, cut_up(now, np.flatnonzero(split), watched, wide, found.share)])


def _kept(cells: Cells, c: int, sign: float, limit: float) -> Cells:
    """What of these cells lies before the limit of coordinate `c`."""
    low, high = cells.low.copy(), cells.high.copy()
    if sign > 0:
        high[:, c] = np.minimum(high[:, c], limit)
    else:
        low[:, c] = np.maximum(low[:, c], -limit)
    before = low[:, c] < high[:, c]
    return Cells(low[before], high[before], cells.active[before])
