"""What can be read from a motion: whether drives keep up, how fast they and the parts go, where limits bite."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Truth
from posekit.errors import Finding, note, warning
from posekit.mechanism.joints import solve, unit_of
from posekit.mechanism.kinematics import forward
from posekit.motion.extent import extents, tips
from posekit.motion.follow import Motion
from posekit.motion.instants import ticks
from posekit.motion.segments import Segments, segments, settled
from posekit.motion.steps import Jumpiness, Steps, jumpiness, jumpy_findings, steps
from posekit.prop.model import Prop
from posekit.shape import Extent
from posekit.text import upward

STAND = 0.25  # s; a target that stands this long is a stop that the drive should reach
SAMPLES = 50.0  # instants a second at which the speed of joints and parts is looked at
NUDGE = 1e-5  # s; over which that speed is taken
BLOCK = 2000  # instants at once

Lateness = tuple[Truth, Array, Truth]


@dataclass(frozen=True, slots=True)
class DriveReading:
    """How one drive follows.

    A stop is a target that stands for STAND seconds or longer, or for good. `lag_s` is the longest time that a
    stop takes to be reached, from when it was asked for (also where the show leaves it sooner: `missed` counts
    those, the first at `missed_at`); it is asked for at `lag_at`. `short_deg` is the farthest the shaft still is
    from a target at the moment when the next target comes, at `short_at`. `top_acceleration` is None where speed
    jumps. `at_speed` and `at_acceleration` are the seconds spent at these limits.
    """

    drive: str
    stops: int
    missed: int
    missed_at: float | None
    lag_s: float
    lag_at: float
    short_deg: float
    short_at: float
    top_speed: float
    top_acceleration: float | None
    at_speed: float
    at_acceleration: float

    @property
    def arrives(self) -> bool:
        """True if every stop is reached before the show goes on."""
        return self.missed == 0


@dataclass(frozen=True, slots=True)
class Speed:
    """The largest speed of a joint [`unit`] or of the tip of a part [mm/s], and when [s]."""

    name: str
    speed: float
    unit: str
    at: float


@dataclass(frozen=True, slots=True)
class Readings:
    """Everything read from one motion. `joints` and `parts` leave out what does not move."""

    drives: tuple[DriveReading, ...]
    joints: tuple[Speed, ...]
    parts: tuple[Speed, ...]
    steps: tuple[Steps, ...]
    jumpy: tuple[Jumpiness, ...]
    settled: float
    findings: tuple[Finding, ...]


def readings(prop: Prop, motion: Motion) -> Readings:
    """All readings of a motion of this prop. PosekitError where it takes days to rest."""
    parts, end = extents(prop), settled(motion)
    edges = ticks(motion.begin, max(end, motion.begin + 1.0 / SAMPLES), SAMPLES)
    moving = np.zeros(len(edges) - 1, bool)
    drives = []
    for name, own, cut in _each(prop, motion):
        drives.append(_drive(name, own, cut))
        moving |= cut.top_speeds(edges)[:, 0] > 0.0
    times = edges[:-1][moving] + 0.5 / SAMPLES  # the middles of slices in which something moves
    told = tuple(drives)
    sizes = steps(prop, parts)
    jumpy = jumpiness(prop, parts, motion, sizes)
    joints, tops = _speeds(prop, motion, times, parts)
    findings = (*_late(told), *_limitless(prop, motion), *jumpy_findings(jumpy, sizes))
    return Readings(told, joints, tops, tuple(sizes), tuple(jumpy), end, findings)


def drive_readings(prop: Prop, motion: Motion) -> tuple[DriveReading, ...]:
    """How each drive follows."""
    return tuple(_drive(*each) for each in _each(prop, motion))


def _each(prop: Prop, motion: Motion) -> Iterator[tuple[str, Motion, Segments]]:
    """Name, own motion and its segments of each drive."""
    # One after the other: segments take several times the memory of the events that they are cut from.
    for d, drive in enumerate(prop.drives):
        own = motion.of_drive(d)
        yield drive.name, own, segments(own)


def lateness(motion: Motion) -> Lateness:
    """For each event: whether it is a stop, how long [s] the drive takes to it (0 for the others), and whether
    the drive is sent on before it is there."""
    stands = np.full(len(motion.since), np.inf)
    stands[:-1] = np.diff(motion.since)
    stands[motion.first[1:] - 1] = np.inf
    stop = stands >= STAND
    stop[motion.first[:-1]] = False  # there it stands from the outset
    drive = np.repeat(np.arange(len(motion.first) - 1), np.diff(motion.first))
    needs = motion.moves(np.arange(len(stop)), motion.limits.take(drive)).duration
    return stop, np.where(stop, needs, 0.0), stop & (needs > stands)


def _drive(name: str, motion: Motion, cut: Segments) -> DriveReading:
    """How a drive follows whose motion alone this is, in these segments."""
    since = motion.since
    stop, lag, missed = lateness(motion)
    # Where the shaft is when the next target comes is where its next move starts.
    short = np.abs(motion.target[:-1] - motion.start[1:])
    k, m = int(np.argmax(lag)), int(np.argmax(short)) if len(short) else 0

    velocity, slope, lasts = cut.velocity, np.abs(cut.acceleration), cut.lasts
    steady = (slope == 0.0) & (np.abs(velocity) == motion.limits.speed[0])
    jumps = bool(np.isinf(motion.limits.acceleration[0]))
    return DriveReading(
        drive=name,
        stops=int(stop.sum()),
        missed=int(missed.sum()),
        missed_at=float(since[missed][0]) if missed.any() else None,
        lag_s=float(lag[k]),
        lag_at=float(since[k]),
        short_deg=float(short[m]) if len(short) else 0.0,
        short_at=float(since[m + 1]) if len(short) else float(since[0]),
        top_speed=float(max(np.abs(velocity).max(), np.abs(cut.leaves).max())),
        top_acceleration=None if jumps else float(slope.max()),
        at_speed=float(lasts[steady].sum()),
        at_acceleration=float(lasts[slope > 0.0].sum()),
    )


def _speeds(
    prop: Prop, motion: Motion, times: Array, parts: list[Extent]
) -> tuple[tuple[Speed, ...], tuple[Speed, ...]]:
    """The largest speeds of joints and of part tips, looked at at these times (T,) [s]."""
    tip = tips(prop, parts)
    joint_top, joint_at = np.zeros(len(prop.joints)), np.zeros(len(prop.joints))
    part_top, part_at = np.zeros(len(prop.links)), np.zeros(len(prop.links))
    for a in range(0, len(times), BLOCK):
        now = times[a : a + BLOCK]
        # Just before and just after, so that a jump of the speed within NUDGE is not taken for speed.
        before, after = (solve(prop, motion.position(t)).position for t in (now, now + NUDGE))
        _keep_largest(joint_top, joint_at, np.abs(after - before) / NUDGE, now)
        moved = [
            np.einsum("plij,lj->pli", world[..., :3, :3], tip) + world[..., :3, 3]
            for world in (forward(prop, before), forward(prop, after))
        ]
        _keep_largest(part_top, part_at, np.linalg.norm(moved[1] - moved[0], axis=2) / NUDGE, now)
    joints = (
        Speed(joint.name, float(joint_top[j]), f"{unit_of(joint)}/s", float(joint_at[j]))
        for j, joint in enumerate(prop.joints)
        if joint_top[j] > 0.0
    )
    tops = (
        Speed(link.name, float(part_top[row]), "mm/s", float(part_at[row]))
        for row, link in enumerate(prop.links)
        if part_top[row] > 1e-6  # rounding of poses that do not move
    )
    return tuple(joints), tuple(tops)


def _keep_largest(top: Array, at: Array, found: Array, times: Array) -> None:
    """Keep the larger of `top` and each column of `found`, and when it was."""
    if not found.shape[1]:
        return
    k = np.argmax(found, axis=0)
    most = found[k, np.arange(found.shape[1])]
    larger = most > top
    top[larger], at[larger] = most[larger], times[k[larger]]


def _late(drives: tuple[DriveReading, ...]) -> list[Finding]:
    return [
        warning(
            "not-arriving",
            reading.drive,
            f"the show moves on before the shaft arrives at {reading.missed} of {reading.stops} stops, first at the "
            f"one asked for at {reading.missed_at:.2f} s; the slowest needs {upward(reading.lag_s)} s",
        )
        for reading in drives
        if not reading.arrives
    ]


def _limitless(prop: Prop, motion: Motion) -> list[Finding]:
    return [
        note(
            "no-speed",
            drive.name,
            "neither the drive nor its servo has a speed, so the shaft jumps; add one",
        )
        for d, drive in enumerate(prop.drives)
        if np.isinf(motion.limits.speed[d])
    ]
