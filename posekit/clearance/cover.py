"""Whether convex pieces cover a mesh: how far, at most, its surface stands out of them, and whether they fill it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from posekit.arrays import Array, Faces
from posekit.clearance.hollow import filling, has_inside
from posekit.clearance.hull import gaps_to_hull
from posekit.clearance.solids import Solids
from posekit.errors import Finding, error, note, warning
from posekit.prop.model import Prop, Shape
from posekit.prop.shapes import sources
from posekit.shape import Mesh, Source
from posekit.shape.piece_file import Pieces
from posekit.transforms import rotation_rpy

MOST_SPLITS = 10
WITHIN_MM = 0.02
LEAST_HOLLOW_MM = 0.1  # radius of a ball; finer than that no figure is built


def coverage_findings(prop: Prop) -> list[Finding]:
    """What is wrong with the pieces of every solid mesh: see `piece_findings`."""
    findings = []
    for row, shape, source in sources(prop):
        if shape.solid and isinstance(shape.form, Mesh) and shape.form.pieces:
            pieces = shape.form.convex_pieces(source)
            findings += piece_findings(prop, prop.links[row].name, shape, source, pieces)
    return findings


def piece_findings(prop: Prop, link: str, shape: Shape, source: Source, pieces: Pieces) -> list[Finding]:
    """What is wrong with convex pieces of the mesh of a shape of a link.

    An error where the mesh stands out of them further than their skin is thick, or where they leave a hollow inside
    it: there the builder's mesh can strike while clearance still sees a gap, so nothing is proved. Of hollows each is
    found that holds a ball as wide as the margin, so that no part that keeps the margin stands in one; a note tells
    where only wider ones are, a warning where the mesh is not closed and so has no inside.
    """
    assert isinstance(shape.form, Mesh)
    place = f"{source.place}.pieces"
    file = f"= {shape.form.pieces!r}"
    vertices, faces = shape.form.triangles(source)
    stands_out = uncovered(vertices, faces, pieces.hulls)
    if stands_out > pieces.skin_mm + WITHIN_MM:
        sentence = (
            f"{file} leaves parts of the mesh out by up to {stands_out:.2f} mm; its skin covers "
            f"{pieces.skin_mm:.2f} mm, so make the pieces again or set the skin to {stands_out:.2f}"
        )
        return [error("pieces-short", place, sentence)]
    margin = prop.clearance.margin
    found = filling(vertices, faces, pieces.hulls, pieces.skin_mm + WITHIN_MM, max(margin, LEAST_HOLLOW_MM))
    findings = []
    if found.hollows:
        widest, others = found.hollows[0], len(found.hollows) - 1
        x, y, z = shape.at + rotation_rpy(shape.turn) @ widest.centre
        sentence = (
            f"{file} leaves a hollow inside the mesh, {2 * widest.radius_mm:.1f} mm wide or more, about "
            f"({x:.1f}, {y:.1f}, {z:.1f}) mm in '{link}'{f' (and {others} more)' if others else ''}: a part in there "
            "would count as clear. Make the pieces again; if the hollow is real, give the mesh its inner surface"
        )
        findings.append(error("pieces-hollow", place, sentence))
    if found.within_mm > max(margin, LEAST_HOLLOW_MM):
        sentence = (
            f"{file}: hollows inside the mesh less than {2 * found.within_mm:.1f} mm wide were not looked for; "
            "fewer pieces make that finer"
        )
        findings.append(note("pieces-hollow-small", place, sentence))
    if len(pieces.hulls) > 1 and not has_inside(faces):
        sentence = (
            f"{file} covers a mesh that is not closed, so what is inside it is not known: a part in there can count "
            "as clear; close the mesh if it is solid"
        )
        findings.append(warning("pieces-open", place, sentence))
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
