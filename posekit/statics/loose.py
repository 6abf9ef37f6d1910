"""Shafts that nothing holds: how far they can turn, what turns them, and the energy that is left on the way.

A way is a line in the space of all shafts: one of them alone, or several of one linkage together. Each shaft goes from
end to end of its servo's travel, or from dead point to dead point of its linkage where that is less. The first joint at
a hard stop, followers included, stops all that move it, for what joins them is rigid. Linkages are taken without
losses, so that a part falls rather than not.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from posekit.arrays import Array, Truth
from posekit.mechanism.joints import solve
from posekit.mechanism.reach import coordinates, turning_shafts
from posekit.prop.model import Prop
from posekit.signal.calibration import servo_of, shaft_angle
from posekit.statics.burden import Burden
from posekit.statics.dynamics import torques
from posekit.statics.potential import potential
from posekit.statics.shafts import MOST_NM, efficiencies, to_shafts

STEPS = 720  # of a whole way: a quarter of a degree for most servos
ZOOMS, PARTS = 4, 64  # to 1e-7 of a step
ROUNDING = 1e-9  # of a joint that a stop or a leader's stop holds, in degrees or mm

End = Literal["balance", "stop", "dead point", "travel"]


@dataclass(frozen=True, slots=True)
class Loose:
    """A prop whose servos may let go: `ends` (D, 2) [deg] of each shaft, and whether each is a `dead` point (D, 2).

    `slope` (J, D) tells which shafts move which joints, `lossy` (D,) are the efficiencies of the linkages, `turns` the
    angles [deg] at which the linkage of each shaft turns back.
    """

    prop: Prop
    burden: Burden
    ends: Array
    dead: Truth
    slope: Array
    lossy: Array
    turns: tuple[Array, ...]

    def force(self, shafts_deg: Array) -> Array:
        """What turns each shaft where nothing holds it, (P, D) [deg] to (P, D) [N*m], positive forward.

        At a dead point where that has no bound, as much as no servo could hold.
        """
        solved = solve(self.prop, shafts_deg, self.burden.mechanism)
        asked = torques(self.prop, solved.position, self.burden)
        return -np.clip(to_shafts(self.prop, self.burden, asked, solved.held) * self.lossy, -MOST_NM, MOST_NM)

    def energy(self, shafts_deg: Array) -> Array:
        """The potential energy (P,) [J] at angles of the shafts (P, D) [deg]."""
        return potential(self.prop, self.burden, solve(self.prop, shafts_deg, self.burden.mechanism).position)


def loose(prop: Prop, burden: Burden) -> Loose:
    """What is found once of a prop for all falls. PosekitError for meshes that cannot be read."""
    closes = np.array([(-np.inf, np.inf)] * len(prop.drives)).reshape(-1, 2)
    for train in burden.mechanism.trains:
        closes[list(train.drives)] = train.closes
    travel = np.array(
        [
            np.sort(shaft_angle(servo_of(prop, drive).pulse_range, servo_of(prop, drive)))
            for drive in prop.drives
        ]
    ).reshape(-1, 2)
    # A linkage that closes nowhere within the travel is held at its nearest dead point, and goes nowhere.
    ends = np.clip(travel, closes[:, :1], closes[:, 1:])
    return Loose(
        prop=prop,
        burden=burden,
        ends=ends,
        dead=ends != travel,
        slope=coordinates(prop).slope,
        lossy=efficiencies(prop, burden.mechanism),
        turns=tuple(turning_shafts(prop, d, *ends[d].tolist()) for d in range(len(prop.drives))),
    )


@dataclass(frozen=True, slots=True)
class Way:
    """A line of shaft angles `begin + t * along`, t in degrees, over all of it that can be gone to from t = `start`.

    `begin` and `along` are (D,); `t` (n,) rises from end to end, `start` among them. `stops` are what ends it below and
    above: the kind, and the joint at its hard stop.
    """

    loose: Loose
    begin: Array
    along: Array
    t: Array
    start: float
    stops: tuple[tuple[End, str | None], tuple[End, str | None]]

    def shafts(self, t: Array) -> Array:
        """Shaft angles (n, D) [deg] at places (n,) on it."""
        return np.clip(self.begin + t[:, None] * self.along, *self.loose.ends.T)

    def force(self, t: Array) -> Array:
        """What drives the shafts along it at places (n,), (n,) [N*m]."""
        return np.asarray(self.loose.force(self.shafts(t)) @ self.along)


def way_from(loose: Loose, shafts_deg: Array, along: Array) -> Way | None:
    """The way through angles of the shafts (D,) [deg] along `along` (D,); None where a stop holds it everywhere.

    Where shafts stand beyond what a stop lets them reach, as they are sent when a servo presses against it, it starts
    at the stop.
    """
    begin = np.clip(shafts_deg, *loose.ends.T)
    moves = np.flatnonzero(along)
    room = np.sort((loose.ends[moves] - begin[moves, None]) / along[moves, None], axis=1)
    low, high = float(room[:, 0].max()), float(room[:, 1].min())
    turns = (loose.turns[moves[0]] - begin[moves[0]]) / along[moves[0]] if len(moves) == 1 else np.empty(0)
    t = np.unique(np.concatenate([np.linspace(low, high, STEPS + 1), [0.0], turns]))
    t = t[(low <= t) & (t <= high)]

    def blocked(t: Array) -> Truth:
        return np.asarray(_beyond(loose, begin, along, t).any(axis=1))

    shut = blocked(t)
    if shut.all():
        return None
    free = np.flatnonzero(~shut)
    here = int(free[np.argmin(np.abs(t[free]))])
    first = int(np.flatnonzero(shut[:here]).max(initial=-1)) + 1
    last = here + int(np.argmax(np.append(shut[here:], True))) - 1
    places, stops = [t[first : last + 1]], []
    for edge, beside in ((first, first - 1), (last, last + 1)):
        if 0 <= beside < len(t):
            inner, outer = zoomed(blocked, float(t[edge]), float(t[beside]))
            places.append(np.array([inner]))
            stops.append(_stopped(loose, begin, along, outer))
        else:
            stops.append(_ended(loose, begin, along, float(t[edge])))
    found = np.unique(np.concatenate(places))
    start = float(np.clip(0.0, found[0], found[-1]))
    return Way(loose, begin, along, found, start, (stops[0], stops[1]))


def _beyond(loose: Loose, begin: Array, along: Array, t: Array) -> Truth:
    """Which joints that a way moves a hard stop keeps from going along, at places (n,) on it; (n, J)."""
    solved = solve(loose.prop, np.clip(begin + t[:, None] * along, *loose.ends.T), loose.burden.mechanism)
    own = np.abs(loose.slope) @ np.abs(along) > 0
    return np.asarray((np.abs(solved.wanted - solved.position) > ROUNDING) & own)


def _stopped(loose: Loose, begin: Array, along: Array, t: float) -> tuple[End, str | None]:
    """The joint whose hard stop ends a way, just beyond it."""
    return "stop", loose.prop.joints[int(np.argmax(_beyond(loose, begin, along, np.array([t]))[0]))].name


def _ended(loose: Loose, begin: Array, along: Array, t: float) -> tuple[End, str | None]:
    """What ends a way that no hard stop ends: the shaft nearest to an end of its own tells."""
    moves = np.flatnonzero(along)
    left = np.abs(loose.ends[moves] - (begin + t * along)[moves, None])
    row, side = np.unravel_index(int(np.argmin(left)), left.shape)
    return ("dead point" if loose.dead[moves[row], side] else "travel"), None


def zoomed(holds: Callable[[Array], Truth], before: float, after: float) -> tuple[float, float]:
    """The last place at which something does not hold yet, and the first at which it does, between two such."""
    for _ in range(ZOOMS):
        t = np.linspace(before, after, PARTS + 1)
        held = holds(t)
        held[0], held[-1] = False, True
        first = int(np.argmax(held))
        before, after = float(t[first - 1]), float(t[first])
    return before, after
