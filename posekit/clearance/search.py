"""Branch and bound over one pair of links: split what is not yet decided, the least certain cells first."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from posekit.clearance.cells import Cells, halves, judge, whole
from posekit.clearance.study import Study
from posekit.clearance.witness import Witness, find_strike

Array = NDArray[np.float64]

BATCH = 2048
NEAR_ENOUGH = 0.8
EFFORT = 4
FIRST_TRY = 1024
STARTS = 8


@dataclass(frozen=True, slots=True)
class Search:
    """How far one pair is judged. A value: `advance` makes the next one and changes nothing.

    `cells` are undecided or clear by less than is worth telling, `bound` (N,) [mm] what is proved of each.
    `proved_mm` holds over everything laid aside as clear; `nearest_mm` is the least distance met, at
    coordinates `nearest` (C,). `open_share` is the share of the range laid aside undecided, because its
    cells are as small as the resolution. `judged` counts cells, `judged_when_clear` those until nothing
    was undecided, `next_try` tells at which count to look for a strike again.
    """

    cells: Cells
    bound: Array
    proved_mm: float = np.inf
    nearest_mm: float = np.inf
    nearest: Array = field(default_factory=lambda: np.empty(0))
    open_share: float = 0.0
    judged: int = 0
    judged_when_clear: int | None = None
    next_try: int = FIRST_TRY
    strike: Witness | None = None

    @property
    def undecided(self) -> bool:
        """Whether some cell is neither proved clear nor laid aside."""
        return bool((self.bound <= 0).any())

    @property
    def least_mm(self) -> float:
        """What is proved over the whole range [mm]; not above 0 if nothing is."""
        if self.open_share > 0:
            return 0.0
        return float(min(self.proved_mm, self.bound.min(initial=np.inf)))

    @property
    def done(self) -> bool:
        """Whether more work would change the verdict, or tell it better at a fair price."""
        if self.strike is not None or not len(self.cells):
            return True
        if self.undecided:
            return False
        assert self.judged_when_clear is not None
        return self.open_share > 0 or self.judged >= EFFORT * self.judged_when_clear + BATCH


def begin(study: Study) -> Search:
    """Nothing judged yet: the whole range in one cell."""
    return Search(whole(study), np.array([-np.inf]))


def advance(study: Study, search: Search, resolution: float, most_cells: int) -> Search:
    """Judge up to about `most_cells` more cells; cells narrower than `resolution` [deg | mm] are not split.

    The same search gives the same result wherever and in however many steps it is run, as long as
    `most_cells` is the same.
    """
    until = search.judged + most_cells
    while not search.done and search.judged < until:
        search = one_round(study, search, resolution)
    return search


def one_round(study: Study, search: Search, resolution: float) -> Search:
    """Judge the least certain cells, lay aside what is decided and cut the rest in two."""
    picked, rest = least_certain(search.bound, BATCH)
    cells, bound = search.cells.take(picked), search.bound[picked]
    found = judge(study, cells)
    centre = found.centre.min(axis=1)
    best = int(np.argmin(centre))
    nearest_mm, nearest = search.nearest_mm, search.nearest
    if centre[best] < nearest_mm:
        nearest_mm, nearest = float(centre[best]), (cells.low[best] + cells.high[best]) / 2

    least = np.maximum(np.where(cells.active, found.least, np.inf), bound[:, None])
    enough = max(NEAR_ENOUGH * nearest_mm, 0.0)
    watched = cells.active & ~((least > 0) & (least >= enough))
    bound = np.where(watched, least, np.inf).min(axis=1)
    proved = min(search.proved_mm, float(np.where(cells.active & ~watched, least, np.inf).min(initial=np.inf)))

    size = cells.high - cells.low
    wide = size > resolution
    keep = watched.any(axis=1)
    split = keep & wide.any(axis=1)
    leaf = keep & ~split
    proved = min(proved, float(bound[leaf & (bound > 0)].min(initial=np.inf)))
    box = np.ptp(study.box, axis=1)
    lost = float(np.prod(size[leaf & (bound <= 0)] / np.where(box > 0, box, 1.0), axis=1).sum())

    share = np.where(wide, found.share, -1.0)[split]
    parents = Cells(cells.low[split], cells.high[split], watched[split])
    children = halves(parents, np.argmax(share, axis=1)) if split.any() else parents
    others = search.cells.take(rest)
    after = replace(
        search,
        cells=Cells(
            np.concatenate([others.low, children.low]),
            np.concatenate([others.high, children.high]),
            np.concatenate([others.active, children.active]),
        ),
        bound=np.concatenate([search.bound[rest], np.tile(bound[split], 2)]),
        proved_mm=proved,
        nearest_mm=nearest_mm,
        nearest=nearest,
        open_share=search.open_share + lost,
        judged=search.judged + len(cells),
    )
    if after.judged_when_clear is None and not after.undecided:
        after = replace(after, judged_when_clear=after.judged)
    if (after.undecided or lost > 0) and (after.judged >= search.next_try or nearest_mm <= 0.0):
        after = look_for_strike(study, after, cells, centre)
    return after


def look_for_strike(study: Study, search: Search, cells: Cells, centre: Array) -> Search:
    """Go downhill from the nearest centres of these cells; the next try comes when twice as much is judged."""
    order = np.argsort(centre, kind="stable")[:STARTS]
    starts = (cells.low[order] + cells.high[order]) / 2
    strike = find_strike(study, starts)
    return replace(search, strike=strike, next_try=2 * search.judged)


def least_certain(bound: Array, count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Rows of the `count` least bounds, and the other rows; both in a fixed order."""
    if len(bound) <= count:
        return np.arange(len(bound)), np.empty(0, np.intp)
    order = np.argpartition(bound, count)
    return np.sort(order[:count]), np.sort(order[count:])
