"""Binary PLY, the form in which posekit itself keeps a mesh: each vertex once, and half the size of an STL."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array, Faces

_HEAD = """ply
format binary_little_endian 1.0
element vertex {vertices}
property float x
property float y
property float z
element face {faces}
property list uchar int vertex_indices
end_header
"""
_FACE = np.dtype([("corners", "u1"), ("vertices", "<i4", 3)])


def ply_bytes(vertices: Array, faces: Faces) -> bytes:
    """A binary PLY of a mesh (V, 3), (F, 3), coordinates as float32."""
    rows = np.empty(len(faces), _FACE)
    rows["corners"], rows["vertices"] = 3, faces
    head = _HEAD.format(vertices=len(vertices), faces=len(faces)).encode()
    return head + vertices.astype("<f4").tobytes() + rows.tobytes()
