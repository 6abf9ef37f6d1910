"""What becomes of a figure whose servos let go: where each part falls to, and what it strikes on the way.

One servo alone lets go while all others hold: its way is one line, judged like any other move, to where it rests and on
to where a swing could take it. All at once: only a pose in which the figure can come to rest is told.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.clearance.distance import Asked, separations
from posekit.clearance.moves import Course, along_steps
from posekit.clearance.verdict import Verdict
from posekit.clearance.watch import Watch
from posekit.mechanism.joints import solve
from posekit.mechanism.kinematics import forward
from posekit.mechanism.pairs import Pair
from posekit.mechanism.tree import way_to_root
from posekit.prop.model import Prop, Pulse
from posekit.signal.calibration import servo_of
from posekit.statics.falling import STILL_DEG, Fall, fall, heap_steps
from posekit.statics.loose import Loose
from posekit.statics.worst import never
from posekit.stepwise import telling

RESOLUTION_DEG = 0.05  # of the shaft
TOLERANCE_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Touch:
    """A pair of parts that strikes on the way of a fall, may, or does not keep the margin.

    First, or nearest, where the shaft is at `shaft_deg` and the joints that it moves at `joints` [deg | mm]; `swinging`
    is true where that lies beyond the place of rest, `at_once` where it begins so, which is no matter of the fall.
    """

    pair: Pair
    verdict: Verdict
    shaft_deg: float
    joints: dict[str, float]
    swinging: bool
    at_once: bool


@dataclass(frozen=True, slots=True)
class LetGo:
    """One servo that lets go while all others hold.

    `friction_nm` is None where it is not known: then it is taken as none. `joints` has each joint that moves with where
    it is before and after [deg | mm]. `pairs` are so many whose parts it moves against each other on the way; `touches`
    those of them that are not clear, in the order of the way; None: the way, or how it falls at all, was not looked at.
    """

    drive: str
    friction_nm: float | None
    fall: Fall
    shaft_deg: tuple[float, float, float]
    joints: dict[str, tuple[float, float]]
    pairs: int
    touches: tuple[Touch, ...] | None

    def as_dict(self) -> dict[str, Any]:
        """As the command line prints it."""
        return {
            "what": self.fall.what,
            "friction_nm": self.friction_nm,
            "shaft_deg": dict(zip(("from", "to", "swings_to"), self.shaft_deg, strict=True)),
            "joints": {name: {"from": one, "to": other} for name, (one, other) in self.joints.items()},
            "ends_at": self.fall.end,
            "stop": self.fall.joint,
            "swing_ends_at": self.fall.far_end,
            "pairs": self.pairs,
            "looked_at": self.touches is not None,
            "touches": [
                {
                    "pair": list(each.pair),
                    "verdict": each.verdict,
                    "shaft_deg": each.shaft_deg,
                    "joints": each.joints,
                    "swinging": each.swinging,
                    "at_once": each.at_once,
                }
                for each in self.touches or ()
            ],
        }


@dataclass(frozen=True, slots=True)
class Lying:
    """A pose in which a figure can come to rest whose servos have let go, one of perhaps several.

    `joints` [deg | mm] are all that move, before and after. `overlap` are the pairs of parts that overlap there: of
    them those `from_start` did so in the pose before all, those `fallen` not yet where servos let go, so that they come
    to lie on each other. `dead` are drives that let go and lie at a dead point of their linkage. `rests` is false where
    after many steps, or when time was up, something still turned; `sought` where time was up before the first of them.
    """

    shaft_deg: dict[str, float]
    joints: dict[str, tuple[float, float]]
    overlap: tuple[Pair, ...]
    from_start: tuple[Pair, ...]
    fallen: tuple[Pair, ...]
    dead: tuple[str, ...]
    rests: bool
    sought: bool

    def as_dict(self) -> dict[str, Any]:
        """As the command line prints it."""
        return {
            "shaft_deg": self.shaft_deg,
            "joints": {name: {"from": one, "to": other} for name, (one, other) in self.joints.items()},
            "overlap": [list(pair) for pair in self.overlap],
            "from_start": [list(pair) for pair in self.from_start],
            "fallen": [list(pair) for pair in self.fallen],
            "at_dead_point": list(self.dead),
            "rests": self.rests,
            "looked_for": self.sought,
        }


def _frictions(prop: Prop) -> Array:
    """The friction of each servo (D,) [N*m]; 0 where it is not known."""
    return np.array([servo_of(prop, drive).friction or 0.0 for drive in prop.drives], float)


def each_lets_go(
    loose: Loose,
    watched: Watch,
    begins: Sequence[Array | None],
    allowed: int,
    stop: Callable[[], bool] = never,
    late: Callable[[], bool] = never,
) -> Generator[tuple[LetGo | None, ...], None, tuple[LetGo | None, ...]]:
    """Every servo by itself, each from its own angles of all shafts (D,) [deg], in the order of the drives; or None.

    In steps of a pair of parts, each with the servos that are done. Together they look at `allowed` pairs at most: a
    fall of more than are left is not looked at, nor any on the way or later once `stop` says so. How each falls is
    worked out before all that, so that little is left to do then; once `late` says so, what is left of that is unknown.
    """
    left = allowed
    done: tuple[LetGo | None, ...] = ()
    falls: list[Fall | None] = []
    for along, begin in zip(np.eye(len(begins)), begins, strict=True):
        if begin is None:
            falls.append(None)
        elif late():
            falls.append(Fall("unknown", begin, begin, begin, None, None))
        else:
            falls.append(fall(loose, begin, along, _frictions(loose.prop)))
        yield done
    for d, own in enumerate(falls):
        if own is None:
            done = (*done, None)
        elif own.what == "falls":
            pairs = moved_pairs(loose, watched, [d])
            touches = None
            if len(pairs) <= left and not stop():
                touches = yield from telling(_touches(loose, watched, own, d, pairs, stop), done)
            left -= 0 if touches is None else len(pairs)
            done = (*done, _let_go(loose, d, own, len(pairs), touches))
        else:
            done = (*done, _let_go(loose, d, own, 0, None if own.what == "unknown" else ()))
        yield done
    return done


def _let_go(loose: Loose, d: int, own: Fall, pairs: int, touches: tuple[Touch, ...] | None) -> LetGo:
    drive = loose.prop.drives[d]
    return LetGo(
        drive=drive.name,
        friction_nm=servo_of(loose.prop, drive).friction,
        fall=own,
        shaft_deg=(float(own.start[d]), float(own.rest[d]), float(own.far[d])),
        joints=_moved(loose, own.start, own.rest) if own.what == "falls" else {},
        pairs=pairs,
        touches=touches,
    )


def together_steps(
    loose: Loose,
    watched: Watch,
    shafts_deg: Array,
    drives: list[int],
    begin_deg: Array | None = None,
    stop: Callable[[], bool] = never,
) -> Generator[None, None, Lying]:
    """How the figure can lie when these drives let go at once, at shaft angles (D,) [deg], and the others hold.

    In steps, for callers with other work to do. `begin_deg` (D,) are the angles of the pose before all, where those are
    others. Once `stop` says so, how far it is.
    """
    prop, mechanism = loose.prop, loose.burden.mechanism
    lies = yield from heap_steps(loose, shafts_deg, drives, _frictions(prop), stop)
    yield
    begin = shafts_deg if begin_deg is None else begin_deg
    poses = solve(prop, np.stack([begin, shafts_deg, lies.rest]), mechanism).position
    apart = separations(watched, forward(prop, poses, mechanism.tree), Asked(0.0, TOLERANCE_MM, points=False))
    at_first, let_go, there = ({watched.pairs[k] for k in np.flatnonzero(row <= 0.0)} for row in apart.upper)
    yield
    overlap = tuple(pair for pair in watched.pairs if pair in there)
    at_dead = loose.dead & (np.abs(loose.ends - lies.rest[:, None]) <= STILL_DEG)
    return Lying(
        shaft_deg={drive.name: float(angle) for drive, angle in zip(prop.drives, lies.rest, strict=True)},
        joints=_moved(loose, begin, lies.rest),
        overlap=overlap,
        from_start=tuple(pair for pair in overlap if pair in at_first),
        fallen=tuple(pair for pair in overlap if pair not in let_go),
        dead=tuple(prop.drives[d].name for d in drives if at_dead[d].any()),
        rests=lies.rests,
        sought=lies.sought,
    )


def _moved(loose: Loose, before: Array, after: Array) -> dict[str, tuple[float, float]]:
    """The joints that move between two angles of all shafts (D,) [deg], with their positions [deg | mm]."""
    one, other = solve(loose.prop, np.stack([before, after]), loose.burden.mechanism).position
    return {
        joint.name: (float(a), float(b))
        for joint, a, b in zip(loose.prop.joints, one, other, strict=True)
        if abs(a - b) > 1e-6
    }


def moved_pairs(loose: Loose, watched: Watch, drives: Sequence[int]) -> list[Pair]:
    """The pairs that are judged whose parts the shafts of some drives move against each other."""
    prop = loose.prop
    turned = (loose.slope[:, drives] != 0.0).any(axis=1)
    moved = {joint.name for joint, turns in zip(prop.joints, turned, strict=True) if turns}
    carried = {
        link.name: {joint.name for joint in way_to_root(prop, link.name)} & moved for link in prop.links
    }
    return [(a, b) for a, b in watched.pairs if carried[a] != carried[b]]


def _touches(
    loose: Loose, watched: Watch, own: Fall, d: int, pairs: list[Pair], stop: Callable[[], bool]
) -> Generator[None, None, tuple[Touch, ...] | None]:
    """What one shaft brings together on its way to where it rests, and on a swing beyond; None if it was stopped."""
    begin, far = float(own.start[d]), float(own.far[d])
    sign, length = float(np.sign(far - begin)), abs(far - begin)
    if not pairs or not length:
        return ()

    def position(t: Array) -> Array:
        shafts = np.repeat(own.start[None], len(t), axis=0)
        shafts[:, d] = begin + sign * t
        return shafts

    alone = [np.empty(0)] * len(loose.prop.drives)
    knots, places = alone.copy(), alone.copy()
    knots[d], places[d] = np.array([0.0, length]), np.array([begin, far])
    # Time is the turn of the shaft. End points do not hold a servo that lets go.
    course = Course(0.0, length, position, tuple(knots), tuple(places))
    in_time = takewhile(lambda _: not stop(), pairs)
    freed = _to_the_ends(loose.prop)
    verdicts = yield from along_steps(freed, course, in_time, RESOLUTION_DEG, watched=watched)
    if len(verdicts) < len(pairs):
        return None
    met = [each for each in verdicts if each.at_s is not None]
    touches = []
    for each in sorted(met, key=lambda each: each.at_s or 0.0):
        assert each.at_s is not None
        at = solve(loose.prop, position(np.array([each.at_s])), loose.burden.mechanism).position[0]
        joints = {
            joint.name: float(at[j])
            for j, joint in enumerate(loose.prop.joints)
            if loose.slope[j, d] and joint.follow is None
        }
        swinging = each.at_s > abs(float(own.rest[d]) - begin)
        at_once = each.at_s <= RESOLUTION_DEG
        touches.append(Touch(each.pair, each.verdict, begin + sign * each.at_s, joints, swinging, at_once))
    return tuple(touches)


def _to_the_ends(prop: Prop) -> Prop:
    """The prop with the whole travel of each servo between its end points."""
    ranges = [servo_of(prop, drive).pulse_range for drive in prop.drives]
    return replace(
        prop,
        drives=tuple(
            replace(drive, pulse=Pulse(low=low, high=high))
            for drive, (low, high) in zip(prop.drives, ranges, strict=True)
        ),
    )
