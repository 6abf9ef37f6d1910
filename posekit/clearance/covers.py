"""Hulls of points that cover the pieces of a prop, for what is done with points: cutting, and proofs by corners."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi

import numpy as np

from posekit.arrays import Array
from posekit.clearance.cores import NO_HULL
from posekit.clearance.hull import hull_of
from posekit.clearance.solids import Solids

DISC_SIDES = 24
DISC_REACH = 1.0 / cos(pi / DISC_SIDES)  # corners of a polygon about a circle of radius 1
ROUNDS = 2  # times that the faces of an icosahedron are cut in four for a ball
MOST_CORNERS = 256  # of a hull to cut: each cut looks at pairs of corners
SIDEWAYS = 0.5  # the sine of more than the angle between neighbours of BALL


@dataclass(frozen=True, slots=True)
class Cover:
    """Points (V, 3) [mm] in the frame of a link, whose hull grown by `radius` [mm] holds a piece of it.

    Cut by a plane, no more than `over` [mm] of it reaches over the plane, or out of the piece.
    """

    points: Array
    radius: float
    over: float


def cover_of(parts: Solids, s: int) -> Cover:
    """The cover of piece s. Curved shapes get a polytope about them; hulls and boxes are their own corners."""
    local, radius = core_corners(parts, s), float(parts.radius[s])
    if parts.cores.hull[s] != NO_HULL:
        local, radius = _fewer(np.unique(local, axis=0), radius)
        over = 2.0 * radius
    else:
        over = radius * (BALL_REACH - 1.0) + float(parts.cores.disc[s]) * (DISC_REACH - 1.0)
        if radius > 0.0:
            local, radius = _rounded(local, radius), 0.0
    return Cover(np.asarray(parts.centre[s] + local @ parts.rotation[s].T), radius, over)


def core_corners(parts: Solids, s: int) -> Array:
    """Points (V, 3) [mm] about the centre of the core of piece s, whose hull holds it."""
    hull = parts.cores.hull[s]
    if hull != NO_HULL:
        return parts.cores.corners[hull].T
    x, y, z = parts.cores.half[:, s]
    corners = np.array([(i * x, j * y, k * z) for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)])
    # Touching the disc from outside, so that its rim lies within.
    around = 2 * np.pi * np.arange(DISC_SIDES) / DISC_SIDES
    outside = parts.cores.disc[s] * DISC_REACH
    disc = outside * np.stack([np.cos(around), np.sin(around), np.zeros(DISC_SIDES)], axis=1)
    return np.unique((corners[:, None] + disc).reshape(-1, 3), axis=0)


def _rounded(corners: Array, radius: float) -> Array:
    """Points whose hull holds corners (V, 3) [mm] of a segment about the origin, grown by a radius [mm]."""
    # A ball's far side lies within the other ball's: its points are no corners.
    ahead = np.einsum("vi,bi->vb", np.sign(corners), BALL) >= -SIDEWAYS
    return np.asarray((corners[:, None] + radius * BALL)[ahead])


def _fewer(points: Array, radius: float) -> tuple[Array, float]:
    """Points whose hull, grown by the radius that comes with them, holds that of points (V, 3) [mm] so grown."""
    if len(points) <= MOST_CORNERS:
        return points, radius
    hull = hull_of(points, most=MOST_CORNERS)
    return hull.corners, radius + hull.skin_mm


def _ball() -> tuple[Array, float]:
    """Points (V, 3) whose hull holds the ball of radius 1, and how far out they lie."""
    golden = (1.0 + 5.0**0.5) / 2.0
    corners = np.array([(0.0, i, j * golden) for i in (-1, 1) for j in (-1, 1)])
    corners = np.concatenate([np.roll(corners, turn, axis=1) for turn in range(3)])
    apart = np.linalg.norm(corners[:, None] - corners, axis=2)
    near = np.isclose(apart, 2.0)
    faces = np.array([
        (a, b, c) for a in range(12) for b in range(a) for c in range(b) if near[a, b] and near[b, c] and near[a, c]
    ])  # fmt: skip
    triangles = corners[faces]
    for _ in range(ROUNDS):
        middles = (triangles + np.roll(triangles, -1, axis=1)) / 2
        tips = [np.stack([triangles[:, i], middles[:, i], middles[:, i - 1]], axis=1) for i in range(3)]
        triangles = np.concatenate([*tips, middles])
        triangles /= np.linalg.norm(triangles, axis=2, keepdims=True)
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    height = np.abs(np.einsum("fi,fi->f", normal, triangles[:, 0])) / np.linalg.norm(normal, axis=1)
    points = np.unique(np.round(triangles.reshape(-1, 3), 12), axis=0)
    # Rounded to 12 digits: a ten thousand millionth further out than the faces ask for.
    far = (1.0 + 1e-10) / float(height.min())
    return points * far, far


BALL, BALL_REACH = _ball()
