"""Numbers that look drawn by chance and are the same each time, in every version of NumPy and in the page.

SplitMix64 by Steele, Lea and Flood (Fast Splittable Pseudorandom Number Generators, OOPSLA 2014): the n-th number is n
times an odd constant, its bits mixed. NumPy's own generators come in an archive that a page would have to fetch.
"""

from __future__ import annotations

from math import prod

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array, Index

_STEP = np.uint64(0x9E3779B97F4A7C15)  # 2^64 over the golden ratio, made odd
_MIXES = ((30, 0xBF58476D1CE4E5B9), (27, 0x94D049BB133111EB), (31, 1))


def chances(*shape: int) -> Array:
    """Numbers of this shape, from 0 up to 1, each place as likely as any other."""
    whole = _mixed(np.arange(1, prod(shape) + 1, dtype=np.uint64) * _STEP)
    return (whole >> np.uint64(11)).astype(float).reshape(shape) * 2.0**-53


def shuffled(rows: Index) -> Index:
    """The same rows (N,) in an order that has nothing to do with theirs."""
    return rows[np.argsort(chances(len(rows)), kind="stable")]


def _mixed(whole: NDArray[np.uint64]) -> NDArray[np.uint64]:
    for shift, times in _MIXES:
        whole = (whole ^ (whole >> np.uint64(shift))) * np.uint64(times)
    return whole
