"""Packets of a pcapng file, each with the link type and by the clock of the interface that it was captured on.

Blocks as in the draft of the IETF (draft-ietf-opsawg-pcapng, from memory). A section has a byte order and interfaces
of its own; a file has several where captures were joined, or where several networks were listened to at once.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

SECTION, INTERFACE, OLD_PACKET, SIMPLE_PACKET, PACKET = 0x0A0D0D0A, 1, 2, 3, 6  # kinds of blocks
MAGIC = 0x1A2B3C4D  # stands in a section in its own byte order
MAJOR = 1  # of the format
CLOCK, OFFSET = 9, 14  # options of an interface: if_tsresol of one octet, if_tsoffset of eight
BY_TWO = 0x80  # of a clock: a power of two, else of ten
LEAST_BLOCK = 12  # octets: kind, length, and the length again


class DamagedError(ValueError):
    """A place from which on a capture cannot be read; the message is the bare reason, "it" the place."""


class CutError(DamagedError):
    """The capture ends in the middle of a packet or block; there is no more to say of it."""


class Captured(NamedTuple):
    """A packet: when it came [s], None where the file does not say; its link type; its octets, as many as were kept."""

    stamp: float | None
    link: int
    octets: bytes


@dataclass(frozen=True, slots=True)
class _Interface:
    link: int
    kept: int  # octets of a packet at most; 0 for all
    ticks: int  # a second
    offset_s: int


@dataclass(slots=True)
class _Section:
    order: str
    interfaces: list[_Interface] = field(default_factory=list)

    def unpack(self, form: str, octets: bytes, at: int = 0) -> tuple[int, ...]:
        try:
            return struct.unpack_from(self.order + form, octets, at)
        except struct.error:
            raise DamagedError("a block is too short for what it holds") from None

    def interface(self, number: int) -> _Interface:
        if number >= len(self.interfaces):
            raise DamagedError(
                f"it names interface {number}, and {len(self.interfaces)} are described before it"
            )
        return self.interfaces[number]


def is_pcapng(content: bytes) -> bool:
    """True for what begins as a pcapng file does."""
    return content[:4] == SECTION.to_bytes(4, "big")  # the same in both byte orders


def packets(content: bytes) -> Iterator[Captured]:
    """The packets of a pcapng file, in its order. DamagedError where it cannot be read on."""
    at, section = 0, _Section("<")
    # Ends: each block has LEAST_BLOCK octets or more.
    while at < len(content):
        if content[at : at + 4] == SECTION.to_bytes(4, "big"):
            section = _Section(_order(content[at + 8 : at + 12]))
        if len(content) - at < LEAST_BLOCK:
            raise CutError
        kind, length = section.unpack("LL", content, at)
        if length < LEAST_BLOCK or length % 4:
            raise DamagedError(f"a block of {length} octets cannot be")
        if length > len(content) - at:
            raise CutError
        if section.unpack("L", content, at + length - 4) != (length,):
            raise DamagedError("a block has two lengths")
        body = content[at + 8 : at + length - 4]
        at += length
        if kind == SECTION:
            major = section.unpack("LH", body)[1]
            if major != MAJOR:
                raise DamagedError(f"its format is {major}; {MAJOR} is known")
        elif kind == INTERFACE:
            section.interfaces.append(_interface(section, body))
        elif kind in (PACKET, OLD_PACKET):
            yield _stamped(section, body, "L" if kind == PACKET else "HH")
        elif kind == SIMPLE_PACKET:
            yield _simple(section, body)


def _order(magic: bytes) -> str:
    if magic == MAGIC.to_bytes(4, "little"):
        return "<"
    if magic == MAGIC.to_bytes(4, "big"):
        return ">"
    raise DamagedError("its byte order is not said")


def _interface(section: _Section, body: bytes) -> _Interface:
    link, _, kept = section.unpack("HHL", body)
    ticks, offset_s, at = 10**6, 0, 8
    # Ends: each option has 4 octets or more.
    while at + 4 <= len(body):
        code, length = section.unpack("HH", body, at)
        value = body[at + 4 : at + 4 + length]
        at += 4 + length + -length % 4
        if code == 0:
            break
        if code in (CLOCK, OFFSET) and len(value) != {CLOCK: 1, OFFSET: 8}[code]:
            raise DamagedError(f"the option {code} of an interface has {len(value)} octets")
        if code == CLOCK:
            ticks = (2 if value[0] & BY_TWO else 10) ** (value[0] & ~BY_TWO)
        elif code == OFFSET:
            (offset_s,) = section.unpack("q", value)
    return _Interface(link, kept, ticks, offset_s)


def _stamped(section: _Section, body: bytes, begin: str) -> Captured:
    """A packet with its time; `begin` is how its block names the interface."""
    number, *_, high, low, kept, _ = section.unpack(begin + "LLLL", body)
    interface = section.interface(number)
    octets = body[20 : 20 + kept]
    if len(octets) != kept:
        raise DamagedError(f"{kept} octets do not go into its block")
    whole, rest = divmod(high << 32 | low, interface.ticks)
    return Captured(interface.offset_s + whole + rest / interface.ticks, interface.link, octets)


def _simple(section: _Section, body: bytes) -> Captured:
    (length,) = section.unpack("L", body)
    interface = section.interface(0)
    kept = min(length, interface.kept or length, len(body) - 4)
    return Captured(None, interface.link, body[4 : 4 + kept])
