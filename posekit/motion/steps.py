"""How coarse values are where it shows: what one value moves, and slow moves that go by visible steps."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Truth
from posekit.errors import Finding, warning
from posekit.mechanism.joints import positions, unit_of
from posekit.motion.extent import farthest_move
from posekit.motion.follow import Motion
from posekit.motion.profile import Limits
from posekit.prop.model import Drive, Prop
from posekit.shape import Extent
from posekit.signal.calibration import pulses, servo_of, shafts

VIEWED_FROM = 2000.0  # mm; about as near as an audience comes
VISIBLE = VIEWED_FROM * math.tan(math.radians(1 / 60))  # mm; one minute of arc, sharp sight (common practice)
TRIES = 20  # each takes 1.2 times as long or more, from FILM at least: enough to come beyond TOO_LATE
TOO_LATE = 0.5  # s; smoothing that makes a step take longer than this is no help
GRID = 256  # places of the range where steps are looked at
FILM = 1 / 24  # s; steps closer than the pictures of a film are seen as one move (common practice)
SLOW = 0.5  # s; steps farther apart than this are single moves, not a jumpy one


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
    """The steps of one drive: in 8 bit, in 16 bit, and the least its servo answers to (its deadband)."""

    drive: str
    bits: int
    coarse: Step
    fine: Step
    deadband: Step

    @property
    def own(self) -> Step:
        """What is seen now: the step of the drive's own resolution, or the deadband where that is larger."""
        return self._seen(self.coarse if self.bits == 8 else self.fine)

    @property
    def best(self) -> Step:
        """What 16 bit would show: its step, or the deadband where that is larger."""
        return self._seen(self.fine)

    def _seen(self, step: Step) -> Step:
        return step if step.shaft_deg >= self.deadband.shaft_deg else self.deadband


def steps(prop: Prop, parts: list[Extent]) -> list[Steps]:
    """What one step of the value moves, for each drive; `parts` as from `extent.extents`."""
    return [_steps(prop, parts, d, drive) for d, drive in enumerate(prop.drives)]


def _steps(prop: Prop, parts: list[Extent], d: int, drive: Drive) -> Steps:
    span_us = abs(drive.pulse.high - drive.pulse.low)
    deadband_us = servo_of(prop, drive).deadband
    full = float(drive.full_scale)
    in_values = deadband_us / span_us * full if span_us > 0.0 else 0.0
    return Steps(
        drive.name,
        drive.bits,
        coarse=_step(prop, parts, d, full / 255.0),
        fine=_step(prop, parts, d, full / 65535.0),
        deadband=_step(prop, parts, d, min(in_values, full)),
    )


def _step(prop: Prop, parts: list[Extent], d: int, width: float) -> Step:
    """The step of `width` values at the place of the range where it moves its joint most."""
    full = prop.drives[d].full_scale
    values = np.tile([float(drive.rest_value) for drive in prop.drives], (2 * GRID, 1))
    start = np.linspace(0.0, full - width, GRID)
    values[:GRID, d], values[GRID:, d] = start, start + width
    pulse = pulses(prop, values)
    shaft = shafts(prop, pulse)
    joints = positions(prop, pulse)
    turned = np.abs(shaft[GRID:, d] - shaft[:GRID, d])
    moved = np.abs(joints[GRID:] - joints[:GRID])
    k = int(np.argmax(moved.max(axis=1, initial=0.0)))
    if not prop.joints:
        return Step(float(turned.max()), "", 0.0, "deg", "", 0.0)
    j = int(np.argmax(moved[k]))
    tip_mm, part = farthest_move(prop, parts, joints[k], joints[GRID + k])
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

    `stops` counts the stops, the first at `at` [s]. With the acceleration `smooth` [deg/s2] it would be under way
    all along, which was tried; a step takes `lag` [s] then. None where no acceleration does it in good time.
    """

    drive: str
    stops: int
    at: float
    smooth: float | None
    lag: float | None


def jumpiness(motion: Motion, names: list[str]) -> list[Jumpiness]:
    """The drives that stop between steps of a slow move; `names` are theirs, in order."""
    alone = [motion.of_drive(d) for d in range(len(names))]
    stops = [_stops(one) for one in alone]
    return [
        Jumpiness(name, int(stop.sum()), float(one.since[1:-1][stop][0]), *_smoothing(one, stop))
        for name, one, stop in zip(names, alone, stops, strict=True)
        if stop.any()
    ]


def _stops(motion: Motion) -> Truth:
    """For each event of a drive but the first and last: whether the shaft rests there on a slow move.

    It does if it is there before the next step, which comes after FILM to SLOW seconds and goes on in the same
    direction.
    """
    step, every = np.diff(motion.target), np.diff(motion.since)[1:]
    inner = np.arange(1, max(len(motion.since) - 1, 1))
    move = motion.moves(inner, motion.limits.take(np.zeros(len(inner), dtype=np.intp)))
    onward = np.sign(step[1:]) == np.sign(step[:-1])
    return onward & (every > FILM) & (every <= SLOW) & (move.duration < every)


def _smoothing(motion: Motion, stops: Truth) -> tuple[float | None, float | None]:
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
        if not _stops(motion.under(Limits(motion.limits.speed, np.array([slope])))).any():
            return slope, lag
        slope = _nice(slope * 0.7)
    return None, None


def jumpy_findings(found: list[Jumpiness], sizes: list[Steps]) -> list[Finding]:
    """A warning for each drive whose stops will be seen, with what would help."""
    by_name = {size.drive: size for size in sizes}
    return [
        warning("jumpy", jumpy.drive, _sentence(jumpy, by_name[jumpy.drive]))
        for jumpy in found
        if by_name[jumpy.drive].own.tip_mm >= VISIBLE
    ]


def _sentence(jumpy: Jumpiness, size: Steps) -> str:
    seen, best = size.own, size.best
    told = (
        f"a slow move stops {jumpy.stops} times between values, first at {jumpy.at:.2f} s; each step is "
        f"{seen.joint:.2g} {seen.unit} or {seen.tip_mm:.2g} mm at '{seen.part}'"
    )
    if size.bits == 8 and best.tip_mm < VISIBLE:
        told += f"; 16 bit would make it {best.tip_mm:.2g} mm"
    elif size.bits == 8:
        told += f"; 16 bit alone leaves {best.tip_mm:.2g} mm, for that is the deadband of the servo"
    else:
        told += "; that is the deadband of the servo"
    if jumpy.smooth is not None:
        told += (
            f"; an acceleration of {jumpy.smooth:g} deg/s2 runs the steps together, {jumpy.lag:.2g} s late"
        )
    return told


def _nice(number: float) -> float:
    """Rounded down to two digits, so that it can be typed."""
    if number <= 0.0:
        return number
    unit = 10.0 ** (math.floor(math.log10(number)) - 1)
    return math.floor(number / unit) * unit
