"""Where a drive begins: end points 90 degrees of shaft apart about neutral, and no limits but its servo's own.

Half of a common 180 degree servo (1000 to 2000 µs of 500 to 2500) is where builders start (common practice): far from
the ends of the servo, and far enough to see which way it turns.
"""

from __future__ import annotations

import numpy as np

from posekit.authoring.parts import drive_named, rewritten
from posekit.prop.model import Prop, Pulse, Servo
from posekit.signal.calibration import NEUTRAL_US, pulse_of_shaft, servo_of, shaft_angle
from posekit.toml.editing import set_keys
from posekit.toml.places import Path

FIRST_TRAVEL_DEG = 90.0


def first_pulse(servo: Servo) -> Pulse:
    """End points in whole µs that turn the shaft 45 degrees to each side of neutral, or as far as the servo goes."""
    middle = float(shaft_angle(NEUTRAL_US, servo))
    sides = middle + np.array([-0.5, 0.5]) * FIRST_TRAVEL_DEG
    low, high = sorted(float(round(pulse)) for pulse in pulse_of_shaft(sides, servo))
    return Pulse(low=low, high=high)


def reset_drive(prop: Prop, name: str) -> Prop:
    """The prop with a drive put back to where it began: `first_pulse`, no trim, no limits of its own.

    Patch, rest value and linkage stay. Raises PosekitError for no such drive.
    """
    first = first_pulse(servo_of(prop, drive_named(prop, name)))
    drive: Path = ("drives", name)
    changes: dict[Path, int | None] = {
        (*drive, "pulse", "low"): int(first.low),
        (*drive, "pulse", "high"): int(first.high),
        (*drive, "pulse", "trim"): None,
        (*drive, "speed"): None,
        (*drive, "acceleration"): None,
    }
    return rewritten(prop, set_keys(prop.text, changes))
