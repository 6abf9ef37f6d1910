"""Bounding volumes first: which pieces of two links can be the nearest ones at all.

A sphere about each piece bounds the distance of two pieces from below, the distance of their centres
(points of the pieces) from above. A piece pair whose lower bound exceeds the best upper bound of its two
links, or the distance that the caller cares for, never reaches the narrow phase.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from posekit.clearance.gjk import EPSILON, Placed
from posekit.clearance.simplex import dot
from posekit.clearance.solids import Solids

Array = NDArray[np.float64]
Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class PiecePairs:
    """All M pairs of pieces of N pairs of links; those of link pair n are a run of rows from `start[n]`.

    `offset` (3, M) [mm] leads from the centre of piece A to that of piece B, in the frame of link A.
    `lower` and `upper` (M,) [mm] bound their distance, negative where overlap is possible or certain;
    `slack` (M,) [mm] is what rounding can take from a lower bound; `limit` (N,) [mm] is the distance
    above which a pair of pieces does not matter.
    """

    piece_a: Index
    piece_b: Index
    group: Index
    start: Index
    offset: Array
    lower: Array
    upper: Array
    slack: Array
    limit: Array


def pieces_of(parts: Solids, link: Index) -> Index:
    """Number of convex pieces of each link (N,)."""
    return parts.first[link + 1] - parts.first[link]


def piece_pairs(parts: Solids, link_a: Index, link_b: Index, a_from_b: Array, beyond: float) -> PiecePairs:
    """Every piece of link_a[n] against every piece of link_b[n], at a_from_b (N, 4, 4) [mm], bounded."""
    count_b = pieces_of(parts, link_b)
    sizes = pieces_of(parts, link_a) * count_b
    start = np.cumsum(sizes) - sizes
    group = np.repeat(np.arange(sizes.size), sizes)
    within = np.arange(group.size) - start[group]
    piece_a = parts.first[link_a][group] + within // count_b[group]
    piece_b = parts.first[link_b][group] + within % count_b[group]
    b = a_from_b[group]
    centre_b = np.einsum("nij,nj->in", b[:, :3, :3], parts.centre[piece_b]) + b[:, :3, 3].T
    offset = centre_b - parts.centre[piece_a].T
    apart = np.sqrt(dot(offset, offset))
    reach = parts.reach[piece_a] + parts.reach[piece_b]
    slack = 64 * EPSILON * (apart + reach)
    upper = apart - parts.radius[piece_a] - parts.radius[piece_b]
    limit = np.minimum(np.maximum(np.minimum.reduceat(upper, start), 0.0), beyond)
    return PiecePairs(piece_a, piece_b, group, start, offset, apart - reach, upper, slack, limit)


def placed_pieces(parts: Solids, pairs: PiecePairs, rows: Index, a_from_b: Array) -> Placed:
    """The cores of some of the pairs, ready for the narrow phase."""
    a, b, group = pairs.piece_a[rows], pairs.piece_b[rows], pairs.group[rows]
    core_from_link = parts.rotation[a].swapaxes(-1, -2)
    rotation = core_from_link @ a_from_b[group, :3, :3] @ parts.rotation[b]
    return Placed(
        a=parts.cores.take(a),
        b=parts.cores.take(b),
        rotation=np.ascontiguousarray(rotation.transpose(1, 2, 0)),
        centre=np.einsum("nij,jn->in", core_from_link, pairs.offset[:, rows]),
        rounding=parts.radius[a] + parts.radius[b],
        group=group,
    )
