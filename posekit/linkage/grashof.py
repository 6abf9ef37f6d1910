"""What a four-bar can do, from its lengths alone: Grashof's rule."""

from __future__ import annotations

from math import isclose
from typing import Literal

from posekit.linkage.four_bar import FourBar

Motion = Literal[
    "crank-rocker", "double-crank", "double-rocker", "rocker-crank", "triple-rocker", "change-point"
]


def motion(four_bar: FourBar) -> Motion:
    """Which bars can turn fully.

    Grashof: some bar turns fully against all others only if shortest + longest <= the sum of the two
    others. Which one is the shortest then says how the linkage moves (R. L. Norton, Design of Machinery,
    ch. 2, from memory). At equality all pins can come into line: a change point.
    """
    lengths = (four_bar.crank, four_bar.coupler, four_bar.rocker, four_bar.ground)
    shortest, *middle, longest = sorted(lengths)
    if isclose(shortest + longest, sum(middle), rel_tol=1e-12):
        return "change-point"
    if shortest + longest > sum(middle):
        return "triple-rocker"
    by_shortest: tuple[Motion, ...] = ("crank-rocker", "double-rocker", "rocker-crank", "double-crank")
    return by_shortest[lengths.index(shortest)]
