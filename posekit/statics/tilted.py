"""A bound on what gravity asks of one servo, with every joint by itself: exact but for a fine grid of directions.

The torque at a joint is the moment of what hangs beyond it (`apart`) along a direction across its axis and gravity. How
gravity can lie there is gone through from the joint to the root: at each joint on the way the servo gives the most over
the positions of that joint. So a chain of many joints takes little longer than one of few. What the bound is reached by
is gone through once more the other way, which is a pose near the worst.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.statics.apart import TOP, Apart, across, angles_of, bulge, find_steps, longest, moment, turned_by
from posekit.statics.bodies import Hung
from posekit.statics.boxes import ROUNDING, Question, rate_within
from posekit.statics.burden import STANDARD_GRAVITY
from posekit.statics.sphere import cell_of, corners, portions
from posekit.statics.vectors import cross
from posekit.statics.ways import within

PARTS = 96  # of the range of a shaft whose linkage changes its rate
DEEPEST = 400  # joints on the way to the root: where none of them turns each is a call within the last
SHALLOW = 2  # joints before these are asked for few directions only
ALIKE = 0.995  # of the most: directions along which a servo gives so much differ too little to matter


@dataclass(frozen=True, slots=True)
class _Servo:
    """What one servo gives by how gravity lies: `way` are the joints from the root to its own, the last.

    In part k of its range its joint goes from `low` (C,) to `high` (C,) [rad | m], and a moment of one along gravity
    asks for `factor` (C,) at the shaft at most; `steep` [N*m] is what all of it does not exceed. `lies` has for each
    joint on the way what the servo gives at most where gravity lies along a corner of the grid, in the frame of the
    link before that joint; NaN where nobody asked yet.
    """

    known: Apart
    way: tuple[Hung, ...]
    low: Array
    high: Array
    factor: Array
    steep: float
    lies: tuple[Array, ...]


def is_alone(asked: Question) -> bool:
    """Whether a servo holds one joint against gravity and nothing else, so that `bound_steps` tells of it."""
    return (
        len(asked.own) == 1
        and not asked.holds
        and not asked.ways.burden.constant[asked.own].any()
        and len(_way(asked)) <= DEEPEST
    )


def bound_steps(asked: Question, known: Apart) -> Generator[None, None, tuple[float, Array]]:
    """The most that a servo that `is_alone` has to hold [N*m], and the joints (J,) [deg | mm] of a pose near it.

    In small steps, for callers with other work to do.
    """
    yield from find_steps(known, _way(asked)[-1].child)
    servo = _servo(asked, known)
    yield
    down = asked.ways.burden.gravity[:, None] / STANDARD_GRAVITY
    k, most = yield from _any_way(servo)
    yield
    with np.errstate(invalid="ignore"):  # nothing times an infinite rate
        most = (float(_gives(servo, 0, down)[0]) if k == 0 else most) * (1.0 + ROUNDING)
        return (np.inf if np.isnan(most) else most), _pose(servo, down, k)


def _way(asked: Question) -> list[Hung]:
    """The joints from the root to the servo's own."""
    carrier = {hung.child: hung for hung in asked.ways.burden.hung}
    way = [next(hung for hung in asked.ways.burden.hung if hung.column == asked.own[0])]
    # Ends: at the root, which nothing carries.
    while (parent := way[-1].parent) in carrier:
        way.append(carrier[parent])
    return way[::-1]


def _servo(asked: Question, known: Apart) -> _Servo:
    """The moment of what is beyond its joint has to be found before."""
    ways, d, way = asked.ways, asked.d, tuple(_way(asked))
    own = way[-1]
    table = ways.table[d]
    if table is None or not float(np.ptp(table.highest[0])):
        angles = angles_of(*known.range[own.column]) if not own.slides else known.range[own.column]
        low, high = (angles[:-1], angles[1:]) if len(angles) > 1 else (angles, angles)
        rate = rate_within(asked, ways.span[None, :, 0], ways.span[None, :, 1])[0].repeat(len(low))
    else:
        ends = np.linspace(ways.span[d, 0], ways.span[d, 1], PARTS + 1)
        least, most = (np.repeat(ways.span[None, :, side], PARTS, axis=0) for side in (0, 1))
        least[:, d], most[:, d] = ends[:-1], ends[1:]
        found = within(ways, least, most)
        middle = found.middle[:, own.column] * ways.burden.si[own.column]
        low, high = (middle + side * found.delta[:, own.column] for side in (-1.0, 1.0))
        rate = rate_within(asked, least, most)[0]
    factor = STANDARD_GRAVITY * abs(float(asked.weight[own.column])) * asked.loss * rate
    steep = float(factor.max()) * (known.mass[own.child] if own.slides else longest(known, own.child))
    lies = tuple(np.full(corners().shape[1], np.nan) for _ in way)
    return _Servo(known, way, low, high, factor, steep, lies)


def _any_way(servo: _Servo) -> Generator[None, None, tuple[int, float]]:
    """The joint of the way from which on the servo can give about its most however gravity lies, and that most.

    Joint 0 where how it lies at the root still matters. From the servo's own joint to the root, for deep in a figure
    few joints can bring any part to lie any way.
    """
    length = np.linalg.norm(corners(), axis=0)
    for k in range(len(servo.way) - 1, SHALLOW - 1, -1):
        if k < len(servo.way) - 1 and (servo.way[k].column < 0 or servo.way[k].slides):
            continue
        for part in portions(_turned(servo, k)):
            with np.errstate(invalid="ignore"):
                servo.lies[k][part] = _gives(servo, k, corners()[:, part])
            yield
        most = servo.lies[k] / length
        if most.min() >= ALIKE * most.max():
            return k, TOP * float(most.max())
        yield
    return 0, np.inf


def _turned(servo: _Servo, k: int) -> int:
    """How many directions `_gives` looks at for each that joint k of the way is asked about."""
    hung = servo.way[k]
    if hung.slides or hung.column < 0:
        return 1
    return (
        2 * (len(servo.low) + 1)
        if k == len(servo.way) - 1
        else len(angles_of(*servo.known.range[hung.column]))
    )


def _gives(servo: _Servo, k: int, down: Array) -> Array:
    """What the servo gives at most (M,) where gravity lies along vectors (3, M) before joint k of the way."""
    known, hung = servo.known, servo.way[k]
    there = known.place[hung.child][:3, :3].T @ down
    if k == len(servo.way) - 1:
        return _own(servo, there)[0]
    if hung.column < 0 or hung.slides:
        return _gives(servo, k + 1, there)
    angles = angles_of(*known.range[hung.column])
    most = _looked_up(servo, k + 1, turned_by(there, hung.axis, angles)).reshape(-1, len(angles)).max(axis=1)
    return np.asarray(most + servo.steep * bulge(angles) * across(hung.axis, there))


def _looked_up(servo: _Servo, k: int, down: Array) -> Array:
    """The same at many vectors (3, M), by those along the corners of the grid, each found once."""
    lies = servo.lies[k]
    index, times = cell_of(down)
    new = np.zeros(len(lies), bool)
    new[index] = True
    new &= np.isnan(lies)
    if new.any():
        lies[new] = _gives(servo, k, corners()[:, new])
    return np.asarray(np.einsum("cm,cm->m", lies[index], times))


def _own(servo: _Servo, down: Array) -> tuple[Array, Array]:
    """What the servo gives at most (M,), and by part of its range (M, C), gravity in the frame of its own joint."""
    known, own = servo.known, servo.way[-1]
    if own.slides:
        most = known.mass[own.child] * np.abs(own.axis @ down)[:, None] * servo.factor
        return most.max(axis=1), most
    angles, place = np.unique(np.concatenate([servo.low, servo.high]), return_inverse=True)
    arm = turned_by(cross(own.axis[:, None], down), own.axis, angles)
    at = np.maximum(moment(known, own.child, arm), moment(known, own.child, -arm)).reshape(-1, len(angles))
    ends = np.maximum(at[:, place[: len(servo.low)]], at[:, place[len(servo.low) :]])
    between = longest(known, own.child) * (1.0 - np.cos((servo.high - servo.low) / 2))
    most = (ends + across(own.axis, down)[:, None] * between) * servo.factor
    return most.max(axis=1), most


def _pose(servo: _Servo, down: Array, first: int) -> Array:
    """Joints (J,) [deg | mm] at which the servo gives about the most it can; those before the `first` of the way, and
    all others that change nothing, in the middle.
    """
    known = servo.known
    found = known.range.mean(axis=1)
    for k, hung in enumerate(servo.way[:-1]):
        down = known.place[hung.child][:3, :3].T @ down
        if hung.column >= 0 and not hung.slides:
            angles = angles_of(*known.range[hung.column]) if k >= first else found[[hung.column]]
            turned = turned_by(down, hung.axis, angles)
            best = int(np.argmax(_looked_up(servo, k + 1, turned))) if k >= first else 0
            found[hung.column], down = angles[best], turned[:, [best]]
    own = servo.way[-1]
    down = known.place[own.child][:3, :3].T @ down
    part = int(np.argmax(_own(servo, down)[1][0]))
    if own.slides:
        found[own.column] = servo.low[part]
        return np.asarray(found / known.ways.burden.si)
    ends = np.array([servo.low[part], servo.high[part]])
    arm = turned_by(cross(own.axis[:, None], down), own.axis, ends)
    both = np.concatenate([arm, -arm], axis=1)
    best = int(np.argmax(moment(known, own.child, both)))
    found[own.column] = ends[best % 2]
    _stretch(known, own.child, both[:, [best]], found)
    return np.asarray(found / known.ways.burden.si)


def _stretch(known: Apart, link: int, along: Array, found: Array) -> None:
    """Set the joints beyond a link so that what hangs on it goes as far along a vector (3, 1) as it can."""
    at = {link: along}
    for hung in reversed(known.ways.burden.hung):  # from the root out
        if hung.parent not in at or not known.mass[hung.child]:
            continue
        there = known.place[hung.child][:3, :3].T @ at[hung.parent]
        if hung.column >= 0:
            low, high = known.range[hung.column]
            if hung.slides:
                found[hung.column] = high if float(hung.axis @ there[:, 0]) > 0.0 else low
            else:
                angles = angles_of(low, high)
                turned = turned_by(there, hung.axis, angles)
                best = int(np.argmax(moment(known, hung.child, turned)))
                found[hung.column], there = angles[best], turned[:, [best]]
        at[hung.child] = there
