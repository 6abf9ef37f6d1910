"""STL, binary and ASCII (3D Systems, StereoLithography Interface Specification, 1989)."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array
from posekit.budgets import MESH_TRIANGLES
from posekit.shape.mesh_file.lines import lines_of, numbers
from posekit.shape.protocol import Triangles

HEADER = 84  # bytes: 80 of anything, then the number of triangles
TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
# The lines of an ASCII facet in their order, by what they begin with.
FACET = (b"facet", b"outer", b"vertex", b"vertex", b"vertex", b"endloop", b"endfacet")


def read_stl(content: bytes, most: int = MESH_TRIANGLES) -> Triangles:
    """The triangles of an STL file, `most` at most.

    Raises ValueError, as `triangles_in` does, for a file that is none.
    """
    told = int.from_bytes(content[80:HEADER], "little") if len(content) >= HEADER else -1
    if len(content) == HEADER + told * TRIANGLE.itemsize:
        _refuse_more(told, most)
        return _one_by_one(np.frombuffer(content, TRIANGLE, offset=HEADER)["corners"])
    if content[:HEADER].lstrip()[:5].lower() == b"solid":
        return _one_by_one(_ascii(content, most))
    if told >= 0:
        sentence = (
            f"tells of {told} triangles, which take {HEADER + told * TRIANGLE.itemsize} bytes, and has "
        )
        raise ValueError(f"{sentence}{len(content)}: it is cut short or no STL; export it again")
    raise ValueError(f"has {len(content)} bytes but no triangle: it is cut short or no STL; export it again")


def _refuse_more(count: int, most: int) -> None:
    if count > most:
        raise ValueError(f"has {count} triangles; use {most} or fewer")


def _ascii(content: bytes, most: int) -> Array:
    corners: list[tuple[float, float, float]] = []
    step, is_open = 0, False
    for number, words in lines_of(content, most=most):
        first = words[0].lower()
        if step == 0 and first in (b"solid", b"endsolid"):
            if is_open == (first == b"solid"):
                raise ValueError(f"line {number}: '{first.decode()}' comes out of turn; export it again")
            is_open = first == b"solid"
            continue
        if first != FACET[step] or not is_open:
            found = words[0].decode("utf-8", "replace")
            wanted = FACET[step].decode() if is_open else "solid"
            raise ValueError(f"line {number}: '{found}' where '{wanted}' is needed; export it again")
        if first == b"vertex":
            corners.append(numbers(words[1:], number))
        step = (step + 1) % len(FACET)
        _refuse_more(len(corners) // 3, most)
    if is_open:
        raise ValueError("ends before its 'endsolid': it is cut short; export it again")
    return np.array(corners, float).reshape(-1, 3, 3)


def _one_by_one(corners: Array) -> Triangles:
    """Triangles (F, 3, 3) that share no vertex."""
    with np.errstate(invalid="ignore"):  # numbers that are none are told later
        vertices = np.asarray(corners, float).reshape(-1, 3)
    return vertices, np.arange(3 * len(corners)).reshape(-1, 3)
