"""Boxes of coordinates and what is proved of each: the one step that the envelope repeats.

A cell is judged at its centre. Where two pieces stand apart along a direction, they stay apart throughout
the cell if no point of either can move far enough along it (see `lever`). The direction comes from the
distance at the centre, but the proof uses only the corners, the axes and the direction: whatever the
direction, what it proves holds.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace

import numpy as np

from posekit.arrays import Array, Index, Truth
from posekit.clearance.chain import Axes
from posekit.clearance.distance import Asked, separation_steps
from posekit.clearance.lever import Play, least_along, remainder
from posekit.clearance.pair_model import PairModel, poses_of, relative_poses, scale_of, turning
from posekit.mechanism.reach import joints_within
from posekit.stepwise import finished

ROUNDING_MM = 1e-6  # taken off every bound
SLACK_MM = 1e-5  # what a margin is kept within: some roundings, and far below what anyone builds to
DIRECTION = Asked(tolerance_mm=1e-3, points=False)
A_GO = (
    2048  # active pairs of pieces at a time, some hundredths of a second: whoever waits can look at the clock
)


@dataclass(frozen=True, slots=True)
class Cells:
    """N boxes from `low` to `high` (N, C); pair of pieces i of N still has to be watched where `active` (N, M)."""

    low: Array
    high: Array
    active: Truth

    def __len__(self) -> int:
        return len(self.low)

    def take(self, rows: Index | Truth) -> Cells:
        """These cells alone."""
        return Cells(self.low[rows], self.high[rows], self.active[rows])


@dataclass(frozen=True, slots=True)
class Judged:
    """What is proved of N cells. (N, M) [mm]; pairs of pieces not active are infinitely far apart.

    `least` bounds the distance from below over the whole cell (negative: nothing proved), `centre` is the
    distance at the centre. `share` (N, C) [mm] is how much each coordinate takes off the bound.
    """

    least: Array
    centre: Array
    share: Array


def whole(model: PairModel) -> Cells:
    """The whole range as one cell."""
    box = model.box
    return Cells(box[None, :, 0], box[None, :, 1], np.ones((1, len(model.piece_a)), bool))


def divisible(cells: Cells, resolution: float) -> Truth:
    """Along which coordinates each cell is wider than `resolution` and has a float between its ends; (N, C).

    Cells are cut along these alone, so that cutting ends at whatever resolution.
    """
    middle = (cells.low + cells.high) / 2
    return (cells.high - cells.low > resolution) & (cells.low < middle) & (middle < cells.high)


def _halves(cells: Cells, coordinate: Index) -> Cells:
    """Each cell cut in two across its own coordinate; (N,) coordinates to 2 N cells."""
    rows = np.arange(len(cells))
    middle = (cells.low[rows, coordinate] + cells.high[rows, coordinate]) / 2
    low, high = cells.low.copy(), cells.high.copy()
    low[rows, coordinate] = middle
    high[rows, coordinate] = middle
    return put_together([Cells(cells.low, high, cells.active), Cells(low, cells.high, cells.active)])


def cut_up(cells: Cells, rows: Index, watched: Truth, wide: Truth, share: Array) -> Cells:
    """The cells at `rows`, each cut in two across that of its `wide` coordinates (N, C) with most `share`.

    Only the pairs of pieces `watched` (N, M) stay active.
    """
    across = np.argmax(np.where(wide, share, -1.0)[rows], axis=1) if len(rows) else rows
    return _halves(Cells(cells.low[rows], cells.high[rows], watched[rows]), across)


def to_prove(margin_mm: float) -> float:
    """The distance [mm] whose proof counts for the margin, so that a gap drawn as wide as the margin keeps it."""
    return max(margin_mm - SLACK_MM, 0.0)


def put_together(several: list[Cells]) -> Cells:
    """All these cells, in their order."""
    return Cells(
        np.concatenate([cells.low for cells in several]),
        np.concatenate([cells.high for cells in several]),
        np.concatenate([cells.active for cells in several]),
    )


def judge_steps(model: PairModel, cells: Cells) -> Generator[None, None, Judged]:
    """`judge`, A_GO active pairs of pieces at a time, of one cell or of many."""
    cell, which = np.nonzero(cells.active)
    if len(cell) <= A_GO:
        return (yield from judge_a_go(model, cells))
    shape = cells.active.shape
    least, centre, share = np.full(shape, np.inf), np.full(shape, np.inf), np.zeros(cells.low.shape)
    for begin in range(0, len(cell), A_GO):
        one, other = cell[begin : begin + A_GO], which[begin : begin + A_GO]
        rows = slice(one[0], one[-1] + 1)
        active = np.zeros((rows.stop - rows.start, shape[1]), bool)
        active[one - rows.start, other] = True
        part = yield from judge_a_go(model, Cells(cells.low[rows], cells.high[rows], active))
        least[rows] = np.minimum(least[rows], part.least)  # of what is not active it is infinite
        centre[rows] = np.minimum(centre[rows], part.centre)
        share[rows] = np.maximum(share[rows], part.share)
        yield
    return Judged(least, centre, share)


def judge(model: PairModel, cells: Cells) -> Judged:
    """Bounds on the distance of each active pair of pieces over each cell."""
    return finished(judge_a_go(model, cells))


def judge_a_go(model: PairModel, cells: Cells) -> Generator[None, None, Judged]:
    """`judge` in small steps: a slider that moves meanwhile gets the processor back the sooner."""
    world_from_link, axes = poses_of(model, (cells.low + cells.high) / 2)
    cell, which = np.nonzero(cells.active)
    a, b = model.piece_a[which], model.piece_b[which]
    relative = relative_poses(model, world_from_link)
    yield
    found = yield from separation_steps(model.pieces, a, b, relative[cell], DIRECTION)
    yield
    turn_a = world_from_link[:, model.chain.row_a, :3, :3]
    along = np.einsum("nij,nj->in", turn_a[cell], -_apart(model, found.normal, a, b, relative[cell]))
    play_a, play_b = _plays(model, cells, axes)
    to_a, share_a = _nearest_side(model, a, world_from_link[:, model.chain.row_a], cell, -along, play_a)
    yield
    to_b, share_b = _nearest_side(model, b, world_from_link[:, model.chain.row_b], cell, along, play_b)
    least, share = to_a + to_b, share_a + share_b
    least -= model.pieces.radius[a] + model.pieces.radius[b] + ROUNDING_MM
    least = np.fmax(least, -np.inf)  # moves too large to reckon with give nan, which proves nothing
    shape = cells.active.shape
    by_pair = np.full((2, *shape), np.inf)
    by_pair[0][cell, which], by_pair[1][cell, which] = least, found.upper
    by_cell = np.zeros(cells.low.shape)
    np.maximum.at(by_cell, cell, share.T)
    return Judged(by_pair[0], by_pair[1], by_cell)


def wander(model: PairModel, cells: Cells) -> Array:
    """How far the pieces of each pair can move against each other within each cell; (N, M) [mm]."""
    world_from_link, axes = poses_of(model, (cells.low + cells.high) / 2)
    far = np.zeros((len(cells), len(model.piece_a)))
    for side, link, play in zip(
        (model.piece_a, model.piece_b), (model.chain.row_a, model.chain.row_b), _plays(model, cells, axes),
        strict=True,
    ):  # fmt: skip
        own = _seen_from(play, world_from_link[:, link])
        for s in np.unique(side):
            far[:, side == s] += remainder(model.corners[s], own)[2][:, None]
    return far


def _apart(model: PairModel, normal: Array, a: Index, b: Index, relative: Array) -> Array:
    """The normals (N, 3), and from centre to centre where cores overlap and have none."""
    none = ~normal.any(axis=1)
    if none.any():
        centre = (
            np.einsum("nij,nj->ni", relative[none, :3, :3], model.pieces.centre[b[none]])
            + relative[none, :3, 3]
        )
        between = model.pieces.centre[a[none]] - centre
        length = np.linalg.norm(between, axis=1, keepdims=True)
        normal = normal.copy()
        normal[none] = np.where(length > 0, between / np.where(length > 0, length, 1.0), (1.0, 0.0, 0.0))
    return normal


def _nearest_side(
    model: PairModel, pieces: Index, world_from_link: Array, cell: Index, along: Array, play: Play
) -> tuple[Array, Array]:
    """How near to the origin along `along` (3, I) each core can come within its cell; (I,) and shares (C, I) [mm]."""
    place = world_from_link[cell]
    along = np.einsum("nij,in->jn", place[:, :3, :3], along)
    play = _seen_from(play, world_from_link).take(cell)
    least, share = np.empty(len(cell)), np.empty(play.half.shape)
    for s in np.unique(pieces):
        items = np.flatnonzero(pieces == s)
        floor = _lowest(model, int(s), along[:, items]) if model.pieces.cores.disc[s] > 0 else None
        least[items], share[:, items] = least_along(
            model.corners[s], floor, along[:, items], play.take(items)
        )
    height = np.einsum("in,ni->n", along, np.einsum("nji,nj->ni", place[:, :3, :3], place[:, :3, 3]))
    return least + height, share


def _lowest(model: PairModel, s: int, along: Array) -> Array:
    """Least height (N,) [mm] along directions (3, N) of a core in closed form, at rest; in the frame of its link."""
    cores = model.pieces.cores
    x, y, z = model.pieces.rotation[s].T @ along
    reach = cores.half[:, s] @ np.abs([x, y, z]) + cores.disc[s] * np.hypot(x, y)
    return np.asarray(model.pieces.centre[s] @ along - reach)


def _seen_from(play: Play, world_from_link: Array) -> Play:
    """Joints of the world in the frame of a link at each of N poses."""
    turn, at = world_from_link[:, :3, :3], world_from_link[:, :3, 3]
    return replace(
        play,
        origin=np.einsum("nij,imn->jmn", turn, play.origin - at.T[:, None]),
        direction=np.einsum("nij,imn->jmn", turn, play.direction),
    )


def _plays(model: PairModel, cells: Cells, axes: Axes) -> tuple[Play, Play]:
    """What the joints on either side of the watch can do within each cell."""
    chain, own = model.chain, model.chain.own
    middle, half = (cells.low + cells.high) / 2, (cells.high - cells.low) / 2
    within = joints_within(own, cells.low, cells.high)
    asked = middle @ own.slope.T + own.offset
    aside = half @ np.abs(own.slope).T
    stops = own.stops
    centre = np.clip(asked, stops[:, 0], stops[:, 1])
    free = (asked - aside >= stops[:, 0]) & (asked + aside <= stops[:, 1])
    scale = scale_of(chain)
    delta = np.maximum(within[..., 1] - centre, centre - within[..., 0]) * scale
    pull = (np.array(chain.sign) * scale)[:, None] * own.slope
    k = model.watch
    sides = (np.arange(k)[::-1], np.arange(k, len(chain.joint)))
    near_a, near_b = (
        Play(
            axes.origin.transpose(2, 1, 0)[:, side],
            axes.direction.transpose(2, 1, 0)[:, side],
            delta.T[side],
            free.T[side],
            half.T,
            pull[side],
            turning(chain)[side],
        )
        for side in sides
    )
    return near_a, near_b
