"""The colour of a surface of a GLB: factor times vertex colours times picture, as glTF 2.0 (3.9.2) has it.

Factor and vertex colours are linear, a picture is encoded. Nobody here reads pictures: `Picture` does.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from posekit.arrays import Array, Faces
from posekit.shape.mesh_file.colours import NONE, Colour, areas, encoded, linear, one_colour

# The picture of that number in the file, of these bytes: (H, W, 4), red, green, blue and opacity, 0 to 255, encoded.
# Raises ValueError, the end of a sentence, where it cannot be read.
Picture = Callable[[int, bytes], Array]
Values = Callable[[int, str], Array]  # the rows of an accessor of that number and type

FEW = 20_000  # triangles that are looked at in more than one place
SIDE = 4  # of such a triangle, cut into SIDE² equal ones
APART = "lies in no place of the file that can be read"


def surface_colour(
    described: dict[str, Any],
    part: dict[str, Any],
    values: Values,
    bytes_of: Callable[[int], bytes],
    mesh: tuple[Array, Faces],
    picture: Picture,
) -> Colour:
    """The colour of one surface; `mesh` are its triangles in their place, `bytes_of` gives what a bufferView holds.

    Raises ValueError for a colour that is none.
    """
    surface, factor = {}, np.ones(3)
    if "material" in part:
        surface = described["materials"][part["material"]].get("pbrMetallicRoughness", {})
    if "baseColorFactor" in surface:
        factor = np.clip(np.array(surface["baseColorFactor"], float)[:3], 0.0, 1.0)
        if factor.shape != (3,) or not np.isfinite(factor).all():
            raise ValueError("has a colour that is none; export it again")
    texture = surface.get("baseColorTexture")
    corners = part["attributes"].get("COLOR_0")
    if texture is None and corners is None:
        return _encoded(factor) if "baseColorFactor" in surface else NONE
    vertices, faces = mesh
    size = areas(vertices, faces)
    shares, what = np.broadcast_to(factor, (len(faces), 1, 3)), []
    weights = np.ones((len(faces), 1))
    if corners is not None:
        kind = described["accessors"][corners]["type"]
        shares = shares * values(corners, kind)[faces, :3].mean(axis=1)[:, None]
        what.append("at its corners")
    if texture is not None:
        try:
            seen = _seen(described, part, texture, values, bytes_of, faces, picture)
        except ValueError as reason:
            return Colour(
                None, f"has a picture for its colour, which {reason}; its colour is one to begin with"
            )
        shares, weights = shares * linear(seen[..., :3]), seen[..., 3]
        what.append("in its picture")
    each = size[:, None] * weights / weights.shape[1]
    shares = np.broadcast_to(shares, (*weights.shape, 3)) if texture is not None else shares
    return one_colour(encoded(shares.reshape(-1, 3)), each.reshape(-1), " and ".join(what))


def _encoded(factor: Array) -> Colour:
    return one_colour(encoded(factor)[None], np.ones(1), "")


def _seen(
    described: dict[str, Any],
    part: dict[str, Any],
    texture: dict[str, Any],
    values: Values,
    bytes_of: Callable[[int], bytes],
    faces: Faces,
    picture: Picture,
) -> Array:
    """What each triangle shows of its picture (F, N, 4), 0 to 1, at N places of equal area. Raises ValueError."""
    index = described["textures"][texture["index"]].get("source")
    accessor = part["attributes"].get(f"TEXCOORD_{texture.get('texCoord', 0)}")
    if index is None or accessor is None or "bufferView" not in described["images"][index]:
        raise ValueError(APART)
    found = picture(index, bytes_of(described["images"][index]["bufferView"]))
    places = _places(texture, values(accessor, "VEC2"))[faces]
    inside = np.einsum("nc,fcx->fnx", _centres(SIDE if len(faces) <= FEW else 1), places)
    inside = np.where(np.isfinite(inside), inside, 0.0) % 1.0  # a picture goes on beyond its edges
    high, wide = found.shape[:2]
    across = np.minimum((inside[..., 0] * wide).astype(np.intp), wide - 1)
    down = np.minimum((inside[..., 1] * high).astype(np.intp), high - 1)
    return found[down, across] / 255.0


def _places(texture: dict[str, Any], places: Array) -> Array:
    """Places (V, 2) in the picture, moved as KHR_texture_transform says, where it does."""
    moved = texture.get("extensions", {}).get("KHR_texture_transform", {})
    turn = float(moved.get("rotation", 0.0))
    scaled = places * np.array(moved.get("scale", (1.0, 1.0)), float)
    turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return np.asarray(scaled @ turned.T + np.array(moved.get("offset", (0.0, 0.0)), float))


def _centres(side: int) -> Array:
    """The middles of the side² equal triangles in a triangle, by shares of its corners (N, 3)."""
    first, second = np.divmod(np.arange(side * side), side)
    up = first + second < side
    a, b = np.where(up, first, side - first), np.where(up, second, side - second)
    low = np.where(up, 1, -1) / 3.0
    shares = np.column_stack([a + low, b + low]) / side
    return np.column_stack([shares, 1.0 - shares.sum(axis=1)])
