"""Meshes with known surfaces, made by script: equal vertices are one, faces counter-clockwise seen from outside."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array, Faces

Mesh = tuple[Array, Faces]


def grid(points: Array, *, closed: bool) -> Mesh:
    """A grid of points (n, m, 3), rings n of m points, as triangles; `closed` joins the last of a ring to its first."""
    n, m = points.shape[:2]
    row, column = np.meshgrid(np.arange(n - 1), np.arange(m if closed else m - 1), indexing="ij")
    a = row * m + column
    b = row * m + (column + 1) % m
    faces = np.concatenate([np.stack([a, b, b + m], -1), np.stack([a, b + m, a + m], -1)]).reshape(-1, 3)
    return points.reshape(-1, 3), faces


def wall(radii: Array, heights: Array, flats: int, arc_deg: float = 360.0) -> Mesh:
    """A wall about z, of a radius at each height, from flat to flat; looks outward."""
    closed = arc_deg == 360.0
    angle = np.radians(np.linspace(0.0, arc_deg, flats + 1)[: flats if closed else None])
    ring = np.stack([np.cos(angle), np.sin(angle)], -1)
    points = np.empty((len(radii), len(ring), 3))
    points[..., :2] = np.asarray(radii)[:, None, None] * ring
    points[..., 2] = np.asarray(heights)[:, None]
    return grid(points, closed=closed)


def cylinder(radius: float, length: float, flats: int, rings: int = 2, arc_deg: float = 360.0) -> Mesh:
    """The wall of a cylinder about z from z = 0."""
    return wall(np.full(rings, radius), np.linspace(0, length, rings), flats, arc_deg)


def sphere(radius: float, flats: int, rings: int) -> Mesh:
    """A ball without its very poles."""
    tilt = np.linspace(-np.pi / 2, np.pi / 2, rings + 2)[1:-1]
    return wall(radius * np.cos(tilt), radius * np.sin(tilt), flats)


def torus(large: float, small: float, around: int, flats: int) -> Mesh:
    """A ring about z."""
    turn = np.linspace(0, 2 * np.pi, around + 1)[:, None]
    angle = np.linspace(0, 2 * np.pi, flats, endpoint=False)
    off = np.broadcast_to(large + small * np.cos(angle), (around + 1, flats))
    points = np.stack(
        [
            off * np.cos(turn),
            off * np.sin(turn),
            np.broadcast_to(small * np.sin(angle), off.shape),
        ],
        -1,
    )
    vertices, faces = grid(points, closed=True)
    return merged(vertices, faces[:, ::-1])


def plate_with_hole(
    size: float, thick: float, radius: float, flats: int, rings: int = 2, chamfer: float = 0.0
) -> Mesh:
    """A square plate from z = 0 to `thick` with a round hole about z, as a closed surface.

    Its outline has as many corners as the hole, on the sides of the square.
    """
    angle = np.linspace(0, 2 * np.pi, flats, endpoint=False) + np.pi / 4
    ring = np.stack([np.cos(angle), np.sin(angle)], -1)
    square = ring / np.abs(ring).max(axis=1, keepdims=True) * size / 2
    heights = np.linspace(0, thick - chamfer, rings)
    loops = [(square, thick), (square, 0.0), *((radius * ring, z) for z in heights)]
    if chamfer:
        loops.append(((radius + chamfer) * ring, thick))
    loops.append((square, thick))
    points = np.stack([np.column_stack([xy, np.full(flats, z)]) for xy, z in loops])
    vertices, faces = grid(points, closed=True)
    return merged(vertices, faces[:, ::-1])


def merged(vertices: Array, faces: Faces) -> Mesh:
    """Equal vertices made one, faces without area left out."""
    _, first, number = np.unique(np.round(vertices, 9), axis=0, return_index=True, return_inverse=True)
    faces = number.reshape(-1)[faces]
    whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 0] != faces[:, 2])
    return vertices[first], faces[whole]


def noisy(mesh: Mesh, sigma: float, seed: int = 0) -> Mesh:
    """Every vertex off by a normal deviation [mm] along each axis."""
    vertices, faces = mesh
    return vertices + np.random.default_rng(seed).normal(0.0, sigma, vertices.shape), faces


def placed(mesh: Mesh, axis: Array, point: Array) -> Mesh:
    """A mesh about z with its z turned to an axis and its origin moved to a point."""
    z = np.asarray(axis, float) / np.linalg.norm(axis)
    x = np.cross(z, np.eye(3)[int(np.argmin(np.abs(z)))])
    x /= np.linalg.norm(x)
    return mesh[0] @ np.stack([x, np.cross(z, x), z]) + point, mesh[1]
