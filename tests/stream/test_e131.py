"""Packets of E1.31 against the bytes of PyPI `sacn` (MIT) and the rules of the standard.

ANSI E1.31-2018; layout and limits as read in two libraries that cite it, bytes computed by `sacn` 1.11.0.
"""

import hashlib
import struct
import uuid

import pytest

from posekit.stream.e131 import BadPacketError, Data, Sync, is_late, parse
from tests.stream import packets

REFERENCE = "18d2df8158146b3cc1e26810a1875d17e0d4d846186cbfe36f344f8ba810e251"
SLOTS = bytes(5 * i & 255 for i in range(512))


def reference():
    return packets.data(universe=7, slots=SLOTS, sequence=42, options=0x80)


def test_the_writer_of_these_tests_gives_the_very_bytes_of_the_reference():
    assert hashlib.sha256(reference()).hexdigest() == REFERENCE


def test_sacn_writes_the_reference_packet_and_it_is_read_whole():
    sacn = pytest.importorskip("sacn")
    from sacn.messages.data_packet import DataPacket

    assert sacn
    made = DataPacket(
        cid=tuple(packets.CID),
        sourceName="posekit test",
        universe=7,
        dmxData=tuple(SLOTS),
        priority=100,
        sequence=42,
    )
    made.option_PreviewData = True
    octets = bytes(made.getBytes())
    assert hashlib.sha256(octets).hexdigest() == REFERENCE
    assert parse(octets) == Data(
        source=uuid.UUID(bytes=packets.CID),
        source_name="posekit test",
        universe=7,
        priority=100,
        sequence=42,
        sync=0,
        preview=True,
        terminated=False,
        forced=False,
        start_code=0,
        slots=SLOTS,
    )


def test_the_end_of_a_stream_is_read_from_its_option_bit():
    packet = parse(packets.data(universe=7, slots=b"", sequence=43, options=0x40))
    assert (packet.terminated, packet.preview, packet.slots) == (True, False, b"")


# Clause 6.2.6, as the option bits stand in the table of the standard: 7 Preview_Data, 6 Stream_Terminated,
# 5 Force_Synchronization; bits 0 to 4 are ignored by receivers.
@pytest.mark.parametrize("option", range(8))
def test_each_option_bit_is_read_as_what_it_means_and_reserved_ones_as_nothing(option):
    packet = parse(packets.data(universe=7, slots=b"", options=1 << option))
    assert (packet.preview, packet.terminated, packet.forced) == (option == 7, option == 6, option == 5)


def test_a_synchronisation_packet_for_address_0_means_nothing():
    # 6.3.3.1: address 0 is meaningless, is not sent, and is ignored by receivers.
    assert parse(packets.sync(0)) is None


def test_a_synchronisation_packet_of_49_octets_is_read():
    octets = packets.sync(7962, sequence=0x2A)
    # The dump of the reference: lengths 33 and 11.
    assert octets[16:18] + octets[38:40] == bytes.fromhex("7021700b") and len(octets) == 49
    assert parse(octets) == Sync(uuid.UUID(bytes=packets.CID), 0x2A, 7962)


def test_universe_discovery_is_no_data():
    framing = struct.pack(">HL64sLHLBBH", 0x7000 + 84, 2, b"posekit test", 0, 0x700A, 1, 0, 0, 1)
    assert parse(packets.root(8, packets.CID, framing)) is None


def changed(at, *octets):
    packet = bytearray(reference())
    packet[at : at + len(octets)] = octets
    return bytes(packet)


@pytest.mark.parametrize(
    ("octets", "told"),
    [
        (b"", "0 octets"),
        (reference()[:136], "root layer"),
        (reference() + b"\0", "root layer"),
        (changed(0, 0, 0x11), "preamble"),
        (changed(4, 0x42), "preamble"),
        (changed(16, 0x72, 0x6F), "root layer"),
        (changed(18, 0, 0, 0, 5), "root vector 0x5"),
        (changed(38, 0x72, 0x59), "framing layer"),
        (changed(40, 0, 0, 0, 1), "framing vector 0x1"),
        (changed(108, 201), "priority 201"),
        (changed(113, 0, 0), "universe 0"),
        (changed(113, 0xFA, 0x00), "universe 64000"),
        (changed(115, 0x72, 0x0C), "DMP layer"),
        (changed(117, 3), "DMP vector 0x3"),
        (changed(118, 0xA2), "data type 0xa2"),
        (changed(119, 0, 1), "property 1"),
        (changed(121, 0, 2), "steps of 2"),
        (changed(123, 2, 0), "512 properties need"),
        (changed(123, 0, 0), "0 properties"),
    ],
)
def test_a_packet_that_breaks_the_layout_is_refused_with_the_reason(octets, told):
    with pytest.raises(BadPacketError, match=told):
        parse(octets)


# Clause 6.7.2 in signed 8-bit arithmetic; computed.
@pytest.mark.parametrize(
    ("last", "new", "late"),
    [
        (10, 11, False),
        (10, 10, True),
        (10, 9, True),
        (30, 11, True),
        (30, 10, False),
        (255, 0, False),
        (0, 255, True),
        (5, 242, True),
        (5, 241, False),
        (0, 128, False),
    ],
)
def test_sequence_numbers_wrap_at_eight_bits(last, new, late):
    assert is_late(last, new) is late


def test_twenty_of_the_256_next_numbers_are_late():
    assert sum(is_late(last, new) for last in range(256) for new in range(256)) == 5120
