"""Corners of a convex hull, in NumPy alone: the browser has no scipy."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def hull_vertices(points: Array) -> Array:
    """The points (N, 3) that matter to the convex hull; all of them, until a hull is built."""
    return np.unique(np.asarray(points, float), axis=0)
