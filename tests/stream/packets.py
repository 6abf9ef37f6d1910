"""Writes E1.31 packets and capture files for the tests, from the layouts alone."""

import struct

CID = bytes(range(0x10, 0x20))


def data(
    universe=1,
    slots=bytes(512),
    sequence=0,
    cid=CID,
    name="posekit test",
    priority=100,
    options=0,
    sync=0,
    start=0,
):
    dmp = struct.pack(">BBHHHB", 0x02, 0xA1, 0, 1, 1 + len(slots), start) + slots
    dmp = struct.pack(">H", 0x7000 + 2 + len(dmp)) + dmp
    framing = struct.pack(">L64sBHBBH", 2, name.encode(), priority, sync, sequence, options, universe) + dmp
    framing = struct.pack(">H", 0x7000 + 2 + len(framing)) + framing
    return root(4, cid, framing)


def sync(address, sequence=0, cid=CID):
    return root(8, cid, struct.pack(">HLBHH", 0x700B, 1, sequence, address, 0))


def root(vector, cid, rest):
    body = struct.pack(">L16s", vector, cid) + rest
    return b"\x00\x10\x00\x00ASC-E1.17\0\0\0" + struct.pack(">H", 0x7000 + 2 + len(body)) + body


def udp(payload, port=5568):
    return struct.pack(">HHHH", 50000, port, 8 + len(payload), 0) + payload


def ip(payload, port=5568):
    inner = udp(payload, port)
    group = bytes([239, 255, 0, 1])
    return struct.pack(">BBHHHBBH4s4s", 0x45, 0, 20 + len(inner), 1, 0, 9, 17, 0, bytes(4), group) + inner


def ip6(payload, port=5568):
    inner = udp(payload, port)
    return struct.pack(">LHBB16s16s", 6 << 28, len(inner), 17, 9, bytes(16), bytes(16)) + inner


def ethernet(payload, port=5568, vlan=False):
    tag = b"\x81\x00\x00\x07" if vlan else b""
    return bytes(12) + tag + b"\x08\x00" + ip(payload, port)


def pcap(packets, link=1, nano=False, order="<"):
    """The bytes of a pcap file of (time [s], frame) pairs."""
    unit = 10**9 if nano else 10**6
    out = struct.pack(order + "LHHlLLL", 0xA1B23C4D if nano else 0xA1B2C3D4, 2, 4, 0, 0, 65535, link)
    for time, frame in packets:
        ticks = round(time * unit)
        out += struct.pack(order + "LLLL", ticks // unit, ticks % unit, len(frame), len(frame)) + frame
    return out


def block(kind, body, order="<"):
    """A block of a pcapng file."""
    body += bytes(-len(body) % 4)
    length = struct.pack(order + "L", len(body) + 12)
    return struct.pack(order + "L", kind) + length + body + length


def section(order="<"):
    """Where a section of a pcapng file begins."""
    return block(0x0A0D0D0A, struct.pack(order + "LHHq", 0x1A2B3C4D, 1, 0, -1), order)


def interface(link=1, order="<", resolution=None, offset_s=None):
    """What a section says of an interface; `resolution` is the octet of its clock."""
    options = b"" if resolution is None else struct.pack(order + "HHB3x", 9, 1, resolution)
    options += b"" if offset_s is None else struct.pack(order + "HHq", 14, 8, offset_s)
    options += struct.pack(order + "HH", 0, 0) if options else b""
    return block(1, struct.pack(order + "HHL", link, 0, 65535) + options, order)


def captured(number, ticks, frame, order="<"):
    """A packet of interface `number` of a section, with its time in ticks of that interface."""
    head = struct.pack(order + "LLLLL", number, ticks >> 32, ticks & 0xFFFFFFFF, len(frame), len(frame))
    return block(6, head + frame, order)


def pcapng(packets, link=1, order="<", resolution=None):
    """The bytes of a pcapng file of (time [s], frame) pairs; `resolution` is the power of ten of its clock."""
    unit = 10 ** (6 if resolution is None else resolution)
    held = [captured(0, round(time * unit), frame, order) for time, frame in packets]
    return section(order) + interface(link, order, resolution) + b"".join(held)
