"""Many linkages, or many follow joints, worked out in one call: of one pose, calls are what takes time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.linkage.straight import Straight

Follow = tuple[int, int, float, float]  # follower, leader, ratio, offset


@dataclass(frozen=True, slots=True)
class Abreast:
    """Linkages of a drive each, by their columns (n,): `position` puts all their joints (n, P) at once."""

    drives: Index
    joints: Index
    position: Straight


@dataclass(frozen=True, slots=True)
class Round:
    """Follow joints and their leaders, columns (n,); ratio, offset and hard stops (n, 1)."""

    followers: Index
    leaders: Index
    ratio: Array
    offset: Array
    low: Array
    high: Array


def abreast(several: Iterable[tuple[int, int, Straight]]) -> Abreast:
    """These linkages, each with the columns of its drive and its joint."""
    each = [(d, j, position.ratio, position.offset) for d, j, position in several]
    drives, joints, ratio, offset = np.array(each, float).reshape(-1, 4).T
    position = Straight(ratio[:, None], offset[:, None])
    return Abreast(drives.astype(np.intp), joints.astype(np.intp), position)


def rounds(follows: Sequence[Follow], stops: Array) -> Iterator[Round]:
    """Follow joints in as few rounds as leaders stand in a row; `stops` (J, 2) are all hard stops."""
    waiting = list(follows)
    # Ends: each comes after its leader, so the first that waits has none of the others to wait for.
    while waiting:
        still = {follower for follower, *_ in waiting}
        ready = [each for each in waiting if each[1] not in still]
        waiting = [each for each in waiting if each[1] in still]
        followers, leaders, ratio, offset = (np.array(own) for own in zip(*ready, strict=True))
        low, high = stops[followers].T[..., None]
        yield Round(followers, leaders, ratio[:, None], offset[:, None], low, high)
