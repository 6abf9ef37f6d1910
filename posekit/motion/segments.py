"""A motion cut into segments of constant acceleration: what readings count and clearance can bound.

All of it at once takes some 200 octets an event; `stretches` are cut one after the other, for whoever looks through it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from posekit.arrays import Array, Index, Truth
from posekit.motion.follow import Motion

BLOCK = 1 << 15  # events cut at once, so that an hour of them needs little memory


@dataclass(frozen=True, slots=True)
class Segments:
    """Drive d owns the segments `first[d]:first[d + 1]`.

    A segment begins at `since` [s] with `position` [deg], `velocity` [deg/s] and constant `acceleration`
    [deg/s2] and holds until the next begins; the last of each drive is rest for good. Each drive rests
    before its first. The motion is asked for from `begin` [s] on.
    """

    begin: float
    first: Index
    since: Array
    position: Array
    velocity: Array
    acceleration: Array
    lasts: Array

    @property
    def leaves(self) -> Array:
        """Velocity [deg/s] at the end of each segment; 0 for the rest at the end."""
        return self.velocity + self.acceleration * np.where(np.isinf(self.lasts), 0.0, self.lasts)

    @property
    def settled(self) -> float:
        """The time [s] from which everything rests; the beginning where there are no drives."""
        return float(self.since[self.first[1:] - 1].max(initial=self.begin))

    def at(self, times: Array, before: Truth) -> tuple[Array, Array, Array]:
        """Shaft angles [deg], speeds [deg/s] and accelerations [deg/s2] at times (n,) [s]; (n, D) each.

        Just after each time, or just before it where `before` (n,) is true: they differ where a segment begins.
        """
        found = np.empty((3, len(self.first) - 1, len(times)))
        for d, (begin, end) in enumerate(pairwise(self.first.tolist())):
            own = self.since[begin:end]
            segment = begin + np.searchsorted(own, times, side="right") - 1
            segment[before] = begin + np.searchsorted(own, times[before], side="left") - 1
            rests = segment < begin  # before its first
            segment[rests] = begin
            into = times - self.since[segment]
            into[rests] = 0.0
            speed, slope = self.velocity[segment], self.acceleration[segment]
            found[0, d] = self.position[segment] + (speed + 0.5 * slope * into) * into
            found[1, d] = np.where(rests, 0.0, speed + slope * into)
            found[2, d] = np.where(rests, 0.0, slope)
        angle, speed, gain = found.swapaxes(1, 2)
        return angle, speed, gain

    def top_speeds(self, edges: Array) -> Array:
        """The largest speed [deg/s] of each drive in each slice between `edges` (n + 1,) [s], rising; (n, D).

        Exact, not sampled: speed is linear within a segment, so its ends tell.
        """
        slices = len(edges) - 1
        top = np.zeros((slices, len(self.first) - 1))
        for d in range(top.shape[1]):
            own = slice(self.first[d], self.first[d + 1])
            cuts = np.union1d(edges, self.since[own])
            cuts = cuts[(cuts >= edges[0]) & (cuts <= edges[-1])]
            segment = np.searchsorted(self.since[own], cuts[:-1], side="right") - 1
            early = segment < 0
            segment = np.maximum(segment, 0)
            since, velocity, slope = (
                self.since[own][segment],
                self.velocity[own][segment],
                self.acceleration[own][segment],
            )
            enters, exits = velocity + slope * (cuts[:-1] - since), velocity + slope * (cuts[1:] - since)
            fastest = np.where(early, 0.0, np.maximum(np.abs(enters), np.abs(exits)))
            top[:, d] = np.maximum.reduceat(fastest, np.searchsorted(cuts, edges[:-1]))
        return top


def segments(motion: Motion) -> Segments:
    """The segments of a motion, those of no duration left out."""
    until = np.full(len(motion.since), np.inf)
    until[:-1] = motion.since[1:]
    until[motion.first[1:] - 1] = np.inf
    drive = np.repeat(np.arange(len(motion.first) - 1), np.diff(motion.first))
    count = len(motion.since)
    blocks = [
        _cut(motion, np.arange(a, min(a + BLOCK, count)), drive[a : a + BLOCK], until[a : a + BLOCK])
        for a in range(0, max(count, 1), BLOCK)
    ]
    event, since, position, velocity, acceleration, lasts = (
        np.concatenate(column) for column in zip(*blocks, strict=True)
    )
    first = np.searchsorted(event, motion.first).astype(np.intp)
    return Segments(motion.begin, first, since, position, velocity, acceleration, lasts)


def settled(motion: Motion) -> float:
    """`Segments.settled` of a motion that is not cut."""
    last = motion.first[1:] - 1
    return segments(_of_events(motion, last, last + 1)).settled


def stretches(
    motion: Motion, end: float, longest_s: float, events: int
) -> Iterator[tuple[float, float, Segments]]:
    """A motion from its beginning to `end` [s], in stretches one after the other: from when, to when, its segments.

    A stretch is `longest_s` at most and has no more than so many `events`, one of each drive at least. What happens
    when it begins belongs to the one before, but of the first; its segments are those of the motion up to its end.
    """
    firsts, most = motion.first[:-1], max(events // max(len(motion.first) - 1, 1), 1)
    columns = [motion.since[a:b] for a, b in pairwise(motion.first.tolist())]
    here = np.nextafter(motion.begin, -np.inf)
    # Ends: each stretch is as long as may be, or one drive has that many of its events in it.
    while here < end:
        next_ = [int(np.searchsorted(own, here, side="right")) for own in columns]
        full = [
            float(own[at + most - 1]) for own, at in zip(columns, next_, strict=True) if at + most <= len(own)
        ]
        to = min(end, max(here, motion.begin) + longest_s, *full)
        past = [int(np.searchsorted(own, to, side="right")) for own in columns]
        # The event that goes on, too, and one where a drive has none yet: it rests before.
        begins = firsts + np.maximum(np.array(next_, np.intp) - 1, 0)
        ends = np.maximum(firsts + np.array(past, np.intp), begins + 1)
        yield here, to, segments(_of_events(motion, begins, ends))
        here = to


def _of_events(motion: Motion, begins: Index, ends: Index) -> Motion:
    """The motion of those events of each drive, (D,) each, as though no other came."""
    counts = ends - begins
    first = np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)
    events = np.arange(first[-1]) + np.repeat(begins - first[:-1], counts)
    since, target, start, entry = (
        each[events] for each in (motion.since, motion.target, motion.start, motion.entry)
    )
    return Motion(first, since, target, start, entry, motion.limits, motion.begin, motion.end)


def _cut(
    motion: Motion, events: Index, drive: Index, until: Array
) -> tuple[Index, Array, Array, Array, Array, Array]:
    """The segments of some events, which hold until `until` [s]: their event and the columns of `Segments`."""
    limits = motion.limits.take(drive)
    move = motion.moves(events, limits)
    # Four phases an event: rise, steady, fall and rest; each begins where the one before ends.
    begins = np.stack([np.zeros_like(move.rise), move.rise, move.rise + move.steady, move.duration], axis=1)
    ends = np.column_stack([begins[:, 1:], np.full(len(begins), np.inf)])
    ends = np.minimum(ends, (until - motion.since[events])[:, None])
    row, phase = np.nonzero(ends > begins)
    elapsed = begins[row, phase]
    of_piece = motion.moves(events[row], limits.take(row))
    position, velocity = of_piece.state(elapsed)
    slope = of_piece.slope
    acceleration = np.choose(phase, [slope, np.zeros_like(slope), -slope, np.zeros_like(slope)])
    since = motion.since[events[row]] + elapsed
    return events[row], since, position, velocity, acceleration, ends[row, phase] - elapsed
