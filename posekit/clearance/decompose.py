"""Convex pieces of a mesh, made once by whoever builds the prop. Needs the extra `posekit[pieces]`.

The decomposition (collision-aware convex decomposition; Wei, Liu, Ling, Su, ACM Transactions on Graphics
41(4), 2022) is as near as it was asked to be; the skin then says how far the mesh still stands out of it,
so that pieces and skin together always cover the mesh.
"""

from __future__ import annotations

from math import ceil

import numpy as np

from posekit.arrays import Array, Faces
from posekit.clearance.cover import uncovered
from posekit.clearance.hull import FEW, hull_of
from posekit.errors import PosekitError, error
from posekit.shape.piece_file import Pieces

DIGITS = 4  # behind the point, mm
SKIN_STEP_MM = 1e-3
QUICK_STEP_MM = (
    0.05  # how much more than need be the skin of quick pieces may be: proving less takes most time
)
# Cuts looked ahead, and how many of them are tried; points on the surface by which they are compared.
QUICK = {"mcts_iterations": 10, "mcts_nodes": 5, "mcts_max_depth": 1, "resolution": 500, "merge": False}


def decompose(
    vertices: Array, faces: Faces, concavity: float = 0.05, within_mm: float = 0.5, *, quick: bool = False
) -> Pieces:
    """Convex pieces that with their skin cover the mesh (V, 3), (F, 3) [mm].

    `concavity` (0.01 to 1, a share of the mesh's size) is how hollow a piece may be before it is cut again;
    `within_mm` is what a piece may lose to have fewer corners, which are what clearance takes its time for.
    `quick` looks one cut ahead, not three: a tenth of the time for pieces that stand out a little more.
    """
    try:
        import coacd
    except ImportError as missing:
        reason = "convex pieces need a library that is not installed; pip install 'posekit[pieces]'"
        raise PosekitError([error("extra-missing", "", reason)]) from missing
    coacd.set_log_level("error")
    found = coacd.run_coacd(
        coacd.Mesh(vertices, faces), threshold=concavity, seed=0, **(QUICK if quick else {})
    )
    hulls = tuple(hull_of(np.round(points, DIGITS), within_mm, at_once=FEW).corners for points, _ in found)
    stands_out = uncovered(vertices, faces, hulls, QUICK_STEP_MM if quick else SKIN_STEP_MM)
    return Pieces(hulls, ceil(stands_out / SKIN_STEP_MM + 1.0) * SKIN_STEP_MM)


def file_units(pieces: Pieces, scale: float) -> Pieces:
    """The same pieces in the units of a mesh file that `scale` takes to mm, as its file of pieces holds them."""
    return Pieces(tuple(hull / scale for hull in pieces.hulls), pieces.skin_mm / scale)
