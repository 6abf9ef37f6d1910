"""The frame of the picture, which is that of glTF: metres, +Y up, +Z to the front."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.bridge.views import Floats

MM = 1e-3
# Our x to the front becomes z, our y to the left x, our z upwards y.
PICTURE_FROM_PROP = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])


def matrices(world_from_link: Array) -> Floats:
    """picture_from_link, column by column; (..., 4, 4) mm to (..., 16). A link keeps its own axes, in metres."""
    picture = np.array(world_from_link, float)
    picture[..., :3, :3] = PICTURE_FROM_PROP @ world_from_link[..., :3, :3]
    picture[..., :3, 3] = points(world_from_link[..., :3, 3])
    return picture.swapaxes(-1, -2).reshape(*picture.shape[:-2], 16).astype(np.float32)


def points(world_mm: Array) -> Array:
    """Points of the world in the picture; (..., 3) mm to (..., 3) m."""
    return world_mm @ PICTURE_FROM_PROP.T * MM


def to_world_mm(point: ArrayLike) -> Array:
    """A point of the picture in the prop's world; (..., 3) m to (..., 3) mm."""
    return np.asarray(point, float) @ PICTURE_FROM_PROP / MM


def to_link_mm(point: ArrayLike) -> Array:
    """A point in a link's frame, which the picture does not turn; (..., 3) m to (..., 3) mm."""
    return np.asarray(point, float) / MM
