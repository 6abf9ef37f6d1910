"""A slice through the envelope: one pair of links over two channels, all other channels standing still.

Cut into rectangles of whole values: clear by the margin at every value in it, striking at every value, near, or
open. All are proved as in the envelope: what stands apart at the centre stays apart if nothing can move that
far, and what overlaps by a depth still overlaps until something has moved by that depth. near is apart at every
value, proved, but not by the margin everywhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array, Truth, Whole
from posekit.clearance.cells import ROUNDING_MM, Cells, judge, to_prove, wander
from posekit.clearance.pair_model import PairModel, distance_at, pair_model, poses_of, relative_poses
from posekit.clearance.penetration import penetration
from posekit.clearance.watch import watch
from posekit.clearance.witness import distance_of
from posekit.errors import PosekitError, error
from posekit.mechanism.reach import coordinates, every_coordinate
from posekit.prop.model import Prop

State = Literal["clear", "near", "strikes", "open"]

SIDE = 128  # rectangles along each axis where the map is finest
TRIALS = 24
DEPTH_MM = 0.1  # a lower bound holds at any tolerance, and a picture needs no finer one


@dataclass(frozen=True, slots=True)
class _Region:
    """A rectangle of values, both ends included, along the x and y channel; y is (0, 0) if there is none."""

    x: tuple[int, int]
    y: tuple[int, int]
    state: State


@dataclass(frozen=True, slots=True)
class Slice:
    """A pair of links over two drives, `x` and `y` (None: only one moves it); the others stand at `values`."""

    pair: tuple[str, str]
    margin_mm: float
    x: str
    y: str | None
    values: dict[str, int]
    regions: tuple[_Region, ...]


def slice_through(
    prop: Prop, pair: tuple[str, str], values: Mapping[str, int], margin_mm: float | None = None
) -> Slice:
    """The slice over the two drives that tell most about a pair, through given values.

    `margin_mm` is the distance to keep; default: the prop's own. With a single drive on the way between the links
    there is no y. Raises PosekitError where there is none.
    """
    model = pair_model(prop, coordinates(prop), watch(prop), pair)
    if not model.chain.drives:
        sentence = "no channel moves one relative to the other, so there is no map of them"
        raise PosekitError([error("no-map", " - ".join(pair), sentence)])
    own = np.array([values[prop.drives[d].name] for d in model.chain.drives], np.int64)
    margin = prop.clearance.margin if margin_mm is None else margin_mm
    wanted_mm = to_prove(margin)
    x, y = _most_telling(model, own, wanted_mm)
    names = [prop.drives[d].name for d in model.chain.drives]
    across = None if y is None else names[y]
    return Slice(pair, margin, names[x], across, dict(values), tuple(_regions(model, own, x, y, wanted_mm)))


def _most_telling(model: PairModel, own: Whole, wanted_mm: float) -> tuple[int, int | None]:
    """The two coordinates over which the slice through values (C,) is parted most evenly: by what strikes, then by
    what does not keep the distance; then by spread.
    """
    C = len(own)
    if C < 2:
        return 0, None
    full = np.array([model.prop.drives[d].full_scale for d in model.chain.drives])
    steps = np.linspace(0.0, 1.0, TRIALS)
    best, found = (-1.0, -1.0, -1.0), (0, 1)
    for x, y in combinations(range(C), 2):
        at = np.repeat(own[None].astype(float), TRIALS**2, axis=0)
        at[:, x] = np.repeat(np.round(steps * full[x]), TRIALS)
        at[:, y] = np.tile(np.round(steps * full[y]), TRIALS)
        distance = distance_of(model, at)
        striking, nearer = float((distance <= 0.0).mean()), float((distance < wanted_mm).mean())
        told = (min(striking, 1.0 - striking), min(nearer, 1.0 - nearer), float(np.ptp(distance)))
        if told > best:
            best, found = told, (x, y)
    return found


def _regions(model: PairModel, own: Whole, x: int, y: int | None, wanted_mm: float) -> list[_Region]:
    """Rectangles that together cover all values of coordinates x and y, the others at values `own` (C,)."""
    tables = [every_coordinate(model.prop, d) for d in model.chain.drives]
    fixed = np.array([table[value] for table, value in zip(tables, own, strict=True)])
    last = [0 if axis is None else len(tables[axis]) - 1 for axis in (x, y)]
    leaf = [max((end + 1) // SIDE, 1) for end in last]
    waiting = np.array([[0, last[0], 0, last[1]]], np.int64)
    found: list[_Region] = []
    # Ends: rectangles of whole numbers grow smaller.
    while len(waiting):
        state, settled = _states(model, _cells_of(model, tables, fixed, waiting, x, y), wanted_mm)
        wide = (waiting[:, 1] - waiting[:, 0] >= leaf[0]) | (waiting[:, 3] - waiting[:, 2] >= leaf[1])
        done = settled | ~wide
        found += [
            _Region((x0, x1), (y0, y1), each)
            for (x0, x1, y0, y1), each in zip(waiting[done].tolist(), state[done].tolist(), strict=True)
        ]
        waiting = _quarters(waiting[~done], leaf)
    return found


def _cells_of(
    model: PairModel, tables: list[Array], fixed: Array, rectangles: Whole, x: int, y: int | None
) -> Cells:
    """The rectangles of values (N, 4) as cells of coordinates: each holds all its values."""
    low = np.repeat(fixed[None], len(rectangles), axis=0)
    high = low.copy()
    for axis, first in ((x, 0), (y, 2)):
        if axis is not None:
            for row, (start, end) in enumerate(rectangles[:, first : first + 2]):
                some = tables[axis][start : end + 1]
                low[row, axis], high[row, axis] = some.min(), some.max()
    return Cells(low, high, np.ones((len(rectangles), len(model.piece_a)), bool))


def _states(model: PairModel, cells: Cells, wanted_mm: float) -> tuple[NDArray[np.object_], Truth]:
    """What is proved of each cell as a whole, and whether cutting it could not tell more; (N,) each."""
    found = judge(model, cells)
    least = found.least.min(axis=1)
    state = np.where(least > 0, np.where(least >= wanted_mm, "clear", "near"), "open").astype(object)
    distance = distance_at(model, (cells.low + cells.high) / 2)
    points = (cells.high == cells.low).all(axis=1)
    apart = points & (distance > 0.0)
    state[apart] = np.where(distance[apart] >= wanted_mm, "clear", "near")
    touching = np.flatnonzero((distance <= 0.0) & (state == "open"))
    deep = touching[overlaps_throughout(model, cells.take(touching))] if touching.size else touching
    state[touching[points[touching]]] = "strikes"
    state[deep] = "strikes"
    # Nearer than the margin all over: nothing in it can come to be clear.
    everywhere = (found.centre + wander(model, cells)).min(axis=1) < wanted_mm
    return state, points | np.isin(state, ("clear", "strikes")) | ((state == "near") & everywhere)


def overlaps_throughout(model: PairModel, cells: Cells) -> Truth:
    """Whether some pair of pieces overlaps at the centre deeper than it can move apart within the cell; (N,)."""
    relative = relative_poses(model, poses_of(model, (cells.low + cells.high) / 2)[0])
    far = wander(model, cells)
    return np.array([
        any(
            penetration(model.pieces, int(a), int(b), relative[n], DEPTH_MM).least_mm > far[n, i] + ROUNDING_MM
            for i, (a, b) in enumerate(zip(model.piece_a, model.piece_b, strict=True))
        )
        for n in range(len(cells))
    ], bool)  # fmt: skip


def _quarters(rectangles: Whole, leaf: list[int]) -> Whole:
    """Each rectangle cut in the middle along every axis on which it is wider than a leaf."""
    for first, last, least in ((0, 1, leaf[0]), (2, 3, leaf[1])):
        wide = rectangles[:, last] - rectangles[:, first] >= least
        middle = (rectangles[:, first] + rectangles[:, last]) // 2
        upper, lower = rectangles[wide].copy(), rectangles.copy()
        upper[:, first] = middle[wide] + 1
        lower[wide, last] = middle[wide]
        rectangles = np.concatenate([lower, upper])
    return rectangles
