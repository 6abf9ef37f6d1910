"""How many points are held against a hull in one go, so that whoever waits can look at the clock in between."""

from __future__ import annotations

from collections.abc import Iterator

from posekit.arrays import Array, Index

PRODUCTS = 1 << 20  # of a point and a corner of a hull, in one go: some hundredths of a second
MOST, LEAST = 8192, 256  # points in one go


def goes(rows: Index, corners: Array) -> Iterator[Index]:
    """These rows of points, as many at a time as are held against a hull of `corners` (V, 3) in one go."""
    count = min(max(PRODUCTS // max(len(corners), 1), LEAST), MOST)
    for begin in range(0, len(rows), count):
        yield rows[begin : begin + count]
