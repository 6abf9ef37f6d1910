"""The posed prop as one STL, for a slicer or a CAD program: mm, +Z up, every drawn shape where it stands."""

from __future__ import annotations

import numpy as np

from posekit.errors import PosekitError, error
from posekit.mechanism.pose import Pose
from posekit.prop.model import Prop
from posekit.prop.shapes import sources
from posekit.transforms import placement


def encode(prop: Prop, state: Pose) -> bytes:
    """Binary STL of all drawn shapes of the prop in this pose. Raises PosekitError if the prop draws no shape."""
    import trimesh
    from trimesh.exchange.stl import export_stl

    parts = []
    for row, shape, source in sources(prop):
        if not shape.drawn:
            continue
        vertices, faces = shape.form.triangles(source)
        world_from_shape = np.asarray(state.links[prop.links[row].name]) @ placement(shape.at, shape.turn)
        placed = vertices @ world_from_shape[:3, :3].T + world_from_shape[:3, 3]
        parts.append(trimesh.Trimesh(placed, faces, process=False))
    if not parts:
        raise PosekitError(
            [error("no-shape", "", "no part has a shape that is drawn; an STL needs at least one")]
        )
    return bytes(export_stl(trimesh.util.concatenate(parts)))
