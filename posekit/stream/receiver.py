"""What a receiver of E1.31 makes of the packets it hears: which source rules each universe, and when.

Sources are told apart by CID. A packet out of order is discarded; of the sources that are heard, the one of
highest priority rules, and among equals the one that was heard first (E1.31 leaves that to the receiver). A
source is lost when it says so or is not heard for 2.5 s; then the next takes over, or the values stay.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from uuid import UUID

from posekit.errors import Finding, note, warning
from posekit.stream.e131 import Data, Sync, is_late

LOST_AFTER = 2.5  # s; 6.7.1 and appendix A
NULL_START = 0  # the START code of slot values

Emit = Callable[[float, int, bytes], None]


@dataclass
class Source:
    """One source of one universe, as heard so far."""

    name: str
    heard: float
    sequence: int
    priority: int = 0
    slots: bytes | None = None
    held: bytes | None = None
    sync: int = 0


@dataclass
class Receiver:
    """Takes packets in the order they came and calls `emit(time, universe, slots)` when a universe changes."""

    emit: Emit
    sources: dict[int, dict[UUID, Source]] = field(default_factory=dict)
    shown: dict[int, bytes] = field(default_factory=dict)
    silent: dict[int, tuple[float, str]] = field(default_factory=dict)
    synced: set[tuple[UUID, int]] = field(default_factory=set)
    findings: list[Finding] = field(default_factory=list)
    counted: Counter[tuple[str, int, str]] = field(default_factory=Counter)
    first: dict[tuple[str, int, str], tuple[int, float]] = field(default_factory=dict)

    def take(self, number: int, time: float, packet: Data | Sync) -> None:
        """Packet `number` of the capture came at `time` [s]."""
        self.pass_time(time)
        if isinstance(packet, Sync):
            self._release(time, packet)
        elif packet.preview:
            self._count("preview", packet, number, time)
        elif packet.start_code != NULL_START:
            self._count("start-code", packet, number, time)
        else:
            self._data(number, time, packet)

    def pass_time(self, time: float) -> None:
        """Lose the sources that were not heard for too long before `time` [s]."""
        late = [
            (source.heard + LOST_AFTER, universe, cid)
            for universe, heard in self.sources.items()
            for cid, source in heard.items()
            if time - source.heard > LOST_AFTER
        ]
        for when, universe, cid in sorted(late):
            name = self.sources[universe].pop(cid).name
            self._lost(when, universe, name, f"source '{name}' was not heard for {LOST_AFTER:g} s")

    def _data(self, number: int, time: float, packet: Data) -> None:
        heard = self.sources.setdefault(packet.universe, {})
        source = heard.get(packet.source)
        if source is None:
            if packet.terminated:
                return  # the second and third farewell of a source that is gone
            source = heard[packet.source] = Source(packet.source_name, time, packet.sequence)
        else:
            if is_late(source.sequence, packet.sequence):
                self._count("out-of-order", packet, number, time)
                return
            missing = (packet.sequence - source.sequence - 1) % 256
            if missing:
                self._count("packets-missing", packet, number, time, missing)
        source.heard, source.sequence, source.priority = time, packet.sequence, packet.priority
        if packet.terminated:  # its values do not count (6.2.6)
            del heard[packet.source]
            self._lost(time, packet.universe, source.name, f"source '{source.name}' ended its stream")
            return
        if packet.sync and (packet.source, packet.sync) in self.synced:
            source.held, source.sync = packet.slots, packet.sync
            return
        source.slots = packet.slots
        self._show(time, packet.universe)

    def _release(self, time: float, packet: Sync) -> None:
        self.synced.add((packet.source, packet.address))  # held only once a first one was heard (11.1.1)
        for universe, heard in self.sources.items():
            source = heard.get(packet.source)
            if source is not None and source.held is not None and source.sync == packet.address:
                source.slots, source.held = source.held, None
                self._show(time, universe)

    def _show(self, time: float, universe: int) -> None:
        """Show the values of the source that rules the universe."""
        ready = [source for source in self.sources[universe].values() if source.slots is not None]
        if not ready:
            return
        top = max(source.priority for source in ready)
        ruling = [source for source in ready if source.priority == top]
        if len(ruling) > 1:
            self._equals(time, universe, ruling)
        if universe in self.silent:
            since, why = self.silent.pop(universe)
            self._gap(universe, since, why, f"came back at {time:.3f} s")
        slots = ruling[0].slots
        if slots is not None and slots != self.shown.get(universe):
            self.shown[universe] = slots
            self.emit(time, universe, slots)

    def _lost(self, time: float, universe: int, name: str, why: str) -> None:
        if self.sources[universe]:
            told = (
                f"{why} at {time:.3f} s; source '{next(iter(self.sources[universe].values())).name}' is left"
            )
            self.findings.append(note("source-lost", f"universe {universe}", told))
            self._show(time, universe)
        else:
            self.silent[universe] = (time, why)

    def _gap(self, universe: int, time: float, why: str, then: str) -> None:
        sentence = f"no data from {time:.3f} s on: {why}; the values stay as they were; it {then}"
        self.findings.append(warning("data-loss", f"universe {universe}", sentence))

    def _equals(self, time: float, universe: int, ruling: list[Source]) -> None:
        key = ("same-priority", universe, " and ".join(f"'{source.name}'" for source in ruling))
        self.counted[key] += 1
        self.first.setdefault(key, (0, time))

    def _count(self, what: str, packet: Data, number: int, time: float, by: int = 1) -> None:
        key = (what, packet.universe, packet.source_name)
        self.counted[key] += by
        self.first.setdefault(key, (number, time))

    def finish(self, time: float) -> list[Finding]:
        """Everything there is to tell, the last packet being at `time` [s]."""
        self.pass_time(time)
        for universe, (since, why) in self.silent.items():
            if since < time:
                self._gap(universe, since, why, f"did not come back until the end at {time:.3f} s")
        return [*self.findings, *(self._told(key, count) for key, count in self.counted.items())]

    def _told(self, key: tuple[str, int, str], count: int) -> Finding:
        what, universe, name = key
        number, time = self.first[key]
        place = f"universe {universe}"
        where = f"first at packet {number}, {time:.3f} s"
        match what:
            case "preview":
                return note(
                    what, place, f"{count} packets of '{name}' are previews and were left out; {where}"
                )
            case "start-code":
                return note(
                    what, place, f"{count} packets of '{name}' have another START code than 0; {where}"
                )
            case "out-of-order":
                return warning(
                    what, place, f"{count} packets of '{name}' came out of order, were left out; {where}"
                )
            case "packets-missing":
                return warning(
                    what, place, f"{count} packets of '{name}' are missing by their numbers; {where}"
                )
        sentence = f"{name} have the same priority, from {time:.3f} s on; the one heard first rules"
        return warning(what, place, sentence)
