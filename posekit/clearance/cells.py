"""Boxes of coordinates and what is proved of each: the one step that the envelope repeats.

A cell is judged at its centre. Where two pieces stand apart along a direction, they stay apart throughout
the cell if no point of either can move far enough along it (see `lever`). The direction comes from the
distance at the centre, but the proof uses only the corners, the axes and the direction: whatever the
direction, what it proves holds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from posekit.clearance import lever
from posekit.clearance.chain import Axes, a_from_b
from posekit.clearance.distance import Asked, separation
from posekit.clearance.lever import Play, dot, travel
from posekit.clearance.study import Study, coordinates_of, poses_of, scale_of, turning
from posekit.mechanism.reach import joints_within

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Truth = NDArray[np.bool_]

ROUNDING_MM = 1e-6
DIRECTION = Asked(tolerance_mm=1e-3, points=False)


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


def whole(study: Study) -> Cells:
    """The whole range as one cell."""
    box = study.box
    return Cells(box[None, :, 0], box[None, :, 1], np.ones((1, len(study.piece_a)), bool))


def halves(cells: Cells, coordinate: Index) -> Cells:
    """Each cell cut in two across its own coordinate; (N,) coordinates to 2 N cells."""
    rows = np.arange(len(cells))
    middle = (cells.low[rows, coordinate] + cells.high[rows, coordinate]) / 2
    low, high = cells.low.copy(), cells.high.copy()
    low[rows, coordinate] = middle
    high[rows, coordinate] = middle
    return put_together([Cells(cells.low, high, cells.active), Cells(low, cells.high, cells.active)])


def put_together(several: list[Cells]) -> Cells:
    """All these cells, in their order."""
    return Cells(
        np.concatenate([cells.low for cells in several]),
        np.concatenate([cells.high for cells in several]),
        np.concatenate([cells.active for cells in several]),
    )


def judge(study: Study, cells: Cells) -> Judged:
    """Bounds on the distance of each active pair of pieces over each cell."""
    world_from_link, axes = poses_of(study, (cells.low + cells.high) / 2)
    cell, which = np.nonzero(cells.active)
    a, b = study.piece_a[which], study.piece_b[which]
    relative = a_from_b(study.chain, world_from_link)
    found = separation(study.pieces, a, b, relative[cell], DIRECTION)
    turn_a = world_from_link[:, study.chain.row_a, :3, :3]
    along = np.einsum("nij,nj->in", turn_a[cell], -apart(study, found.normal, a, b, relative[cell]))
    near_a, near_b = plays(study, cells, axes)
    least, share = np.empty(len(cell)), np.zeros((cells.low.shape[1], len(cell)))
    for items in alike(study, a, b):
        to_b, share_b = nearest_side(
            study, b[items], world_from_link[:, study.chain.row_b], cell[items], along[:, items], near_b
        )
        to_a, share_a = nearest_side(
            study, a[items], world_from_link[:, study.chain.row_a], cell[items], -along[:, items], near_a
        )
        least[items] = to_a + to_b
        share[:, items] = share_a + share_b
    least -= study.pieces.radius[a] + study.pieces.radius[b] + ROUNDING_MM
    shape = cells.active.shape
    by_pair = np.full((2, *shape), np.inf)
    by_pair[0][cell, which], by_pair[1][cell, which] = least, found.upper
    by_cell = np.zeros(cells.low.shape)
    np.maximum.at(by_cell, cell, share.T)
    return Judged(by_pair[0], by_pair[1], by_cell)


def wander(study: Study, cells: Cells) -> Array:
    """How far the pieces of each pair can move against each other within each cell; (N, M) [mm]."""
    world_from_link, axes = poses_of(study, (cells.low + cells.high) / 2)
    sides = []
    for side, link, play in zip(
        (study.piece_a, study.piece_b), (study.chain.row_a, study.chain.row_b), plays(study, cells, axes),
        strict=True,
    ):  # fmt: skip
        place = world_from_link[:, link]
        of_piece = {
            s: lever.wander(placed(study.corners[s], place), play).max(axis=0)
            for s in np.unique(side).tolist()
        }
        sides.append(np.stack([of_piece[s] for s in side.tolist()], axis=1))
    return np.asarray(sides[0] + sides[1])


def placed(corners: Array, place: Array) -> Array:
    """Points (V, 3) of a link, or own ones (N, V, 3) for each pose (N, 4, 4), in the world: (3, V, N) [mm]."""
    own = np.broadcast_to(corners, (len(place), *corners.shape[-2:]))
    return np.asarray(np.einsum("nij,nvj->ivn", place[:, :3, :3], own) + place[:, :3, 3].T[:, None])


def apart(study: Study, normal: Array, a: Index, b: Index, relative: Array) -> Array:
    """The normals (N, 3), and from centre to centre where cores overlap and have none."""
    none = ~normal.any(axis=1)
    if none.any():
        centre = (
            np.einsum("nij,nj->ni", relative[none, :3, :3], study.pieces.centre[b[none]])
            + relative[none, :3, 3]
        )
        between = study.pieces.centre[a[none]] - centre
        length = np.linalg.norm(between, axis=1, keepdims=True)
        normal = normal.copy()
        normal[none] = np.where(length > 0, between / np.where(length > 0, length, 1.0), (1.0, 0.0, 0.0))
    return normal


def alike(study: Study, a: Index, b: Index) -> Iterator[Index]:
    """Runs of items whose pieces have as many corners, so that they fit one array."""
    corners = np.array([len(points) for points in study.corners])
    kind = corners[a] * (corners.max() + 1) + corners[b]
    for one in np.unique(kind):
        yield np.flatnonzero(kind == one)


def nearest_side(
    study: Study, pieces: Index, world_from_link: Array, cell: Index, along: Array, play: Play
) -> tuple[Array, Array]:
    """How near to the origin along `along` (3, I) each core can come within its cell; (I,) and shares (C, I) [mm]."""
    place = world_from_link[cell]
    used, slot = np.unique(pieces, return_inverse=True)
    corners = np.stack([study.corners[s] for s in used])[slot]
    points = placed(corners, place)
    far, share = travel(points, along, play.take(cell))
    nearest = (dot(points, along[:, None]) - far).min(axis=0)
    discs = np.flatnonzero(study.pieces.cores.disc[pieces] > 0)
    if discs.size:
        # Corners about a disc lie outside it; the disc itself begins where its support point is.
        rim = lowest(study, pieces[discs], place[discs], along[:, discs]) - far[:, discs].max(axis=0)
        nearest[discs] = np.maximum(nearest[discs], rim)
    return nearest, share


def lowest(study: Study, pieces: Index, place: Array, along: Array) -> Array:
    """Least height (I,) [mm] along a direction (3, I) of cores in closed form, at rest."""
    cores = study.pieces.cores
    turn = place[:, :3, :3] @ study.pieces.rotation[pieces]
    x, y, z = np.einsum("nij,in->jn", turn, along)
    centre = np.einsum("nij,nj->in", place[:, :3, :3], study.pieces.centre[pieces]) + place[:, :3, 3].T
    reach = dot(cores.half[:, pieces], np.abs((x, y, z))) + cores.disc[pieces] * np.hypot(x, y)
    return np.asarray(dot(centre, along) - reach)


def plays(study: Study, cells: Cells, axes: Axes) -> tuple[Play, Play]:
    """What the joints on either side of the watch can do within each cell."""
    chain, ways = study.chain, study.ways
    drives, joints = list(chain.drives), list(chain.joint)
    u = coordinates_of(study, (cells.low + cells.high) / 2)
    half = np.zeros_like(u)
    half[:, drives] = (cells.high - cells.low) / 2
    within = joints_within(ways, u - half, u + half)[:, joints]
    asked = u @ ways.slope[joints].T + ways.offset[joints]
    aside = half @ np.abs(ways.slope[joints]).T
    stops = ways.stops[joints]
    centre = np.clip(asked, stops[:, 0], stops[:, 1])
    free = (asked - aside >= stops[:, 0]) & (asked + aside <= stops[:, 1])
    scale = scale_of(chain)
    delta = np.maximum(within[..., 1] - centre, centre - within[..., 0]) * scale
    pull = (np.array(chain.sign) * scale)[:, None] * ways.slope[np.ix_(joints, drives)]
    k = study.watch
    sides = (np.arange(k)[::-1], np.arange(k, len(joints)))
    near_a, near_b = (
        Play(
            axes.origin.transpose(2, 1, 0)[:, side],
            axes.direction.transpose(2, 1, 0)[:, side],
            delta.T[side],
            free.T[side],
            half[:, drives].T,
            pull[side],
            turning(chain)[side],
        )
        for side in sides
    )
    return near_a, near_b
