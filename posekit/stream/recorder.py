"""Slot values as they were recorded, frame by frame, into drive values over time."""

from __future__ import annotations

from array import array
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding, error, warning
from posekit.prop.model import Prop
from posekit.signal.patch import slots_of
from posekit.signal.snapshot import Slot
from posekit.stream.show import most_frames


@dataclass
class Recorder:
    """Takes slot values in the order of time and keeps a frame wherever a drive value changes.

    Nothing after as many frames as a show may have is kept; `full` is the time [s] of the first that is not.
    """

    prop: Prop
    times: array[float] = field(default_factory=lambda: array("d"))
    values: array[int] = field(default_factory=lambda: array("H"))
    last: float | None = None
    full: float | None = None
    given: set[Slot] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._now = [drive.rest_value for drive in self.prop.drives]
        self._most = most_frames(len(self.prop.drives))
        self._byte = {
            slot: (d, 8 * (drive.bits // 8 - 1 - i))
            for d, drive in enumerate(self.prop.drives)
            for i, slot in enumerate(slots_of(drive))
        }
        self._of_universe: dict[int, list[tuple[int, int, int]]] = {}
        for (universe, address), (d, shift) in self._byte.items():
            self._of_universe.setdefault(universe, []).append((address, d, shift))

    def is_patched(self, slot: Slot) -> bool:
        """True if a drive uses the slot."""
        return slot in self._byte

    def uses(self, universe: int) -> bool:
        """True if a drive is patched to the universe."""
        return universe in self._of_universe

    def take(self, time: float, slots: Iterable[tuple[Slot, int]]) -> None:
        """Some slots got values."""
        now = list(self._now)
        for slot, value in slots:
            if place := self._byte.get(slot):
                d, shift = place
                now[d] = now[d] & ~(0xFF << shift) | value << shift
                self.given.add(slot)
        self._keep(time, now)

    def take_universe(self, time: float, universe: int, data: bytes) -> None:
        """A universe got values from address 1 on."""
        now = list(self._now)
        for address, d, shift in self._of_universe.get(universe, ()):
            if address <= len(data):
                now[d] = now[d] & ~(0xFF << shift) | data[address - 1] << shift
                self.given.add((universe, address))
        self._keep(time, now)

    def _keep(self, time: float, now: list[int]) -> None:
        if self.full is not None:
            return
        if self.times and time == self.times[-1]:
            self.values[-len(now) or len(self.values) :] = array("H", now)
        elif not self.times or now != self._now:
            if len(self.times) >= self._most:
                self.full = time
                return
            self.times.append(time)
            self.values.extend(now)
        self._now, self.last = now, time

    def frames(self) -> tuple[Array, Array]:
        """Times (T,) [s] and values (T, D); the last frame is where the recording ends."""
        times, values = self.times[:], self.values[:]
        if self.last is not None and self.last > times[-1]:
            times.append(self.last)
            values.extend(self._now)
        shape = (len(times), len(self.prop.drives))
        return np.array(times), np.array(values, dtype=float).reshape(shape)

    def findings(self) -> list[Finding]:
        """What is missing: frames beyond the most of a show, and slots that never got a value."""
        return [*self._cut(), *self.silent()]

    def _cut(self) -> list[Finding]:
        if self.full is None:
            return []
        sentence = (
            f"has more than {self._most} frames, the most of a show of {len(self.prop.drives)} drives; what comes "
            f"after {self.full:.3f} s was left out: record it in parts"
        )
        return [error("too-many-frames", "show", sentence)]

    def silent(self) -> list[Finding]:
        """A warning for each drive whose slots never got a value."""
        return [
            warning(
                "missing-address",
                drive.name,
                f"the show never gives universe {slot[0]}, address {slot[1]}; that byte stays as in the "
                f"rest value {drive.rest_value}",
            )
            for drive in self.prop.drives
            for slot in slots_of(drive)
            if slot not in self.given
        ]
