"""What a receiver of E1.31 makes of the packets it hears: which source rules each universe, and when.

Sources are told apart by CID. A packet out of order is discarded; of the sources that are heard, the one of
highest priority rules, and among equals the one that was heard first (E1.31 leaves that to the receiver). A
source is lost when it says so, or is not heard for 2.5 s, or sends no slot values for as long; then the next takes
over, or the values stay.

Values for a synchronisation address take effect when a synchronisation packet for it comes. When none came for
2.5 s, synchronisation is lost: then values wait for the next (6.2.6), unless their source forces them to be taken.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from heapq import heappop, heappush
from uuid import UUID

from posekit.budgets import SOURCES
from posekit.errors import Finding
from posekit.stream.e131 import Data, Sync, is_late
from posekit.stream.notices import MISSING, OUT_OF_ORDER, PREVIEW, START_CODE, TOO_MANY, Kind, Notices
from posekit.text import exact

LOST_AFTER = 2.5  # s; 6.7.1 and appendix A
NULL_START = 0  # the START code of slot values

Emit = Callable[[float, int, bytes], None]


@dataclass
class Source:
    """One source of one universe, as heard so far.

    It was `heard` last, and sent slot values that count last, at these times [s]. `slots` are those that take
    effect, `held` those that wait for a packet to synchronisation address `sync`.
    """

    name: str
    heard: float
    sequence: int
    sent_values: float | None = None
    priority: int = 0
    slots: bytes | None = None
    held: bytes | None = None
    sync: int = 0


@dataclass
class Synchronisation:
    """The packets for one synchronisation address: when [s] the last came, the sequence number of each source,
    and which universes wait for the next."""

    last: float
    sequences: dict[UUID, tuple[float, int]] = field(default_factory=dict)
    waiting: set[tuple[int, UUID]] = field(default_factory=set)
    lost: dict[int, bool] = field(
        default_factory=dict
    )  # universes that got values since, and whether they took them


@dataclass
class Receiver:
    """Takes packets in the order they came and calls `emit(time, universe, slots)` when a universe changes."""

    emit: Emit
    sources: dict[int, dict[UUID, Source]] = field(default_factory=dict)
    shown: dict[int, bytes] = field(default_factory=dict)
    silent: dict[int, tuple[float, str]] = field(default_factory=dict)
    synchronisations: dict[int, Synchronisation] = field(default_factory=dict)
    equals: set[tuple[int, tuple[UUID, ...]]] = field(default_factory=set)
    notices: Notices = field(default_factory=Notices)
    # When to look whether a source is lost: one entry a source, so that a packet costs no walk over all of them.
    due: list[tuple[float, int, UUID]] = field(default_factory=list)

    def take(self, number: int, time: float, packet: Data | Sync) -> None:
        """Packet `number` of the capture came at `time` [s]."""
        self.pass_time(time)
        if isinstance(packet, Sync):
            self._release(number, time, packet)
        else:
            self._data(number, time, packet)

    def pass_time(self, time: float) -> None:
        """Lose the sources that were silent for too long before `time` [s], in the order in which they were lost."""
        # Ends: each round takes an entry out, or puts one in that is later, once for each source.
        while self.due and time - self.due[0][0] > LOST_AFTER:
            since, universe, cid = heappop(self.due)
            source = self.sources[universe].get(cid)
            if source is None:
                continue
            latest = source.heard if source.sent_values is None else source.sent_values
            if latest > since:
                heappush(self.due, (latest, universe, cid))
            elif source.heard > since:  # it is there, but for previews or other START codes only
                why = f"source '{source.name}' sent no slot values for {exact(LOST_AFTER)} s"
                self._lost(since + LOST_AFTER, universe, source, why)
                source.sent_values = source.held = None
                heappush(self.due, (source.heard, universe, cid))
            else:
                del self.sources[universe][cid]
                why = f"source '{source.name}' was not heard for {exact(LOST_AFTER)} s"
                self._lost(since + LOST_AFTER, universe, source, why)

    def _data(self, number: int, time: float, packet: Data) -> None:
        source = self._heard(number, time, packet)
        if source is None:
            return
        if packet.terminated:  # its values do not count (6.2.6)
            del self.sources[packet.universe][packet.source]
            self._lost(time, packet.universe, source, f"source '{source.name}' ended its stream")
        elif packet.preview:
            self._count(PREVIEW, packet, number, time)
        elif packet.start_code != NULL_START:
            self._count(START_CODE, packet, number, time)
        else:
            source.sent_values, source.priority = time, packet.priority
            if not self._waits(time, packet, source):
                source.slots, source.held = packet.slots, None
                self._show(time, packet.universe)

    def _heard(self, number: int, time: float, packet: Data) -> Source | None:
        """The source of a packet; None where the packet does not count. One sequence numbers all data of a universe,
        previews and other START codes too (6.7.2)."""
        heard = self.sources.setdefault(packet.universe, {})
        source = heard.get(packet.source)
        if source is None:
            if packet.terminated:
                return None  # the second and third farewell of a source that is gone
            if len(heard) >= SOURCES:
                self.notices.count(TOO_MANY, f"universe {packet.universe}", "", number, time)
                return None
            source = heard[packet.source] = Source(packet.source_name, time, packet.sequence)
            heappush(self.due, (time, packet.universe, packet.source))
            return source
        if is_late(source.sequence, packet.sequence):
            self._count(OUT_OF_ORDER, packet, number, time)
            return None
        if missing := (packet.sequence - source.sequence - 1) % 256:
            self._count(MISSING, packet, number, time, missing)
        source.heard, source.sequence = time, packet.sequence
        return source

    def _waits(self, time: float, packet: Data, source: Source) -> bool:
        """True if the values of a packet wait for a synchronisation packet; they are held then."""
        group = self.synchronisations.get(packet.sync)
        if packet.sync == 0 or group is None:
            return False  # held only once a first one was heard (11.1.1)
        if time - group.last > LOST_AFTER:
            took = group.lost.get(packet.universe, True)
            group.lost[packet.universe] = took and packet.forced
            if packet.forced:
                return False
        source.held, source.sync = packet.slots, packet.sync
        group.waiting.add((packet.universe, packet.source))
        return True

    def _release(self, number: int, time: float, packet: Sync) -> None:
        """Let what waits for the address take effect, whichever source sent the packet (6.2.4.1)."""
        group = self.synchronisations.setdefault(packet.address, Synchronisation(time))
        heard, sequence = group.sequences.get(packet.source, (time, (packet.sequence - 1) % 256))
        if time - heard <= LOST_AFTER and is_late(sequence, packet.sequence):
            place = f"synchronisation address {packet.address}"
            self.notices.count(OUT_OF_ORDER, place, str(packet.source), number, time)
            return
        if packet.source in group.sequences or len(group.sequences) < SOURCES:
            group.sequences[packet.source] = time, packet.sequence
        self._tell_lost(packet.address, group, f"{time:.3f} s")
        group.last = time
        waiting, group.waiting = group.waiting, set()
        for universe, cid in waiting:
            source = self.sources[universe].get(cid)
            if source is not None and source.held is not None and source.sync == packet.address:
                source.slots, source.held = source.held, None
        for universe in sorted({universe for universe, _ in waiting}):
            self._show(time, universe)

    def _tell_lost(self, address: int, group: Synchronisation, until: str) -> None:
        for universe, taken in group.lost.items():
            self.notices.unsynchronised(f"universe {universe}", address, group.last, until, taken)
        group.lost = {}

    def _show(self, time: float, universe: int) -> None:
        """Show the values of the source that rules the universe."""
        ruling = self._ruling(universe)
        if not ruling:
            return
        if len(ruling) > 1 and (key := (universe, tuple(ruling))) not in self.equals:
            self.equals.add(key)
            names = [source.name for source in ruling.values()]
            self.notices.equals(f"universe {universe}", time, names)
        if universe in self.silent:
            since, why = self.silent.pop(universe)
            self.notices.gap(f"universe {universe}", since, why, f"came back at {time:.3f} s")
        slots = next(iter(ruling.values())).slots
        if slots is not None and slots != self.shown.get(universe):
            self.shown[universe] = slots
            self.emit(time, universe, slots)

    def _ruling(self, universe: int) -> dict[UUID, Source]:
        """The sources of highest priority of a universe, the one heard first first."""
        ready = {cid: source for cid, source in self.sources[universe].items() if source.slots is not None}
        top = max((source.priority for source in ready.values()), default=0)
        return {cid: source for cid, source in ready.items() if source.priority == top}

    def _lost(self, time: float, universe: int, lost: Source, why: str) -> None:
        if lost.slots is None:
            return  # it never ruled
        lost.slots = None
        if left := self._ruling(universe):
            name = next(iter(left.values())).name
            self.notices.taken_over(f"universe {universe}", time, why, name)
            self._show(time, universe)
        else:
            self.silent.setdefault(universe, (time, why))

    def _count(self, kind: Kind, packet: Data, number: int, time: float, by: int = 1) -> None:
        self.notices.count(kind, f"universe {packet.universe}", packet.source_name, number, time, by)

    def finish(self, time: float) -> list[Finding]:
        """Everything there is to tell, the last packet being at `time` [s]."""
        self.pass_time(time)
        for universe, (since, why) in self.silent.items():
            if since < time:
                never = f"did not come back until the end at {time:.3f} s"
                self.notices.gap(f"universe {universe}", since, why, never)
        for address, group in self.synchronisations.items():
            self._tell_lost(address, group, f"the end at {time:.3f} s")
        return self.notices.told()
