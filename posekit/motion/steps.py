"""How coarse values are where it shows: what one value moves, and slow moves that go by visible steps."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Truth
from posekit.errors import Finding, warning
from posekit.mechanism.joints import solve, unit_of
from posekit.motion.extent import farthest_move
from posekit.motion.follow import Motion
from posekit.motion.profile import Limits
from posekit.prop.model import Drive, Prop
from posekit.shape import Extent
from posekit.signal.calibration import asked_pulse, pulses, servo_of, shafts
from posekit.text import exact, plain

VIEWED_FROM = 2000.0  # mm; about as near as an audience comes
VISIBLE = VIEWED_FROM * math.tan(math.radians(1 / 60))  # mm; one minute of arc, sharp sight (common practice)
TRIES = 20  # each takes 1.2 times as long or more, from FILM at least: enough to come beyond TOO_LATE
TOO_LATE = 0.5  # s; smoothing that makes a step take longer than this is no help
GRID = 256  # places of the range where steps are looked at
FILM = 1 / 24  # s; steps closer than the pictures of a film are seen as one move (common practice)
SLOW = 0.5  # s; large steps farther apart than this are single moves, not a jumpy one
ROUNDING_US = 1e-9  # us; what a pulse may be off by rounding


@dataclass(frozen=True, slots=True)
class Step:
    """The largest move that one step of the value makes anywhere in the range of a drive.

    `shaft_deg` at the shaft, `joint` [deg | mm] at joint `joint_name`, `tip_mm` at the point of part `part`
    that moves most.
    """

    shaft_deg: float
    joint_name: str
    joint: float
    unit: str
    part: str
    tip_mm: float


@dataclass(frozen=True, slots=True)
class Steps:
    """The steps of one drive: of one value in 8 and in 16 bit, and those that its servo answers.

    A servo answers no step below its `deadband`: of values that are smaller it takes as many together as reach it.
    `own` is the least step that is seen now, in the bits of the drive, `best` the one that 16 bit would show.
    """

    drive: str
    bits: int
    coarse: Step
    fine: Step
    deadband: Step
    own: Step
    best: Step


def steps(prop: Prop, parts: list[Extent]) -> list[Steps]:
    """What one step of the value moves, for each drive; `parts` as from `extent.extents`."""
    return [_steps(prop, parts, d, drive) for d, drive in enumerate(prop.drives)]


def _steps(prop: Prop, parts: list[Extent], d: int, drive: Drive) -> Steps:
    deadband_us = servo_of(prop, drive).deadband
    span_us = abs(drive.pulse.high - drive.pulse.low)
    full = float(drive.full_scale)
    in_values = deadband_us / span_us * full if span_us > 0.0 else 0.0
    coarse, fine = full / 255.0, full / 65535.0

    def step(start: Array, end: Array) -> Step:
        return _of_values(prop, parts, d, start, end)

    return Steps(
        drive.name,
        drive.bits,
        coarse=step(*_apart(drive, coarse)),
        fine=step(*_apart(drive, fine)),
        deadband=step(*_apart(drive, min(in_values, full))),
        own=step(*_answered(prop, drive, coarse if drive.bits == 8 else fine)),
        best=step(*_answered(prop, drive, fine)),
    )


def _apart(drive: Drive, width: float) -> tuple[Array, Array]:
    """Values `width` apart, at GRID places of the range."""
    start = np.linspace(0.0, drive.full_scale - width, GRID)
    return start, start + width


def _answered(prop: Prop, drive: Drive, width: float) -> tuple[Array, Array]:
    """Values at GRID places of the range, `width` being the step between two, and the next above that is answered."""
    servo = servo_of(prop, drive)
    values = np.linspace(0.0, drive.full_scale, round(drive.full_scale / width) + 1)
    pulse = np.clip(asked_pulse(values, drive), *servo.pulse_range)
    if pulse[-1] < pulse[0]:
        pulse = -pulse
    start = np.unique(np.linspace(0, len(values) - 2, GRID).astype(int))
    end = np.maximum(np.searchsorted(pulse, pulse[start] + servo.deadband - ROUNDING_US), start + 1)
    is_there = end < len(values)
    if not is_there.any():  # the servo answers nothing of the range but, at most, all of it
        return values[:1], values[-1:]
    return values[start[is_there]], values[end[is_there]]


def _of_values(prop: Prop, parts: list[Extent], d: int, start: Array, end: Array) -> Step:
    """The largest of the steps of drive d from values `start` (n,) to `end` (n,), all else at rest."""
    values = np.tile([float(drive.rest_value) for drive in prop.drives], (2, len(start), 1))
    values[0, :, d], values[1, :, d] = start, end
    return _largest(prop, parts, d, shafts(prop, pulses(prop, values)))


def _largest(prop: Prop, parts: list[Extent], d: int, shaft: Array) -> Step:
    """The step that moves a joint most of those of drive d; shaft angles (2, n, D) [deg] before and after."""
    turned = np.abs(shaft[1, :, d] - shaft[0, :, d])
    if not prop.joints:
        return Step(float(turned.max()), "", 0.0, "deg", "", 0.0)
    joints = solve(prop, shaft.reshape(-1, shaft.shape[2])).position.reshape(2, len(turned), -1)
    moved = np.abs(joints[1] - joints[0])
    k = int(np.argmax(moved.max(axis=1)))
    j = int(np.argmax(moved[k]))
    tip_mm, part = farthest_move(prop, parts, joints[0, k], joints[1, k])
    return Step(
        shaft_deg=float(turned.max()),
        joint_name=prop.joints[j].name,
        joint=float(moved[k, j]),
        unit=unit_of(prop.joints[j]),
        part=prop.links[part].name,
        tip_mm=tip_mm,
    )


@dataclass(frozen=True, slots=True)
class Jumpiness:
    """Slow moves of one drive that go step by step: the shaft stops between one value and the next.

    `stops` counts the stops, the first at `at` [s]; `step` is the largest of the steps before and after them. With
    the acceleration `smooth` [deg/s2] it would be under way all along, which was tried; a step takes `lag` [s] then.
    None where no acceleration does it in good time.
    """

    drive: str
    stops: int
    at: float
    step: Step
    smooth: float | None
    lag: float | None

    @property
    def is_seen(self) -> bool:
        """True if a step is large enough to be seen from VIEWED_FROM."""
        return self.step.tip_mm >= VISIBLE


def jumpiness(prop: Prop, parts: list[Extent], motion: Motion, sizes: list[Steps]) -> list[Jumpiness]:
    """The drives that stop between steps of a slow move; `sizes` as from `steps`."""
    found = []
    for d, size in enumerate(sizes):
        one, least = motion.of_drive(d), size.own.shaft_deg
        stops = _stops(one, least)
        if stops.any():
            at = float(one.since[1:-1][stops][0])
            step = _step_taken(prop, parts, d, one.target, stops)
            found.append(Jumpiness(size.drive, int(stops.sum()), at, step, *_smoothing(one, stops, least)))
    return found


def _step_taken(prop: Prop, parts: list[Extent], d: int, target: Array, stops: Truth) -> Step:
    """The largest of the steps of drive d from one target [deg] to the next before and after its stops."""
    at = np.flatnonzero(stops)
    taken = np.union1d(at, at + 1)
    pairs = np.unique(np.stack([target[taken], target[taken + 1]]), axis=1)
    largest = np.argsort(-np.abs(pairs[1] - pairs[0]), kind="stable")[:GRID]
    rest = shafts(prop, pulses(prop, [float(drive.rest_value) for drive in prop.drives]))
    shaft = np.tile(rest, (2, len(largest), 1))
    shaft[:, :, d] = pairs[:, largest]
    return _largest(prop, parts, d, shaft)


def _stops(motion: Motion, least: float) -> Truth:
    """For each event of a drive but the first and last: whether the shaft rests there on a slow move.

    It does if it is there before the next step, which comes after FILM and goes on in the same direction. Steps that
    are farther apart than SLOW are moves of their own, unless they are so small that only a slow fade makes them: of
    not much more than `least` [deg], the least that the servo answers.
    """
    step, every = np.diff(motion.target), np.diff(motion.since)[1:]
    inner = np.arange(1, max(len(motion.since) - 1, 1))
    move = motion.moves(inner, motion.limits.take(np.zeros(len(inner), dtype=np.intp)))
    onward = np.sign(step[1:]) == np.sign(step[:-1])
    small = np.maximum(np.abs(step[1:]), np.abs(step[:-1])) < 2.0 * least
    return onward & (every > FILM) & ((every <= SLOW) | small) & (move.duration < every)


def _smoothing(motion: Motion, stops: Truth, least: float) -> tuple[float | None, float | None]:
    """The acceleration [deg/s2] without such stops, and how long [s] the largest of these steps takes with it.

    Even steps s, each a time T after the last, run into each other if a triangle takes T at least:
    2 sqrt(s / a) >= T, so a <= 4 s / T**2. Real steps are not even, so it is tried and lowered until it holds.
    """
    step, every = np.abs(np.diff(motion.target))[:-1][stops], np.diff(motion.since)[1:][stops]
    slope = _nice(float(np.min(4.0 * step / every**2)))
    for _ in range(TRIES):
        lag = 2.0 * math.sqrt(float(np.max(step)) / slope) if slope > 0.0 else math.inf
        if lag > TOO_LATE:
            break
        if not _stops(motion.under(Limits(motion.limits.speed, np.array([slope]))), least).any():
            return slope, lag
        slope = _nice(slope * 0.7)
    return None, None


def jumpy_findings(found: list[Jumpiness], sizes: list[Steps]) -> list[Finding]:
    """A warning for each drive whose stops will be seen, with what would help."""
    by_name = {size.drive: size for size in sizes}
    return [
        warning("jumpy", jumpy.drive, _sentence(jumpy, by_name[jumpy.drive]))
        for jumpy in found
        if jumpy.is_seen
    ]


def _sentence(jumpy: Jumpiness, size: Steps) -> str:
    step, best = jumpy.step, size.best
    told = (
        f"a slow move stops {jumpy.stops} times between values, first at {jumpy.at:.2f} s, in steps of up to "
        f"{plain(step.joint, 2)} {step.unit} or {plain(step.tip_mm, 2)} mm at '{step.part}'"
    )
    if step.shaft_deg >= 2.0 * size.own.shaft_deg:
        told += "; its frames come too far apart"
    elif size.bits == 8 and best.tip_mm < VISIBLE:
        told += f"; 16 bit would make it {plain(best.tip_mm, 2)} mm"
    elif size.bits == 8:
        told += f"; 16 bit alone leaves {plain(best.tip_mm, 2)} mm, which is the deadband of the servo"
    else:
        told += "; that is the deadband of the servo"
    if jumpy.smooth is not None:
        late = "" if jumpy.lag is None else f", {plain(jumpy.lag, 2)} s late"
        told += f"; an acceleration of {exact(jumpy.smooth)} deg/s2 runs the steps together{late}"
    return told


def _nice(number: float) -> float:
    """Rounded down to two digits, so that it can be typed."""
    if number <= 0.0:
        return number
    unit = 10.0 ** (math.floor(math.log10(number)) - 1)
    return math.floor(number / unit) * unit
