"""Fewer triangles for a skin, within a stated deviation. Needs the extra `posekit[thin]`.

Edges are collapsed by fast-simplification (quadric errors; Garland, Heckbert, SIGGRAPH 1997), which aims at a number
of triangles. How far the result lies from the whole skin is found by `deviation`, and the number is taken again
until that holds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Faces
from posekit.errors import PosekitError, error
from posekit.exchange.deviation import deviation, surface
from posekit.shape.bulk import is_closed

MANY = 5000  # triangles above which it pays: a figure of twenty such parts still turns smoothly on a phone
FEW = 400  # below which nothing is won
TRIES = 5
GOOD_SHARE = 0.4  # of the deviation allowed: what comes as near to it is thin enough


@dataclass(frozen=True, slots=True, eq=False)
class Thinned:
    """A thinner mesh (V, 3) [mm], (F, 3), and how far it lies from the whole one at most [mm]."""

    vertices: Array
    faces: Faces
    deviation_mm: float


def thinned(vertices: Array, faces: Faces, within_mm: float) -> Thinned | None:
    """The mesh with fewer triangles, none of it farther than `within_mm` from the whole one; None if that needs all.

    A closed mesh stays closed. Raises PosekitError without the library.
    """
    try:
        import fast_simplification
    except ImportError as missing:
        reason = "thinning meshes needs a library that is not installed; pip install 'posekit[thin]'"
        raise PosekitError([error("extra-missing", "", reason)]) from missing
    closed, whole = is_closed(faces), surface(vertices, faces)
    corners = np.ascontiguousarray(faces, np.int32)
    kept: Thinned | None = None
    failed, count = 0, max(FEW, len(faces) // 20)
    for _ in range(TRIES):
        _, _, collapses = fast_simplification.simplify(
            vertices, corners, target_count=count, return_collapses=True, preserve_border=not closed
        )
        points, rest, became = fast_simplification.replay_simplification(vertices, corners, collapses)
        points, rest = np.asarray(points, float), np.asarray(rest, np.int64)
        # A vertex of what went whole became none.
        became = np.where((became >= 0) & (became < len(points)), became, 0).astype(np.intp)
        holds = 0 < len(rest) < len(faces) and (not closed or is_closed(rest))
        off = deviation(whole, surface(points, rest), became, within_mm) if holds else np.inf
        if off <= within_mm:
            kept = Thinned(points, rest, off)
            smaller = max(FEW, int(count * max(1.3 * off / within_mm, 0.25)), failed)
            if failed or off > GOOD_SHARE * within_mm or smaller >= count:
                break
            count = smaller
        else:
            failed = max(failed, count)
            if kept is not None:
                break
            count = int(count * np.clip(1.2 * off / within_mm, 2.0, 6.0))
            if count > 0.7 * len(faces):
                break
    return kept
