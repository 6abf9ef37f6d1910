"""Packets of ANSI E1.31-2018 (streaming ACN): what a data packet holds, read strictly.

Layout and limits as libraries that cite the standard give them; the clause is named where one is known.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from uuid import UUID

from posekit.signal.snapshot import TOP_UNIVERSE

PORT = 5568  # appendix A
ACN_ID = b"ASC-E1.17\0\0\0"
HEAD = b"\x00\x10\x00\x00" + ACN_ID  # preamble size, post-amble size, identifier
ROOT_DATA, ROOT_EXTENDED = 0x4, 0x8
DATA, SYNC, DISCOVERY = 0x2, 0x1, 0x2  # framing vectors; the last two under ROOT_EXTENDED
SET_PROPERTY, ADDRESS_TYPE = 0x02, 0xA1
SLOTS_AT = 126
TOP_PRIORITY = 200  # 6.2.3
PREVIEW_DATA, STREAM_TERMINATED, FORCE_SYNCHRONIZATION = 0x80, 0x40, 0x20  # options, 6.2.6
LATE = 20  # 6.7.2: a packet that is less than this behind the last is out of order


class BadPacketError(ValueError):
    """An octet sequence that is no packet of E1.31; the message says why."""


@dataclass(frozen=True, slots=True)
class Data:
    """A data packet. `slots` are the values from address 1 on; `start_code` tells what they mean.

    The options of 6.2.6: `preview` values are not for live output, `terminated` ends the stream, and `forced` lets
    values take effect once synchronisation is lost, which else wait for it.
    """

    source: UUID
    source_name: str
    universe: int
    priority: int
    sequence: int
    sync: int
    preview: bool
    terminated: bool
    forced: bool
    start_code: int
    slots: bytes


@dataclass(frozen=True, slots=True)
class Sync:
    """A synchronisation packet: data held for this address takes effect."""

    source: UUID
    sequence: int
    address: int


def parse(octets: bytes) -> Data | Sync | None:
    """The packet in a UDP payload; None for one that neither shows nor releases values.

    BadPacketError if it breaks the layout.
    """
    _need(len(octets) >= 38, f"has {len(octets)} octets, too few for a root layer")
    _need(octets[:16] == HEAD, "does not begin with the ACN preamble and identifier")
    _length(octets, 16, "root")
    (vector,) = struct.unpack_from(">L", octets, 18)
    source = UUID(bytes=octets[22:38])
    if vector == ROOT_EXTENDED:
        return _extended(octets, source)
    _need(vector == ROOT_DATA, f"has root vector {vector:#x}; E1.31 data has {ROOT_DATA:#x}")
    return _data(octets, source)


def _data(octets: bytes, source: UUID) -> Data:
    _need(len(octets) >= SLOTS_AT, f"has {len(octets)} octets; a data packet has {SLOTS_AT} at least")
    _length(octets, 38, "framing")
    (vector,) = struct.unpack_from(">L", octets, 40)
    _need(vector == DATA, f"has framing vector {vector:#x}; a data packet has {DATA:#x}")
    name = octets[44:108].split(b"\0")[0].decode("utf-8", "replace")
    priority, sync, sequence, options, universe = struct.unpack_from(">BHBBH", octets, 108)
    _need(priority <= TOP_PRIORITY, f"has priority {priority}; the highest is {TOP_PRIORITY}")
    _need(1 <= universe <= TOP_UNIVERSE, f"is for universe {universe}; universes are 1 to {TOP_UNIVERSE}")
    _length(octets, 115, "DMP")
    dmp, kind, first, step, count = struct.unpack_from(">BBHHH", octets, 117)
    _need(dmp == SET_PROPERTY, f"has DMP vector {dmp:#x}; right is {SET_PROPERTY:#x}")
    _need(kind == ADDRESS_TYPE, f"has address and data type {kind:#x}; right is {ADDRESS_TYPE:#x}")
    _need((first, step) == (0, 1), f"starts at property {first} in steps of {step}; right is 0 in steps of 1")
    _need(1 <= count <= 513, f"has {count} properties; right is a START code and 0 to 512 slots")
    _need(len(octets) == 125 + count, f"has {len(octets)} octets; {count} properties need {125 + count}")
    return Data(
        source=source,
        source_name=name,
        universe=universe,
        priority=priority,
        sequence=sequence,
        sync=sync,
        preview=bool(options & PREVIEW_DATA),
        terminated=bool(options & STREAM_TERMINATED),
        forced=bool(options & FORCE_SYNCHRONIZATION),
        start_code=octets[125],
        slots=octets[SLOTS_AT:],
    )


def _extended(octets: bytes, source: UUID) -> Sync | None:
    _need(len(octets) >= 49, f"has {len(octets)} octets; an extended packet has 49 at least")
    _length(octets, 38, "framing")
    (vector,) = struct.unpack_from(">L", octets, 40)
    if vector == DISCOVERY:
        return None
    _need(vector == SYNC, f"has extended framing vector {vector:#x}; known are {SYNC:#x} and {DISCOVERY:#x}")
    _need(len(octets) == 49, f"has {len(octets)} octets; a synchronisation packet has 49")
    sequence, address = struct.unpack_from(">BH", octets, 44)
    return Sync(source, sequence, address) if address else None  # 0 means nothing and is ignored (6.3.3.1)


def is_late(last: int, new: int) -> bool:
    """True if sequence number `new` is to be discarded after `last` (6.7.2), in signed 8-bit arithmetic."""
    step = (new - last + 128) % 256 - 128
    return -LATE < step <= 0


def _length(octets: bytes, at: int, layer: str) -> None:
    (found,) = struct.unpack_from(">H", octets, at)
    right = 0x7000 + len(octets) - at
    sentence = f"has flags and length {found:#06x} in its {layer} layer; its size asks for {right:#06x}"
    _need(found == right, sentence)


def _need(holds: bool, otherwise: str) -> None:
    if not holds:
        raise BadPacketError(otherwise)
