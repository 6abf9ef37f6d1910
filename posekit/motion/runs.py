"""Many moves in a row, each cut off by the next: the states between them, fast and exact.

A shaft that gets a new target sets off from where the last move had brought it, so the states of a drive
form a chain that must be walked from its first event to its last. Walking all drives together one event at
a time is slow where there are few drives and an hour of events. So the chains are cut into runs that are
walked side by side from guessed heads; a run whose head turns out otherwise is walked again, until it meets
what was walked before. Drives soon forget how they came to move, so little is walked twice, and the result
is, number for number, the one of a single walk.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from posekit.arrays import Array, Index, Truth
from posekit.motion.profile import Limits, quickest, state_of_one

RUN = 512  # events; long against the time a drive takes to forget, short against an hour of frames
NARROW = 12  # runs side by side, below which plain numbers are faster than arrays
SETTLING = 0.9  # share of runs left to walk, per round, above which walking them all is not worth it


def states(since: Array, target: Array, first: Index, limits: Limits) -> tuple[Array, Array]:
    """Position [deg] and velocity [deg/s] at each event, (E,) each.

    Drive d owns the events `first[d]:first[d + 1]`: at `since` [s] (rising) its target becomes `target`
    [deg]. It stands at its first target at its first event.
    """
    heads, drive = _runs(first)
    position = np.full(len(target), np.nan)
    velocity = np.full(len(target), np.nan)
    starts = first[:-1]
    position[starts], velocity[starts] = target[starts], 0.0
    guessed = np.setdiff1d(heads, starts, assume_unique=True)
    position[guessed], velocity[guessed] = target[guessed - 1], 0.0

    run_of = np.full(len(target), -1, dtype=np.intp)
    run_of[heads] = np.arange(len(heads))
    is_last = np.zeros(len(target), dtype=bool)
    is_last[first[1:] - 1] = True
    todo = np.arange(len(heads))
    before = 2 * todo.size
    # Ends: walking a run puts only the one after it back into `todo`, so that the first to do of each drive, which is
    # walked every round, comes later each time.
    while todo.size:
        now = todo
        if todo.size > SETTLING * before:
            # These drives do not forget: only the first run of each has a head that is sure to stay.
            now = todo[np.unique(drive[todo], return_index=True)[1]]
        if now.size <= NARROW:
            for d in np.unique(drive[todo]):
                _finish(
                    heads[todo[drive[todo] == d]], first[d + 1], since, target, limits, d, position, velocity
                )
            break
        before = todo.size
        wrong = _walk(heads[now], drive[now], since, target, limits, position, velocity, run_of, is_last)
        todo = np.union1d(np.setdiff1d(todo, now, assume_unique=True), wrong)
    return position, velocity


def _runs(first: Index) -> tuple[Index, Index]:
    """First event and drive of each run."""
    heads = [np.arange(a, b, RUN, dtype=np.intp) for a, b in pairwise(first)]
    drive = np.repeat(np.arange(len(heads)), [len(h) for h in heads])
    return np.concatenate([np.empty(0, dtype=np.intp), *heads]), drive


def _walk(
    event: Index,
    drive: Index,
    since: Array,
    target: Array,
    limits: Limits,
    position: Array,
    velocity: Array,
    run_of: Index,
    is_last: Truth,
) -> Index:
    """Walk the runs that begin at `event`, in place; the runs whose heads turned out otherwise."""
    changed = []
    going = ~is_last[event]
    event, drive = event[going], drive[going]
    held = limits.take(drive)
    # Ends: every event goes on by one, to the head of the next run at most.
    while event.size:
        after = event + 1
        move = quickest(position[event], velocity[event], target[event], held)
        x, v = move.state(since[after] - since[event])
        new = (x != position[after]) | (v != velocity[after])
        position[after], velocity[after] = x, v
        run = run_of[after]
        changed.append(run[new & (run >= 0)])
        going = new & (run < 0) & ~is_last[after]
        event = after
        if not going.all():
            event, drive = event[going], drive[going]
            held = limits.take(drive)
    return np.concatenate(changed) if changed else np.empty(0, dtype=np.intp)


def _finish(
    wrong: Index,
    end: int,
    since: Array,
    target: Array,
    limits: Limits,
    drive: int,
    position: Array,
    velocity: Array,
) -> None:
    """Walk one drive from each of its `wrong` heads on (rising) until it meets what was walked before, in place."""
    speed, acceleration = float(limits.speed[drive]), float(limits.acceleration[drive])
    begin = int(wrong[0])
    at, goal = since[begin:end].tolist(), target[begin:end].tolist()
    xs, vs = position[begin:end].tolist(), velocity[begin:end].tolist()
    k = 0
    for head in wrong.tolist():
        k = max(k, head - begin)
        # Ends: k grows, and does so over all heads together.
        while k + 1 < len(at):
            x, v = state_of_one(xs[k], vs[k], goal[k], at[k + 1] - at[k], speed, acceleration)
            k += 1
            if x == xs[k] and v == vs[k]:
                break
            xs[k], vs[k] = x, v
    position[begin:end], velocity[begin:end] = xs, vs
