"""Which servos might go on which supply, so that each supply holds even with all of its servos stalled: a proposal.

First fit: the servo that draws most is placed first, where it is now if there is room, else on the first supply that
has room for it, else on one more like the largest that may feed it. That is near the fewest supplies, not always the
fewest, and knows nothing of where the wires run.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index, Truth


@dataclass(frozen=True, slots=True)
class Group:
    """The servos for one supply: `members` are their columns, `stalled_a` [A] is what all of them draw stalled.

    `like` is the row of the supply; with `more` it is one more like that.
    """

    like: int
    more: bool
    members: tuple[int, ...]
    stalled_a: float


def grouping(stall_a: Array, now: Index, may: Truth, gives_a: Array) -> tuple[Group, ...]:
    """Groups for servos that draw `stall_a` (D, S) [A] on each supply, are on one `now` (D,), and are given (S,) [A].

    `may` (D, S) is where a servo may be fed. None at all where a servo fits no supply that may feed it.
    """
    like, members = list(range(len(gives_a))), [list[int]() for _ in gives_a]
    drawn = [0.0] * len(like)
    for d in np.argsort(-stall_a[np.arange(len(now)), now], kind="stable").tolist():
        takes = [s for s in np.flatnonzero(may[d]).tolist() if stall_a[d, s] <= gives_a[s]]
        if not takes:
            return ()
        rows = sorted((row for row, s in enumerate(like) if s in takes), key=lambda row: row != now[d])
        place = next((row for row in rows if drawn[row] + stall_a[d, like[row]] <= gives_a[like[row]]), None)
        if place is None:
            place = len(like)
            like.append(max(takes, key=lambda s: float(gives_a[s])))
            members.append([])
            drawn.append(0.0)
        members[place].append(d)
        drawn[place] += float(stall_a[d, like[place]])
    return tuple(
        Group(like[row], row >= len(gives_a), tuple(sorted(members[row])), drawn[row])
        for row in range(len(like))
        if members[row]
    )
