"""Whether convex pieces cover a mesh: how far, at most, its surface stands out of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from posekit.arrays import Array, Faces
from posekit.clearance.hull import gaps_to_hull
from posekit.clearance.solids import Solids
from posekit.errors import Finding, error
from posekit.prop.model import Prop
from posekit.prop.shapes import sources
from posekit.shape import Mesh

MOST_SPLITS = 10
WITHIN_MM = 0.02


def coverage_findings(prop: Prop) -> list[Finding]:
    """An error for every solid mesh that stands out of its pieces further than their skin is thick.

    Where it does, the builder's mesh can strike while clearance still sees a gap: nothing is proved then.
    """
    findings = []
    for _, shape, source in sources(prop):
        if not (shape.solid and isinstance(shape.form, Mesh) and shape.form.pieces):
            continue
        pieces = shape.form.convex_pieces(source)
        stands_out = uncovered(*shape.form.triangles(source), pieces.hulls)
        if stands_out > pieces.skin_mm + WITHIN_MM:
            findings.append(
                error(
                    "pieces-short",
                    f"{source.place}.pieces",
                    f"= {shape.form.pieces!r} leaves parts of the mesh out by up to {stands_out:.2f} mm; its skin "
                    f"covers {pieces.skin_mm:.2f} mm, so make the pieces again or set the skin to "
                    f"{stands_out:.2f}",
                )
            )
    return findings


def shape_findings(prop: Prop, parts: Solids) -> list[Finding]:
    """What stands between the shapes of the builder and `parts`, the `solids` that clearance takes for them."""
    return [*parts.findings, *coverage_findings(prop)]


def uncovered(vertices: Array, faces: Faces, hulls: Sequence[Array], within_mm: float = WITHIN_MM) -> float:
    """A distance [mm] which no point of the mesh (V, 3), (F, 3) exceeds from the hulls of (N, 3) [mm].

    Proved, not sampled: the distance from a convex piece is a convex function, so over a triangle it is
    largest at a corner. A triangle that no single piece serves is split in four until its bound comes
    within `within_mm` of a point that really stands out as far, or for MOST_SPLITS times.
    """
    corners = vertices[faces]
    apart = _distances(corners, hulls)
    settled = 0.0
    for _ in range(MOST_SPLITS):
        proved = apart.max(axis=1).min(axis=1)
        really = max(settled, float(apart.min(axis=2).max(initial=0.0)))
        open_ = proved > really + within_mm
        settled = max(settled, float(proved[~open_].max(initial=0.0)))
        if not open_.any():
            return settled
        corners, apart = _split(corners[open_], apart[open_], hulls)
    return max(settled, float(apart.max(axis=1).min(axis=1).max()))


def _distances(points: Array, hulls: Sequence[Array]) -> Array:
    """Distance [mm] of points (F, 3, 3) from each of H hulls, (F, 3, H)."""
    flat = points.reshape(-1, 3)
    columns = [gaps_to_hull(flat, hull).upper for hull in hulls]
    return np.stack(columns, axis=1).reshape(len(points), 3, len(hulls))


def _split(corners: Array, apart: Array, hulls: Sequence[Array]) -> tuple[Array, Array]:
    """Each triangle (F, 3, 3) as the four between its corners and the middles of its edges."""
    middle = (corners + np.roll(corners, -1, axis=1)) / 2
    middle_apart = _distances(middle, hulls)
    parts = [(corner, edge, (edge - 1) % 3) for corner, edge in ((0, 0), (1, 1), (2, 2))]
    new = [
        np.stack((corners[:, c], middle[:, after], middle[:, before]), axis=1) for c, after, before in parts
    ]
    new_apart = [
        np.stack((apart[:, c], middle_apart[:, after], middle_apart[:, before]), axis=1)
        for c, after, before in parts
    ]
    return np.concatenate((*new, middle)), np.concatenate((*new_apart, middle_apart))
