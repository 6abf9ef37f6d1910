"""What comes first when one drive alone goes on past an end point, all others at rest: a hard stop or a part.

For whoever turns a knob at the prop. It is looked at in steps from the middle value to the end of the servo's travel,
and where something first comes it is looked at again more finely. That is no proof of what lies between two looks:
`step` says how far they are apart, and the envelope proves.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from posekit.arrays import Array, Truth
from posekit.clearance.distance import Asked, separation
from posekit.clearance.watch import Watch
from posekit.mechanism.joints import Mechanism, Solved, mechanism_of, moved_by, solve, unit_of
from posekit.mechanism.kinematics import forward
from posekit.mechanism.pairs import Pair
from posekit.prop.model import Prop
from posekit.signal.calibration import asked_pulse, pulses, servo_of, shaft_angle, shafts
from posekit.transforms import a_from_b

End = Literal["low", "high"]
Kind = Literal["stop", "part", "dead point", "travel"]

LOOKS = 181  # from the middle to the end of travel: a degree apart or less, for most servos
FINER, ROUNDS = 17, 2  # looks in a step where something comes first, and again: to 1/256 of the step
TOUCH = Asked(beyond_mm=1.0, points=False)
AT_STOP = 1e-9  # rounding, not a push
STAYS = 1e-9  # mm, or of a turn: rounding, not a way


@dataclass(frozen=True, slots=True)
class Beyond:
    """What comes first past one end point of one drive.

    `joint` is the first that the drive moves, in `unit`; at the end point it stands at `position`. `kind` is what
    comes first: the hard `stop` of a joint, a `part` that touches another, a `dead point` of the linkage, or nothing
    but the end of the servo's `travel`; `names` are the joint, the pair or the drive. `after` is how far that is past
    the end point along the way of the joint; below 0 it comes before it. `step` is the widest between two looks
    till then; `touching` are the pairs that touch at the middle value already, and are not looked at.
    """

    end: End
    joint: str
    unit: str
    position: float
    kind: Kind
    names: tuple[str, ...]
    after: float
    step: float
    touching: tuple[Pair, ...]


def beyond(prop: Prop, watched: Watch, d: int) -> tuple[Beyond, Beyond]:
    """What comes first past low and past high of drive `d`; `watched` is the `watch` of the prop."""
    made = mechanism_of(prop)
    rest = np.array([[drive.rest_value for drive in prop.drives]], float)
    at_rest = shafts(prop, pulses(prop, rest))[0]
    return (
        _past(prop, watched, made, at_rest, d, "low"),
        _past(prop, watched, made, at_rest, d, "high"),
    )


def _past(prop: Prop, watched: Watch, made: Mechanism, at_rest: Array, d: int, end: End) -> Beyond:
    drive, servo = prop.drives[d], servo_of(prop, prop.drives[d])
    j = moved_by(prop, d)[0]
    falls = (drive.pulse.low < drive.pulse.high) == (end == "low")
    value, limit_us = (0 if end == "low" else drive.full_scale), servo.pulse_range[0 if falls else 1]
    middle, at_end, limit = shaft_angle(
        [*asked_pulse([drive.middle, value], drive).tolist(), limit_us], servo
    ).tolist()
    way = _Way(prop, made, at_rest, d)
    path = np.unique(np.concatenate([np.linspace(middle, limit, LOOKS), [at_end]]))
    path = path if limit >= middle else path[::-1]
    placed = way.at(path)
    turned = np.concatenate([[0.0], np.abs(np.diff(placed.wanted[:, j])).cumsum()])

    found: list[tuple[float, Kind, tuple[str, ...]]] = [(float(path[-1]), "travel", (drive.name,))]
    closed = way.first(path, lambda solved, shaft: (solved.held[:, d] != shaft)[:, None])
    if closed is not None:
        found.append((closed[0], "dead point", (drive.name,)))
    moved = np.ptp(placed.wanted, axis=0) > AT_STOP
    stop = way.first(
        path, lambda solved, _: (np.abs(solved.wanted - solved.position) > AT_STOP) & moved, rest=placed
    )
    if stop is not None:
        found.append((stop[0], "stop", (prop.joints[stop[1]].name,)))
    # What would strike after these comes later, whatever it is.
    until = max(int(np.searchsorted(np.abs(path - middle), min(abs(at - middle) for at, *_ in found))), 1)
    touches = _touches(watched, prop, made, placed.position[: until + 1])
    touching = touches[0]
    struck = way.first(
        path[: until + 1],
        lambda solved, _: _touches(watched, prop, made, solved.position) & ~touching,
        known=touches & ~touching,
    )
    if struck is not None:
        found.append((struck[0], "part", watched.pairs[struck[1]]))
    order = {"stop": 0, "dead point": 1, "part": 2, "travel": 3}
    at, kind, names = min(found, key=lambda each: (abs(each[0] - middle), order[each[1]]))
    passed = turned[: int(np.searchsorted(np.abs(path - middle), abs(at - middle))) + 1]
    along = np.interp([abs(at - middle), abs(at_end - middle)], np.abs(path - middle), turned)
    return Beyond(
        end=end,
        joint=prop.joints[j].name,
        unit=unit_of(prop.joints[j]),
        position=float(way.at(np.array([at_end])).position[0, j]),
        kind=kind,
        names=names,
        after=float(along[0] - along[1]),
        step=float(np.diff(passed).max(initial=0.0)),
        touching=tuple(watched.pairs[k] for k in np.flatnonzero(touching).tolist()),
    )


@dataclass(frozen=True, slots=True)
class _Way:
    """The prop with all shafts at rest but that of drive `d`."""

    prop: Prop
    made: Mechanism
    at_rest: Array
    d: int

    def at(self, shaft_deg: Array) -> Solved:
        """The joints at each angle (S,) of the shaft."""
        rows = np.tile(self.at_rest, (len(shaft_deg), 1))
        rows[:, self.d] = shaft_deg
        return solve(self.prop, rows, self.made)

    def first(
        self,
        path: Array,
        comes: Callable[[Solved, Array], Truth],
        rest: Solved | None = None,
        known: Truth | None = None,
    ) -> tuple[float, int] | None:
        """The first angle along `path` (S,) at which one of n things (S, n) comes, and which; None if none does."""
        flags = comes(self.at(path) if rest is None else rest, path) if known is None else known
        hits = np.flatnonzero(flags.any(axis=1))
        if not hits.size:
            return None
        i, which = int(hits[0]), int(np.argmax(flags[hits[0]]))
        if i == 0:
            return float(path[0]), which
        before, after = float(path[i - 1]), float(path[i])
        for _ in range(ROUNDS):
            finer = np.linspace(before, after, FINER)
            flags = comes(self.at(finer), finer)
            at = int(np.argmax(flags.any(axis=1)))
            which = int(np.argmax(flags[at]))
            before, after = float(finer[max(at - 1, 0)]), float(finer[at])
        return after, which


def _touches(watched: Watch, prop: Prop, made: Mechanism, position: Array) -> Truth:
    """Which pairs touch in each pose (S, J); (S, K). Those that stay as they stand to each other are looked at once."""
    world_from_link = forward(prop, position, made.tree)
    a, b = world_from_link[:, watched.links[:, 0]], world_from_link[:, watched.links[:, 1]]
    relative = a_from_b(a, b)
    moved = np.ptp(relative, axis=0).max(axis=(1, 2)) > STAYS
    looked = np.tile(moved, (len(position), 1))
    looked[0] = True
    pose, pair = np.nonzero(looked)
    side_a, side_b = watched.sides[pair].T
    touching = np.zeros(looked.shape, bool)
    touching[pose, pair] = separation(watched.parts, side_a, side_b, relative[pose, pair], TOUCH).upper == 0.0
    return np.where(moved, touching, touching[0])
