"""The colours of an OBJ: of the materials that its faces use, or behind the places of its vertices."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from posekit.arrays import Array
from posekit.budgets import MESH_TRIANGLES
from posekit.errors import PosekitError
from posekit.shape.mesh_file.colours import NONE, Colour, areas, one_colour
from posekit.shape.mesh_file.lines import lines_of, numbers
from posekit.shape.mesh_file.mtl import Shares, read_mtl
from posekit.shape.protocol import Triangles

# The file of that name in the folder of the OBJ, None where there is none. PosekitError for one it may not reach.
Library = Callable[[str], bytes | None]


def obj_colour(content: bytes, mesh: Triangles, library: Library, most: int = MESH_TRIANGLES) -> Colour:
    """The colour of an OBJ that was read as `mesh`, by the mean of what its materials or vertices have.

    Raises ValueError as `read_obj` does.
    """
    if b"mtllib" in content and b"usemtl" in content:
        return _of_materials(content, mesh, library, most)
    return _of_vertices(content, mesh, most)


def _of_materials(content: bytes, mesh: Triangles, library: Library, most: int) -> Colour:
    named: list[bytes] = []
    used: list[bytes] = []
    counts: list[int] = []
    material = b""
    for _, words in lines_of(content, continued=b"\\", most=most):
        if words[0] == b"mtllib":
            named.append(b" ".join(words[1:]))
        elif words[0] == b"usemtl":
            material = b" ".join(words[1:])
        elif words[0] == b"f":
            used.append(material)
            counts.append(len(words) - 3)  # a face of n corners is n - 2 triangles
    known, wrong = _materials(named, library)
    wanted = dict.fromkeys(used)
    none = (np.nan, np.nan, np.nan)
    shares = np.array([known.get(each, none) for each in used], float).reshape(-1, 3)
    found = one_colour(np.repeat(shares, counts, axis=0), areas(*mesh), "Kd of its materials")
    missing = [name.decode("utf-8", "replace") for name in wanted if name and name not in known]
    if known and missing:
        wrong.append(f"has no colour for {', '.join(missing[:3])}{' and more' * (len(missing) > 3)}")
    if found.hex is None:
        wrong.append("its colour is one to begin with")
    return Colour(found.hex, "; ".join([found.told] * bool(found.told) + wrong))


def _materials(named: list[bytes], library: Library) -> tuple[dict[bytes, Shares], list[str]]:
    """The colours of all files of materials, and what is wrong with these."""
    found: dict[bytes, Shares] = {}
    wrong: list[str] = []
    for line in dict.fromkeys(named):
        # A line names several files, or one with spaces in its name.
        for name in dict.fromkeys(
            [line.decode("utf-8", "replace"), *line.decode("utf-8", "replace").split()]
        ):
            try:
                content = library(name)
                if content is None:
                    continue
                found.update(read_mtl(content))
            except PosekitError as refused:
                wrong.append(f"names {name} for its colours: {refused.findings[0].message}")
            except ValueError as reason:
                wrong.append(f"names {name} for its colours, which {reason}")
            break
        else:
            name = line.decode("utf-8", "replace")
            wrong.append(
                f"names {name} for its colours, which is not beside it; put it there, and begin again"
            )
    return found, wrong


def _of_vertices(content: bytes, mesh: Triangles, most: int) -> Colour:
    found: list[tuple[float, float, float]] = []
    for number, words in lines_of(content, continued=b"\\", most=most):
        if words[0] == b"v":
            if len(words) != 7:
                return NONE
            found.append(numbers(words[4:], number))
    _, faces = mesh
    shares: Array = np.array(found, float).reshape(-1, 3)
    return one_colour(shares[faces].mean(axis=1), areas(*mesh), "at its corners")
