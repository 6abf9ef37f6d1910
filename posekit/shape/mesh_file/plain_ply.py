"""Plain PLY: binary, places as float32 and triangles and nothing else, as posekit writes it and most programs can.

NumPy alone reads it: to load trimesh for it held a page up for half a second, in the middle of an envelope.
"""

from __future__ import annotations

import re

import numpy as np

from posekit.budgets import LINE_BYTES
from posekit.shape.protocol import Triangles

_HEAD = re.compile(
    rb"ply\nformat binary_little_endian 1\.0\n(?:comment [^\r\n]*\n)*"
    rb"element vertex ([0-9]{1,9})\nproperty float x\nproperty float y\nproperty float z\n"
    rb"element face ([0-9]{1,9})\nproperty list uchar (int|uint|ushort) vertex_(?:indices|index)\nend_header\n"
)
_PLACE = np.dtype(("<f4", 3))
_INDICES = {b"int": "<i4", b"uint": "<u4", b"ushort": "<u2"}


def plain_ply(content: bytes) -> Triangles | None:
    """The triangles of a plain PLY file; None for any other, which may be a PLY or none."""
    head = _HEAD.match(content[:LINE_BYTES])
    if not head:
        return None
    face = np.dtype([("corners", "u1"), ("vertices", _INDICES[head[3]], 3)])
    places, count, begin = int(head[1]), int(head[2]), head.end()
    faces_begin = begin + places * _PLACE.itemsize
    if not places or not count or len(content) != faces_begin + count * face.itemsize:
        return None
    faces = np.frombuffer(content, face, count, faces_begin)
    if (faces["corners"] != 3).any():
        return None
    with np.errstate(invalid="ignore"):  # numbers that are none are told later
        vertices = np.frombuffer(content, _PLACE, places, begin).astype(float)
    return vertices, faces["vertices"].astype(np.int64)
