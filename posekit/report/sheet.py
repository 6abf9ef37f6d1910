"""What the installer needs of a prop: patch, calibration and wiring, every figure from the core.

What is wrong with a patch (addresses that overlap, leave the universe or run past slot 512) is told when a prop is
read, which refuses it: no sheet of such a prop exists. `findings` are what `check` tells without meshes.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding
from posekit.mechanism.joints import mechanism_of, moved_by, solve, unit_of
from posekit.motion.follow import limits_of
from posekit.motion.stopwatch import Timed, timed
from posekit.prop.fingerprint import fingerprint
from posekit.prop.model import Drive, Prop
from posekit.report.check import quick_check
from posekit.report.sheet_strength import SheetStrength
from posekit.report.stall import stall_currents
from posekit.signal.calibration import asked_pulse, pulses, servo_of, shafts
from posekit.signal.patch import slots_of

PERCENTS = (0, 25, 50, 75, 100)


@dataclass(frozen=True, slots=True)
class Outlet:
    """Where one servo is plugged in and what drives it: a row of the patch sheet.

    `output` counts the servos in the order of the prop file. `last` is the address of its fine byte, or `address`.
    """

    output: int
    drive: str
    servo: str
    joints: tuple[str, ...]
    universe: int
    address: int
    last: int
    bits: int


@dataclass(frozen=True, slots=True)
class Way:
    """Where one joint stands at PERCENTS of the values of its drive, all others at rest [deg | mm]."""

    joint: str
    unit: str
    stops: tuple[float, float] | None
    positions: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Calibrated:
    """How one drive is set: a row of the calibration sheet.

    `low_us`, `middle_us` and `high_us` are what the controller is to be set to; `pulses_us` what the servo gets at
    `values`, which are PERCENTS of the full scale. `speed` and `acceleration` at the shaft are None where nothing
    limits them; `speed_of` says whose limit that is. From anywhere the servo answers a change by `deadband_values`;
    None where both end points are one.
    """

    drive: str
    low_us: float
    middle_us: float
    high_us: float
    trim_us: float
    reverse: bool
    speed: float | None
    speed_of: str
    acceleration: float | None
    rest: int
    rest_us: float
    deadband_us: float
    deadband_values: int | None
    values: tuple[int, ...]
    pulses_us: tuple[float, ...]
    shafts_deg: tuple[float, ...]
    ways: tuple[Way, ...]
    times: Timed


@dataclass(frozen=True, slots=True)
class Wiring:
    """What goes to one universe: how many servos, of which types, on which slots; `spans` are first and last slots.

    `stall_a` adds the stall currents that are known; `unknown` counts the servos whose current is not.
    """

    universe: int
    servos: tuple[tuple[str, int], ...]
    slots: int
    spans: tuple[tuple[int, int], ...]
    stall_a: float
    unknown: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that the sheets for the install tell, drive by drive in the order of the prop file.

    `strength` is None where it was not asked for.
    """

    prop: str
    fingerprint: str
    outlets: tuple[Outlet, ...]
    drives: tuple[Calibrated, ...]
    wiring: tuple[Wiring, ...]
    strength: SheetStrength | None
    findings: tuple[Finding, ...]


def sheet(prop: Prop, file: str | None = None, strength: SheetStrength | None = None) -> Sheet:
    """The sheets of a prop, with its `sheet_strength`, if given; `file` is how messages call its prop file.

    Reads no mesh.
    """
    outlets = tuple(_outlet(prop, d) for d in range(len(prop.drives)))
    return Sheet(
        prop=prop.name,
        fingerprint=fingerprint(prop),
        outlets=outlets,
        drives=_calibrated(prop),
        wiring=tuple(_wiring(prop, universe) for universe in sorted({o.universe for o in outlets})),
        strength=strength,
        findings=(*quick_check(prop, file), *(strength.unread if strength else ())),
    )


def _value_at(drive: Drive, percent: float) -> int:
    """The value at a share of the full scale, as a percentage is read: half rounds up, so 50 % is the middle."""
    return int(percent * drive.full_scale / 100 + 0.5)


def _outlet(prop: Prop, d: int) -> Outlet:
    drive = prop.drives[d]
    return Outlet(
        output=d + 1,
        drive=drive.name,
        servo=drive.servo,
        joints=tuple(prop.joints[j].name for j in moved_by(prop, d)),
        universe=drive.universe,
        address=drive.address,
        last=slots_of(drive)[-1][1],
        bits=drive.bits,
    )


def _calibrated(prop: Prop) -> tuple[Calibrated, ...]:
    D = len(prop.drives)
    rows = np.tile([float(drive.rest_value) for drive in prop.drives], (D * len(PERCENTS), 1))
    for d, drive in enumerate(prop.drives):
        own = slice(d * len(PERCENTS), (d + 1) * len(PERCENTS))
        rows[own, d] = [_value_at(drive, percent) for percent in PERCENTS]
    pulse = pulses(prop, rows)
    shaft = shafts(prop, pulse)
    poses = _Poses(rows, pulse, shaft, solve(prop, shaft, mechanism_of(prop)).position)
    return tuple(_of_drive(prop, d, poses, times) for d, times in enumerate(timed(prop)))


@dataclass(frozen=True, slots=True)
class _Poses:
    """PERCENTS of the values of the first drive, then of the next; (P, D) each, and positions (P, J)."""

    values: Array
    pulse: Array
    shaft: Array
    position: Array


def _of_drive(prop: Prop, d: int, poses: _Poses, times: Timed) -> Calibrated:
    drive, own = prop.drives[d], slice(d * len(PERCENTS), (d + 1) * len(PERCENTS))
    servo, limits = servo_of(prop, drive), limits_of(prop)
    speed, acceleration = float(limits.speed[d]), float(limits.acceleration[d])
    asked = asked_pulse([0, drive.middle, drive.full_scale, drive.rest_value], drive).tolist()
    return Calibrated(
        drive=drive.name,
        low_us=asked[0],
        middle_us=asked[1],
        high_us=asked[2],
        trim_us=drive.pulse.trim,
        reverse=drive.pulse.low > drive.pulse.high,
        speed=speed if np.isfinite(speed) else None,
        speed_of="drive" if drive.speed is not None and drive.speed <= speed else "servo",
        acceleration=acceleration if np.isfinite(acceleration) else None,
        rest=drive.rest_value,
        rest_us=asked[3],
        deadband_us=servo.deadband,
        deadband_values=_answered(drive, servo.deadband),
        values=tuple(int(value) for value in poses.values[own, d].tolist()),
        pulses_us=tuple(poses.pulse[own, d].tolist()),
        shafts_deg=tuple(poses.shaft[own, d].tolist()),
        ways=tuple(
            Way(joint.name, unit_of(joint), joint.stops, tuple(poses.position[own, j].tolist()))
            for j in moved_by(prop, d)
            for joint in (prop.joints[j],)
        ),
        times=times,
    )


def _answered(drive: Drive, deadband_us: float) -> int | None:
    """The least change of value that reaches the deadband from anywhere: where pulses lie closest together."""
    low, middle, high = asked_pulse([0, drive.middle, drive.full_scale], drive).tolist()
    closest = min(abs(middle - low) / drive.middle, abs(high - middle) / (drive.full_scale - drive.middle))
    if closest == 0.0:
        return None
    # Rounding of the division is no value more.
    return max(1, int(np.ceil(deadband_us / closest - 1e-9)))


def _wiring(prop: Prop, universe: int) -> Wiring:
    own = [drive for drive in prop.drives if drive.universe == universe]
    slots = sorted(address for drive in own for _, address in slots_of(drive))
    runs = [[a for _, a in run] for _, run in groupby(enumerate(slots), lambda pair: pair[1] - pair[0])]
    counts = {name: sum(drive.servo == name for drive in own) for name in dict.fromkeys(d.servo for d in own)}
    every = zip(prop.drives, stall_currents(prop), strict=True)
    stall = [current for drive, current in every if drive.universe == universe]
    return Wiring(
        universe=universe,
        servos=tuple(counts.items()),
        slots=len(slots),
        spans=tuple((run[0], run[-1]) for run in runs),
        stall_a=sum(current for current in stall if current is not None),
        unknown=stall.count(None),
    )
