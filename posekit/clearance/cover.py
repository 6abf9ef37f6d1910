"""Whether convex pieces cover a mesh: how far, at most, its surface stands out of them, and whether they fill it."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator, Sequence

import numpy as np

from posekit.arrays import Array, Faces
from posekit.clearance.hollow import filling_steps, has_inside
from posekit.clearance.hull import hull_gap_steps
from posekit.clearance.portions import goes
from posekit.clearance.solids import Solids
from posekit.errors import Finding, error, note, warning
from posekit.prop.model import Prop, Shape
from posekit.prop.shapes import sources
from posekit.shape import Mesh, Source
from posekit.shape.piece_file import Pieces
from posekit.stepwise import finished
from posekit.text import downward, upward
from posekit.transforms import rotation_rpy

MOST_SPLITS = 10
BLOCK = 2048  # triangles that are looked at together
WITHIN_MM = 0.02
LEAST_HOLLOW_MM = 0.1  # radius of a ball; finer than that no figure is built


def coverage_findings(prop: Prop) -> list[Finding]:
    """What is wrong with the pieces of every solid mesh: see `piece_findings`."""
    return finished(coverage_steps(prop))


def coverage_steps(prop: Prop) -> Generator[None, None, list[Finding]]:
    """`coverage_findings` in small steps, for callers with other work to do."""
    findings = []
    for row, shape, source in sources(prop):
        if shape.solid and isinstance(shape.form, Mesh) and shape.form.pieces:
            yield  # for the first, what reads meshes is loaded, too
            pieces = shape.form.convex_pieces(source)
            findings += yield from _piece_steps(prop, prop.links[row].name, shape, source, pieces)
    return findings


def piece_findings(prop: Prop, link: str, shape: Shape, source: Source, pieces: Pieces) -> list[Finding]:
    """What is wrong with convex pieces of the mesh of a shape of a link.

    An error where the mesh stands out of them further than their skin is thick, or where they leave a hollow inside
    it: there the builder's mesh can strike while clearance still sees a gap, so nothing is proved. Of hollows each is
    found that holds a ball as wide as the margin, so that no part that keeps the margin stands in one; a note tells
    where only wider ones are, a warning where the mesh is not closed and so has no inside.
    """
    return finished(_piece_steps(prop, link, shape, source, pieces))


def _piece_steps(
    prop: Prop, link: str, shape: Shape, source: Source, pieces: Pieces
) -> Generator[None, None, list[Finding]]:
    """`piece_findings` in small steps, for callers with other work to do."""
    assert isinstance(shape.form, Mesh)
    place = f"{source.place}.pieces"
    file = f"= {shape.form.pieces!r}"
    vertices, faces = shape.form.triangles(source)
    stands_out = yield from _uncovered_steps(vertices, faces, pieces.hulls)
    if stands_out > pieces.skin_mm + WITHIN_MM:
        sentence = (
            f"{file} leaves parts of the mesh out by up to {upward(stands_out)} mm; its skin covers "
            f"{downward(pieces.skin_mm)} mm, so make the pieces again or set the skin to {upward(stands_out)}"
        )
        return [error("pieces-short", place, sentence)]
    margin = prop.clearance.margin
    finest = max(margin, LEAST_HOLLOW_MM)
    found = yield from filling_steps(vertices, faces, pieces.hulls, pieces.skin_mm + WITHIN_MM, finest)
    findings = []
    if found.hollows:
        widest, others = found.hollows[0], len(found.hollows) - 1
        x, y, z = shape.at + rotation_rpy(shape.turn) @ widest.centre
        sentence = (
            f"{file} leaves a hollow inside the mesh, {downward(2 * widest.radius_mm, 1)} mm wide or more, about "
            f"({x:.1f}, {y:.1f}, {z:.1f}) mm in '{link}'{f' (and {others} more)' if others else ''}: a part in there "
            "would count as clear. Make the pieces again; if the hollow is real, give the mesh its inner surface"
        )
        findings.append(error("pieces-hollow", place, sentence))
    if found.within_mm > finest:
        sentence = (
            f"{file}: hollows inside the mesh less than {upward(2 * found.within_mm, 1)} mm wide were not looked for; "
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
    return finished(_uncovered_steps(vertices, faces, hulls, within_mm))


def _uncovered_steps(
    vertices: Array, faces: Faces, hulls: Sequence[Array], within_mm: float = WITHIN_MM
) -> Generator[None, None, float]:
    """`uncovered` in small steps, for callers with other work to do."""
    corners = vertices[faces]
    # Triangles (F, 3, 3), how far their corners stand out of each hull (F, 3, H) if that is known, and splits.
    waiting: deque[tuple[Array, Array | None, int]] = deque((some, None, 0) for some in _blocks(corners))
    settled = 0.0
    # Ends: no triangle is split more than MOST_SPLITS times.
    while waiting:
        some, apart, splits = waiting.popleft()
        if apart is None:
            apart = yield from _distances(some, hulls)
        proved = apart.max(axis=1).min(axis=1)
        really = max(settled, float(apart.min(axis=2).max(initial=0.0)))
        open_ = (proved > really + within_mm) & (splits < MOST_SPLITS)
        settled = max(settled, float(proved[~open_].max(initial=0.0)))
        if open_.any():
            split, split_apart = yield from _split(some[open_], apart[open_], hulls)
            waiting += [
                (*each, splits + 1) for each in zip(_blocks(split), _blocks(split_apart), strict=True)
            ]
    return settled


def _blocks(rows: Array) -> list[Array]:
    """Some rows after the other, BLOCK at most."""
    return [rows[begin : begin + BLOCK] for begin in range(0, len(rows), BLOCK)]


def _distances(points: Array, hulls: Sequence[Array]) -> Generator[None, None, Array]:
    """Distance [mm] of points (F, 3, 3) from each of H hulls, (F, 3, H)."""
    flat = points.reshape(-1, 3)
    apart = np.empty((len(flat), len(hulls)))
    for h, hull in enumerate(hulls):
        for rows in goes(np.arange(len(flat)), hull):
            apart[rows, h] = (yield from hull_gap_steps(flat[rows], hull)).upper
            yield
    return apart.reshape(len(points), 3, len(hulls))


def _split(
    corners: Array, apart: Array, hulls: Sequence[Array]
) -> Generator[None, None, tuple[Array, Array]]:
    """Each triangle (F, 3, 3) as the four between its corners and the middles of its edges."""
    middle = (corners + np.roll(corners, -1, axis=1)) / 2
    middle_apart = yield from _distances(middle, hulls)
    parts = [(corner, edge, (edge - 1) % 3) for corner, edge in ((0, 0), (1, 1), (2, 2))]
    new = [
        np.stack((corners[:, c], middle[:, after], middle[:, before]), axis=1) for c, after, before in parts
    ]
    new_apart = [
        np.stack((apart[:, c], middle_apart[:, after], middle_apart[:, before]), axis=1)
        for c, after, before in parts
    ]
    return np.concatenate((*new, middle)), np.concatenate((*new_apart, middle_apart))
