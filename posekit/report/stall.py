"""Whether a servo stalls under what it has to hold: what `check` asks of every prop, without a show or a search."""

from __future__ import annotations

from math import isfinite

import numpy as np

from posekit.errors import Finding, error
from posekit.prop.feeds import feeds, supply_of
from posekit.prop.model import Drive, Prop, Supply
from posekit.prop.servo_classes import class_for
from posekit.signal.calibration import servo_of
from posekit.statics.currents import wire_drop
from posekit.statics.ratings import Rating, rating
from posekit.text import downward, exact, upward

# Of stall torque, for holding: a servo that holds more gets hot (common practice: a third to a half).
GOOD_SHARE, MOST_SHARE = 1 / 3, 1 / 2


def strength_findings(prop: Prop) -> list[Finding]:
    """An error for each servo that has more to hold than its stall torque with the drives at rest or at an end."""
    from posekit.statics.shafts import shaft_torques  # when it is needed: a page is ready the sooner

    values = np.array(
        [
            [drive.rest_value for drive in prop.drives],
            [0.0] * len(prop.drives),
            [drive.full_scale for drive in prop.drives],
        ],
        float,
    )
    # Each drive at either end while the others rest.
    ends = [np.where(np.eye(len(prop.drives), dtype=bool), values[side], values[0]) for side in (1, 2)]
    values = np.concatenate([values, *ends])
    ratings = ratings_of(prop)
    if not any(each.stall_nm for each in ratings):
        return []
    most = np.abs(shaft_torques(prop, values)).max(axis=0)
    return [
        cannot_hold(prop, drive, float(torque), each.stall_nm)
        for drive, torque, each in zip(prop.drives, most.tolist(), ratings, strict=True)
        if each.stall_nm is not None and torque > each.stall_nm
    ]


def servo_volts(supply: Supply) -> float:
    """The voltage that servos get [V]: what wires leave of their supply's at the current that it is made for."""
    drop = 0.0 if supply.wire is None else wire_drop(supply.current, supply.wire.length, supply.wire.area)
    return max(supply.voltage - drop, 0.0)


def volts_left(prop: Prop) -> dict[str, float]:
    """The voltage that servos get [V] of each supply, by its name as of `feeds`."""
    return {feed.name: servo_volts(feed.supply) for feed in feeds(prop) if feed.supply is not None}


def drive_volts(prop: Prop) -> list[float | None]:
    """The voltage that the servo of each drive gets [V]; None where nothing feeds it."""
    fed = [supply_of(prop, drive) for drive in prop.drives]
    return [None if supply is None else servo_volts(supply) for supply in fed]


def ratings_of(prop: Prop) -> list[Rating]:
    """What the servo of each drive can do at the voltage that it gets."""
    return [
        rating(servo_of(prop, drive), volts)
        for drive, volts in zip(prop.drives, drive_volts(prop), strict=True)
    ]


def stall_currents(prop: Prop) -> list[float | None]:
    """What the servo of each drive draws stalled [A], at the voltage that it gets; None where that is not known."""
    return [each.stall_a for each in ratings_of(prop)]


def servo_needed(prop: Prop, drive: Drive, torque: float) -> str:
    """The servo that would hold so much [N*m] at a good share of its stall torque, and the class that it is of."""
    need, supply = torque / GOOD_SHARE, supply_of(prop, drive)
    volts = None if supply is None else supply.voltage
    found, least = class_for(need, volts), f"a servo of {upward(need)} N·m or more"
    if found is not None:
        return f"{least} (class '{found.name}': {exact(found.stall_torque or 0.0)} N·m)"
    weaker = "" if volts is None or class_for(need, None) is None else f" for {exact(volts)} V"
    return f"{least}, which no class of hobby servo{weaker} here has"


def cannot_hold(prop: Prop, drive: Drive, torque: float, stall: float, help_: str = "") -> Finding:
    """That a servo has more to hold than it can [N*m], infinite at a dead point, with what would help:
    `help_` of `strength.helped`.
    """
    if not isfinite(torque):
        sentence = (
            "comes to a dead point of its linkage, where no servo can hold its load. Keep its end points off it: bring "
            "them nearer together, or change the lengths of the linkage"
        )
        return error("cannot-hold", drive.name, sentence)
    sentence = (
        f"has to hold {upward(torque)} N·m, and its servo stalls at {downward(stall)} N·m: it sinks, and gets hot. "
        f"What would hold it: {servo_needed(prop, drive, torque)}; a larger reduction, a "
        f"counterweight or a spring.{help_}"
    )
    return error("cannot-hold", drive.name, sentence)
