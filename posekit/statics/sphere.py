"""Functions of a direction that are convex and grow with its length, as values at the corners of a grid on a cube.

The largest value of any number of linear functions is such a function. A vector lies in one cell of the cube that its
line pierces, and is a sum of the cell's four corners, each so many times, none less than no times; so the function is
at most the same sum of its values there. Where it is smooth that is above it by the square of a cell's width only, at
an edge by a fraction of the width.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np

from posekit.arrays import Array, Index

CELLS = 32  # on an edge of the cube
FEW = 1 << 16  # vectors at a time, so that they stay in the cache
A_STEP = 1 << 13  # vectors between two looks at the clock: a few milliseconds


@cache
def corners() -> Array:
    """The corners of the grid (3, N): six faces of the cube from -1 to 1, edges more than once."""
    line = np.linspace(-1.0, 1.0, CELLS + 1)
    one, other = (each.ravel() for each in np.meshgrid(line, line, indexing="ij"))
    faces = np.empty((6, 3, one.size))
    for face, found in enumerate(faces):
        main = face // 2
        found[main] = -1.0 if face % 2 else 1.0
        found[(main + 1) % 3], found[(main + 2) % 3] = one, other
    return np.ascontiguousarray(faces.transpose(1, 0, 2).reshape(3, -1))


def cell_of(vectors: Array) -> tuple[Index, Array]:
    """The columns of the corners of which vectors (3, M) are sums, (4, M), and how many times each, (4, M)."""
    size = np.abs(vectors)
    main = size.argmax(axis=0)
    column = np.arange(vectors.shape[1])
    length = size[main, column]
    over = np.where(length > 0.0, CELLS / 2 / np.maximum(length, 1e-300), 0.0)
    one = vectors[(main + 1) % 3, column] * over + CELLS / 2
    other = vectors[(main + 2) % 3, column] * over + CELLS / 2
    i = np.minimum(one.astype(np.intp), CELLS - 1)
    j = np.minimum(other.astype(np.intp), CELLS - 1)
    one, other = one - i, other - j
    first = ((2 * main + (vectors[main, column] < 0.0)) * (CELLS + 1) + i) * (CELLS + 1) + j
    index = np.stack([first, first + 1, first + CELLS + 1, first + CELLS + 2])
    times = np.stack([(1 - one) * (1 - other), (1 - one) * other, one * (1 - other), one * other])
    return index, np.maximum(times, 0.0) * length


def at_most(values: Array, vectors: Array) -> Array:
    """What a function with these values at the corners (N,) is at most, at vectors (3, M); (M,)."""
    found = np.empty(vectors.shape[1])
    for begin in range(0, len(found), FEW):
        part = slice(begin, begin + FEW)
        index, times = cell_of(vectors[:, part])
        found[part] = np.einsum("cm,cm->m", values[index], times)
    return found


def portions(turned: int) -> Iterator[slice]:
    """The corners of the grid a portion at a time, for who looks at each of them turned so many times."""
    count, some = corners().shape[1], max(A_STEP // turned, 1)
    for begin in range(0, count, some):
        yield slice(begin, min(begin + some, count))
