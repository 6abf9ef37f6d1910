"""How fast DMX512-A can be: ANSI E1.11, clause 8 (figures as libraries that cite the standard give them)."""

from __future__ import annotations

from posekit.signal.snapshot import SLOTS

BIT_US = 4  # 250 kbit/s
SLOT_US = 11 * BIT_US  # start bit, 8 data bits, 2 stop bits
BREAK_US = 92  # least BREAK of a transmitter
MAB_US = 12  # least mark after BREAK of a transmitter
LEAST_PACKET_US = 1204  # least BREAK to BREAK of a transmitter
LEAST_RATE = 1.0  # Hz: most BREAK to BREAK of a transmitter is a second


def packet_time_us(slots: int, break_us: int = BREAK_US, mab_us: int = MAB_US) -> int:
    """Shortest BREAK-to-BREAK time [us] of packets with `slots` data slots behind the START code."""
    return max(break_us + mab_us + (slots + 1) * SLOT_US, LEAST_PACKET_US)


def refresh_rate(slots: int = SLOTS) -> float:
    """Most packets a second [Hz] with `slots` data slots."""
    return 1e6 / packet_time_us(slots)
