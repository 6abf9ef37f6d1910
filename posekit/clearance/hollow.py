"""Hollows that convex pieces leave inside a mesh: a part in one would be called clear while it stands in the solid.

What is proved, for pieces grown so far that they hold the surface of the mesh: no point inside the mesh is further
than `within_mm` from them, so no hollow holds a ball of that radius, and a part that is clear by more stands in none.

The space that the grown pieces leave free does not meet the surface, so each stretch of it that hangs together lies
wholly inside the mesh or wholly outside. A cube about everything is cut in eight again and again. A box that no piece
reaches is free; one that a single piece holds, grown by `within_mm` more, is settled, for that is convex: its eight
corners tell. What is neither is cut, and once its diagonal is below `within_mm` it is settled, too: some piece reaches
it. Free boxes that share a side hang together; one point of each such stretch tells on which side of the surface it
lies.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array, Faces, Index, Truth
from posekit.budgets import BOXES
from posekit.clearance.hull import hull_gap_steps
from posekit.clearance.portions import goes
from posekit.stepwise import finished

FEWEST = 3  # others that a piece must touch so that it can help to enclose a hollow
DEEPEST = 16  # times that the cube is cut: some hundred thousandths of its edge, whatever is asked for
LOOSE = 1 / 32  # of what is asked for: how exactly distances are found
SIDES = np.array([(-1, 0, 0), (1, 0, 0), (0, -1, 0), (0, 1, 0), (0, 0, -1), (0, 0, 1)])
CORNERS = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])

Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Hollow:
    """A ball inside a mesh, its centre (3,) [mm] in the frame of the mesh: it is free of the grown pieces."""

    centre: Array
    radius_mm: float


@dataclass(frozen=True, slots=True)
class Filling:
    """The hollows of a mesh, the widest first; each that holds a ball of radius `within_mm` is among them."""

    hollows: tuple[Hollow, ...]
    within_mm: float


@dataclass(frozen=True, slots=True)
class _Boxes:
    """N cubes: cube i is `edge` / 2^level[i] [mm] wide, its least corner `at[i]` such steps from `low` (3,) [mm].

    Its middle is `room[i]` [mm] or more from every piece.
    """

    low: Array
    edge: float
    at: Whole
    level: Whole
    room: Array

    def middle(self, row: int) -> Array:
        """The middle (3,) [mm] of a cube."""
        return self.low + self.edge / 2.0 ** self.level[row] * (self.at[row] + 0.5)


def filling(
    vertices: Array, faces: Faces, hulls: Sequence[Array], grown_mm: float, within_mm: float
) -> Filling:
    """The hollows that hulls (N, 3) [mm], grown by `grown_mm`, leave inside a mesh (V, 3), (F, 3).

    The surface must lie within `grown_mm` of the hulls. What is found is as fine as `within_mm`, or as BOXES allow.
    Of a hollow with a neck too narrow to see, both sides are told. Of a mesh that is not closed, inside is where the
    surface is seen in more than half of all directions.
    """
    return finished(filling_steps(vertices, faces, hulls, grown_mm, within_mm))


def filling_steps(
    vertices: Array, faces: Faces, hulls: Sequence[Array], grown_mm: float, within_mm: float
) -> Generator[None, None, Filling]:
    """`filling` in small steps, for callers with other work to do."""
    if not _may_enclose(hulls, grown_mm):
        return Filling((), 0.0)
    free, within_mm = yield from _free(hulls, grown_mm, within_mm)
    together = _stretches(free)
    at_rim = ((free.at == 0) | (free.at == 2 ** free.level[:, None] - 1)).any(axis=1)
    found = []
    for stretch in np.setdiff1d(together, together[at_rim]):
        yield
        own = np.flatnonzero(together == stretch)
        roomiest = int(own[np.argmax(free.room[own])])
        if abs(_turns(vertices, faces, free.middle(roomiest))) > 0.5:
            found.append(Hollow(free.middle(roomiest), float(free.room[roomiest]) - grown_mm))
    return Filling(tuple(sorted(found, key=lambda hollow: -hollow.radius_mm)), within_mm)


def has_inside(faces: Faces) -> bool:
    """True if each edge of the faces (F, 3) is gone along as often one way as the other: how often they go round a
    point is then a whole number everywhere. Bodies that touch or overlap have that, too.
    """
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    there, count = np.unique(edges, axis=0, return_counts=True)
    back, count_back = np.unique(edges[:, ::-1], axis=0, return_counts=True)
    return np.array_equal(there, back) and np.array_equal(count, count_back)


def _may_enclose(hulls: Sequence[Array], grown_mm: float) -> bool:
    """False if no hollow can lie between hulls grown by `grown_mm`, by which of them can touch at all.

    What a union of convex sets leaves free falls apart only if their nerve has a second homology (nerve theorem and
    Alexander duality; Hatcher, Algebraic Topology, 2002, 4G.3 and 3.44). A set that touches two others or fewer adds
    none (Mayer and Vietoris): taken out one by one, such sets leave nothing of a chain, say. Boxes about the hulls
    tell which can touch.
    """
    low = np.array([hull.min(axis=0) for hull in hulls]) - grown_mm
    high = np.array([hull.max(axis=0) for hull in hulls]) + grown_mm
    touches = np.all((low[:, None] <= high) & (low <= high[:, None]), axis=2)
    left = np.arange(len(hulls))
    # Ends: each round takes out a hull, or is the last.
    while left.size:
        enough = touches[left][:, left].sum(axis=1) > FEWEST  # which count the piece itself
        if enough.all():
            return True
        left = left[enough]
    return False


@dataclass(frozen=True, slots=True)
class _Asked:
    """N cubes of half an edge [mm] with the K pairs of a cube and a hull that may reach it; in the order of hulls."""

    middle: Array
    half: float
    cube: Index
    hull: Index


def _free(
    hulls: Sequence[Array], grown_mm: float, within_mm: float
) -> Generator[None, None, tuple[_Boxes, float]]:
    """The boxes that no hull grown by `grown_mm` reaches, and how fine [mm] they are."""
    tolerance_mm, reach_mm = LOOSE * within_mm, grown_mm + within_mm
    corners = np.concatenate(hulls)
    low = corners.min(axis=0) - reach_mm
    edge = float(np.ptp(corners, axis=0).max()) + 2 * reach_mm
    at, cube, hull = np.zeros((1, 3), np.int64), np.zeros(len(hulls), np.intp), np.arange(len(hulls))
    kept: list[_Boxes] = []
    for level in range(DEEPEST + 1):
        half = edge / 2 ** (level + 1)
        asked = _Asked(low + 2 * half * (at + 0.5), half, cube, hull)
        reaches, room = yield from _reaching(hulls, asked, grown_mm, tolerance_mm)
        is_free = np.ones(len(at), bool)
        is_free[cube[reaches]] = False
        kept.append(_Boxes(low, edge, at[is_free], np.full(is_free.sum(), level), room[is_free]))
        proved_mm = 2 * half * 3**0.5 + tolerance_mm
        if proved_mm <= within_mm:
            break
        asked = replace(asked, cube=cube[reaches], hull=hull[reaches])
        held = yield from _held(hulls, asked, reach_mm, tolerance_mm)
        split = ~is_free & ~held
        cuts = split[asked.cube]
        if not split.any() or len(CORNERS) * cuts.sum() > BOXES:
            break
        rank = np.cumsum(split) - 1
        at = (2 * at[split][:, None] + (CORNERS > 0)).reshape(-1, 3)
        cube = (len(CORNERS) * rank[asked.cube[cuts]][:, None] + np.arange(len(CORNERS))).ravel()
        hull = np.repeat(asked.hull[cuts], len(CORNERS))
    joined = (np.concatenate([getattr(each, name) for each in kept]) for name in ("at", "level", "room"))
    return _Boxes(low, edge, *joined), max(within_mm, proved_mm if split.any() else 0.0)


def _reaching(
    hulls: Sequence[Array], asked: _Asked, grown_mm: float, tolerance_mm: float
) -> Generator[None, None, tuple[Truth, Array]]:
    """Which of the pairs come within `grown_mm`, (K,), and how far at least all hulls are from each middle, (N,)."""
    reaches = np.ones(len(asked.hull), bool)
    # Hulls that are not asked of do not come within `grown_mm` of the cube, so even further from its middle.
    room = np.full(len(asked.middle), grown_mm + asked.half)
    room[asked.cube] = np.inf
    for h, rows in _of_each(asked.hull, hulls):
        yield
        middle = asked.middle[asked.cube[rows]]
        gap = yield from hull_gap_steps(middle, hulls[h], tolerance_mm)
        # Any direction is a proof: how far the cube, which reaches back by the sum of its parts, lies beyond the hull.
        out = gap.offset / np.maximum(np.linalg.norm(gap.offset, axis=0), 1e-300)
        beyond = np.einsum("ni,in->n", middle, out) - (hulls[h] @ out).max(axis=0)
        reaches[rows] = beyond - asked.half * np.abs(out).sum(axis=0) <= grown_mm
        room[asked.cube[rows]] = np.minimum(room[asked.cube[rows]], gap.lower)
    return reaches, room


def _held(
    hulls: Sequence[Array], asked: _Asked, grown_mm: float, tolerance_mm: float
) -> Generator[None, None, Truth]:
    """Which of the cubes a hull grown by `grown_mm` holds, with all its corners, (N,)."""
    held = np.zeros(len(asked.middle), bool)
    for h, rows in _of_each(asked.hull, hulls):
        cubes = asked.cube[rows][~held[asked.cube[rows]]]
        for corner in CORNERS if cubes.size else ():
            yield
            gap = yield from hull_gap_steps(asked.middle[cubes] + asked.half * corner, hulls[h], tolerance_mm)
            cubes = cubes[gap.upper <= grown_mm]
            if not cubes.size:
                break
        held[cubes] = True
    return held


def _of_each(hull: Index, hulls: Sequence[Array]) -> Iterator[tuple[int, Index]]:
    """Each hull of a list in rising order, with its rows, as many at a time as are looked at in one go."""
    names, begins = np.unique(hull, return_index=True)
    for h, rows in zip(names.tolist(), np.split(np.arange(len(hull)), begins[1:]), strict=True):
        for some in goes(rows, hulls[h]):
            yield h, some


def _stretches(boxes: _Boxes) -> Index:
    """A number for each box, (N,), the same for boxes that hang together by their sides."""
    first, second = (
        np.concatenate(ends) if ends else np.empty(0, np.intp)
        for ends in zip(*_neighbours(boxes), strict=True)
    )
    of = np.arange(len(boxes.at))
    # Ends: each round but the last lowers a number, and none goes below 0.
    while True:
        lower = of.copy()
        np.minimum.at(lower, of[first], of[second])
        np.minimum.at(lower, of[second], of[first])
        lower = lower[lower]
        if np.array_equal(lower, of):
            return of
        of = lower


def _neighbours(boxes: _Boxes) -> Iterator[tuple[Index, Index]]:
    """Rows of boxes and of those on the other side of the middle of one of their six faces.

    Of two boxes that share more than an edge, the middle of the smaller one's face lies on the larger one's.
    """
    depth = int(boxes.level.max(initial=0)) + 1  # so that each box has a middle
    scale = 2 ** (depth - boxes.level)[:, None]
    begin = _along_the_curve(boxes.at * scale, depth)
    order = np.argsort(begin)
    begin, width = begin[order], scale[order, 0] ** 3
    for side in SIDES:
        beyond = boxes.at * scale + np.where(side > 0, scale, np.where(side < 0, -1, scale // 2))
        inside = np.flatnonzero(((beyond >= 0) & (beyond < 2**depth)).all(axis=1))
        there = _along_the_curve(beyond[inside], depth)
        found = np.maximum(np.searchsorted(begin, there, side="right") - 1, 0)
        hit = (begin[found] <= there) & (there < begin[found] + width[found])
        yield inside[hit], order[found[hit]]


def _along_the_curve(cell: Whole, depth: int) -> Whole:
    """Where cells (N, 3) stand along the curve of Morton (1966), (N,): the bits of their coordinates in turn.

    A cube that was cut in eight again and again fills one stretch of it.
    """
    found = np.zeros(len(cell), np.int64)
    for bit in range(depth):
        for axis in range(3):
            found |= ((cell[:, axis] >> bit) & 1) << (3 * bit + axis)
    return found


def _turns(vertices: Array, faces: Faces, point: Array) -> float:
    """How often the surface goes round a point (3,): 1 or -1 inside, 0 outside, between them if it is not closed.

    The sum of the solid angles of its triangles (Van Oosterom and Strackee 1983, IEEE Trans. Biomed. Eng. 30(2)).
    """
    a, b, c = (vertices - point)[faces].transpose(1, 0, 2)
    r, s, t = (np.linalg.norm(corner, axis=1) for corner in (a, b, c))
    over = np.einsum("fi,fi->f", a, np.cross(b, c))
    under = (
        r * s * t
        + np.einsum("fi,fi->f", a, b) * t
        + np.einsum("fi,fi->f", b, c) * r
        + np.einsum("fi,fi->f", c, a) * s
    )
    return float(np.arctan2(over, under).sum() / (2 * np.pi))
