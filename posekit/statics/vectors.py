"""Vectors and points of P poses at once, components first and poses last."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array


def at(frame: Array, point: Array) -> Array:
    """A point (3,) [mm] of a link in the world, at its frames (4, 4, P); (3, P)."""
    return np.einsum("ij...,j->i...", frame[:3, :3], point) + frame[:3, 3]


def cross(a: Array, b: Array) -> Array:
    """The product a x b of vectors (3, P); either may be (3, 1). np.cross takes ten times as long."""
    return np.stack([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])
