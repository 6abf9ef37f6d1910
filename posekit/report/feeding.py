"""What each supply of a prop has to give: currents of all servos on it together, power-on, fuse and wire."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.prop.feeds import Feed
from posekit.prop.model import Prop, Servo
from posekit.report.moved import Drawn, in_motion
from posekit.report.stall import servo_volts
from posekit.report.strength import DrivePower
from posekit.signal.calibration import servo_of, shaft_angle
from posekit.statics.currents import wire_drop
from posekit.statics.power_on import power_on
from posekit.statics.ratings import rating

RESERVE = 1.25  # of the current that is drawn, for supply and fuse (common practice)
MOVING_SHARE = 1 / 3  # of stall current, of a servo that moves a usual load (common practice)
DROP_SHARE = 0.05  # of the voltage that wires may take (common practice)
AMPERES_PER_MM2 = 5.0  # of short copper wire in free air (common practice); bundles and hot places take less
# Of blade fuses, A (ISO 8820-3, from memory).
FUSES_A = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)


@dataclass(frozen=True, slots=True)
class SupplyPower:
    """Currents [A] of all servos on a supply together, of those whose figures are known; None for what is not known.

    `drives` are fed by it. `servo_volts` is what its wires leave of the voltage at the current it is made for;
    `torque_left` and `speed_left` are the shares of torque and speed that the servo which loses most keeps there, by
    its data sheet. `power_on_pause_s` is the least pause from one servo to the next that keeps below the supply;
    `fuse_a` and `wire_mm2` follow from the largest current of holding and show, with a reserve of a quarter. The wire
    is what the fuse keeps from getting hot and what drops a twentieth at most, whichever is more. No pause is found
    where a stall current is not known.
    """

    drives: tuple[str, ...]
    voltage_v: float | None
    current_a: float | None
    servo_volts: float | None
    torque_left: float | None
    speed_left: float | None
    all_idle_a: float | None
    all_holding_a: float | None
    all_moving_a: float | None
    all_stalled_a: float | None
    show_peak_a: float | None
    show_peak_at_s: float | None
    show_mean_a: float | None
    power_on_at_once_a: float | None
    power_on_pause_s: float | None
    power_on_staggered_a: float | None
    supply_needed_a: float | None
    fuse_a: float | None
    wire_mm2: float | None


def supply_power(
    prop: Prop, feed: Feed, every: Sequence[DrivePower], shown: bool, drawn: Drawn | None
) -> SupplyPower:
    """What the servos on one supply draw together, of `every` drive of the prop.

    Where a show is `shown`, they have `drawn` so much over it, None where that is not known.
    """
    servos = [servo_of(prop, prop.drives[d]) for d in feed.drives]
    drives = [every[d] for d in feed.drives]
    volts = None if feed.supply is None else servo_volts(feed.supply)
    left = (None, None) if feed.supply is None or volts is None else _left(servos, feed.supply.voltage, volts)
    idle = np.array([servo.idle_current or 0.0 for servo in servos])
    stall = np.array([each.rating.stall_a or 0.0 for each in drives])
    holding = np.array([each.current_a or 0.0 for each in drives])
    given = feed.supply.current if feed.supply else None
    ways = [
        2.0 * float(np.ptp(shaft_angle(servo.pulse_range, servo))) / each.rating.speed_deg_s
        for servo, each in zip(servos, drives, strict=True)
        if each.rating.speed_deg_s
    ]
    begun = power_on(stall, holding, max(ways, default=1.0), given)
    moving = float(np.maximum(holding, MOVING_SHARE * stall).sum())
    # Nothing is chosen by a sum from which a servo is missing.
    whole = bool(drives) and all(each.rating.stall_a for each in drives)
    whole = whole and (not shown or all(in_motion(each.rating) for each in drives))
    known = [each.rating.stall_a is not None for each in drives]
    needed = RESERVE * max(moving, drawn.peak_a if drawn else 0.0) if whole else None
    fuse = None if needed is None else next((size for size in FUSES_A if size >= needed), None)
    wire = feed.supply.wire if feed.supply else None
    area = None
    if wire is not None and feed.supply is not None and fuse is not None:
        drops = wire_drop(fuse, wire.length, 1.0) / (DROP_SHARE * feed.supply.voltage)
        area = max(drops, fuse / AMPERES_PER_MM2)
    return SupplyPower(
        drives=tuple(prop.drives[d].name for d in feed.drives),
        voltage_v=feed.supply.voltage if feed.supply else None,
        current_a=given,
        servo_volts=volts,
        torque_left=left[0],
        speed_left=left[1],
        all_idle_a=_sum(idle, [servo.idle_current is not None for servo in servos]),
        all_holding_a=_sum(holding, [each.current_a is not None for each in drives]),
        all_moving_a=moving if any(known) else None,
        all_stalled_a=_sum(stall, known),
        show_peak_a=drawn.peak_a if drawn else None,
        show_peak_at_s=drawn.at_s if drawn else None,
        show_mean_a=drawn.mean_a if drawn else None,
        power_on_at_once_a=begun.at_once_a if any(known) else None,
        power_on_pause_s=begun.pause_s if whole else None,
        power_on_staggered_a=begun.staggered_a if whole else None,
        supply_needed_a=needed,
        fuse_a=fuse,
        wire_mm2=area,
    )


def _sum(currents: Array, known: list[bool]) -> float | None:
    """The sum of currents (D,) [A]; None where none of them is known."""
    return float(currents.sum()) if any(known) else None


def _left(servos: Sequence[Servo], volts: float, at_servos: float) -> tuple[float | None, float | None]:
    """The least shares of torque and of speed that servos keep; None where a data sheet does not tell of one."""
    torque, speed = [], []
    for servo in servos:
        full, less = rating(servo, volts), rating(servo, at_servos)
        if full.source != "between" or less.source != "between":
            return None, None
        assert full.stall_nm and less.stall_nm and full.speed_deg_s and less.speed_deg_s
        torque.append(less.stall_nm / full.stall_nm)
        speed.append(less.speed_deg_s / full.speed_deg_s)
    return min(torque, default=None), min(speed, default=None)
