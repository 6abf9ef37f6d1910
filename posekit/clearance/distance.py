"""Smallest distance between links, with its certificate: for batches of poses or odd pairs of poses.

    watch(prop) -> Watch
    separation(solids, side_a (N,), side_b (N,), relative (N, 4, 4), asked) -> Separation of N
    separations(watch, world_from_link (P, L, 4, 4), asked)           -> Separation of (P, K)
    distances(prop, positions (P, J))                                       -> (P, K) mm

`separation` is the door for whoever asks about irregular sets: row n is side_a[n] against side_b[n], and
only their relative pose matters. Distances are mm and 0 where the links touch or overlap.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array, Index
from posekit.clearance.bounds import PiecePairs, piece_pairs, pieces_of, placed_pieces
from posekit.clearance.gjk import TOLERANCE_MM, gap_steps
from posekit.clearance.simplex import dot
from posekit.clearance.solids import Solids
from posekit.clearance.watch import Watch, watch
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.stepwise import finished
from posekit.transforms import a_from_b

BATCH = 8192  # pairs of pieces a go: enough to drown the calls, few enough for a processor's cache
NO_PIECE = np.intp(-1)


@dataclass(frozen=True, slots=True)
class Asked:
    """How much of a separation is wanted.

    A distance above `beyond_mm` may be told by its bounds alone: `lower` then exceeds it and the gap up to
    `upper` stays open. Below, the two meet within `tolerance_mm`, or as near as float64 allows; the last
    digits cost curved shapes most. `points` False leaves the nearest points out, for a third of the time.
    """

    beyond_mm: float = np.inf
    tolerance_mm: float = TOLERANCE_MM
    points: bool = True


ALL = Asked()


@dataclass(frozen=True, slots=True)
class Separation:
    """Distances between links, with what proves them; all arrays share the leading shape (N,) or (P, K).

    `lower <= true distance <= upper` [mm], both 0 where links overlap. `point_a` and `point_b` (..., 3)
    [mm] are nearest points of the two links and `normal` (..., 3) is the unit vector from link b to
    link a between them (0 where cores overlap); points are nan unless asked for. Points and normals are in
    the frame of link a from `separation`, in the world's from `separations`. `piece_a` and `piece_b` are
    the rows of Solids that come nearest.
    Links without solid shapes are infinitely far apart.
    """

    lower: Array
    upper: Array
    point_a: Array
    point_b: Array
    normal: Array
    piece_a: Index
    piece_b: Index


def distances(prop: Prop, positions: ArrayLike) -> Array:
    """Distance (P, K) [mm] of each pair of `pairs(prop)` at positions (P, J) [deg | mm]."""
    return separations(watch(prop), forward(prop, positions), Asked(points=False)).upper


def separations(watched: Watch, world_from_link: Array, asked: Asked = ALL) -> Separation:
    """Separation (P, K) of the pairs watched at world_from_link (P, L, 4, 4) [mm]."""
    return finished(separations_steps(watched, world_from_link, asked))


def separations_steps(
    watched: Watch, world_from_link: Array, asked: Asked = ALL
) -> Generator[None, None, Separation]:
    """`separations` in small steps, for callers with other work to do."""
    P, K = len(world_from_link), len(watched.pairs)
    a, b = world_from_link[:, watched.links[:, 0]], world_from_link[:, watched.links[:, 1]]
    side_a, side_b = (np.tile(sides, P) for sides in watched.sides.T)
    relative = a_from_b(a, b).reshape(-1, 4, 4)
    flat = yield from separation_steps(watched.parts, side_a, side_b, relative, asked)
    turn, at = a[..., :3, :3], a[..., :3, 3]
    return Separation(
        flat.lower.reshape(P, K),
        flat.upper.reshape(P, K),
        (turn @ flat.point_a.reshape(P, K, 3, 1))[..., 0] + at,
        (turn @ flat.point_b.reshape(P, K, 3, 1))[..., 0] + at,
        (turn @ flat.normal.reshape(P, K, 3, 1))[..., 0],
        flat.piece_a.reshape(P, K),
        flat.piece_b.reshape(P, K),
    )


def separation(
    parts: Solids,
    side_a: Index,
    side_b: Index,
    relative: Array,
    asked: Asked = ALL,
) -> Separation:
    """Separation (N,) of sides side_a[n] from side_b[n] at a_from_b `relative` (N, 4, 4) [mm].

    Where links have no solid shape both bounds are infinite and the pieces are NO_PIECE.
    """
    return finished(separation_steps(parts, side_a, side_b, relative, asked))


def separation_steps(
    parts: Solids, side_a: Index, side_b: Index, relative: Array, asked: Asked = ALL
) -> Generator[None, None, Separation]:
    """`separation` in small steps, for callers with other work to do."""
    count = len(side_a)
    result = Separation(
        np.full(count, np.inf),
        np.full(count, np.inf),
        np.zeros((count, 3)),
        np.zeros((count, 3)),
        np.zeros((count, 3)),
        np.full(count, NO_PIECE),
        np.full(count, NO_PIECE),
    )
    sizes = pieces_of(parts, side_a) * pieces_of(parts, side_b)
    solid = np.flatnonzero(sizes)
    goes = np.cumsum(sizes[solid]) // BATCH
    for items in np.split(solid, np.flatnonzero(np.diff(goes)) + 1):
        if items.size:
            candidates = piece_pairs(parts, side_a[items], side_b[items], relative[items], asked.beyond_mm)
            yield
            _write(result, items, (yield from _nearest_pieces(parts, candidates, asked)))
    return result


def _nearest_pieces(parts: Solids, pairs: PiecePairs, asked: Asked) -> Generator[None, None, Separation]:
    """The narrow phase over piece pairs that may matter, reduced to one row per pair of links."""
    near = np.flatnonzero(pairs.lower <= pairs.limit[pairs.group])
    placed = placed_pieces(parts, pairs, near)
    gap = yield from gap_steps(placed, pairs.limit, asked.tolerance_mm, asked.points)

    # Pieces too far to matter keep what their bounding spheres say.
    lower, upper = pairs.lower.copy(), pairs.upper.copy()
    lower[near] = np.maximum(lower[near], gap.lower - placed.rounding)
    upper[near] = gap.upper - placed.rounding
    best = _first_least(upper, pairs.start, pairs.group)
    a, b = pairs.piece_a[best], pairs.piece_b[best]

    # From core A to link A; between far pieces, from centre to centre.
    offset, point_a = -pairs.offset[:, best], np.zeros((3, best.size))
    row_of = np.full(pairs.group.size, NO_PIECE)
    row_of[near] = np.arange(near.size)
    row = row_of[best]
    found = np.flatnonzero(row != NO_PIECE)
    link_from_core = parts.rotation.transpose(1, 2, 0).take(a[found], axis=-1)
    offset[:, found] = np.einsum("ijn,jn->in", link_from_core, gap.offset.take(row[found], axis=-1))
    point_a[:, found] = np.einsum("ijn,jn->in", link_from_core, gap.point_a.take(row[found], axis=-1))
    length = np.sqrt(dot(offset, offset))
    normal = offset / np.where(length > 0.0, length, 1.0)
    point_a += parts.centre.T.take(a, axis=-1) - normal * parts.radius[a]
    return Separation(
        np.maximum(np.minimum.reduceat(lower - pairs.slack, pairs.start), 0.0),
        np.maximum(upper[best], 0.0),
        point_a.T,
        (point_a - offset + normal * (parts.radius[a] + parts.radius[b])).T,
        normal.T,
        a,
        b,
    )


def _first_least(values: Array, start: Index, group: Index) -> Index:
    """The row of the first least value of each group; groups are runs of rows that begin at `start`."""
    least = np.minimum.reduceat(values, start)
    rows = np.flatnonzero(values == least[group])
    return rows[np.searchsorted(rows, start)]


def _write(result: Separation, items: Index, rows: Separation) -> None:
    """Put separations in their places of the result."""
    for field in fields(Separation):
        getattr(result, field.name)[items] = getattr(rows, field.name)
