"""OBJ: the vertices and faces of it; lines for groups, textures and normals are passed over.

`obj_colour` looks at its materials.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from posekit.budgets import CORNERS_OF_TRIANGLE, FACE_CORNERS, MESH_TRIANGLES, VALUE_LETTERS
from posekit.shape.mesh_file.lines import lines_of, numbers, vertex
from posekit.shape.protocol import Triangles
from posekit.text import printable


def read_obj(content: bytes, most: int = MESH_TRIANGLES) -> Triangles:
    """The triangles of an OBJ file, `most` at most, faces of more corners cut into fans.

    Raises ValueError, as `triangles_in` does, for a file that is none.
    """
    corners = CORNERS_OF_TRIANGLE * most
    vertices: list[tuple[float, float, float]] = []
    faces: list[tuple[int, int, int]] = []
    for number, words in lines_of(content, continued=b"\\", most=most):
        if words[0] == b"v":
            # After the place some files give a weight or a colour.
            vertices.append(numbers(words[1:4], number))
            if len(vertices) > corners:
                raise ValueError(f"has more than {corners} vertices; thin it out")
        elif words[0] == b"f":
            first, *others = _corners(words[1:], len(vertices), number, corners)
            faces += [(first, a, b) for a, b in pairwise(others)]
            if len(faces) > most:
                raise ValueError(f"has more than {most} triangles; thin it out")
    return np.array(vertices, float).reshape(-1, 3), np.array(faces, np.int64).reshape(-1, 3)


def _corners(words: list[bytes], count: int, number: int, most: int) -> list[int]:
    """The rows of the vertices that a face names, as `vertex/texture/normal`, from 1 on or back from the last."""
    if not 3 <= len(words) <= FACE_CORNERS:
        raise ValueError(f"line {number}: a face of {len(words)} corners; use 3 to {FACE_CORNERS}")
    named = [name for word in words if (name := vertex(word)) is not None]
    if len(named) < len(words):
        found = printable(b" ".join(words[:4]).decode("utf-8", "replace"), VALUE_LETTERS)
        raise ValueError(f"line {number}: '{found}' names no vertices; export it again")
    rows = [name - 1 if name > 0 else count + name if name < 0 else -1 for name in named]
    # A vertex may come after the face that names it, so that only what no vertex can be is told here.
    wrong = [name for name, row in zip(named, rows, strict=True) if not 0 <= row < most]
    if wrong:
        raise ValueError(f"line {number}: there is no vertex {str(wrong[0])[:20]}; export it again")
    return rows
