"""Capture files (pcap by dpkt, pcapng by `pcapng`) of E1.31 packets, whose layers dpkt takes apart.

Captures over Ethernet (VLAN tags too), Linux cooked, loopback and raw IP; UDP to port 5568. Time 0 is the
first packet of E1.31.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import Any

from posekit.budgets import DAY_S
from posekit.errors import Finding, PosekitError, error
from posekit.prop.model import Prop
from posekit.stream import pcapng
from posekit.stream.e131 import ACN_ID, PORT, BadPacketError, parse
from posekit.stream.few import Few
from posekit.stream.pcapng import Captured, CutError, DamagedError
from posekit.stream.receiver import Receiver
from posekit.stream.recorder import Recorder
from posekit.stream.show import Show
from posekit.text import exact

# Link types of the capture formats: null and loopback, raw IP in its numbers, Linux cooked 1 and 2.
LOOPBACK, RAW_IP, COOKED, COOKED_2 = (0, 108), (12, 14, 101, 228, 229), 113, 276
ETHERNET = 1
LINKS = (ETHERNET, *LOOPBACK, *RAW_IP, COOKED, COOKED_2)
WITHOUT_TIME = "has no time stamp, so nothing tells when its values came; it is left out"
LEAST_HEADER = 8  # octets of a UDP header
DAMAGED = (ValueError, IndexError, struct.error)  # what dpkt lets through, beside its own, of damaged octets


def read(prop: Prop, content: bytes, name: str) -> Show:
    """The show in a capture. Packets that cannot be used are left out and told, each with its number.

    PosekitError if there is no packet of E1.31 in it, or dpkt is not installed.
    """
    recorder = Recorder(prop)
    receiver = Receiver(recorder.take_universe)
    bad = Few("packets")
    begin = latest = None
    for number, stamp, payload in _payloads(content, name, bad):
        try:
            packet = parse(payload)
        except BadPacketError as problem:
            bad.add("error", "bad-packet", f"packet {number}", str(problem), file=name)
            continue
        if packet is None:
            continue
        begin = stamp if begin is None else begin
        time = stamp - begin
        if time > DAY_S:
            sentence = f"is stamped {exact(time)} s after the first; a show lasts {exact(DAY_S)} s at most"
            bad.add("error", "times-too-far", f"packet {number}", sentence, file=name)
            continue
        if latest is not None and time < latest:
            sentence = f"is stamped {time:.6f} s, after one of {latest:.6f} s; it is taken at the later time"
            bad.add("error", "times-going-back", f"packet {number}", sentence, file=name)
            time = latest
        latest = time
        receiver.take(number, time, packet)
    if not recorder.times or latest is None:
        sentence = f"has no E1.31 data packet (UDP port {PORT}) that can be used"
        raise PosekitError([*bad.told(), error("empty-show", "", sentence, file=name)])
    told = receiver.finish(latest)
    recorder.take(latest, ())
    times, values = recorder.frames()
    findings = (*bad.told(), *told, *_unpatched(receiver, recorder), *recorder.findings())
    return Show(name, times, values, findings)


def _payloads(content: bytes, name: str, bad: Few) -> Iterator[tuple[int, float, bytes]]:
    """Number, time stamp [s] and payload of each UDP packet to the port; what is wrong goes to `bad`."""
    dpkt = _dpkt(name)
    packets = pcapng.packets(content) if pcapng.is_pcapng(content) else _pcap(dpkt, content)
    number = 0
    # Ends: each round reads on from the capture, which ends.
    while True:
        number += 1
        try:
            stamp, link, octets = next(packets)
        except StopIteration:
            return
        except _UnreadableError as problem:
            raise PosekitError([error("unreadable", "", str(problem), file=name)]) from problem
        except DamagedError as problem:
            if number == 1:
                raise PosekitError([error("unreadable", "", _at_once(problem), file=name)]) from problem
            why = f"the capture {_here(problem)}; what stands before it was read"
            bad.add("error", "cut-short", f"packet {number}", why, file=name)
            return
        if ACN_ID not in octets and not _may_be_cut(octets):
            continue
        payload, fault = _udp(dpkt, link, octets) if link in LINKS else (None, _strange(link, octets))
        if fault:
            code = "cut-short" if link in LINKS else "unknown-link"
            bad.add("error", code, f"packet {number}", fault, file=name)
        elif payload is not None and stamp is None:
            bad.add("error", "without-time", f"packet {number}", WITHOUT_TIME, file=name)
        elif payload is not None and stamp is not None:
            yield number, stamp, payload


def _at_once(problem: DamagedError) -> str:
    """Why nothing could be read of a capture."""
    if isinstance(problem, CutError):
        return "is cut short: it ends before its first packet is whole"
    return f"is damaged: {problem}"


def _here(problem: DamagedError) -> str:
    """Why a capture was not read on."""
    return "ends in the middle of it" if isinstance(problem, CutError) else f"is damaged here ({problem})"


class _UnreadableError(ValueError):
    """What is no capture at all; the message says why."""


def _pcap(dpkt: Any, content: bytes) -> Iterator[Captured]:
    """The packets of a pcap file. DamagedError where it cannot be read on, _UnreadableError where it is none."""
    tape = _Tape(content)
    try:
        reader = dpkt.pcap.Reader(tape)
    except (dpkt.Error, *DAMAGED) as problem:
        raise _UnreadableError(f"is neither pcap nor pcapng, or damaged: {problem}") from problem
    link = reader.datalink()
    if link not in LINKS:
        raise _UnreadableError(_strange(link, ACN_ID))
    packets = iter(reader)
    # Ends: each round reads on from the tape, which ends.
    while True:
        try:
            stamp, octets = next(packets)
        except StopIteration:
            if tape.cut:  # within the header of a packet
                raise CutError from None
            return
        except (dpkt.Error, *DAMAGED) as problem:
            raise (CutError() if tape.cut else DamagedError(problem)) from problem
        if tape.cut or not octets:
            raise CutError
        yield Captured(float(stamp), link, octets)


def _strange(link: int, octets: bytes) -> str:
    """That packets of E1.31 were captured on a link that is not read; nothing of others."""
    known = "use Ethernet, Linux cooked, loopback or raw IP"
    return f"was captured on link type {link}; {known}" if ACN_ID in octets else ""


class _Tape:
    """Bytes to read from, which know whether they ended in the middle of something. dpkt does not tell."""

    name = "capture"

    def __init__(self, content: bytes) -> None:
        self._content, self._at, self.cut = content, 0, False

    def read(self, count: int) -> bytes:
        """The next `count` bytes, or what is left of them."""
        got = self._content[self._at : self._at + count]
        # At the very end a reader asks for one more header and rightly gets nothing.
        self.cut = self.cut or 0 < len(got) < count
        self._at += len(got)
        return got

    def seek(self, at: int) -> None:
        """Go on reading at `at`."""
        self._at, self.cut = at, False


def _may_be_cut(octets: bytes) -> bool:
    # Cut before the identifier, a packet is short and shows no more than its port.
    return len(octets) < 100 and PORT.to_bytes(2, "big") in octets


def _udp(dpkt: Any, link: int, octets: bytes) -> tuple[bytes | None, str]:
    """The payload of a UDP packet to the port (None if it is another), and what is wrong with it."""
    try:
        inner = _network(dpkt, link, octets)
        if not isinstance(inner, (dpkt.ip.IP, dpkt.ip6.IP6)) or not isinstance(inner.data, dpkt.udp.UDP):
            return None, ""
        udp = inner.data
    except (dpkt.Error, *DAMAGED) as problem:
        return None, f"is cut short or damaged ({problem})"
    if udp.dport != PORT:
        return None, ""
    payload, right = bytes(udp.data), udp.ulen - LEAST_HEADER
    if len(payload) != right:
        return None, f"is cut short: {len(payload)} of {right} octets were captured"
    return payload, ""


def _network(dpkt: Any, link: int, octets: bytes) -> Any:
    """The IP packet in a captured frame, or whatever else it carries."""
    if link in LOOPBACK:
        return dpkt.loopback.Loopback(octets).data
    if link in RAW_IP:
        return (dpkt.ip6.IP6 if octets[0] >> 4 == 6 else dpkt.ip.IP)(octets)
    if link == COOKED:
        return dpkt.sll.SLL(octets).data
    if link == COOKED_2:
        return dpkt.sll2.SLL2(octets).data
    return dpkt.ethernet.Ethernet(octets).data


def _unpatched(receiver: Receiver, recorder: Recorder) -> list[Finding]:
    spare = Few("universes")
    for universe in sorted(receiver.shown):
        if not recorder.uses(universe):
            sentence = "is in the capture, but no drive of this prop is on it"
            spare.add("note", "unpatched", f"universe {universe}", sentence)
    return spare.told()


def _dpkt(name: str) -> Any:
    try:
        import dpkt
    except ImportError as problem:
        sentence = "captures are read with dpkt, which is not installed; run: pip install dpkt"
        raise PosekitError([error("not-installed", "", sentence, file=name)]) from problem
    return dpkt
