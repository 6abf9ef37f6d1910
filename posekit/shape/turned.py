"""Round surfaces as triangles: an outline turned about z, cut finely enough to look round."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array
from posekit.shape.protocol import Triangles

SAGITTA_MM = 0.15  # how far a flat facet may lie inside the round form
FEWEST, MOST = 12, 48  # facets of a full turn; multiples of 4, so that the extreme points are vertices


def _facets(radius_mm: float) -> int:
    """Facets of a full turn: their sagitta r (1 - cos(pi / n)) < r (pi / n)^2 / 2 is SAGITTA_MM, within limits."""
    needed = np.pi * np.sqrt(radius_mm / (2 * SAGITTA_MM))
    return 4 * int(np.ceil(np.clip(needed, FEWEST, MOST) / 4))


def capped(radius_mm: float, length_mm: float) -> Array:
    """Outline of a capsule from the lower pole to the upper one: (radius, height) in units of its radius."""
    angle = np.linspace(0.0, np.pi / 2, _facets(radius_mm) // 4 + 1)
    upper = np.column_stack([np.cos(angle), np.sin(angle) + length_mm / 2 / radius_mm])
    upper[-1, 0] = 0.0
    return np.concatenate([upper[::-1] * (1.0, -1.0), upper])


def turned(radius_mm: float, outline: Array) -> Triangles:
    """The outline turned about z: at radius 1, as trimesh has absolute limits for small triangles."""
    from trimesh import creation

    surface = creation.revolve(outline, sections=_facets(radius_mm))
    return np.asarray(surface.vertices) * radius_mm, np.asarray(surface.faces)
