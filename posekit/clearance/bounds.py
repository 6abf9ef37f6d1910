"""Bounding volumes first: which pieces of two links can be the nearest ones at all.

A sphere about each piece bounds the distance of two pieces from below, the distance of their centres
(points of the pieces) from above. A piece pair whose lower bound exceeds the best upper bound of its two
links, or the distance that the caller cares for, never reaches the narrow phase.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.clearance.gjk import EPSILON, Placed
from posekit.clearance.simplex import dot
from posekit.clearance.solids import Solids


@dataclass(frozen=True, slots=True)
class PiecePairs:
    """All M pairs of pieces of N pairs of links; those of link pair n are a run of rows from `start[n]`.

    `turn` (3, 3, N) is the rotation of link B in the frame of link A; `offset` (3, M) [mm] leads there from
    the centre of piece A to that of piece B.
    `lower` and `upper` (M,) [mm] bound their distance, negative where overlap is possible or certain;
    `slack` (M,) [mm] is what rounding can take from a lower bound; `limit` (N,) [mm] is the distance
    above which a pair of pieces does not matter.
    """

    piece_a: Index
    piece_b: Index
    group: Index
    start: Index
    turn: Array
    offset: Array
    lower: Array
    upper: Array
    slack: Array
    limit: Array


def pieces_of(parts: Solids, side: Index) -> Index:
    """Number of convex pieces of each side (N,)."""
    return parts.first[side + 1] - parts.first[side]


def piece_pairs(parts: Solids, side_a: Index, side_b: Index, a_from_b: Array, beyond: float) -> PiecePairs:
    """Every piece of side_a[n] against every piece of side_b[n], at a_from_b (N, 4, 4) [mm], bounded."""
    count_b = pieces_of(parts, side_b)
    sizes = pieces_of(parts, side_a) * count_b
    start = np.cumsum(sizes) - sizes
    group = np.repeat(np.arange(sizes.size), sizes)
    within = np.arange(group.size) - start[group]
    piece_a = parts.first[side_a][group] + within // count_b[group]
    piece_b = parts.first[side_b][group] + within % count_b[group]
    pose = np.ascontiguousarray(a_from_b[:, :3].transpose(1, 2, 0))
    turn, at = pose[:, :3], pose[:, 3]
    centre = parts.centre.T
    centre_b = np.einsum("ijm,jm->im", turn.take(group, axis=-1), centre.take(piece_b, axis=-1))
    offset = centre_b + at.take(group, axis=-1) - centre.take(piece_a, axis=-1)
    apart = np.sqrt(dot(offset, offset))
    reach = parts.reach[piece_a] + parts.reach[piece_b]
    slack = 64 * EPSILON * (apart + reach)
    upper = apart - parts.radius[piece_a] - parts.radius[piece_b]
    limit = np.minimum(np.maximum(np.minimum.reduceat(upper, start), 0.0), beyond)
    return PiecePairs(piece_a, piece_b, group, start, turn, offset, apart - reach, upper, slack, limit)


def placed_pieces(parts: Solids, pairs: PiecePairs, rows: Index) -> Placed:
    """The cores of some of the pairs, ready for the narrow phase."""
    a, b, group = pairs.piece_a[rows], pairs.piece_b[rows], pairs.group[rows]
    link_from_core = parts.rotation.transpose(1, 2, 0)
    link_a_from_core_a = link_from_core.take(a, axis=-1)
    link_a_from_core_b = np.einsum(
        "ijm,jkm->ikm", pairs.turn.take(group, axis=-1), link_from_core.take(b, axis=-1)
    )
    return Placed(
        a=parts.cores.take(a),
        b=parts.cores.take(b),
        rotation=np.einsum("jim,jkm->ikm", link_a_from_core_a, link_a_from_core_b),
        centre=np.einsum("jim,jm->im", link_a_from_core_a, pairs.offset.take(rows, axis=-1)),
        rounding=parts.radius[a] + parts.radius[b],
        group=group,
    )
