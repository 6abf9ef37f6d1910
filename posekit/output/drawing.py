"""Triangles drawn as a small picture: the nearest at each pixel, lit from above the shoulder, softened at its edges.

Each triangle is cut into rows of pixels, for many at once, as far as memory goes. Places are in pixels with y
downwards; what has more depth is nearer, and of what is equally near the later is seen.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.output.png import Pixels

FINER = 2  # pixels drawn for each that is kept, each way: edges are softened by their mean
AT_ONCE = 100_000  # rows of triangles, and then pixels, in one go: 50 MB with the picture, beside the skin
EDGEWISE = 1e-9  # square pixels: a triangle that is seen from its edge
LIGHT = np.array([-0.45, -0.55, 0.70]) / np.linalg.norm(
    [-0.45, -0.55, 0.70]
)  # from the upper left, before the picture
DIM = 0.42  # what is lit by nothing but the room
GROUND = (0.945, 0.941, 0.925)  # pale, so that white parts show on white paper


@dataclass(frozen=True, slots=True)
class Skin:
    """Triangles as they are drawn: corners (F, 3, 3), unit normals there (F, 3, 3), linear colours (F, 3)."""

    corners: Array
    normals: Array
    colours: Array


def drawing(skin: Skin, side: int) -> Pixels:
    """Pixels (side, side, 3) of a skin, whose corners are at x and y in pixels, y downwards, and depth."""
    fine = side * FINER
    corners = skin.corners * [FINER, FINER, 1.0]
    facing = np.flatnonzero(np.abs(_area(corners)) >= EDGEWISE)
    seen, which = _nearest(corners[facing], fine)
    which = facing[which]
    colours = np.tile(np.array(GROUND), (fine * fine, 1))
    for start in range(0, len(seen), AT_ONCE):
        some = slice(start, start + AT_ONCE)
        colours[seen[some]] = _shaded(skin, corners, which[some], seen[some], fine)
    softened = colours.reshape(side, FINER, side, FINER, 3).mean(axis=(1, 3))
    return np.asarray(np.rint(softened * 255).astype(np.uint8))


def _shaded(skin: Skin, corners: Array, which: Index, seen: Index, fine: int) -> Array:
    """The colours (n, 3), encoded, of the pixels in which these triangles are seen."""
    normal = np.einsum("nc,ncx->nx", _shares(corners[which], seen, fine), skin.normals[which])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    normal[normal[:, 2] < 0] *= -1.0  # open meshes are seen from behind, too
    lit = DIM + (1.0 - DIM) * np.maximum(normal @ LIGHT, 0.0)
    return _encoded(skin.colours[which] * lit[:, None])


def _nearest(corners: Array, fine: int) -> tuple[Index, Index]:
    """The pixels (row times `fine` and column) that triangles cover, and which triangle is nearest at each."""
    nearest = np.full(fine * fine, -np.inf)
    owner = np.full(fine * fine, -1)
    top, past_last = _rows(corners, fine)
    for some in _blocks(past_last - top + 1):  # one that has no row takes memory, too
        which, row, first, count = _spans(corners[some], fine)
        # Depth changes evenly along a row of a triangle, and so from row to row.
        slope = _slope(corners[some])[which]
        a = corners[some][which, 0]
        begin = a[:, 2] + slope[:, 1] * (row + 0.5 - a[:, 1]) + slope[:, 0] * (0.5 - a[:, 0])
        for part in _blocks(count):
            line = np.repeat(np.arange(part.start, part.stop), count[part])
            column = _counted(count[part]) + first[line]
            depth = begin[line] + slope[line, 0] * column
            place = row[line] * fine + column
            nearer = np.flatnonzero(depth >= nearest[place])
            ordered = nearer[np.argsort(depth[nearer], kind="stable")]  # the nearest comes last, and stays
            nearest[place[ordered]] = depth[ordered]
            owner[place[ordered]] = some.start + which[line[ordered]]
    seen = np.flatnonzero(owner >= 0)
    return seen, owner[seen]


def _blocks(sizes: Index) -> Iterator[slice]:
    """Runs of what has these sizes, in order: of AT_ONCE together or less, or of a single one that is larger."""
    ends = np.cumsum(sizes)
    start = 0
    # Ends: by one more at least each time.
    while start < len(sizes):
        before = ends[start] - sizes[start]
        stop = max(int(np.searchsorted(ends, before + AT_ONCE, side="right")), start + 1)
        yield slice(start, stop)
        start = stop


def _counted(sizes: Index) -> Index:
    """0, 1, 2, ... for each of these sizes, one after the other."""
    return np.arange(int(sizes.sum())) - np.repeat(np.cumsum(sizes) - sizes, sizes)


def _rows(corners: Array, fine: int) -> tuple[Index, Index]:
    """The first row of pixels of each triangle (F,), and the row past its last."""
    y = corners[:, :, 1]
    top = np.clip(np.ceil(y.min(axis=1) - 0.5), 0, fine).astype(np.intp)
    below = np.clip(np.floor(y.max(axis=1) - 0.5) + 1, 0, fine).astype(np.intp)
    return top, np.maximum(below, top)


def _spans(corners: Array, fine: int) -> tuple[Index, Index, Index, Index]:
    """Rows of pixels in triangles: which triangle, the row, the first column, and how many pixels; none empty."""
    top, past_last = _rows(corners, fine)
    which = np.repeat(np.arange(len(corners)), past_last - top)
    row = _counted(past_last - top) + top[which]
    level = row + 0.5
    begin, end = np.full(len(which), np.inf), np.full(len(which), -np.inf)
    for one, other in ((0, 1), (1, 2), (2, 0)):
        (xa, ya), (xb, yb) = corners[which, one, :2].T, corners[which, other, :2].T
        crosses = (ya <= level) != (yb <= level)
        x = xa + (level - ya) / np.where(crosses, yb - ya, 1.0) * (xb - xa)
        begin = np.where(crosses, np.minimum(begin, x), begin)
        end = np.where(crosses, np.maximum(end, x), end)
    first = np.ceil(np.clip(begin, 0, fine) - 0.5).astype(np.intp)
    past = np.ceil(np.clip(end, 0, fine) - 0.5).astype(np.intp)
    full = past > first
    return which[full], row[full], first[full], (past - first)[full]


def _slope(corners: Array) -> Array:
    """By how much depth grows with x and with y (F, 2)."""
    b, c = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    x = b[:, 2] * c[:, 1] - b[:, 1] * c[:, 2]
    y = b[:, 0] * c[:, 2] - b[:, 2] * c[:, 0]
    return np.stack([x, y], axis=1) / _area(corners)[:, None]


def _shares(corners: Array, seen: Index, fine: int) -> Array:
    """How much of each corner (n, 3) is in the middle of a pixel, for the triangle (n, 3, 3) that is nearest there."""
    row, column = np.divmod(seen, fine)
    b, c = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    x, y = column + 0.5 - corners[:, 0, 0], row + 0.5 - corners[:, 0, 1]
    area = _area(corners)
    of_b = np.clip((x * c[:, 1] - y * c[:, 0]) / area, 0.0, 1.0)
    of_c = np.clip((b[:, 0] * y - b[:, 1] * x) / area, 0.0, 1.0)
    return np.stack([np.maximum(1.0 - of_b - of_c, 0.0), of_b, of_c], axis=1)


def _area(corners: Array) -> Array:
    """Twice the area (F,) of triangles as they are seen, negative for those whose corners go round the other way."""
    b, c = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return np.asarray(b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])


def _encoded(linear: Array) -> Array:
    """sRGB, 0..1, of linear colours (transfer function of IEC 61966-2-1)."""
    held = np.clip(linear, 0.0, 1.0)
    return np.where(held <= 0.0031308, 12.92 * held, 1.055 * held ** (1 / 2.4) - 0.055)
