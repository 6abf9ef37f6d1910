"""The outline of triangles as they are seen from one side: rows of a grid filled between edges, then walked around.

Each row of cells is filled from where a triangle begins in it to where it ends, for all triangles at once; the edges
between full and empty cells make loops, which are thinned to what a small picture shows (Ramer 1972, Douglas and
Peucker 1973).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array, Truth

CELLS = 160  # a side of the grid: a quarter of a millimetre in a picture of 40 mm
LEAST_AREA = 6.0  # cells; a smaller loop is a speck or a gap between triangles
OFF = 0.6  # cells that a thinned outline may be off

Loops = tuple[Array, ...]


def silhouette(triangles: Array) -> Loops:
    """The outlines (n, 2) of triangles (F, 3, 2) within the unit square, as loops in it; holes are loops, too."""
    filled = _filled(triangles * CELLS)
    return tuple(
        _thinned(loop) / CELLS for loop in _loops(np.pad(filled, 1)) if abs(_area(loop)) >= LEAST_AREA
    )


def _filled(triangles: Array) -> Truth:
    """Which cells (row, column) triangles (F, 3, 2) cover, by the middle line of each row."""
    y = triangles[:, :, 1]
    first = np.clip(np.ceil(y.min(axis=1) - 0.5), 0, CELLS).astype(np.intp)
    last = np.clip(np.floor(y.max(axis=1) - 0.5) + 1, 0, CELLS).astype(np.intp)
    counts = np.maximum(last - first, 0)
    which = np.repeat(np.arange(len(triangles)), counts)
    row = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts) + first[which]
    level = row + 0.5
    start, end = np.full(len(which), np.inf), np.full(len(which), -np.inf)
    for a, b in ((0, 1), (1, 2), (2, 0)):
        (xa, ya), (xb, yb) = triangles[which, a].T, triangles[which, b].T
        crosses = (ya <= level) != (yb <= level)
        x = xa + (level - ya) / np.where(crosses, yb - ya, 1.0) * (xb - xa)
        start = np.where(crosses, np.minimum(start, x), start)
        end = np.where(crosses, np.maximum(end, x), end)
    seen = np.isfinite(start) & (end > 0) & (start < CELLS)
    change = np.zeros((CELLS, CELLS + 1), np.intp)
    begin = np.clip(np.floor(start[seen]), 0, CELLS).astype(np.intp)
    past = np.clip(np.floor(end[seen]) + 1, 0, CELLS).astype(np.intp)
    np.add.at(change, (row[seen], begin), 1)
    np.add.at(change, (row[seen], past), -1)
    return np.asarray(change.cumsum(axis=1)[:, :-1] > 0)


def _loops(filled: Truth) -> list[Array]:
    """Loops of corners of cells around what is full; one empty cell stands all round `filled`."""
    follows: dict[tuple[int, int], list[tuple[int, int]]] = {}
    # What is full lies to the left of each edge, x to the right and y upwards with the rows.
    for dy, dx, begin, end in (
        (-1, 0, (0, 0), (1, 0)),
        (0, 1, (1, 0), (1, 1)),
        (1, 0, (1, 1), (0, 1)),
        (0, -1, (0, 1), (0, 0)),
    ):
        rows, columns = np.nonzero(filled & ~np.roll(filled, (-dy, -dx), (0, 1)))
        for y, x in zip(rows.tolist(), columns.tolist(), strict=True):
            follows.setdefault((x + begin[0], y + begin[1]), []).append((x + end[0], y + end[1]))
    loops = []
    # Ends: each round takes an edge at least out of those that are left.
    while follows:
        start = next(iter(follows))
        loop, at = [start], _taken(follows, start, None)
        # Ends: each step takes an edge out, and edges run in closed loops.
        while at != start:
            before, now = loop[-1], at
            loop.append(now)
            at = _taken(follows, now, before)
        loops.append(np.array(loop, float) - 1.0)
    return loops


def _taken(
    follows: dict[tuple[int, int], list[tuple[int, int]]],
    at: tuple[int, int],
    before: tuple[int, int] | None,
) -> tuple[int, int]:
    """The end of the edge to go on by, taken out: where two cells meet at a corner, the one that turns left."""
    ends = follows[at]
    pick = 0
    if before is not None and len(ends) > 1:
        back = (at[0] - before[0], at[1] - before[1])
        turns = [back[0] * (y - at[1]) - back[1] * (x - at[0]) for x, y in ends]
        pick = turns.index(max(turns))
    end = ends.pop(pick)
    if not ends:
        del follows[at]
    return end


def _area(loop: Array) -> float:
    x, y = loop.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def _thinned(loop: Array) -> Array:
    """The loop without the corners that lie within OFF of the line past them."""
    far = int(np.argmax(np.linalg.norm(loop - loop[0], axis=1)))
    closed = np.vstack([loop, loop[:1]])
    kept: NDArray[np.bool_] = np.zeros(len(closed), bool)
    kept[[0, far, -1]] = True
    waiting = [(0, far), (far, len(closed) - 1)]
    # Ends: what waits is a piece of what was taken out, and shorter.
    while waiting:
        a, b = waiting.pop()
        if b - a < 2:
            continue
        way, off = closed[b] - closed[a], closed[a + 1 : b] - closed[a]
        length = float(np.hypot(*way))
        aside = np.abs(way[0] * off[:, 1] - way[1] * off[:, 0]) / length if length else np.hypot(*off.T)
        worst = int(np.argmax(aside))
        if aside[worst] > OFF:
            middle = a + 1 + worst
            kept[middle] = True
            waiting += [(a, middle), (middle, b)]
    return closed[:-1][kept[:-1]]
