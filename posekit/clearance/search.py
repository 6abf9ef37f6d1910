"""Branch and bound over one pair of links: split what is not yet decided, the least certain cells first.

A pair is to be proved apart by the margin. As soon as it is known to come nearer than that, or not to be
provable down to the resolution, what is left to prove is that it stays apart at all, and by how much.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, field, replace

import numpy as np

from posekit.arrays import Array, Index
from posekit.budgets import CELLS
from posekit.clearance.cells import Cells, cut_up, divisible, judge_steps, put_together, to_prove, whole
from posekit.clearance.pair_model import PairModel
from posekit.clearance.verdict import Verdict
from posekit.clearance.witness import coordinates_at, nearest_steps
from posekit.stepwise import finished, telling

BATCH = 2048
NEAR_ENOUGH = 0.8  # what is proved, over the least distance met: worth no more work
FAR_MM = 25.0  # proved: worth no more work. ISO 13854 wants this gap for fingers, as two pages cite it
EFFORT = 4  # cells judged for a better bound, over those judged for the verdict
FIRST_TRY = 1024
STARTS = 8
USUAL_PAIRS, LEAST_CELLS = 32, 16


@dataclass(frozen=True, slots=True)
class Search:
    """How far one pair is judged. A value: `advance` makes the next one and changes nothing.

    `wanted_mm` is to be proved, for the margin. `cells` are undecided, or clear by less than is worth telling:
    `bound` (N,) [mm] is what is proved of each, `share` (N,) its part of the range. `proved_mm` holds over all that
    is laid aside as clear; `nearest_mm` is the least distance met, at coordinates `nearest` (C,). `open_share` is
    the part of the range laid aside undecided, because its cells are as small as the resolution. `judged` counts
    cells, `judged_when_clear` those until nothing was undecided; `next_try` is the count at which to go downhill
    for a nearer place again. `strike` (C,) are values of the chain's drives that strike, `at` (C,) those at which the
    links are nearest, gone downhill to once no strike was left to be found.
    """

    wanted_mm: float
    cells: Cells
    bound: Array
    share: Array
    proved_mm: float = np.inf
    nearest_mm: float = np.inf
    nearest: Array = field(default_factory=lambda: np.empty(0))
    open_share: float = 0.0
    judged: int = 0
    judged_when_clear: int | None = None
    next_try: int = FIRST_TRY
    strike: Array | None = None
    at: Array | None = None

    @property
    def near(self) -> bool:
        """Whether it is settled that the margin is not proved: a nearer place was met, or a cell is too small."""
        return min(self.nearest_mm, self.proved_mm) < self.wanted_mm

    @property
    def undecided(self) -> bool:
        """Whether some cell is neither proved clear by what still can be, nor laid aside."""
        return bool((self.bound <= 0).any()) or (not self.near and bool((self.bound < self.wanted_mm).any()))

    @property
    def open_fraction(self) -> float:
        """The part of the range that is not proved clear."""
        return self.open_share + float(self.share[self.bound <= 0].sum())

    @property
    def least_mm(self) -> float:
        """What is proved over the whole range [mm]; not above 0 if nothing is."""
        if self.open_share > 0:
            return 0.0
        return float(min(self.proved_mm, self.bound.min(initial=np.inf)))

    @property
    def settled(self) -> bool:
        """Whether more work cannot change the verdict, however much it might tell it better."""
        return self.strike is not None or (self.open_share == 0.0 and not self.undecided)

    @property
    def done(self) -> bool:
        """Whether more work would change the verdict, or tell it better at a fair price."""
        if self.strike is not None or not len(self.cells) or self.judged >= CELLS:
            return True
        if self.judged_when_clear is None:
            return False
        return self.open_share > 0 or self.judged >= EFFORT * self.judged_when_clear + BATCH

    @property
    def ended(self) -> bool:
        """Whether it is done, and gone downhill to where the links are nearest, if that is to be told."""
        return self.done and (self.at is not None or self.verdict != "near" or self.judged >= CELLS)

    @property
    def verdict(self) -> Verdict:
        """What the search has come to, or would if it ended now."""
        if self.strike is not None:
            return "strikes"
        if self.open_fraction > 0.0:
            return "open"
        return "clear" if self.least_mm >= self.wanted_mm else "near"


def begin(model: PairModel, margin_mm: float) -> Search:
    """Nothing judged yet: the whole range in one cell."""
    return Search(to_prove(margin_mm), whole(model), np.array([-np.inf]), np.ones(1))


def advance(model: PairModel, search: Search, resolution: float, most_cells: int) -> Search:
    """Judge about `most_cells` more cells, or fewer if that settles it or once it was gone downhill for a nearer place.

    Of a search that is done, go downhill to where the links are nearest.
    Cells no wider than `resolution` [deg | mm] along any coordinate are not split. A function of its
    arguments alone, so it may run anywhere.
    """
    return finished(advance_steps(model, search, resolution, most_cells))


def advance_steps(
    model: PairModel, search: Search, resolution: float, most_cells: int
) -> Generator[Search, None, Search]:
    """`advance` in small steps, for callers with other work to do; each tells what is shown so far."""
    if search.done:
        return (yield from _come_nearest(model, search))
    most = cells_a_go(model, most_cells)
    until = search.judged + most
    # Ends: each round judges a cell at least.
    while not search.done and search.judged < until:
        search, starts = yield from _one_round(model, search, resolution, min(BATCH, most))
        if starts is not None:
            return (yield from _look_nearer(model, search, starts))
        if not search.done and search.judged < until:
            yield search
    return search


def cells_a_go(model: PairModel, count: int) -> int:
    """How many cells to judge instead of `count` where links of many pieces make each of them long work."""
    return max(count * USUAL_PAIRS // max(len(model.piece_a), USUAL_PAIRS), min(LEAST_CELLS, count))


def parts_of(search: Search, count: int) -> list[Search]:
    """The same search in `count` parts, to be advanced apart and then `joined`."""
    rows = [np.arange(i, len(search.cells), count) for i in range(count)]
    fresh = replace(
        search, open_share=0.0, judged=0, next_try=max(search.next_try - search.judged, 0) // count
    )
    return [
        replace(fresh, cells=search.cells.take(own), bound=search.bound[own], share=search.share[own])
        for own in rows
    ]


def joined(search: Search, parts: list[Search]) -> Search:
    """What a search has become once its parts were advanced; in the order of the parts."""
    nearest = min(parts, key=lambda part: part.nearest_mm)
    judged = search.judged + sum(part.judged for part in parts)
    bound = np.concatenate([part.bound for part in parts])
    after = Search(
        wanted_mm=search.wanted_mm,
        cells=put_together([part.cells for part in parts]),
        bound=bound,
        share=np.concatenate([part.share for part in parts]),
        proved_mm=min(part.proved_mm for part in parts),
        nearest_mm=nearest.nearest_mm,
        nearest=nearest.nearest,
        open_share=search.open_share + sum(part.open_share for part in parts),
        judged=judged,
        next_try=search.judged + len(parts) * max(part.next_try for part in parts),
        strike=next((part.strike for part in parts if part.strike is not None), None),
    )
    return after if after.undecided else replace(after, judged_when_clear=judged)


def _one_round(
    model: PairModel, search: Search, resolution: float, batch: int
) -> Generator[Search, None, tuple[Search, Array | None]]:
    """Judge the `batch` least certain cells, lay aside what is decided and cut the rest in two.

    Besides, the coordinates (S, C) from which it is time to go downhill: the nearest place met, and the centres of
    these cells that are nearest; None where it is not.
    """
    picked, rest = least_certain(search.bound, batch)
    cells = search.cells.take(picked)
    found = yield from telling(judge_steps(model, cells), search)
    centre = found.centre.min(axis=1)
    had_met_touch = search.nearest_mm <= 0.0
    search = _met(search, cells, centre)

    least = np.maximum(np.where(cells.active, found.least, np.inf), search.bound[picked, None])
    watched = cells.active & ~((least > 0) & (least >= _worth_proving(search)))
    bound = np.where(watched, least, np.inf).min(axis=1)

    wide = divisible(cells, resolution)
    keep = watched.any(axis=1)
    split = keep & wide.any(axis=1)
    leaf = keep & ~split
    aside = np.where(cells.active & ~watched, least, np.inf).min(initial=np.inf)
    proved = min(search.proved_mm, float(aside), float(bound[leaf & (bound > 0)].min(initial=np.inf)))
    lost = float(search.share[picked][leaf & (bound <= 0)].sum())

    children = cut_up(cells, np.flatnonzero(split), watched, wide, found.share)
    after = replace(
        search,
        cells=put_together([search.cells.take(rest), children]),
        bound=np.concatenate([search.bound[rest], np.tile(bound[split], 2)]),
        share=np.concatenate([search.share[rest], np.tile(search.share[picked][split] / 2, 2)]),
        proved_mm=proved,
        open_share=search.open_share + lost,
        judged=search.judged + len(cells),
    )
    if after.judged_when_clear is None and not after.undecided:
        after = replace(after, judged_when_clear=after.judged)
    touches = search.nearest_mm <= 0.0 and not had_met_touch
    ends_open = after.open_share > 0 and not after.undecided
    due = touches or ends_open or (after.undecided and after.judged >= after.next_try)
    if not due:
        return after, None
    order = np.argsort(centre, kind="stable")[:STARTS]
    return after, np.concatenate([after.nearest[None], (cells.low[order] + cells.high[order]) / 2])


def _worth_proving(search: Search) -> float:
    """The distance [mm] from which a cell is worth no more work."""
    enough = min(NEAR_ENOUGH * search.nearest_mm, FAR_MM)
    return enough if search.near else max(enough, search.wanted_mm)


def _met(search: Search, cells: Cells, centre: Array) -> Search:
    """The search with the least distance met so far; `centre` (N,) [mm] are those at the cells' centres."""
    best = int(np.argmin(centre))
    if centre[best] >= search.nearest_mm:
        return search
    nearest = (cells.low[best] + cells.high[best]) / 2
    return replace(search, nearest_mm=float(centre[best]), nearest=nearest)


def _look_nearer(model: PairModel, search: Search, starts: Array) -> Generator[Search, None, Search]:
    """Go downhill from these coordinates (S, C): to a strike, if there is one.

    The next try comes when twice as much is judged.
    """
    at, distance_mm = yield from telling(nearest_steps(model, starts), search)
    after = replace(search, next_try=2 * search.judged)
    if distance_mm <= 0.0:
        return replace(after, strike=at)
    if distance_mm < search.nearest_mm:
        return replace(after, nearest_mm=distance_mm, nearest=coordinates_at(model, at))
    return after


def _come_nearest(model: PairModel, search: Search) -> Generator[Search, None, Search]:
    """Go downhill from the nearest place met, for the values to be told with it."""
    at, distance_mm = yield from telling(nearest_steps(model, search.nearest[None]), search)
    return replace(search, at=at, nearest_mm=min(search.nearest_mm, distance_mm))


def least_certain(bound: Array, count: int) -> tuple[Index, Index]:
    """Rows of the `count` least bounds, and the other rows; both in a fixed order."""
    if len(bound) <= count:
        return np.arange(len(bound)), np.empty(0, np.intp)
    order = np.argpartition(bound, count)
    return np.sort(order[:count]), np.sort(order[count:])
