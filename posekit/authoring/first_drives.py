"""A drive for each joint that nothing moves yet, so that a figure moves under its channels at once.

Where a source tells joints and no servos, as a URDF does, each joint gets a servo of one kind, the next free address,
a linkage that makes the range of its stops and end points that reach it and no farther. That is where a builder
begins, not what they will build: the servos are typical ones, and say so until their figures are put right.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from posekit.authoring.numbers import short_all
from posekit.linkage import Direct, Gear, Hinge
from posekit.prop.model import Drive, Joint, Pulse, Servo
from posekit.signal.calibration import asked_pulse, pulse_of_shaft, shaft_angle
from posekit.signal.whole_pulses import whole_pulses

ADDRESSES = 512  # of a universe
DIGITS = 4  # of a ratio: a tooth more or less is a change of the second
EXACT = 9  # decimals of an offset: it moves the end points past the stops, or not
ANYWHERE = Hinge()  # direct and geared joints turn alike in any place


def first_drives(joints: Iterable[Joint], servo: Servo, taken: Sequence[Drive] = ()) -> list[Drive]:
    """A drive of 8 bits for each joint that moves and does not follow, named like it, in the order of the joints.

    `taken` are the drives there are: their joints are passed over, and their addresses stay theirs. The rest value
    is the one that leaves the joint nearest to 0, where the source drew it. End points keep the joint, and those that
    follow it, within their stops.
    """
    driven = {drive.joint for drive in taken}
    free = _free_addresses(taken)
    there = list(joints)
    led: dict[str, list[Joint]] = {}
    for joint in there:
        if joint.follow is not None:
            led.setdefault(joint.follow.joint, []).append(joint)
    return [
        _drive(replace(joint, stops=_stops_of_all(joint, led)), servo, *next(free))
        for joint in there
        if joint.type != "fixed" and joint.follow is None and joint.name not in driven
    ]


def _stops_of_all(leader: Joint, led: Mapping[str, Sequence[Joint]]) -> tuple[float, float] | None:
    """Between which positions of a joint neither it nor any that follows it meets a stop; its own where there are none.

    `led` are the joints that follow each, by its name.
    """
    low, high = leader.stops or (-math.inf, math.inf)
    waiting = [(leader.name, 1.0, 0.0)]
    # Ends: joints follow each other as a tree.
    while waiting:
        name, ratio, offset = waiting.pop()
        for joint in led.get(name, ()):
            if joint.follow is None or joint.follow.ratio == 0.0:
                continue
            own, shift = joint.follow.ratio * ratio, joint.follow.ratio * offset + joint.follow.offset
            waiting.append((joint.name, own, shift))
            if joint.stops is not None:
                first, last = sorted((stop - shift) / own for stop in joint.stops)
                low, high = max(low, first), min(high, last)
    return (low, high) if -math.inf < low < high < math.inf else leader.stops


def keys_of(drive: Drive) -> dict[str, Any]:
    """The table of such a drive in a prop file: what is at its default is left out."""
    keys: dict[str, Any] = {"servo": drive.servo, "joint": drive.joint}
    keys |= {"universe": drive.universe, "address": drive.address}
    low, high = short_all((drive.pulse.low, drive.pulse.high), 0.0)
    keys["pulse"] = {"low": low, "high": high}
    if drive.rest is not None:
        keys["rest"] = drive.rest
    match drive.linkage:
        case Direct(offset=0.0):
            pass
        case Direct(offset=offset):
            keys["linkage"] = {"type": "direct", "offset": offset}
        case Gear(ratio=ratio, offset=0.0):
            keys["linkage"] = {"type": "gear", "ratio": ratio}
        case Gear(ratio=ratio, offset=offset):
            keys["linkage"] = {"type": "gear", "ratio": ratio, "offset": offset}
    return keys


def _drive(joint: Joint, servo: Servo, universe: int, address: int) -> Drive:
    reach = shaft_angle(servo.pulse_range, servo)
    least, most = float(reach.min()), float(reach.max())
    linkage, shafts_deg = _linkage(joint, least, most)
    low, high = whole_pulses(*sorted(pulse_of_shaft(shafts_deg, servo).tolist()))
    pulse = Pulse(low=low, high=high)
    drive = Drive(
        name=joint.name,
        servo=servo.name,
        joint=joint.name,
        universe=universe,
        address=address,
        pulse=pulse,
        linkage=linkage,
    )
    values = np.arange(drive.full_scale + 1)
    stands = linkage.position(shaft_angle(asked_pulse(values, drive), servo), ANYWHERE)
    nearest = int(np.abs(stands).argmin())
    rest = None if nearest == drive.middle else nearest
    return replace(drive, rest=rest)


def _linkage(joint: Joint, least: float, most: float) -> tuple[Direct | Gear, tuple[float, float]]:
    """The plainest linkage that makes the range of the stops of a shaft that turns `least` to `most` [deg], and the
    shaft angles [deg] at these stops.

    Direct where the shaft turns as far; else geared, with joint and shaft together in the middle of their ranges. A
    slide has a rack, of 1 mm a degree where it has no stops.
    """
    turns = joint.type == "revolute"
    if joint.stops is None:
        return (Direct() if turns else Gear(ratio=1.0)), (least, most)
    low, high = joint.stops
    if turns and least <= low and high <= most:
        return Direct(), (low, high)
    middle = (low + high) / 2
    if turns and high - low <= most - least:
        offset = round(middle - (least + most) / 2, EXACT)
        return Direct(offset=offset), (low - offset, high - offset)
    ratio = _rounded_up((most - least) / (high - low))
    offset = round(middle - (least + most) / 2 / ratio, EXACT)
    return Gear(ratio=ratio, offset=offset), ((low - offset) * ratio, (high - offset) * ratio)


def _rounded_up(ratio: float) -> float:
    """To `DIGITS` digits that count, upward, so that the joint comes to its stops and no farther."""
    decimals = DIGITS - 1 - math.floor(math.log10(ratio))
    return round(math.ceil(ratio * 10.0**decimals - 1e-9) / 10.0**decimals, max(decimals, 0))


def _free_addresses(taken: Sequence[Drive]) -> Iterator[tuple[int, int]]:
    """Universe and address of one slot after the other, but for those that are taken."""
    held = {(drive.universe, drive.address + fine) for drive in taken for fine in range(drive.bits // 8)}
    slots = ((universe, address) for universe in range(1, 64000) for address in range(1, ADDRESSES + 1))
    return (slot for slot in slots if slot not in held)
