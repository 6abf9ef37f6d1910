"""The straight edge of a mesh nearest to a point: where two faces meet at an angle, or one ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.authoring.surface.grow import is_smooth
from posekit.authoring.surface.mesh import Walk

SHARP_DEG = 20.0  # between the faces of an edge: a hole of 24 flats has 15
GOES_ON_DEG = 45.0  # between one piece of an edge and the next: less is a bend of it, more a corner
STRAIGHT_SHARE, STRAIGHT_MM = (
    1e-3,
    0.01,
)  # of its length, and what more, that pieces of one edge lie off its line


@dataclass(frozen=True, slots=True)
class Edge:
    """Both ends (2, 3) [mm] of a straight edge, and how far [mm] the point was from it.

    Where the nearest edge is bent, or the mesh has none, `why` says so and the ends are those of its nearest piece.
    """

    ends: Array
    away: float
    why: str


def edge_about(walk: Walk, point: Array) -> Edge:
    """The straight edge of a mesh that is nearest to a point (3,) [mm]."""
    pairs = _sharp(walk)
    if not len(pairs):
        return Edge(np.full((2, 3), np.nan), np.inf, "there is no edge: all of the surface goes on smoothly")
    ends = walk.vertices[pairs]
    nearest, away = _nearest(ends, point)
    begin, along = ends[nearest, 0], ends[nearest, 1] - ends[nearest, 0]
    length = float(np.linalg.norm(along))
    direction = along / max(length, 1e-300)
    place = (ends - begin) @ direction  # (E, 2)
    off = np.linalg.norm(ends - begin - place[..., None] * direction, axis=2).max(axis=1)
    on_line = off <= STRAIGHT_SHARE * np.maximum(length, np.abs(place).max(axis=1)) + STRAIGHT_MM
    low, high = _joined(place[on_line], place[nearest])
    whole = np.stack([begin + low * direction, begin + high * direction])
    bends = _bends(ends[~on_line], whole, direction)
    why = "the edge there is bent; use a point on the round wall beside it, or two points" if bends else ""
    return Edge(ends[nearest] if bends else whole, away, why)


def _sharp(walk: Walk) -> Index:
    """The two vertices of each sharp edge (E, 2), each edge once."""
    sharp = ~is_smooth(walk, SHARP_DEG)
    pairs = np.stack([walk.faces, np.roll(walk.faces, -1, axis=1)], axis=-1)[sharp]
    return np.asarray(np.unique(np.sort(pairs, axis=1), axis=0), np.intp)


def _nearest(ends: Array, point: Array) -> tuple[int, float]:
    along = ends[:, 1] - ends[:, 0]
    share = np.einsum("ei,ei->e", point - ends[:, 0], along) / np.maximum((along**2).sum(axis=1), 1e-300)
    foot = ends[:, 0] + np.clip(share, 0.0, 1.0)[:, None] * along
    away = np.linalg.norm(foot - point, axis=1)
    best = int(np.argmin(away))
    return best, float(away[best])


def _joined(spans: Array, own: Array) -> tuple[float, float]:
    """From where to where spans (N, 2) of a line reach that touch each other and so `own` (2,)."""
    spans = np.sort(spans, axis=1)
    spans = spans[np.argsort(spans[:, 0])]
    reach = np.maximum.accumulate(spans[:, 1])
    begins = np.concatenate([[True], spans[1:, 0] > reach[:-1] + STRAIGHT_MM])
    group = np.cumsum(begins) - 1
    mine = group[np.searchsorted(spans[:, 0], own.min(), side="right") - 1]
    return float(spans[group == mine, 0].min()), float(spans[group == mine, 1].max())


def _bends(others: Array, whole: Array, direction: Array) -> bool:
    """Whether another edge (N, 2, 3) goes on from an end of this one in nearly its direction."""
    for end, way in zip(whole, (-direction, direction), strict=True):
        for near, far in ((0, 1), (1, 0)):
            touching = others[np.linalg.norm(others[:, near] - end, axis=1) <= STRAIGHT_MM]
            ahead = touching[:, far] - touching[:, near]
            size = np.maximum(np.linalg.norm(ahead, axis=1), 1e-300)
            if np.any(ahead @ way > np.cos(np.radians(GOES_ON_DEG)) * size):
                return True
    return False
