"""Where a part falls to when its servo lets go: down the torque at its shaft, to a balance, a stop or an end.

While all other servos hold, one shaft that lets go moves along one line. Slowly, as gears mostly let it, it goes to
where what turns it is no more than its friction: a zero of the torque, found between two samples, or the end of the
way. With a swing it may go on, but never to where weight and springs have more energy than at the start, less what
friction took: how far that is bounds all it can touch.

All at once: from the start, each time along the line that pulls most, until none pulls by more than its friction. That
ends in a pose in which the figure can come to rest, one of perhaps several; the way there is one of many.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from posekit.arrays import Array, Truth
from posekit.statics.burden import TURN
from posekit.statics.loose import End, Loose, Way, way_from, zoomed
from posekit.statics.worst import never
from posekit.stepwise import finished

NOTHING_NM = 1e-6  # no servo feels less
NEAR_DEG = 0.5  # to either side, where it is tried whether what stands in balance falls when it is touched
STILL_DEG = 1e-6  # a shaft that turns less has not moved
SETTLED_NM = 1e-5  # what may be left to turn a shaft when all have let go
FALLS = 500  # along one line each, until all rest

What = Literal["held", "hangs", "upright", "leans", "falls", "unknown"]


@dataclass(frozen=True, slots=True)
class Fall:
    """What becomes of shafts that let go.

    held: friction holds them where they are. hangs: nothing turns them there, and they come back when touched, or stay.
    upright: nothing turns them, but touched they fall. leans: a stop holds them already. falls: from `start` (D,) [deg]
    to `rest` (D,), which is at a balance or at an end of the way, told by `end` and for a hard stop by `joint`; on a
    swing no further than `far` (D,), where `far_end` ends the way; None where the swing has no energy left before.
    unknown: it was not worked out.
    """

    what: What
    start: Array
    rest: Array
    far: Array
    end: End | None
    joint: str | None
    far_end: End | None = None

    @property
    def dead(self) -> bool:
        """Whether its way ends at a dead point: from there either branch may follow."""
        return "dead point" in (self.end, self.far_end)


def fall(loose: Loose, shafts_deg: Array, along: Array, friction_nm: Array, swings: bool = True) -> Fall:
    """What becomes of the shafts of one line `along` (D,) that let go at angles (D,) [deg] while all others hold.

    `friction_nm` (D,) [N*m] holds each; 0 where it is not known. `swings`: whether to find how far a swing goes.
    """
    way = way_from(loose, shafts_deg, along)
    if way is None:
        begin = np.clip(shafts_deg, *loose.ends.T)
        return Fall("leans", begin, begin, begin, None, None)
    friction = float(np.abs(along) @ friction_nm)
    here, start = np.array([way.start]), way.start
    stands = way.shafts(here)[0]
    force = float(way.force(_sure(way))[0])
    if abs(force) <= max(friction, NOTHING_NM):
        return Fall(_still(way, force, friction), stands, stands, stands, None, None)
    side = 1 if force > 0.0 else 0
    sign = 2.0 * side - 1.0
    t = way.t[way.t > start] if side else way.t[way.t < start][::-1]
    if not len(t) or abs(t[-1] - start) < STILL_DEG:
        return Fall("leans", stands, stands, stands, *way.stops[side])

    def rests(t: Array) -> Truth:
        return np.asarray(sign * way.force(t) <= friction)

    def spent(t: Array) -> Truth:
        """Whether there is as much energy there as at the start, less what friction takes on the way."""
        more = loose.energy(way.shafts(t)) - loose.energy(way.shafts(here))
        return np.asarray(more + friction * np.abs(t - start) * TURN >= 0.0)

    places = np.concatenate([here, t])
    # At a dead point itself the advantage has no bound, and which way it pushes is chance.
    still = np.flatnonzero(rests(t[:-1] if way.stops[side][0] == "dead point" else t))
    if not len(still):
        end = way.shafts(t[-1:])[0]
        return Fall("falls", stands, end, end, *way.stops[side], way.stops[side][0])
    first = int(still[0])
    rest = zoomed(rests, float(places[first]), float(places[first + 1]))[1]
    over = np.flatnonzero(spent(t[first:])) if swings else np.empty(0, int)
    far = float(t[-1]) if swings else rest
    far_end = way.stops[side][0] if swings and not len(over) else None
    if len(over):
        n = first + int(over[0])
        far = zoomed(spent, float(t[n - 1]) if n > first else rest, float(t[n]))[1]
    rest_at, far_at = way.shafts(np.array([rest, far]))
    return Fall("falls", stands, rest_at, far_at, "balance", None, far_end)


def _sure(way: Way) -> Array:
    """Where the way begins (1,), a little off the dead point that it may begin at, where the force has no sure sign."""
    low, high = (
        STILL_DEG if kind == "dead point" and way.t[-1] - way.t[0] > 2 * STILL_DEG else 0.0
        for kind, _ in way.stops
    )
    return np.clip(np.array([way.start]), way.t[0] + low, way.t[-1] - high)


def _still(way: Way, force: float, friction: float) -> What:
    """How shafts stand that nothing turns, or no more than their friction holds."""
    if abs(force) > NOTHING_NM:
        return "held"
    near = np.clip(way.start + np.array([-NEAR_DEG, NEAR_DEG]), way.t[0], way.t[-1])
    back, on = way.force(near)
    off = back < -NOTHING_NM or on > NOTHING_NM
    return "hangs" if not off else "held" if friction > 0.0 else "upright"


@dataclass(frozen=True, slots=True)
class Heap:
    """How shafts lie that let go together: `rest` (D,) [deg]; `left_nm` what still turns one where `rests` is false.

    `sought` is false where it was stopped before anything had moved.
    """

    rest: Array
    rests: bool
    left_nm: float
    sought: bool = True


def heap(
    loose: Loose,
    shafts_deg: Array,
    drives: Iterable[int],
    friction_nm: Array,
    stop: Callable[[], bool] = never,
) -> Heap:
    """How the shafts of some drives can come to rest that let go together at angles (D,) [deg]; all others hold.

    No line of `_lines` is left along which more turns them than their friction (D,) [N*m], but into a stop. Energy
    falls with each step. Once `stop` says so it ends where it is, which need not be a rest.
    """
    return finished(heap_steps(loose, shafts_deg, drives, friction_nm, stop))


def heap_steps(
    loose: Loose,
    shafts_deg: Array,
    drives: Iterable[int],
    friction_nm: Array,
    stop: Callable[[], bool] = never,
) -> Generator[None, None, Heap]:
    """`heap` in steps of a line each, for callers with other work to do."""
    lines = _lines(loose, set(drives))
    holds = np.abs(lines) @ friction_nm
    stands = np.clip(shafts_deg, *loose.ends.T)
    blocked = np.zeros(len(lines), bool)
    left = np.zeros(len(lines))
    sought = True
    for n in range(FALLS):
        left = np.where(blocked, 0.0, np.abs(lines @ loose.force(stands[None])[0]) - holds)
        if not len(lines) or left.max() <= SETTLED_NM:
            break
        if stop():
            sought = n > 0
            break
        most = int(np.argmax(left))
        found = fall(loose, stands, lines[most], friction_nm, swings=False)
        moved = np.abs(found.rest - stands).max() > STILL_DEG
        blocked[most] = not moved
        if moved:
            stands = found.rest
            blocked[:] = False
        yield
    most_left = float(left.max(initial=0.0))
    return Heap(stands, most_left <= SETTLED_NM, max(most_left, 0.0), sought)


def _lines(loose: Loose, drives: set[int]) -> Array:
    """The lines (n, D) along which shafts go together: each by itself, and what turns one joint of a linkage alone."""
    count = len(loose.prop.drives)
    found = [np.eye(count)[d] for d in sorted(drives)]
    for train in loose.burden.mechanism.trains:
        if len(train.drives) > 1 and drives.issuperset(train.drives):
            for joint in np.linalg.inv(train.mix).T:
                line = np.zeros(count)
                line[list(train.drives)] = joint / np.abs(joint).max()
                found.append(line)
    return np.array(found).reshape(len(found), count)
