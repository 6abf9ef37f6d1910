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


def pcapng(packets, link=1, order="<", resolution=None):
    """The bytes of a pcapng file of (time [s], frame) pairs; `resolution` is the power of ten of its clock."""

    def block(kind, body):
        return (
            struct.pack(order + "LL", kind, len(body) + 12) + body + struct.pack(order + "L", len(body) + 12)
        )

    out = block(0x0A0D0D0A, struct.pack(order + "LHHq", 0x1A2B3C4D, 1, 0, -1))
    options = b"" if resolution is None else struct.pack(order + "HHB3xHH", 9, 1, resolution, 0, 0)
    out += block(1, struct.pack(order + "HHL", link, 0, 65535) + options)
    for time, frame in packets:
        ticks = round(time * 10 ** (6 if resolution is None else resolution))
        padded = frame + bytes(-len(frame) % 4)
        head = struct.pack(order + "LLLLL", 0, ticks >> 32, ticks & 0xFFFFFFFF, len(frame), len(frame))
        out += block(6, head + padded)
    return out
