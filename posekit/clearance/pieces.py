"""Convex pieces of a mesh: the file that keeps them beside the prop.

    {"format": 1, "skin": 0.05, "pieces": [[[x, y, z], ...], ...]}

Coordinates and skin are in the units of the mesh file, so that the shape's `scale` serves both.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.errors import PosekitError, error
from posekit.prop.model import Mesh, Prop
from posekit.toml.places import dotted

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Pieces:
    """Convex hulls of points (V, 3) [mm], which grown by `skin_mm` cover the mesh they were made from."""

    hulls: tuple[Array, ...]
    skin_mm: float


def read_pieces(prop: Prop, mesh: Mesh) -> Pieces:
    """The convex pieces that the prop keeps for a mesh, times `mesh.scale`.

    Raises PosekitError for a file that is missing or is not what `write_pieces` writes.
    """
    path = str(mesh.pieces)
    if path not in prop.files:
        raise _unusable(prop, path, "is not in the prop folder; make the pieces again, or leave the key out")
    try:
        content = json.loads(prop.files[path])
        if content["format"] != FORMAT:
            raise _unusable(prop, path, f"has format {content['format']!r}; this posekit reads {FORMAT}")
        hulls = tuple(np.array(points, float) * mesh.scale for points in content["pieces"])
        skin_mm = float(content["skin"]) * mesh.scale
    except (ValueError, KeyError, TypeError) as reason:
        raise _unusable(prop, path, f"does not hold pieces ({type(reason).__name__}: {reason})") from reason
    whole = all(hull.ndim == 2 and hull.shape[1] == 3 and np.isfinite(hull).all() for hull in hulls)
    if not hulls or not whole or not 0.0 <= skin_mm < np.inf:
        raise _unusable(prop, path, "must hold lists of finite [x, y, z] and a skin of 0 or more")
    return Pieces(hulls, skin_mm)


def write_pieces(pieces: Pieces) -> bytes:
    """The file of these pieces, for a mesh with scale 1."""
    content = {
        "format": FORMAT,
        "skin": pieces.skin_mm,
        "pieces": [hull.tolist() for hull in pieces.hulls],
    }
    return (json.dumps(content) + "\n").encode()


def _unusable(prop: Prop, path: str, what: str) -> PosekitError:
    places = (
        dotted(("links", link.name, "shapes", number, "pieces"))
        for link in prop.links
        for number, shape in enumerate(link.shapes)
        if isinstance(shape.form, Mesh) and shape.form.pieces == path
    )
    return PosekitError([error("pieces-unusable", next(places, "pieces"), f"= {path!r} {what}", file=path)])
