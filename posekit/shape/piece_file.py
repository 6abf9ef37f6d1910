"""Convex pieces of a mesh: the file that keeps them beside the prop.

    {"format": 1, "skin": 0.05, "pieces": [[[x, y, z], ...], ...]}

Coordinates and skin are in the units of the mesh file, so that the shape's `scale` serves both.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Pieces:
    """Convex hulls of points (V, 3) [mm], which grown by `skin_mm` cover the mesh they were made from."""

    hulls: tuple[Array, ...]
    skin_mm: float


def pieces_in(content: bytes, scale: float = 1.0) -> Pieces:
    """The convex pieces of a file, times `scale`.

    Raises ValueError, a sentence that goes on after the name of the file, for what `write_pieces` did not write.
    """
    try:
        table = json.loads(content)
        found = table["format"]
        hulls = tuple(np.array(points, float) * scale for points in table["pieces"])
        skin_mm = float(table["skin"]) * scale
    except (ValueError, KeyError, TypeError) as reason:
        raise ValueError(f"does not hold pieces ({type(reason).__name__}: {reason})") from reason
    if found != FORMAT:
        raise ValueError(f"has format {found!r}; this posekit reads {FORMAT}")
    whole = all(hull.ndim == 2 and hull.shape[1] == 3 and np.isfinite(hull).all() for hull in hulls)
    if not hulls or not whole or not 0.0 <= skin_mm < np.inf:
        raise ValueError("must hold lists of finite [x, y, z] and a skin of 0 or more")
    return Pieces(hulls, skin_mm)


def write_pieces(pieces: Pieces) -> bytes:
    """The file of these pieces, for a mesh with scale 1."""
    content = {
        "format": FORMAT,
        "skin": pieces.skin_mm,
        "pieces": [hull.tolist() for hull in pieces.hulls],
    }
    return (json.dumps(content) + "\n").encode()
