"""How much there is of a body and how it is spread: volume, centre and inertia."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Faces


@dataclass(frozen=True, slots=True)
class Bulk:
    """Volume [mm3] of a body, its centre (3,) [mm] and, times a density, its inertia (3, 3) [mm5] about that centre.

    `is_closed` is False if it is the bulk of a surface that holds nothing in.
    """

    volume_mm3: float
    centre_mm: Array
    inertia_mm5: Array
    is_closed: bool = True


def mesh_bulk(vertices: Array, faces: Faces) -> Bulk:
    """Volume, centre and inertia of the body inside a closed mesh, vertices (V, 3) [mm], faces (F, 3).

    The sum of the tetrahedra from one point to every face, those facing the point negative. A mesh
    whose faces all point inwards counts as if turned. Without volume, the centre is that of its corners.
    """
    closed = is_closed(faces)
    middle = vertices.mean(axis=0)  # near the body, so that little cancels
    a, b, c = (vertices - middle)[faces].transpose(1, 0, 2)
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0
    volume = float(volumes.sum())
    if abs(volume) <= 1e-12 * float(np.abs(volumes).sum()):
        return Bulk(0.0, middle, np.zeros((3, 3)), closed)
    whole = a + b + c
    off = volumes @ whole / (4.0 * volume)
    # The integral of x x^T over a tetrahedron with a corner at 0: V / 20 times this sum (any text on mass properties).
    spread = sum(np.einsum("f,fi,fj->ij", volumes, x, x) for x in (a, b, c, whole)) / (20.0 * volume)
    return Bulk(abs(volume), middle + off, abs(volume) * about(spread - np.outer(off, off)), closed)


def about(spread: Array) -> Array:
    """Inertia (3, 3) about the origin of what has the second moments (3, 3)."""
    return np.asarray(np.trace(spread) * np.eye(3) - spread)


def is_closed(faces: Faces) -> bool:
    """True if every edge (F, 3) of the mesh belongs to two faces that agree on which side is out."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]).astype(np.int64)
    # As one number each: numpy sorts those ten times as fast as rows.
    count = int(edges.max(initial=0)) + 1
    there = np.sort(edges[:, 0] * count + edges[:, 1])
    back = np.sort(edges[:, 1] * count + edges[:, 0])
    return bool((there[1:] != there[:-1]).all() and np.array_equal(there, back))
