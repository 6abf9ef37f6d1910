"""Convex pieces of a mesh: the file that keeps them beside the prop.

    {"format": 1, "skin": 0.05, "pieces": [[[x, y, z], ...], ...]}

Coordinates and skin are in the units of the mesh file, so that the shape's `scale` serves both.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.budgets import HULL_CORNERS, PIECES, PIECES_BYTES
from posekit.text import exact
from posekit.textfile import json_value

FORMAT = 1
LARGEST_MM = 1e9  # as for the mesh itself


@dataclass(frozen=True, slots=True)
class Pieces:
    """Convex hulls of points (V, 3) [mm], which grown by `skin_mm` cover the mesh they were made from."""

    hulls: tuple[Array, ...]
    skin_mm: float


def pieces_in(content: bytes, scale: float = 1.0) -> Pieces:
    """The convex pieces of a file, times `scale`.

    Raises ValueError, a sentence that goes on after the name of the file, for what `write_pieces` did not write.
    """
    if len(content) > PIECES_BYTES:
        raise ValueError(f"has {len(content)} bytes; use {PIECES_BYTES} or fewer")
    try:
        table = json_value(content)
        if table["format"] != FORMAT:
            raise ValueError(f"its format is {str(table['format'])[:20]!r}; this posekit reads {FORMAT}")
        with np.errstate(over="ignore"):
            hulls = tuple(np.array(points, float) * scale for points in table["pieces"])
        skin_mm = float(table["skin"]) * scale
    except (ValueError, KeyError, TypeError, OverflowError) as reason:
        raise ValueError(f"does not hold pieces ({type(reason).__name__}: {reason})") from reason
    whole = all(hull.ndim == 2 and hull.shape[1] == 3 and hull.size for hull in hulls)
    if not hulls or not whole or not 0.0 <= skin_mm <= LARGEST_MM:
        raise ValueError("must hold lists of [x, y, z] and a skin of 0 or more")
    if not all((np.abs(hull) <= LARGEST_MM).all() for hull in hulls):
        raise ValueError(f"has a corner beyond {exact(LARGEST_MM)} mm from its origin; make the pieces again")
    most = max(len(hull) for hull in hulls)
    if most > HULL_CORNERS or len(hulls) > PIECES:
        told = f"has {len(hulls)} pieces, of {most} corners at most"
        raise ValueError(f"{told}; make them again, of {PIECES} pieces and {HULL_CORNERS} corners or fewer")
    return Pieces(hulls, skin_mm)


def write_pieces(pieces: Pieces) -> bytes:
    """The file of these pieces, for a mesh with scale 1."""
    content = {
        "format": FORMAT,
        "skin": pieces.skin_mm,
        "pieces": [hull.tolist() for hull in pieces.hulls],
    }
    return (json.dumps(content) + "\n").encode()
